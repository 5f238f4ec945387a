"""Planning the shoot days: what is not filmed yet put on the days she has, with few changes.

Every shot on a day likely ends within its hours, and in daylight where it needs that; quiet shots
wait for quiet, steps for what rests before them. Among all that fits, the plan is sought that takes
least time for changing the camera place, the clothes and the make-up.
"""

import time
from collections.abc import Callable, Sequence
from datetime import date

from webapp.filming.shoot_days import DayAsPlanned, DaysAsPlanned
from webapp.plan.day_search import Division
from webapp.plan.day_task import DayTask
from webapp.plan.days import by_date
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.planned import PlannedDays, Unplaced, told_planned
from webapp.plan.planning_faults import faults_before_planning, planning_faults
from webapp.plan.results import Plan

__all__ = [
    "PlannedDays",
    "Unplaced",
    "planned_days",
    "planning_faults",
    "told_planned",
    "with_planned_days",
]


def planned_days(
    plan: Plan,
    *,
    seconds: float,
    seed: int = 0,
    progress: Callable[[PlannedDays], None] | None = None,
    first_day: date | None = None,
    surely: bool = False,
) -> PlannedDays:
    """The shots not filmed yet on the days there are, from `first_day` on.

    A day holds what likely fits into it or, planned `surely`, what fits 9 times in 10.

    Days before it keep what is filmed on them, and so does a day on which something was filmed,
    unless it says when it goes on. What fits on no day is told with the reason. The days as they
    are stay when nothing better is found: never are they emptied for less. `progress` gets each
    better plan.
    """
    faults = faults_before_planning(plan, first_day)
    if faults:
        return _as_they_are(plan, faults)
    task = DayTask(plan, first_day, surely)
    ends = time.monotonic() + seconds

    def tell(found: Division) -> None:
        if progress is not None:
            progress(task.result(found))

    return task.result(task.search(seconds, lambda: ends - time.monotonic(), seed, tell))


def with_planned_days(plan: Plan, planned: PlannedDays) -> Episode:
    """The episode with its days as planned, and what the plan came to.

    What was changed while the plan was sought stays: hours of days, days taken out or added, and
    shots that are no more; `planned_keys.outdated` tells it then.
    """
    if planned.faults:
        return plan.episode
    known = {shot.shot.id for shot in plan.shots}
    placed = {shot for day in planned.days for shot in day.shots}
    by_day = {day.day: day for day in planned.days}
    days = []
    for day in plan.episode.shoot_days:
        new = by_day.get(day.day)
        if new is None:
            shots, beforehand = tuple(s for s in day.shots if s not in placed), day.beforehand
        else:
            shots, beforehand = tuple(s for s in new.shots if s in known), new.beforehand
        days.append(changed(day, shots=shots, beforehand=beforehand))
    record = DaysAsPlanned(
        days=tuple(DayAsPlanned(day=day.day, shots=day.shots) for day in planned.days),
        changes=planned.changes,
        minutes=planned.minutes,
        idle=planned.idle,
        bound=planned.bound,
        changes_in_build_order=planned.changes_in_build_order,
        minutes_in_build_order=planned.minutes_in_build_order,
        shots_key=planned.keys[0],
        steps_key=planned.keys[1],
        hours_key=planned.keys[2],
        minutes_key=planned.keys[3],
    )
    return changed(plan.episode, shoot_days=tuple(days), planned_days=record)


def _as_they_are(plan: Plan, faults: Sequence[str]) -> PlannedDays:
    days = tuple(by_date(plan))
    return PlannedDays(days, (), 0, 0.0, 0.0, 0, 0.0, kept=True, faults=tuple(faults))
