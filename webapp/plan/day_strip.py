"""A shoot day drawn to scale: where the camera stands, what is worked and filmed when, its breaks,
noise and light. It is as wide as the time that goes by, also where the clocks are put forward."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import ceil, floor
from string import ascii_uppercase
from typing import Final, Literal

from webapp.filming.day_clock import Missing, gone_by, later
from webapp.filming.shoot_days import minutes_of, told_clock
from webapp.plan.day_plan import DayPlan, TimedShot

BarKind = Literal["work", "set up", "film", "break", "wait", "noise", "dark"]
_HOUR = 60.0
_LETTER: Final = 6.6  # how wide a letter of the drawing stands, on average, in its units


@dataclass(frozen=True)
class Bar:
    """A stretch of the day; `at` and `width` are in the drawing's own units. Its words are empty
    where there is no room for them."""

    kind: BarKind
    at: float
    width: float
    words: str = ""


@dataclass(frozen=True)
class Stand:
    """A camera place, from the setting up to the last shot there."""

    at: float
    width: float
    words: str  # its name, or its letter, or nothing: what there is room for
    place: str


@dataclass(frozen=True)
class DayStrip:
    """A day to scale. Its end as she set it, and between what times it likely ends."""

    width: float
    bars: tuple[Bar, ...]
    behind: tuple[Bar, ...]  # noise and dark, behind the others
    stands: tuple[Stand, ...]
    one_way: tuple[float, ...]  # where the camera rolls for what cannot be taken back
    hours: tuple[tuple[float, str], ...]
    end: float
    ends: tuple[float, float, float]
    ends_told: str

    @property
    def letters(self) -> tuple[tuple[str, str], ...]:
        """The letters that stand for places, and the places."""
        return tuple(
            {s.words: s.place for s in self.stands if s.words not in ("", s.place)}.items()
        )

    @property
    def told_left(self) -> bool:
        """True where there is more room for the words of its end on the left of them."""
        return self.ends[2] > self.width - _LETTER * (len(self.ends_told) + 2)


@dataclass(frozen=True)
class _Scale:
    """From clock times to the drawing."""

    begins: float  # minutes from midnight that have gone by
    ends: float
    width: float
    missing: Missing | None

    def at(self, time: float) -> float:
        gone = min(max(gone_by(time, self.missing), self.begins), self.ends)
        return (gone - self.begins) * self.width / (self.ends - self.begins)

    def bar(self, kind: BarKind, start: float, stop: float, words: str = "") -> Bar:
        at, end = self.at(start), self.at(stop)
        return Bar(kind, at, max(0.0, end - at), _fitting(words, end - at))


def day_strip(day: DayPlan, width: float, missing: Missing | None = None) -> DayStrip | None:
    """The day in a drawing of this width; None when nothing is left to film on it. `missing` are
    the clock times that the day has not."""
    if not day.to_film:
        return None
    first = floor(min(day.begins, day.day.starts_at) / _HOUR)
    last = ceil(max(day.ends.high, day.day.ends_at) / _HOUR)
    begins, ends = (gone_by(hour * _HOUR, missing) for hour in (first, last))
    scale = _Scale(begins, max(ends, begins + 1), width, missing)
    bars = [scale.bar(*one) for shot in day.to_film for one in _bars(shot, missing)]
    bars += [scale.bar("break", one.begins, one.ends, "break") for one in day.breaks]
    hours = [hour for hour in range(first, last + 1) if not _is_missing(hour * _HOUR, missing)]
    every = _every((scale.ends - scale.begins) / _HOUR, width)
    return DayStrip(
        width,
        tuple(one for one in bars if one.width > 0),
        tuple(one for one in _behind(day, scale) if one.width > 0),
        tuple(_stands(day.to_film, scale)),
        tuple(scale.at(one.rolls.likely) for one in day.to_film if one.plan.one_way),
        tuple((scale.at(h * _HOUR), f"{h % 24}" if h % every == 0 else "") for h in hours),
        scale.at(day.day.ends_at),
        (scale.at(day.ends.low), scale.at(day.ends.likely), scale.at(day.ends.high)),
        f"likely ends {told_clock(day.ends.likely)}",
    )


def _behind(day: DayPlan, scale: _Scale) -> Iterator[Bar]:
    for one in day.day.noise:
        yield scale.bar("noise", minutes_of(one.starts), minutes_of(one.ends), "noise")
    if day.day.light_from is not None:
        yield scale.bar("dark", 0.0, day.day.light_at, "dark")
    if day.day.dark_at is not None:
        yield scale.bar("dark", day.day.dark_at, float("inf"), "dark")


def _bars(shot: TimedShot, missing: Missing | None) -> Iterator[tuple[BarKind, float, float]]:
    begins, starts, rolls = shot.begins.likely, shot.starts.likely, shot.rolls.likely
    rested = later(begins, sum(w.minutes for w in shot.waits if w.why == "rest"), missing)
    yield "wait", begins, rested
    if shot.worked:
        yield "work", rested, starts
    waits = sum(wait.minutes for wait in shot.waits if wait.why != "rest")
    set_up = later(rolls, -waits, missing)
    yield "set up", starts, set_up
    yield "wait", set_up, rolls
    yield "film", rolls, shot.ends.likely
    yield "work", shot.ends.likely, shot.free.likely


def _stands(shots: Sequence[TimedShot], scale: _Scale) -> Iterator[Stand]:
    """Each place while the camera stands there. What it is called has room up to the next; a part
    of a name tells little, so that a letter stands where the whole does not fit."""
    found = [(p, list(there)) for p, there in groupby(shots, key=lambda one: one.plan.shot.place)]
    begins = [scale.at(there[0].starts.likely) for _, there in found]
    letters: dict[str, str] = {}
    for (place, there), at, until in zip(found, begins, [*begins[1:], scale.width], strict=True):
        words = _fitting(place, until - at)
        if not words and (place in letters or len(letters) < len(ascii_uppercase)):
            letter = letters.get(place, ascii_uppercase[len(letters) % len(ascii_uppercase)])
            words = _fitting(letter, until - at)
            if words:
                letters[place] = letter
        yield Stand(at, max(0.0, scale.at(there[-1].ends.likely) - at), words, place)


def _fitting(words: str, width: float) -> str:
    """The words where there is room for them, else none."""
    return words if _LETTER * len(words) + 2 <= width else ""


def _is_missing(time: float, missing: Missing | None) -> bool:
    return missing is not None and missing[0] <= time < missing[1]


def _every(hours: float, width: float) -> int:
    """Which hours have their number, so that they stand apart."""
    return next(step for step in (1, 2, 3, 6, 12, 24) if width / hours * step >= 28 or step == 24)
