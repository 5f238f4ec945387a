"""How long the work takes: three-point estimates, from the lengths of the draft and the rates."""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from typing import Final

from webapp.build.extents import Extent, extent
from webapp.build.rates import RATES, NotedRates, Rate, Rates
from webapp.draft.construction import Step, Work, WorkKind
from webapp.draft.evaluate import Draft
from webapp.draft.names import gathered
from webapp.errors import FigureError

# A hand stitch left at this length, the machine's, takes the usual length of its own kind.
MACHINE_STITCH_MM: Final[float] = Work.model_fields["stitch_length_mm"].default
TENTH: Final = 1.2815515655446004  # standard deviations beyond which a normal curve has 1 in 10
PACE_COUNTS: Final = 2.0  # the table's word on a maker's pace: as much as two of her times
PACE_IN_COMMON: Final = 0.5  # of the paces' variance: who is slow at one kind is so at others
_NO_VARIANCE: Final = 1e-40  # less is no range, and its powers are nought
_END, _MIDDLE = 0.3, 0.4  # what the three points weigh


@dataclass(frozen=True, slots=True)
class Estimate:
    """Minutes: 4 times in 5 between `low` and `high`, as often under `likely` as over it.

    `by_pace` is how much of the spread comes from what is not known of the maker's own pace: she
    is quick or slow every time. It is in minutes, for one standard deviation of each of the
    unknowns, which are independent; the rest of the spread differs from one time to the next.
    """

    low: float = 0.0
    likely: float = 0.0
    high: float = 0.0
    by_pace: tuple[tuple[str, float], ...] = field(
        default=(), compare=False, repr=False, kw_only=True
    )

    def __post_init__(self) -> None:
        if not 0 <= self.low <= self.likely <= self.high < math.inf:
            raise ValueError("Minutes must rise from the least to the most, from zero upwards.")

    @classmethod
    def of(cls, rate: Rate) -> "Estimate":
        """The minutes of a rate that is in minutes."""
        return cls(rate.low, rate.likely, rate.high)

    @property
    def mean(self) -> float:
        """The average to expect: 0.3 low + 0.4 likely + 0.3 high.

        The three-point rule for points that 1 in 10 fall short of, 1 in 2 and 9 in 10 (Swanson;
        Keefer and Bodily, Management Science 29, 1983: from memory). PERT's (a + 4m + b) / 6 is
        for the least and the most there can be; of these points it makes too short an average.
        """
        return _END * self.low + _MIDDLE * self.likely + _END * self.high

    @property
    def deviation(self) -> float:
        """The standard deviation by the same rule: 0.3, 0.4 and 0.3 of the squares."""
        return math.sqrt(self.moments[1])

    @property
    def moments(self) -> tuple[float, float, float]:
        """The mean, the variance and the third central moment by the same rule; the last is above
        zero where the long side is above."""
        mean = self.mean
        low, likely, high = self.low - mean, self.likely - mean, self.high - mean
        return (
            mean,
            _END * (low * low + high * high) + _MIDDLE * likely * likely,
            _END * (low * low * low + high * high * high) + _MIDDLE * likely * likely * likely,
        )

    def times(self, count: float) -> "Estimate":
        """So many in a row by the same hand: quick or slow, they are so together."""
        return Estimate(
            count * self.low,
            count * self.likely,
            count * self.high,
            by_pace=tuple((kind, count * minutes) for kind, minutes in self.by_pace),
        )

    def part(self, count: int, of: str) -> "Estimate":
        """One of so many equal parts: quick or slow together, as `of` names one whole."""
        common = sum(minutes**2 for _, minutes in self.by_pace)
        own = math.sqrt(max(0.0, self.deviation**2 - common))
        return replace(self, by_pace=(*self.by_pace, (of, own))).times(1 / count)

    def with_pace(self, unknowns: Mapping[str, float]) -> "Estimate":
        """The same, with so much of its deviation from each unknown of her pace; of their squares
        no more than 1 in all."""
        deviation = self.deviation
        own = ((name, deviation * share) for name, share in unknowns.items())
        return replace(self, by_pace=tuple(own))

    def with_points(self, low: float, likely: float, high: float) -> "Estimate":
        """Other three points, of whose spread as much comes from her pace as before."""
        points = Estimate(low, likely, high)
        before = self.deviation
        scale = points.deviation / before if before > 0 else 0.0
        return replace(points, by_pace=tuple((kind, scale * own) for kind, own in self.by_pace))

    def chance_of_at_most(self, minutes: float) -> float:
        """The chance, 0 to 1, that it takes so many minutes or fewer.

        Half the chance lies on each side of `likely`, as half a normal curve each, so wide that
        1 in 10 fall below `low` and 1 in 10 above `high`.
        """
        off = minutes - self.likely
        side = self.high - self.likely if off > 0 else self.likely - self.low
        if side == 0:
            return 0.5 if off == 0 < self.high - self.low else float(off >= 0)
        return (1 + math.erf(TENTH * off / side / math.sqrt(2))) / 2


