"""Slope: lower one end of an edge, such as the outer end of a shoulder."""

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
from webapp.draft.moves.corners import spoken, way_along, with_corner_moved
from webapp.draft.words import Sentence


class Slope(ShapingMove):
    """Lower the end of an edge down its neighbour."""

    title: ClassVar[str] = "Slope"
    purpose: ClassVar[str] = "Lower one end of an edge: a shoulder, a curved hem's side."

    kind: Literal["slope"] = "slope"
    edge: EdgeName = edge_field("Edge", "The edge to slope.", "top")
    end: EdgeName = edge_field("At its corner with", "The edge it slides down.", "side")
    drop: FigureText = figure_field("Drop", "How far the end comes down.")

    def apply(self, work: Workpiece) -> Shaped:
        """Slide the corner of the two edges along `end`, into the piece."""
        drop = work.length_mm("drop", self.drop)
        outline = with_corner_moved(work, self.edge, self.end, drop)
        name, edge = f"{self.edge} drop", spoken(work, self.edge)
        words = Sentence(
            f"Mark {{{name}}} {way_along(work, self.end, self.edge)} from the {edge}, and draw the "
            f"{edge} again from its other end to the mark.",
            {name: drop},
            {name: self.drop},
        )
        return Shaped(outline, {name: drop}, (words,))
