"""The edges and notches of a seam as they are typed and shown."""

import re
from collections.abc import Callable
from typing import Final

from webapp.draft.construction import EdgeUse
from webapp.draft.names import Names
from webapp.draft.recipe import SeamNotch
from webapp.pages.forms import figure
from webapp.units import System

_USE: Final = re.compile(r"(?:(\d{1,3})(?:\s*[×*]\s*|\s*x\s+|\s+))?([^\d\s,][^,]*)")
_BACKWARDS: Final = re.compile(r"\s+backwards$", re.IGNORECASE)
# A comma parts two notches when a space follows; else it is a decimal one, or a function's.
_BETWEEN_NOTCHES: Final = re.compile(r";|,\s+(?![^()]*\))")
_MOST_USES: Final = 12
_MOST_NOTCHES: Final = 20
_LONGEST_NAME: Final = 40


def edge_uses(typed: str) -> tuple[EdgeUse, ...]:
    """Edges as a seam joins them: `2 × Front.neck, Back.neck backwards`."""
    parts = [part.strip() for part in typed.split(",") if part.strip()]
    if not parts:
        raise ValueError("Name an edge, like Front.shoulder.")
    if len(parts) > _MOST_USES:
        raise ValueError(f"A side of a seam can hold {_MOST_USES} edges at most.")
    return tuple(_edge_use(part) for part in parts)


def edge_uses_shown(uses: tuple[EdgeUse, ...]) -> str:
    """Edges as they are typed."""
    return ", ".join(
        f"{f'{use.times} × ' if use.times > 1 else ''}{use.edge}"
        f"{' backwards' if use.backwards else ''}"
        for use in uses
    )


def seam_notches(unit: System, names: Names) -> Callable[[str], tuple[SeamNotch, ...]]:
    """Reads notches as they are typed: `12 cm, 14 cm double`."""
    length = figure(unit, names)

    def reader(typed: str) -> tuple[SeamNotch, ...]:
        parts = [part.strip() for part in _BETWEEN_NOTCHES.split(typed) if part.strip()]
        if len(parts) > _MOST_NOTCHES:
            raise ValueError(f"A seam can hold {_MOST_NOTCHES} notches at most.")
        found = []
        for part in parts:
            plain = part.removesuffix(" double").strip()
            found.append(SeamNotch(at=length(plain), double=plain != part))
        return tuple(found)

    return reader


def notches_shown(notches: tuple[SeamNotch, ...]) -> str:
    """Notches as they are typed."""
    return ", ".join(f"{n.at} double" if n.double else n.at for n in notches)


def _edge_use(part: str) -> EdgeUse:
    plain = _BACKWARDS.sub("", part)
    found = _USE.fullmatch(plain)
    piece, _, edge = (found[2] if found else "").strip().partition(".")
    too_long = max(len(piece), len(edge)) > _LONGEST_NAME
    if not found or not piece or not edge or too_long or "." in edge or {*"{}"} & {*part}:
        raise ValueError(
            f"“{part[:_LONGEST_NAME]}” is not an edge; write piece and edge, like Front.shoulder."
        )
    times = int(found[1] or 1)
    if not 1 <= times <= 100:
        raise ValueError(f"“{part}”: an edge can be sewn 1 to 100 times.")
    return EdgeUse(edge=f"{piece.strip()}.{edge.strip()}", times=times, backwards=plain != part)
