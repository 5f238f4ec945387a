"""Thread: what a seam takes, split by where it comes from, with its waste; and spools."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Final, Literal

from pydantic import Field, field_validator

from webapp.cloth.stitches import (
    GUIDE_STITCH_MM,
    GUIDE_THICKNESS_MM,
    HAND_STITCHES,
    STITCHES,
    HandStitch,
    HandStitches,
    Stitches,
    StitchType,
    edited,
    edited_by_hand,
)
from webapp.draft.recipe import Frozen

WASTE: Final = 0.15
WASTE_SOURCE: Final = "10 to 15 % (apparelscience.com), 15 to 20 % (apparel-merchandising.com)"
LEAST_RATIO, MOST_RATIO, MOST_WASTE_PER_CENT = 1, 100, 50  # less than 1 would not reach its end
LAYER_MM: Final = 0.4  # a layer of medium cloth; common practice, no source
LAYER_G_M2: Final = 160.0  # a cloth of that thickness; common practice, no source
THREADED_MM: Final = 500.0  # sewn from one threading by hand; common practice, no source
TAIL_MM: Final = 150.0  # lost at each: the knot, the end in the needle; common practice, no source

_NOISE: Final = 1e-9  # of a spool: arithmetic noise buys no other one


SpoolMetres = Literal[100, 250, 500, 1000]  # common practice, no source


class ThreadChoices(Frozen):
    """How a maker counts her thread: own ratios by ISO 4915 number or name of a hand stitch."""

    ratios: dict[str, Annotated[float, Field(ge=LEAST_RATIO, le=MOST_RATIO)]] = Field(
        default_factory=dict
    )
    waste_per_cent: float = Field(100 * WASTE, ge=0, le=MOST_WASTE_PER_CENT)
    spool_m: SpoolMetres = 100

    @field_validator("ratios")
    @classmethod
    def _are_known(cls, ratios: dict[str, float]) -> dict[str, float]:
        for key in ratios:
            if key not in STITCHES and key not in HAND_STITCHES:
                raise ValueError(f"“{key}” is no stitch that is known here.")
        return ratios

    @property
    def stitches(self) -> Stitches:
        """The stitch types at these ratios."""
        return edited({key: ratio for key, ratio in self.ratios.items() if key in STITCHES})

    @property
    def hand_stitches(self) -> HandStitches:
        """The hand stitches at these ratios."""
        return edited_by_hand(
            {key: ratio for key, ratio in self.ratios.items() if key in HAND_STITCHES}
        )


@dataclass(frozen=True, slots=True)
class ThreadUse:
    """Millimetres of thread that lie in the seam, and the waste that comes on top."""

    needle_mm: float = 0.0
    bobbin_mm: float = 0.0
    looper_mm: float = 0.0
    waste_mm: float = 0.0

    @property
    def sewn_mm(self) -> float:
        """What lies in the seam."""
        return self.needle_mm + self.bobbin_mm + self.looper_mm

    @property
    def total_mm(self) -> float:
        """What comes off the spools."""
        return self.sewn_mm + self.waste_mm


def together(uses: Iterable[ThreadUse]) -> ThreadUse:
    """The sum, part by part."""
    needle = bobbin = looper = waste = 0.0
    for use in uses:
        needle += use.needle_mm
        bobbin += use.bobbin_mm
        looper += use.looper_mm
        waste += use.waste_mm
    return ThreadUse(needle, bobbin, looper, waste)


def ratio_for(stitch: StitchType, *, stitch_length_mm: float, thickness_mm: float) -> float:
    """Thread for a length of seam, both in one unit, at this stitch length and seam thickness.

    The published ratio holds for the guide's 7 stitches a centimetre, in the thickness of
    `GUIDE_THICKNESS_MM`. Where a geometric formula is published (101, 301, 401, 504), what it
    changes from there to here is added; the other types keep their ratio. So the published ratio
    comes back at the guide's conditions, a longer stitch takes less and a thicker seam more.
    Never less than the threads that lie along the seam, or than the ratio where that is smaller
    yet. ValueError for a stitch of no length or a thickness below zero.
    """
    if not (0 < stitch_length_mm < math.inf and 0 <= thickness_mm < math.inf):
        raise ValueError("A stitch must have a length, and a seam a thickness of zero or more.")
    formula = stitch.formula
    if formula is None:
        return stitch.ratio
    change = formula.ratio(stitch_length_mm, thickness_mm) - formula.ratio(
        GUIDE_STITCH_MM, GUIDE_THICKNESS_MM
    )
    return max(stitch.ratio + change, min(stitch.ratio, formula.along))


def thread_for(
    stitch: StitchType,
    length_mm: float,
    *,
    stitch_length_mm: float,
    thickness_mm: float,
    waste: float = WASTE,
) -> ThreadUse:
    """What a seam of that length and thickness (of all its layers together) takes, mm.

    `waste` is a share of what is sewn: ends, fastening off, trials. ValueError for a length or
    waste below zero, and as `ratio_for`.
    """
    if not (0 <= length_mm < math.inf and 0 <= waste < math.inf):
        raise ValueError("A seam's length and its waste must be zero or more.")
    ratio = ratio_for(stitch, stitch_length_mm=stitch_length_mm, thickness_mm=thickness_mm)
    sewn = ratio * length_mm
    needle = sewn * stitch.needle_share
    under = sewn - needle
    bobbin, looper = (under, 0.0) if stitch.has_bobbin else (0.0, under)
    return ThreadUse(needle, bobbin, looper, waste * sewn)


def hand_thread_for(stitch: HandStitch, length_mm: float, times: int = 1) -> ThreadUse:
    """What a seam sewn by hand takes, begun anew `times` times; its waste are the tails.

    Common practice, no source: the stitch's factor, and `TAIL_MM` for each threading, of which
    there is one for each beginning and one for every `THREADED_MM` sewn. ValueError below zero.
    """
    if not (0 <= length_mm < math.inf and times >= 0):
        raise ValueError("A seam's length must be zero or more.")
    sewn = stitch.ratio * length_mm
    threadings = max(times, math.ceil(sewn / THREADED_MM - _NOISE))
    return ThreadUse(needle_mm=sewn, waste_mm=threadings * TAIL_MM)


def layer_mm(weight_g_m2: float | None = None) -> float:
    """How thick a layer of cloth of that weight is, mm; `LAYER_MM` where it is not known.

    Only a rough rule, in proportion to the weight: a lofty cloth is thicker, a dense one thinner.
    Common practice, no source. ValueError for a weight that is not above zero.
    """
    if weight_g_m2 is None:
        return LAYER_MM
    if not 0 < weight_g_m2 < math.inf:
        raise ValueError("A cloth's weight must be more than zero.")
    return LAYER_MM * weight_g_m2 / LAYER_G_M2


def spools(total_mm: float, per_spool_mm: float) -> int:
    """How many spools of one length hold that much. ValueError for a spool with no thread.

    >>> spools(250_000, 100_000), spools(0, 100_000)
    (3, 0)
    """
    if not (0 <= total_mm < math.inf and 0 < per_spool_mm < math.inf):
        raise ValueError("A spool must hold some thread, and what is needed be zero or more.")
    return math.ceil(total_mm / per_spool_mm - _NOISE)
