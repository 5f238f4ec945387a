"""Edits that must not break the draft: one that adds a problem is refused with its sentence."""

from collections.abc import Callable

from webapp.errors import RecipeError
from webapp.plan.episode import Episode
from webapp.plan.evaluate import draft_all

Edit = Callable[[Episode], Episode]


def keeping_the_draft(edit: Edit) -> Edit:
    """The edit, refused with RecipeError when a piece could be drawn before and cannot after."""

    def guarded(episode: Episode) -> Episode:
        after = edit(episode)
        known = _problems(episode)
        for problem in _problems(after):
            if problem not in known:
                raise RecipeError(problem)
        return after

    return guarded


def _problems(episode: Episode) -> list[str]:
    drafts = draft_all(episode.garments, episode.body)
    return [problem.sentence for draft in drafts for problem in draft.problems]
