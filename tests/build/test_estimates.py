"""Three points hold four times in five, and so does the total of many."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from webapp.build.work_time import PACE_COUNTS, PACE_IN_COMMON, TENTH, Estimate, table_pace, total

DRAWS = 200_000
SMOCK_STEPS = [Estimate(*points) for points in [(20, 35, 60), (8, 12, 30), (4, 6, 12), (15, 18, 50),
    (5, 10, 15), (30, 40, 90), (6, 10, 18), (2, 4, 8), (12, 20, 45), (9, 14, 25)]]  # fmt: skip

three_points = st.lists(st.floats(0, 1000), min_size=3, max_size=3).map(
    lambda points: Estimate(*sorted(points))
)


@st.composite
def usual(draw: st.DrawFn) -> Estimate:
    """From a third to three times the likely minutes, the long side at most twice the short one."""
    likely = draw(st.floats(1, 100))
    short = draw(st.floats(0.02, 0.3))
    long = draw(st.floats(0.5, 2))
    return Estimate(likely * (1 - short), likely, likely * (1 + short * long))


def drawn(estimate: Estimate, seed: int) -> np.ndarray[Any, Any]:
    """Half a normal curve on each side of likely, 1 in 10 beyond low and 1 in 10 beyond high."""
    z = np.random.default_rng(seed).standard_normal(DRAWS)
    side = np.where(z < 0, estimate.likely - estimate.low, estimate.high - estimate.likely)
    return np.asarray(estimate.likely + z * side / TENTH)


@pytest.mark.parametrize(
    "points", [(2, 1, 3), (1, 3, 2), (-1, 0, 1), (1, 2, math.inf), (1, math.nan, 2)]
)
def test_an_estimate_rises_from_its_least_to_its_most(points: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="must rise"):
        Estimate(*points)


def test_the_total_of_nothing_is_no_time_and_of_one_is_that_one() -> None:
    assert total([]) == Estimate(0, 0, 0)
    assert total([Estimate(4, 6, 12)]) == total([Estimate(4, 6, 12), Estimate()])
    assert total([Estimate(4, 6, 12)]) == Estimate(4, 6, 12)


def test_a_total_is_worked_out_once() -> None:
    """An edit of one step leaves the totals of all others as they are: they are remembered."""
    parts = [Estimate(4.25, 6, 12), Estimate(2, 3.75, 8)]
    assert total(parts) is total(list(parts))


def test_certain_minutes_add_without_a_range() -> None:
    assert total([Estimate(2, 2, 2), Estimate(3, 3, 3)]) == Estimate(5, 5, 5)
    shifted = total([Estimate(2, 2, 2), Estimate(4, 6, 12)])
    assert (shifted.low, shifted.likely, shifted.high) == pytest.approx((6, 8, 14))


@pytest.mark.parametrize("points", [(4, 6, 12), (10, 20, 30), (8, 9, 15), (2, 6, 7)])
def test_mean_and_deviation_are_those_of_the_range_they_stand_for(
    points: tuple[float, float, float],
) -> None:
    """Against 200,000 draws of the curve that has those points: to 1 % and 3 %."""
    estimate = Estimate(*points)
    draws = drawn(estimate, 5)
    assert estimate.mean == pytest.approx(np.mean(draws), rel=0.01)
    assert estimate.deviation == pytest.approx(np.std(draws), rel=0.03)


@given(st.lists(usual(), min_size=2, max_size=8))
def test_means_and_variances_and_third_moments_add(estimates: list[Estimate]) -> None:
    whole = total(estimates)
    assert whole.mean == pytest.approx(sum(e.mean for e in estimates))
    assert whole.deviation**2 == pytest.approx(sum(e.deviation**2 for e in estimates))
    assert whole.moments[2] == pytest.approx(
        sum(e.moments[2] for e in estimates), abs=1e-6 * whole.deviation**3
    )


@given(st.lists(three_points, min_size=2, max_size=8))
@example([Estimate(0, 0, 6)] * 2)
@example([Estimate(0, 6, 6)] * 3)
@example([Estimate(0, 0, 6), Estimate(5, 5, 5)])
@example([Estimate(0, 0, 1e-120), Estimate(0, 1e-130, 1e-110)])
@example([Estimate(0, 0, 1e-75)] * 8)
def test_a_total_stays_within_all_lows_and_all_highs(estimates: list[Estimate]) -> None:
    whole = total(estimates)
    assert whole.low >= sum(e.low for e in estimates) - 1e-6
    assert whole.high <= sum(e.high for e in estimates) + 1e-6


@given(st.lists(usual(), min_size=1, max_size=4), st.lists(usual(), min_size=1, max_size=4))
def test_a_total_of_totals_is_one_total(some: list[Estimate], others: list[Estimate]) -> None:
    nested, one = total([total(some), total(others)]), total([*some, *others])
    assert (nested.low, nested.likely, nested.high) == pytest.approx(
        (one.low, one.likely, one.high)
    )


@pytest.mark.parametrize("count", [2, 5, 10, 40])
def test_four_in_five_totals_fall_within_the_range_of_the_total(count: int) -> None:
    """A seeded Monte Carlo run of independent steps: 80 % inside, to 1.5 points, 10 % beyond each
    end, to 1.5 points, and likely is the middle one, to a twentieth of the range."""
    steps = [SMOCK_STEPS[number % len(SMOCK_STEPS)] for number in range(count)]
    whole = total(steps)
    sums = sum(drawn(estimate, seed) for seed, estimate in enumerate(steps))
    assert np.mean((sums >= whole.low) & (sums <= whole.high)) == pytest.approx(0.8, abs=0.015)
    assert np.mean(sums < whole.low) == pytest.approx(0.1, abs=0.015)
    assert np.mean(sums > whole.high) == pytest.approx(0.1, abs=0.015)
    assert abs(whole.likely - np.median(sums)) < (whole.high - whole.low) / 20


def test_all_lows_to_all_highs_would_hold_nearly_every_total() -> None:
    """Why they are not added: of the same run more than 99.8 % fall inside."""
    sums = sum(drawn(estimate, seed) for seed, estimate in enumerate(SMOCK_STEPS))
    low, high = sum(e.low for e in SMOCK_STEPS), sum(e.high for e in SMOCK_STEPS)
    assert np.mean((sums >= low) & (sums <= high)) > 0.998


# --- What comes of her own pace ----------------------------------------------------------------


def paced(points: Estimate, kind: str) -> Estimate:
    return points.with_pace(table_pace(kind))


def test_a_pace_that_is_all_of_the_spread_does_not_even_out() -> None:
    steps = [Estimate(4, 6, 12).with_pace({"pin": 1})] * 9
    whole, once = total(steps), Estimate(4, 6, 12).times(9)
    assert (whole.low, whole.likely, whole.high) == pytest.approx(
        (once.low, once.likely, once.high)
    )


def test_one_kind_adds_to_a_wider_range_than_several() -> None:
    points = Estimate(4, 6, 12)
    alike = total([paced(points, "pin")] * 6)
    mixed = total([paced(points, kind) for kind in ("pin", "cut", "press") * 2])
    apart = total([points] * 6)
    assert alike.deviation > mixed.deviation > apart.deviation
    assert alike.mean == pytest.approx(mixed.mean) == pytest.approx(apart.mean)


def test_totals_with_a_pace_agree_with_totals_of_totals() -> None:
    kinds = ("pin", "cut", "pin", "press", "pin", "cut")
    steps = [paced(e, kind) for e, kind in zip(SMOCK_STEPS, kinds, strict=False)]
    nested, one = total([total(steps[:2]), total(steps[2:])]), total(steps)
    assert nested.mean == pytest.approx(one.mean)
    assert nested.deviation == pytest.approx(one.deviation)
    assert (nested.low, nested.high) == pytest.approx((one.low, one.high), rel=0.01)


def test_four_in_five_totals_of_makers_with_a_pace_of_their_own_fall_within_the_range() -> None:
    """Makers drawn by lot: a pace at all work, one at each kind, and what differs each time.

    Thirty steps of three kinds, each with a range of 0.7 to 1 / 0.7; the variances are those that
    are marked. 20,000 makers: 80 % to 2 points. Without the marks it would be about half.
    """
    deviation = -math.log(0.7) / TENTH
    points = Estimate(7, 10, 10 / 0.7)
    kinds = ["pin", "cut", "press"] * 10
    maker = 1 / (PACE_COUNTS + 1)
    draw = np.random.default_rng(11)
    n = 20_000
    common = draw.normal(0, deviation * math.sqrt(maker * PACE_IN_COMMON), n)
    alone = deviation * math.sqrt(maker * (1 - PACE_IN_COMMON))
    of_kind = {kind: draw.normal(0, alone, n) for kind in sorted(set(kinds))}
    each = deviation * math.sqrt(1 - maker)
    sums = sum(10 * np.exp(common + of_kind[kind] + draw.normal(0, each, n)) for kind in kinds)
    whole = total([paced(points, kind) for kind in kinds])
    inside = np.mean((sums >= whole.low) & (sums <= whole.high))
    assert inside == pytest.approx(0.8, abs=0.02)
    unmarked = total([points] * len(kinds))
    assert np.mean((sums >= unmarked.low) & (sums <= unmarked.high)) < 0.55


def test_so_many_in_a_row_by_the_same_hand_keep_their_pace() -> None:
    points = paced(Estimate(4, 6, 12), "pin").times(3)
    assert points == Estimate(12, 18, 36)
    once = dict(paced(Estimate(4, 6, 12), "pin").by_pace)
    assert dict(points.by_pace) == pytest.approx({name: 3 * own for name, own in once.items()})


def test_unknowns_that_work_against_each_other_even_out() -> None:
    """What is known only of two kinds together: when one is slower the other is quicker."""
    one = Estimate(4, 6, 12).with_pace({"a": 0.5})
    other = Estimate(4, 6, 12).with_pace({"a": -0.5})
    assert total([one, other]).deviation < total([one, one]).deviation
    assert total([one, other]).deviation < total([Estimate(4, 6, 12)] * 2).deviation


def test_at_other_points_as_much_of_the_spread_is_her_pace() -> None:
    points = paced(Estimate(4, 6, 12), "pin")
    moved = points.with_points(20, 21, 24)
    assert moved == Estimate(20, 21, 24)
    share = dict(points.by_pace)["pin"] / points.deviation
    assert dict(moved.by_pace)["pin"] / moved.deviation == pytest.approx(share)
    assert dict(points.with_points(9, 9, 9).by_pace)["pin"] == 0


# --- Chances -----------------------------------------------------------------------------------


def test_one_in_ten_falls_short_of_low_and_one_in_ten_passes_high() -> None:
    points = Estimate(40, 60, 120)
    chances = [points.chance_of_at_most(minutes) for minutes in (40, 60, 120)]
    assert chances == pytest.approx([0.1, 0.5, 0.9])


@pytest.mark.parametrize("minutes", [20, 45, 61, 90, 150])
def test_a_chance_is_the_share_of_draws(minutes: float) -> None:
    points = Estimate(40, 60, 120)
    share = np.mean(drawn(points, 8) <= minutes)
    assert points.chance_of_at_most(minutes) == pytest.approx(share, abs=0.005)


@given(three_points, st.floats(0, 2000), st.floats(0, 2000))
def test_more_time_is_never_a_smaller_chance(points: Estimate, one: float, other: float) -> None:
    less, more = sorted((one, other))
    assert points.chance_of_at_most(less) <= points.chance_of_at_most(more)


def test_what_is_certain_is_done_or_not() -> None:
    assert Estimate(5, 5, 5).chance_of_at_most(4.99) == 0
    assert Estimate(5, 5, 5).chance_of_at_most(5) == 1
    assert Estimate(5, 5, 9).chance_of_at_most(4.99) == 0
    assert Estimate(5, 5, 9).chance_of_at_most(5) == 0.5
