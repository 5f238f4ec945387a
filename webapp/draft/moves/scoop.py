"""Scoop: a curved hollow cut out of a corner, such as half a neckline."""

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
    share_field,
)
from webapp.draft.moves.corners import cut_off_corner, spoken, way_along
from webapp.draft.outline import Cubic, Edge, Point
from webapp.draft.words import Sentence


class Scoop(ShapingMove):
    """A hollow from a point on one edge to a point on the next."""

    title: ClassVar[str] = "Scoop"
    purpose: ClassVar[str] = "Cut a curved neckline or hollow out of a corner."

    kind: Literal["scoop"] = "scoop"
    edge: EdgeName = edge_field("Along", "The edge the width is marked on.", "top")
    corner: EdgeName = edge_field(
        "From the corner with", "The edge the depth is marked on.", "centre"
    )
    width: FigureText = figure_field("Width", "From the corner along the edge.")
    depth: FigureText = figure_field("Depth", "From the corner down the other edge.")
    # 4/3 (sqrt 2 - 1) = 0.5523 makes a quarter of an ellipse.
    fullness: FigureText = share_field(
        "Fullness", "0.55 is a round curve; less is flatter, more is squarer.", "0.55"
    )
    name: EdgeName = name_field("Name of the new edge", "", "neck")

    def apply(self, work: Workpiece) -> Shaped:
        """Cut the hollow: at each end the curve leaves square to the edge it meets."""
        width = work.length_mm("width", self.width)
        depth = work.length_mm("depth", self.depth)
        fullness = work.share("fullness", self.fullness, 0.1, 0.95)
        across = way_along(work, self.edge, self.corner)
        down = way_along(work, self.corner, self.edge)
        corner, edge = spoken(work, self.corner), spoken(work, self.edge)
        cut = cut_off_corner(work, self.edge, self.corner, width, depth)
        curve = _hollow(cut.start, cut.corner, cut.end, fullness)
        outline = cut.joined(Edge(self.name, (curve,)))
        wide, deep = f"{self.name} width", f"{self.name} depth"
        figures, formulas = {wide: width, deep: depth}, {wide: self.width, deep: self.depth}
        texts = (
            f"Mark {{{wide}}} {across} from the {corner}.",
            f"Mark {{{deep}}} {down} from the {edge}.",
            f"Join the marks with a smooth hollow curve: the {self.name}.",
        )
        words = tuple(Sentence(text, figures, formulas) for text in texts)
        return Shaped(outline, figures, words)


def _hollow(start: Point, corner: Point, end: Point, fullness: float) -> Cubic:
    along = (end[0] - corner[0], end[1] - corner[1])
    down = (start[0] - corner[0], start[1] - corner[1])
    return Cubic(
        start,
        (start[0] + fullness * along[0], start[1] + fullness * along[1]),
        (end[0] + fullness * down[0], end[1] + fullness * down[1]),
        end,
    )
