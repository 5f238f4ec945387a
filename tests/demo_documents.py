"""The demo's episodes and the starters as tests read them, and the bodies they are drafted on."""

from collections.abc import Sequence
from pathlib import Path
from typing import Final

import pytest

from tests import specimens
from webapp.draft.construction import Step
from webapp.draft.evaluate import Draft, evaluate
from webapp.draft.expressions import Names
from webapp.draft.recipe import Body, Recipe
from webapp.plan.episode import Episode

ROOT: Final = Path(__file__).parents[1]
SMOCK, SKIRT, BRIEF = (
    "episode-3-lighthouse-smock.json",
    "episode-4-market-day-skirt.json",
    "episode-5-brief-only.json",
)
EPISODES: Final = {
    path.name: Episode.model_validate_json(path.read_text("utf-8"))
    for path in sorted((ROOT / "demo_data").glob("*.json"))
}
STARTERS: Final = {
    path.stem: specimens.starter(path.stem) for path in sorted(specimens.STARTERS.glob("*.json"))
}
SIZES: Final = {body.name: body for body in EPISODES[SMOCK].sizes}
BODIES: Final = {
    body.name: specimens.completed(body) for body in (EPISODES[SMOCK].body, *SIZES.values())
}

each_episode = pytest.mark.parametrize("episode", EPISODES.values(), ids=EPISODES)
each_starter = pytest.mark.parametrize("starter", STARTERS.values(), ids=STARTERS)
each_body = pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)


def drafted(garments: Sequence[Recipe], body: Body) -> list[Draft]:
    """Every garment on the body; a later one may quote an earlier one's figures."""
    drafts: list[Draft] = []
    known: Names = {}
    for garment in garments:
        drafts.append(evaluate(garment, body, known))
        known = drafts[-1].names
    return drafts


def steps_of(episode: Episode) -> list[Step]:
    return [step for garment in episode.garments for step in garment.steps]


def assert_fits(drafts: Sequence[Draft]) -> None:
    """No problem, every seam agrees, every check on the body holds."""
    assert [problem for draft in drafts for problem in draft.problems] == []
    assert [s.sentence for draft in drafts for s in draft.seams if not s.agrees] == []
    assert [c.told("cm") for draft in drafts for c in draft.checks if not c.holds] == []
