"""Rectangle: the first act of most garments."""

from typing import ClassVar, Literal

from webapp.draft.moves.base import (
    EdgeName,
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    figure_field,
    name_field,
)
from webapp.draft.names import listed
from webapp.draft.outline import Outline, straight
from webapp.draft.words import Sentence

FOLD_NAMES = ("top", "side", "hem", "centre")
OPEN_NAMES = ("top", "right side", "hem", "left side")


class Rectangle(ShapingMove):
    """A rectangle; on the fold, the width is that of the half."""

    title: ClassVar[str] = "Rectangle"
    purpose: ClassVar[str] = "Start the piece from a width and a length."
    starts_a_piece: ClassVar[bool] = True

    kind: Literal["rectangle"] = "rectangle"
    width: FigureText = figure_field("Width", "Across the piece; on the fold, of its half.")
    length: FigureText = figure_field("Length", "Down the piece.")
    edges: tuple[EdgeName, ...] = name_field(
        "Edge names", "Four names, clockwise from the top. Leave empty for the usual ones.", ()
    )

    def apply(self, work: Workpiece) -> Shaped:
        """Draw the rectangle with its top left corner at the origin."""
        width = work.length_mm("width", self.width)
        length = work.length_mm("length", self.length)
        outline = rectangle_outline(work, width, length, self.edges)
        where = ", its left side on the fold" if work.on_fold else ""
        texts = [f"Draw a rectangle {{width}} wide and {{length}} long{where}."]
        if self.edges:
            texts.append(f"Call its edges, clockwise from the top: {listed(self.edges)}.")
        figures = {"width": width, "length": length}
        formulas = {"width": self.width, "length": self.length}
        words = tuple(Sentence(text, figures, formulas) for text in texts)
        return Shaped(outline, figures, words)


def rectangle_outline(
    work: Workpiece, width_mm: float, length_mm: float, names: tuple[str, ...] = ()
) -> Outline:
    """A rectangle's outline, clockwise from the top edge; `names` are its four edges."""
    work.refuse_second_shape()
    names = names or (FOLD_NAMES if work.on_fold else OPEN_NAMES)
    if len(names) != 4 or len(set(names)) != 4:
        raise work.refusal("a rectangle needs four different edge names")
    top, right, bottom, left = names
    a, b = (0.0, 0.0), (width_mm, 0.0)
    c, d = (width_mm, length_mm), (0.0, length_mm)
    return Outline(
        (
            straight(top, a, b),
            straight(right, b, c),
            straight(bottom, c, d),
            straight(left, d, a),
        )
    )
