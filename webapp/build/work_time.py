"""How long the work takes: three-point estimates, from the lengths of the draft and the rates."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

from webapp.build.extents import Extent, extent
from webapp.build.rates import RATES, Rate, Rates
from webapp.draft.construction import Step, Work, WorkKind
from webapp.draft.evaluate import Draft
from webapp.draft.names import gathered
from webapp.errors import FigureError

# A hand stitch left at this length, the machine's, takes the usual length of its own kind.
MACHINE_STITCH_MM: Final[float] = Work.model_fields["stitch_length_mm"].default


@dataclass(frozen=True, slots=True)
class Estimate:
    """Minutes: hardly ever less than `low`, most often `likely`, hardly ever more than `high`."""

    low: float = 0.0
    likely: float = 0.0
    high: float = 0.0

    def __post_init__(self) -> None:
        if not 0 <= self.low <= self.likely <= self.high < math.inf:
            raise ValueError("Minutes must rise from the least to the most, from zero upwards.")

    @property
    def mean(self) -> float:
        """The average to expect: PERT, (low + 4 likely + high) / 6."""
        return (self.low + 4 * self.likely + self.high) / 6

    @property
    def deviation(self) -> float:
        """The standard deviation: PERT, (high - low) / 6."""
        return (self.high - self.low) / 6

    def times(self, count: float) -> "Estimate":
        """So many in a row by the same hand: quick or slow, they are so together."""
        return Estimate(count * self.low, count * self.likely, count * self.high)


def total(estimates: Sequence[Estimate]) -> Estimate:
    """The sum of independent estimates, again as three points; none of them is zero minutes.

    Means add, and so do squared deviations: what one step loses another gains, so that the range
    is narrower than all lows to all highs. `mean` and `deviation` of the result are exactly these
    sums, so totals of totals agree with one total. The skew that is left in `likely` is the
    average of the parts', weighted by squared deviation, which is how third moments add.
    """
    if len(estimates) == 1:
        return estimates[0]
    lowest = sum(estimate.low for estimate in estimates)
    highest = sum(estimate.high for estimate in estimates)
    mean = sum(estimate.mean for estimate in estimates)
    variance = sum(estimate.deviation**2 for estimate in estimates)
    if variance == 0:
        return Estimate(mean, mean, mean)
    deviation = math.sqrt(variance)
    skew = sum((e.mean - e.likely) * e.deviation**2 for e in estimates) / variance
    # From (low + 4 likely + high) / 6 = mean, (high - low) / 6 = deviation, mean - likely = skew:
    # low and high are mean + 2 skew ∓ 3 deviation. The skew gives way where one would be passed.
    skew = max(skew, (lowest - mean) / 2 + 1.5 * deviation)
    skew = min(skew, (highest - mean) / 2 - 1.5 * deviation)
    likely = min(max(mean - skew, lowest), highest)
    low = min(max(mean + 2 * skew - 3 * deviation, lowest), likely)
    high = max(min(mean + 2 * skew + 3 * deviation, highest), likely)
    return Estimate(low, likely, high)


def stitches(length_mm: float, stitch_length_mm: float) -> float:
    """Stitches in a seam."""
    return length_mm / stitch_length_mm


def step_minutes(step: Step, drafts: Sequence[Draft], rates: Rates = RATES) -> Estimate:
    """The time of a step: its kinds of work added up; zero minutes if it lists none.

    FigureError, naming the step, when its work is on a piece, seam or edge that is not drafted, is
    on nothing, or has typed minutes that do not rise from least to most; WaitingError when it
    only waits for what a draft lacks.
    """
    return total(gathered(partial(_work_minutes, step, work, drafts, rates) for work in step.work))


def _work_minutes(step: Step, work: Work, drafts: Sequence[Draft], rates: Rates) -> Estimate:
    if work.minutes is not None:
        try:
            return Estimate(work.minutes.low, work.minutes.likely, work.minutes.high)
        except ValueError:
            raise FigureError(
                f"“{step.name}”: the minutes typed must rise from the least to the most."
            ) from None
    if work.kind in ("try on", "other"):
        return _each(1, rates[work.kind])
    return total(_METHODS[work.kind](work, extent(step, work, drafts), rates))


# --- How long each kind takes ----------------------------------------------------------------


def _each(count: float, *rates: Rate) -> Estimate:
    """So many times the product of the rates, in minutes."""
    return Estimate(
        count * math.prod(rate.low for rate in rates),
        count * math.prod(rate.likely for rate in rates),
        count * math.prod(rate.high for rate in rates),
    )


def _at(amount: float, *speeds: Rate) -> Estimate:
    """The amount over the product of the speeds: the highest speed gives the shortest time."""
    return Estimate(
        amount / math.prod(speed.high for speed in speeds),
        amount / math.prod(speed.likely for speed in speeds),
        amount / math.prod(speed.low for speed in speeds),
    )


def _draw(_work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    return [
        _each(on.figures, rates["draw: figure"]),
        _each(on.length_mm / 1000, rates["draw: line"]),
    ]


def _cut(work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    return [
        _at(on.length_mm, rates[f"cut: {work.tool}"]),
        _each(on.handled, rates["cut: handling"]),
    ]


def _pin(_work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    pins = _each(on.length_mm / 1000 / 60, rates["pin: spacing"], rates["pin: one"])
    return [pins, _each(on.handled, rates["pin: handling"])]


def _machine(work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    """Stitches over speed (P. Sarkar), and over the share of the time that is sewn at speed."""
    count = stitches(on.length_mm, work.stitch_length_mm)
    return [
        _at(count, rates["machine: speed"], rates["machine: share"]),
        _each(on.handled, rates["machine: handling"]),
        _each(on.corners, rates["machine: corner"]),
    ]


def _overlock(work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    count = stitches(on.length_mm, work.stitch_length_mm)
    return [
        _at(count, rates["overlock: speed"], rates["machine: share"]),
        _each(on.handled, rates["overlock: handling"]),
    ]


def _hand(work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    """A stitch the table does not name goes as plain sewing."""
    named = work.stitch.strip().lower()
    stitch = named if f"hand length: {named}" in rates else "plain"
    pace = rates[f"hand: {stitch}"]
    if work.stitch_length_mm == MACHINE_STITCH_MM:
        sewn = _at(on.length_mm, pace, rates[f"hand length: {stitch}"])
    else:
        sewn = _at(stitches(on.length_mm, work.stitch_length_mm), pace)
    return [sewn, _each(on.handled, rates["hand: handling"])]


def _press(_work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    return [
        _each(on.length_mm / 1000, rates["press: line"]),
        _each(on.handled, rates["press: handling"]),
    ]


def _turn(_work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    return [
        _each(on.length_mm / 1000, rates["turn: line"]),
        _each(on.handled, rates["turn: handling"]),
    ]


_METHODS: Final[dict[WorkKind, Callable[[Work, Extent, Rates], list[Estimate]]]] = {
    "draw": _draw,
    "cut": _cut,
    "pin": _pin,
    "machine": _machine,
    "overlock": _overlock,
    "hand": _hand,
    "press": _press,
    "turn": _turn,
}
