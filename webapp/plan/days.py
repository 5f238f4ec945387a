"""The shoot days with clock times: what is worked and filmed when, and when each day ends."""

import operator
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from types import MappingProxyType
from typing import Final

from webapp.filming.running_time import spoken_words
from webapp.filming.shoot_days import ShootDay
from webapp.filming.shots import Shot
from webapp.plan.day_parts import Built, DayParts, parts_of
from webapp.plan.day_plan import DayPlan, TimedShot, hours
from webapp.plan.day_run import DayRun
from webapp.plan.results import Plan, ShotPlan
from webapp.remembered import Remembered, Same

# What of a shot no clock time depends on, its words apart, which take as long as they are many.
_OF_NO_ACCOUNT: Final = frozenset(
    {"title", "narration", "card", "screen_seconds", "note", "chapter", "earlier"}
)
_TIMED_BY: Final = tuple(name for name in Shot.model_fields if name not in _OF_NO_ACCOUNT)

__all__ = [
    "Clockwork",
    "DayPlan",
    "TimedShot",
    "by_date",
    "clockwork_of",
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


@dataclass(frozen=True, eq=False)
class Clockwork:
    """Shoot days with their clock times, as they were run through. It is one and the same for
    plans whose days have the same times, and so is a key for what else comes of their hours,
    whatever the shots are called."""

    days: tuple[DayPlan, ...]


# With the shots as they were last.
_run_through: Final[Remembered[Same, tuple[Clockwork, tuple[ShotPlan, ...]]]] = Remembered(50)


def day_plans(plan: Plan) -> tuple[DayPlan, ...]:
    """Every shoot day, by date, with its clock times, computed once: see `with_clock_times`."""
    return plan.days


def with_clock_times(plan: Plan) -> tuple[DayPlan, ...]:
    """Every shoot day, by date, with its shots in the day's order and their clock times.

    A step's own work goes on from its shots, so that the camera sees it: an equal part after each
    of them, on whatever day; what waits on it waits for the last. Before its first shot the work is
    done of the steps it waits on, directly or through others, that no shot shows: off camera, on
    the day or, as the day says, before it; what rests then is begun on the day as soon as it can
    be. A styling shot after all that shots show comes after the rest of the steps too. A filmed
    shot takes no time, nor does its part of the step. The camera is set up anew for the first shot
    of a day. Minutes are added by `work_time.total`, breaks and waits by `DayClock`: a shot waits
    for its daylight and for quiet, a step for the rest of those ahead of it while that is over on
    the same day. A step that nothing filmed waits on is not counted.

    Running through the days takes longer than all else of an edit, so they are remembered: where
    nothing that times depend on was changed, only the shots are put in as they are now.
    """
    shots = {one.shot.id: one for one in plan.shots}
    return tuple(_with_shots(day, shots) for day in plan.clockwork.days)


def clockwork_of(plan: Plan) -> Clockwork:
    """The days run through, remembered by all that clock times depend on."""
    episode = plan.episode
    hours = (episode.shoot_days, episode.brief, episode.looks, episode.place_changes)
    asked = Same((*plan.steps, *episode.garments, *hours, plan.rates, plan.learned))
    known, shots = _run_through.find(asked) or (None, ())
    if known is None or not _take_as_long(plan.shots, shots):
        known = Clockwork(tuple(planned_through(parts_of(plan), by_date(plan))))
    _run_through.put(asked, (known, plan.shots))
    return known


def _take_as_long(now: Sequence[ShotPlan], then: Sequence[ShotPlan]) -> bool:
    return len(now) == len(then) and all(
        one is other or _timing(one) == _timing(other) for one, other in zip(now, then, strict=True)
    )


def _timing(one: ShotPlan) -> tuple[object, ...]:
    """All of a shot that clock times depend on."""
    of_shot = (getattr(one.shot, name) for name in _TIMED_BY)
    return *of_shot, one.one_way, one.screen_seconds, spoken_words(one.narration.plain)


def _with_shots(day: DayPlan, shots: Mapping[str, ShotPlan]) -> DayPlan:
    timed = tuple(
        one if (now := shots[one.plan.shot.id]) is one.plan else replace(one, plan=now)
        for one in day.shots
    )
    return day if all(map(operator.is_, timed, day.shots)) else replace(day, shots=timed)


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
        if all(one.in_time for one in DayRun(parts, trial, built).beforehand):
            chosen = (*chosen, name)
    return day.model_copy(update={"beforehand": chosen})


def day_plan(parts: DayParts, day: ShootDay, built: Built) -> tuple[DayPlan, Built]:
    """A day with its clock times, and what is built at its end."""
    on_day = DayRun(parts, day, built)
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
    return planned, Built(MappingProxyType(on_day.ready), after, left=MappingProxyType(on_day.left))


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
