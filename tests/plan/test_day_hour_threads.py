"""Loose threads about rests, noise, breaks, the clocks and the work before a day."""

from collections.abc import Callable, Iterable

from tests.plan.day_specimens import (
    MACHINE,
    MONDAY,
    TUESDAY,
    YARD,
    day,
    episode,
    filmed,
    shot,
    step,
)
from webapp.filming.shoot_days import Break, Noise
from webapp.plan import day_hour_threads as threads
from webapp.plan.day_planning import planned_days, with_planned_days
from webapp.plan.edits import changed
from webapp.plan.episode import Brief, Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.mends import mended
from webapp.plan.results import LooseThread, Plan

Rule = Callable[[Plan], Iterable[LooseThread]]
SEW, HANG = step("sew", 60), step("hang", 5, "sew", rest_hours=24, off_camera=True)
STEPS = (SEW, HANG, step("hem", 30, "hang"))
SHOTS = (shot("sewing", "sew", MACHINE), shot("hemming", "hem", MACHINE))


def _found(rule: Rule, one: Episode) -> list[LooseThread]:
    return list(rule(evaluate(one)))


def _one(rule: Rule, one: Episode) -> LooseThread:
    (thread,) = _found(rule, one)
    assert thread.page == "days"
    return thread


def test_what_has_not_rested_must_be_mended() -> None:
    both = episode(STEPS, SHOTS, day(MONDAY, "sewing", "hemming"))
    thread = _one(threads.too_soon_after_a_rest, both)
    assert thread.severity == "must"
    assert thread.sentence.startswith(
        "On 4 January 2027 “hem” comes too soon: “hang” rests for 24 hours, likely until 5 January "
    )
    wednesday = TUESDAY.replace(day=6)
    apart = changed(
        both, shoot_days=(day(MONDAY, "sewing"), day(wednesday, "hemming", beforehand=("hang",)))
    )
    assert _found(threads.too_soon_after_a_rest, apart) == []


def test_shots_on_days_against_the_build_are_told_once_each() -> None:
    one = episode(STEPS, SHOTS, day(MONDAY, "hemming"), day(TUESDAY, "sewing"))
    thread = _one(threads.days_against_the_build, one)
    assert thread.severity == "must"
    assert thread.place.item == "2027-01-04"
    assert thread.sentence == (
        "Shot 2, “hemming”, is filmed before shot 1, “sewing”, which it waits on."
    )
    right = changed(one, shoot_days=(day(MONDAY, "sewing"), day(TUESDAY, "hemming")))
    assert _found(threads.days_against_the_build, right) == []
    done = filmed(one, "hemming", on=MONDAY)
    assert _found(threads.days_against_the_build, done) == []  # it cannot be helped any more


def test_a_day_against_the_build_is_one_thread_however_many_shots_it_is() -> None:
    shots = (*SHOTS, shot("look", kind="styling"))
    one = episode(STEPS, shots, day(MONDAY, "look", "hemming"), day(TUESDAY, "sewing"))
    thread = _one(threads.days_against_the_build, one)
    assert (thread.severity, thread.place.item) == ("must", "2027-01-04")
    assert thread.sentence == (
        "On 4 January 2027, 2 shots stand the wrong way round: plan the days again. "
        "Shot 3, “look”, stands before shot 2, “hemming”, and it wears the finished piece."
    )


def test_shots_of_one_step_the_other_way_round_are_worth_a_look() -> None:
    shots = (shot("before", "sew"), shot("after", "sew"))
    one = episode(STEPS[:1], shots, day(MONDAY, "after", "before"))
    thread = _one(threads.days_against_the_build, one)
    assert (thread.severity, thread.sentence[-18:]) == ("should", "which comes first.")


def test_the_finished_piece_before_it_is_finished_must_be_mended() -> None:
    shots = (*SHOTS, shot("look", kind="styling"))
    one = episode(STEPS, shots, day(MONDAY, "sewing", "look"), day(TUESDAY, "hemming"))
    thread = _one(threads.days_against_the_build, one)
    assert thread.severity == "must"
    assert thread.sentence == (
        "Shot 3, “look”, is filmed before shot 2, “hemming”, and it wears the finished piece."
    )
    last = changed(one, shoot_days=(day(MONDAY, "sewing"), day(TUESDAY, "hemming", "look")))
    assert _found(threads.days_against_the_build, last) == []


def test_a_cutaway_before_what_it_shows_is_worth_a_look() -> None:
    shots = (SHOTS[0], shot("close", kind="cutaway"), SHOTS[1], shot("hello"))
    one = episode(STEPS, shots, day(MONDAY, "hello", "close", "sewing"), day(TUESDAY, "hemming"))
    thread = _one(threads.days_against_the_build, one)
    assert (thread.severity, thread.place.item) == ("should", "2027-01-04")
    assert thread.sentence == (
        "Shot 2, “close”, is filmed before shot 1, “sewing”, which stands ahead of it in the list."
    )


def test_a_long_wait_for_quiet_is_worth_a_look_and_a_short_one_is_not() -> None:
    quiet = (shot("q", quiet=True),)
    loud = Noise(starts="09:00", ends="10:30")
    thread = _one(
        threads.waits_for_quiet_or_light, episode((), quiet, day(MONDAY, "q", noise=(loud,)))
    )
    assert thread.severity == "should"
    assert thread.sentence == (
        "On 4 January 2027 shot 1, “q”, waits 1 h 10 min for an end of the noise, likely until "
        "10:30: film something else first."
    )  # 20 minutes of the 90 go into setting up
    short = changed(loud, ends="09:35")
    assert not _found(
        threads.waits_for_quiet_or_light, episode((), quiet, day(MONDAY, "q", noise=(short,)))
    )


