"""What was said in a filmed shot, and what of it is no longer so, as plain values of plan.json."""

from typing import Any

from webapp.filming.said import correction_card
from webapp.filming.shots import Filmed, SaidFigure
from webapp.plan.results import ShotPlan
from webapp.plan.said_edits import cards
from webapp.units import System


def said_json(plan: ShotPlan, first: System) -> dict[str, Any]:
    """`filmed` is null until the shot is filmed; `now` is null for a figure that is no more."""
    filmed = plan.shot.filmed
    return {
        "filmed": _filmed(filmed) if filmed else None,
        "stale": [
            {**_figure(one.was), "now": _figure(one.now) if one.now else None} for one in plan.stale
        ],
        "correction_cards": [correction_card(one, first) for one in cards(plan)],
    }


def _filmed(filmed: Filmed) -> dict[str, Any]:
    return {
        "day": filmed.day.isoformat() if filmed.day else None,
        "narration": filmed.narration,
        "card": filmed.card,
        "said": [_figure(one) for one in filmed.said],
    }


def _figure(figure: SaidFigure) -> dict[str, str]:
    return {"name": figure.name, "cm": figure.cm, "inch": figure.inch}
