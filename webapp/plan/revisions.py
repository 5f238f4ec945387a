"""The draft as it stood: what is recorded of it, and the draft there is now beside that.

A revision is never altered and never lost. Words are no part of the draft: reasons, notes and what
a step says may be written anew without a revision.
"""

from webapp.draft.construction import Work
from webapp.draft.recipe import Recipe
from webapp.plan.episode import Episode, Revision

NOW = "The draft now"


def recorded(episode: Episode) -> tuple[Revision, ...]:
    """The revisions that are recorded, from the first."""
    return tuple(sorted(episode.revisions, key=lambda one: one.number))


def revision_now(episode: Episode) -> Revision | None:
    """The draft as it stands, as the next revision; None when the last one recorded is the same."""
    known = recorded(episode)
    number = known[-1].number + 1 if known else 0
    now = Revision(
        number=number,
        title=NOW,
        body=episode.body,
        garments=tuple(garment.model_copy(update={"notions": ()}) for garment in episode.garments),
    )
    return None if known and same_draft(known[-1], now) else now


def all_revisions(episode: Episode) -> tuple[Revision, ...]:
    """The recorded revisions, and the draft as it stands when that is another."""
    now = revision_now(episode)
    return (*recorded(episode), *((now,) if now else ()))


def same_draft(one: Revision, other: Revision) -> bool:
    """True when both draft alike for all that a revision gives back, and on the same measures."""
    return one.body.measures == other.body.measures and same_garments(one.garments, other.garments)


def same_garments(one: tuple[Recipe, ...], other: tuple[Recipe, ...]) -> bool:
    """True when the garments draft alike on any body, and the steps they share have the same work.

    A step that only one of them has makes no difference: going back neither brings nor takes any.
    """
    return len(one) == len(other) and all(map(_same_garment, one, other))


def _same_garment(one: Recipe, other: Recipe) -> bool:
    works, others = _works(one), _works(other)
    return _drafted(one) == _drafted(other) and all(
        works[step] == others[step] for step in works.keys() & others.keys()
    )


def _works(recipe: Recipe) -> dict[str, tuple[Work, ...]]:
    return {step.id: step.work for step in recipe.steps}


def _drafted(recipe: Recipe) -> tuple[object, ...]:
    """What drafting needs of a recipe, without its words."""
    return (
        recipe.id,
        recipe.measures,
        tuple(choice.model_copy(update={"reason": ""}) for choice in recipe.choices),
        recipe.seam_allowance,
        tuple(piece.model_copy(update={"note": ""}) for piece in recipe.pieces),
        recipe.seams,
        tuple(check.model_copy(update={"why": ""}) for check in recipe.checks),
        recipe.finished,
    )
