"""Cut in: narrow a piece below a point on its edge, such as below the arm."""

import math
from typing import ClassVar, Final, Literal

from webapp.draft.moves.arcs import arc
from webapp.draft.moves.base import (
    EdgeName,
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    edge_field,
    figure_field,
    name_field,
    option_field,
)
from webapp.draft.moves.corners import (
    corner_between,
    crossing,
    direction,
    outward,
    straight_edge,
    towards,
)
from webapp.draft.outline import Edge, Line, Outline, Point, Segment, straight
from webapp.draft.words import Sentence

_NO_LENGTH_MM: Final = 1e-6  # a straight part this short is arithmetic noise


class CutIn(ShapingMove):
    """From a depth down an edge, cut square into the piece and on to its other end."""

    title: ClassVar[str] = "Cut in"
    purpose: ClassVar[str] = "Narrow the piece below the arm, square or rounded."

    kind: Literal["cut in"] = "cut in"
    edge: EdgeName = edge_field("Edge", "The edge to cut into.", "side")
    corner: EdgeName = edge_field("Measured from the", "The edge where the depth starts.", "top")
    depth: FigureText = figure_field("Depth", "Down the edge to where the cut starts.")
    by: FigureText = figure_field("In by", "How much narrower the rest becomes.")
    shape: Literal["square", "rounded"] = option_field("Inner corner", "", "rounded")
    radius: FigureText = figure_field("Rounding", "Radius of a rounded inner corner.", "4 cm")
    upper: EdgeName = name_field("Name of the part above", "", "arm")
    under: EdgeName = name_field("Name of the cut", "", "underarm")

    def apply(self, work: Workpiece) -> Shaped:
        """Split the edge at the depth; the rest keeps its name, parallel to where it was."""
        depth, by = work.length_mm("depth", self.depth), work.length_mm("in by", self.by)
        edge = straight_edge(work, self.edge)
        if depth >= edge.length_mm:
            raise work.limit("", depth, f"deeper than the {self.edge} edge", edge.length_mm)
        corner = corner_between(work, self.edge, self.corner)
        from_start = corner.second is edge
        far_edge = work.outline.after(edge.name) if from_start else work.outline.before(edge.name)
        far = straight_edge(work, far_edge.name)
        near_point, far_point = (edge.start, edge.end) if from_start else (edge.end, edge.start)
        nx, ny = outward(edge)
        split = towards(near_point, far_point, depth)
        inner = (split[0] - by * nx, split[1] - by * ny)
        foot = crossing(inner, direction(edge), far.start, direction(far))
        if foot is None or not _lies_on(foot, far):
            raise work.limit("", by, f"more than the {far.name} edge is wide", far.length_mm)
        under = self._under(work, split, inner, foot, from_start)
        lengths, formulas = {"depth": depth, "by": by}, {"depth": self.depth, "by": self.by}
        outline = self._assembled(work.outline, (edge, far), (near_point, split, foot), under)
        words = (
            Sentence(
                f"Mark {{depth}} down the {self.edge} edge from the {self.corner}.",
                lengths,
                formulas,
            ),
            Sentence(
                f"From the mark draw {{by}} square into the piece, then on to the {far.name}.",
                lengths,
                formulas,
            ),
            *self._rounding_words(work),
        )
        figures = {f"{self.upper} depth": depth, f"{self.under} width": by}
        return Shaped(outline, figures, words)

    def _under(
        self, work: Workpiece, split: Point, inner: Point, foot: Point, from_start: bool
    ) -> tuple[Segment, ...]:
        """The cut from the edge to the rest of the side, running away from the near corner."""
        if self.shape == "square":
            return (Line(split, inner),)
        radius = work.length_mm("rounding", self.radius)
        room = min(math.dist(split, inner), math.dist(inner, foot))
        if radius > room + _NO_LENGTH_MM:
            raise work.limit("rounding", radius, "more than there is room for", room)
        radius = min(radius, room)
        ahead = towards(inner, split, radius)
        below = towards(inner, foot, radius)
        centre = (ahead[0] + below[0] - inner[0], ahead[1] + below[1] - inner[1])
        start = math.atan2(ahead[1] - centre[1], ahead[0] - centre[0])
        turn = -math.pi / 2 if from_start else math.pi / 2
        curve = arc(centre, radius, start, turn)
        straight_part = () if math.dist(split, ahead) < _NO_LENGTH_MM else (Line(split, ahead),)
        return (*straight_part, *curve)

    def _rounding_words(self, work: Workpiece) -> tuple[Sentence, ...]:
        if self.shape == "square":
            return ()
        radius = work.length_mm("rounding", self.radius)
        text = "Round the inner corner with a radius of {radius}."
        return (Sentence(text, {"radius": radius}, {"radius": self.radius}),)

    def _assembled(
        self,
        outline: Outline,
        edges: tuple[Edge, Edge],
        points: tuple[Point, Point, Point],
        under: tuple[Segment, ...],
    ) -> Outline:
        """The outline with the edge split at the cut and the far edge shortened to its foot."""
        (edge, far), (near, split, foot) = edges, points
        joint = under[-1].end
        if edge.start == near:
            parts = (
                straight(self.upper, near, split),
                Edge(self.under, under),
                straight(edge.name, joint, foot),
            )
            trimmed = straight(far.name, foot, far.end)
        else:
            parts = (
                straight(edge.name, foot, joint),
                Edge(self.under, tuple(_reversed(s) for s in reversed(under))),
                straight(self.upper, split, near),
            )
            trimmed = straight(far.name, far.start, foot)
        return outline.replaced(edge.name, *parts).replaced(far.name, trimmed)


def _lies_on(point: Point, edge: Edge) -> bool:
    return math.dist(edge.start, point) + math.dist(point, edge.end) <= edge.length_mm + 1e-6


def _reversed(segment: Segment) -> Segment:
    if isinstance(segment, Line):
        return Line(segment.end, segment.start)
    return type(segment)(*reversed(segment.controls))
