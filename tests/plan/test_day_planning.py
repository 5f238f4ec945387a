"""Planning the days: against every division of the shots tried, and what it tells."""

from itertools import combinations, permutations
from random import Random

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
    shots_by_day,
    step,
)
from webapp.draft.construction import Minutes
from webapp.filming.looks import Look, PlaceChange
from webapp.filming.shoot_days import Break, Noise, clock_of, told_day
from webapp.plan.day_plan import hours
from webapp.plan.day_planning import planned_days, planning_faults, with_planned_days
from webapp.plan.day_search import fits
from webapp.plan.day_task import DayTask
from webapp.plan.edits import changed
from webapp.plan.episode import Brief, Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.planned import told_planned, told_unplaced

# --- The least that can be ---------------------------------------------------------------------


def _least(one: Episode, pairs: set[tuple[str, str]]) -> float:
    """Minutes of changing over of the cheapest division that fits, by trying all of them."""
    names = [each.id for each in one.shots]
    least = float("inf")
    for order in permutations(names):
        if any(order.index(a) > order.index(b) for a, b in pairs):
            continue
        for cuts in combinations(range(len(names) + 1), len(one.shoot_days) - 1):
            marks = (0, *cuts, len(names))
            days = [
                changed(each, shots=order[marks[at] : marks[at + 1]])
                for at, each in enumerate(one.shoot_days)
            ]
            plan = evaluate(changed(one, shoot_days=tuple(days)))
            if all(fits(each) for each in plan.days):
                least = min(least, sum(each.changing for each in plan.days))
    return least


@pytest.mark.parametrize("looks", [False, True])
@pytest.mark.parametrize("seed", range(3))
def test_no_division_that_fits_takes_less(seed: int, looks: bool) -> None:
    """With looks, make-up, and a yard so far away that a night between saves minutes."""
    random = Random(seed)
    places = [random.choice((TABLE, MACHINE, YARD)) for _ in range(5)]
    steps = [step(f"s{n}", 40, *([f"s{random.randrange(n)}"] if n else [])) for n in range(4)]
    worn = [random.choice(("", "apron", "best")) if looks else "" for _ in range(5)]
    shots = [shot(f"x{n}", f"s{n}", places[n], look=worn[n]) for n in range(4)]
    shots.append(shot("x4", place=places[4], look=worn[4]))
    one = episode(steps, shots, day(MONDAY, ends="12:30"), day(TUESDAY, ends="12:30"))
    if looks:
        far = Minutes(low=20, likely=30, high=45)
        one = changed(
            one,
            looks=(Look(id="apron", name="Apron"), Look(id="best", name="Best", made_up=True)),
            place_changes=(PlaceChange(one=YARD, other=TABLE, minutes=far),),
        )
    pairs = {(f"x{int(w[1:])}", f"x{n}") for n, s in enumerate(steps) for w in s.after}
    planned = planned_in(one, seed=seed)
    assert planned.unplaced == ()
    least = _least(one, pairs)
    assert planned.minutes == pytest.approx(least)
    assert planned.bound <= least + 1e-6
    after = with_planned_days(evaluate(one), planned)
    assert changing_in(after) == pytest.approx(planned.minutes)


def test_what_is_told_is_what_the_planned_days_come_to() -> None:
    one = episode(STEPS, SHOTS, day(MONDAY))
    planned = planned_in(one)
    after = with_planned_days(evaluate(one), planned)
    assert changing_in(after) == pytest.approx(planned.minutes)
    assert planned.changes == sum(each.changes for each in evaluate(after).days)
    assert planned.is_proven
    as_listed = changed(one, shoot_days=(day(MONDAY, *(each.id for each in SHOTS)),))
    (listed,) = evaluate(as_listed).days
    assert planned.changes_in_build_order == listed.changes
    assert planned.minutes_in_build_order == pytest.approx(changing_in(as_listed))
    assert planned.saved > 0
    assert planned.told.startswith(f"{planned.changes} changes of place, {listed.changes} in build")
    assert planned.told.endswith("saved; proven best.")


def test_the_same_seed_gives_the_same_plan() -> None:
    one = episode(STEPS, SHOTS, day(MONDAY, ends="12:30"), day(TUESDAY, ends="13:00"))
    assert planned_in(one, seed=3) == planned_in(one, seed=3)


# --- What fits --------------------------------------------------------------------------------


def test_every_day_likely_ends_in_time_with_its_breaks() -> None:
    lunch = Break(at="11:00", minutes=30)
    days = [day(on, ends="12:30", breaks=(lunch,)) for on in (MONDAY, TUESDAY, WEDNESDAY)]
    one = episode(STEPS, SHOTS, *days)
    planned = planned_in(one)
    assert planned.unplaced == ()
    for each in evaluate(with_planned_days(evaluate(one), planned)).days:
        assert each.over.likely == 0