def test_waiting_for_the_light_is_told_too() -> None:
    one = episode((), (shot("q"),), day(MONDAY, "q", light_from="10:00"))
    assert "waits 40 min for the daylight" in _one(threads.waits_for_quiet_or_light, one).sentence


def test_more_than_six_hours_without_a_break_are_told() -> None:
    steps = (step("sew", 400),)
    one = episode(steps, (shot("sewing", "sew"),), day(MONDAY, "sewing"))
    thread = _one(threads.no_break_for_long, one)
    assert thread.sentence.startswith("4 January 2027 goes on for 7 h ")
    rested = (day(MONDAY, "sewing", breaks=(Break(at="12:30", minutes=30),)),)
    assert _found(threads.no_break_for_long, changed(one, shoot_days=rested)) == []


def test_a_day_over_a_change_of_the_clocks_is_told_once_there_is_a_time_zone() -> None:
    night = day(MONDAY.replace(month=3, day=28), "talk", starts="01:00", ends="05:00")
    one = episode((), (shot("talk"),), night)
    assert _found(threads.clocks_that_change, one) == []
    there = changed(one, brief=Brief(time_zone="Europe/Berlin"))
    assert "the clocks go forward at 02:00" in _one(threads.clocks_that_change, there).sentence
    nowhere = changed(one, brief=Brief(time_zone="Here"))
    assert "“Here” is no time zone" in _one(threads.clocks_that_change, nowhere).sentence


def test_work_beforehand_that_waits_on_the_day_itself_must_be_mended() -> None:
    one = episode(STEPS, SHOTS, day(MONDAY, "sewing", beforehand=("hang",)))
    thread = _one(threads.work_before_a_day, one)
    assert thread.severity == "must"
    assert thread.sentence == (
        "“hang” is to be done before 4 January 2027, but it waits on “sew”, which is not done by "
        "then."
    )


def test_a_one_way_step_that_shots_show_is_not_done_beforehand() -> None:
    cut = changed(step("cut", 20), one_way=True)
    one = episode((cut,), (shot("cutting", "cut"),), day(MONDAY, "cutting", beforehand=("cut",)))
    assert "while the camera rolls" in _one(threads.work_before_a_day, one).sentence
    plain = changed(one, garments=(changed(one.garments[0], steps=(step("cut", 20),)),))
    assert _found(threads.work_before_a_day, plain) == []


def test_more_than_an_evening_holds_is_told_with_its_minutes() -> None:
    steps = (SEW, step("fell", 90, "sew", off_camera=True), step("hem", 30, "fell"))
    days = (day(MONDAY, "sewing"), day(TUESDAY, "hemming", beforehand=("fell",)))
    thread = _one(threads.work_before_a_day, episode(steps, SHOTS, *days))
    assert thread.sentence.endswith("“fell” with it, than the 60 minutes of an evening hold.")


def test_a_shot_filmed_on_another_day_is_told_and_taken_off_at_once() -> None:
    one = filmed(episode(STEPS, SHOTS, day(TUESDAY, "sewing", "hemming")), "sewing", on=MONDAY)
    thread = _one(threads.filmed_on_another_day, one)
    assert thread.sentence == (
        "Shot 1, “sewing”, is on 5 January 2027 and was filmed on 4 January 2027 already."
    )
    (mend,) = thread.mends
    after = mended(evaluate(one), mend.act, mend.args)
    assert after.shoot_days[0].shots == ("hemming",)
    assert _found(threads.filmed_on_another_day, after) == []
    on_the_day = filmed(one, "sewing", on=TUESDAY)
    assert _found(threads.filmed_on_another_day, on_the_day) == []


def test_shots_filmed_on_one_other_day_are_one_thread_and_one_mend() -> None:
    shots = (*SHOTS, shot("wearing"))
    days = day(TUESDAY, "sewing", "hemming", "wearing")
    one = filmed(episode(STEPS, shots, days), "sewing", "hemming", on=MONDAY)
    thread = _one(threads.filmed_on_another_day, one)
    assert thread.sentence == (
        "Shots 1 and 2 are on 5 January 2027 and were filmed on 4 January 2027 already."
    )
    (mend,) = thread.mends
    assert mend.words == "Take these 2 shots off the day"
    assert mended(evaluate(one), mend.act, mend.args).shoot_days[0].shots == ("wearing",)
    apart = filmed(one, "hemming", on=MONDAY.replace(day=3))
    assert len(_found(threads.filmed_on_another_day, apart)) == 2


def test_days_planned_from_other_shots_are_told_until_all_is_filmed() -> None:
    one = episode(STEPS[:1], SHOTS[:1], day(MONDAY))
    rule = threads.days_planned_from_something_else
    planned = with_planned_days(evaluate(one), planned_days(evaluate(one), seconds=1))
    assert _found(rule, one) == [] == _found(rule, planned)
    moved = changed(planned, shots=(changed(planned.shots[0], place=YARD),))
    assert _one(rule, moved).sentence == (
        "The shots were changed since the days were planned: plan them again."
    )
    assert _found(rule, filmed(moved, "sewing", on=MONDAY)) == []
