"""The clock of a day: breaks, waits, and three points side by side."""

from dataclasses import replace

import pytest

from webapp.build.work_time import Estimate
from webapp.filming.day_clock import DayClock, TakenBreak, gone_by, later, quiet_from, shown
from webapp.filming.shoot_days import Break, Noise

LUNCH = Break(at="12:30", minutes=30)
NOON = 12 * 60
HALF_PAST = NOON + 30


def _exactly(minutes: float) -> Estimate:
    return Estimate(minutes, minutes, minutes)


def test_a_break_interrupts_work_at_its_time() -> None:
    clock = DayClock(NOON, [LUNCH])
    clock.work(_exactly(60))
    assert clock.now == _exactly(NOON + 60 + 30)
    assert clock.taken == [TakenBreak(HALF_PAST, 30)]


def test_filming_is_not_interrupted_and_the_break_follows_it() -> None:
    clock = DayClock(NOON, [LUNCH])
    clock.film(_exactly(50))
    assert clock.now == _exactly(NOON + 50)
    clock.breathe()
    assert clock.now == _exactly(NOON + 80)
    assert clock.taken == [TakenBreak(NOON + 50, 30)]


def test_who_is_quick_may_be_done_before_the_break() -> None:
    clock = DayClock(NOON, [LUNCH])
    clock.work(Estimate(20, 40, 70))
    assert clock.now == Estimate(NOON + 20, NOON + 40 + 30, NOON + 70 + 30)
    clock.work(_exactly(60))  # now the quick one takes it as well
    assert clock.now == Estimate(NOON + 110, NOON + 130, NOON + 160)


def test_two_breaks_that_run_into_each_other_follow_each_other() -> None:
    clock = DayClock(NOON, [Break(at="12:40", minutes=10), LUNCH])
    clock.work(_exactly(60))
    assert clock.now.likely == NOON + 100
    assert clock.taken == [TakenBreak(HALF_PAST, 30), TakenBreak(NOON + 60, 10)]


def test_waiting_takes_a_break_meanwhile() -> None:
    clock = DayClock(NOON, [LUNCH])
    idle = clock.wait((NOON + 90,) * 3)
    assert clock.now == _exactly(NOON + 90)
    assert idle == 60  # of the 90 minutes half an hour is the break


def test_a_break_that_ends_after_the_wait_is_taken_in_full() -> None:
    clock = DayClock(NOON, [LUNCH])
    idle = clock.wait((NOON + 45,) * 3)
    assert clock.now == _exactly(NOON + 60)
    assert idle == 30


def test_what_is_past_is_not_waited_for() -> None:
    clock = DayClock(NOON)
    assert clock.wait((NOON - 10,) * 3) == 0
    assert clock.now == _exactly(NOON)


def test_waiting_for_one_time_makes_the_range_narrow() -> None:
    clock = DayClock(NOON)
    clock.work(Estimate(10, 20, 40))
    clock.wait((NOON + 30,) * 3)
    assert clock.now == Estimate(NOON + 30, NOON + 30, NOON + 40)


def test_breaks_before_the_clock_begins_are_over() -> None:
    clock = DayClock(13 * 60 + 10, [LUNCH, Break(at="15:00", minutes=15)])
    clock.work(_exactly(120))
    assert clock.taken == [TakenBreak(15 * 60, 15)]


def test_no_point_goes_back_after_a_break_and_a_wait_that_only_the_quick_miss() -> None:
    """The three points lie lopsided then, and what is added shifts their middle."""
    clock = DayClock(NOON, [Break(at="12:30", minutes=60)])
    clock.work(_by_pace(Estimate(25, 35, 40)))
    clock.wait((0, NOON + 100, NOON + 100))
    before = clock.now
    assert before == Estimate(NOON + 25, NOON + 100, NOON + 100)
    clock.film(_by_pace(Estimate(0.3, 0.7, 2)))
    after = clock.now
    assert after.low >= before.low
    assert after.likely >= before.likely
    assert after.high >= before.high


def _by_pace(minutes: Estimate) -> Estimate:
    """The same, half of its deviation from her pace."""
    return replace(minutes, by_pace=(("filming", minutes.deviation / 2),))


def test_minutes_add_as_ranges_do() -> None:
    clock = DayClock(NOON)
    for _ in range(4):
        clock.work(Estimate(5, 10, 15))
    assert clock.now.likely == pytest.approx(NOON + 40)
    assert clock.now.high == pytest.approx(NOON + 50)  # 5 minutes × √4, not × 4


@pytest.mark.parametrize(
    ("time", "minutes", "begins"),
    [
        (540, 60, 540),  # done when the noise begins
        (541, 60, 660),  # would run into it: after it
        (630, 10, 660),
        (660, 60, 660),  # ends as the next begins
        (661, 60, 780),
        (800, 500, 800),
    ],
)
def test_what_must_be_quiet_waits_for_a_gap_that_is_long_enough(
    time: float, minutes: float, begins: float
) -> None:
    noise = [Noise(starts="12:00", ends="13:00"), Noise(starts="10:00", ends="11:00")]
    assert quiet_from(time, minutes, noise) == begins


# --- Clocks put forward: from 01:00 to 02:00, as Directive 2000/84/EC has it for Lisbon -----------

SPRING = (60.0, 120.0)


def test_all_passes_over_the_missing_hour() -> None:
    clock = DayClock(30, (), SPRING)
    clock.work(_exactly(20))
    assert clock.now == _exactly(50)
    clock.film(_exactly(20))
    assert clock.now == _exactly(130)  # 00:50 and 20 minutes is 02:10
    clock.work(Estimate(5, 10, 15))
    assert clock.now == Estimate(135, 140, 145)
    early = DayClock(30, (), SPRING)
    early.work(Estimate(20, 40, 50))
    assert early.now == Estimate(50, 130, 140)


def test_the_missing_hour_is_no_wait_and_no_break() -> None:
    clock = DayClock(30, (), SPRING)
    assert clock.wait((150,) * 3) == 60  # from 00:30 to 02:30
    assert clock.now == _exactly(150)
    clock = DayClock(50, [Break(at="00:55", minutes=15)], SPRING)
    clock.work(_exactly(10))
    assert clock.now == _exactly(135)  # 10 and 15 minutes after 00:50
    (rest,) = clock.taken
    assert (rest.begins, rest.minutes, rest.ends) == (55, 15, 130)


def test_a_time_that_is_missing_is_taken_for_the_next_there_is() -> None:
    clock = DayClock(90, [Break(at="01:30", minutes=10)], SPRING)
    assert clock.now == _exactly(120)
    clock.breathe()
    assert clock.now == _exactly(130)
    assert DayClock(30, (), SPRING).wait((90,) * 3) == 30
    for minutes in range(0, 240, 7):
        assert gone_by(shown(minutes, SPRING), SPRING) == minutes
    assert later(59, 2, SPRING) == 121


def test_quiet_is_needed_until_the_time_that_the_clock_shows_then() -> None:
    noise = [Noise(starts="02:05", ends="02:30")]
    assert quiet_from(50, 20, noise, SPRING) == 150  # until 02:10
    assert quiet_from(50, 15, noise, SPRING) == 50  # until 02:05
