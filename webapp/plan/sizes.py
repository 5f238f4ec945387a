"""The size table: the same garments on every body of the episode."""

from webapp.draft.recipe import Body
from webapp.plan.episode import Episode
from webapp.plan.evaluate import draft_all
from webapp.plan.lays import lay_plans
from webapp.plan.results import SizePlan


def size_table(episode: Episode) -> tuple[SizePlan, ...]:
    """A row for the episode's body and for each further size."""
    return tuple(_size(episode, body) for body in (episode.body, *episode.sizes))


def _size(episode: Episode, body: Body) -> SizePlan:
    drafts = draft_all(episode.garments, body)
    pieces = [piece for draft in drafts for piece in draft.pieces]
    lays = lay_plans(pieces, episode.cloths, episode.kept_lays)
    return SizePlan(
        body=body,
        finished_mm={name: value for draft in drafts for name, value in draft.finished_mm.items()},
        lays=lays,
        problems=(
            *(problem.sentence for draft in drafts for problem in draft.problems),
            *(check.sentence for draft in drafts for check in draft.checks if not check.holds),
            *(lay.problem for lay in lays if lay.problem),
        ),
    )
