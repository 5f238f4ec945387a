"""Distances along an edge as it is sewn, with its darts, pleats and gathers closed, and as drawn.

All in mm from the edge's start. A dart or a pleat is skipped; gathers are spread evenly over the
stretch that is gathered.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

import shapely

from webapp.draft.markings import MarkedLine, Marking, Notch
from webapp.draft.outline import Edge, Outline, Point

_ON_EDGE_MM: Final = 0.5  # a line that ends no further from the edge ends on it
_SAME_MM: Final = 1e-6
_LINES_OF_A_FOLD: Final = 3  # of a knife pleat or a tuck; a box pleat has one more
_FROM, _TO = " gathers from", " gathers to"

Stretch = tuple[float, float]  # from, to
TakenUp = Literal["dart", "pleat", "tuck", "gathers"]


@dataclass(frozen=True)
class SewnEdge:
    """An edge with the two ways to count along it: `steps` are (drawn, sewn), both rising."""

    edge: Edge
    steps: tuple[tuple[float, float], ...]

    @property
    def length_mm(self) -> float:
        """What the edge is sewn at."""
        return self.steps[-1][1]

    def drawn_mm(self, sewn_mm: float) -> float:
        """Where a point of the sewn edge is drawn; of two legs that meet there, at the first."""
        for (drawn, sewn), (next_drawn, next_sewn) in pairwise(self.steps):
            if sewn_mm <= next_sewn:
                share = (sewn_mm - sewn) / (next_sewn - sewn) if next_sewn > sewn else 0.0
                return drawn + share * (next_drawn - drawn)
        return self.steps[-1][0]

    def sewn_mm(self, drawn_mm: float) -> float:
        """Where a point of the drawn edge is sewn."""
        for (drawn, sewn), (next_drawn, next_sewn) in pairwise(self.steps):
            if drawn_mm <= next_drawn:
                return sewn + (drawn_mm - drawn) * (next_sewn - sewn) / (next_drawn - drawn)
        return self.length_mm


def as_sewn(edge: Edge, markings: Sequence[Marking]) -> SewnEdge:
    """The edge with what its markings say is taken out where."""
    folded = sorted(fold for _, fold in _folded(edge, markings))
    gathered = _gathered_mm(edge, folded)
    stretches = sorted(_gathered(edge, markings)) if gathered > _SAME_MM else []
    stretches = stretches or [(0.0, edge.length_mm)]
    ends = {0.0, edge.length_mm, *(mm for pair in (*folded, *stretches) for mm in pair)}
    parts = list(pairwise(sorted(ends)))
    full = sum(b - a for a, b in parts if _in(stretches, a, b) and not _in(folded, a, b))
    rate = 1 - gathered / full if full > gathered else 1.0
    steps = [(0.0, 0.0)]
    for start, end in parts:
        if end - start < _SAME_MM:
            continue
        share = 0.0 if _in(folded, start, end) else rate if _in(stretches, start, end) else 1.0
        steps.append((end, steps[-1][1] + share * (end - start)))
    return SewnEdge(edge, tuple(steps))


def taken_up_in(edge: Edge, markings: Sequence[Marking]) -> list[TakenUp]:
    """In which ways darts, pleats, tucks and gathers make an edge shorter as it is sewn."""
    folded = list(_folded(edge, markings))
    kinds = {kind for kind, _ in folded}
    if _gathered_mm(edge, [fold for _, fold in folded]) > _SAME_MM:
        kinds.add("gathers")
    ways: tuple[TakenUp, ...] = ("dart", "pleat", "tuck", "gathers")
    return [way for way in ways if way in kinds]


def edge_figures(outline: Outline) -> dict[str, float]:
    """An edge's figure is the length it is sewn at; where more is drawn, that has its own."""
    sewn = {edge.name: edge.sewn_mm for edge in outline}
    drawn = {f"{edge.name} drawn": edge.length_mm for edge in outline if edge.taken_mm}
    return {**sewn, **drawn}


def along_mm(edge: Edge, point: Point) -> float:
    """How far along the edge, as drawn, a point on it lies."""
    line = shapely.LineString(edge.points())
    share = line.project(shapely.Point(point), normalized=True)
    return float(share) * edge.length_mm


def _folded(edge: Edge, markings: Sequence[Marking]) -> Iterator[tuple[TakenUp, Stretch]]:
    """Between the legs of each dart, the outer lines of each pleat and tuck."""
    if not edge.taken_mm:
        return
    pleats: dict[tuple[TakenUp, int], list[float]] = {}
    for mark in markings:
        if not isinstance(mark, MarkedLine) or not _ends_on(edge, mark.points[0]):
            continue
        if mark.kind == "dart" and _ends_on(edge, mark.points[-1]):
            one, other = along_mm(edge, mark.points[0]), along_mm(edge, mark.points[-1])
            yield "dart", (min(one, other), max(one, other))
        elif mark.kind in {"pleat", "tuck"}:
            lines = _LINES_OF_A_FOLD + ("box" in mark.name)
            pleats.setdefault((mark.kind, lines), []).append(along_mm(edge, mark.points[0]))
    for (kind, lines), places in pleats.items():
        places.sort()
        if len(places) % lines == 0:
            for first in range(0, len(places), lines):
                yield kind, (places[first], places[first + lines - 1])


def _gathered_mm(edge: Edge, folded: Sequence[Stretch]) -> float:
    """What is taken out of the edge and not folded away."""
    return edge.taken_mm - sum(end - start for start, end in folded)


def _gathered(edge: Edge, markings: Sequence[Marking]) -> Iterator[Stretch]:
    """Between each pair of notches that say where gathers start and end."""
    on_edge = [mark for mark in markings if isinstance(mark, Notch) and mark.edge == edge.name]
    ends = {mark.name: along_mm(edge, mark.at) for mark in on_edge if mark.name.endswith(_TO)}
    for mark in on_edge:
        end = ends.get(mark.name.removesuffix(_FROM) + _TO)
        if mark.name.endswith(_FROM) and end is not None:
            start = along_mm(edge, mark.at)
            yield min(start, end), max(start, end)


def _ends_on(edge: Edge, point: Point) -> bool:
    line = shapely.LineString(edge.points())
    return bool(line.distance(shapely.Point(point)) <= _ON_EDGE_MM)


def _in(stretches: Sequence[Stretch], start: float, end: float) -> bool:
    middle = (start + end) / 2
    return any(a <= middle <= b for a, b in stretches)
