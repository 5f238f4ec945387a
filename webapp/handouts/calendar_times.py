"""A shoot day's times as a calendar tells them, and their time zone (RFC 5545)."""

from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING, Final
from zoneinfo import ZoneInfo

from webapp.filming.clock_changes import clock_change, missing_times, zone_fault
from webapp.filming.day_clock import gone_by, shown
from webapp.filming.shoot_days import ShootDay, told_clock

if TYPE_CHECKING:
    from icalendar import Component, Timezone

_MINUTE: Final = timedelta(minutes=1)


def zone_of(name: str) -> ZoneInfo | None:
    """The time zone of that name; None without one, or when it is not known: local times."""
    return ZoneInfo(name) if name and not zone_fault(name) else None


class DayTimes:
    """The times of a shoot day, minutes from midnight, as moments of its time zone.

    Without a zone they are local times, which every calendar shows as they stand.
    """

    def __init__(self, day: ShootDay, zone: ZoneInfo | None) -> None:
        self._day, self._zone = day, zone
        self._missing = missing_times(day.day, zone.key) if zone else None

    def on_the_clock(self, minutes: float) -> datetime:
        """When the clocks show that time: one that comes twice is the first, as RFC 5545 has it."""
        there = shown(gone_by(minutes, self._missing), self._missing)
        return datetime.combine(self._day.day, time(0), self._zone) + round(there) * _MINUTE

    def planned(self, minutes: float) -> datetime:
        """When so much of the day has gone by that the plan tells that time.

        The plan passes over times that are missing, and counts on where the clocks go back.
        """
        gone = gone_by(minutes, self._missing) - gone_by(self._day.goes_on, self._missing)
        return later(self.on_the_clock(self._day.goes_on), round(gone) * _MINUTE)


def later(moment: datetime, lasts: timedelta) -> datetime:
    """The moment so much later, whatever the clocks do meanwhile."""
    if moment.tzinfo is None:
        return moment + lasts
    return (moment.astimezone(UTC) + lasts).astimezone(moment.tzinfo)


def in_order(moment: datetime) -> datetime:
    """What moments are put in order by. By themselves those of one zone go by their clock alone,
    so that a time that comes twice is one and the same."""
    return moment.replace(tzinfo=None, fold=0) - (moment.utcoffset() or timedelta())


def told_time(moment: datetime, day: date) -> str:
    """What the clocks show then, in the course of a day: `09:30`, `00:20 the next day`."""
    return told_clock(1440 * (moment.date() - day).days + 60 * moment.hour + moment.minute)


def time_zone(name: str, moments: Iterable[datetime]) -> "Timezone":
    """The zone as a calendar component, right in the years of these moments.

    An onset is told in the time that ends with it (RFC 5545, 3.6.5).
    """
    from icalendar import Timezone  # noqa: PLC0415 - loaded when a calendar is first made

    found = Timezone()
    found.add("TZID", name)
    for onset, before, after in _onsets(name, sorted({one.year for one in moments})):
        found.add_component(_observance(onset, before, after))
    return found


def _observance(onset: datetime, before: timedelta, after: datetime) -> "Component":
    """What the clocks show from `onset` on; `after` is a moment of that time."""
    from icalendar import TimezoneDaylight, TimezoneStandard  # noqa: PLC0415

    summer = (after.dst() or timedelta()) > timedelta()
    found: Component = TimezoneDaylight() if summer else TimezoneStandard()
    found.add("DTSTART", onset)
    found.add("TZOFFSETFROM", before)
    found.add("TZOFFSETTO", after.utcoffset())
    found.add("TZNAME", after.tzname())
    return found


def _onsets(name: str, years: list[int]) -> Iterator[tuple[datetime, timedelta, datetime]]:
    """The start of each stretch of years, then every change in it: the local time at which it
    begins, what the clocks were ahead of UTC until then, and a moment of the new time."""
    zone = ZoneInfo(name)
    for year in years:
        first = datetime(year, 1, 1, tzinfo=zone)
        if year - 1 not in years:
            yield first.replace(tzinfo=None), first.utcoffset() or timedelta(), first
        for number in range(366):
            day = first.date() + timedelta(days=number)
            change = clock_change(day, name) if day.year == year else None
            if change is not None:
                onset = datetime.combine(day, time(0)) + change.at * _MINUTE
                before = _ahead(day, zone)
                yield onset, before, (onset - before).replace(tzinfo=UTC).astimezone(zone)


def _ahead(day: date, zone: ZoneInfo) -> timedelta:
    """What the clocks are ahead of UTC when a day begins."""
    return datetime.combine(day, time(0), zone).utcoffset() or timedelta()
