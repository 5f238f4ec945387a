"""What cannot be planned on the days there are, and how it is told."""

import pytest

from tests.plan.day_specimens import (
    MONDAY,
    SHOTS,
    STEPS,
    TUESDAY,
    day,
    episode,
    filmed,
    planned_in,
    shot,
    step,
)
from webapp.filming.shoot_days import Noise, clock_of, told_day
from webapp.plan.day_plan import hours
from webapp.plan.day_planning import planned_days, planning_faults, with_planned_days
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.planned import told_unplaced


def test_what_fits_on_no_day_is_told_with_the_reason_and_so_is_what_waits_on_it() -> None:
    one = episode(STEPS[:3], SHOTS[:4], day(MONDAY, ends="11:00"))
    planned = planned_in(one)
    assert [each.shot.shot.id for each in planned.unplaced] == ["sewing", "pressed", "hemming"]
    (told,) = told_unplaced(planned.unplaced)
    assert told.startswith("Shot 2, “sewing”, is on no day. No day has ")
    assert told.endswith("let one end later. 2 shots wait on it: 3, 4.")
    assert told_unplaced(planned.left_out({"hemming"})) == ()  # what it waits on was put on
    assert not planned.is_proven
    assert "proven" not in planned.told


def test_what_lacks_daylight_is_told_so() -> None:
    one = episode((), (shot("talk", screen_seconds=1200),), day(MONDAY, dark_from="09:30"))
    (left,) = planned_in(one).unplaced
    assert "daylight, and no day has more than 30 min: film it with lamps, or give a" in left.why
    (fault,) = planning_faults(evaluate(one))
    assert "of daylight, and no day has more than 30 min: film it with lamps" in fault


NOTHING = episode(STEPS, ())
CASES = [
    (NOTHING, "There is no shot to film yet"),
    (episode(STEPS, SHOTS), "There is no shoot day yet: add one with the hours you have."),
    (
        filmed(episode(STEPS, SHOTS, day(MONDAY)), *(each.id for each in SHOTS)),
        "Every shot is filmed",
    ),
    (
        episode((step("a", 5, "b"), step("b", 5, "a")), (shot("x", "a"),), day(MONDAY)),
        "“a” waits on “b”, which waits on “a”. No day can be planned while steps wait",
    ),
    (
        filmed(episode(STEPS, SHOTS, day(MONDAY)), "cutting", on=MONDAY),
        "Something is filmed on the last shoot day already",
    ),
    (
        filmed(episode(STEPS, SHOTS, day(MONDAY, goes_on_at="17:30")), "cutting", on=MONDAY),
        "4 January 2027 goes on at 17:30 and ends at 17:00: no hours are left.",
    ),
]


@pytest.mark.parametrize(("one", "told"), CASES)
def test_what_cannot_be_planned_is_told_and_the_days_stay(one: Episode, told: str) -> None:
    plan = evaluate(one)
    (fault,) = planning_faults(plan)
    assert fault.startswith(told)
    planned = planned_days(plan, seconds=1)
    assert planned.days == one.shoot_days
    assert planned.kept and planned.told == fault


def test_no_day_from_a_date_on_is_told() -> None:
    (fault,) = planning_faults(evaluate(episode(STEPS, SHOTS, day(MONDAY))), first_day=TUESDAY)
    assert fault.startswith("No shoot day is left from 5 January 2027 on")


def test_a_shot_longer_than_any_day_is_told_before_planning() -> None:
    """As long as it takes on a day that has nothing else."""
    one = episode((step("sew", 400),), (shot("sewing", "sew"),), day(MONDAY, ends="14:00"))
    (alone,) = evaluate(changed(one, shoot_days=(day(MONDAY, "sewing"),))).days[0].shots
    takes = hours(alone.free.likely - alone.begins.likely)
    (fault,) = planning_faults(evaluate(one))  # “add a day” would not help it
    assert fault == (
        f"Shot 1, “sewing”, takes {takes} with setting up and its work, and the longest day has "
        "5 h: give a day more hours, or divide the step."
    )


