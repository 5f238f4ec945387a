"""Planning the shoot days: what is not filmed yet put on the days she has, with few changes.

Every shot on a day likely ends within its hours, and in daylight where it needs that; quiet shots
wait for quiet, steps for what rests before them. Among all that fits, the plan is sought that takes
least time for changing the camera place, the clothes and the make-up.
"""

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import date

from webapp.filming.shoot_days import DayAsPlanned, DaysAsPlanned, ShootDay
from webapp.plan.day_moves import out_of_order
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
    are stay when nothing better is found, and when what was found puts fewer shots on days than
    stand on them now: that is then there `instead`. `progress` gets each better plan.
    """
    faults = faults_before_planning(plan, first_day)
    if faults:
        return _as_they_are(plan, faults)
    task = DayTask(plan, first_day, surely)
    ends = time.monotonic() + seconds

    def tell(found: Division) -> None:
        if progress is not None:
            progress(result(found))

    def result(found: Division) -> PlannedDays:
        return _rather_kept(plan, task.result(found), first_day)

    return result(task.search(seconds, lambda: ends - time.monotonic(), seed, tell))


def with_planned_days(plan: Plan, planned: PlannedDays) -> Episode:
    """The episode with its days as planned, and what the plan came to.

    What was changed while the plan was sought stays: hours of days, days taken out or added, and
    shots that are no more; `planned_keys.outdated` tells it then.
    """
    if planned.faults or planned.stays:
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


def _rather_kept(plan: Plan, found: PlannedDays, first_day: date | None) -> PlannedDays:
    """What was found, or the days as they are where more shots stand on those to come."""
    left = {shot.shot.id for shot in plan.shots if shot.shot.filmed is None}

    def to_film(days: Iterable[ShootDay], *, passed: bool = False) -> int:
        return len(
            {
                shot
                for day in days
                if (first_day is not None and day.day < first_day) is passed
                for shot in day.shots
                if shot in left
            }
        )

    now, new = to_film(plan.episode.shoot_days), to_film(found.days)
    if new >= now:
        return found
    room = f"a plan that fits has room for {new or 'none'}"
    stays = [f"The days stay as they were: {_told(now)} on them, and {room}."]
    if out_of_order(plan):
        stays.append("Their order cannot be built as it stands: the days below say where.")
    on_passed = to_film(plan.episode.shoot_days, passed=True)
    if on_passed:
        stays.append(f"{_told(on_passed)} on days that have passed.")
    kept = _as_they_are(plan, ())
    return replace(kept, keys=found.keys, stays=tuple(stays), instead=found)


def _told(shots: int) -> str:
    return "1 shot stands" if shots == 1 else f"{shots} shots stand"
