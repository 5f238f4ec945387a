"""Changes of the shoot days by hand."""

from datetime import timedelta

import pytest

from tests.plan.day_specimens import MONDAY, TUESDAY, day, episode, shot, step
from webapp.errors import NotThereError
from webapp.filming.shoot_days import Break
from webapp.plan.against_plan import against_plan
from webapp.plan.day_edits import (
    day_faults,
    with_day,
    with_shot_put,
    with_step_beforehand,
)
from webapp.plan.day_planning import planned_days, with_planned_days
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

EPISODE = episode(
    (step("wash", 30, off_camera=True), step("cut", 20, "wash")),
    (shot("a", "cut"), shot("b"), shot("c")),
    day(MONDAY, "a", "b"),
    day(TUESDAY, "c"),
)


def _shots(one: Episode) -> list[tuple[str, ...]]:
    return [each.shots for each in one.shoot_days]


@pytest.mark.parametrize(
    ("name", "on", "place", "days"),
    [
        ("b", MONDAY, 0, [("b", "a"), ("c",)]),
        ("a", MONDAY, 1, [("b", "a"), ("c",)]),
        ("a", MONDAY, 9, [("b", "a"), ("c",)]),
        ("a", TUESDAY, 0, [("b",), ("a", "c")]),
        ("c", MONDAY, 1, [("a", "c", "b"), ()]),
        ("c", MONDAY, -3, [("c", "a", "b"), ()]),
    ],
)
def test_a_shot_goes_to_any_place_of_any_day(
    name: str, on: object, place: int, days: list[tuple[str, ...]]
) -> None:
    assert _shots(with_shot_put(EPISODE, name, on, place)) == days  # type: ignore[arg-type]


def test_a_shot_on_no_day_is_put_on_one() -> None:
    off = with_shot_put(EPISODE, "c", MONDAY, 2)
    assert _shots(with_shot_put(off, "c", TUESDAY, 0)) == _shots(EPISODE)


def test_what_is_not_there_any_more_is_told() -> None:
    with pytest.raises(NotThereError, match="That shot is not there any more"):
        with_shot_put(EPISODE, "gone", MONDAY, 0)
    with pytest.raises(NotThereError, match="6 January 2027 is no shoot day any more"):
        with_shot_put(EPISODE, "a", TUESDAY + timedelta(days=1), 0)
    with pytest.raises(NotThereError, match="That step is not there any more"):
        with_step_beforehand(EPISODE, MONDAY, "gone", before=True)


def test_a_step_is_done_before_one_day_and_no_other() -> None:
    monday = with_step_beforehand(EPISODE, MONDAY, "wash", before=True)
    assert [each.beforehand for each in monday.shoot_days] == [("wash",), ()]
    tuesday = with_step_beforehand(monday, TUESDAY, "wash", before=True)
    assert [each.beforehand for each in tuesday.shoot_days] == [(), ("wash",)]
    none = with_step_beforehand(tuesday, TUESDAY, "wash", before=False)
    assert [each.beforehand for each in none.shoot_days] == [(), ()]


@pytest.mark.parametrize(
    ("values", "field", "sentence"),
    [
        ({"ends": "08:00"}, "ends", "The day starts at 09:00: write a later time for its end."),
        ({"day": TUESDAY}, "day", "5 January 2027 is a shoot day already."),
        (
            {"light_from": "10:00", "dark_from": "09:30"},
            "dark_from",
            "There is light from 10:00: write a later time for the dark.",
        ),
        (
            {"light_from": "18:00"},
            "light_from",
            "The day ends at 17:00: write an earlier time for the light.",
        ),
        (
            {"goes_on_at": "17:00"},
            "goes_on_at",
            "The day ends at 17:00: write an earlier time, or let it end later.",
        ),
        (
            {"breaks": (Break(at="08:30", minutes=20),)},
            "breaks",
            "A break at 08:30 is not within the day, 09:00 to 17:00.",
        ),
    ],
)
def test_hours_that_contradict_each_other_are_told_beside_the_field(
    values: dict[str, object], field: str, sentence: str
) -> None:
    assert day_faults(EPISODE, MONDAY, values) == {field: sentence}


def test_hours_that_agree_have_no_fault() -> None:
    values = {"light_from": "08:00", "dark_from": "16:00", "goes_on_at": "13:10"}
    assert day_faults(EPISODE, MONDAY, {**values, "breaks": (Break(at="12:30"),)}) == {}


def test_a_day_that_is_put_off_keeps_what_was_planned_for_it() -> None:
    """Nothing was moved by hand, only the date."""
    plan = evaluate(EPISODE)
    planned = with_planned_days(plan, planned_days(plan, seconds=0.1))
    sunday = MONDAY + timedelta(days=6)
    later = with_day(planned, MONDAY, {"day": sunday})
    assert later.planned_days is not None
    assert {one.day for one in later.planned_days.days} == {TUESDAY, sunday}
    against = against_plan(evaluate(later))
    assert against is not None and against.moved == ()
