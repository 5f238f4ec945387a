"""How fast the work goes: one table of rates, each with its range and where it comes from.

A range holds 4 in 5 of what makers take at home: it differs from maker to maker and from one time
to the next. `low` is the smallest figure, not the shortest time: of a speed it gives the longest.
They are a start: `learning` moves them as a maker's own times are known.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Annotated, Final

from pydantic import Field, StringConstraints, model_validator

from webapp.draft.construction import ShortText
from webapp.draft.recipe import Frozen

COMMON: Final = "common practice, no source"
_SPEED_READ: Final = (
    "published 250 to 1,000 (katieskitchenblog.com, stitches a minute), up to 1,500 "
    "(kids.britannica.com 277005); the likely figure is common practice, no source"
)
_HAND_READ: Final = (
    "23 in fine linen, 30 in fine silk, measured 1861: Cooper, Smithsonian Bulletin 254 (1968); "
    "the low figure is common practice, no source"
)


@dataclass(frozen=True, slots=True)
class Rate:
    """A rate from low to high, 1 in 10 below it and 1 in 10 above. `what` says it in words."""

    key: str
    what: str
    low: float
    likely: float
    high: float
    unit: str
    source: str = COMMON

    def __post_init__(self) -> None:
        if not 0 < self.low <= self.likely <= self.high:
            raise ValueError(f"The rate “{self.key}” must rise from low to high, above zero.")

    @property
    def limits(self) -> tuple[float, float]:
        """The least and the most that a figure of a maker's own can be: a hundredth of the likely
        one and a hundred times it, to two digits, and of a share no more than the whole. Beyond
        is a slip, and minutes so many that they have no date."""
        least, most = (float(f"{at:.2g}") for at in (self.likely / 100, self.likely * 100))
        return least, min(most, 1.0) if self.unit == "share" else most


Rates = Mapping[str, Rate]
RateKey = Annotated[str, StringConstraints(min_length=1, max_length=60)]


class NotedRates(Mapping[str, Rate]):
    """The rates, noting which are read: an estimate made with them knows what it is made of."""

    def __init__(self, rates: Rates) -> None:
        self._rates = rates
        self._read: dict[str, None] = {}

    @property
    def read(self) -> tuple[str, ...]:
        """The keys of the rates that were read, in the order of their first reading."""
        return tuple(self._read)

    def __getitem__(self, key: str) -> Rate:
        found = self._rates[key]
        self._read[key] = None
        return found

    def __contains__(self, key: object) -> bool:
        return key in self._rates  # to ask whether there is one is not to count with it

    def __iter__(self) -> Iterator[str]:
        return iter(self._rates)

    def __len__(self) -> int:
        return len(self._rates)


class OwnRate(Frozen):
    """What a maker put in the place of a rate of the table."""

    key: RateKey
    low: float = Field(gt=0, le=1e6)
    likely: float = Field(gt=0, le=1e6)
    high: float = Field(gt=0, le=1e6)
    note: ShortText = ""  # why, in her words

    @model_validator(mode="after")
    def _rises(self) -> "OwnRate":
        if not self.low <= self.likely <= self.high:
            raise ValueError("The three should rise: the smallest, the likely, the largest.")
        return self


def table(*rates: Rate) -> Rates:
    """The rates by their keys, read-only."""
    return MappingProxyType({rate.key: rate for rate in rates})


def can_be_used(own: OwnRate, rates: Rates) -> bool:
    """Whether the table has such a rate and the own figures are within its limits."""
    if own.key not in rates:
        return False
    least, most = rates[own.key].limits
    return least <= own.low and own.high <= most


def with_own(rates: Rates, own: Iterable[OwnRate]) -> Rates:
    """The table with the maker's own rates in it, those that can be used."""
    changed = {
        one.key: replace(
            rates[one.key],
            low=one.low,
            likely=one.likely,
            high=one.high,
            source="yours" + (f": {one.note}" if one.note else ""),
        )
        for one in own
        if can_be_used(one, rates)
    }
    return MappingProxyType({**rates, **changed})


