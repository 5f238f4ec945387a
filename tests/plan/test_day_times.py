"""Clock times of shoot days: breaks, rests, light, noise, work beforehand, what is filmed."""

from datetime import date, timedelta

import pytest

from tests.plan.day_specimens import (
    MACHINE,
    MONDAY,
    TABLE,
    TUESDAY,
    WEDNESDAY,
    day,
    episode,
    filmed,
    shot,
    step,
)
from webapp.filming.shoot_days import Break, Noise
from webapp.plan.day_plan import DayPlan
from webapp.plan.edits import changed
from webapp.plan.episode import Brief, Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.timetable import timetable

HOUR = 60
STEPS = (step("cut", 60), step("sew", 120, "cut"))
SHOTS = (shot("cutting", "cut"), shot("sewing", "sew", MACHINE))


def _days(one: Episode) -> tuple[DayPlan, ...]:
    return evaluate(one).days


# --- Breaks ------------------------------------------------------------------------------------


def test_a_break_in_the_work_makes_all_after_it_later() -> None:
    (plain,) = _days(episode(STEPS, SHOTS, day(MONDAY, "cutting", "sewing")))
    lunch = Break(at="12:00", minutes=45)
    (rested,) = _days(episode(STEPS, SHOTS, day(MONDAY, "cutting", "sewing", breaks=(lunch,))))
    assert plain.shots[1].ends.likely < 12 * HOUR < plain.shots[1].free.likely  # it is sewn
    assert [one.begins for one in rested.breaks] == [12 * HOUR]
    assert rested.shots[0].ends == plain.shots[0].ends
    assert rested.ends.likely == pytest.approx(plain.ends.likely + 45)
    assert rested.without_break == pytest.approx(180)


def test_a_break_while_the_camera_rolls_waits_for_the_shot() -> None:
    long = (shot("cutting", "cut", screen_seconds=3600), SHOTS[1])
    lunch = Break(at="11:00", minutes=45)
    (rested,) = _days(episode(STEPS, long, day(MONDAY, "cutting", "sewing", breaks=(lunch,))))
    assert rested.shots[0].rolls.likely < 11 * HOUR < rested.shots[0].ends.likely
    assert rested.breaks[0].begins == pytest.approx(rested.shots[0].ends.likely)


def test_a_break_that_was_due_when_the_day_goes_on_is_taken_then() -> None:
    lunch = (Break(at="13:00", minutes=40), Break(at="09:30", minutes=40))
    late = day(MONDAY, "cutting", "sewing", breaks=lunch, goes_on_at="13:10")
    (planned,) = _days(episode(STEPS, SHOTS, late))
    assert [(one.begins, one.minutes) for one in planned.breaks] == [(13 * HOUR + 10, 40)]


# --- Rests -------------------------------------------------------------------------------------

HUNG = (step("sew", 60), step("hang", 5, "sew", rest_hours=4, off_camera=True))
HEMMED = (*HUNG, step("hem", 30, "hang"))
HEM_SHOTS = (shot("sewing", "sew", MACHINE), shot("hemming", "hem", MACHINE))


def test_work_waits_on_the_day_for_what_rests_before_it() -> None:
    (planned,) = _days(episode(HEMMED, HEM_SHOTS, day(MONDAY, "sewing", "hemming", ends="19:00")))
    sewn, hemmed = planned.shots
    assert [wait.why for wait in hemmed.waits] == ["rest"]
    assert hemmed.waits[0].minutes == pytest.approx(4 * HOUR)
    assert hemmed.starts.likely == pytest.approx(sewn.free.likely + 5 + 4 * HOUR, abs=0.01)
    assert planned.idle == pytest.approx(4 * HOUR)


def test_what_has_to_rest_off_camera_does_so_while_others_are_filmed() -> None:
    wash = step("wash", 20, rest_hours=2, off_camera=True)
    talk, cut = shot("talk", screen_seconds=600), shot("cutting", "cut")
    (one,) = _days(
        episode((wash, step("cut", 30, "wash")), (talk, cut), day(MONDAY, "talk", "cutting"))
    )
    talked, cutting = one.shots
    assert talked.worked == ("wash",) and cutting.worked == ()
    assert talked.starts.likely == 9 * HOUR + 20
    assert cutting.starts.likely == 9 * HOUR + 20 + 2 * HOUR
    assert one.idle == pytest.approx(cutting.starts.likely - talked.ends.likely)


