"""Loose threads about the shoot days. Pure: nothing here knows today."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Final

from webapp.draft.names import listed
from webapp.filming.shoot_days import told_day
from webapp.plan.days import day_plans, on_no_day, shots_by_date
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
            "should", Place("days"), f"{told_shots(left)} {on} on no shoot day{date_set}."
        )


def shots_on_two_days(plan: Plan) -> Iterable[LooseThread]:
    """A shot that is to be filmed on more than one day."""
    dates = plan.dates_of_shots
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


def _place(day: date) -> Place:
    return Place("days", item=day.isoformat())


def told_shots(shots: Sequence[ShotPlan]) -> str:
    """How many, and which while they are few."""
    if len(shots) == 1:
        return f"Shot {shots[0].number}, “{shots[0].shot.title}”,"
    if len(shots) > _MOST_NAMED:
        return f"{len(shots)} shots"
    return f"Shots {listed([str(shot.number) for shot in shots])}"
