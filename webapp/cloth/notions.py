"""Elastic, zips, buttons and binding: what to buy of them, and why, from the figures given.

Lengths are mm; texts show them in both units. ValueError, with a sentence, for a figure that no
such thing can have.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from webapp.draft.bias import square_for_strip_mm
from webapp.units import (
    MM_PER_INCH,
    System,
    both,
    both_as_cut,
    metres_to_buy,
    parse_length,
    yards_to_buy,
)

ELASTIC_ENDS_MM: Final = 25.0  # overlapped and sewn into a ring; common practice, no source
BINDING_ENDS_MM: Final = 50.0  # joined or turned in; common practice, no source
# A casing is wider than its elastic by 1/4 to 1/2 in: lightsalmonsweet.pages.dev (read).
CASING_MORE_MM: Final = (MM_PER_INCH / 4, MM_PER_INCH / 2)
# How elastic compares with the waist. The sources are at odds: 2 to 4 in less
# (lightsalmonsweet.pages.dev, read), 1 in more (webpages.charter.net/lara_the_lacemaker, read).
ELASTIC_AGAINST_WAIST_MM: Final = (-4 * MM_PER_INCH, MM_PER_INCH)
# Longer than the button by 1/8 in, and lapped by 3/4 of it: trantor.is, a sewing book (read).
BUTTONHOLE_MORE_MM: Final = MM_PER_INCH / 8
LAP_SHARE: Final = 0.75
# What measured squares gave of the area rule: ronbd.com (an aggregator; read, low).
SQUARE_YIELDS: Final = (0.83, 0.89)
JOIN_MM: Final = 6.0  # allowance where strips are joined; common practice, no source
# Lengths that zips are sold in: common practice, from memory.
ZIPS_CM: Final = (10, 12, 15, 18, 20, 22, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80)
ZIPS_IN: Final = (4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30, 32)


@dataclass(frozen=True, slots=True)
class ToBuy:
    """What to ask for in a shop and why. `metres` and `yards` only of what comes off a roll.

    `count` is how many are paid for, of what says so itself.
    """

    amount: str
    why: tuple[str, ...]
    metres: str = ""
    yards: str = ""
    count: int = 0


@dataclass(frozen=True, slots=True)
class Strips:
    """Strips cut from a cloth: how many, and the length of cloth that gives them, mm."""

    count: int
    cloth_mm: float


def elastic(
    length_mm: float, width_mm: float, ends_mm: float | None, count: int, first: System
) -> ToBuy:
    """Elastic that is `length_mm` long once it is sewn in, so many times."""
    ends = ELASTIC_ENDS_MM if ends_mm is None else ends_mm
    less, more = (abs(mm) for mm in ELASTIC_AGAINST_WAIST_MM)
    why = [_cut("once it is sewn in it is", length_mm, ends, count, first)]
    if width_mm > 0:
        low, high = casing_mm(width_mm)
        why.append(
            f"Its casing is {both_as_cut(low, first)} to {both_as_cut(high, first)} wide inside, "
            "so that it lies flat and can be drawn through."
        )
    why.append(
        f"Rules for a waist are at odds, from {both(less, first)} less than the body to "
        f"{both(more, first)} more: try it on before you sew it."
    )
    return _off_the_roll(length_mm, ends, width_mm, count, first, why)


def casing_mm(width_mm: float) -> tuple[float, float]:
    """The least and the most width inside a casing for elastic of this width, mm."""
    return width_mm + CASING_MORE_MM[0], width_mm + CASING_MORE_MM[1]


def zip_fastener(opening_mm: float, count: int, first: System) -> ToBuy:
    """The zip for an opening: the next usual length, in each unit by itself."""
    _refuse_nothing(opening_mm, "The opening for the zip")
    metric = next_zip(opening_mm, "cm")
    imperial = next_zip(opening_mm, "in")
    why = f"The opening is {both_as_cut(opening_mm, first)} long."
    if metric is None or imperial is None:
        amount = f"{count} by the length, for {both(opening_mm, first)}"
        return ToBuy(amount, (f"{why} Zips sold singly are shorter: buy one off the roll.",))
    pair = (f"{metric} cm", f"{imperial} in")
    one, other = pair if first == "cm" else pair[::-1]
    return ToBuy(
        f"{count}, {one} long (or {other}, as they are sold)",
        (f"{why} The next usual length is taken; a bar of stitches shortens a longer one.",),
    )


def next_zip(opening_mm: float, unit: System) -> int | None:
    """The shortest zip that is as long as the opening, in the unit; None when none is."""
    lengths, unit_mm = (ZIPS_CM, 10.0) if unit == "cm" else (ZIPS_IN, MM_PER_INCH)
    return next((one for one in lengths if one * unit_mm >= opening_mm - 1e-6), None)


def buttons(diameter_mm: float, thickness_mm: float, count: int, first: System) -> ToBuy:
    """Buttons, and the buttonhole they need."""
    _refuse_nothing(diameter_mm, "The button")
    more = both(BUTTONHOLE_MORE_MM, first, allowance=True)
    plain = both_as_cut(diameter_mm + BUTTONHOLE_MORE_MM, first)
    if thickness_mm > 0:
        hole = both_as_cut(buttonhole_mm(diameter_mm, thickness_mm), first)
        why = (
            f"Buttonholes are {hole} long: across and through the button. Another rule adds "
            f"{more} to what it is across, {plain}. Sew one on a scrap first."
        )
    else:
        why = (
            f"Buttonholes are {plain} long: {more} more than the button. A thick one needs as "
            "much more as it is thick. Sew one on a scrap first."
        )
    lap = f"They lap past the centre by at least {both_as_cut(lap_mm(diameter_mm), first)}."
    return ToBuy(f"{count}, {both_as_cut(diameter_mm, first)} across", (why, lap))


def buttonhole_mm(diameter_mm: float, thickness_mm: float) -> float:
    """Length of a buttonhole: the button's diameter and thickness (sewing.about.com, read)."""
    return diameter_mm + thickness_mm


