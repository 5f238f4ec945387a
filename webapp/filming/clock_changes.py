"""Where the clocks change: days on which an hour is missing or comes twice.

By the tz database through `zoneinfo`; the package `tzdata` brings it where the system has none.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from typing import Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from webapp.filming.shoot_days import ShootDay, clock_of, minutes_of, told_day

_DAY: Final = 24 * 60
_NOON: Final = time(12)
_ROUND_THE_DAY: Final = timedelta(hours=3)  # no change is by more


@dataclass(frozen=True, slots=True)
class ClockChange:
    """A change of the clocks on a day; times are minutes from midnight as the clocks show them."""

    day: date
    at: int  # what the clocks showed when they were changed
    minutes: int  # forward; below 0 when they went back

    @property
    def first(self) -> int:
        """The first minute that is missing, or that comes twice."""
        return self.at + min(0, self.minutes)

    @property
    def last(self) -> int:
        """The minute after the last of those."""
        return self.at + max(0, self.minutes)

    @property
    def sentence(self) -> str:
        """What happens, in words."""
        way = "forward" if self.minutes > 0 else "back"
        return (
            f"On {told_day(self.day)} the clocks go {way} at {clock_of(self.at)}, "
            f"to {clock_of(self.at + self.minutes)}."
        )


@lru_cache(maxsize=1)
def time_zones() -> tuple[str, ...]:
    """The names a time zone may be given, such as Europe/Lisbon, in order."""
    return tuple(sorted(name for name in available_timezones() if "/" in name or name == "UTC"))


def zone_fault(name: str) -> str:
    """Why a name is no time zone, in a sentence; empty when it is one, or none is given."""
    if not name or _zone(name) is not None:
        return ""
    return f"“{name}” is no time zone that is known: choose one such as Europe/Lisbon."


def clock_change(day: date, zone: str) -> ClockChange | None:
    """The change of the clocks on a day in a time zone; None when there is none, or no zone."""
    found = _zone(zone)
    return None if found is None else _change(day, found)


def minutes_ahead(day: date, zone: str) -> int:
    """Minutes that the clocks are ahead of UTC at noon of a day; 0 without a time zone."""
    found = _zone(zone)
    return 0 if found is None else _ahead(datetime.combine(day, _NOON, found))


def missing_times(day: date, zone: str) -> tuple[float, float] | None:
    """The clock times that a day has not, from and to, where the clocks go forward on it."""
    change = clock_change(day, zone)
    return None if change is None or change.minutes < 0 else (change.first, change.last)


def clock_faults(day: ShootDay, zone: str) -> tuple[str, ...]:
    """What a change of the clocks makes of a day's hours and times, a sentence each."""
    change = clock_change(day.day, zone)
    if change is None:
        return ()
    told = [
        f"{change.sentence} {what.capitalize()} at {at}, and {_that_time(change)}"
        for what, at in _times_within(change, day).values()
    ]
    if day.starts_at <= change.first and change.last <= day.ends_at:
        told.append(_told_hours(change, day))
    return tuple(told)


def faults_of_times(day: ShootDay, zone: str) -> dict[str, str]:
    """What to say beside the times of a day that its clocks leave out or show twice, by field.

    `break 0` is the first of its breaks.
    """
    change = clock_change(day.day, zone)
    if change is None:
        return {}
    told = f"On this day {_that_time(change)}"
    return dict.fromkeys(_times_within(change, day), told)


def _times_within(change: ClockChange, day: ShootDay) -> dict[str, tuple[str, str]]:
    """Those times by the field's name, with what happens then."""
    times = {
        "starts": ("it starts", day.starts),
        "ends": ("it ends", day.ends),
        "goes_on_at": ("it goes on", day.goes_on_at),
        **{
            f"break {number}": (f"the break of {one.minutes} minutes begins", one.at)
            for number, one in enumerate(day.breaks)
        },
    }
    return {
        field: (what, at)
        for field, (what, at) in times.items()
        if at is not None and change.first <= minutes_of(at) < change.last
    }


def _that_time(change: ClockChange) -> str:
    how = "that time is missing" if change.minutes > 0 else "that time comes twice"
    others = []
    if change.first > 0:
        others.append(f"before {clock_of(change.first)}")
    if change.last < _DAY:
        others.append(f"from {clock_of(change.last)} on")
    return f"{how}: choose a time {' or '.join(others)}."


def _told_hours(change: ClockChange, day: ShootDay) -> str:
    on_the_clock = day.ends_at - day.starts_at
    less = "shorter" if change.minutes > 0 else "longer"
    advice = (
        "Its clock times are told without the missing ones."
        if change.minutes > 0
        else f"Its clock times are told as if the clocks stayed as they are: from "
        f"{clock_of(change.at)} on all comes {change_words(change)} earlier by the clock."
    )
    return (
        f"{change.sentence} The day from {day.starts} to {day.ends} is {change_words(change)} "
        f"{less} than the {on_the_clock / 60:.4g} hours that its times say. {advice}"
    )


def change_words(change: ClockChange) -> str:
    """By how much the clocks are changed, in words."""
    minutes = abs(change.minutes)
    return "1 hour" if minutes == 60 else f"{minutes} minutes"


def _change(day: date, zone: ZoneInfo) -> ClockChange | None:
    """The change whose missing or second hour begins on the day, found by halving.

    The clocks change once a day at most. At midnight forward is at 00:00, back at 24:00.
    """
    if not date.min < day < date.max:
        return None  # the day before or after has no date
    midnight = datetime.combine(day, time(0), zone).astimezone(UTC)
    first, minute = midnight - _ROUND_THE_DAY, timedelta(minutes=1)
    low, high = 0, _DAY + 2 * _ROUND_THE_DAY // minute
    before = _ahead(first.astimezone(zone))
    after = _ahead((first + high * minute).astimezone(zone))
    if after == before:
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if _ahead((first + middle * minute).astimezone(zone)) == before:
            low = middle
        else:
            high = middle
    shown = (first + (high + before) * minute).replace(tzinfo=None)
    at = (shown - datetime.combine(day, time(0))) // minute
    found = ClockChange(day, at, after - before)
    return found if 0 <= found.first < _DAY else None


def _ahead(moment: datetime) -> int:
    offset = moment.utcoffset()
    return 0 if offset is None else int(offset.total_seconds()) // 60


@lru_cache(maxsize=8)
def _zone(name: str) -> ZoneInfo | None:
    if not name:
        return None
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None
