"""Pocket place: where a patch pocket is sewn on."""

from typing import ClassVar, Final, Literal

import shapely

from webapp.draft.markings import DrillHole, MarkedLine, Marking
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
from webapp.draft.moves.marking import cloth_of, counted_words, into_piece, lies_within, refuse_name
from webapp.draft.outline import ON_FOLD_MM, Point
from webapp.draft.words import Sentence

_INSIDE_MM: Final = 3.0  # the sewn pocket hides its holes; common practice, no source


class PocketPlace(ShapingMove):
    """A rectangle square to the grain, with holes inside its upper corners."""

    title: ClassVar[str] = "Pocket place"
    purpose: ClassVar[str] = "Mark where a patch pocket is sewn on; on the fold each half gets one."
    family = "mark"

    kind: Literal["pocket place"] = "pocket place"
    edge: EdgeName = edge_field("From the corner of", "An edge that ends there.", "top")
    corner: EdgeName = edge_field("And", "The other edge of the corner.", "side")
    across: FigureText = figure_field("Across", "Across the piece to the pocket’s nearest corner.")
    down: FigureText = figure_field("Down", "From there down or up the piece to that corner.")
    width: FigureText = figure_field("Width", "Of the finished pocket.")
    length: FigureText = figure_field("Length", "Of the finished pocket.")
    name: EdgeName = name_field("Name of the pocket", "", "pocket")

    def apply(self, work: Workpiece) -> Shaped:
        """Mark the rectangle; the outline stays. MoveError where it would leave the piece."""
        refuse_name(work, self.name)
        across = work.length_mm("across", self.across, or_zero=True)
        down = work.length_mm("down", self.down, or_zero=True)
        width, length = work.length_mm("width", self.width), work.length_mm("length", self.length)
        (x, y), (right, lower) = into_piece(
            work, self.edge, self.corner, across, down, or_on_line=True
        )
        (x0, x1), (y0, y1) = sorted((x, x + right * width)), sorted((y, y + lower * length))
        corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        self._refuse_off_piece(work, corners, (width, length))
        holes = self._holes(corners, work.on_fold)
        slots = {f"{self.name} across": across, f"{self.name} down": down}
        words = (
            Sentence(
                f"{counted_words(work, self.edge, self.corner, (right, lower), slots)}: the "
                f"nearest corner of the {self.name}.",
                slots,
                dict(zip(slots, (self.across, self.down), strict=True)),
            ),
            self._drawn(width, length, half=len(holes) == 1),
        )
        marks = (MarkedLine(self.name, "pocket", (*corners, corners[0])), *holes)
        figures = {f"{self.name} width": width, f"{self.name} length": length}
        return Shaped(work.outline, figures, words, (*work.markings, *marks))

    def _drawn(self, width: float, length: float, *, half: bool) -> Sentence:
        """How it is drawn; `half` of it where it runs on over the fold."""
        wide, long = f"{self.name} width", f"{self.name} length"
        what = f"the half of the {self.name} beside the fold" if half else f"the {self.name}"
        corner = "its upper corner" if half else "each upper corner"
        return Sentence(
            f"From there draw {what}, {{{wide}}} wide and {{{long}}} long, and mark a hole "
            f"{{inside}} in and {{inside}} down from {corner}.",
            {wide: width, long: length, "inside": _inside(width, length)},
            {
                wide: self.width,
                long: self.length,
                "inside": f"min({_INSIDE_MM:g} mm, ({self.width}) / 4, ({self.length}) / 4)",
            },
        )

    def _refuse_off_piece(
        self, work: Workpiece, corners: tuple[Point, ...], sides_mm: tuple[float, float]
    ) -> None:
        cloth = cloth_of(work)
        if lies_within(cloth, shapely.Polygon(corners)):
            return
        left, top, right, bottom = cloth.bounds
        for what, side, room in zip(
            ("width", "length"), sides_mm, (right - left, bottom - top), strict=True
        ):
            if side > room:
                raise work.limit(what, side, "more than the piece has", room)
        raise work.refusal(
            f"the {self.name} would reach outside the piece; set it nearer to the middle, or make "
            "it smaller"
        )

    def _holes(self, corners: tuple[Point, ...], on_fold: bool) -> tuple[Marking, ...]:
        """One inside each upper corner; none on the fold, where a pocket runs on."""
        (x0, y0), (x1, _), (_, y1), _ = corners
        inside = _inside(x1 - x0, y1 - y0)
        holes = (("left", x0, x0 + inside), ("right", x1, x1 - inside))
        return tuple(
            DrillHole(f"{self.name} {side}", (x, y0 + inside))
            for side, corner, x in holes
            if not on_fold or abs(corner) > ON_FOLD_MM
        )


def _inside(width: float, length: float) -> float:
    return min(_INSIDE_MM, width / 4, length / 4)
