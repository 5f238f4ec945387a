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
from webapp.draft.names import edge_called
from webapp.draft.outline import Edge, Line, Point
from webapp.draft.words import Sentence
from webapp.units import both_as_cut


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
        start = self._meet(work, by, edge, before)
        end = self._meet(work, by, edge, after)
        last, first = Line(before.segments[-1].start, start), Line(end, after.segments[0].end)
        outline = work.outline.replaced(self.edge, edge.redrawn(Line(start, end)))
        outline = outline.replaced(before.name, before.redrawn(*before.segments[:-1], last))
        outline = outline.replaced(after.name, after.redrawn(first, *after.segments[1:]))
        added, off = f"{self.edge} added", f"{self.edge} taken off"
        text = (
            f"Draw the {edge_called(self.edge)} again, {{{off}}} inside the first line all along."
        )
        if by >= 0:
            text = (
                f"Draw the {edge_called(self.edge)} again, {{{added}}} out from the first line all "
                "along, and lengthen the edges beside it to meet it."
            )
        words = Sentence(text, {added: by, off: -by}, {added: self.by, off: f"-({self.by})"})
        return Shaped(outline, {added: by}, (words,))

    def _meet(self, work: Workpiece, by: float, edge: Edge, neighbour: Edge) -> Point:
        """Where the moved edge meets the line of its neighbour."""
        ahead = neighbour.start == edge.end
        line = neighbour.segments[0] if ahead else neighbour.segments[-1]
        if not isinstance(line, Line):
            raise work.refusal(
                f"the {edge_called(neighbour.name)} is curved where it meets the {edge.name}"
            )
        nx, ny = outward(edge)
        anchor = (edge.start[0] + by * nx, edge.start[1] + by * ny)
        point = crossing(anchor, direction(edge), line.start, direction(line))
        if point is None:
            raise work.refusal(
                f"the {edge_called(neighbour.name)} goes on in the line of the {edge.name}"
            )
        joint, far = (line.start, line.end) if ahead else (line.end, line.start)
        left = (point[0] - far[0]) * (joint[0] - far[0]) + (point[1] - far[1]) * (joint[1] - far[1])
        if left <= 0:
            raise work.refusal(
                f"moving the {edge_called(edge.name)} {both_as_cut(abs(by), 'cm')} takes away the "
                f"whole {edge_called(neighbour.name)}, {both_as_cut(line.length_mm, 'cm')}"
            )
        return point
