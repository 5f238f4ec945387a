"""The shoot days with clock times: what is worked and filmed when, and when each day ends."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from types import MappingProxyType
from typing import Final

from webapp.build.work_time import Estimate, total
from webapp.filming.day_clock import DayClock, Three, quiet_from
from webapp.filming.filming_time import same_place
from webapp.filming.shoot_days import ShootDay
from webapp.plan.day_parts import Built, DayParts, parts_of
from webapp.plan.day_plan import (
    NO_TIME,
    DayPlan,
    DoneBefore,
    TimedShot,
    TooSoon,
    Wait,
    hours,
)
from webapp.plan.results import Plan, ShotPlan, StepPlan

__all__ = [
    "DayPlan",
    "TimedShot",
    "by_date",
    "day_plans",
    "days_of_shots",
    "hours",
    "on_no_day",
    "open_days",
    "planned_through",
    "shots_by_date",
    "with_clock_times",
    "with_work_beforehand",
]

_EVENING_ENDS: Final = 21 * 60  # when the work of an evening is done; common practice, no source


def day_plans(plan: Plan) -> tuple[DayPlan, ...]:
    """Every shoot day, by date, with its clock times, computed once: see `with_clock_times`."""
    return plan.days


def with_clock_times(plan: Plan) -> tuple[DayPlan, ...]:
    """Every shoot day, by date, with its shots in the day's order and their clock times.

    A step's own work goes on from its shots, so that the camera sees it: an equal part after each
    of those on the first day that has one. Before its first shot the work is done of the steps it
    waits on, directly or through others, that no shot shows: off camera, on the day or, as the day
    says, before it. A styling shot after all that shots show comes after the rest of the steps
    too. A step with a filmed shot is done; a filmed shot takes no time. The camera is set up anew
    for the first shot of a day. Minutes are added by `work_time.total`, breaks and
    waits by `DayClock`: a shot waits for its daylight and for quiet, a step for the rest of those
    ahead of it while that is over on the same day. A step that nothing filmed waits on is not
    counted.
    """
    return tuple(planned_through(parts_of(plan), by_date(plan)))


def planned_through(
    parts: DayParts, days: Sequence[ShootDay], built: Built | None = None
) -> Iterator[DayPlan]:
    """These days, in this order, with their clock times, after what is built."""
    built = parts.begun() if built is None else built
    for day in days:
        planned, built = day_plan(parts, day, built)
        yield planned


def with_work_beforehand(parts: DayParts, day: ShootDay, built: Built) -> ShootDay:
    """The day with what is best done off camera before it, as far as the evenings allow.

    That is what was put there, as long as it can be done then, the work its shots wait on that no
    shot shows, and any such work that has to rest. A day without an evening before it, or that goes
    on already, stays as it is; nothing is done before one without shots.
    """
    if not day.shots:
        return day.model_copy(update={"beforehand": ()})
    if day.goes_on_at is not None or (built.after is not None and day.day <= built.after[0]):
        return day
    wanted = [name for name in day.beforehand if name in parts.steps and name not in built.ready]
    done = {*built.ready, *wanted}
    for name in day.shots:
        if name in parts.shots and parts.shots[name].shot.filmed is None:
            for step in parts.works_before(parts.shots[name].shot, done):
                done.add(step.step.id)
                if not step.shots:
                    wanted.append(step.step.id)
    wanted += [name for name in parts.to_rest if name not in done]
    chosen: tuple[str, ...] = ()
    for name in wanted:
        trial = day.model_copy(update={"beforehand": (*chosen, name)})
        if all(one.in_time for one in _Day(parts, trial, built).beforehand):
            chosen = (*chosen, name)
    return day.model_copy(update={"beforehand": chosen})


def day_plan(parts: DayParts, day: ShootDay, built: Built) -> tuple[DayPlan, Built]:
    """A day with its clock times, and what is built at its end."""
    on_day = _Day(parts, day, built)
    known = [shot for shot in day.shots if shot in parts.shots]
    shots = tuple(on_day.timed(shot) for shot in known)
    planned = DayPlan(
        day,
        shots,
        tuple(shot for shot in day.shots if shot not in parts.shots),
        on_day.clock.now,
        tuple(on_day.clock.taken),
        on_day.beforehand,
        on_day.evenings,
    )
    after = (day.day, max(planned.ends.likely, float(day.ends_at))) if shots else built.after
    return planned, Built(MappingProxyType(on_day.ready), after)


def by_date(plan: Plan) -> list[ShootDay]:
    """The shoot days as typed, by date."""
    return sorted(plan.episode.shoot_days, key=lambda day: day.day)


def open_days(plan: Plan, first_day: date | None = None) -> tuple[ShootDay, ...]:
    """The days that shots can be put on: from that day on, and after all that is filmed.

    A day on which something was filmed is open when it says at what time it goes on.
    """
    filmed = [s.shot.filmed.day for s in plan.shots if s.shot.filmed and s.shot.filmed.day]
    last = max(filmed, default=None)
    return tuple(
        day
        for day in by_date(plan)
        if (first_day is None or day.day >= first_day)
        and (last is None or day.day > last or (day.day == last and day.goes_on_at is not None))
    )


def shots_by_date(plan: Plan) -> tuple[tuple[date, tuple[str, ...], tuple[str, ...]], ...]:
    """Each shoot day's date, the ids of its shots, and those that are no shots any more."""
    known = {shot.shot.id for shot in plan.shots}
    return tuple(
        (
            day.day,
            tuple(shot for shot in day.shots if shot in known),
            tuple(shot for shot in day.shots if shot not in known),
        )
        for day in by_date(plan)
    )


