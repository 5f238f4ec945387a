"""Taper: bring one end of an edge in, or let it out."""

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
from webapp.draft.moves.corners import spoken, with_corner_moved
from webapp.draft.words import Sentence


class Taper(ShapingMove):
    """Move the end of an edge along its neighbour: in if positive, out if negative."""

    title: ClassVar[str] = "Taper"
    purpose: ClassVar[str] = "Bring a side in at one end, or flare it out with a minus sign."

    kind: Literal["taper"] = "taper"
    edge: EdgeName = edge_field("Edge", "The edge to slant.", "side")
    end: EdgeName = edge_field("At its corner with", "The edge the end moves along.", "hem")
    by: FigureText = figure_field("By", "In towards the piece; write -2 cm to flare out.")

    def apply(self, work: Workpiece) -> Shaped:
        """Slide the corner of the two edges along `end`."""
        by = work.signed_mm("by", self.by)
        outline = with_corner_moved(work, self.edge, self.end, by)
        name, edge = f"{self.edge} taper", spoken(work, self.edge)
        text = f"Mark {{{name}}} in along the {spoken(work, self.end)} from the {edge}, and draw "
        text += f"the {edge} again from its other end to the mark."
        if by < 0:
            text = f"Lengthen the {spoken(work, self.end)} by {{{name}}} beyond the {edge}, and "
            text += f"draw the {edge} again from its other end to there."
        formula = self.by if by >= 0 else f"-({self.by})"
        words = Sentence(text, {name: abs(by)}, {name: formula})
        return Shaped(outline, {name: abs(by)}, (words,))