RATES: Final = table(
    Rate("draw: figure", "measure and mark one figure", 0.3, 0.5, 1, "min"),
    Rate("draw: line", "draw the cut line", 0.3, 0.6, 1.2, "min a metre"),
    Rate("cut: scissors", "cut along a line", 500, 1000, 1800, "mm a minute"),
    Rate("cut: rotary cutter", "cut along a line", 1000, 2000, 3500, "mm a minute"),
    Rate("cut: handling", "weigh down, lift and label a piece", 0.5, 1, 2, "min each"),
    Rate("pin: spacing", "pins or clips in a seam", 5, 8, 12, "pins a metre"),
    Rate("pin: one", "set a pin and take it out again", 4, 6, 10, "s a pin"),
    Rate("pin: handling", "lay edges together, match notches", 0.3, 0.6, 1.5, "min each"),
    Rate("machine: speed", "a domestic machine", 600, 800, 1000, "stitches/min", _SPEED_READ),
    Rate("machine: share", "of the seam's time spent at speed", 0.3, 0.4, 0.55, "share"),
    Rate("machine: handling", "place, fasten both ends, take out", 0.3, 0.6, 1.2, "min each"),
    Rate("machine: corner", "pivot, or cross another seam", 0.1, 0.2, 0.5, "min each"),
    Rate("overlock: speed", "a domestic overlocker", 900, 1200, 1500, "stitches/min"),
    Rate("overlock: handling", "place, chain off, secure the tail", 0.4, 0.8, 1.5, "min each"),
    Rate("hand: plain", "a stitch in and out", 15, 23, 30, "stitches/min", _HAND_READ),
    Rate("hand: running stitch", "several on the needle", 20, 28, 40, "stitches/min"),
    Rate("hand: tacking", "long, in single thread", 15, 22, 30, "stitches/min"),
    Rate("hand: backstitch", "each set back by its length", 10, 16, 23, "stitches/min"),
    Rate("hand: slip stitch", "catch a thread, run in the fold", 8, 12, 18, "stitches/min"),
    Rate("hand: hemming stitch", "slanting over the fold", 10, 15, 22, "stitches/min"),
    Rate("hand: overcast", "over the edge", 12, 18, 26, "stitches/min"),
    Rate("hand: buttonhole stitch", "with a purl at each stitch", 4, 7, 11, "stitches/min"),
    Rate("hand: handling", "thread, knot, fasten off", 0.5, 1, 2, "min each"),
    Rate("hand length: plain", "usual length", 2, 2.5, 4, "mm"),
    Rate("hand length: running stitch", "usual length", 2.5, 3.5, 5, "mm"),
    Rate("hand length: tacking", "usual length", 10, 15, 25, "mm"),
    Rate("hand length: backstitch", "usual length", 2, 3, 4, "mm"),
    Rate("hand length: slip stitch", "usual length", 4, 6, 10, "mm"),
    Rate("hand length: hemming stitch", "usual length", 3, 5, 8, "mm"),
    Rate("hand length: overcast", "usual length", 3, 4, 6, "mm"),
    Rate("hand length: buttonhole stitch", "usual length", 1, 1.5, 2, "mm"),
    Rate("press: line", "press along a seam or edge", 0.5, 1, 2, "min a metre"),
    Rate("press: handling", "lay on the board, take off", 0.3, 0.5, 1, "min each"),
    Rate("turn: line", "ease the seam out to the edge", 0.5, 1, 2, "min a metre"),
    Rate("turn: handling", "turn right side out, push corners", 0.5, 1, 3, "min each"),
    Rate("try on", "put on, look, pin, take off", 6, 10, 18, "min"),
    Rate("other", "work with no length and no time typed", 2, 4, 8, "min"),
)
