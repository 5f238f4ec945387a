"""What is said and shown in a shot: for a filmed one what was, not what its texts say by now."""

from webapp.filming.said import correction_card
from webapp.plan.results import ShotPlan
from webapp.plan.said_edits import cards
from webapp.units import System


def said_in(row: ShotPlan) -> str:
    """What is said, figures filled in; a filmed shot of which no words were kept says its text."""
    filmed = row.shot.filmed
    if filmed is None or not (filmed.narration or filmed.card):
        return row.narration.plain
    return filmed.narration


def is_guessed(row: ShotPlan) -> bool:
    """True for a filmed shot that says its text, as its words were not kept: others may be said."""
    filmed = row.shot.filmed
    unkept = filmed is not None and not (filmed.narration or filmed.card)
    return unkept and bool(row.narration.plain.strip())


def shown_in(row: ShotPlan, first: System) -> tuple[str, ...]:
    """Its card, if it has one, and the cards that put right what was said."""
    filmed = row.shot.filmed
    kept = filmed is not None and (filmed.narration or filmed.card)
    card = filmed.card if filmed is not None and kept else row.card.plain
    own = (card,) if card.strip() else ()
    return (*own, *(correction_card(one, first) for one in cards(row)))
