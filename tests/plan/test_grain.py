"""The arrow on a piece lies along the selvedge once the piece lies on its cloth."""

import math

import pytest

from tests.specimens import WREN
from webapp.draft.marks import inside_marks
from webapp.draft.recipe import Recipe
from webapp.handouts.companion_pieces import grain_line
from webapp.plan.edits import changed
from webapp.plan.evaluate import evaluate
from webapp.plan.starters import episode_from
from webapp.store.starters import starters


@pytest.mark.parametrize("starter", starters(), ids=lambda starter: starter.id)
def test_the_drawn_arrow_lies_in_the_lay_as_the_words_say(starter: Recipe) -> None:
    plan = evaluate(changed(episode_from(starter, "Fresh", "fresh"), body=WREN))
    pieces = {piece.name: piece for piece in plan.pieces}
    placements = [each for one in plan.lays if one.lay for each in one.lay.placements]
    assert {each.name for each in placements} == set(pieces)
    for placement in placements:
        piece = pieces[placement.name]
        ((x0, y0), (x1, y1)) = inside_marks(piece, 9.0).grain.lines[0]
        drawn = math.degrees(math.atan2(y1 - y0, -(x1 - x0) if placement.flipped else x1 - x0))
        # y runs along the cloth; on the bias both ways across it are alike.
        alike = 90 if piece.grain == "bias" else 180
        off_selvedge = (drawn + placement.turn_degrees - 90) % alike
        assert min(off_selvedge, alike - off_selvedge) == pytest.approx(0, abs=0.1), piece.name
        on_bias = "It lies on the bias, at 45° to the selvedge"
        along = "The arrow lies along the selvedge"
        assert grain_line(piece) == (on_bias if piece.grain == "bias" else along)
