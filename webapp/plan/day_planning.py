"""Planning the shoot days: what is not filmed yet put on the days she has, with few changes.

Every shot on a day likely ends within its hours, and in daylight where it needs that; quiet shots
wait for quiet, steps for what rests before them. Among all that fits, the plan is sought that takes
least time for changing the camera place, the clothes and the make-up.
"""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Final

from webapp.filming.day_order import DayOrder, order_in_days
from webapp.filming.shoot_days import DayAsPlanned, DaysAsPlanned, ShootDay, minutes_of
from webapp.plan.day_parts import Built, DayParts, parts_of, same_place
from webapp.plan.day_plan import hours
from webapp.plan.day_search import DaySearch, Division, fits
from webapp.plan.days import by_date, day_plan, open_days
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.planned_keys import hours_key, shots_key, steps_key
from webapp.plan.planning_faults import (
    Unplaced,
    faults_before_planning,
    planning_faults,
    why_unplaced,
)
from webapp.plan.results import Plan
from webapp.plan.shot_order import filmed_first, in_build_order

_FOR_ORDER: Final = 0.25  # of the time goes to an order, the rest to fitting it into the days
_SHORTEST_S: Final = 0.05
_HAIR: Final = 0.05  # minutes


__all__ = [
    "PlannedDays",
    "Unplaced",
    "planned_days",
    "planning_faults",
    "told_planned",
    "with_planned_days",
]


@dataclass(frozen=True)
class PlannedDays:
    """The days as planned. `minutes` are those of setting up and changing, likely.

    No division of these shots among the days takes fewer than `bound`, with those of waiting.
    """

    days: tuple[ShootDay, ...]  # every day of the episode, by date
    unplaced: tuple[Unplaced, ...]
    changes: int  # of the camera place
    minutes: float
    bound: float
    changes_in_build_order: int
    minutes_in_build_order: float
    idle: float = 0.0  # minutes in which nothing can go on, breaks left out
    kept: bool = False  # the days stay as they were: nothing better was found
    faults: tuple[str, ...] = ()  # why nothing was planned
    keys: tuple[str, str, str] = ("", "", "")  # of what it was planned from: see `planned_keys`

    @property
    def is_proven(self) -> bool:
        """True when no division of the same shots takes less time for changing."""
        return not self.unplaced and self.minutes + self.idle <= self.bound + _HAIR

    @property
    def saved(self) -> float:
        """Minutes less than in build order; below 0 when they are more."""
        return self.minutes_in_build_order - self.minutes

    @property
    def told(self) -> str:
        """What it comes to, in a sentence; why nothing was planned, in others."""
        return " ".join(self.faults) or told_planned(self, whole=not self.unplaced)


def told_planned(planned: PlannedDays | DaysAsPlanned, *, whole: bool = True) -> str:
    """Changes of place, minutes saved, and whether they could be fewer; `whole`: all shots fit."""
    places = "1 change of place" if planned.changes == 1 else f"{planned.changes} changes of place"
    told = [f"{places}, {planned.changes_in_build_order} in build order"]
    saved = planned.minutes_in_build_order - planned.minutes
    if saved >= 0.5:
        told.append(f"{hours(saved)} saved")
    elif saved <= -0.5:
        told.append(f"{hours(-saved)} more than in build order, so that it fits the days")
    else:
        told.append("no time saved")
    if planned.idle >= 0.5:
        told.append(f"{hours(planned.idle)} of waiting")
    off = planned.minutes + planned.idle - planned.bound
    if whole:
        told.append("proven best" if off <= _HAIR else f"at most {hours(off)} from the best")
    return f"{'; '.join(told)}."


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
    task = _Task(plan, first_day, surely)
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
    )
    return changed(plan.episode, shoot_days=tuple(days), planned_days=record)


