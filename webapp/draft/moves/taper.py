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
from webapp.draft.moves.corners import with_corner_moved
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
        way = "in" if by >= 0 else "out"
        words = Sentence(
            f"Mark {{by}} {way} along the {self.end} edge and draw the {self.edge} edge to it.",
            {"by": abs(by)},
            {"by": self.by if by >= 0 else f"-({self.by})"},
        )
        return Shaped(outline, {f"{self.edge} taper": abs(by)}, (words,))
