"""Fingerprints of what the days were planned from: the shots, the steps, the hours.

What is filmed meanwhile, and minutes that move as her times are learned, do not change them.
"""

import hashlib
import json
from typing import Any, Final

from webapp.draft.construction import Work
from webapp.plan.days import by_date
from webapp.plan.results import Plan

_OF_SHOT: Final = ("id", "kind", "step", "place", "takes", "pace", "light", "quiet", "look")
_OF_DAY: Final = ("starts", "ends", "light_from", "dark_from")


def shots_key(plan: Plan) -> str:
    """Of the shots as far as planning looks at them, in the order listed."""
    return _key(
        [
            [getattr(shot.shot, name) for name in _OF_SHOT] + [round(shot.screen_seconds)]
            for shot in plan.shots
        ]
    )


def steps_key(plan: Plan) -> str:
    """Of the steps: what they wait on, how long they rest, and what work there is in them."""
    return _key(
        [
            [
                step.id,
                sorted(step.after),
                step.rest_hours,
                [_how_much(work) for work in step.work],
            ]
            for garment in plan.episode.garments
            for step in garment.steps
        ]
    )


def _how_much(work: Work) -> dict[str, object]:
    """The work, whatever the pieces, seams and edges are called that it is on."""
    named = {"pieces": len(work.pieces), "seams": len(work.seams)}
    edges = {"edges": sum(use.times for use in work.edges)}
    return {**work.model_dump(mode="json"), **named, **edges}


def hours_key(plan: Plan) -> str:
    """Of the hours of the days, the evenings and the minutes between places."""
    episode = plan.episode
    return _key(
        [
            [
                [
                    day.day.isoformat(),
                    *(getattr(day, name) for name in _OF_DAY),
                    [one.model_dump(mode="json") for one in (*day.breaks, *day.noise)],
                ]
                for day in by_date(plan)
            ],
            episode.brief.evening_minutes,
            [one.model_dump(mode="json") for one in episode.place_changes],
        ]
    )


def outdated(plan: Plan) -> tuple[str, ...]:
    """What has changed since the days were planned; nothing when they were not, or it fits."""
    planned = plan.episode.planned_days
    if planned is None:
        return ()
    now = (
        ("shots", planned.shots_key, shots_key(plan)),
        ("steps", planned.steps_key, steps_key(plan)),
        ("hours of the days", planned.hours_key, hours_key(plan)),
    )
    return tuple(what for what, then, key in now if then != key)


def _key(content: Any) -> str:
    return hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()[:16]
