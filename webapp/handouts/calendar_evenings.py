"""What is done in the evenings before a shoot day, and when."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from webapp.handouts.broken_lines import plain
from webapp.handouts.calendar_times import later
from webapp.handouts.call_sheet_ready import before
from webapp.handouts.call_sheet_view import Item
from webapp.plan.day_plan import DayPlan
from webapp.plan.results import Plan

_ENDS: Final = time(21)  # an evening's work, as the days are planned by
_GETTING_READY: Final = 15  # minutes for what is no work with the cloth; common practice, no source
_LONGEST: Final = 5 * 60  # minutes: what takes longer goes on for several evenings


@dataclass(frozen=True)
class Evening:
    """An evening's work, and a line for each thing there is to do."""

    on: date
    begins: datetime
    lasts: timedelta
    lines: tuple[str, ...]


def evenings(plan: Plan, day: DayPlan, zone: ZoneInfo | None) -> Iterator[Evening]:
    """By date: work off camera in its evening, all else in the one right before the day.

    It ends when the plan has it, whatever time zone that is in. Nothing is done before a day on
    which nothing is still to be filmed.
    """
    if not day.to_film:
        return
    eve, groups = day.day.day - timedelta(days=1), [*before(plan, day)]
    works, others = (groups[0].items, groups[1:]) if day.beforehand else ((), groups)
    rest = [
        line for group in others for line in (f"{plain(group.name)}:", *map(_line, group.items))
    ]
    dates = _worked_on(day)
    for on in sorted({*dates, *([eve] if rest else [])}):
        own = [place for place, other in enumerate(dates) if other == on]
        minutes = math.fsum(day.beforehand[place].step.work.likely for place in own)
        minutes += _GETTING_READY if on == eve and rest else 0
        lasts = timedelta(minutes=5 * math.ceil(min(minutes, _LONGEST) / 5) or 5)
        lines = (*(_line(works[place]) for place in own), *(rest if on == eve else ()))
        yield Evening(on, later(datetime.combine(on, _ENDS, zone), -lasts), lasts, lines)


def _line(item: Item) -> str:
    told = "; ".join(text for text in (plain(item.told), plain(item.missed)) if text)
    return f"- {plain(item.what)}" + (f" ({told})" if told else "")


def _worked_on(day: DayPlan) -> list[date]:
    """The evening of each work beforehand. Before the first day, where there are as many as are
    needed, it is the last one after which all has rested when the day starts."""
    starts = datetime.combine(day.day.day, time(0)) + timedelta(minutes=day.day.starts_at)
    rested_by: dict[str, datetime] = {}  # of what another work waits on
    found = []
    for one in reversed(day.beforehand):
        step = one.step.step
        by = rested_by.get(step.id, starts) - timedelta(hours=step.rest_hours)
        last = by.date() if by.time() >= _ENDS else by.date() - timedelta(days=1)
        on = one.evening or last
        for name in step.after:
            begun = datetime.combine(on, _ENDS)
            rested_by[name] = min(rested_by.get(name, begun), begun)
        found.append(on)
    return found[::-1]