def on_no_day(plan: Plan) -> tuple[ShotPlan, ...]:
    """The shots, not filmed yet, that are on no shoot day."""
    planned = {shot for day in plan.episode.shoot_days for shot in day.shots}
    return tuple(
        shot for shot in plan.shots if shot.shot.id not in planned and shot.shot.filmed is None
    )


def days_of_shots(plan: Plan) -> Mapping[str, tuple[date, ...]]:
    """The dates each shot is on, by its id."""
    found: dict[str, tuple[date, ...]] = {}
    for day in by_date(plan):
        for shot in day.shots:
            found[shot] = (*found.get(shot, ()), day.day)
    return found


class _Day:
    """One day going on: what is ready, where the camera stands, what the clock shows."""

    def __init__(self, parts: DayParts, day: ShootDay, built: Built) -> None:
        self.parts, self.day, self.after = parts, day, built.after
        self.ready = dict(built.ready)
        self.midnight = parts.midnight(day.day)
        self.clock = DayClock(day.goes_on, day.breaks)
        self.shares: dict[str, Estimate] = {}  # of a step's work, for each of its shots
        self.before: str | None = None  # the shot that the camera is set up for
        self.made_up = False
        self.evenings = None if built.after is None else (day.day - built.after[0]).days
        self.beforehand = tuple(self._done_before())

    def timed(self, name: str) -> TimedShot:
        """The next shot of the day with its times."""
        shot = self.parts.shots[name]
        if shot.shot.filmed is not None:
            return self._filmed(shot)
        self.clock.breathe()
        begins = self.clock.now
        waits: list[Wait] = []
        too_soon: list[TooSoon] = []
        works = self.parts.works_before(shot.shot, self.ready.keys())
        ids = tuple(step.step.id for step in works)
        own = works.pop() if ids and ids[-1] == shot.shot.step else None
        for step in works:
            self._wait_for_rests(step, waits, too_soon)
            self._work(step, step.work)
        if own is not None:
            self._wait_for_rests(own, waits, too_soon)
            self.shares[own.step.id] = own.work.part(self._shots_of(own), own.step.id)
        self.clock.breathe()
        starts = self.clock.now
        set_up = self.parts.set_up(self.before, name, made_up=self.made_up)
        rest = self.parts.rest(name)
        before = self.parts.shots[self.before].shot if self.before else None
        self.clock.film(set_up)
        self._wait_to_roll(shot, rest, waits)
        rolls = self.clock.now
        self.clock.film(rest)
        ends = self.clock.now
        self._stand_for(name)
        goes_on = self.shares.get(shot.shot.step, NO_TIME)
        if shot.shot.step in self.shares:
            self._work(self.parts.steps[shot.shot.step], goes_on)
        return TimedShot(
            shot,
            total([step.work for step in works]),
            tuple(step.step.name for step in works),
            total([set_up, rest]),
            begins,
            starts,
            ends,
            goes_on,
            self.clock.now,
            set_up,
            rolls,
            moves_camera=before is not None and not same_place(before, shot.shot),
            changes_look=before is not None and before.look != shot.shot.look,
            waits=tuple(waits),
            too_soon=tuple(too_soon),
            worked_ids=ids,
        )

    def _filmed(self, shot: ShotPlan) -> TimedShot:
        filmed, now = shot.shot.filmed, self.clock.now
        going_on = self.day.goes_on_at is not None and filmed is not None and filmed.day is None
        stands = going_on or (filmed is not None and filmed.day == self.day.day)
        if stands:
            self._stand_for(shot.shot.id)
        return TimedShot(
            shot,
            NO_TIME,
            (),
            NO_TIME,
            now,
            now,
            now,
            free=now,
            rolls=now,
            filmed=True,
            camera_stands=stands,
        )

    def _stand_for(self, shot: str) -> None:
        self.before = shot
        self.made_up = self.made_up or self.parts.is_made_up(shot)

    def _shots_of(self, step: StepPlan) -> int:
        """How many shots of the day show a step and are still to be filmed."""
        shots = (self.parts.shots[name].shot for name in self.day.shots if name in self.parts.shots)
        return sum(shot.step == step.step.id and shot.filmed is None for shot in shots)

    def _wait_for_rests(self, step: StepPlan, waits: list[Wait], too_soon: list[TooSoon]) -> None:
        """Wait until what a step waits on has rested, if that is on this day."""
        until, late = self._rested(step, self.day.ends_at)
        too_soon += late
        idle = self.clock.wait(until)
        if idle > 0:
            waits.append(Wait(idle, "rest"))

    def _work(self, step: StepPlan, minutes: Estimate) -> None:
        """Go on with a step for so long; it rests from then on."""
        self.clock.work(minutes)
        rest = self.midnight + 60 * step.step.rest_hours
        now = self.clock.now
        self.ready[step.step.id] = (rest + now.low, rest + now.likely, rest + now.high)

    def _rested(self, step: StepPlan, by: float) -> tuple[Three, list[TooSoon]]:
        """When all it waits on has rested, and what will likely still rest at a time of the day."""
        until, late = (0.0, 0.0, 0.0), []
        for name in step.step.after:
            low, likely, high = (at - self.midnight for at in self.ready.get(name, (0.0,) * 3))
            if likely > by and self.parts.steps[name].step.rest_hours:
                late.append(_too_soon(step, self.parts.steps[name], self.day.day, likely))
            else:
                until = (max(until[0], low), max(until[1], likely), max(until[2], high))
        return until, late

    def _wait_to_roll(self, shot: ShotPlan, rest: Estimate, waits: list[Wait]) -> None:
        if shot.shot.light == "daylight" and self.day.light_from is not None:
            light = float(self.day.light_at)
            idle = self.clock.wait((light, light, light))
            if idle > 0:
                waits.append(Wait(idle, "light"))
        if shot.shot.quiet and self.day.noise:
            idle = self._wait_for_quiet(rest)
            if idle > 0:
                waits.append(Wait(idle, "noise"))

    def _wait_for_quiet(self, rest: Estimate) -> float:
        """Wait until so much can be filmed without noise; a break in the wait may end in the next
        noise."""
        idle, now, before = 0.0, self.clock.now, None
        while now != before:
            noise = self.day.noise
            idle += self.clock.wait(
                (
                    quiet_from(now.low, rest.low, noise),
                    quiet_from(now.likely, rest.likely, noise),
                    quiet_from(now.high, rest.high, noise),
                )
            )
            now, before = self.clock.now, now
        return idle

    def _done_before(self) -> Iterator[DoneBefore]:
        """The steps done in the evenings since the day before, and what they waited on off camera.

        Each in the first evening that has the minutes for it and in which all has rested; before
        the first day there are as many evenings as she needs.
        """
        used = [0.0] * (self.evenings or 1)
        for name in self.day.beforehand:
            if name not in self.parts.steps or name in self.ready:
                continue
            own = self.parts.steps[name]
            for step in (*self.parts.not_shown(self.parts.waits[name], self.ready.keys()), own):
                yield self._in_the_evening(step, used)

    def _in_the_evening(self, step: StepPlan, used: list[float]) -> DoneBefore:
        missing = tuple(
            self.parts.steps[name].step.name
            for name in step.step.after
            if name in self.parts.steps and name not in self.ready
        )
        if not self.evenings:
            self.ready[step.step.id] = (0.0, 0.0, 0.0)
            return DoneBefore(step, None, missing)
        allowed = self.parts.plan.episode.brief.evening_minutes
        evening, late = 0, self._late_by(step, 0)
        while evening < len(used) - 1 and (late or used[evening] + step.work.likely > allowed):
            evening += 1
            late = self._late_by(step, evening)
        used[evening] += step.work.likely
        at = self._evening(evening) + 60 * step.step.rest_hours
        self.ready[step.step.id] = (at, at, at)
        assert self.after is not None
        on = self.after[0] + timedelta(days=evening)
        return DoneBefore(step, on, missing, tuple(late), used[evening] > allowed)

    def _late_by(self, step: StepPlan, evening: int) -> list[TooSoon]:
        return self._rested(step, self._evening(evening) - self.midnight)[1]

    def _evening(self, number: int) -> float:
        """When an evening's work is done, the first of them the evening of the day before."""
        assert self.after is not None
        day, end = self.after
        at = self.parts.midnight(day + timedelta(days=number)) + _EVENING_ENDS
        return max(at, self.parts.midnight(day) + end) if number == 0 else at


def _too_soon(step: StepPlan, rests: StepPlan, day: date, ready_at: float) -> TooSoon:
    """Ready so many minutes after the midnight of the day."""
    later, minutes = divmod(ready_at, 24 * 60)
    until = min(day.toordinal() + int(later), date.max.toordinal())
    return TooSoon(step, rests, date.fromordinal(until), minutes)
