"""The shoot days as a calendar: the days, what is done in the evenings before, publishing."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from webapp.filming.clock_changes import clock_change
from webapp.handouts.broken_lines import plain
from webapp.handouts.calendar_evenings import evenings
from webapp.handouts.calendar_file import Event, calendar_file
from webapp.handouts.calendar_times import DayTimes, in_order, later, told_time, zone_of
from webapp.handouts.printing import BASE_URL
from webapp.plan.day_plan import DayPlan
from webapp.plan.results import Plan

_FROM, _UNTIL = date(1900, 1, 1), date(3000, 1, 1)  # what other programs surely know


def shoot_days_ics(plan: Plan) -> bytes | None:
    """The calendar; None without a shoot day and a day to publish on. Same plan, same bytes.

    A shoot day lasts from its start to its end, or until it is likely filmed where that is later.
    Times are those of the episode's time zone; without one they are local, wherever it is opened.
    """
    events = tuple(_events(plan))
    return calendar_file(events) if events else None


def _events(plan: Plan) -> Iterator[Event]:
    zone = zone_of(plan.episode.brief.time_zone)
    title, key = plain(plan.episode.title), f"{BASE_URL}episodes/{plan.episode.id}"
    days = [day for day in plan.days if _FROM < day.day.day < _UNTIL]
    for number, day in enumerate(days, start=1):
        called, own = f"shoot day {number} of {len(days)}: {title}", f"{key}/{day.day.day}"
        for one in evenings(plan, day, zone):
            filming = [_over(other, zone) for other in days if other.day.day == one.on]
            begins = max([one.begins, *filming], key=in_order)
            yield Event(
                key=f"{own}/{one.on}",
                summary=f"Before {called}",
                begins=begins,
                ends=later(begins, one.lasts),
                words="\n".join(one.lines),
                warned_of=True,
            )
        yield Event(
            key=own,
            summary=f"S{called[1:]}",
            begins=DayTimes(day.day, zone).on_the_clock(day.day.starts_at),
            ends=_over(day, zone),
            place=", ".join(dict.fromkeys(plain(one.plan.shot.place) for one in day.shots)),
            words="\n".join(_told(day, zone)),
        )
    publish = plan.episode.brief.publish_date
    if publish is not None and _FROM < publish < _UNTIL:
        after = publish + timedelta(days=1)
        yield Event(f"{key}/publish", f"Publish: {title}", publish, after, busy=False)


def _over(day: DayPlan, zone: ZoneInfo | None) -> datetime:
    """When a day is over: at its end, or when it is likely filmed."""
    times = DayTimes(day.day, zone)
    ends = times.on_the_clock(day.day.ends_at)
    filmed = times.planned(day.ends.likely)
    return max(ends, filmed, key=in_order) if day.to_film else ends


def _told(day: DayPlan, zone: ZoneInfo | None) -> Iterator[str]:
    """How it likely goes, and when its shots roll and its breaks begin, as on the call sheet."""
    times, on = DayTimes(day.day, zone), day.day.day
    if day.to_film:
        likely, late = (told_time(times.planned(at), on) for at in (day.ends.likely, day.ends.high))
        yield f"Likely done at {likely}, 9 times in 10 by {late}. {day.told_light}"
    else:
        yield day.told
    change = clock_change(on, zone.key) if zone else None
    if change is not None:
        yield change.sentence
    for one in day.shots:
        if one.filmed:
            yield f"Filmed: {one.plan.number}. {plain(one.plan.shot.title)}"
    told = [(times.planned(one.begins), f"Break, {one.minutes:.0f} min") for one in day.breaks]
    for one in day.to_film:
        where = plain(one.plan.shot.place) + ("; cannot be taken back" if one.plan.one_way else "")
        what = f"{one.plan.number}. {plain(one.plan.shot.title)} ({where})"
        told.append((times.planned(one.rolls.likely), what))
    for moment, what in sorted(told, key=lambda pair: in_order(pair[0])):
        yield f"{told_time(moment, on)} {what}"
