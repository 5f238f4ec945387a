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
    planned_in,
    shot,
    shots_by_day,
    step,
)
from webapp.draft.construction import Minutes
from webapp.filming.looks import Look, PlaceChange
from webapp.filming.shoot_days import Break, Noise
from webapp.plan.day_planning import with_planned_days
from webapp.plan.day_search import fits
from webapp.plan.day_task import DayTask
from webapp.plan.edits import changed
from webapp.plan.episode import Brief, Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.planned import told_planned

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
