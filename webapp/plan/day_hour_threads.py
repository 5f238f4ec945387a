"""Loose threads about what the hours of shoot days hold: rests, noise, breaks, work before them."""

from collections.abc import Iterable
from datetime import date
from typing import Final

from webapp.draft.names import listed
from webapp.filming.clock_changes import clock_faults, zone_fault
from webapp.filming.shoot_days import clock_of, told_day
from webapp.plan.day_moves import told_out_of_order, wrong_way_round
from webapp.plan.day_plan import DayPlan, DoneBefore, hours
from webapp.plan.day_threads import told_shots
from webapp.plan.planned_keys import outdated
from webapp.plan.results import LooseThread, Mend, Place, Plan, Severity, ShotPlan

LONGEST_STRETCH: Final = 6 * 60  # minutes without a break; common practice, no source
LONG_WAIT: Final = 20  # minutes for quiet or daylight that are worth a look


def too_soon_after_a_rest(plan: Plan) -> Iterable[LooseThread]:
    """A step that is worked on a day that is over before what it waits on has rested."""
    for day in plan.days:
        late = [one for before in day.beforehand for one in before.too_soon]
        late += [one for shot in day.shots for one in shot.too_soon]
        for one in late:
            yield LooseThread(
                "must", _place(day.day.day), f"On {told_day(day.day.day)} {_small(one.told)}"
            )


def days_against_the_build(plan: Plan) -> Iterable[LooseThread]:
    """A day with shots ahead of what is to be filmed before them: see `filmed_first`."""
    for one in wrong_way_round(plan):
        told = (
            told_out_of_order(plan, one.pairs[0], "is filmed")
            if len(one.pairs) == 1
            else f"On {told_day(one.day)}, {one.told_all}: plan the days again. {one.told[0]}"
        )
        yield LooseThread("must" if one.must else "should", _place(one.day), told)


def waits_for_quiet_or_light(plan: Plan) -> Iterable[LooseThread]:
    """Shots that keep the day waiting for an end of noise, or for the daylight."""
    for day in plan.days:
        for shot in day.to_film:
            for wait in shot.waits:
                if wait.why != "rest" and wait.minutes > LONG_WAIT:
                    what = "an end of the noise" if wait.why == "noise" else "the daylight"
                    yield LooseThread(
                        "should",
                        _place(day.day.day),
                        f"On {told_day(day.day.day)} shot {shot.plan.number}, "
                        f"“{shot.plan.shot.title}”, waits {hours(wait.minutes)} for {what}, likely "
                        f"until {clock_of(shot.rolls.likely)}: film something else first.",
                    )


def no_break_for_long(plan: Plan) -> Iterable[LooseThread]:
    """A day that goes on for more than six hours without a break."""
    for day in plan.days:
        if day.without_break > LONGEST_STRETCH:
            yield LooseThread(
                "should",
                _place(day.day.day),
                f"{told_day(day.day.day)} goes on for {hours(day.without_break)} without a break: "
                "plan one.",
            )


def clocks_that_change(plan: Plan) -> Iterable[LooseThread]:
    """A day on which the clocks change, or a time zone that there is not."""
    zone = plan.episode.brief.time_zone
    fault = zone_fault(zone)
    if fault and plan.episode.shoot_days:
        yield LooseThread("should", Place("days"), fault)
    for day in plan.days:
        for sentence in clock_faults(day.day, zone):
            yield LooseThread("must", _place(day.day.day), sentence)


def work_before_a_day(plan: Plan) -> Iterable[LooseThread]:
    """Work off camera put before a day that cannot be done by then, or that shots show."""
    for day in plan.days:
        for one in day.beforehand:
            sentence = _before_fault(plan, day, one)
            if sentence:
                severity: Severity = "must" if one.waits_for else "should"
                yield LooseThread(severity, _place(day.day.day), sentence)


def filmed_on_another_day(plan: Plan) -> Iterable[LooseThread]:
    """Shots that are on a day though they were filmed on another one, while any is left to film.

    Those that changed from one day to another are told together.
    """
    if all(one.shot.filmed for one in plan.shots):  # no day waits for anything any more
        return
    for planned in plan.days:
        day = planned.day.day
        moved: dict[date, list[ShotPlan]] = {}
        for shot in planned.shots:
            filmed = shot.plan.shot.filmed
            if filmed is not None and filmed.day is not None and filmed.day != day:
                moved.setdefault(filmed.day, []).append(shot.plan)
        for on, shots in moved.items():
            few = len(shots) == 1
            them = f"“{shots[0].shot.title}”" if few else f"these {len(shots)} shots"
            yield LooseThread(
                "should",
                _place(day),
                f"{told_shots(shots)} {'is' if few else 'are'} on {told_day(day)} and "
                f"{'was' if few else 'were'} filmed on {told_day(on)} already.",
                (
                    Mend(
                        "off the day",
                        (day.isoformat(), *(one.shot.id for one in shots)),
                        f"Take {them} off the day",
                    ),
                ),
            )


def days_planned_from_something_else(plan: Plan) -> Iterable[LooseThread]:
    """Shots, steps or hours that are no longer those that the days were planned from."""
    what = outdated(plan)
    if what and any(shot.shot.filmed is None for shot in plan.shots):
        yield LooseThread(
            "should",
            Place("days"),
            f"The {listed(what)} were changed since the days were planned: plan them again.",
        )


def _before_fault(plan: Plan, day: DayPlan, one: DoneBefore) -> str:
    name, on = one.step.step.name, told_day(day.day.day)
    if one.waits_for:
        return (
            f"“{name}” is to be done before {on}, but it waits on "
            f"{listed([f'“{wait}”' for wait in one.waits_for])}, which is not done by then."
        )
    if one.step.step.one_way and one.on_camera:
        return (
            f"“{name}” is to be done before {on}: it cannot be taken back, and shots show it. Do "
            "it on the day, while the camera rolls."
        )
    if one.too_long:
        return (
            f"Before {on} there is more work off camera, “{name}” with it, than the "
            f"{plan.episode.brief.evening_minutes} minutes of an evening hold."
        )
    return ""


def _small(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]


def _place(day: date) -> Place:
    return Place("days", item=day.isoformat())
