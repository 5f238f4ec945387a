"""What the forms about times and rates send, and how it is read."""

import re
from collections.abc import Mapping
from datetime import date, timedelta
from typing import Final

from webapp.build.time_log import TIME_KINDS, Timed, TimeKind
from webapp.filming.shoot_days import told_day
from webapp.pages.forms import Field, needed, text, ticked

LONGEST_TIME: Final = 60_000.0  # minutes: a thousand hours
_LONG_AGO: Final = timedelta(days=2 * 366)  # rates and hands were others then
_NUMBER: Final = r"(\d{1,6}(?:[.,]\d{1,6})?|[.,]\d{1,6})"
_HOURS_AND_MINUTES: Final = re.compile(
    rf"(?:{_NUMBER}\s*(?:h|hrs?|hours?))?\s*"
    rf"(?:{_NUMBER}(?:\s*(?:m|mins?|minutes?)|$))?\s*"  # a bare number is minutes
    rf"(?:{_NUMBER}\s*(?:s|secs?|seconds?))?",
    re.ASCII | re.IGNORECASE,
)
_CLOCK: Final = re.compile(r"(\d{1,3}):([0-5]\d)(?::([0-5]\d))?", re.ASCII)
_PLAIN: Final = re.compile(
    r"(?:(\d{1,6}) )?(\d{1,6})/(\d{1,6})|(\d{1,12}(?:[.,]\d{1,12})?|[.,]\d{1,12})", re.ASCII
)
_THOUSANDS: Final = re.compile(r"\d{1,3},\d{3}", re.ASCII)
_PREFIXES: Final[Mapping[str, Timed]] = {"step": "step", "day": "shoot day"}
_AFTER: Final[Mapping[str, Timed]] = {"voice-over": "voice-over", "editing": "editing"}


def time_key(timed: Timed, item: str) -> str:
    """How an address or a form names what is timed: `step:chalk`, `day:2027-01-04`, `editing`."""
    prefix = next((one for one, of in _PREFIXES.items() if of == timed), "")
    return f"{prefix}:{item}" if prefix else timed


def read_time_key(typed: str) -> tuple[Timed, str]:
    """What is timed, and which; the opposite of `time_key`."""
    prefix, _, item = typed.partition(":")
    if item and prefix in _PREFIXES:
        return _PREFIXES[prefix], item
    if typed in _AFTER:
        return _AFTER[typed], ""
    raise ValueError("Choose what was timed.")


Clocked = tuple[Timed, str, TimeKind | None]


def clock_key(timed: Timed, item: str, kind: TimeKind | None) -> str:
    """How a form names the clock that it was shown with: what is timed, and the one kind of it."""
    return f"{kind or ''}|{time_key(timed, item)}"


def read_clock_key(typed: str) -> Clocked | None:
    """The opposite of `clock_key`; None where the form does not say."""
    if not typed:
        return None
    kind, _, what = typed.partition("|")
    return *read_time_key(what), _kind(kind)


def time_taken(typed: str) -> float:
    """Minutes, from a time typed as 25, 12.5, 1 h 20, 1:20 or 6.5 h."""
    clock, worded = _CLOCK.fullmatch(typed), _HOURS_AND_MINUTES.fullmatch(typed)
    if clock:
        found = 60 * int(clock[1]) + int(clock[2]) + int(clock[3] or 0) / 60
    elif worded and typed:
        hours, minutes, seconds = (_decimal(part or "0") for part in worded.groups())
        found = 60 * hours + minutes + seconds / 60
    else:
        raise ValueError("Write how long it took, like 25 for minutes, or 1 h 20.")
    if found <= 0:
        raise ValueError("Write a time of more than nothing.")
    if found > LONGEST_TIME:
        raise ValueError(f"“{typed}” is more than {LONGEST_TIME / 60:,.0f} hours.")
    return found


def rate_figure(typed: str) -> float:
    """A figure of a rate: 800, 0.5, 0,5 or 1 1/2."""
    found = _PLAIN.fullmatch(typed)
    if _THOUSANDS.fullmatch(typed):
        without = typed.replace(",", "")
        raise ValueError(f"Write it without a comma, {without}, or with a point: "
                         f"{typed.replace(',', '.')}.")  # fmt: skip
    if found is None or (found[3] is not None and not int(found[3])):
        raise ValueError("Write a number, like 0.5 or 800.")
    value = _decimal(found[4]) if found[4] else int(found[1] or 0) + int(found[2]) / int(found[3])
    if not 0 < value <= 1e6:
        raise ValueError("A rate is more than nothing and at most a million.")
    return value


def _decimal(typed: str) -> float:
    return float(typed.replace(",", "."))


def day_of_work(typed: str) -> date | None:
    """The day on which the work was done, as the browser sends it; empty gives None."""
    try:
        return date.fromisoformat(typed) if typed else None
    except ValueError:
        raise ValueError("Write the day as year-month-day, like 2027-01-15.") from None


def odd_day(day: date | None, today: date) -> str:
    """What is wrong with a day as that of work done, in a sentence; empty when nothing is."""
    if day is None or today - _LONG_AGO <= day <= today:
        return ""
    if day > today:
        return f"{told_day(day)} is still to come: write the day on which you did the work."
    return (
        f"{told_day(day)} is long ago: write the day on which you did the work, or leave the day "
        "empty."
    )


def _kind(typed: str) -> TimeKind | None:
    if not typed:
        return None
    for kind in TIME_KINDS:
        if kind == typed:
            return kind
    raise ValueError("Choose one of the kinds of work.")


WHAT: Final = (Field("time", read_time_key, needed=True), Field("kind", _kind))
NOTE: Final = Field("note", text(200))
GOES_ON: Final = Field("goes_on", ticked)
AGAIN: Final = Field("again", ticked)
CLOCK: Final = Field("clock", read_clock_key)
ENTRY_FIELDS: Final = (
    Field("minutes", time_taken),
    Field("day", day_of_work),
    NOTE,
    GOES_ON,
    AGAIN,
)
WRITTEN_FIELDS: Final = needed((*WHAT, *ENTRY_FIELDS), "minutes")
RATE_FIELDS: Final = needed(
    (
        Field("rate", text(60, required=True)),
        Field("low", rate_figure),
        Field("likely", rate_figure),
        Field("high", rate_figure),
        NOTE,
    ),
    "rate", "low", "likely", "high",
)  # fmt: skip
