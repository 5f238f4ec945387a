"""The A-line skirt's facings bend as its closed waist does, at the ends of every range."""

import math
from itertools import product

import pytest

from tests.specimens import WREN, starter
from webapp.draft.evaluate import evaluate
from webapp.draft.recipe import Body

SKIRT = starter("a-line-skirt")
# The ring is drawn from 0.02 of a circle; less than 1/40 of one is hardly bent.
LEAST_SHARE = 0.025


@pytest.mark.parametrize("hip", ["78 cm", "98 cm", "112 cm"])
def test_a_facing_is_never_so_straight_that_it_could_not_be_drawn(hip: str) -> None:
    """The least dart over the longest, the deepest hip, no flare: 1 / 23 + 0.8 / 13 = 0.105 rad."""
    ends = {choice.name: (choice.least, choice.most) for choice in SKIRT.choices}
    body = Body(name="Straight", measures={**WREN.measures, "hip": hip})
    for flare, length in product(ends["extra flare"], ends["skirt length"]):
        changed = {"extra flare": flare, "skirt length": length, "hip depth": "23 cm",
                   "front dart": "0.8 cm", "back dart": "0.8 cm", "front dart length": "10 cm",
                   "back dart length": "13 cm"}  # fmt: skip
        choices = tuple(
            choice.model_copy(update={"value": changed.get(choice.name, choice.value)})
            for choice in SKIRT.choices
        )
        draft = evaluate(SKIRT.model_copy(update={"choices": choices}), body)
        assert not draft.problems
        for side in ("front", "back"):
            facing = draft.piece(f"{side.capitalize()} facing")
            panel = draft.piece(f"Panel {side}")
            assert facing.figures_mm["waist"] == pytest.approx(panel.figures_mm["top"])
            share = facing.figures_mm["waist"] / facing.figures_mm["radius"] / math.pi
            assert share > LEAST_SHARE
