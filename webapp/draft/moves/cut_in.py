"""Cut in: narrow a piece below a point on its edge, such as below the arm."""

import math
from dataclasses import replace
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
    spoken,
    straight_edge,
    towards,
    way_along,
)
from webapp.draft.moves.cutting import kept_taken
from webapp.draft.names import edge_called
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
        if edge.taken_mm:
            raise work.refusal(
                f"the {edge_called(self.edge)} has pleats or gathers; cut it in before them"
            )
        if depth >= edge.length_mm:
            raise work.limit("", depth, f"deeper than the {edge_called(self.edge)}", edge.length_mm)
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
            raise work.limit(
                "", by, f"more than the {edge_called(far.name)} is wide", far.length_mm
            )
        under = self._under(work, split, inner, foot, from_start)
        off = math.dist(foot, far.start)
        far = replace(far, taken_mm=kept_taken(work, far, off, from_start=not from_start))
        outline = self._assembled(work.outline, (edge, far), (near_point, split, foot), under)
        figures = {f"{self.upper} depth": depth, f"{self.under} width": by}
        return Shaped(outline, figures, self._words(work, figures, far.name))

    def _words(self, work: Workpiece, figures: dict[str, float], far: str) -> tuple[Sentence, ...]:
        (depth, width), radius = figures, f"{self.under} radius"
        lengths, formulas = dict(figures), {depth: self.depth, width: self.by}
        corner = f"the {spoken(work, self.corner)}"
        texts = [
            f"Mark {{{depth}}} {way_along(work, self.edge, self.corner)} from {corner}; that part "
            f"of it is the {self.upper}.",
            f"From the mark draw {{{width}}} square into the piece: the {self.under}. From its end "
            f"draw the {edge_called(self.edge)} anew to the {spoken(work, far)}, parallel to the "
            "old one.",
        ]
        if self.shape == "rounded":
            lengths[radius] = work.length_mm("rounding", self.radius)
            formulas[radius] = self.radius
            texts.append(f"Round the inner corner with a radius of {{.{radius}}}.")
        return tuple(Sentence(text, lengths, formulas) for text in texts)

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
            trimmed = far.redrawn(Line(foot, far.end))
        else:
            parts = (
                straight(edge.name, foot, joint),
                Edge(self.under, tuple(_reversed(s) for s in reversed(under))),
                straight(self.upper, split, near),
            )
            trimmed = far.redrawn(Line(far.start, foot))
        return outline.replaced(edge.name, *parts).replaced(far.name, trimmed)


def _lies_on(point: Point, edge: Edge) -> bool:
    return math.dist(edge.start, point) + math.dist(point, edge.end) <= edge.length_mm + 1e-6


def _reversed(segment: Segment) -> Segment:
    if isinstance(segment, Line):
        return Line(segment.end, segment.start)
    return type(segment)(*reversed(segment.controls))
