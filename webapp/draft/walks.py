"""A side of a seam as it is walked: one edge after the other, each from its start or its end.

Lengths in mm along the edges as they are sewn.
"""

from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from webapp.draft.markings import Notch
from webapp.draft.names import name_key
from webapp.draft.results import SEAM_TOLERANCE_MM, NotchesApart, Piece
from webapp.draft.sewn import SewnEdge, along_mm

_OTHER_WAY: Final = (
    "They would if the other side lay the other way: if it does, change the tick at “The other "
    "side runs the other way” in the seam."
)
_ONE_EDGE: Final = (
    "If the seam meets one of these edges from its end, write “backwards” after it in the seam."
)


@dataclass(frozen=True)
class Run:
    """An edge of a piece as a seam walks along it: clockwise, or backwards."""

    piece: Piece
    sewn: SewnEdge
    backwards: bool = False

    @property
    def key(self) -> tuple[str, str]:
        """The names of the piece and of the edge."""
        return self.piece.name, self.sewn.edge.name

    @property
    def name(self) -> str:
        """As a figure is called: Front.side."""
        return ".".join(self.key)

    @property
    def written(self) -> str:
        """As it is typed in a seam."""
        return f"{self.name} backwards" if self.backwards else self.name

    @property
    def length_mm(self) -> float:
        """What the edge is sewn at."""
        return self.sewn.length_mm

    @property
    def corners(self) -> tuple[int, int]:
        """Where it enters and where it leaves: corner n is the start of the piece's edge n."""
        place = self.piece.outline.index(self.sewn.edge.name)
        after = (place + 1) % len(self.piece.outline.edges)
        return (after, place) if self.backwards else (place, after)

    @property
    def neighbours(self) -> tuple[str, str]:
        """The edges of its piece that it meets where it enters and where it leaves."""
        outline, name = self.piece.outline, self.sewn.edge.name
        before, after = outline.before(name).name, outline.after(name).name
        return (after, before) if self.backwards else (before, after)

    def turned(self) -> "Run":
        """The same edge walked from its other end."""
        return replace(self, backwards=not self.backwards)

    def flipped_mm(self, mm: float) -> float:
        """From a place along the run to the place along the edge as sewn, and back again."""
        return self.length_mm - mm if self.backwards else mm

    def notches(self) -> Iterator[tuple[Notch, float]]:
        """Each notch on the edge and how far along the run it is."""
        edge = self.sewn.edge
        for mark in self.piece.markings:
            if isinstance(mark, Notch) and mark.edge == edge.name:
                yield mark, self.flipped_mm(self.sewn.sewn_mm(along_mm(edge, mark.at)))


@dataclass(frozen=True)
class Side:
    """The runs of one side, in the order the seam walks them."""

    runs: tuple[Run, ...]

    @property
    def length_mm(self) -> float:
        """All the runs together."""
        return sum(run.length_mm for run in self.runs)

    def turned(self) -> "Side":
        """The same side walked from its far end."""
        return Side(tuple(run.turned() for run in reversed(self.runs)))

    def at(self, along: float) -> tuple[Run, float]:
        """The run that a place along the side falls on, and how far along its edge it is drawn."""
        for run in self.runs[:-1]:
            if along <= run.length_mm:
                break
            along -= run.length_mm
        else:
            run = self.runs[-1]
        return run, run.sewn.drawn_mm(run.flipped_mm(along))

    def leap(self, looped: Container[str]) -> tuple[Run, Run] | None:
        """Two runs of one piece that meet at a corner which the walk does not pass.

        They are given as they would pass it. Pieces that are `looped`, sewn to themselves, may be
        left at one corner and entered at another.
        """
        for one, two in pairwise(self.runs):
            shared = set(one.corners) & set(two.corners)
            if one.piece is not two.piece or one.key == two.key or not shared:
                continue
            if one.corners[1] != two.corners[0] and name_key(one.piece.name) not in looped:
                on = one.piece.outline.after(one.sewn.edge.name).name == two.sewn.edge.name
                return replace(one, backwards=not on), replace(two, backwards=not on)
        return None


@dataclass(frozen=True)
class _Count:
    """How far a notch is from an end of its side: from which corner, on which edges."""

    corner: str
    edges: str
    mm: float
    of_mm: float  # the whole side

    def off_mm(self, other: "_Count") -> float:
        """How far the two are from meeting, with what is eased in beyond them or spread evenly."""
        spread = abs(self.mm * other.of_mm - other.mm * self.of_mm) / max(self.of_mm, other.of_mm)
        return min(abs(self.mm - other.mm), spread)


@dataclass(frozen=True)
class _Mark:
    name: str
    double: bool
    counts: tuple[_Count, _Count]  # from the side's start, from its end


def notches_apart(one: Side, other: Side) -> Iterator[NotchesApart]:
    """Notches of one name that do not meet when the sides are walked together from their starts.

    What is eased in may lie before a notch, beyond it, or evenly along the side. Snips bear no
    names: on a lining that is a copy of its outside each left one meets a right one, which is well.
    """
    mine, there = list(_marks(one)), list(_marks(other))
    several = len(one.runs) > 1 or len(other.runs) > 1
    for mark in mine:
        namesakes = [each for each in there if each.name.lower() == mark.name.lower()]
        if not namesakes:
            continue
        off, here, far = _nearest(mark, namesakes, crossed=False)
        if off > SEAM_TOLERANCE_MM and not (
            _is_met(mark, there) and all(_is_met(each, mine) for each in namesakes)
        ):
            turned_off, _, _ = _nearest(mark, namesakes, crossed=True)
            hint = _ONE_EDGE if several else ""
            yield NotchesApart(
                mark.name,
                here.edges,
                here.corner,
                here.mm,
                far.edges,
                far.corner,
                far.mm,
                _OTHER_WAY if turned_off <= SEAM_TOLERANCE_MM else hint,
            )


def _is_met(mark: _Mark, across: Iterable[_Mark]) -> bool:
    """True when some notch of the other side, double if it is, lies where this one does."""
    alike = [each for each in across if each.double == mark.double]
    return bool(alike) and _nearest(mark, alike, crossed=False)[0] <= SEAM_TOLERANCE_MM


def _nearest(
    mark: _Mark, namesakes: Iterable[_Mark], *, crossed: bool
) -> tuple[float, _Count, _Count]:
    """How far from meeting, and both counts, where that is least; then from the nearer end."""
    pairs = [
        (here, far)
        for namesake in namesakes
        for here, far in zip(
            mark.counts, namesake.counts[::-1] if crossed else namesake.counts, strict=True
        )
    ]
    here, far = min(
        pairs, key=lambda pair: (round(pair[0].off_mm(pair[1]), 3), pair[0].mm + pair[1].mm)
    )
    return here.off_mm(far), here, far


def _marks(side: Side) -> Iterator[_Mark]:
    whole, walked = side.length_mm, 0.0
    first, last = side.runs[0].neighbours[0], side.runs[-1].neighbours[1]
    for place, run in enumerate(side.runs):
        up_to, from_end = _names(side.runs[: place + 1]), _names(side.runs[place:][::-1])
        for notch, along in run.notches():
            mm = walked + along
            counts = _Count(first, up_to, mm, whole), _Count(last, from_end, whole - mm, whole)
            yield _Mark(notch.name, notch.double, counts)
        walked += run.length_mm


def _names(runs: Iterable[Run]) -> str:
    """Front.top and Front.side, each once."""
    *some, last = dict.fromkeys(run.name for run in runs)
    return f"{', '.join(some)} and {last}" if some else last
