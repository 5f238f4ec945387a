"""Days with more shots on them than fit: they stay until she says otherwise."""

import pytest

from tests.plan.day_specimens import (
    MACHINE,
    MONDAY,
    TUESDAY,
    WEDNESDAY,
    day,
    episode,
    filmed,
    shot,
    step,
)
from webapp.plan.day_planning import PlannedDays, planned_days, with_planned_days
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.planned_keys import as_found

STEPS = (step("cut", 60), step("sew", 60, "cut"), step("hem", 60, "sew"))
SHOTS = (shot("cutting", "cut"), shot("sewing", "sew", MACHINE), shot("hemming", "hem", MACHINE))
NAMES = tuple(one.id for one in SHOTS)
SHORT = {"ends": "10:40"}  # one of the shots fits with its hour of work


def _planned(one: Episode, **asked: object) -> PlannedDays:
    return planned_days(evaluate(one), seconds=0.05, **asked)  # type: ignore[arg-type]


def test_days_that_hold_more_than_fits_stay_and_what_fits_is_there_to_take() -> None:
    one = episode(STEPS, SHOTS, day(MONDAY, *NAMES, **SHORT))
    told: list[PlannedDays] = []
    kept = _planned(one, progress=told.append)
    assert kept.kept and kept.days == one.shoot_days
    assert kept.told == (
        "The days stay as they were: 3 shots stand on them, and a plan that fits has room for 1."
    )
    assert with_planned_days(evaluate(one), kept) == one
    assert told and all(each.stays for each in told)
    assert kept.instead is not None and not kept.instead.stays
    assert [each.shots for each in kept.instead.days] == [("cutting",)]
    assert [each.kind for each in kept.instead.unplaced] == ["room", "waits"]


def test_what_stays_is_of_the_plan_until_something_changes_or_what_fits_is_taken() -> None:
    one = episode(STEPS, SHOTS, day(MONDAY, *NAMES, **SHORT))
    kept = _planned(one)
    assert as_found(evaluate(one), kept) is kept
    by_hand = changed(one, shoot_days=(day(MONDAY, *NAMES[:2], **SHORT),))
    assert as_found(evaluate(by_hand), kept) is None
    longer = changed(one, shoot_days=(day(MONDAY, *NAMES),))
    assert as_found(evaluate(longer), kept) is None
    assert kept.instead is not None
    taken = with_planned_days(evaluate(one), kept.instead)
    assert as_found(evaluate(taken), kept) is kept.instead


def test_as_many_shots_on_days_as_stand_on_them_are_planned() -> None:
    one = episode(STEPS, SHOTS, day(MONDAY, "cutting", **SHORT))
    planned = _planned(one)
    assert planned.stays == () and len(planned.unplaced) == 2
    late = changed(one, shoot_days=(day(MONDAY), day(TUESDAY, *NAMES)))
    assert [each.shots for each in _planned(late).days] == [NAMES, ()]


def test_what_stands_on_days_that_have_passed_keeps_no_day_as_it_is() -> None:
    days = (day(MONDAY, *NAMES), day(TUESDAY, **SHORT))
    planned = _planned(episode(STEPS, SHOTS, *days), first_day=TUESDAY)
    assert [each.shots for each in planned.days] == [(), ("cutting",)]


def test_what_is_kept_is_told_where_it_has_passed_or_cannot_be_built() -> None:
    days = (day(MONDAY, "cutting"), day(TUESDAY, "hemming", "sewing", ends="09:05"))
    kept = _planned(episode(STEPS, SHOTS, *days), first_day=TUESDAY)
    assert kept.days == days
    assert kept.stays == (
        "The days stay as they were: 2 shots stand on them, and a plan that fits has room for "
        "none.",
        "Their order cannot be built as it stands: the days below say where.",
        "1 shot stands on days that have passed.",
    )


@pytest.mark.parametrize("goes_on", [None, "09:10"])
def test_today_is_not_emptied_once_a_part_of_it_is_filmed(goes_on: str | None) -> None:
    today = day(MONDAY, *NAMES, ends="09:30", goes_on_at=goes_on)
    one = filmed(episode(STEPS, SHOTS, today, day(WEDNESDAY, ends="09:30")), "cutting", on=MONDAY)
    kept = _planned(one, first_day=MONDAY)
    assert kept.days == one.shoot_days and kept.stays
