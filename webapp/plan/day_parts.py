"""What shoot days are made of: the work each shot waits on, its minutes, and what comes before.

Computed once for a plan, so that many ways of dividing its shots can be tried.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property, lru_cache
from types import MappingProxyType
from typing import Final

from webapp.build.work_time import Estimate
from webapp.draft.construction import Step
from webapp.filming.clock_changes import minutes_ahead, missing_times
from webapp.filming.day_clock import Missing, Three, gone_by
from webapp.filming.filming_time import changeover_minutes, filming_minutes, is_made_up
from webapp.filming.looks import Look, plain_place
from webapp.filming.running_time import spoken_seconds
from webapp.filming.shoot_days import ShootDay
from webapp.filming.shots import Shot
from webapp.plan.results import Plan, ShotPlan, StepPlan
from webapp.remembered import Same

_Stand = tuple[str, str] | None  # a camera place and a look; None before the day's first shot
_DAY_MINUTES: Final = 24 * 60
_NOON: Final = 12 * 60
_LONG_AGO: Final[Three] = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Built:
    """What is done of the garment: by step, the minute on which what follows may begin.

    These minutes are counted on through the days, by UTC, so that a rest over a change of the
    clocks is as long as it should be. `after` is the last day with shots, with its likely end.
    `left` has the steps of which only a part is done, with how many of their parts are left.
    """

    ready: Mapping[str, Three]
    after: tuple[date, float] | None = None
    left: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class DayParts:
    """The shots and steps of a plan by id, steps in build order, with what each waits on."""

    plan: Plan
    shots: Mapping[str, ShotPlan]
    steps: Mapping[str, StepPlan]
    waits: Mapping[str, Set[str]]  # directly or through others
    _set_ups: dict[tuple[_Stand, _Stand, bool], Estimate] = field(default_factory=dict)
    _stands: dict[str | None, _Stand] = field(default_factory=dict)
    _rests: dict[str, Estimate] = field(default_factory=dict)
    _shares: dict[str, Estimate] = field(default_factory=dict)
    _ahead: dict[date, float] = field(default_factory=dict)
    _missing: dict[date, Missing | None] = field(default_factory=dict)

    def set_up(self, before: str | None, shot: str, *, made_up: bool = False) -> Estimate:
        """Minutes to get ready for a shot after another one of its day; None: as the day's first.

        `made_up`: hair and make-up are done already.
        """
        key = (self._stand(before), self._stand(shot), made_up)
        if key not in self._set_ups:
            episode = self.plan.episode
            minutes = changeover_minutes(
                self.shots[before].shot if before else None,
                self.shots[shot].shot,
                places=episode.place_changes,
                looks=self._looks,
                rates=self.plan.rates,
                made_up=made_up,
            )
            self._set_ups[key] = self.plan.learned["filming"].moved(minutes)
        return self._set_ups[key]

    def _stand(self, shot: str | None) -> _Stand:
        """What getting ready for a shot, or after it, depends on; a shot that is filmed again
        from the same place in the same clothes takes as long."""
        if shot not in self._stands:
            one = self.shots[shot].shot if shot else None
            self._stands[shot] = (plain_place(one.place), one.look) if one else None
        return self._stands[shot]

    def changing(self, shots: Iterable[str], before: str | None, made_up: bool) -> float:
        """Likely minutes of changing over through these shots of a day, after another of it."""
        minutes = 0.0
        for shot in shots:
            minutes += self.set_up(before, shot, made_up=made_up).likely
            before, made_up = shot, made_up or self.is_made_up(shot)
        return minutes

    def is_made_up(self, shot: str) -> bool:
        """True when hair and make-up are done for a shot."""
        return is_made_up(self.shots[shot].shot, self._looks)

    @cached_property
    def _looks(self) -> Mapping[str, Look]:
        return {look.id: look for look in self.plan.episode.looks}

    def rest(self, shot: str) -> Estimate:
        """Minutes the filming of a shot takes once all is set up."""
        if shot not in self._rests:
            one, rates = self.shots[shot], self.plan.rates
            minutes = filming_minutes(
                one.shot,
                one.screen_seconds,
                spoken_s=spoken_seconds(one.narration.plain, rates),
                one_way=one.one_way,
                rates=rates,
            )
            self._rests[shot] = self.plan.learned["filming"].moved(minutes)
        return self._rests[shot]

    def share(self, step: str) -> Estimate:
        """Minutes of a step's work that go on from each of its shots: all of them are equal."""
        if step not in self._shares:
            one = self.steps[step]
            self._shares[step] = one.work.part(max(1, len(one.shots)), step)
        return self._shares[step]

    @cached_property
    def to_film(self) -> Mapping[str, int]:
        """How many shots of each step are still to be filmed, by the step's id."""
        return Counter(s.shot.step for s in self.shots.values() if s.shot.filmed is None)

    def midnight(self, day: date) -> float:
        """Midnight of a day, in minutes counted on through the days: where the clocks go forward
        on it, they were behind until then."""
        if day not in self._ahead:
            self._ahead[day] = minutes_ahead(day, self.plan.episode.brief.time_zone)
            missing = self.missing(day)
            if missing is not None and missing[0] < _NOON:
                self._ahead[day] -= missing[1] - missing[0]
        return day.toordinal() * _DAY_MINUTES - self._ahead[day]

    def moment(self, day: date, time: float) -> float:
        """A clock time of a day, in minutes counted on through the days."""
        return self.midnight(day) + gone_by(time, self.missing(day))

    def missing(self, day: date) -> Missing | None:
        """The clock times that a day has not, as the clocks go forward on it."""
        if day not in self._missing:
            self._missing[day] = missing_times(day, self.plan.episode.brief.time_zone)
        return self._missing[day]

    def works_before(self, shot: Shot, done: Set[str]) -> list[StepPlan]:
        """The steps to be worked, in build order, before a shot when these are done.

        A shot of a step: the step, and before it those it waits on that no shot shows. Styling of
        no step, once all that shots show of a garment is done: what else there is to do for it, as
        styling wears the finished piece.
        """
        if shot.step in self.steps:
            if shot.step in done:
                return []
            step = self.steps[shot.step]
            return [*self.not_shown(self.waits[shot.step], done), step]
        if shot.kind == "styling":
            return self._to_finish(done)
        return []

    @cached_property
    def to_rest(self) -> tuple[str, ...]:
        """The steps that no shot shows, that rest, and that a shot still to be filmed waits on."""
        needed = {
            name
            for shot in self.shots.values()
            if shot.shot.filmed is None and shot.shot.step in self.steps
            for name in self.waits[shot.shot.step]
        }
        return tuple(
            name
            for name, step in self.steps.items()
            if name in needed and not step.shots and step.step.rest_hours
        )

    def not_shown(self, wanted: Set[str], done: Set[str]) -> list[StepPlan]:
        """Those of the steps that are not done and that no shot shows, in build order."""
        return [
            step
            for name, step in self.steps.items()
            if name in wanted and not step.shots and name not in done
        ]

    def _to_finish(self, done: Set[str]) -> list[StepPlan]:
        """What is left to do of the garments of which all is done that shots show."""
        wanted: set[str] = set()
        for garment in self.plan.episode.garments:
            own = {step.id for step in garment.steps}
            if all(name in done for name in own if self.steps[name].shots):
                wanted |= own
        return self.not_shown(wanted, done)

    def begun(self) -> Built:
        """What is done before the first day: of a step a part with each of its filmed shots, and
        all that it waited on.

        It rests from the last of the days on which it was filmed, as far as they are known.
        """
        filmed: dict[str, date | None] = {}
        for shot in self.plan.shots:
            if shot.shot.filmed and shot.shot.step in self.steps:
                days = (shot.shot.filmed.day, filmed.get(shot.shot.step))
                filmed[shot.shot.step] = max((day for day in days if day), default=None)
        ready = {name: self._rested(name, day) for name, day in filmed.items()}
        for name in filmed:
            for step in self.not_shown(self.waits[name], ready.keys()):
                ready[step.step.id] = _LONG_AGO
        left = {name: self.to_film[name] for name in filmed if self.to_film[name]}
        return Built(MappingProxyType(ready), left=MappingProxyType(left))

    def _rested(self, step: str, filmed: date | None) -> Three:
        """From when on the step has rested: since the end of the day on which it was filmed."""
        if filmed is None or not self.steps[step].step.rest_hours:
            return _LONG_AGO
        day = next((d for d in self.plan.episode.shoot_days if d.day == filmed), None)
        day = day or ShootDay(day=filmed)
        end = day.ends_at if day.goes_on_at is None else min(day.goes_on, day.ends_at)
        at = self.moment(filmed, end) + 60 * self.steps[step].step.rest_hours
        return at, at, at


def parts_of(plan: Plan) -> DayParts:
    """What the days of this plan are made of, computed once: see `made_of`."""
    return plan.day_parts


def made_of(plan: Plan) -> DayParts:
    """What the days of this plan are made of."""
    return DayParts(
        plan,
        {shot.shot.id: shot for shot in plan.shots},
        {step.step.id: step for step in plan.steps},
        _waits(Same(tuple(one.step for one in plan.steps))),
    )


@lru_cache(maxsize=50)
def _waits(of: Same) -> Mapping[str, Set[str]]:
    steps: tuple[Step, ...] = of.values
    known = {step.id for step in steps}
    after = {step.id: known.intersection(step.after) for step in steps}
    return {name: _all_waits(name, after) for name in after}


def _all_waits(name: str, after: Mapping[str, Set[str]]) -> Set[str]:
    """The steps it waits on, directly or through others; a circle ends where it closes."""
    found, met = set[str](), set(after[name])
    while met := met - found - {name}:
        found |= met
        met = set().union(*(after[one] for one in met))
    return found
