"""Band: a strip cut to the length of the edges it joins."""

from typing import ClassVar, Literal

from pydantic import Field

from webapp.draft.moves.base import (
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    figure_field,
)
from webapp.draft.moves.rectangle import rectangle_outline
from webapp.draft.words import Sentence

EDGE_NAMES = ("join", "right end", "free edge", "left end")


class Band(ShapingMove):
    """A strip: a neckband, a waistband, a binding, a tie."""

    title: ClassVar[str] = "Band"
    purpose: ClassVar[str] = "Start a strip as long as the edges it is sewn to."
    starts_a_piece: ClassVar[bool] = True

    kind: Literal["band"] = "band"
    length: FigureText = figure_field(
        "Length", "The edges it joins, such as 2 * (Front.neck + Back.neck)."
    )
    width: FigureText = figure_field("Finished width", "As it will be seen.")
    folded: bool = Field(
        True,
        title="Folded lengthwise",
        description="Cut twice as wide and folded in half.",
        json_schema_extra={"ask": "switch"},
    )

    def apply(self, work: Workpiece) -> Shaped:
        """Draw the strip along the cloth's width, the join edge on top; on the fold, its half."""
        length = work.length_mm("length", self.length)
        width = work.length_mm("finished width", self.width)
        flat = 2 * width if self.folded else width
        drawn = length / 2 if work.on_fold else length
        outline = rectangle_outline(work, drawn, flat, EDGE_NAMES)
        text = "Draw a strip {length} long and {flat width} wide"
        if work.on_fold:
            text = "Draw a strip {half the length} long and {flat width} wide, its left end "
            text += "on the fold"
        if self.folded:
            text += "; folded lengthwise it is {width} wide"
        figures = {"length": length, "width": width, "flat width": flat}
        formulas = {
            "length": self.length,
            "half the length": f"({self.length}) / 2",
            "width": self.width,
            "flat width": f"2 * ({self.width})" if self.folded else self.width,
        }
        words = Sentence(f"{text}.", figures | {"half the length": length / 2}, formulas)
        return Shaped(outline, figures, (words,))
