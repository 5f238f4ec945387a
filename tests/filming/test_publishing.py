"""Backwards from the publish date: days, last days to begin, and the chance of making it."""

import random
from datetime import date, timedelta
from typing import Any

import pytest

from webapp.build.rates import Rate
from webapp.build.work_time import TENTH, Estimate
from webapp.filming.every_rate import EDITING, VOICE_OVER
from webapp.filming.publishing import (
    Schedule,
    editing_minutes,
    left_of,
    told_chance,
    voice_over_minutes,
)

PUBLISH = date(2027, 1, 15)


def schedule(free: int, **fields: Any) -> Schedule:
    """10, 20 or 45 h of editing and 1, 2 or 4 h of voice-over, 5 h a day."""
    known: dict[str, Any] = {
        "voice_over": Estimate(60, 120, 240), "editing": Estimate(600, 1200, 2700),
        "hours_a_day": 5.0,
    } | fields  # fmt: skip
    return Schedule(PUBLISH, PUBLISH - timedelta(days=free), **known)


def drawn(estimate: Estimate, chance: random.Random) -> float:
    """Minutes drawn from the curve that `chance_of_at_most` describes."""
    off = chance.gauss(0, 1) / TENTH
    side = estimate.high - estimate.likely if off > 0 else estimate.likely - estimate.low
    return estimate.likely + off * side


def test_a_beginner_edits_three_minutes_in_four_hours() -> None:
    """thescientistvideographer.com (check-values §7): 2 h to edit 3 minutes and 2 h of polish."""
    found = editing_minutes(180, EDITING)
    assert found.low == pytest.approx(120)
    assert found.likely == pytest.approx(240)


def test_speech_is_recorded_in_so_many_times_its_length() -> None:
    rate = Rate("voice-over", "", 2, 3, 6, "× spoken time")
    assert voice_over_minutes(90, rate) == Estimate(3, 4.5, 9)
    assert VOICE_OVER.low >= 1  # it takes at least as long as it is


def test_the_last_days_to_begin_are_counted_back_from_the_date() -> None:
    """Editing alone: 20 h are 4 days of 5 h, 11 to 14 January; 45 h are 9, from the 6th on."""
    only = schedule(20, voice_over=Estimate())
    assert (only.likely_days, only.safe_days) == (4, 9)
    assert only.begin_by(only.editing.likely) == date(2027, 1, 11)
    assert only.begin_by(only.editing.high) == date(2027, 1, 6)
    assert (only.film_by, only.film_safely_by) == (date(2027, 1, 10), date(2027, 1, 5))
    assert only.free_days == 20
    assert schedule(20, voice_over=Estimate(), more_days=18).free_days == 2


def test_what_takes_longer_than_there_are_dates_has_no_day_to_begin() -> None:
    only = schedule(20, voice_over=Estimate())
    days = PUBLISH.toordinal() - 1
    assert only.begin_by(300 * days) == date.min
    assert only.begin_by(300 * (days + 1)) is None
    far = schedule(20, editing=Estimate(1e9, 1e12, 1e15), hours_a_day=0.1)
    assert (far.film_by, far.film_safely_by) == (None, None)
    assert far.chance == pytest.approx(0, abs=0.11)


def test_a_whole_number_of_days_is_not_counted_up() -> None:
    assert schedule(9, hours_a_day=0.1).days(60 * 0.1 * 3) == 3


@pytest.mark.parametrize(("free", "chance"), [(2, 0.1), (4, 0.5), (9, 0.9)])
def test_the_three_points_have_their_chances(free: int, chance: float) -> None:
    """10 h in 2 days of 5 h, 20 h in 4, 45 h in 9."""
    assert schedule(free, voice_over=Estimate()).chance == pytest.approx(chance)


@pytest.mark.parametrize("free", [2, 3, 4, 6, 8, 10])
def test_the_chance_is_that_of_drawn_hours(free: int) -> None:
    """Against 20,000 draws of voice-over, editing and whether a shoot day runs over (seeded)."""
    chance = random.Random(free)
    asked = schedule(free, runs_over=0.3)
    made = 0
    for _ in range(20_000):
        days = free - (chance.random() < asked.runs_over)
        hours = drawn(asked.voice_over, chance) + drawn(asked.editing, chance)
        made += hours <= 60 * asked.hours_a_day * days
    assert asked.chance == pytest.approx(made / 20_000, abs=0.05)


def test_a_date_that_is_past_is_not_made() -> None:
    assert schedule(-1).chance == 0
    assert schedule(-1, voice_over=Estimate(), editing=Estimate()).chance == 0
    assert schedule(0, voice_over=Estimate(), editing=Estimate()).chance == 1
    assert schedule(3, more_days=4).chance == 0


def test_more_days_and_more_hours_are_never_worse() -> None:
    days = [schedule(free, runs_over=0.2).chance for free in range(-2, 15)]
    hours = [schedule(4, hours_a_day=float(count)).chance for count in range(1, 15)]
    assert days == sorted(days)
    assert hours == sorted(hours)
    assert schedule(4, runs_over=0.5).chance < schedule(4).chance


def test_what_is_left_is_told_from_what_was_spent() -> None:
    whole = Estimate(600, 1200, 2700)
    assert left_of(whole, 0) == whole
    assert left_of(Estimate(60, 60, 60), 45) == Estimate(15, 15, 15)
    assert left_of(Estimate(60, 60, 60), 90) == Estimate()
    draws = [drawn(whole, chance) for chance in [random.Random(1)] for _ in range(60_000)]
    for spent in (300, 1000, 2000):
        rest = sorted(minutes - spent for minutes in draws if minutes > spent)
        told = left_of(whole, spent)
        for share, minutes in ((0.1, told.low), (0.5, told.likely), (0.9, told.high)):
            assert minutes == pytest.approx(rest[int(share * len(rest))], rel=0.08, abs=15)


def test_far_past_its_estimate_something_is_always_left() -> None:
    late = left_of(Estimate(600, 1200, 2700), 100_000)
    assert late.likely > 30
    assert late == left_of(Estimate(600, 1200, 2700), 200_000)


@pytest.mark.parametrize(
    ("chance", "told"),
    [(1.0, "more than 19 times in 20"), (0.949, "9 times in 10"), (0.5, "5 times in 10"),
     (0.05, "1 time in 10"), (0.0, "less than 1 time in 20")],
)  # fmt: skip
def test_a_chance_is_told_in_tens(chance: float, told: str) -> None:
    assert told_chance(chance) == told