def test_a_shot_longer_than_any_day_is_told_by_one_reason_before_and_after() -> None:
    """It needs daylight too, but lamps would not help it; what waits on it is told once."""
    shots = (changed(SHOTS[0], screen_seconds=3000, takes=20), *SHOTS[1:4])
    plan = evaluate(episode(STEPS[:3], shots, day(MONDAY, dark_from="16:30"), day(TUESDAY)))
    (fault,) = planning_faults(plan)
    first, *others = planned_days(plan, seconds=0.3).unplaced
    assert fault == f"Shot 1, “cutting”, {first.why.removeprefix('It ')}"
    assert "and the longest day has 8 h: give a day more hours, or divide the shot." in fault
    assert [each.kind for each in (first, *others)] == ["long", "waits", "waits", "waits"]
    (told,) = told_unplaced((first, *others))
    assert told == f"{first.told()} 3 shots wait on it: 2–4."


def test_a_step_longer_than_a_day_is_filmed_on_two_when_each_part_is_shorter() -> None:
    shots = (shot("one", "sew"), shot("two", "sew"))
    days = (day(MONDAY, ends="14:00"), day(TUESDAY, ends="14:00"))
    assert planning_faults(evaluate(episode((step("sew", 400),), shots, *days))) == ()


def test_what_is_done_before_a_day_does_not_make_it_too_long() -> None:
    sew = (step("sew", 400),)
    one = episode(sew, (shot("sewing", "sew"),), day(MONDAY, ends="14:00", beforehand=("sew",)))
    assert planning_faults(evaluate(one)) == ()


def test_many_shots_longer_than_any_day_are_told_in_two_sentences() -> None:
    """Getting the first place ready takes longer than the day is."""
    one = episode(STEPS, SHOTS, day(MONDAY, ends="09:05"))
    first, others = planning_faults(evaluate(one))
    assert first.startswith("Shot 1, “cutting”, takes 1 h ")
    assert first.endswith("and the longest day has 5 min: give a day more hours.")
    assert others == "The same goes for 6 more shots: 2–7."
    assert planning_faults(evaluate(one), but={each.id for each in SHOTS}) == ()
    planned = planned_days(evaluate(one), seconds=0.1)
    assert planned.told == "no shot is on a day."
    first, others = told_unplaced(planned.unplaced)
    assert others == "The same goes for 6 more shots: 2–7."


def test_a_camera_that_stands_needs_no_setting_up_on_the_day_that_goes_on() -> None:
    shots = (shot("one", light="lamps"), shot("two", light="lamps"))
    today = day(MONDAY, "one", "two", ends="09:10", goes_on_at="09:01")
    assert len(planning_faults(evaluate(episode((), shots, today)))) == 2
    assert planning_faults(evaluate(filmed(episode((), shots, today), "one", on=MONDAY))) == ()


def test_daylight_that_another_shot_needs_is_told_so() -> None:
    talks = (shot("one", screen_seconds=1200), shot("two", screen_seconds=1200))
    (left,) = planned_in(episode((), talks, day(MONDAY, dark_from="11:00"))).unplaced
    assert left.why.startswith("No day has daylight left for its ")
    (left,) = planned_in(episode((), talks, day(MONDAY, light_from="15:45"))).unplaced
    assert left.why.startswith("No day has daylight left for its ")


def test_a_shot_without_quiet_or_light_on_any_day_is_told_what_it_lacks() -> None:
    loud = day(MONDAY, noise=(Noise(starts="00:00", ends="23:59"),))
    (left,) = planned_in(episode((), (shot("q", quiet=True),), loud)).unplaced
    assert left.why.startswith("It needs 4 min of quiet, and no day has any on end: give a day ")
    late = day(MONDAY, light_from="16:58")
    (left,) = planned_in(episode((), (shot("q"),), late)).unplaced
    assert left.why.startswith("It needs 4 min of daylight, and no day has more than 2 min: ")


