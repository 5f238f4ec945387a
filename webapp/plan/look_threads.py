"""Loose threads of what is worn on camera."""

from collections.abc import Iterable
from typing import Final

from webapp.plan.results import LooseThread, Mend, Place, Plan

_OFFERED: Final = 3  # looks; the rest are on the page itself


def looks_that_are_not_there(plan: Plan) -> Iterable[LooseThread]:
    """A shot that wears a look of which nothing is said."""
    looks = {look.id for look in plan.episode.looks}
    for row in plan.shots:
        shot = row.shot
        if shot.look and shot.look not in looks and shot.filmed is None:
            yield LooseThread(
                "must",
                Place("shots", item=shot.id),
                f"Shot {row.number}, “{shot.title}”, wears the look “{shot.look}”, which is not "
                "among your looks.",
                (*_to_wear(plan, shot.id), Mend("wear", (shot.id, ""), "Wear what you sew in")),
            )


def styling_without_a_look(plan: Plan) -> Iterable[LooseThread]:
    """A shot of the finished piece, styled, of which nothing says what it is worn with.

    Only where looks are kept at all.
    """
    for row in plan.shots:
        shot = row.shot
        if plan.episode.looks and shot.kind == "styling" and not (shot.look or shot.filmed):
            yield LooseThread(
                "should",
                Place("shots", item=shot.id),
                f"Shot {row.number}, “{shot.title}”, shows the piece styled, and no look says what "
                "is worn, pressed and at hand for it.",
                tuple(_to_wear(plan, shot.id)),
            )


def looks_of_no_shot(plan: Plan) -> Iterable[LooseThread]:
    """A look that is pressed and laid out for nothing."""
    worn = {shot.look for shot in plan.episode.shots}
    for look in plan.episode.looks:
        if look.id not in worn:
            yield LooseThread(
                "should", Place("set-ups", item=look.id), f"No shot wears the look “{look.name}”."
            )


def _to_wear(plan: Plan, shot: str) -> Iterable[Mend]:
    for look in plan.episode.looks[:_OFFERED]:
        yield Mend("wear", (shot, look.id), f"Wear “{look.name}”")
