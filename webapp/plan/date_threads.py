"""Loose threads of the publish date: nothing here knows today."""

from collections.abc import Iterable
from typing import Final

from webapp.build.work_time import Estimate
from webapp.filming.running_time import clock
from webapp.filming.shoot_days import told_day
from webapp.plan.day_plan import hours
from webapp.plan.publishing import GOOD_CHANCE, Outlook, helps, outlook
from webapp.plan.results import LooseThread, Mend, Place, Plan, Severity

_SHORT: Final = 90.0  # minutes


def publish_date_at_risk(plan: Plan) -> Iterable[LooseThread]:
    """Fewer days between the last shoot day and the publish date than what follows needs.

    Voice-over and editing begin the day after the last shots and are done the day before the
    video goes out. It must be mended when the likely days do not fit, and is worth a look when only
    those that are safe do not. Filming that is too late for any of it is told with the shoot days.
    """
    found = outlook(plan)
    schedule = found.schedule
    if schedule is None or not any(day.shots for day in plan.episode.shoot_days):
        return
    free = (schedule.publish - schedule.begins).days
    if free < 0 or schedule.safe_days <= free:
        return
    must = schedule.likely_days > free
    severity: Severity = "must" if must else "should"
    days = schedule.likely_days if must else schedule.safe_days
    takes = f"{days} day{'' if days == 1 else 's'}"
    a_day = f"{schedule.hours_a_day:g} hour{'' if schedule.hours_a_day == 1 else 's'} a day"
    last = schedule.begins.toordinal() - 1
    yield LooseThread(
        severity,
        Place("running-time", item="publish"),
        f"{_told_work(plan, found)}, {takes} at {a_day}{'' if must else ' to be safe'}; between "
        f"the last shoot day, {told_day(schedule.begins.fromordinal(last))}, and the "
        f"publish date, {told_day(schedule.publish)}, there {_days(free)}.",
        tuple(_later(plan, found)),
    )


def _told_work(plan: Plan, found: Outlook) -> str:
    """What follows the filming and its hours: `Editing 8:30 takes about 11 hours (6 to 26)`."""
    runs = clock(plan.running_time_s)
    if plan.extra_running_time_s:
        runs += f" and the extra's {clock(plan.extra_running_time_s)}"
    what, takes = f"Editing {runs}", "takes"
    if found.voice_over.left.high:
        what, takes = f"The voice-over and editing {runs}", "take"
    if found.voice_over.spent or found.editing.spent:
        what, takes = f"What is left of {what[:1].lower()}{what[1:]}", "takes"
    return f"{what} {takes} about {_told_minutes(found.needed)}"


def _told_minutes(estimate: Estimate) -> str:
    """In whole hours, `20 hours (10 to 45)`; in minutes where an hour is much of it."""
    points = estimate.likely, estimate.low, estimate.high
    if estimate.likely < _SHORT:
        likely, low, high = (hours(minutes) for minutes in points)
        return f"{likely} ({low} to {high})"
    likely, low, high = (f"{minutes / 60:.0f}" for minutes in points)
    return f"{likely} hours ({low} to {high})"


def _later(plan: Plan, found: Outlook) -> Iterable[Mend]:
    """The first date that is made 9 times in 10."""
    for one in helps(plan, found):
        if one.publish is not None and one.chance >= GOOD_CHANCE:
            day = told_day(one.publish)
            yield Mend("publish on", (one.publish.isoformat(),), f"Publish on {day}")


def _days(count: int) -> str:
    return "is 1 day" if count == 1 else f"are {count or 'no'} days"