def test_quiet_that_comes_too_late_in_the_day_is_told() -> None:
    noise = (Noise(starts="09:10", ends="10:40"),)
    quiet = (shot("q1", quiet=True, screen_seconds=240), shot("q2", quiet=True, screen_seconds=240))
    (left, *_) = planned_in(episode((), quiet, day(MONDAY, ends="11:00", noise=noise))).unplaced
    assert left.why.startswith("No day has quiet left for its ")


def test_quiet_that_no_day_has_is_told() -> None:
    noise = (Noise(starts="09:05", ends="16:55"),)
    one = episode((), (shot("q", quiet=True, screen_seconds=600),), day(MONDAY, noise=noise))
    (fault,) = planning_faults(evaluate(one))
    assert "of quiet, and no day has more than 5 min on end" in fault


def test_a_rest_that_the_days_do_not_hold_is_told() -> None:
    steps = (step("sew", 60, rest_hours=24), step("hem", 30, "sew"))
    one = episode(steps, (shot("a", "sew"), shot("b", "hem")), day(MONDAY))
    (fault,) = planning_faults(evaluate(one))
    assert fault.startswith("“sew” rests for 24 hours: “hem” can be filmed from ")


def test_a_step_that_is_filmed_in_part_still_has_to_rest() -> None:
    steps = (step("sew", 60, rest_hours=24), step("hem", 30, "sew"))
    shots = (shot("a", "sew"), shot("b", "sew"), shot("c", "hem"))
    one = episode(steps, shots, day(MONDAY, "a", "b", "c", goes_on_at="12:00"))
    (fault,) = planning_faults(evaluate(filmed(one, "a", on=MONDAY)))
    assert fault == (
        f"“sew” rests for 24 hours: “hem” can be filmed from {TUESDAY:%A} "
        f"{told_day(TUESDAY)}, 12:30 at the earliest, after the last day has "
        "ended. Add a day then."  # half an hour of sewing from 12:00, then 24 h
    )


def test_what_a_rest_pushes_out_is_told_from_when_it_can_be_filmed() -> None:
    steps = (step("sew", 60, rest_hours=24), step("hem", 30, "sew"))
    shots = (shot("a", "sew"), shot("b", "hem"))
    one = episode(steps, shots, day(MONDAY))
    planned = planned_in(one)
    (left,) = planned.unplaced
    ends = evaluate(with_planned_days(evaluate(one), planned)).days[0].ends.likely
    assert left.why == (
        f"It can be filmed from Tuesday 5 January 2027, {clock_of(ends)}, when “sew” has rested "
        "for 24 hours: add a day then, or more hours."
    )


def test_what_waits_for_a_rest_past_the_days_end_is_told_from_when_it_can_be_filmed() -> None:
    steps = (step("sew", 60, rest_hours=5), step("hem", 90, "sew"))
    shots = (shot("a", "sew"), shot("b", "hem"))
    one = episode(steps, shots, day(MONDAY, ends="16:00"))
    planned = planned_in(one)
    (left,) = planned.unplaced
    sewn = evaluate(with_planned_days(evaluate(one), planned)).days[0].ends.likely
    assert left.why == (
        f"It can be filmed from Monday 4 January 2027, {clock_of(sewn + 5 * 60)}, when what it "
        "waits on has rested: add a day then, or more hours."
    )


def test_the_days_stay_when_nothing_better_is_found() -> None:
    best = with_planned_days(
        evaluate(episode(STEPS, SHOTS, day(MONDAY))), planned_in(episode(STEPS, SHOTS, day(MONDAY)))
    )
    again = planned_in(best)
    assert again.kept
    assert again.days == best.shoot_days


def test_days_that_run_a_little_late_are_not_emptied_for_a_plan_that_leaves_more_out() -> None:
    one = episode(STEPS[:2], SHOTS[:3], day(MONDAY, *(each.id for each in SHOTS[:3])))
    late = round(evaluate(one).days[0].ends.likely) - 2
    short = changed(
        one, shoot_days=(changed(one.shoot_days[0], ends=f"{late // 60:02}:{late % 60:02}"),)
    )
    planned = planned_in(short)
    assert planned.kept and planned.unplaced == ()
