"""Cutting a piece in two, and joining the parts again with cloth let in between."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import shapely

from webapp.draft.markings import DrillHole, Marking, Notch
from webapp.draft.moves.base import Workpiece
from webapp.draft.names import edge_called
from webapp.draft.outline import Edge, Line, Outline, Placing, Point, Segment
from webapp.draft.sewn import as_sewn

NEAR_MM: Final = 0.05  # nearer to a corner than this, a cut goes through the corner
_ON_LINE_MM: Final = 0.5  # a notch may be off its edge by half a chalk line
_SHORTEST_CUT_MM: Final = 1.0  # nearer than this, a cut meets only the edge it starts on
_TAKEN: Final = 1e-6  # a share of the cloth; less is arithmetic noise
_STRAIGHT: Final = 1e-9  # sine of a bend that is none


@dataclass(frozen=True)
class Cut:
    """An outline cut along a straight line from a point of edge `one` to a point of edge `other`.

    `ahead` runs from the start of the cut clockwise to its end, `behind` from there back.
    """

    outline: Outline
    one: str
    other: str
    start: Point
    end: Point
    ahead: tuple[Edge, ...]
    behind: tuple[Edge, ...]

    @property
    def moves_ahead(self) -> bool:
        """True when the part ahead may move: what lies on the fold stays there."""
        return not any(edge.on_fold for edge in self.ahead)

    def opened(
        self,
        place: Placing,
        at_start: Sequence[Segment],
        at_end: Sequence[Segment],
        taken_mm: float = 0.0,
    ) -> Outline:
        """The outline with the part that may move placed anew, and the gaps closed.

        `at_start` and `at_end` close the gaps in the edges `one` and `other`, clockwise;
        `taken_mm` is taken out of `one` again.
        """
        moved = tuple(
            edge.placed(place) for edge in (self.ahead if self.moves_ahead else self.behind)
        )
        ahead, behind = (moved, self.behind) if self.moves_ahead else (self.ahead, moved)
        start_whole = behind[-1].name != self.one
        first, rest = ((), behind) if start_whole else (behind[-1:], behind[:-1])
        walk = [*first, Edge(self.one, tuple(at_start), taken_mm), *ahead]
        walk += [Edge(self.other, tuple(at_end)), *rest]
        merged: dict[str, Edge] = {}
        for part in walk:
            known = merged.get(part.name, Edge(part.name, ()))
            segments, taken = (*known.segments, *part.segments), known.taken_mm + part.taken_mm
            merged[part.name] = Edge(part.name, segments, taken)
        names = self.outline.names
        return Outline(tuple(_smoothed(merged[name]) for name in names))


def cut_between(
    outline: Outline,
    markings: Sequence[Marking],
    one: str,
    one_mm: float,
    other: str,
    other_mm: float,
) -> Cut:
    """Cut from a point so far along edge `one` to a point so far along another edge, mm."""
    first, last = outline.index(one), outline.index(other)
    count = len(outline.edges)
    ends_behind, starts_ahead = parted(outline.edge(one), one_mm, markings)
    ends_ahead, starts_behind = parted(outline.edge(other), other_mm, markings)
    between = [outline.edges[(first + i) % count] for i in range(1, (last - first) % count)]
    rest = [outline.edges[(last + i) % count] for i in range(1, (first - last) % count)]
    ahead = (*starts_ahead, *between, *ends_ahead)
    behind = (*starts_behind, *rest, *ends_behind)
    start, end = outline.edge(one).at(one_mm)[0], outline.edge(other).at(other_mm)[0]
    return Cut(
        outline,
        one,
        other,
        ahead[0].start if ahead else start,
        behind[0].start if behind else end,
        ahead,
        behind,
    )


def cut_square(
    work: Workpiece, outline: Outline, markings: Sequence[Marking], name: str, along_mm: float
) -> tuple[Cut, float]:
    """Cut square to the named edge up to the first other edge; how far along that it ends, too.

    MoveError when there is none.
    """
    start, (ux, uy) = outline.edge(name).at(along_mm)
    furthest = 2 * sum(edge.length_mm for edge in outline)
    ray = shapely.LineString([start, (start[0] - furthest * uy, start[1] + furthest * ux)])
    met: list[tuple[float, str, float]] = []
    for edge in outline:
        line = shapely.LineString(edge.points())
        for x, y in shapely.get_coordinates(shapely.intersection(ray, line)).tolist():
            off = math.dist(start, (x, y))
            if off > _SHORTEST_CUT_MM:
                share = line.project(shapely.Point(x, y), normalized=True)
                met.append((off, edge.name, float(share) * edge.length_mm))
    _, other, across = min(met, default=(0.0, name, 0.0))
    if other == name:
        raise work.refusal(f"a cut square to the {edge_called(name)} meets no other edge")
    return cut_between(outline, markings, name, along_mm, other, across), across


def taken_share(edge: Edge, at_mm: float, markings: Sequence[Marking]) -> float:
    """How much of the cloth is taken up at a place of the edge: 1 in a fold, 0 where it is flat."""
    if not edge.taken_mm:
        return 0.0
    for (drawn, sewn), (next_drawn, next_sewn) in pairwise(as_sewn(edge, markings).steps):
        if drawn + NEAR_MM < at_mm < next_drawn - NEAR_MM:
            return 1 - (next_sewn - sewn) / (next_drawn - drawn)
    return 0.0


def parted(
    edge: Edge, at_mm: float, markings: Sequence[Marking]
) -> tuple[tuple[Edge, ...], tuple[Edge, ...]]:
    """What of the edge lies before the point and what after it; nothing beyond a corner."""
    if at_mm < NEAR_MM:
        return (), (edge,)
    if at_mm > edge.length_mm - NEAR_MM:
        return (edge,), ()
    before, after = edge.cut_at(at_mm)
    taken, rest = taken_apart(edge, at_mm, markings)
    return (replace(before, taken_mm=taken),), (replace(after, taken_mm=rest),)


def taken_apart(edge: Edge, at_mm: float, markings: Sequence[Marking]) -> tuple[float, float]:
    """What of `taken_mm` is taken out of the edge before the point, and what after it."""
    taken = at_mm - as_sewn(edge, markings).sewn_mm(at_mm) if edge.taken_mm else 0.0
    return taken, edge.taken_mm - taken


def kept_taken(work: Workpiece, edge: Edge, at_mm: float, *, from_start: bool) -> float:
    """What is taken out of the part of the edge that is kept, up to the point or from it on, mm.

    Even gathers go with the cloth they are in. MoveError where the point lies in a fold.
    """
    if taken_share(edge, at_mm, work.markings) > 1 - _TAKEN:
        raise work.refusal(
            f"it would end in a dart or a pleat of the {edge_called(edge.name)}; make this move "
            "before them"
        )
    before, after = taken_apart(edge, at_mm, work.markings)
    return before if from_start else after


def refuse_leaving(work: Workpiece, cut: Cut, line: str) -> None:
    """MoveError for a cut that leaves the piece, runs along its edge or cuts nothing off."""
    if cut.start == cut.end or not cut.ahead or not cut.behind:
        raise work.refusal(f"{line} would cut nothing off")
    whole = shapely.buffer(shapely.Polygon(cut.outline.points()), NEAR_MM)
    if not shapely.covers(whole, shapely.LineString([cut.start, cut.end])):
        raise work.refusal(f"{line} would leave the piece on its way")
    parts = [cloth_of(edges) for edges in (cut.ahead, cut.behind)]
    if min(part.area for part in parts) < 1.0:
        raise work.refusal(f"{line} would cut nothing off")
    if not all(part.is_valid for part in parts):
        raise work.refusal(f"{line} would touch another edge on its way")


def cloth_of(edges: Sequence[Edge]) -> shapely.Polygon:
    """The cloth inside a run of edges, closed by a straight line; none along a single line."""
    points = [point for edge in edges for point in edge.points()]
    return shapely.Polygon(points if len(points) > 2 else None)


def lies_on(mark: Marking, edges: Sequence[Edge]) -> bool:
    """True when the marking lies whole on the part of the cloth that these edges go around."""
    if isinstance(mark, Notch):
        lines = [shapely.LineString(e.points()) for e in edges if e.name == mark.edge]
        return any(line.distance(shapely.Point(mark.at)) <= _ON_LINE_MM for line in lines)
    drawn = (
        shapely.Point(mark.at) if isinstance(mark, DrillHole) else shapely.LineString(mark.points)
    )
    return bool(shapely.covers(shapely.buffer(cloth_of(edges), NEAR_MM), drawn))


def markings_moved(
    work: Workpiece, markings: Sequence[Marking], cut: Cut, place: Placing
) -> tuple[Marking, ...]:
    """The markings after `Cut.opened` with the same placing. MoveError for one that is cut."""
    found = []
    for mark in markings:
        ahead, behind = lies_on(mark, cut.ahead), lies_on(mark, cut.behind)
        if not ahead and not behind:
            raise work.refusal(
                f"“{mark.name}” lies across a cut; make this move before the marking"
            )
        found.append(mark.placed(place) if ahead == cut.moves_ahead else mark)
    return tuple(found)


def straightened(segments: Sequence[Segment]) -> tuple[Segment, ...]:
    """The segments with lines that run on in one direction joined into one."""
    joined: list[Segment] = []
    for segment in segments:
        last = joined[-1] if joined else None
        if isinstance(last, Line) and isinstance(segment, Line) and _runs_on(last, segment):
            joined[-1] = Line(last.start, segment.end)
        else:
            joined.append(segment)
    return tuple(joined)


def _smoothed(edge: Edge) -> Edge:
    return replace(edge, segments=straightened(edge.segments))


def _runs_on(one: Line, other: Line) -> bool:
    (ax, ay), (bx, by) = one.heading(1), other.heading(0)
    return abs(ax * by - ay * bx) < _STRAIGHT and ax * bx + ay * by > 0
