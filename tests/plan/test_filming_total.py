"""What filming adds in all is told as the shoot days go, and as the shots are listed."""

import pytest

from tests.plan.day_specimens import MACHINE, MONDAY, TABLE, TUESDAY, day, episode, filmed, shot
from webapp.build.rates import OwnRate
from webapp.filming.shoot_days import ShootDay
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.filming_total import filming_total

SET_UPS = {"first place": 20, "other place": 6, "same place": 1}


def made(*days: ShootDay) -> Episode:
    """Three shots alike: over the table, at the machine, over the table again."""
    shots = (shot("a"), shot("b", place=MACHINE), shot("c", place=TABLE))
    rates = tuple(OwnRate(key=key, low=m, likely=m, high=m) for key, m in SET_UPS.items())
    return episode((), shots, *days, rates=rates)


def test_the_days_tell_what_their_order_takes_and_the_list_what_its_own_does() -> None:
    """As listed 20 + 6 + 6 min of setting up; the days, with both over the table first, 20 + 1 and
    20 again at the machine: 41. Means add, so each shot's own filming comes on top of both."""
    plan = evaluate(made(day(MONDAY, "a", "c"), day(TUESDAY, "b")))
    found = filming_total(plan)
    own = 3 * (plan.shots[0].filming.mean - 20)
    assert found.by_day is not None
    assert found.first is found.by_day
    assert found.listed.minutes.mean == pytest.approx(32 + own)
    assert found.by_day.minutes.mean == pytest.approx(41 + own)
    assert (found.listed.moves, found.by_day.moves) == (2, 0)
    assert not found.part_filmed
    of_days = [one.filming.mean for on in plan.days for one in on.to_film]
    assert found.by_day.minutes.mean == pytest.approx(sum(of_days))


def test_days_without_all_that_is_to_film_are_not_counted() -> None:
    found = filming_total(evaluate(made(day(MONDAY, "a", "c"))))
    assert found.by_day is None
    assert found.first is found.listed
    assert found.listed.shots == 3


def test_filmed_shots_count_only_as_listed() -> None:
    """The shot on no day is filmed, so that the days hold the other two: 20 + 1 min."""
    plan = evaluate(filmed(made(day(MONDAY, "a", "c")), "b"))
    found = filming_total(plan)
    assert found.by_day is not None
    assert found.part_filmed
    assert (found.listed.shots, found.by_day.shots) == (3, 2)
    own = 2 * (plan.shots[0].filming.mean - 20)
    assert found.by_day.minutes.mean == pytest.approx(21 + own)


def test_nothing_to_film_is_as_listed() -> None:
    all_filmed = filmed(made(day(MONDAY, "a", "b", "c")), "a", "b", "c")
    assert filming_total(evaluate(all_filmed)).by_day is None
    none = filming_total(evaluate(changed(made(), shots=())))
    assert (none.by_day, none.listed.shots, none.listed.minutes.high) == (None, 0, 0)
