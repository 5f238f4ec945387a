"""Extend: push a straight edge out, or pull it in, keeping it parallel."""

from typing import ClassVar, Literal

from webapp.draft.moves.base import (
    EdgeName,
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    edge_field,
    figure_field,
)
from webapp.draft.moves.corners import crossing, direction, outward, straight_edge
from webapp.draft.outline import Edge, Line, Point, straight
from webapp.draft.words import Sentence


class Extend(ShapingMove):
    """Move an edge parallel to itself; its neighbours follow along their own lines."""

    title: ClassVar[str] = "Extend"
    purpose: ClassVar[str] = "Add to an edge, or take off with a minus sign."

    kind: Literal["extend"] = "extend"
    edge: EdgeName = edge_field("Edge", "The straight edge to move.", "hem")
    by: FigureText = figure_field("By", "Out from the piece; write -2 cm to shorten.")

    def apply(self, work: Workpiece) -> Shaped:
        """Shift the edge along its outward normal and lengthen its neighbours to meet it."""
        by = work.signed_mm("by", self.by)
        edge = straight_edge(work, self.edge)
        before, after = work.outline.before(self.edge), work.outline.after(self.edge)
        nx, ny = outward(edge)
        anchor = (edge.start[0] + by * nx, edge.start[1] + by * ny)
        start = self._meet(work, anchor, edge, before.segments[-1])
        end = self._meet(work, anchor, edge, after.segments[0])
        last, first = Line(before.segments[-1].start, start), Line(end, after.segments[0].end)
        outline = work.outline.replaced(self.edge, straight(self.edge, start, end))
        outline = outline.replaced(before.name, Edge(before.name, (*before.segments[:-1], last)))
        outline = outline.replaced(after.name, Edge(after.name, (first, *after.segments[1:])))
        way = "out from" if by >= 0 else "inside"
        words = Sentence(
            f"Draw the {self.edge} edge again, {{by}} {way} the first line.", {"by": abs(by)}
        )
        return Shaped(outline, {f"{self.edge} added": by}, (words,))

    def _meet(self, work: Workpiece, anchor: Point, edge: Edge, neighbour: object) -> Point:
        if not isinstance(neighbour, Line):
            raise work.refusal(f"an edge beside the {self.edge} edge is curved where they meet")
        point = crossing(anchor, direction(edge), neighbour.start, direction(neighbour))
        if point is None:
            raise work.refusal(f"an edge beside the {self.edge} edge runs along with it")
        kept = neighbour.end if neighbour.start in (edge.start, edge.end) else neighbour.start
        moved = neighbour.start if kept is neighbour.end else neighbour.end
        left = (moved[0] - kept[0]) * (point[0] - kept[0]) + (moved[1] - kept[1]) * (
            point[1] - kept[1]
        )
        if left <= 0:
            raise work.limit("", neighbour.length_mm, "all there is beside it", 0.0)
        return point