def test_planned_surely_a_day_fits_even_when_all_takes_long() -> None:
    days = [day(on, ends="11:40") for on in (MONDAY, TUESDAY, WEDNESDAY)]
    one = episode(STEPS, SHOTS, *days)
    likely, surely = planned_in(one), planned_in(one, surely=True)
    assert likely.unplaced == surely.unplaced == ()
    plans = [evaluate(with_planned_days(evaluate(one), each)).days for each in (likely, surely)]
    assert min(each.chance_in_time for each in plans[0]) < 0.9
    assert min(each.chance_in_time for each in plans[1]) >= 0.9
    assert all(each.over.high == 0 for each in plans[1])
    again = planned_in(with_planned_days(evaluate(one), likely), surely=True)
    assert not again.kept  # what is only likely to fit gives way


def test_daylight_shots_come_before_the_dark_and_lamps_after() -> None:
    talk = [shot(f"t{n}", screen_seconds=600, light="lamps" if n < 2 else "daylight",
                 place=YARD) for n in range(4)]  # fmt: skip
    one = episode((), talk, day(MONDAY, dark_from="11:15"))
    planned = planned_in(one)
    assert planned.unplaced == ()
    (dark,) = evaluate(with_planned_days(evaluate(one), planned)).days
    assert set(planned.days[0].shots[:2]) == {"t2", "t3"}
    assert dark.in_the_dark == ()


def test_quiet_shots_are_filmed_outside_the_noise_while_others_go_on() -> None:
    noise = Noise(starts="09:15", ends="11:00")
    shots = (shot("quiet", quiet=True), *(shot(f"n{n}", screen_seconds=900) for n in range(4)))
    one = episode((), shots, day(MONDAY, noise=(noise,)))
    planned = planned_in(one)
    (told,) = evaluate(with_planned_days(evaluate(one), planned)).days
    assert told.idle == 0
    quiet = next(each for each in told.shots if each.plan.shot.quiet)
    assert quiet.rolls.likely >= 11 * 60


def test_what_rests_over_night_is_filmed_the_day_after_and_hung_in_the_evening() -> None:
    steps = (
        step("sew", 60),
        step("hang", 5, "sew", rest_hours=10, off_camera=True),
        step("hem", 30, "hang"),
    )
    shots = (shot("sewing", "sew", MACHINE), shot("hemming", "hem", MACHINE))
    planned = planned_in(episode(steps, shots, day(MONDAY), day(TUESDAY)))
    assert shots_by_day(planned) == [("sewing",), ("hemming",)]
    assert planned.days[1].beforehand == ("hang",)


def test_work_off_camera_is_put_into_the_evening_and_no_further_than_it_holds() -> None:
    steps = (
        step("sew", 60),
        step("fell", 50, "sew", off_camera=True),
        step("line", 50, "fell", off_camera=True),
        step("hem", 30, "line"),
    )
    shots = (shot("sewing", "sew"), shot("hemming", "hem"))
    days = (day(MONDAY, ends="11:00"), day(TUESDAY, ends="11:30"))
    planned = planned_in(episode(steps, shots, *days))
    assert planned.days[1].beforehand == ("fell",)
    planned = planned_in(episode(steps, shots, *days, brief=Brief(evening_minutes=100)))
    assert planned.days[1].beforehand == ("fell", "line")


def test_nobody_waits_for_what_rests_when_there_is_a_next_morning() -> None:
    steps = (step("glue", 30, rest_hours=4), step("sew", 30, "glue"))
    shots = (shot("gluing", "glue"), shot("sewing", "sew"))
    planned = planned_in(episode(steps, shots, day(MONDAY), day(TUESDAY)))
    assert planned.idle == 0 and shots_by_day(planned) == [("gluing",), ("sewing",)]
    one_day = planned_in(episode(steps, shots, day(MONDAY)))
    assert one_day.unplaced == () and one_day.idle > 3 * 60


def test_many_shots_go_on_in_the_morning_where_they_would_wait_from_the_first_plan_on() -> None:
    """No time to search: what is found at once must not wait."""
    glues = [step(f"g{n}", 10, rest_hours=5) for n in range(3)]
    sews = [step(f"s{n}", 10, f"g{n}") for n in range(3)]
    shots = [shot(each.id, each.id) for each in (*glues, *sews)]
    days = [day(MONDAY), day(TUESDAY), day(WEDNESDAY)]
    task = DayTask(evaluate(episode((*glues, *sews), shots, *days)), None, False)
    found = task.trial.filled(task.listed)
    assert found.left == () and found.idle == 0


def test_work_put_before_a_day_by_hand_stays_there() -> None:
    steps = (step("cut", 60), step("sew", 30, "cut"))
    shots = (shot("cutting", "cut"), shot("sewing", "sew"))
    one = episode(steps, shots, day(MONDAY, "cutting", "sewing", beforehand=("cut",)))
    again = planned_in(one)
    assert again.kept and again.days == one.shoot_days
    unplanned = episode(steps, shots, day(MONDAY, beforehand=("cut",)))
    assert planned_in(unplanned).days[0].beforehand == ("cut",)


