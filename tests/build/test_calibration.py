"""Times are compared with the ranges that were shown for them."""

import random

import pytest
import scipy

from webapp.build.calibration import (
    Calibration,
    calibration,
    far_off,
    side_of,
    sum_of,
    width_needed,
)
from webapp.build.time_log import TimeEntry, WorkedOut

SHOWN = WorkedOut(low=8, likely=10, high=15)


def time(minutes: float, shown: WorkedOut = SHOWN) -> TimeEntry:
    return TimeEntry(id="t", title="Pin", minutes=minutes, table=shown, shown=shown)


@pytest.mark.parametrize(
    ("minutes", "side"),
    [(7.9, "under"), (8, "inside"), (12, "inside"), (15, "inside"), (15.1, "over")],
)
def test_a_time_falls_under_inside_or_over_its_range(minutes: float, side: str) -> None:
    assert side_of(minutes, SHOWN) == side


def test_times_without_an_estimate_are_not_compared() -> None:
    found = calibration([time(9), time(20), time(1), time(30, WorkedOut())])
    assert (found.under, found.inside, found.over, found.count) == (1, 1, 1, 3)
    assert found.share == pytest.approx(1 / 3)
    assert calibration([]).share == 0
    assert sum_of([time(30, WorkedOut())]) is None


@pytest.mark.parametrize(
    ("minutes", "shown", "far"),
    [(40, SHOWN, False), (40.1, SHOWN, True), (2.5, SHOWN, False), (2.4, SHOWN, True),
     (55, WorkedOut(low=1, likely=10, high=60), False), (870, WorkedOut(), False)],
)  # fmt: skip
def test_four_times_or_a_quarter_is_far_off_unless_the_range_says_so(
    minutes: float, shown: WorkedOut, far: bool
) -> None:
    assert far_off(time(minutes, shown)) == far


def test_a_sum_says_how_far_off_the_whole_was() -> None:
    found = sum_of([time(9), time(17), time(30, WorkedOut())])
    assert found is not None
    assert (found.count, found.minutes, found.likely) == (2, 26, 20)
    assert found.ratio == pytest.approx(1.3)


@pytest.mark.parametrize("count", [8, 12, 25, 60])
def test_ranges_are_called_wrong_only_when_luck_would_hardly_do_it(count: int) -> None:
    """Against scipy's binomial distribution: less than 1 in 20 on that side."""
    for inside in range(count + 1):
        found = Calibration(under=0, inside=inside, over=count - inside).verdict
        low = scipy.stats.binom.cdf(inside, count, 0.8) < 0.05
        high = scipy.stats.binom.sf(inside - 1, count, 0.8) < 0.05
        assert found == ("too narrow" if low else "too wide" if high else "right")


def test_of_few_times_nothing_is_said() -> None:
    assert Calibration(over=7).verdict == "too few"
    assert Calibration(over=8).verdict == "too narrow"


def test_the_width_that_was_needed_holds_four_in_five() -> None:
    draw = random.Random(3)
    times = [time(10 * draw.lognormvariate(0, 0.6)) for _ in range(200)]
    needed = width_needed(times)
    assert needed is not None
    assert needed > 1.3
    stretched = WorkedOut(low=10 * 0.8**needed, likely=10, high=10 * 1.5**needed)
    inside = sum(side_of(one.minutes, stretched) == "inside" for one in times)
    assert inside == pytest.approx(160, abs=1)


def test_the_width_is_not_told_from_few_times_or_without_ranges() -> None:
    assert width_needed([time(9)] * 7) is None
    assert width_needed([time(9, WorkedOut(low=10, likely=10, high=10))] * 20) is None
    assert width_needed([time(10)] * 20) == 0
