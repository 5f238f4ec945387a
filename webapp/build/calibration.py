"""How good the estimates were: her times against what was shown to her then."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from webapp.build.time_log import TimeEntry, WorkedOut

SHARE_INSIDE: Final = 0.8  # what a range is meant to hold
_ENOUGH: Final = 8  # times, before anything is said of the ranges
_FAR: Final = 4.0  # times what was likely
_CHANCE: Final = 0.05  # that luck alone would be so far off

Side = Literal["under", "inside", "over"]
Verdict = Literal["too few", "right", "too narrow", "too wide"]


@dataclass(frozen=True, slots=True)
class Calibration:
    """How many times fell under, inside and over the range that was shown."""

    under: int = 0
    inside: int = 0
    over: int = 0

    @property
    def count(self) -> int:
        """The times that were compared."""
        return self.under + self.inside + self.over

    @property
    def share(self) -> float:
        """The share inside, 0 to 1; 0 when there is none to compare."""
        return self.inside / self.count if self.count else 0.0

    @property
    def verdict(self) -> Verdict:
        """Whether the ranges are as wide as they should be.

        They are called too narrow or too wide only when 4 in 5 would come out so far off by luck
        less than 1 time in 20 (the binomial tail on that side).
        """
        if self.count < _ENOUGH:
            return "too few"
        if _at_most(self.inside, self.count) < _CHANCE:
            return "too narrow"
        if 1 - _at_most(self.inside - 1, self.count) < _CHANCE:
            return "too wide"
        return "right"


@dataclass(frozen=True, slots=True)
class Sum:
    """Times added up against what was likely: how far off the whole was."""

    count: int
    minutes: float
    likely: float

    @property
    def ratio(self) -> float:
        """What it took over what was likely: 1.3 is three tenths longer."""
        return self.minutes / self.likely


def far_off(entry: TimeEntry) -> bool:
    """Whether a time is so far from what was worked out that it is likelier a slip than work: more
    than four times as long, or less than a quarter, and out of the range. A clock that ran on all
    night is no pace. The four are judgement, no source."""
    shown = entry.shown
    if shown.likely <= 0:
        return False
    most, least = max(shown.high, _FAR * shown.likely), min(shown.low, shown.likely / _FAR)
    return not least <= entry.minutes <= most


def compared(entries: Iterable[TimeEntry]) -> tuple[TimeEntry, ...]:
    """The times for which there was an estimate."""
    return tuple(entry for entry in entries if entry.shown.likely > 0)


def side_of(minutes: float, shown: WorkedOut) -> Side:
    """Where a time fell."""
    if minutes < shown.low:
        return "under"
    return "over" if minutes > shown.high else "inside"


def calibration(entries: Iterable[TimeEntry]) -> Calibration:
    """How many of these times fell where."""
    sides = [side_of(entry.minutes, entry.shown) for entry in compared(entries)]
    return Calibration(sides.count("under"), sides.count("inside"), sides.count("over"))


def sum_of(entries: Iterable[TimeEntry]) -> Sum | None:
    """Their total against the likely one; None when there is nothing to compare."""
    found = compared(entries)
    if not found:
        return None
    return Sum(
        len(found),
        math.fsum(entry.minutes for entry in found),
        math.fsum(entry.shown.likely for entry in found),
    )


def width_needed(entries: Iterable[TimeEntry]) -> float | None:
    """How wide the ranges should have been, in what they were, to hold 4 times in 5.

    The smallest factor that takes in four fifths of the times, each side of a range stretched
    about its likely minutes (as a factor of them); None before there are enough times.
    """
    needed = sorted(_stretch(entry) for entry in compared(entries) if _has_range(entry.shown))
    if len(needed) < _ENOUGH:
        return None
    return _quantile(needed, SHARE_INSIDE)


def _has_range(shown: WorkedOut) -> bool:
    return 0 < shown.low < shown.likely < shown.high


def _stretch(entry: TimeEntry) -> float:
    """How much its range must be stretched to just reach the time."""
    shown = entry.shown
    off = math.log(entry.minutes / shown.likely)
    return off / math.log((shown.high if off > 0 else shown.low) / shown.likely)


def _quantile(rising: Sequence[float], share: float) -> float:
    """Between the two nearest; the common rule that counts from the first to the last."""
    place = share * (len(rising) - 1)
    below = math.floor(place)
    above = min(below + 1, len(rising) - 1)
    return rising[below] + (place - below) * (rising[above] - rising[below])


def _at_most(inside: int, count: int) -> float:
    """The chance of so many or fewer of `count` inside when each is with SHARE_INSIDE."""
    return math.fsum(
        math.comb(count, k) * SHARE_INSIDE**k * (1 - SHARE_INSIDE) ** (count - k)
        for k in range(inside + 1)
    )