class _Task:
    """What is to be planned: the days that are open and the shots that are not filmed."""

    def __init__(self, plan: Plan, first_day: date | None, surely: bool) -> None:
        self.parts = parts_of(plan)
        self.shots = tuple(shot for shot in plan.shots if shot.shot.filmed is None)
        self.before = filmed_first(self.parts, self.shots)
        self.listed = in_build_order(self.parts, self.shots)
        open_dates = {day.day for day in open_days(plan, first_day)}
        self.closed = tuple(
            _only_filmed(self.parts, day) for day in by_date(plan) if day.day not in open_dates
        )
        self.open = tuple(
            _only_filmed(self.parts, day) for day in by_date(plan) if day.day in open_dates
        )
        self.trial = DaySearch(self.parts, self.open, self._built(), self.before, surely=surely)
        self.as_is = self._as_is(plan)
        self.bound = 0.0
        self.keys = (shots_key(plan), steps_key(plan), hours_key(plan))

    def _built(self) -> Built:
        built = self.parts.begun()
        for day in self.closed:
            if day.day < self.open[0].day:
                built = day_plan(self.parts, day, built)[1]
        return built

    def _as_is(self, plan: Plan) -> Division | None:
        """The division there is, where it is one: each shot once, in an order that can be built."""
        wanted = {shot.shot.id for shot in self.shots}
        seen: set[str] = set()
        days = []
        for day in by_date(plan):
            if any(day.day == one.day for one in self.open):
                own = tuple(shot for shot in day.shots if shot in wanted and shot not in seen)
                seen |= set(own)
                days.append(own)
        found = tuple(days)
        left = tuple(shot for shot in self.listed if shot not in seen)
        waits_on_none_left = not any(a in left and b in seen for a, b in self.before)
        if not (waits_on_none_left and self.trial.keeps_order(found)):
            return None
        return self.trial.division(found, left)

    # --- Searching -------------------------------------------------------------------------

    def search(
        self, seconds: float, left_s: Callable[[], float], seed: int, tell: Callable[..., None]
    ) -> Division:
        """The best division found."""
        trial = self.trial
        found = trial.fill(self.listed)
        if self.as_is is not None and trial.fits(self.as_is.days):
            found = min(found, self.as_is, key=lambda one: one.rank)
        tell(found)
        straight = self._order(1, seconds * _FOR_ORDER, seed)
        self.bound = self._bound(straight.bound)
        found = min(found, *self._laid_out(straight), key=lambda one: one.rank)
        half = seconds / 2
        found = trial.improved(
            found, goal=self.bound, left_s=lambda: left_s() - half, seed=seed, progress=tell
        )
        used = sum(bool(day) for day in found.days)
        if used > 1 and found.lost > self.bound + _HAIR and left_s() > 0:
            over_nights = self._order(used, max(_SHORTEST_S, seconds * _FOR_ORDER), seed)
            found = min(found, *self._laid_out(over_nights), key=lambda one: one.rank)
            found = trial.improved(
                found, goal=self.bound, left_s=left_s, seed=seed + 1, progress=tell
            )
        return self._better(found)

    def _bound(self, in_one_day: float) -> float:
        """No division into days costs less, when all shots in one day cost so much at the least.

        Two days joined save a setting up in the morning and cost a change instead. That the gain is
        never less than `gain` bounds the minutes of any number of days by those of one; and so many
        days are needed as have room for the work, the filming and these minutes.
        """
        parts, names = self.parts, self.listed
        gain = min(
            parts.set_up(None, b).likely
            - max((parts.set_up(a, b).likely for a in names if a != b), default=0.0)
            for b in names
        )
        if gain < 0:
            return max(0.0, in_one_day + gain * (len(self.open) - 1))
        done = set(parts.begun().ready)
        shown = {s.shot.step for s in self.shots if s.shot.step in parts.steps} - done
        each = [parts.rest(shot.shot.id) for shot in self.shots]
        each += [parts.steps[step].work for step in shown]
        need = sum(min(one.likely, one.mean) for one in each)
        longest = max(one.likely for one in each)
        rooms = sorted((_room(day, longest) for day in self.open), reverse=True)
        days = 1
        while days < len(rooms) and sum(rooms[:days]) < need + in_one_day + gain * (days - 1):
            days += 1
        return in_one_day + gain * (days - 1)

    def _better(self, found: Division) -> Division:
        """The division there is, where it leaves out and overruns less than what was found."""
        if self.as_is is None:
            return found
        now, new = self._trouble(self.as_is), self._trouble(found)
        if (now, self.as_is.lost) <= (new, found.lost + _HAIR):
            return self.as_is
        return found

    def _trouble(self, found: Division) -> float:
        """Minutes of what is on no day, too late, in the dark or too soon."""
        minutes = sum(self.parts.rest(shot).likely for shot in found.left)
        surely = self.trial.surely
        for day in self.trial.plans(found.days):
            if not fits(day, surely=surely):
                dark = day.perhaps_in_the_dark if surely else day.in_the_dark
                minutes += day.over.high if surely else day.over.likely
                minutes += sum(shot.filming.likely for shot in dark)
                minutes += sum(shot.filming.likely for shot in day.shots if shot.too_soon)
        return round(minutes, 3)

    def _order(self, days: int, seconds: float, seed: int) -> DayOrder:
        """The shots in the order that takes least to change over, through so many days."""
        names, parts = self.listed, self.parts
        place = {name: at for at, name in enumerate(names)}
        morning = [parts.set_up(None, name).likely for name in names]
        first = [
            min(at, minutes - self.trial.changing(0, ()))
            for at, minutes in zip(
                morning, (self.trial.changing(0, (name,)) for name in names), strict=True
            )
        ]
        table = [[parts.set_up(a, b).likely for b in names] for a in names]
        pairs = [(place[a], place[b]) for a, b in self.before if a in place and b in place]
        return order_in_days(first, morning, table, pairs, days, seconds=seconds, seed=seed)

    def _laid_out(self, order: DayOrder) -> list[Division]:
        """The order on the days: as divided where that fits, and filled up day by day."""
        groups = [tuple(self.listed[task] for task in group) for group in order.days]
        found = [self.trial.fill([shot for group in groups for shot in group])]
        if len(groups) <= len(self.open):
            empty = ((),) * (len(self.open) - len(groups))
            days = (*groups, *empty)
            if self.trial.fits(days):
                found.append(self.trial.division(days, ()))
        return found

    # --- What it came to -------------------------------------------------------------------

    def result(self, found: Division) -> PlannedDays:
        """The plan as the page shows it."""
        plans = self.trial.plans(found.days)
        changes, minutes = self._in_build_order(found)
        return PlannedDays(
            tuple(sorted((*self.closed, *(plan.day for plan in plans)), key=lambda day: day.day)),
            tuple(why_unplaced(self.trial, found, shot) for shot in found.left),
            sum(plan.changes for plan in plans),
            found.changing,
            min(self.bound, found.changing),
            changes,
            minutes,
            found.idle,
            kept=found is self.as_is,
            keys=self.keys,
        )

    def _in_build_order(self, found: Division) -> tuple[int, float]:
        """Changes of place and minutes of the same shots in build order, on as many days.

        The nights fall where they save most.
        """
        left = set(found.left)
        names = [name for name in self.listed if name not in left]
        if not names:
            return 0, 0.0
        nights = sum(bool(day) for day in found.days) - 1
        parts = self.parts
        changes = [
            (
                parts.set_up(a, b).likely,
                parts.set_up(None, b).likely,
                not same_place(parts.shots[a].shot, parts.shots[b].shot),
            )
            for a, b in pairwise(names)
        ]
        changes.sort(key=lambda one: (one[0] - one[1], one[2]), reverse=True)
        at_night, by_day = changes[:nights], changes[nights:]
        first = next(at for at, day in enumerate(found.days) if day)
        start = self.trial.changing(first, names[:1])
        minutes = start + sum(one[1] for one in at_night) + sum(one[0] for one in by_day)
        return sum(one[2] for one in by_day), minutes


def _only_filmed(parts: DayParts, day: ShootDay) -> ShootDay:
    """The day with what was filmed on it, or nobody knows when."""

    def stays(shot: str) -> bool:
        known = parts.shots.get(shot)
        filmed = known.shot.filmed if known else None
        return filmed is not None and filmed.day in (None, day.day)

    return day.model_copy(update={"shots": tuple(shot for shot in day.shots if stays(shot))})


def _room(day: ShootDay, longest: float) -> float:
    """Minutes of a day, less the breaks that are surely taken however long the longest task is."""
    room = float(day.ends_at - day.goes_on)
    for one in day.breaks:
        at = minutes_of(one.at)
        if at >= day.goes_on and at + longest + one.minutes <= day.ends_at:
            room -= one.minutes
    return max(0.0, room)


def _as_they_are(plan: Plan, faults: Sequence[str]) -> PlannedDays:
    days = tuple(by_date(plan))
    return PlannedDays(days, (), 0, 0.0, 0.0, 0, 0.0, kept=True, faults=tuple(faults))
