"""The shoot days with clock times: what is worked and filmed when, and when each day ends."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from webapp.build.rates import Rates
from webapp.build.work_time import Estimate, total
from webapp.draft.construction import Step
from webapp.filming.filming_time import shot_minutes
from webapp.filming.running_time import spoken_seconds
from webapp.filming.shoot_days import ShootDay, told_clock, told_day
from webapp.plan.results import Plan, ShotPlan, StepPlan

_NO_TIME = Estimate()


@dataclass(frozen=True)
class TimedShot:
    """A shot in its place on a day. Times are minutes from midnight, past 24 hours too."""

    plan: ShotPlan
    work: Estimate  # minutes of work with the cloth before it
    worked: tuple[str, ...]  # names of the steps that this work is on
    filming: Estimate  # minutes the filming adds
    begins: Estimate  # when the work before it begins
    starts: Estimate  # when the camera is set up for it
    ends: Estimate


@dataclass(frozen=True)
class DayPlan:
    """A day and its shots with their times; `unknown` are shots that are not there any more."""

    day: ShootDay
    shots: tuple[TimedShot, ...]
    unknown: tuple[str, ...]
    ends: Estimate  # minutes from midnight

    @property
    def over(self) -> Estimate:
        """Minutes past the day's end; zero where there are none."""
        return _past(self.ends, self.day.ends_at)

    @property
    def in_the_dark(self) -> tuple[TimedShot, ...]:
        """The shots that likely end, or begin, after the daylight has gone."""
        dark = self.day.dark_at
        return () if dark is None else tuple(s for s in self.shots if s.ends.likely > dark)

    @property
    def perhaps_in_the_dark(self) -> tuple[TimedShot, ...]:
        """The shots that may end after the daylight has gone when all takes its longest."""
        dark = self.day.dark_at
        return () if dark is None else tuple(s for s in self.shots if s.ends.high > dark)

    @property
    def told(self) -> str:
        """Whether it ends in time and in daylight, in sentences."""
        if not self.shots:
            return "No shot is on this day yet."
        return f"{self.told_end} {self.told_light}"

    @property
    def told_end(self) -> str:
        """Whether it ends in time, in a sentence."""
        day = f"{told_day(self.day.day)} likely ends at {told_clock(self.ends.likely)}"
        if self.over.likely > 0:
            return f"{day}, {hours(self.over.likely)} after its end at {self.day.ends}."
        if self.over.high > 0:
            return (
                f"{day}, in time for {self.day.ends}, but it may take until "
                f"{told_clock(self.ends.high)}, {hours(self.over.high)} past it."
            )
        return f"{day}, in time for {self.day.ends}; at the latest at {told_clock(self.ends.high)}."

    @property
    def told_light(self) -> str:
        """Whether it is filmed in daylight, in a sentence."""
        if self.day.dark_from is None:
            return "It does not wait for daylight."
        if self.in_the_dark:
            shots, how = self.in_the_dark, "ends"
            over = self.ends.likely - minutes_dark(self.day)
        elif self.perhaps_in_the_dark:
            shots, how = self.perhaps_in_the_dark, "may end"
            over = self.ends.high - minutes_dark(self.day)
        else:
            return f"All of it is filmed before the dark at {self.day.dark_from}."
        first = shots[0].plan
        others = f", the first of {len(shots)} such shots" if len(shots) > 1 else ""
        return (
            f"On {told_day(self.day.day)} it is dark from {self.day.dark_from}: shot "
            f"{first.number}, “{first.shot.title}”, {how} after that{others}, and the last by "
            f"{hours(over)}."
        )


def minutes_dark(day: ShootDay) -> float:
    """Minutes from midnight to the dark of a day; the end of time where lamps light it."""
    return float("inf") if day.dark_at is None else day.dark_at