def test_what_has_to_rest_waits_for_the_last_part_of_what_it_waits_on() -> None:
    """Hung up neither before the second shot of the sewing nor in the evening between the two."""
    two = (SHOTS[1], shot("again", "sew"), HEM_SHOTS[-1])
    names = [each.id for each in two]
    (one,) = _days(episode(HEMMED, two, day(MONDAY, *names)))
    assert [each.worked for each in one.shots] == [(), (), ("hang",)]
    apart = (day(MONDAY, names[0]), day(TUESDAY, *names[1:], beforehand=("hang",)))
    _, later = _days(episode(HEMMED, two, *apart))
    (hung,) = later.beforehand
    assert hung.waits_for == ("sew",)


def test_what_has_to_rest_is_not_begun_before_what_it_waits_on() -> None:
    after = (shot("talk"), *HEM_SHOTS)
    (one,) = _days(episode(HEMMED, after, day(MONDAY, *(each.id for each in after))))
    assert [each.worked for each in one.shots] == [(), (), ("hang",)]


def test_nothing_is_waited_for_before_its_time_where_one_rest_comes_after_another() -> None:
    steps = (
        step("wash", 20, rest_hours=2, off_camera=True),
        step("press", 10, "wash", off_camera=True),
        step("damp", 5, "press", rest_hours=1, off_camera=True),
        step("cut", 30, "damp"),
    )
    shots = (shot("talk"), shot("cutting", "cut"))
    (one,) = _days(episode(steps, shots, day(MONDAY, "talk", "cutting")))
    talked, cutting = one.shots
    assert (talked.worked, talked.waits) == (("wash",), ())
    assert cutting.worked == ("press", "damp")
    assert cutting.starts.likely == 9 * HOUR + 20 + 2 * HOUR + 15 + 1 * HOUR


def test_what_has_not_rested_by_the_days_end_comes_too_soon() -> None:
    (planned,) = _days(episode(HEMMED, HEM_SHOTS, day(MONDAY, "sewing", "hemming", ends="13:00")))
    (late,) = planned.shots[1].too_soon
    assert planned.shots[1].waits == ()
    assert late.told.startswith("“hem” comes too soon: “hang” rests for 4 hours, likely until 4 J")


def test_work_after_the_days_end_is_late_and_not_too_soon() -> None:
    (planned,) = _days(episode(STEPS, SHOTS, day(MONDAY, "cutting", "sewing", ends="09:30")))
    assert planned.over.likely > 0
    assert not any(one.too_soon for one in planned.shots)


def test_a_rest_goes_on_over_night() -> None:
    days = (day(MONDAY, "sewing"), day(TUESDAY, "hemming"))
    day_long = (HUNG[0], changed(HUNG[1], rest_hours=24), HEMMED[2])
    one = episode(day_long, HEM_SHOTS, changed(days[0], beforehand=()), days[1])
    _, hemming = _days(one)
    assert hemming.shots[0].too_soon  # hung on Tuesday itself, before the hem
    evening = changed(one, shoot_days=(days[0], changed(days[1], beforehand=("hang",))))
    _, hemming = _days(evening)
    assert hemming.beforehand[0].evening == MONDAY
    assert [late.ready_day for late in hemming.shots[0].too_soon] == [TUESDAY]  # at 21:00
    later = changed(evening, shoot_days=(days[0], day(WEDNESDAY, "hemming", beforehand=("hang",))))
    _, hemming = _days(later)
    assert hemming.shots[0].too_soon == () == hemming.shots[0].waits


def test_a_rest_is_as_long_over_a_change_of_the_clocks() -> None:
    """Hung on Saturday at 21:00 for 13 hours: until 11:00 by summer time, not 10:00."""
    sunday = MONDAY.replace(month=3, day=28)
    days = (day(sunday - timedelta(days=1), "sewing"), day(sunday, "hemming", beforehand=("hang",)))
    steps = (HUNG[0], changed(HUNG[1], rest_hours=13), HEMMED[2])
    one = episode(steps, HEM_SHOTS, *days)
    there = changed(one, brief=Brief(time_zone="Europe/Berlin"))
    (_, winter), (_, summer) = _days(one), _days(there)
    assert winter.shots[0].starts.likely == 10 * HOUR
    assert summer.shots[0].starts.likely == 11 * HOUR


# --- Light and noise ---------------------------------------------------------------------------


def test_a_daylight_shot_waits_for_the_light_and_one_by_lamps_does_not() -> None:
    shots = (shot("talk"),)
    (dark,) = _days(episode((), shots, day(MONDAY, "talk", starts="07:00", light_from="08:30")))
    assert dark.shots[0].rolls.likely == 8.5 * HOUR
    assert [wait.why for wait in dark.shots[0].waits] == ["light"]
    by_lamps = (changed(shots[0], light="lamps"),)
    (lit,) = _days(episode((), by_lamps, day(MONDAY, "talk", starts="07:00", light_from="08:30")))
    assert lit.shots[0].waits == ()
    assert lit.shots[0].rolls.likely < 8 * HOUR


