"""Which stretch of which edge is sewn to which: the seams, edge by edge.

Distances are mm along the edges as drawn. What a seam joins of other garments is left out.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from webapp.draft.construction import EdgeUse
from webapp.draft.names import name_key
from webapp.draft.outline import Edge
from webapp.draft.recipe import Seam
from webapp.draft.results import Draft, Piece
from webapp.draft.sewn import SewnEdge, as_sewn

_LEAST_MM: Final = 0.5  # a shorter overlap comes of rounding


@dataclass(frozen=True, slots=True)
class Stretch:
    """Part of an edge, from where the seam enters it to where it leaves it."""

    piece: str
    edge: str
    start_mm: float
    end_mm: float

    @property
    def forward(self) -> bool:
        """True where the seam walks it the way the outline runs."""
        return self.end_mm >= self.start_mm

    @property
    def length_mm(self) -> float:
        """As it is drawn."""
        return abs(self.end_mm - self.start_mm)

    @property
    def key(self) -> tuple[str, str]:
        """The piece and its edge."""
        return self.piece, self.edge


@dataclass(frozen=True, slots=True)
class Join:
    """Two stretches that are sewn together, start to start."""

    seam: str
    one: Stretch
    other: Stretch

    def seen_from(self, piece: str) -> "Join":
        """The same with that piece's stretch first."""
        return self if self.one.piece == piece else Join(self.seam, self.other, self.one)


@dataclass(frozen=True, slots=True)
class _Walked:
    """An edge as a side of a seam walks it."""

    piece: Piece
    sewn: SewnEdge
    backwards: bool

    def stretch(self, start: float, end: float) -> Stretch:
        """From one place along the run to another, as lengths of the edge as it is drawn."""
        whole = self.sewn.length_mm
        places = (whole - start, whole - end) if self.backwards else (start, end)
        drawn = [self.sewn.drawn_mm(place) for place in places]
        return Stretch(self.piece.name, self.sewn.edge.name, *drawn)


def joins_of(draft: Draft) -> tuple[Join, ...]:
    """Every stretch of every seam of the draft, in the order they are listed."""
    pieces = {name_key(piece.name): piece for piece in draft.pieces}
    return tuple(join for seam in draft.recipe.seams for join in _joins(seam, pieces))


def _joins(seam: Seam, pieces: Mapping[str, Piece]) -> Iterator[Join]:
    one, other = _walk(seam.one, pieces), _walk(seam.other, pieces)
    if seam.turned:
        other = [_Walked(run.piece, run.sewn, not run.backwards) for run in reversed(other)]
    ends, across = _ends(one), _ends(other)
    if not ends or not across or min(ends[-1], across[-1]) <= 0:
        return
    # What is eased in or left over is spread evenly.
    spread = ends[-1] / across[-1]
    across = [end * spread for end in across]
    cuts = sorted({0.0, *ends, *across})
    for start, end in pairwise(cuts):
        if end - start < _LEAST_MM:
            continue
        mine, start_1, end_1 = _place(one, ends, start, end)
        theirs, start_2, end_2 = _place(other, across, start, end)
        yield Join(
            seam.name,
            mine.stretch(start_1, end_1),
            theirs.stretch(start_2 / spread, end_2 / spread),
        )


def _walk(uses: Sequence[EdgeUse], pieces: Mapping[str, Piece]) -> list[_Walked]:
    walked = []
    for use in uses:
        of, _, called = name_key(use.edge).partition(".")
        piece = pieces.get(of)
        edge = _edge(piece, called) if piece else None
        if piece and edge and edge.sewn_mm > 0:
            run = _Walked(piece, as_sewn(edge, piece.markings), use.backwards)
            walked += [run] * use.times
    return walked


def _edge(piece: Piece, called: str) -> Edge | None:
    return next((edge for edge in piece.outline if name_key(edge.name) == called), None)


def _ends(runs: Sequence[_Walked]) -> list[float]:
    """How far along its side each run ends."""
    ends, walked = [], 0.0
    for run in runs:
        walked += run.sewn.length_mm
        ends.append(walked)
    return ends


def _place(
    runs: Sequence[_Walked], ends: Sequence[float], start: float, end: float
) -> tuple[_Walked, float, float]:
    """The run that lies under this stretch of the side, and the stretch counted from its start."""
    middle = (start + end) / 2
    place = next((place for place, at in enumerate(ends) if middle <= at), len(runs) - 1)
    before = ends[place - 1] if place else 0.0
    return runs[place], start - before, end - before
