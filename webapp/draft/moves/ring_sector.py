"""Ring sector: the shape of a circle skirt, of a collar, of a flared frill."""

import math
from fractions import Fraction
from typing import ClassVar, Final, Literal

from webapp.draft.expressions import read
from webapp.draft.moves.arcs import arc
from webapp.draft.moves.base import (
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    figure_field,
    share_field,
)
from webapp.draft.outline import Edge, Outline, Point, straight
from webapp.draft.words import Sentence

_LEAST_SHARE: Final = 0.02  # of a circle; less is better drawn as a rectangle
_MOST_SHARE: Final = 0.9  # more leaves no cloth between the sides for their allowances
_LARGEST_PART: Final = 24  # 1/24 of a circle is 15°; other angles are told in degrees
_SAME_SHARE: Final = 0.0005  # of a circle: 3 mm along an arc of 1 m radius


class RingSector(ShapingMove):
    """A share of a ring: the inner edge has the length asked for, the outer follows."""

    title: ClassVar[str] = "Ring or part of one"
    purpose: ClassVar[str] = "Start a circle skirt or any share of one from its waist."
    starts_a_piece: ClassVar[bool] = True

    kind: Literal["ring sector"] = "ring sector"
    inner: FigureText = figure_field("Waist line", "The whole inner edge this piece makes.")
    length: FigureText = figure_field("Length", "From the waist line to the hem.")
    share: FigureText = share_field(
        "Share of a circle", "1/2 for a half circle, 1/4 for a quarter.", "1/2"
    )

    def apply(self, work: Workpiece) -> Shaped:
        """Draw the sector around its centre line; on the fold, its right half.

        Radius = inner edge / angle (arc length = radius times angle in radians).
        """
        work.refuse_second_shape()
        inner = work.length_mm("waist line", self.inner)
        length = work.length_mm("length", self.length)
        share = work.share("share of a circle", self.share, _LEAST_SHARE, 1.0)
        if share > _MOST_SHARE:
            raise work.refusal(
                "so much of a circle leaves no cloth for its seam; draw half of the waist line "
                "as half a circle and cut two"
            )
        radius = inner / (2 * math.pi * share)
        half = math.pi * share
        outline = _half(radius, length, half) if work.on_fold else _whole(radius, length, half)
        figures = {"radius": radius, "length": length, "outer radius": radius + length}
        drawn = f"({self.inner}) / (2 * pi * ({self.share}))"
        formulas = {
            "radius": drawn, "length": self.length, "outer radius": f"{drawn} + ({self.length})"
        }  # fmt: skip
        where = ", its centre on the line of the fold" if work.on_fold else ""
        texts = (
            f"Draw an arc with the radius {{.radius}}{where}: the waist.",
            "From the same centre draw a second arc, radius {.outer radius}: the hem.",
        )
        words = (Sentence(text, figures, formulas, whys=_why(self.share)) for text in texts)
        return Shaped(outline, figures, (*words, self._kept(share, inner, work.on_fold)))

    def _kept(self, share: float, inner: float, on_fold: bool) -> Sentence:
        """What to keep of the ring: its share, or its length where the share may differ by body."""
        if not read(self.share).names:
            return Sentence(_share_kept(share, on_fold))
        kept, formula = (inner / 2, f"({self.inner}) / 2") if on_fold else (inner, self.inner)
        ends = ", from the fold" if on_fold else ""
        side = "side runs" if on_fold else "sides run"
        return Sentence(
            f"Keep {{waist line}} along the inner arc{ends}: the {side} straight out from the "
            "centre of the arcs.",
            {"waist line": kept},
            {"waist line": formula},
        )


def _half(radius: float, length: float, half_turn: float) -> Outline:
    centre, outer = (0.0, -radius), radius + length
    waist = Edge("waist", arc(centre, radius, math.pi / 2, -half_turn))
    hem = Edge("hem", arc(centre, outer, math.pi / 2 - half_turn, half_turn))
    return Outline(
        (
            waist,
            straight("side", waist.end, hem.start),
            hem,
            straight("centre", hem.end, waist.start),
        )
    )


def _whole(radius: float, length: float, half_turn: float) -> Outline:
    centre: Point = (0.0, -radius)
    waist = Edge("waist", arc(centre, radius, math.pi / 2 + half_turn, -2 * half_turn))
    hem = Edge("hem", arc(centre, radius + length, math.pi / 2 - half_turn, 2 * half_turn))
    return Outline(
        (
            waist,
            straight("right side", waist.end, hem.start),
            hem,
            straight("left side", hem.end, waist.start),
        )
    )


def _parts(share: float) -> tuple[str, str]:
    """Half a share of a circle and all of it, as fractions that can be folded off or in degrees."""
    near = Fraction(share).limit_denominator(_LARGEST_PART)
    if abs(near - Fraction(share)) <= _SAME_SHARE:
        return f"{near / 2}", f"{near}"
    degrees = round(180 * share, 1)
    return f"{degrees:g}°", f"{2 * degrees:g}°"


def _why(share: str) -> dict[str, str]:
    """Where the radius comes from."""
    if read(share).names:
        return {
            "radius": "A radius is the length of its arc divided by the angle it spans, in radians."
        }
    _, whole = _parts(read(share).number({}))
    return {
        "radius": f"The waist line is {whole} of a circle, and a whole circle is 6.283 times as "
        "long as its radius."
    }


def _share_kept(share: float, on_fold: bool) -> str:
    """What to keep of the ring; on the fold, what is drawn there and what it opens out to."""
    half, whole = _parts(share)
    if on_fold:
        return f"Keep {half} of the circle beside the fold: opened out it is {whole}."
    return f"Keep {whole} of the circle between the two arcs."
