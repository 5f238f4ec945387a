"""The forms of the shoot days: clock times, breaks, noise, evenings, and what is amiss in them."""

import re
from collections.abc import Mapping
from datetime import date
from typing import Any, Final, TypeVar

from webapp.draft.recipe import Frozen
from webapp.errors import NotThereError
from webapp.filming.clock_changes import zone_fault
from webapp.filming.shoot_days import Break, Noise, ShootDay
from webapp.pages.forms import Answers, Field, day, text, whole_number
from webapp.plan.day_edits import day_faults
from webapp.plan.episode import Episode

_CLOCK: Final = re.compile(r"(\d{1,2})(?:[:.h](\d{2}))?(?::00)?\s*([ap]m)?", re.IGNORECASE)
_Row = TypeVar("_Row", bound=Frozen)


def clock_time(typed: str) -> str:
    """A clock time in 24 hours, from one typed as 9:30, 09:30, 14 or 2:15 pm."""
    found = _CLOCK.fullmatch(typed)
    if found is None:
        raise ValueError("Write a time of the day, like 9:30 or 14:00.")
    hour, minute = int(found[1]), int(found[2] or 0)
    if found[3]:
        if not 1 <= hour <= 12:
            raise ValueError(f"“{typed}” is no time that a clock shows.")
        hour = hour % 12 + (12 if found[3].lower() == "pm" else 0)
    if hour > 23 or minute > 59:
        raise ValueError(f"“{typed}” is no time that a clock shows.")
    return f"{hour:02}:{minute:02}"


def shoot_day(typed: str) -> date:
    """A date, as the browser sends it."""
    found = day(typed)
    if found is None:
        raise ValueError("Write the day as year-month-day, like 2027-01-15.")
    return found


def _perhaps(typed: str) -> str | None:
    return clock_time(typed) if typed else None


def _time_zone(typed: str) -> str:
    fault = zone_fault(typed)
    if fault:
        raise ValueError(fault if len(typed) <= 60 else "Choose one such as Europe/Lisbon.")
    return typed


DAY_FIELDS: Final = (
    Field("day", shoot_day),
    Field("starts", clock_time),
    Field("ends", clock_time),
    Field("light_from", _perhaps),
    Field("dark_from", _perhaps),
    Field("goes_on_at", _perhaps),
)
GO_ON_FIELD: Final = Field("goes_on_at", clock_time, needed=True)
BREAK_FIELDS: Final = (
    Field("at", clock_time),
    Field("minutes", whole_number(5, 240, required=True)),
)
NOISE_FIELDS: Final = (
    Field("starts", clock_time),
    Field("ends", clock_time),
    Field("what", text(200)),
)
FOR_ALL_FIELDS: Final = (
    Field("evening_minutes", whole_number(0, 600, required=True)),
    Field("time_zone", _time_zone),
)


def with_faults(episode: Episode, on: date | None, answers: Answers) -> Answers:
    """The answers with what the fields of a day say against each other, once each can be read."""
    if not answers.errors:
        for name, sentence in day_faults(episode, on, answers.values).items():
            # A break outside the day is told beside the time that leaves it out.
            field = "ends" if "ends" in answers.values else "starts"
            answers = answers.failed(sentence, field if name == "breaks" else name)
    return answers


def breaks_with(episode: Episode, on: date, number: int | None, answers: Answers) -> Answers:
    """The answers with the day's breaks as they come to be, or what is wrong beside its field.

    `number` counts from 0; None is a break to come. NotThereError when there is no such break.
    """
    if answers.errors:
        return answers
    rows = _with_row(_day(episode, on).breaks, number, Break, answers.values)
    fault = day_faults(episode, on, {"breaks": rows}).get("breaks")
    if fault:
        return answers.failed(fault, "at")
    return Answers(answers.typed, {"breaks": rows}, answers.errors)


def noise_with(episode: Episode, on: date, number: int | None, answers: Answers) -> Answers:
    """The answers with the day's hours of noise as they come to be; as `breaks_with`."""
    if answers.errors:
        return answers
    rows = _day(episode, on).noise
    old = dict(_row(rows, number)) if number is not None else {}
    new = {**old, **answers.values}
    if new["ends"] <= new["starts"]:
        return answers.failed(
            f"The noise starts at {new['starts']}: write a later time for its end.", "ends"
        )
    return Answers(answers.typed, {"noise": _with_row(rows, number, Noise, answers.values)}, {})


def without_row(episode: Episode, on: date, kind: str, number: int) -> Mapping[str, Any]:
    """The fields of a day without one of its breaks, or of its hours of noise."""
    rows = getattr(_day(episode, on), kind)
    gone = _row(rows, number)
    return {kind: tuple(row for row in rows if row is not gone)}


def _with_row(
    rows: tuple[_Row, ...], number: int | None, model: type[_Row], values: Mapping[str, Any]
) -> tuple[_Row, ...]:
    if number is None:
        return (*rows, model(**values))
    old = _row(rows, number)
    return tuple(model(**{**dict(row), **values}) if row is old else row for row in rows)


def _row(rows: tuple[_Row, ...], number: int) -> _Row:
    if not 0 <= number < len(rows):
        raise NotThereError("That line is not there any more.")
    return rows[number]


def _day(episode: Episode, on: date) -> ShootDay:
    for one in episode.shoot_days:
        if one.day == on:
            return one
    raise NotThereError("That shoot day is not there any more.")
