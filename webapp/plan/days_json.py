"""The shoot days as the machine-readable plan tells them."""

from typing import Any

from webapp.build.work_time import Estimate
from webapp.filming.shoot_days import clock_of
from webapp.plan.day_plan import DayPlan, TimedShot
from webapp.plan.results import Plan


def days_json(plan: Plan) -> dict[str, Any]:
    """Clock times by the likely minutes, hours counted on past 24, and what a plan came to."""
    planned = plan.episode.planned_days
    return {
        "shoot_days": [_day(day) for day in plan.days],
        "planned_days": planned
        and {
            "changes_of_place": planned.changes,
            "changes_in_build_order": planned.changes_in_build_order,
            "changing_minutes": planned.minutes,
            "changing_minutes_in_build_order": planned.minutes_in_build_order,
            "waiting_minutes": planned.idle,
            "least_minutes": planned.bound,
        },
    }


def _day(day: DayPlan) -> dict[str, Any]:
    """Minutes of its shots are those of the filming, setting up and all."""
    return {
        "day": day.day.day.isoformat(),
        "starts": day.day.starts,
        "ends": day.day.ends,
        "dark_from": day.day.dark_from,
        "beforehand": [one.step.step.id for one in day.beforehand],
        "breaks": [
            {"starts": clock_of(one.begins), "ends": clock_of(one.ends)} for one in day.breaks
        ],
        "shots": [_shot(timed) for timed in day.shots],
        "changes_of_place": day.changes,
        "changing_minutes": day.changing,
        "waiting_minutes": day.idle,
        "likely_end": clock_of(day.ends.likely),
        "latest_end": clock_of(day.ends.high),
        "chance_in_time": day.chance_in_time,
        "chance_in_time_and_light": day.chance,
    }


def _shot(timed: TimedShot) -> dict[str, Any]:
    return {
        "id": timed.plan.shot.id,
        "starts": clock_of(timed.starts.likely),
        "rolls": clock_of(timed.rolls.likely),
        "minutes": _minutes(timed.filming),
        "work_minutes_after": _minutes(timed.goes_on),
        "filmed": timed.filmed,
    }


def _minutes(estimate: Estimate) -> dict[str, float]:
    return {"low": estimate.low, "likely": estimate.likely, "high": estimate.high}