def total(estimates: Sequence[Estimate]) -> Estimate:
    """The sum of estimates, again as three points; none of them is zero minutes.

    Means add, and so do variances and third moments: what one step loses another gains, so that
    the range is narrower than all lows to all highs. Only what comes from her own pace does not
    even out: of that the minutes add, unknown by unknown. The result's three points
    are those whose rule (`Estimate.mean`) gives the sums back, so that totals of totals agree
    with one total.
    """
    parts = tuple(estimate for estimate in estimates if estimate.high > 0)
    if len(parts) < 2:
        return parts[0] if parts else Estimate()
    return _total(parts, tuple(estimate.by_pace for estimate in parts))


def minutes(value: float) -> str:
    """Minutes as people say them: `25 min`, `1 h 40 min`; to 5 minutes from an hour on."""
    if value < 60:
        return f"{max(1, round(value)) if value > 0 else 0} min"
    rounded = 5 * round(value / 5)
    hours, rest = divmod(rounded, 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"


@lru_cache(maxsize=4000)  # an edit of one step or shot leaves the totals of all others as they are
def _total(
    parts: tuple[Estimate, ...], _of_pace: tuple[tuple[tuple[str, float], ...], ...]
) -> Estimate:
    """`total`; what comes of her pace is named apart, as estimates are equal without it."""
    pace: dict[str, float] = {}
    mean = own_variance = own_third = skewed = spread = 0.0
    for part in parts:
        middle, variance, third = part.moments
        squares = cubes = 0.0
        for unknown, minutes in part.by_pace:
            pace[unknown] = pace.get(unknown, 0.0) + minutes
            squares += minutes * minutes
            cubes += abs(minutes) ** 3
        mean += middle
        own_variance += max(0.0, variance - squares)
        if variance > _NO_VARIANCE:
            deviation = math.sqrt(variance)
            own_third += third * (1 - cubes / (variance * deviation))
            skewed += third / variance
            spread += deviation
    variance = own_variance + sum(minutes * minutes for minutes in pace.values())
    if variance < _NO_VARIANCE or spread == 0:
        return Estimate(mean, mean, mean)
    # What comes of the pace is as skewed as the parts on average, each by its deviation.
    third = own_third + skewed / spread * sum(abs(minutes) ** 3 for minutes in pace.values())
    points = _from_moments(mean, math.sqrt(variance), third / variance**1.5, parts)
    return Estimate(points.low, points.likely, points.high, by_pace=tuple(sorted(pace.items())))


def _from_moments(
    mean: float, deviation: float, skewness: float, parts: Sequence[Estimate]
) -> Estimate:
    """The three points with these moments under the three-point rule.

    In deviations from the mean they are s - p, -1.5 s and s + p, with 0.6 p² + 1.5 s² = 1 and
    3 s - 5.25 s³ the skewness, which is A sin 3x for s = A sin x and A² = 4 / 5.25. No total
    goes past all lows or all highs.
    """
    most = math.sqrt(4 / 5.25)
    s = most * math.sin(math.asin(max(-1.0, min(1.0, skewness / most))) / 3)
    p = math.sqrt((1 - 1.5 * s * s) / 0.6)
    lowest = sum(part.low for part in parts)
    highest = sum(part.high for part in parts)
    likely = min(max(mean - 1.5 * s * deviation, lowest), highest)
    low = min(max(mean + (s - p) * deviation, lowest), likely)
    return Estimate(low, likely, max(min(mean + (s + p) * deviation, highest), likely))


def stitches(length_mm: float, stitch_length_mm: float) -> float:
    """Stitches in a seam."""
    return length_mm / stitch_length_mm


def table_pace(kind: str) -> Mapping[str, float]:
    """What the table's range has of the maker's pace, at all work and at that kind of it.

    Of its variance one part is which maker it is, PACE_COUNTS parts which time.
    """
    maker = 1 / (PACE_COUNTS + 1)
    return {
        "": math.sqrt(maker * PACE_IN_COMMON),
        kind: math.sqrt(maker * (1 - PACE_IN_COMMON)),
    }


@dataclass(frozen=True, slots=True)
class WorkPart:
    """One kind of work of a step: its minutes by the rates, and as her own times move these.

    Minutes that were typed are `shown` as they were typed. `rates` are the keys of those it is
    worked out from.
    """

    kind: WorkKind
    table: Estimate
    shown: Estimate
    typed: bool = False
    rates: tuple[str, ...] = ()


def step_parts(step: Step, drafts: Sequence[Draft], rates: Rates = RATES) -> tuple[WorkPart, ...]:
    """The kinds of work of a step, each with its time by the rates, in the order listed.

    FigureError, naming the step, when its work is on a piece, seam or edge that is not drafted, is
    on nothing, or has typed minutes that do not rise from least to most; WaitingError when it
    only waits for what a draft lacks.
    """
    return tuple(gathered(partial(_work_part, step, work, drafts, rates) for work in step.work))


def _work_part(step: Step, work: Work, drafts: Sequence[Draft], rates: Rates) -> WorkPart:
    noted = NotedRates(rates)
    minutes = _work_minutes(step, work, drafts, noted)
    if work.minutes is not None:
        return WorkPart(work.kind, minutes, minutes, typed=True)
    table = minutes.with_pace(table_pace(work.kind))
    return WorkPart(work.kind, table, table, rates=noted.read)


def _work_minutes(step: Step, work: Work, drafts: Sequence[Draft], rates: Rates) -> Estimate:
    if work.minutes is not None:
        try:
            return Estimate(work.minutes.low, work.minutes.likely, work.minutes.high)
        except ValueError:
            raise FigureError(
                f"“{step.name}”: the minutes typed must rise from the least to the most."
            ) from None
    if work.kind in ("try on", "other"):
        return Estimate.of(rates[work.kind])
    return total(_METHODS[work.kind](work, extent(step, work, drafts), rates))


# --- How long each kind takes ----------------------------------------------------------------


def product(count: float, *factors: Rate, over: Sequence[Rate] = ()) -> Estimate:
    """So many times the factors, over the divisors `over`: minutes, or what the rates' units make.

    The rates are independent: not all of them are low at once, nor all high. So their logarithms'
    widths add as deviations do, in squares: low is likely · exp(-√Σ ln²(likely / low)), high is
    likely · exp(√Σ ln²(high / likely)), a divisor's two sides changing places. From memory: it is
    exact for log-normal rates, whose product is log-normal; where the sides of a rate differ
    (split log-normal) it holds 4 in 5 to 2 points for the rates there are (tests/build).
    """
    likely = count * math.prod(rate.likely for rate in factors)
    likely /= math.prod(rate.likely for rate in over)
    to_low, to_high = ([rate.likely / rate.low for rate in side] for side in (factors, over))
    up, down = ([rate.high / rate.likely for rate in side] for side in (factors, over))
    return Estimate(likely / _together(to_low + down), likely, likely * _together(up + to_high))


def _together(ratios: Iterable[float]) -> float:
    """How far independent ratios, each 1 or more, go together: as far as one as well."""
    return math.exp(math.hypot(*map(math.log, ratios)))


def _draw(_work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    return [
        product(on.figures, rates["draw: figure"]),
        product(on.length_mm / 1000, rates["draw: line"]),
    ]


def _cut(work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    return [
        product(on.length_mm, over=[rates[f"cut: {work.tool}"]]),
        product(on.handled, rates["cut: handling"]),
    ]


def _pin(_work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    pins = product(on.length_mm / 1000 / 60, rates["pin: spacing"], rates["pin: one"])
    return [pins, product(on.handled, rates["pin: handling"])]


def _machine(work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    """Stitches over speed (P. Sarkar), and over the share of the time that is sewn at speed."""
    count = stitches(on.length_mm, work.stitch_length_mm)
    return [
        product(count, over=[rates["machine: speed"], rates["machine: share"]]),
        product(on.handled, rates["machine: handling"]),
        product(on.corners, rates["machine: corner"]),
    ]


def _overlock(work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    count = stitches(on.length_mm, work.stitch_length_mm)
    return [
        product(count, over=[rates["overlock: speed"], rates["machine: share"]]),
        product(on.handled, rates["overlock: handling"]),
    ]


def _hand(work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    """A stitch the table does not name goes as plain sewing."""
    named = work.stitch.strip().lower()
    stitch = named if f"hand length: {named}" in rates else "plain"
    pace = rates[f"hand: {stitch}"]
    if work.stitch_length_mm == MACHINE_STITCH_MM:
        sewn = product(on.length_mm, over=[pace, rates[f"hand length: {stitch}"]])
    else:
        sewn = product(stitches(on.length_mm, work.stitch_length_mm), over=[pace])
    return [sewn, product(on.handled, rates["hand: handling"])]


def _press(_work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    return [
        product(on.length_mm / 1000, rates["press: line"]),
        product(on.handled, rates["press: handling"]),
    ]


def _turn(_work: Work, on: Extent, rates: Rates) -> list[Estimate]:
    return [
        product(on.length_mm / 1000, rates["turn: line"]),
        product(on.handled, rates["turn: handling"]),
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
