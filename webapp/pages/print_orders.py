"""What can be printed: an order says which file, of which episode, with what was chosen for it."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Final, Literal
from urllib.parse import quote

from webapp.handouts.file_names import slug, slugged
from webapp.plan.edits import as_printed
from webapp.plan.episode import Episode
from webapp.plan.print_choices import Paper

PrintedKind = Literal[
    "companion", "pattern", "pattern-sheet", "worksheet", "call-sheet", "shopping-list", "all"
]

ALONE: Final[tuple[PrintedKind, ...]] = (
    "companion", "pattern", "pattern-sheet", "worksheet", "call-sheet", "shopping-list"
)  # fmt: skip

# What of the choices each kind depends on, beside the episode itself.
_CHOICES: Final[Mapping[PrintedKind, frozenset[str]]] = {
    "companion": frozenset({"paper", "first_unit", "drawn_for", "sizes"}),
    "pattern": frozenset({"paper", "first_unit", "drawn_for", "sizes", "nested", "edges"}),
    "pattern-sheet": frozenset({"first_unit", "drawn_for", "sizes", "nested", "roll_width"}),
    "worksheet": frozenset({"paper", "first_unit", "drawn_for"}),
    "call-sheet": frozenset({"paper"}),
    "shopping-list": frozenset({"paper"}),
    "all": frozenset(
        {"paper", "first_unit", "drawn_for", "sizes", "nested", "edges", "roll_width"}
    ),
}
_OF_HERS: Final[frozenset[PrintedKind]] = frozenset({"call-sheet", "shopping-list"})
# Of the episode, what no sheet shows but those that tell what is bought.
_SHOWN_NOWHERE: Final = frozenset({"print_choices", "timer"})
_BOUGHT_TOLD: Final[frozenset[PrintedKind]] = frozenset({"shopping-list", "all"})


@dataclass(frozen=True)
class Order:
    """One file to print. `slot` is its place among the episode's, `key` its content."""

    kind: PrintedKind
    episode: Episode
    size: str = ""  # of a worksheet; empty: blank, to fill in
    day: date | None = None  # of a call sheet; None: every shoot day
    pages: Literal["", Paper] = ""  # of the pattern; empty: the paper chosen for every sheet

    @property
    def is_for_viewers(self) -> bool:
        """True for what someone else cuts and sews by; a call sheet stays with her."""
        return self.kind not in _OF_HERS

    @property
    def paper(self) -> Paper:
        """The paper it is printed on."""
        if self.pages:
            return self.pages
        choices = self.episode.print_choices
        first = self.episode.first_unit
        return choices.paper_for(first if self.kind in _OF_HERS else choices.first_unit or first)

    @property
    def slot(self) -> tuple[str, ...]:
        """The episode, the kind and what it is for: a newer print takes the older one's place."""
        day, paper = self.day.isoformat() if self.day else "", self.paper
        return self.episode.id, self.kind, self.size, day, paper if self.kind == "pattern" else ""

    @cached_property
    def key(self) -> str:
        """SHA-256, in hex, of all that the file is made from: the same only for the same file."""
        bought = {"bought"} if self.kind not in _BOUGHT_TOLD else set()
        content = self.episode.model_dump_json(exclude={*_SHOWN_NOWHERE, *bought})
        told = hashlib.sha256(repr((self.slot, sorted(self._chosen().items()))).encode())
        told.update(content.encode())  # as it is: writing it out as Python costs more than all else
        return told.hexdigest()[:40]

    def _chosen(self) -> dict[str, object]:
        """The choices that show in it, what is left open as what it comes to."""
        printed, choices = as_printed(self.episode), self.episode.print_choices
        comes_to = {
            "paper": self.paper,
            "first_unit": printed.first_unit,
            "drawn_for": printed.body.name,
        }
        told = choices.model_dump(include={*_CHOICES[self.kind]})
        return {name: comes_to.get(name, value) for name, value in told.items()}

    @property
    def file_name(self) -> str:
        """What the file is called when it is taken out: `lighthouse-smock-companion-a4.pdf`."""
        if self.kind == "all":
            return f"{slug(self.episode)}-all-files.zip"
        parts = [slug(self.episode), self.kind, *self._particulars()]
        return "-".join(parts) + ".pdf"

    def is_file(self, name: str) -> bool:
        """True when it makes just what that file of the pack holds."""
        if self.size or self.day:
            return False
        return name == f"{self.kind}{f'-{self.paper}' if self.kind == 'pattern' else ''}.pdf"

    def _particulars(self) -> list[str]:
        choices = self.episode.print_choices
        if self.kind == "worksheet":
            return [slugged(self.size) or "size" if self.size else "blank", self.paper]
        if self.kind in _OF_HERS:
            return [self.day.isoformat(), self.paper] if self.day else [self.paper]
        size = choices.drawn_for
        if self.kind != "companion" and choices.nested:
            size = "all sizes"
        parts = [slugged(size)] if slugged(size) else []
        return [*parts, self._roll if self.kind == "pattern-sheet" else self.paper]

    @property
    def _roll(self) -> str:
        """The width of the large sheet as it stands in a file's name: 91.4cm."""
        first = as_printed(self.episode).first_unit
        try:
            width_mm = self.episode.print_choices.roll_width_mm(first)
        except ValueError:  # as in a file edited by hand; there is no such sheet
            return "roll"
        return f"{round(width_mm / (10.0 if first == 'cm' else 25.4), 1):g}{first}"


def orders_alone(episode: Episode) -> tuple[Order, ...]:
    """An order for every printed file of the pack, the pattern's pages on either paper."""
    rest = (Order(kind, episode) for kind in ALONE if kind != "pattern")
    papers: tuple[Paper, ...] = ("a4", "letter")
    return (*(Order("pattern", episode, pages=paper) for paper in papers), *rest)


def state_of(episode: Episode) -> str:
    """SHA-256, in hex, of what loose threads are found in: a confirmation holds for it alone."""
    choices = episode.print_choices
    told = (
        choices.sizes,
        choices.drawn_for,
        episode.model_dump_json(exclude={*_SHOWN_NOWHERE, "bought"}),
    )
    return hashlib.sha256(repr(told).encode()).hexdigest()[:40]


def named(episode: Episode, rest: str) -> str:
    """The name of another file of the episode: `lighthouse-smock-captions.vtt`."""
    return f"{slug(episode)}-{rest}"


def attachment(name: str) -> dict[str, str]:
    """The header that makes an answer a file of that name (RFC 6266; RFC 8187 beyond ASCII)."""
    plain = "".join(c if c.isascii() and (c.isalnum() or c in "-._") else "-" for c in name)
    plain = plain.lstrip("-.") or "file"
    told = f'attachment; filename="{plain}"'
    if plain != name:
        told += f"; filename*=UTF-8''{quote(name, safe='')}"
    return {"content-disposition": told}
