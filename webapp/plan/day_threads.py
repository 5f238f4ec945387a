"""Loose threads about the shoot days and the publish date. Pure: nothing here knows today."""

import math
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Final

from webapp.build.rates import Rate
from webapp.build.work_time import Estimate
from webapp.draft.names import listed
from webapp.filming.every_rate import EDITING
from webapp.filming.running_time import clock
from webapp.filming.shoot_days import told_day
from webapp.plan.days import day_plans, days_of_shots, on_no_day, shots_by_date
from webapp.plan.results import LooseThread, Mend, Place, Plan, Severity, ShotPlan

_MOST_NAMED: Final = 8  # shots told by their numbers


def shoot_day_past_its_end(plan: Plan) -> Iterable[LooseThread]:
    """A day whose work and filming likely take longer than it has; worth a look if they may."""
    for day in day_plans(plan):
        if day.over.high > 0:
            severity: Severity = "must" if day.over.likely > 0 else "should"
            yield LooseThread(severity, _place(day.day.day), day.told_end)


def shoot_day_past_daylight(plan: Plan) -> Iterable[LooseThread]:
    """Shots that likely end after the daylight has gone; worth a look if they may."""
    for day in day_plans(plan):
        if day.perhaps_in_the_dark:
            severity: Severity = "must" if day.in_the_dark else "should"
            yield LooseThread(severity, _place(day.day.day), day.told_light)


def shots_on_no_day(plan: Plan) -> Iterable[LooseThread]:
    """Shots not filmed yet and on no day, once a day is planned or a publish date is set."""
    left, publish = on_no_day(plan), plan.episode.brief.publish_date
    if left and (plan.episode.shoot_days or publish):
        on = "is" if len(left) == 1 else "are"
        date_set = f" and the publish date is {told_day(publish)}" if publish else ""
        yield LooseThread(
            "should", Place("days"), f"{_told_shots(left)} {on} on no shoot day{date_set}."
        )


def shots_on_two_days(plan: Plan) -> Iterable[LooseThread]:
    """A shot that is to be filmed on more than one day."""
    dates = days_of_shots(plan)
    for shot in plan.shots:
        on = dates.get(shot.shot.id, ())
        if len(on) > 1:
            yield LooseThread(
                "should",
                _place(on[-1]),
                f"Shot {shot.number}, “{shot.shot.title}”, is on "
                f"{listed([told_day(day) for day in on])}: take it off all but one.",
            )


def unknown_shots_on_days(plan: Plan) -> Iterable[LooseThread]:
    """A day that lists a shot which was taken out."""
    for day, _, unknown in shots_by_date(plan):
        for shot in unknown:
            yield LooseThread(
                "should",
                _place(day),
                f"{told_day(day)} lists the shot “{shot}”, which is not there any more.",
                (Mend("off the day", (day.isoformat(), shot), f"Take “{shot}” off the day"),),
            )


def filmed_after_publishing(plan: Plan) -> Iterable[LooseThread]:
    """Shots that are to be filmed on the publish date or later."""
    publish = plan.episode.brief.publish_date
    filmed = {shot.shot.id for shot in plan.shots if shot.shot.filmed}
    for day, shots, _ in shots_by_date(plan):
        left = [shot for shot in shots if shot not in filmed]
        if publish is not None and day >= publish and left:
            count = "1 shot is" if len(left) == 1 else f"{len(left)} shots are"
            yield LooseThread(
                "must",
                _place(day),
                f"{count} to be filmed on {told_day(day)}, and the publish date is "
                f"{told_day(publish)}.",
            )


def publish_date_at_risk(plan: Plan) -> Iterable[LooseThread]:
    """Fewer days between the last shoot day and the publish date than the editing needs.

    The editing takes its rate of the running time, in whole days of the hours she can edit; it
    begins the day after the last shots and is done the day before the video goes out. It must be
    mended when the likely hours do not fit, and is worth a look when only the most do not.
    """
    brief = plan.episode.brief
    with_shots = [day for day, shots, _ in shots_by_date(plan) if shots]
    if brief.publish_date is None or not with_shots or max(with_shots) >= brief.publish_date:
        return
    last = max(with_shots)
    free = (brief.publish_date - last - timedelta(days=1)).days
    needed = _editing_hours(plan.running_time_s, plan.rates[EDITING.key])
    likely = math.ceil(needed.likely / brief.edit_hours_a_day)
    most = math.ceil(needed.high / brief.edit_hours_a_day)
    if most <= free:
        return
    need = f"{likely} days" if likely > free else f"{most} days at the most"
    yield LooseThread(
        "must" if likely > free else "should",
        Place("days"),
        f"Editing {clock(plan.running_time_s)} takes about {needed.likely:.0f} hours "
        f"({needed.low:.0f} to {needed.high:.0f}), {need} at {brief.edit_hours_a_day:g} hours a "
        f"day; between the last shoot day, {told_day(last)}, and the publish date, "
        f"{told_day(brief.publish_date)}, there {_days(free)}.",
    )


def _editing_hours(running_time_s: float, rate: Rate) -> Estimate:
    """Hours of editing for a video of so many seconds."""
    return Estimate(rate.low, rate.likely, rate.high).times(running_time_s / 60)


def _place(day: date) -> Place:
    return Place("days", item=day.isoformat())


def _days(count: int) -> str:
    return "is 1 day" if count == 1 else f"are {count or 'no'} days"


def _told_shots(shots: Sequence[ShotPlan]) -> str:
    """How many, and which while they are few."""
    if len(shots) == 1:
        return f"Shot {shots[0].number}, “{shots[0].shot.title}”,"
    if len(shots) > _MOST_NAMED:
        return f"{len(shots)} shots"
    return f"Shots {listed([str(shot.number) for shot in shots])}"