def test_work_put_before_a_day_by_hand_goes_where_it_cannot_be_done_then() -> None:
    steps = (step("cut", 60), step("fell", 30, "cut", off_camera=True), step("sew", 30, "fell"))
    shots = (shot("cutting", "cut"), shot("sewing", "sew"))
    one = episode(steps, shots, day(MONDAY, beforehand=("fell",)))
    planned = planned_in(one)
    assert planned.unplaced == () and planned.days[0].beforehand == ()


def test_what_is_left_out_proves_nothing_about_what_is_not() -> None:
    steps = (step("cut", 60), step("sew", 500, "cut"))
    one = episode(steps, (shot("cutting", "cut"), shot("sewing", "sew")), day(MONDAY))
    planned = planned_in(one)
    assert len(planned.unplaced) == 1 and planned.bound == 0
    stored = with_planned_days(evaluate(one), planned).planned_days
    assert stored is not None
    assert "best" not in told_planned(stored)


def test_nothing_is_done_before_a_day_that_stays_empty() -> None:
    steps = (step("wash", 50, rest_hours=8, off_camera=True), step("sew", 300, "wash"))
    one = episode(steps, (shot("sewing", "sew"),), day(MONDAY, ends="11:00"), day(TUESDAY))
    assert [each.beforehand for each in planned_in(one).days] == [(), ("wash",)]


def test_before_today_there_is_no_evening_any_more() -> None:
    steps = (step("wash", 50, off_camera=True), step("sew", 30, "wash"))
    one = episode(steps, (shot("sewing", "sew"),), day(TUESDAY))
    assert planned_in(one).days[0].beforehand == ("wash",)
    assert planned_in(one, first_day=MONDAY).days[0].beforehand == ("wash",)
    assert planned_in(one, first_day=TUESDAY).days[0].beforehand == ()
    washed = changed(one, shoot_days=(day(TUESDAY, beforehand=("wash",)),))
    assert planned_in(washed, first_day=TUESDAY).days[0].beforehand == ("wash",)  # it is done


def test_the_garment_is_styled_last_and_talking_is_free() -> None:
    shots = (shot("look", kind="styling"), *SHOTS)
    (planned,) = planned_in(episode(STEPS, shots, day(MONDAY))).days
    assert planned.shots.index("look") > planned.shots.index("bagging")
    assert planned.shots.index("look") > planned.shots.index("hemming")


def test_of_plans_that_take_as_long_one_is_made_whose_days_end_in_time_most_often() -> None:
    """Against every place where the night could fall."""
    talks = [shot(f"t{n}", screen_seconds=900, light="lamps") for n in range(6)]
    one = episode((), talks, day(MONDAY, ends="13:30"), day(TUESDAY, ends="13:30"))
    names = [each.id for each in talks]
    chances = []
    for cut in range(1, 6):
        days = (day(MONDAY, *names[:cut], ends="13:30"), day(TUESDAY, *names[cut:], ends="13:30"))
        chances.append(min(each.chance for each in evaluate(changed(one, shoot_days=days)).days))
    filled = DayTask(evaluate(one), None, False).trial.filled(names)
    planned = planned_in(one)
    days_planned = evaluate(with_planned_days(evaluate(one), planned)).days
    assert planned.is_proven and len(filled.days[0]) > len(planned.days[0].shots)
    assert min(each.chance for each in days_planned) == pytest.approx(max(chances))


def test_of_plans_that_take_as_long_and_are_as_sure_one_is_made_that_films_earlier() -> None:
    talks = [shot(name, screen_seconds=900) for name in ("a", "b")]
    one = episode((), talks, day(MONDAY), day(TUESDAY))
    late = changed(one, shoot_days=(day(MONDAY), day(TUESDAY, "a", "b")))
    planned = planned_in(late)
    assert [set(each.shots) for each in planned.days] == [{"a", "b"}, set()]


def test_no_day_stays_empty_before_another_even_when_the_time_is_up() -> None:
    talks = [shot(f"t{n}", screen_seconds=900) for n in range(8)]
    names = tuple(each.id for each in talks)
    task = DayTask(evaluate(episode((), talks, day(MONDAY), day(TUESDAY))), None, False)
    found = task.trial.division(((), names), ())
    assert task.better.settled(found, left_s=lambda: 0.0, seed=0).days == (names, ())


def test_a_day_waits_for_what_rests_rather_than_leave_shots_out() -> None:
    steps = (step("glue", 10, rest_hours=3), step("sew", 100, "glue"), step("hem", 100, "sew"))
    shots = (shot("gluing", "glue"), shot("sewing", "sew"), shot("hemming", "hem"))
    task = DayTask(
        evaluate(episode(steps, shots, day(MONDAY), day(TUESDAY, ends="11:30"))), None, False
    )
    found = task.trial.division((("gluing",), ("sewing",)), ("hemming",))
    assert task.trial.fits(found.days)
    fewer = task.better.with_fewer_left(found, left_s=lambda: 1.0, seed=0)
    assert fewer.left == () and task.trial.fits(fewer.days)
    assert found.idle == 0 < fewer.idle


# --- What does not fit --------------------------------------------------------------------------


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
