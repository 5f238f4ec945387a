"""Planning days again, from what is filmed, and the days as they are against those planned."""

import pytest

from tests.plan.day_specimens import (
    MACHINE,
    MONDAY,
    SHOTS,
    STEPS,
    TABLE,
    TUESDAY,
    WEDNESDAY,
    YARD,
    changing_in,
    day,
    episode,
    filmed,
    planned_in,
    shot,
)
from webapp.build.rates import OwnRate
from webapp.draft.construction import Minutes
from webapp.filming.looks import Look, PlaceChange
from webapp.plan.against_plan import against_plan
from webapp.plan.day_planning import with_planned_days
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.planned_keys import outdated

# --- Going on from what is filmed ---------------------------------------------------------------


def test_a_plan_goes_on_from_what_is_filmed() -> None:
    whole = episode(STEPS, SHOTS, day(MONDAY), day(TUESDAY))
    planned = with_planned_days(evaluate(whole), planned_in(whole))
    morning = filmed(planned, "cutting", "hello", on=MONDAY)
    monday, *rest = morning.shoot_days
    going_on = changed(morning, shoot_days=(changed(monday, goes_on_at="15:50"), *rest))
    again = planned_in(going_on)
    assert set(again.days[0].shots) >= {"cutting", "hello"}
    assert again.days[0].shots[:2] in (("cutting", "hello"), ("hello", "cutting"))
    assert {shot for each in again.days for shot in each.shots} == {each.id for each in SHOTS}
    for each in evaluate(with_planned_days(evaluate(going_on), again)).days:
        assert each.over.likely == 0
        assert all(
            one.begins.likely >= 15 * 60 + 50 for one in each.to_film if each.day.day == MONDAY
        )


def test_the_camera_that_stands_counts_in_build_order_as_it_does_in_the_plan() -> None:
    """One order is all there is, so that both move the camera as often."""
    shots = (SHOTS[0], SHOTS[1], shot("again", "hem", MACHINE))
    one = episode(STEPS[:3], shots, day(MONDAY, *(each.id for each in shots), goes_on_at="12:00"))
    planned = planned_in(filmed(one, "cutting", on=MONDAY))
    assert planned.days == one.shoot_days
    assert planned.changes == planned.changes_in_build_order == 1
    assert planned.minutes == pytest.approx(planned.minutes_in_build_order)


def test_a_day_that_is_over_keeps_what_was_filmed_and_gives_back_the_rest() -> None:
    one = filmed(
        episode(STEPS, SHOTS, day(MONDAY, *(each.id for each in SHOTS)), day(TUESDAY)),
        "cutting", "sewing", on=MONDAY,
    )  # fmt: skip
    planned = planned_in(one)
    assert planned.days[0].shots == ("cutting", "sewing")
    assert set(planned.days[1].shots) == {"pressed", "hemming", "bag-cut", "bagging", "hello"}


def test_days_before_the_first_are_left_alone() -> None:
    one = episode(STEPS, SHOTS, day(MONDAY), day(TUESDAY))
    planned = planned_in(one, first_day=TUESDAY)
    assert planned.days[0].shots == ()
    assert len(planned.days[1].shots) == len(SHOTS)


def test_what_was_changed_while_a_plan_was_sought_stays() -> None:
    one = episode(STEPS, SHOTS, day(MONDAY), day(TUESDAY))
    planned = planned_in(one)
    gone = changed(
        one,
        shots=SHOTS[1:],
        shoot_days=(day(MONDAY, ends="18:00"), day(WEDNESDAY, *(each.id for each in SHOTS))),
    )
    after = with_planned_days(evaluate(gone), planned)
    assert after.shoot_days[0].ends == "18:00"
    assert "cutting" not in after.shoot_days[0].shots
    assert set(after.shoot_days[0].shots) == {each.id for each in SHOTS[1:]}
    assert after.shoot_days[1].shots == ()  # each is on one day
    assert outdated(evaluate(after)) == ("shots", "hours of the days")


# --- Against the plan -----------------------------------------------------------------------------


def _put(one: Episode, *shots: str) -> Episode:
    return changed(one, shoot_days=(changed(one.shoot_days[0], shots=shots),))


def test_a_change_by_hand_is_told_with_what_it_costs() -> None:
    one = episode(STEPS, SHOTS, day(MONDAY))
    planned = with_planned_days(evaluate(one), planned_in(one))
    same = against_plan(evaluate(planned))
    assert same is not None and same.told == "The shots are on their days as planned."
    first, *others = planned.shoot_days[0].shots
    by_hand = _put(planned, *others, first)
    cost = against_plan(evaluate(by_hand))
    assert cost is not None
    assert cost.moved == (first,)
    assert cost.minutes == pytest.approx(changing_in(by_hand) - changing_in(planned))
    assert against_plan(evaluate(one)) is None


def test_shots_filmed_meanwhile_cost_nothing_against_the_plan() -> None:
    one = episode(STEPS, SHOTS, day(MONDAY))
    planned = with_planned_days(evaluate(one), planned_in(one))
    later = filmed(planned, planned.shoot_days[0].shots[0], on=MONDAY)
    told = against_plan(evaluate(later))
    assert told is not None and told.minutes == 0 and told.moved == ()
    assert outdated(evaluate(later)) == ()


def test_a_plan_knows_what_it_was_planned_from() -> None:
    one = episode(STEPS, SHOTS, day(MONDAY))
    planned = with_planned_days(evaluate(one), planned_in(one))
    assert outdated(evaluate(planned)) == () == outdated(evaluate(one))
    moved = changed(planned, shots=(changed(SHOTS[0], place=YARD), *SHOTS[1:]))
    assert outdated(evaluate(moved)) == ("shots",)
    (longer,) = (changed(each, ends="18:00") for each in planned.shoot_days)
    assert outdated(evaluate(changed(planned, shoot_days=(longer,)))) == ("hours of the days",)
    (goes_on,) = (changed(each, goes_on_at="15:00") for each in planned.shoot_days)
    assert outdated(evaluate(changed(planned, shoot_days=(goes_on,)))) == ("hours of the days",)
    slow = OwnRate(key="other place", low=30, likely=60, high=90)
    assert outdated(evaluate(changed(planned, rates=(slow,)))) == ("minutes that things take",)
    cutter = OwnRate(key="editing", low=2, likely=3, high=4)
    assert outdated(evaluate(changed(planned, rates=(cutter,)))) == ()
    far = PlaceChange(one=YARD, other=TABLE, minutes=Minutes(low=20, likely=30, high=45))
    further = changed(planned, place_changes=(far,))
    assert outdated(evaluate(further)) == ("minutes that things take",)
    steps = (*STEPS[:3], changed(STEPS[3], after=("hem",)))
    garments = (changed(planned.garments[0], steps=steps),)
    assert outdated(evaluate(changed(planned, garments=garments))) == ("steps",)


def test_a_plan_knows_who_was_made_up_and_what_cannot_be_taken_back() -> None:
    shots = (changed(SHOTS[0], look="best"), *SHOTS[1:])
    one = episode(STEPS, shots, day(MONDAY), looks=(Look(id="best", name="Best"),))
    planned = with_planned_days(evaluate(one), planned_in(one))
    made_up = changed(planned, looks=(Look(id="best", name="Best", made_up=True),))
    assert outdated(evaluate(made_up)) == ("shots",)
    steps = (changed(STEPS[0], one_way=True), *STEPS[1:])
    one_way = changed(planned, garments=(changed(planned.garments[0], steps=steps),))
    assert outdated(evaluate(one_way)) == ("shots",)
