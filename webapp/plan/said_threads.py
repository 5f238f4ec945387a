"""Loose threads about filmed shots: what was said and is no longer so."""

from collections.abc import Iterable

from webapp.draft.names import listed
from webapp.filming.said import ChangedFigure, called, retold
from webapp.plan.results import LooseThread, Mend, Place, Plan
from webapp.plan.said_edits import needless_cards
from webapp.units import System


def stale_shots(plan: Plan) -> Iterable[LooseThread]:
    """A filmed shot that says a figure which is shown otherwise now, with nothing decided yet."""
    for row in plan.shots:
        if not row.stale:
            continue
        told = "; ".join(_told(one, plan.episode.first_unit) for one in row.stale)
        mends = [Mend("film again", (row.shot.id,), f"Film shot {row.number} again")]
        if any(one.now for one in row.stale):
            card = Mend("correction card", (row.shot.id,), "Put a correction card in")
            mends.append(card)
        yield LooseThread(
            "must",
            Place("shots", item=row.shot.id),
            f"As it was filmed, shot {row.number} says {told}.",
            tuple(mends),
        )


def _told(one: ChangedFigure, first: System) -> str:
    was, now = one.told(first)
    if not now:
        return f"{one.called} is {was}, which is no more in the draft"
    return f"{one.called} is {was}, now {now}"


def cards_not_needed(plan: Plan) -> Iterable[LooseThread]:
    """A correction card for a figure that is again as it was said."""
    for row in plan.shots:
        needless = needless_cards(plan, row)
        if needless:
            yield LooseThread(
                "should",
                Place("shots", item=row.shot.id),
                f"Shot {row.number} has a correction card for "
                f"{listed([called(name) for name in needless])}, which is as it was said.",
                (Mend("card out", (row.shot.id,), "Take the card out"),),
            )


def words_changed_since_filming(plan: Plan) -> Iterable[LooseThread]:
    """A filmed shot whose words were changed afterwards."""
    for row in plan.shots:
        if row.shot.filmed is not None and retold(row.shot.filmed, row.shot):
            yield LooseThread(
                "should",
                Place("shots", item=row.shot.id),
                f"Shot {row.number} was filmed with other words than it has now.",
                (Mend("film again", (row.shot.id,), f"Film shot {row.number} again"),),
            )
