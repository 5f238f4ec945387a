"""Events as an iCalendar file (RFC 5545), the same bytes for the same events."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Final
from uuid import NAMESPACE_URL, uuid5

from webapp.handouts.calendar_times import time_zone

if TYPE_CHECKING:
    from icalendar import Event as Component

_PRODUCT: Final = "-//Seamslate//Shoot days//EN"
# A file has no clock: every event is stamped with one and the same time, that of the pack's zip.
_STAMP: Final = datetime(1980, 1, 1, tzinfo=UTC)
_WARNING: Final = timedelta(minutes=15)


@dataclass(frozen=True)
class Event:
    """Something with a time, in a time zone or local, or with whole days.

    An event of a `key` is one and the same in every calendar, whatever else is told of it.
    """

    key: str
    summary: str
    begins: datetime | date
    ends: datetime | date  # of whole days the one after the last
    place: str = ""
    words: str = ""
    warned_of: bool = False  # a quarter of an hour ahead
    busy: bool = True


def calendar_file(events: Sequence[Event]) -> bytes:
    """The events with the time zones they are told in."""
    from icalendar import Calendar  # noqa: PLC0415 - loaded when a calendar is first made

    found = Calendar()
    found.add("PRODID", _PRODUCT)
    found.add("VERSION", "2.0")
    for event in events:
        found.add_component(_component(event))
    moments = [m for one in events for m in (one.begins, one.ends) if isinstance(m, datetime)]
    for name in sorted(found.get_missing_tzids(), reverse=True):
        found.subcomponents.insert(0, time_zone(name, moments))
    content: bytes = found.to_ical()
    return content


def _component(event: Event) -> "Component":
    from icalendar import Alarm  # noqa: PLC0415
    from icalendar import Event as Component  # noqa: PLC0415

    found = Component()
    found.add("UID", str(uuid5(NAMESPACE_URL, event.key)))
    found.add("DTSTAMP", _STAMP)
    found.add("DTSTART", _told(event.begins))
    found.add("DTEND", _told(event.ends))
    found.add("SUMMARY", event.summary)
    for name, text in (("LOCATION", event.place), ("DESCRIPTION", event.words)):
        if text:
            found.add(name, text)
    if not event.busy:
        found.add("TRANSP", "TRANSPARENT")
    if event.warned_of:
        alarm = Alarm()
        alarm.add("ACTION", "DISPLAY")
        alarm.add("DESCRIPTION", event.summary)
        alarm.add("TRIGGER", -_WARNING)
        found.add_component(alarm)
    return found


def _told(moment: datetime | date) -> datetime | date:
    """In UTC when the clocks show it a second time: told by the clock it would be the first."""
    second = isinstance(moment, datetime) and moment.fold
    return moment.astimezone(UTC) if isinstance(moment, datetime) and second else moment