def test_the_dark_is_nothing_to_a_shot_by_lamps() -> None:
    shots = (shot("talk", light="lamps"),)
    (night,) = _days(
        episode((), shots, day(MONDAY, "talk", starts="20:00", ends="22:00", dark_from="17:00"))
    )
    assert night.in_the_dark == ()
    assert night.told_light == "Nothing on it needs daylight."


def test_a_quiet_shot_waits_until_the_noise_is_over() -> None:
    noise = Noise(starts="09:15", ends="10:30", what="the school yard")
    loud, quiet = shot("loud"), shot("quiet", quiet=True)
    (planned,) = _days(episode((), (loud, quiet), day(MONDAY, "loud", "quiet", noise=(noise,))))
    first, second = planned.shots
    assert first.waits == ()
    assert second.rolls.likely == 10.5 * HOUR
    assert [wait.why for wait in second.waits] == ["noise"]


def test_a_quiet_shot_waits_on_when_a_break_ends_in_the_next_noise() -> None:
    noises = (Noise(starts="10:00", ends="12:00"), Noise(starts="12:40", ends="14:00"))
    lunch = Break(at="11:45", minutes=60)
    monday = day(MONDAY, "q", starts="10:00", noise=noises, breaks=(lunch,))
    (planned,) = _days(episode((), (shot("q", quiet=True),), monday))
    (only,) = planned.shots
    assert only.rolls.low >= 14 * HOUR
    assert only.rolls.likely == 14 * HOUR
    assert planned.idle + only.set_up.likely == pytest.approx(180)  # the break is none of it


def test_a_quiet_shot_ends_before_the_noise_or_rolls_after_it() -> None:
    """Also where only who is slow waits, which makes what follows likely end later."""
    shots = (shot("loud", screen_seconds=120), shot("quiet", quiet=True))
    for minute in range(30, 40):
        noise = Noise(starts=f"09:{minute}", ends="13:00")
        (planned,) = _days(episode((), shots, day(MONDAY, "loud", "quiet", noise=(noise,))))
        _, quiet = planned.shots
        assert quiet.ends.likely <= 9 * HOUR + minute or quiet.rolls.likely >= 13 * HOUR, minute


# --- Work beforehand ---------------------------------------------------------------------------


def test_what_is_done_beforehand_takes_no_time_on_the_day() -> None:
    steps = (step("wash", 40, off_camera=True), step("cut", 60, "wash"))
    plain = episode(steps, SHOTS[:1], day(MONDAY, "cutting"))
    (same_day,) = _days(plain)
    (before,) = _days(changed(plain, shoot_days=(day(MONDAY, "cutting", beforehand=("wash",)),)))
    assert same_day.shots[0].worked_ids == ("wash", "cut")
    assert before.shots[0].worked_ids == ("cut",)
    assert before.work_beforehand.likely == 40
    assert before.ends.likely == pytest.approx(same_day.ends.likely - 40)


def test_what_cannot_be_done_beforehand_is_told() -> None:
    one = episode(HEMMED, HEM_SHOTS, day(MONDAY, "sewing", "hemming", beforehand=("hang",)))
    (planned,) = _days(one)
    assert planned.beforehand[0].waits_for == ("sew",)
    assert not planned.beforehand[0].in_time


def test_more_work_than_an_evening_holds_is_told() -> None:
    steps = (step("sew", 10), step("fell", 90, "sew", off_camera=True), step("hem", 10, "fell"))
    days = (day(MONDAY, "sewing"), day(TUESDAY, "hemming", beforehand=("fell",)))
    one = episode(steps, HEM_SHOTS, *days)
    assert _days(one)[1].beforehand[0].too_long
    longer = changed(one, brief=Brief(evening_minutes=90))
    assert _days(longer)[1].beforehand[0].in_time


# --- What is filmed ------------------------------------------------------------------------------


def test_a_filmed_shot_takes_no_time_and_the_camera_stands_where_it_was() -> None:
    one = episode(STEPS, (SHOTS[0], shot("again", "cut"), SHOTS[1]))
    whole = changed(one, shoot_days=(day(MONDAY, "cutting", "again", "sewing"),))
    going_on = changed(
        filmed(whole, "cutting", on=MONDAY),
        shoot_days=(day(MONDAY, "cutting", "again", "sewing", goes_on_at="13:10"),),
    )
    (planned,) = _days(going_on)
    done, again, _ = planned.shots
    assert done.filmed and done.filming.high == 0
    assert again.begins.likely == 13 * HOUR + 10
    assert again.set_up.likely < 5  # the camera stands at the table
    assert not again.moves_camera


