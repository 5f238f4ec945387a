"""Whether two plans show the same to the letter, whatever their parts are called."""

from collections.abc import Iterator

import pytest

from webapp.draft.recipe import Recipe
from webapp.plan import new_names
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.plan.starters import episode_from
from webapp.remembered import Remembered
from webapp.store.starters import starters

GIRTHS = {"bust": "96 cm", "hip": "100 cm", "waist": "76 cm", "head": "57 cm", "upper arm": "30 cm"}
each_starter = pytest.mark.parametrize("starter", starters(), ids=lambda starter: starter.id)


def episode_of(starter: Recipe) -> Episode:
    episode = episode_from(starter, "Named", "named")
    measures = {name: GIRTHS.get(name, "60 cm") for name in starter.measures}
    return changed(episode, body=changed(episode.body, measures=measures))


def _shown(plan: Plan) -> Iterator[object]:
    """Everything that is shown of a plan and does not hold the names themselves."""
    for draft in plan.drafts:
        yield [piece.outline.points() for piece in draft.pieces]
        yield [piece.cut_points for piece in draft.pieces]
        yield [(seam.one_mm, seam.other_mm) for seam in draft.seams]
        yield [(check.garment_mm, check.at_least_mm, check.holds) for check in draft.checks]
        yield list(draft.finished_mm.values())
    yield [(step.words.plain, step.work) for step in plan.steps]
    yield [(shot.narration.plain, shot.card.plain) for shot in plan.shots]
    yield [(notion.amount.plain, notion.why.plain) for notion in plan.notions]
    yield len(plan.loose_threads)


_plans: Remembered[str, Plan] = Remembered(10)


def _plan(episode: Episode) -> Plan:
    return _plans.get(episode.model_dump_json(), lambda: evaluate(episode))


@pytest.fixture
def each_plan_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A plan is a value: that of a new name is not computed again for the way back."""
    monkeypatch.setattr(new_names, "evaluate", _plan)


def same(one: Episode, other: Episode) -> bool:
    return list(_shown(_plan(one))) == list(_shown(_plan(other)))
