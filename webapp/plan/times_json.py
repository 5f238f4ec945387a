"""Her rates and times, and what they teach, as the machine-readable plan tells them."""

from typing import Any

from webapp.plan.results import Plan
from webapp.plan.times import times_report


def times_json(plan: Plan) -> dict[str, Any]:
    """Her own rates; of each kind with a time, how it moves; where her times fell; how far off
    each episode was. Widths and factors are in those of the table of rates."""
    report = times_report(plan)
    where = report.calibration
    return {
        "own_rates": [rate.model_dump() for rate in plan.episode.rates],
        "learned": [
            {
                "kind": one.kind,
                "times": one.times,
                "weight": one.weight,
                "factor": one.factor,
                "width": one.width,
            }
            for one in plan.learned.values()
            if one.times
        ],
        "times": {"under": where.under, "inside": where.inside, "over": where.over},
        "episodes_timed": [
            {
                "title": row.title,
                "times": row.sum.count,
                "minutes": row.sum.minutes,
                "likely_minutes": row.sum.likely,
            }
            for row in report.episodes
        ],
    }