def test_what_is_left_of_a_step_goes_on_from_the_shots_that_are_left() -> None:
    """Of 30 minutes 10 go on from each of three shots: once one is filmed 20 are left, on
    whatever days; a shot that is filmed on two days brings no part of its own on the second."""
    shots = [shot(name, "cut") for name in ("one", "two", "three")]
    days = (day(MONDAY, "one", "two"), day(TUESDAY, "two", "three"))
    whole = episode([step("cut", 30)], shots, *days)
    for name, parts in (("", [[10, 10], [10, 0]]), ("one", [[0, 10], [10, 0]])):
        planned = _days(filmed(whole, name, on=MONDAY))
        assert [[each.goes_on.likely for each in one.shots] for one in planned] == parts
    last = planned[0].shots[-1]
    assert last.free.likely == pytest.approx(last.ends.likely + 10)


def test_a_filmed_step_rests_from_the_last_day_on_which_it_was_filmed() -> None:
    steps = (step("dye", 10, rest_hours=20), step("sew", 10, "dye"))
    shots = (shot("one", "dye"), shot("two", "dye"), shot("sewn", "sew"))
    sewing = day(TUESDAY, "two", "sewn", goes_on_at="09:00")
    both = filmed(episode(steps, shots, day(MONDAY, "one"), sewing), "one", on=MONDAY)
    assert not _days(filmed(both, "two", on=MONDAY))[-1].shots[-1].too_soon  # 17:00 and 20 hours
    assert _days(filmed(both, "two", on=TUESDAY))[-1].shots[-1].too_soon


def test_the_camera_stands_nowhere_for_what_was_filmed_on_another_day() -> None:
    one = filmed(episode(STEPS, SHOTS, day(TUESDAY, "cutting", "sewing")), "cutting", on=MONDAY)
    (planned,) = _days(one)
    assert planned.shots[1].set_up.likely == 20
    assert [each.plan.shot.id for each in planned.to_film] == ["sewing"]


def test_a_day_of_which_all_is_filmed_is_told_so() -> None:
    (planned,) = _days(filmed(episode(STEPS, SHOTS, day(MONDAY, "cutting", "sewing")),
                              "cutting", "sewing", on=MONDAY))  # fmt: skip
    assert planned.told == "All of it is filmed."
    assert planned.over.high == 0


def test_styling_comes_after_all_that_is_left_to_do() -> None:
    steps = (*STEPS, step("press", 15, "sew", off_camera=True))
    shots = (*SHOTS, shot("look", kind="styling"))
    (planned,) = _days(episode(steps, shots, day(MONDAY, "cutting", "sewing", "look")))
    assert planned.shots[2].worked == ("press",)
    (early,) = _days(episode(steps, shots, day(MONDAY, "look", "cutting", "sewing")))
    assert early.shots[0].worked == ()  # it is no finished piece yet


def test_changes_of_place_and_look_are_counted_within_a_day() -> None:
    shots = (shot("a", place=TABLE), shot("b", place=" over  the TABLE"), shot("c", place=MACHINE))
    (planned,) = _days(episode((), shots, day(MONDAY, "a", "b", "c")))
    assert [one.moves_camera for one in planned.shots] == [False, False, True]
    assert planned.changes == 1


# --- Clocks put forward ------------------------------------------------------------------------


def test_a_night_of_filming_ends_an_hour_later_by_clocks_put_forward() -> None:
    """Lisbon, 28 March 2027, from 01:00 to 02:00 (Directive 2000/84/EC); so does a rest."""
    spring = date(2027, 3, 28)
    steps = (step("glue", 10, rest_hours=1), step("sew", 20, "glue"))
    shots = (shot("gluing", "glue"), shot("sewing", "sew"))
    night = day(spring, "gluing", "sewing", starts="00:20", ends="06:00")
    plain = evaluate(episode(steps, shots, night))
    spring_time = evaluate(changed(plain.episode, brief=Brief(time_zone="Europe/Lisbon")))
    (before,), (after,) = plain.days, spring_time.days
    for old, new in zip(before.shots, after.shots, strict=True):
        for name in ("starts", "rolls", "ends", "free"):
            at = getattr(old, name).likely
            assert getattr(new, name).likely == pytest.approx(at if at < 60 else at + 60)
    assert after.idle == pytest.approx(before.idle)
    rows, old_rows = timetable(spring_time, after), timetable(plain, before)
    assert [row.minutes for row in rows] == pytest.approx([row.minutes for row in old_rows])
    lines, old_lines = (
        [line.minutes for row in many for line in (*row.ahead, *row.after)]
        for many in (rows, old_rows)
    )
    assert lines == pytest.approx(old_lines)
