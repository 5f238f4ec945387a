"""A shoot day as a timetable: what is done when, line by line, and what is got ready before it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Literal

from webapp.draft.names import listed
from webapp.filming.clock_changes import missing_times
from webapp.filming.day_clock import Missing, TakenBreak, gone_by, later
from webapp.filming.looks import Look, lines_of
from webapp.plan.day_plan import DayPlan, DoneBefore, TimedShot
from webapp.plan.results import Plan
from webapp.remembered import Same

LineKind = Literal["work", "break", "wait", "set up", "go on", "evening"]


@dataclass(frozen=True)
class Line:
    """What is done before a shot or after it, likely from that clock time on; both are minutes.

    In the evening it is what is to be done by then."""

    at: float
    kind: LineKind
    words: str
    minutes: float
    then: str = ""  # that it rests, and for how long


@dataclass(frozen=True)
class TimetableRow:
    """A shot of a day, what comes before the camera rolls, and what goes on from it."""

    timed: TimedShot
    ahead: tuple[Line, ...]
    worn: str  # the name of its look; empty for what she sews in
    after: tuple[Line, ...] = ()  # what goes on from it
    missing: Missing | None = None  # of the day's clock times

    @property
    def at(self) -> float:
        """When the camera likely rolls."""
        return self.timed.rolls.likely

    @property
    def minutes(self) -> float:
        """Likely minutes from then to its end."""
        return _between(self.timed.rolls.likely, self.timed.ends.likely, self.missing)


@dataclass(frozen=True)
class ToWear:
    """What a look asks for before the day begins."""

    look: Look
    press: tuple[str, ...]
    at_hand: tuple[str, ...]


def timetable(plan: Plan, day: DayPlan) -> tuple[TimetableRow, ...]:
    """The shots of a day in its order, each with the lines that come before it by the clock."""
    return _timetable(Same((day, plan.episode.looks)), plan.episode.brief.time_zone)


@lru_cache(maxsize=200)  # an edit leaves the days as they are that it does not touch
def _timetable(of: Same, zone: str) -> tuple[TimetableRow, ...]:
    day: DayPlan
    worn_looks: tuple[Look, ...]
    day, worn_looks = of.values
    looks = {look.id: look.name for look in worn_looks}
    breaks = list(day.breaks)
    missing = missing_times(day.day.day, zone)
    rows, place = [], ""
    for timed in day.shots:
        lines = list(_lines(timed, day.breaks, looks, place, missing))
        while breaks and not timed.filmed and breaks[0].begins < timed.rolls.likely:
            taken = breaks.pop(0)
            lines.append(Line(taken.begins, "break", "Break", taken.minutes))
        lines.sort(key=lambda line: line.at)
        after = list(_going_on(timed, day.breaks, missing))
        while breaks and after and breaks[0].begins < timed.free.likely:
            taken = breaks.pop(0)
            after.append(Line(taken.begins, "break", "Break", taken.minutes))
        worn = looks.get(timed.plan.shot.look, "")
        rows.append(_row(Same((timed,)), tuple(lines), worn, tuple(after), missing))
        if not timed.filmed or timed.camera_stands:
            place = timed.plan.shot.place
    return tuple(rows)


@lru_cache(maxsize=2000)  # one that has not changed stays the very same
def _row(
    of: Same, ahead: tuple[Line, ...], worn: str, after: tuple[Line, ...], missing: Missing | None
) -> TimetableRow:
    (timed,) = of.values
    return TimetableRow(timed, ahead, worn, after, missing)


def evening_of(plan: Plan, day: date) -> tuple[DoneBefore, ...]:
    """What is done off camera in the evening of a day, for a later one."""
    return tuple(one for other in plan.days for one in other.beforehand if one.evening == day)


def evening_lines(plan: Plan, day: date) -> tuple[Line, ...]:
    """The same as lines of the day's timetable: by when each is done, and how long it rests."""
    return tuple(
        Line(one.done_by, "evening", one.step.step.name, one.step.work.likely, _told_rest(one))
        for one in evening_of(plan, day)
        if one.done_by is not None
    )


def _told_rest(one: DoneBefore) -> str:
    rest = one.step.step.rest_hours
    return f"then it rests for {rest:g} hour{'' if rest == 1 else 's'}" if rest else ""


def to_wear(plan: Plan, day: DayPlan) -> tuple[ToWear, ...]:
    """The looks that shots still to be filmed on a day wear, as first worn."""
    worn = dict.fromkeys(shot.plan.shot.look for shot in day.to_film)
    looks = {look.id: look for look in plan.episode.looks}
    found = (looks[name] for name in worn if name in looks)
    return tuple(ToWear(look, lines_of(look.press), lines_of(look.at_hand)) for look in found)


def _lines(
    timed: TimedShot,
    breaks: Sequence[TakenBreak],
    looks: dict[str, str],
    place: str,
    missing: Missing | None,
) -> Iterator[Line]:
    """Each with the minutes that the clock goes on by: what is likely of a sum is no sum."""
    if timed.filmed:
        return
    at, starts, rolls = timed.begins.likely, timed.starts.likely, timed.rolls.likely
    for wait in (one for one in timed.waits if one.why == "rest"):
        yield Line(at, "wait", _said(wait.told), wait.minutes)
        at = later(at, wait.minutes, missing)
    if timed.worked:
        worked = _between(at, starts, missing) - _rested(breaks, at, starts)
        yield Line(at, "work", listed(timed.worked), worked)
    waits = [one for one in timed.waits if one.why != "rest"]
    waiting = sum(one.minutes for one in waits)
    set_up = _between(starts, rolls, missing) - waiting - _rested(breaks, starts, rolls)
    if timed.moves_camera or timed.changes_look or not place:
        yield Line(starts, "set up", _getting_ready(timed, looks), set_up)
    at = later(starts, set_up, missing)
    for wait in waits:
        yield Line(at, "wait", _said(wait.told), wait.minutes)
        at = later(at, wait.minutes, missing)


def _going_on(
    timed: TimedShot, breaks: Sequence[TakenBreak], missing: Missing | None
) -> Iterator[Line]:
    """The work of its step, from the shot on."""
    at, free = timed.ends.likely, timed.free.likely
    if timed.goes_on.likely > 0:
        minutes = _between(at, free, missing) - _rested(breaks, at, free)
        yield Line(at, "go on", timed.plan.step_name, minutes)


def _between(since: float, until: float, missing: Missing | None) -> float:
    """Minutes that go by between two clock times."""
    return gone_by(until, missing) - gone_by(since, missing)


def _rested(breaks: Sequence[TakenBreak], since: float, until: float) -> float:
    """Minutes of the breaks that begin between two times."""
    return sum(one.minutes for one in breaks if since <= one.begins < until)


def _getting_ready(timed: TimedShot, looks: dict[str, str]) -> str:
    shot = timed.plan.shot
    told = []
    if timed.moves_camera or not timed.changes_look:
        told.append(f"Camera: {shot.place}")
    if timed.changes_look:
        told.append(f"Put on: {looks.get(shot.look, 'what you sew in')}")
    return ". ".join(told)


def _said(words: str) -> str:
    return words[:1].upper() + words[1:]
