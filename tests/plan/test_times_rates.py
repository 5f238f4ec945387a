"""A maker's own rates stand in the place of the table's, in every figure that rests on them."""

from typing import Any

import pytest

from webapp.build.rates import OwnRate
from webapp.filming.every_rate import EVERY_RATE
from webapp.plan.days import day_plans
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan


@pytest.fixture(scope="module")
def untimed(smock: Episode) -> Episode:
    """The smock without times, which count no more once a rate is hers, and without the minutes
    of her own between two places, which stand before any rate."""
    return smock.model_copy(update={"time_log": (), "earlier_times": (), "place_changes": ()})


def own(key: str, figure: float, **fields: Any) -> OwnRate:
    return OwnRate(key=key, low=figure, likely=figure, high=figure, **fields)


def with_rates(episode: Episode, *rates: OwnRate) -> Plan:
    return evaluate(episode.model_copy(update={"rates": rates}))


def likely_minutes(plan: Plan, kind: str) -> float:
    return sum(s.work.likely for s in plan.steps if {w.kind for w in s.step.work} == {kind})


def test_without_her_own_the_rates_are_the_tables(untimed: Episode) -> None:
    assert evaluate(untimed).rates == EVERY_RATE


def test_her_rate_is_shown_with_her_note_and_works_on_the_steps(untimed: Episode) -> None:
    """Half the speed of every machine rate is twice the minutes of what is only machined."""
    table = evaluate(untimed)
    slow = with_rates(
        untimed,
        *(
            OwnRate(key=r.key, low=r.low * k, likely=r.likely * k, high=r.high * k, note="old iron")
            for k, keys in ((2, ["press: line", "press: handling"]),)
            for r in (EVERY_RATE[key] for key in keys)
        ),
    )
    assert slow.rates["press: line"].source == "yours: old iron"
    pressed = likely_minutes(table, "press")
    assert pressed > 0
    assert likely_minutes(slow, "press") == pytest.approx(2 * pressed)
    assert slow.work.likely > table.work.likely


def test_speaking_at_half_the_speed_doubles_what_only_narration_times(untimed: Episode) -> None:
    rate = EVERY_RATE["speaking"]
    table, slow = evaluate(untimed), with_rates(untimed, own("speaking", rate.likely / 2))
    pairs = [(a, b) for a, b in zip(table.shots, slow.shots, strict=True) if a.narration.plain]
    longer = [(a, b) for a, b in pairs if a.shot.screen_seconds is None and a.screen_seconds > 8]
    assert longer
    for before, after in longer:
        assert after.screen_seconds == pytest.approx(2 * before.screen_seconds)
        assert after.filming.likely > before.filming.likely
    assert slow.running_time_s > table.running_time_s


def test_her_minutes_for_a_new_place_move_the_clock_of_her_shoot_days(untimed: Episode) -> None:
    table, slow = evaluate(untimed), with_rates(untimed, own("other place", 60))
    changes = [day for day in day_plans(table) if len({s.plan.shot.place for s in day.shots}) > 1]
    assert changes
    ends = {day.day.day: day.ends.likely for day in day_plans(slow)}
    for day in changes:
        assert ends[day.day.day] > day.ends.likely + 40


def test_a_rate_the_table_does_not_have_is_kept_and_moves_nothing(untimed: Episode) -> None:
    plan = with_rates(untimed, own("felting: speed", 3))
    assert plan.work == evaluate(untimed).work
    assert plan.rates == EVERY_RATE
    assert plan.episode.rates[0].key == "felting: speed"
