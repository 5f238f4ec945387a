"""The shoot days as they are against the days as they were planned: what a change by hand costs."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Final

from webapp.filming.shoot_days import DaysAsPlanned
from webapp.plan.day_parts import DayParts, parts_of
from webapp.plan.day_plan import hours
from webapp.plan.days import Clockwork
from webapp.plan.results import Plan
from webapp.remembered import Remembered, Same

_HAIR = 0.5  # minutes


@dataclass(frozen=True)
class AgainstPlan:
    """Minutes of changing over more than planned, for the shots that are on days both times.

    Both are counted with today's minutes; below 0 the days as they are take less. `moved` are the
    ids of shots that are on another day than planned, or after another shot.
    """

    minutes: float
    moved: tuple[str, ...]

    @property
    def told(self) -> str:
        """In a sentence."""
        if not self.moved:
            return "The shots are on their days as planned."
        shots = "1 shot was" if len(self.moved) == 1 else f"{len(self.moved)} shots were"
        told = f"{shots} moved by hand since the days were planned:"
        if self.minutes > _HAIR:
            return f"{told} that costs {hours(self.minutes)} more of changing over."
        if self.minutes < -_HAIR:
            return f"{told} that takes {hours(-self.minutes)} less of changing over."
        return f"{told} that costs no more time."


_compared: Final[Remembered[tuple[Clockwork, Same], AgainstPlan]] = Remembered(50)


def against_plan(plan: Plan) -> AgainstPlan | None:
    """The days as they are against those planned; None when none were planned."""
    planned = plan.episode.planned_days
    if planned is None:
        return None
    return _compared.get((plan.clockwork, Same((planned,))), partial(_against, plan, planned))


def _against(plan: Plan, planned: DaysAsPlanned) -> AgainstPlan:
    now = {
        day.day.day: [shot.plan.shot.id for shot in day.shots if not shot.filmed]
        for day in plan.days
    }
    then = {day.day: list(day.shots) for day in planned.days}
    both = {shot for shots in now.values() for shot in shots}
    both &= {shot for shots in then.values() for shot in shots}
    now, then = _only(now, both), _only(then, both)
    before_now, before_then = _before(now), _before(then)
    moved = [shot for shots in now.values() for shot in shots]
    parts = parts_of(plan)
    stand = {day.day.day: day.stands for day in plan.days}
    return AgainstPlan(
        _changing(parts, now, stand) - _changing(parts, then, stand),
        tuple(_fewest_moved(moved, before_now, before_then)),
    )


def _only(days: Mapping[date, Sequence[str]], shots: set[str]) -> dict[date, list[str]]:
    return {day: [shot for shot in own if shot in shots] for day, own in days.items()}


def _changing(
    parts: DayParts, days: Mapping[date, Sequence[str]], stand: Mapping[date, Sequence[str]]
) -> float:
    minutes = 0.0
    for day, own in days.items():
        there = stand.get(day, ())
        made_up = any(parts.is_made_up(shot) for shot in there)
        minutes += parts.changing(own, there[-1] if there else None, made_up)
    return minutes


def _before(days: Mapping[date, Sequence[str]]) -> dict[str, tuple[date, int]]:
    return {shot: (day, at) for day, own in days.items() for at, shot in enumerate(own)}


def _fewest_moved(
    shots: Sequence[str],
    now: Mapping[str, tuple[date, int]],
    then: Mapping[str, tuple[date, int]],
) -> list[str]:
    """The fewest shots that, put elsewhere, make one out of the other, in the order they are in.

    All others are the longest run that is in order both times, on the same days.
    """
    longest: list[list[str]] = [[]]
    for shot in shots:
        if now[shot][0] == then[shot][0]:
            best: list[str] = []
            for run in longest:
                if run and then[run[-1]] < then[shot] and len(run) > len(best):
                    best = run
            longest.append([*best, shot])
    kept: list[str] = max(longest, key=len)
    return [shot for shot in shots if shot not in kept]
