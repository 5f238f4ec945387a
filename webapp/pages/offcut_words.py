"""Offcuts in words: their sizes and places, the spare, and what came of the recipes tried."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from webapp.cloth.laid import Lay
from webapp.cloth.offcuts import Offcut
from webapp.pages.wording import both_unbroken, unbroken
from webapp.plan.episode import Episode
from webapp.plan.lays import LayPlan
from webapp.plan.leftover_misses import Tried
from webapp.units import System, centimetres, inches

WORTH_TELLING_MM: Final = 10.0
_AT_EDGE_MM: Final = 1.0
_STEP_MM: Final = {"cm": 5.0, "in": 25.4 / 8}


@dataclass(frozen=True)
class Outcome:
    """What came of a recipe that does not fit, or was not tried in every size."""

    name: str
    sentences: tuple[str, ...]


def rounded_down(mm: float, first: System) -> str:
    """A size that is there, down to 0.5 cm and to 1/8 in, each from the exact length."""
    cm, inch = (step * math.floor(mm / step + 1e-9) for step in (_STEP_MM["cm"], _STEP_MM["in"]))
    pair = (centimetres(cm), inches(inch))
    one, other = pair if first == "cm" else pair[::-1]
    return unbroken(f"{one} ({other})")


def where(offcut: Offcut, lay: Lay, first: System) -> str:
    """Where an offcut lies, in the words of the drawing: along the cloth, then across it."""
    start = "fold" if offcut.laid == "folded across" else "start"
    if offcut.y_mm <= _AT_EDGE_MM:
        along = f"at the {start}"
    elif offcut.y_mm >= lay.laid_length_mm - _AT_EDGE_MM:
        along = "past the end of the lay"
    else:
        along = f"{both_unbroken(offcut.y_mm, first)} from the {start}"
    width = lay.cloth.laid_width_mm
    low = offcut.x_mm <= _AT_EDGE_MM
    high = offcut.x_mm + offcut.width_mm >= width - _AT_EDGE_MM
    below, above = ("lower selvedge", "upper selvedge")
    if offcut.laid == "folded":
        below, above = "fold", "two selvedges"
    if low and high:
        across = "the whole width"
    elif low or high:
        across = f"along the {below if low else above}"
    else:
        across = f"{both_unbroken(offcut.x_mm, first)} in from the {below}"
    return f"{along[0].upper()}{along[1:]}, {across}"


def size_in_both(width_mm: float, length_mm: float, first: System) -> str:
    return f"{rounded_down(width_mm, first)} × {rounded_down(length_mm, first)}"


def listed_all(words: Iterable[object]) -> str:
    *before, last = map(str, words)
    return f"{', '.join(before)} and {last}" if before else last


def outcome(one: Tried, episode: Episode) -> Outcome:
    return Outcome(one.name, tuple(_outcome_sentences(one, episode)))


def _outcome_sentences(one: Tried, episode: Episode) -> Iterator[str]:
    first, bodies = episode.first_unit, (episode.body, *episode.sizes)
    every = len(one.lacking) == len(bodies)
    for sizes, measures in one.left_out:
        where = "in any size" if every and len(one.left_out) == 1 else f"in {listed_all(sizes)}"
        missing = "measure is missing" if len(measures) == 1 else "measures are missing"
        yield f"Not tried {where}, where the {missing}: {listed_all(measures)}."
    if near := one.miss:
        wide, long = (both_unbroken(mm, first) for mm in near.piece_mm)
        inside = f"The {near.piece} in {near.size}" if len(bodies) > 1 else f"The {near.piece}"
        there = f"the nearest offcut is {size_in_both(*near.offcut_mm, first)}"
        if near.alone:
            yield (
                f"Each piece by itself would fit, but they were not found to fit together. "
                f"{inside} is {wide} × {long}; {there}."
            )
        else:
            yield f"Too large: {inside[0].lower()}{inside[1:]} is {wide} × {long}; {there}."
    elif not one.fits and not every:
        yield "It cannot be drafted as it stands in the sizes that have its measures."


def spare_words(lay: LayPlan, first: System) -> str:
    """A sentence on the pieces that could be cut once more from the length; empty without."""
    if not lay.spare_pieces:
        return ""
    what = f"{listed_all(lay.spare_pieces)} can be cut once more, should one go wrong"
    if lay.spare_mm < WORTH_TELLING_MM:
        return f"{what}: the spare is cut from among the offcuts, so cut the extra last."
    bought = both_unbroken(lay.spare_mm, first)
    return f"{what}: {bought} of the length was bought for that, so cut the extra last."