def hours(minutes: float) -> str:
    """A stretch of time to the nearest minute: `25 min`, `1 h 40 min`."""
    whole, rest = divmod(max(1, round(minutes)), 60)
    return " ".join([*([f"{whole} h"] if whole else []), *([f"{rest} min"] if rest else [])])


def day_plans(plan: Plan) -> tuple[DayPlan, ...]:
    """Every shoot day, by date, with its shots in the day's order and their clock times.

    Before the first shot of a step all of the step's work is done, once in all the days, and
    before it the work of the steps it waits on, directly or through others, that no shot shows:
    they are done off camera. A step with shots is worked when the first of them is filmed; one
    that has a filmed shot on no day is done already. After the work comes the filming, with the
    camera set up anew for the first shot of a day. Minutes are added by `work_time.total`; a step
    that nothing filmed waits on is not counted.
    """
    shots = {shot.shot.id: shot for shot in plan.shots}
    steps = {step.step.id: step for step in plan.steps}
    on_days = {shot for day in plan.episode.shoot_days for shot in day.shots}
    done = {
        shot.shot.step for shot in plan.shots if shot.shot.filmed and shot.shot.id not in on_days
    }
    return tuple(_day_plan(day, shots, steps, done, plan.rates) for day in by_date(plan))


def by_date(plan: Plan) -> list[ShootDay]:
    """The shoot days as typed, by date."""
    return sorted(plan.episode.shoot_days, key=lambda day: day.day)


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


def _day_plan(
    day: ShootDay,
    shots: Mapping[str, ShotPlan],
    steps: Mapping[str, StepPlan],
    done: set[str],
    rates: Rates,
) -> DayPlan:
    """One day; adds to `done` the steps that are worked on it."""
    timed: list[TimedShot] = []
    so_far, place = _NO_TIME, None
    for planned in (shots[shot] for shot in day.shots if shot in shots):
        works = tuple(_works_before(planned.shot.step, steps, done))
        work = total([step.work for step in works])
        filming = shot_minutes(
            planned.shot,
            planned.screen_seconds,
            place,
            spoken_s=spoken_seconds(planned.narration.plain, rates),
            one_way=planned.one_way,
            rates=rates,
        )
        before = so_far
        worked = total([before, work]) if works else before
        so_far, place = total([worked, filming]), planned.shot.place
        timed.append(
            TimedShot(
                planned,
                work,
                tuple(step.step.name for step in works),
                filming,
                _later(day, before),
                _later(day, worked),
                _later(day, so_far),
            )
        )
    unknown = tuple(shot for shot in day.shots if shot not in shots)
    return DayPlan(day, tuple(timed), unknown, _later(day, so_far))


def _works_before(
    step_id: str, steps: Mapping[str, StepPlan], done: set[str]
) -> Iterator[StepPlan]:
    """The steps to be worked before a shot of this one, itself last; adds them to `done`."""
    if step_id not in steps or step_id in done:
        return
    waits = _all_waits(steps[step_id].step, steps)
    for other in steps.values():  # in build order
        if other.step.id in waits and not other.shots and other.step.id not in done:
            done.add(other.step.id)
            yield other
    done.add(step_id)
    yield steps[step_id]


def _all_waits(step: Step, steps: Mapping[str, StepPlan]) -> set[str]:
    """The steps it waits on, directly or through others; a circle ends where it closes."""
    found: set[str] = set()
    to_see: list[Iterable[str]] = [step.after]
    while to_see:
        for other in to_see.pop():
            if other in steps and other not in found and other != step.id:
                found.add(other)
                to_see.append(steps[other].step.after)
    return found


def _later(day: ShootDay, minutes: Estimate) -> Estimate:
    """So long after the day's start, in minutes from midnight."""
    at = day.starts_at
    return Estimate(at + minutes.low, at + minutes.likely, at + minutes.high)


def _past(time: Estimate, end: float) -> Estimate:
    return Estimate(*(max(0.0, t - end) for t in (time.low, time.likely, time.high)))
