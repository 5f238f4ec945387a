"""A shoot day drawn to scale: what is worked and filmed when, its breaks, noise and light."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor
from typing import Literal

from webapp.filming.shoot_days import minutes_of
from webapp.plan.day_plan import DayPlan, TimedShot

BarKind = Literal["work", "set up", "film", "break", "noise", "dark"]
_HOUR = 60.0


@dataclass(frozen=True)
class Bar:
    """A stretch of the day; `at` and `width` are in the drawing's own units."""

    kind: BarKind
    at: float
    width: float


@dataclass(frozen=True)
class DayStrip:
    """A day to scale. Its end as she set it, and between what times it likely ends."""

    width: float
    bars: tuple[Bar, ...]
    behind: tuple[Bar, ...]  # noise and dark, behind the others
    hours: tuple[tuple[float, str], ...]
    end: float
    ends: tuple[float, float, float]


def day_strip(day: DayPlan, width: float) -> DayStrip | None:
    """The day in a drawing of this width; None when nothing is left to film on it."""
    if not day.to_film:
        return None
    begins = floor(min(day.begins, day.day.starts_at) / _HOUR) * _HOUR
    ends = ceil(max(day.ends.high, day.day.ends_at) / _HOUR) * _HOUR
    scale = width / (ends - begins)

    def bar(kind: BarKind, start: float, stop: float) -> Bar:
        start, stop = max(start, begins), min(stop, ends)
        return Bar(kind, (start - begins) * scale, max(0.0, stop - start) * scale)

    def at(time: float) -> float:
        return (time - begins) * scale

    behind = [
        bar("noise", minutes_of(one.starts), minutes_of(one.ends))
        for one in day.day.noise
        if minutes_of(one.ends) > begins
    ]
    if day.day.light_from is not None and day.day.light_at > begins:
        behind.append(bar("dark", begins, day.day.light_at))
    if day.day.dark_at is not None and day.day.dark_at < ends:
        behind.append(bar("dark", day.day.dark_at, ends))
    bars = [bar(*one) for shot in day.to_film for one in _bars(shot)]
    bars += [bar("break", one.begins, one.ends) for one in day.breaks]
    every = _every((ends - begins) / _HOUR, width)
    hours = range(int(begins // _HOUR), int(ends // _HOUR) + 1)
    return DayStrip(
        width,
        tuple(one for one in bars if one.width > 0),
        tuple(behind),
        tuple((at(hour * _HOUR), f"{hour % 24}" if hour % every == 0 else "") for hour in hours),
        at(day.day.ends_at),
        (at(day.ends.low), at(day.ends.likely), at(day.ends.high)),
    )


def _bars(shot: TimedShot) -> Iterator[tuple[BarKind, float, float]]:
    rested = sum(wait.minutes for wait in shot.waits if wait.why == "rest")
    starts, rolls = shot.starts.likely, shot.rolls.likely
    if shot.worked:
        yield "work", shot.begins.likely + rested, starts
    waits = sum(wait.minutes for wait in shot.waits if wait.why != "rest")
    yield "set up", starts, rolls - waits
    yield "film", rolls, shot.ends.likely
    yield "work", shot.ends.likely, shot.free.likely


def _every(hours: float, width: float) -> int:
    """Which hours have their number, so that they stand apart."""
    return next(step for step in (1, 2, 3, 6, 12, 24) if width / hours * step >= 28 or step == 24)
