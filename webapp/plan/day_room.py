"""When to plan the days again with room left: one is likely late while another has hours over."""

from datetime import date
from typing import Final

from webapp.filming.publishing import told_chance
from webapp.filming.shoot_days import told_day
from webapp.plan.day_plan import hours
from webapp.plan.days import on_no_day, open_days
from webapp.plan.results import Plan

_OFTEN: Final = 0.85  # from here on it is told as 9 times in 10, or more
_HOURS_OVER: Final = 90.0  # minutes between a day's likely end and its end that are worth a word


def told_room(plan: Plan, first_day: date | None = None) -> str:
    """That days could end in time more often, in a sentence; empty when they do, or cannot.

    Of the days from that one on; while shots are on no day there is no room to leave.
    """
    open_dates = {day.day for day in open_days(plan, first_day)}
    days = [day for day in plan.days if day.day.day in open_dates]
    if len(days) < 2 or on_no_day(plan):
        return ""
    tight = min(days, key=lambda day: day.chance)
    over = {day.day.day: day.day.ends_at - day.ends.likely for day in days if day is not tight}
    roomy = max(over, key=lambda one: over[one])
    if tight.chance >= _OFTEN or over[roomy] < _HOURS_OVER:
        return ""
    light = " and in its light" if tight.goes_by_light else ""
    empty = not any(day.to_film for day in days if day.day.day == roomy)
    what = "is empty" if empty else f"likely ends {hours(over[roomy])} early"
    chance = told_chance(tight.chance)
    only = "" if chance.startswith("less") else "only "
    again = " again" if plan.episode.planned_days else ""
    return (
        f"{told_day(tight.day.day)} ends in time{light} {only}{chance}, while "
        f"{told_day(roomy)} {what}: plan the days{again} with “Leave room” ticked."
    )
