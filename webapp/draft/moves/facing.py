"""Facing: a strip as wide as needed along edges of another piece, shaped as they are."""

from itertools import pairwise
from typing import ClassVar, Final, Literal

import shapely
from shapely.ops import substring

from webapp.draft.moves.base import (
    Drafted,
    EdgeName,
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    edges_field,
    figure_field,
    piece_field,
)
from webapp.draft.moves.cutting import lies_on, straightened, taken_apart
from webapp.draft.names import edge_called, edges_called
from webapp.draft.outline import Edge, Line, Outline, Point
from webapp.draft.words import Sentence
from webapp.errors import MoveError

_NEAR_MM: Final = 0.05
_ROUNDING_MM: Final = 1e-4
_FLAT_MM: Final = 0.01  # a narrow facing would show the chords of a coarser curve
_OFF_DEPTH_MM: Final = 0.1  # finer than a pencil line
_ROUND: Final = 180  # chords to a quarter of a circle


class Facing(ShapingMove):
    """Edges of an earlier piece, and all its cloth no further from them than the depth."""

    title: ClassVar[str] = "Facing"
    purpose: ClassVar[str] = "Start a facing along edges of an earlier piece."
    starts_a_piece: ClassVar[bool] = True

    kind: Literal["facing"] = "facing"
    of: EdgeName = piece_field("Facing of", "A piece drawn before this one.")
    edges: tuple[EdgeName, ...] = edges_field(
        "Along its edges", "One, or several that follow on one another, such as armhole, shoulder."
    )
    depth: FigureText = figure_field("Depth", "From those edges to the inner edge of the facing.")

    def apply(self, work: Workpiece) -> Shaped:
        """Keep the edges; their neighbours end where the inner edge meets them."""
        work.refuse_second_shape()
        piece = work.earlier_piece(self.of)
        run, before, after = self._run(work, piece)
        depth = work.length_mm("depth", self.depth)
        drawn = [point for edge in run for point in edge.points(_FLAT_MM)[:-1]]
        line = shapely.LineString([*drawn, run[-1].end])
        cloth = shapely.Polygon(piece.outline.points(_FLAT_MM))
        near = shapely.intersection(cloth, shapely.buffer(line, depth, quad_segs=_ROUND))
        if not isinstance(near, shapely.Polygon) or near.interiors:
            raise self._too_deep(work)
        leaving = self._neighbour(work, piece, near, after, depth, line, from_start=True)
        arriving = self._neighbour(work, piece, near, before, depth, line, from_start=False)
        inner = _along(near, leaving.end, arriving.start)
        if any(abs(line.distance(shapely.Point(p)) - depth) > _OFF_DEPTH_MM for p in inner):
            raise self._too_deep(work)
        lines = [Line(one, other) for one, other in pairwise(inner)]
        edges = (*run, leaving, Edge("inner", straightened(lines)), arriving)
        markings = tuple(mark for mark in piece.markings if lies_on(mark, edges))
        on_fold = [piece.on_fold and edge.on_fold for edge in (before, after)]
        ends = edges_called((before.name, after.name))
        if any(on_fold):
            ends = edge_called(after.name if on_fold[0] else before.name) + " and the fold"
        words = self._words(depth, [edge.name for edge in run], ends)
        return Shaped(Outline(edges), {"depth": depth}, words, markings)

    def _run(self, work: Workpiece, piece: Drafted) -> tuple[list[Edge], Edge, Edge]:
        """The edges in their order around the piece, the one before them and the one after."""
        outline, wanted = piece.outline, set(self.edges)
        if not wanted:
            raise work.refusal("name the edges it finishes")
        for name in self.edges:
            if name not in outline.names:
                known = ", ".join(outline.names)
                raise work.refusal(f"{self.of} has no edge called “{name}”; its edges are {known}")
        count = len(outline.edges)
        if len(wanted) > count - 2:
            raise work.refusal(
                f"leave out two edges of {self.of} at least, for the facing to end on"
            )
        starts = [
            place
            for place, edge in enumerate(outline.edges)
            if edge.name in wanted and outline.edges[place - 1].name not in wanted
        ]
        if len(starts) != 1:
            raise work.refusal(
                f"the {edges_called(self.edges)} of {self.of} do not follow on one another; "
                "draw a facing for each"
            )
        run = [outline.edges[(starts[0] + i) % count] for i in range(len(wanted))]
        for edge in run:
            if edge.taken_mm:
                raise self._taken(work, edge)
        return run, outline.edges[starts[0] - 1], outline.after(run[-1].name)

    def _neighbour(
        self,
        work: Workpiece,
        piece: Drafted,
        near: shapely.Polygon,
        edge: Edge,
        depth: float,
        line: shapely.LineString,
        *,
        from_start: bool,
    ) -> Edge:
        """What of a neighbouring edge belongs to the facing."""
        whole = edge.points(_FLAT_MM)
        path = shapely.LineString(whole if from_start else whole[::-1])
        part = shapely.intersection(path, shapely.buffer(near, _ROUNDING_MM))
        first = min(
            shapely.get_parts(part), key=lambda one: one.distance(shapely.Point(path.coords[0]))
        )
        reach = float(path.project(shapely.Point(first.coords[-1]), normalized=True))
        reach *= edge.length_mm
        if reach > edge.length_mm - _NEAR_MM:
            outline = piece.outline
            beyond = outline.after(edge.name) if from_start else outline.before(edge.name)
            gap = line.distance(shapely.LineString(beyond.points()))
            if gap < _NEAR_MM:
                raise self._too_deep(work)
            raise work.limit(
                "depth", depth, f"more than there is up to the {edge_called(beyond.name)}", gap
            )
        if reach < _NEAR_MM:
            raise self._too_deep(work)
        at = reach if from_start else edge.length_mm - reach
        part = 0 if from_start else 1
        if taken_apart(edge, at, piece.markings)[part] > _NEAR_MM:
            raise self._taken(work, edge)
        return edge.cut_at(at)[part]

    def _taken(self, work: Workpiece, edge: Edge) -> MoveError:
        return work.refusal(
            f"the {edge_called(edge.name)} of {self.of} has darts, pleats or gathers, which a "
            "facing is drawn without"
        )

    def _too_deep(self, work: Workpiece) -> MoveError:
        return work.refusal(
            f"so deep, its inner edge would not run in one line beside the edges of {self.of}; "
            "make it less deep"
        )

    def _words(self, depth: float, run: list[str], ends: str) -> tuple[Sentence, ...]:
        them = "them" if len(run) > 1 else "it"
        texts = (
            f"Trace the {edges_called(run)} of the {self.of}, and the beginnings of the {ends}.",
            f"Mark {{depth}} from the {edges_called(run)} in many places, square to {them}, and "
            "join the marks with a smooth line: the inner edge of the facing.",
        )
        return tuple(Sentence(t, {"depth": depth}, {"depth": self.depth}) for t in texts)


def _along(near: shapely.Polygon, start: Point, end: Point) -> list[Point]:
    """The boundary of the cloth from one point clockwise to the other, both as they are given."""
    ring = shapely.LineString(shapely.orient_polygons(near).exterior.coords)
    low, high = (float(ring.project(shapely.Point(point))) for point in (start, end))
    parts = [substring(ring, low, high)]
    if high < low:
        parts = [substring(ring, low, ring.length), substring(ring, 0.0, high)]
    points = [(float(x), float(y)) for part in parts for x, y in part.coords]
    inside = [point for point in points if min(_off(point, start), _off(point, end)) > _NEAR_MM]
    return [start, *dict.fromkeys(inside), end]


def _off(one: Point, other: Point) -> float:
    return abs(one[0] - other[0]) + abs(one[1] - other[1])
