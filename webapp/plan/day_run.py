"""A shoot day going on: what is ready, where the camera stands, what the clock shows."""

from collections.abc import Iterator
from datetime import date, timedelta
from functools import cached_property
from typing import Final

from webapp.build.work_time import Estimate, total
from webapp.filming.day_clock import DayClock, Three, quiet_from, shown
from webapp.filming.filming_time import same_place
from webapp.filming.shoot_days import ShootDay
from webapp.filming.shots import Shot
from webapp.plan.day_parts import Built, DayParts
from webapp.plan.day_plan import NO_TIME, DoneBefore, TimedShot, TooSoon, Wait
from webapp.plan.results import ShotPlan, StepPlan

_MOST_EVENINGS: Final = 366  # between two days that are told apart: a year has enough of them
_EVENING_ENDS: Final = 21 * 60.0  # when the work of an evening is done; common practice, no source


class DayRun:
    """One day going on: what is ready, where the camera stands, what the clock shows."""

    def __init__(self, parts: DayParts, day: ShootDay, built: Built) -> None:
        self.parts, self.day, self.after = parts, day, built.after
        self.ready = dict(built.ready)
        self.left = dict(built.left)  # parts of steps that go on from shots still to be filmed
        self.midnight = parts.midnight(day.day)
        self.missing = parts.missing(day.day)
        self.clock = DayClock(day.goes_on, day.breaks, self.missing)
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
        works = self._works_before(shot.shot)
        ids = tuple(step.step.id for step in works)
        own = works.pop() if ids and ids[-1] == shot.shot.step else None
        for step in works:
            self._wait_for_rests(step, waits, too_soon)
            self._work(step, step.work)
        if own is not None:
            self._wait_for_rests(own, waits, too_soon)
            self.left[own.step.id] = self.parts.to_film[own.step.id]
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
        goes_on = self._go_on(shot.shot.step)
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

    def _works_before(self, shot: Shot) -> list[StepPlan]:
        """The steps to be worked before a shot: what has to rest for a later one of the day first,
        so that it rests while others are filmed."""
        begun: list[StepPlan] = []
        for step in self._to_rest:
            done = {*(self.ready.keys() - self.left), *(one.step.id for one in begun)}
            waits = self.parts.waits[step.step.id]
            ahead = [*self.parts.not_shown(waits, done), step]
            if step.step.id in done or not done.issuperset(waits - {one.step.id for one in ahead}):
                continue
            rests = {one.step.id for one in (*begun, *ahead) if one.step.rest_hours}
            if all(self._has_rested(one) and rests.isdisjoint(one.step.after) for one in ahead):
                begun += ahead
        return [*begun, *self.parts.works_before(shot, {*self.ready, *(s.step.id for s in begun)})]

    @cached_property
    def _to_rest(self) -> tuple[StepPlan, ...]:
        """The steps in build order that no shot shows, that rest, and that shots of the day still
        to be filmed wait on."""
        shots = (self.parts.shots[name].shot for name in self.day.shots if name in self.parts.shots)
        waits: set[str] = set()
        for shot in shots:
            if shot.filmed is None and shot.step not in self.ready:
                waits |= self.parts.waits.get(shot.step, frozenset())
        return tuple(self.parts.steps[name] for name in self.parts.to_rest if name in waits)

    def _has_rested(self, step: StepPlan) -> bool:
        """True when what a step waits on has rested by now, as far as it is done."""
        until, late = self._rested(step, self.day.ends_at)
        return not late and until[1] <= self.clock.now.likely

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

    def _go_on(self, step: str) -> Estimate:
        """Go on with a step for its part after one of its shots; no time when all of it is done."""
        if step not in self.left:
            return NO_TIME
        self.left[step] -= 1
        if self.left[step] == 0:
            del self.left[step]
        part = self.parts.share(step)
        self._work(self.parts.steps[step], part)
        return part

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
        rest, now = 60 * step.step.rest_hours, self.clock.now
        low, likely, high = (
            rest + self.parts.moment(self.day.day, at) for at in (now.low, now.likely, now.high)
        )
        self.ready[step.step.id] = (low, likely, high)

    def _rested(self, step: StepPlan, by: float) -> tuple[Three, list[TooSoon]]:
        """When all it waits on has rested, and what will likely still rest at a time of the day."""
        until, late = (0.0, 0.0, 0.0), []
        for name in step.step.after:
            low, likely, high = (
                shown(at - self.midnight, self.missing) for at in self.ready.get(name, (0.0,) * 3)
            )
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
        noise, and where only who is slow waits, the others film longer by it."""
        idle, now, before = 0.0, self.clock.now, None
        while now != before:
            noise, (low, likely, high) = self.day.noise, self.clock.takes(rest)
            idle += self.clock.wait(
                (
                    quiet_from(now.low, low, noise, self.missing),
                    quiet_from(now.likely, likely, noise, self.missing),
                    quiet_from(now.high, high, noise, self.missing),
                )
            )
            now, before = self.clock.now, now
        return idle

    def _done_before(self) -> Iterator[DoneBefore]:
        """The steps done in the evenings since the day before, and what they waited on off camera.

        Each in the first evening that has the minutes for it and in which all has rested; before
        the first day there are as many evenings as she needs.
        """
        used = [0.0] * min(self.evenings or 1, _MOST_EVENINGS)
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
            if name in self.parts.steps and (name not in self.ready or name in self.left)
        )
        if not self.evenings:
            self.ready[step.step.id] = (0.0, 0.0, 0.0)
            return DoneBefore(step, waits_for=missing)
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
        by = self._evening_ends(evening)
        return DoneBefore(step, on, by, missing, tuple(late), used[evening] > allowed)

    def _late_by(self, step: StepPlan, evening: int) -> list[TooSoon]:
        return self._rested(step, shown(self._evening(evening) - self.midnight, self.missing))[1]

    def _evening(self, number: int) -> float:
        """When an evening's work is done, the first of them the evening of the day before."""
        assert self.after is not None
        on = self.after[0] + timedelta(days=number)
        return self.parts.moment(on, self._evening_ends(number))

    def _evening_ends(self, number: int) -> float:
        """By what clock time of its date: of the day before, never while that still goes on."""
        assert self.after is not None
        return max(_EVENING_ENDS, self.after[1]) if number == 0 else _EVENING_ENDS


def _too_soon(step: StepPlan, rests: StepPlan, day: date, ready_at: float) -> TooSoon:
    """Ready so many minutes after the midnight of the day."""
    later, minutes = divmod(ready_at, 24 * 60)
    until = min(day.toordinal() + int(later), date.max.toordinal())
    return TooSoon(step, rests, date.fromordinal(until), minutes)
