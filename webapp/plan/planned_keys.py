"""Fingerprints of what the days were planned from: the shots, the steps, the hours, the rates.

What is filmed meanwhile, and minutes that move as her times are learned, do not change them.
"""

import hashlib
import json
from functools import partial
from typing import Any, Final

from webapp.draft.construction import Work
from webapp.filming.every_rate import EDITING, VOICE_OVER
from webapp.plan.days import Clockwork, by_date
from webapp.plan.planned import PlannedDays
from webapp.plan.results import Plan
from webapp.remembered import Remembered

_OF_SHOT: Final = ("id", "kind", "step", "place", "takes", "pace", "light", "quiet", "look")
_OF_DAY: Final = ("starts", "ends", "goes_on_at", "light_from", "dark_from")
_AFTERWARDS: Final = (VOICE_OVER.key, EDITING.key)  # rates of what comes after the days
_keys: Final[Remembered[Clockwork, tuple[str, ...]]] = Remembered(50)


def keys_of(plan: Plan) -> tuple[str, ...]:
    """Of the shots, the steps, the hours and the minutes, as they are kept with planned days.
    They hold nothing but what clock times depend on as well, and are remembered by that."""
    return _keys.get(plan.clockwork, partial(_keys_of, plan))


def _keys_of(plan: Plan) -> tuple[str, ...]:
    return shots_key(plan), steps_key(plan), hours_key(plan), minutes_key(plan)


def shots_key(plan: Plan) -> str:
    """Of the shots as far as planning looks at them, in the order listed."""
    made_up = {look.id for look in plan.episode.looks if look.made_up}
    return _key(
        [
            [
                *(getattr(shot.shot, name) for name in _OF_SHOT),
                shot.shot.look in made_up,
                shot.one_way,
                round(shot.screen_seconds),
            ]
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
    """Of the hours of the days and the evenings."""
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
        ]
    )


def minutes_key(plan: Plan) -> str:
    """Of the rates that the days are worked out from, and the minutes between places."""
    rates = (rate for key, rate in sorted(plan.rates.items()) if key not in _AFTERWARDS)
    return _key(
        [
            [[rate.key, rate.low, rate.likely, rate.high] for rate in rates],
            [one.model_dump(mode="json") for one in plan.episode.place_changes],
        ]
    )


def outdated(plan: Plan) -> tuple[str, ...]:
    """What has changed since the days were planned; nothing when they were not, or it fits."""
    planned = plan.episode.planned_days
    if planned is None:
        return ()
    what = ("shots", "steps", "hours of the days", "minutes that things take")
    then = (planned.shots_key, planned.steps_key, planned.hours_key, planned.minutes_key)
    now = keys_of(plan)
    return tuple(one for one, a, b in zip(what, then, now, strict=True) if a != b)


def as_found(plan: Plan, found: PlannedDays) -> PlannedDays | None:
    """What planning came to, while it is of the plan and its days; what there was to take instead
    once that is taken. None when something has changed since."""
    if found.faults:
        return found
    now = [(day.day, day.shots) for day in by_date(plan)]
    planned = plan.episode.planned_days
    then = [(day.day, day.shots) for day in planned.days] if planned else None
    for one in (found.instead, found):
        if one is not None and one.keys == keys_of(plan):
            days = [(day.day, day.shots) for day in one.days]
            if days == (now if one.stays else then):
                return one
    return None


def _key(content: Any) -> str:
    return hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()[:16]
