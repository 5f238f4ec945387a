"""Vee: a straight-sided point cut out of a corner, such as half a neckline."""

from typing import ClassVar, Literal

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
from webapp.draft.moves.corners import cut_off_corner, spoken, way_along
from webapp.draft.outline import straight
from webapp.draft.words import Sentence


class Vee(ShapingMove):
    """A straight line from a point on one edge to a point on the next."""

    title: ClassVar[str] = "Vee"
    purpose: ClassVar[str] = "Cut a straight-sided neckline or corner off."

    kind: Literal["vee"] = "vee"
    edge: EdgeName = edge_field("Along", "The edge the width is marked on.", "top")
    corner: EdgeName = edge_field(
        "From the corner with", "The edge the depth is marked on.", "centre"
    )
    width: FigureText = figure_field("Width", "From the corner along the edge.")
    depth: FigureText = figure_field("Depth", "From the corner down the other edge.")
    name: EdgeName = name_field("Name of the new edge", "", "neck")

    def apply(self, work: Workpiece) -> Shaped:
        """Cut the corner off along a straight line."""
        width = work.length_mm("width", self.width)
        depth = work.length_mm("depth", self.depth)
        across = way_along(work, self.edge, self.corner)
        down = way_along(work, self.corner, self.edge)
        corner, edge = spoken(work, self.corner), spoken(work, self.edge)
        cut = cut_off_corner(work, self.edge, self.corner, width, depth)
        outline = cut.joined(straight(self.name, cut.start, cut.end))
        wide, deep = f"{self.name} width", f"{self.name} depth"
        figures, formulas = {wide: width, deep: depth}, {wide: self.width, deep: self.depth}
        texts = (
            f"Mark {{{wide}}} {across} from the {corner}.",
            f"Mark {{{deep}}} {down} from the {edge}.",
            f"Join the marks with a straight line: the {self.name}.",
        )
        words = tuple(Sentence(text, figures, formulas) for text in texts)
        return Shaped(outline, figures, words)