def lap_mm(diameter_mm: float) -> float:
    """How far an edge goes past the centre at the least: three quarters of the button."""
    return LAP_SHARE * diameter_mm


def binding(
    length_mm: float,
    width_mm: float,
    ends_mm: float | None,
    count: int,
    cloths: Sequence[tuple[str, float]],
    first: System,
) -> ToBuy:
    """Binding as wide as it is cut: to buy, or to cut from one of the cloths (name, width mm)."""
    _refuse_nothing(width_mm, "The width the binding is cut")
    ends = BINDING_ENDS_MM if ends_mm is None else ends_mm
    total = (length_mm + ends) * count
    low, high = (f"{share:.0%}".removesuffix("%") for share in SQUARE_YIELDS)
    why = [_cut("the edge is", length_mm, ends, count, first)]
    made = _off_the_roll(length_mm, ends, width_mm, count, first, why)
    safe = math.sqrt(total * width_mm / SQUARE_YIELDS[0])
    why.append(
        f"Cut as one continuous strip it takes a square of {_square(total, width_mm, first)} by "
        f"the area rule, which says too much: squares that were measured gave {low} to {high} "
        f"% of it. One of {_up_to_whole(safe, first)} is safe."
    )
    for name, across_mm in cloths:
        bias = bias_strips(total, width_mm, across_mm)
        straight = straight_strips(total, width_mm, across_mm)
        why.append(
            f"From {name}: {_strips(bias.count)} on the bias from {both(bias.cloth_mm, first)} of "
            f"its length; for straight edges {_strips(straight.count)} across it from "
            f"{both_as_cut(straight.cloth_mm, first)}."
        )
    return ToBuy(made.amount, tuple(why), made.metres, made.yards)


def bias_strips(length_mm: float, width_mm: float, across_mm: float) -> Strips:
    """Strips at 45 degrees from selvedge to selvedge of a cloth so wide, joined to that length.

    Geometry: a full strip is across x root 2 long and takes width x root 2 of the selvedge; the
    first one begins as far along as the cloth is wide. A join takes its allowance twice, slanting.
    """
    _refuse_nothing(across_mm, "The cloth the binding is cut from")
    slant = math.sqrt(2)
    count = _how_many(length_mm, across_mm * slant, 2 * JOIN_MM * slant)
    reach = min(across_mm, length_mm / slant) if count == 1 else across_mm
    return Strips(count, reach + count * width_mm * slant)


def straight_strips(length_mm: float, width_mm: float, across_mm: float) -> Strips:
    """Strips across a cloth so wide, from selvedge to selvedge, joined to that length."""
    _refuse_nothing(across_mm, "The cloth the binding is cut from")
    count = _how_many(length_mm, across_mm, 2 * JOIN_MM)
    return Strips(count, count * width_mm)


def _how_many(length_mm: float, each_mm: float, join_mm: float) -> int:
    if each_mm <= join_mm:
        raise ValueError("The cloth is too narrow to cut strips from.")
    return max(1, math.ceil((length_mm - join_mm) / (each_mm - join_mm) - 1e-9))


def _off_the_roll(
    length_mm: float,
    ends_mm: float,
    width_mm: float,
    count: int,
    first: System,
    why: list[str],
) -> ToBuy:
    """A length up to the next 0.1 m and 1/8 yd that covers what is cut, in each unit as printed."""
    cut = length_mm + ends_mm
    printed = both_as_cut(cut, "cm").removesuffix(")").split(" (")
    each = [max(cut, parse_length(text, None).mm) for text in printed]
    metres, yards = metres_to_buy(each[0] * count), yards_to_buy(each[1] * count)
    one, other = (metres, yards) if first == "cm" else (yards, metres)
    wide = f", {both_as_cut(width_mm, first)} wide" if width_mm > 0 else ""
    return ToBuy(f"{one} ({other}){wide}", tuple(why), metres, yards)


def _cut(where: str, length_mm: float, ends_mm: float, count: int, first: System) -> str:
    """`Cut 38.5 cm (15 1/8 in), its ends included: once it is sewn in it is 35.5 cm (14 in).`"""
    _refuse_nothing(length_mm, "The length")
    if ends_mm < 0:
        raise ValueError("What is added for the ends cannot be less than nothing.")
    times = f" {count} times" if count > 1 else ""
    return (
        f"Cut {both_as_cut(length_mm + ends_mm, first)}{times}, its ends included: {where} "
        f"{both_as_cut(length_mm, first)}."
    )


def _square(length_mm: float, width_mm: float, first: System) -> str:
    """The square that gives a strip, up to the next whole inch and centimetre."""
    inch = f"{square_for_strip_mm(length_mm, width_mm) / MM_PER_INCH:.0f} in"
    cm = f"{math.ceil(math.sqrt(length_mm * width_mm) / 10 - 1e-9)} cm"
    return f"{cm} ({inch})" if first == "cm" else f"{inch} ({cm})"


def _up_to_whole(mm: float, first: System) -> str:
    cm, inch = math.ceil(mm / 10 - 1e-9), math.ceil(mm / MM_PER_INCH - 1e-9)
    return f"{cm} cm ({inch} in)" if first == "cm" else f"{inch} in ({cm} cm)"


def _strips(count: int) -> str:
    return "one strip" if count == 1 else f"{count} strips"


def _refuse_nothing(mm: float, what: str) -> None:
    if mm <= 0:
        raise ValueError(f"{what} must be more than nothing.")
