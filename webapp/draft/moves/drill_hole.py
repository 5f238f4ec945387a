"""Drill hole: a point marked inside the piece, such as where a button or a tie is sewn on."""

from typing import ClassVar, Literal

from webapp.draft.markings import DrillHole as Mark
from webapp.draft.moves.base import (
    EdgeName,
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    edge_field,
    figure_field,
    name_field,
)
from webapp.draft.moves.marking import counted_words, into_piece, refuse_name
from webapp.draft.words import Sentence


class DrillHole(ShapingMove):
    """A point counted from a corner, across and down the piece as it is drawn."""

    title: ClassVar[str] = "Drill hole"
    purpose: ClassVar[str] = "Mark a point inside the piece: a button, a tie, a corner."
    family = "mark"

    kind: Literal["drill hole"] = "drill hole"
    edge: EdgeName = edge_field("From the corner of", "An edge that ends there.", "top")
    corner: EdgeName = edge_field("And", "The other edge of the corner.", "side")
    across: FigureText = figure_field("Across", "From the corner, across the piece.")
    down: FigureText = figure_field("Down", "From there down or up the piece, inwards.")
    name: EdgeName = name_field("Name of the point", "", "point")

    def apply(self, work: Workpiece) -> Shaped:
        """Mark the point; the outline stays."""
        refuse_name(work, self.name)
        across = work.length_mm("across", self.across, or_zero=True)
        down = work.length_mm("down", self.down, or_zero=True)
        point, way = into_piece(work, self.edge, self.corner, across, down)
        slots = {f"{self.name} across": across, f"{self.name} down": down}
        words = Sentence(
            f"{counted_words(work, self.edge, self.corner, way, slots)}, and mark the {self.name} "
            "with a circle and a cross.",
            slots,
            dict(zip(slots, (self.across, self.down), strict=True)),
        )
        return Shaped(work.outline, {}, (words,), (*work.markings, Mark(self.name, point)))
