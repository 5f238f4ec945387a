"""The manifest of a pack: every file with its size and hash, and what it was made from."""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from webapp.plan.editions import EditionState
from webapp.plan.episode import FILE_VERSION, Episode
from webapp.plan.print_choices import PrintChoices
from webapp.units import System, both

MANIFEST: Final = "manifest.json"


@dataclass(frozen=True)
class Made:
    """A file that was made, and what it is in a sentence."""

    name: str
    what: str
    content: bytes


@dataclass(frozen=True)
class NotMade:
    """A file that could not be made here, and why in a sentence or two."""

    name: str
    what: str
    why: str


def manifest(
    printed: Episode,
    edition: EditionState,
    files: Sequence[Made],
    not_made: Sequence[NotMade],
    notes: Sequence[str],
) -> bytes:
    """The list as JSON, without any time: the same bytes for the same files.

    `printed` is the episode as its sheets for viewers are printed.
    """
    told = {
        "episode": printed.id,
        "title": printed.title,
        "edition": {"number": edition.number, "draft": edition.is_draft, "called": edition.called},
        "choices": _choices(printed),
        "file_version": FILE_VERSION,
        "files": [
            {
                "name": file.name,
                "bytes": len(file.content),
                "sha256": hashlib.sha256(file.content).hexdigest(),
                "what": file.what,
            }
            for file in files
        ],
        "not_made": [{"name": one.name, "what": one.what, "why": one.why} for one in not_made],
        "notes": list(notes),
    }
    return (json.dumps(told, indent=1, ensure_ascii=False) + "\n").encode()


def _choices(printed: Episode) -> dict[str, Any]:
    """What was chosen for the sheets, what follows the episode filled in."""
    choices, first = printed.print_choices, printed.first_unit
    return {
        "paper": choices.paper_for(first),
        "first_unit": first,
        "drawn_for": printed.body.name,
        "sizes": list(choices.sizes) or [body.name for body in (printed.body, *printed.sizes)],
        "nested": choices.nested,
        "edges": choices.edges,
        "roll_width": _roll_width(choices, first),
    }


def _roll_width(choices: PrintChoices, first: System) -> str:
    """In both units; as typed where it cannot be read, as in a file edited by hand."""
    try:
        return both(choices.roll_width_mm(first), first)
    except ValueError:
        return choices.roll_width
