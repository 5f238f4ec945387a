"""Edits that must not break the draft: one that adds a problem is refused with its sentence."""

from collections.abc import Callable, Sequence

from webapp.draft.evaluate import Draft
from webapp.errors import RecipeError
from webapp.plan.episode import Episode
from webapp.plan.evaluate import draft_all

Edit = Callable[[Episode], Episode]


def keeping_the_draft(edit: Edit, *, may_empty: str = "") -> Edit:
    """The edit, refused with RecipeError when a piece could be drawn before and cannot after.

    The piece `may_empty` may lose its shape, to be begun anew, when nothing else is made of it.
    """

    def guarded(episode: Episode) -> Episode:
        after = edit(episode)
        before, drafts = _drafted(episode), _drafted(after)
        known = {problem.sentence for draft in before for problem in draft.problems}
        for problem in (problem for draft in drafts for problem in draft.problems):
            if problem.sentence in known:
                continue
            if problem.about != "blank" or problem.piece != may_empty:
                raise RecipeError(problem.sentence)
            if _others(before, may_empty) != _others(drafts, may_empty):
                raise RecipeError(
                    f"{may_empty} would have no shape, and other parts of the garment are drawn or "
                    "sewn from it; change those first."
                )
        return after

    return guarded


def _drafted(episode: Episode) -> tuple[Draft, ...]:
    return draft_all(episode.garments, episode.body)


def _others(drafts: Sequence[Draft], piece: str) -> list[object]:
    """Which other pieces are drawn, and which seams, checks and finished measures are known."""
    return [
        (
            [one.name for one in draft.pieces if one.name != piece],
            [seam.name for seam in draft.seams],
            [check.name for check in draft.checks],
            list(draft.finished_mm),
        )
        for draft in drafts
    ]
