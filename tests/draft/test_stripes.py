"""Match points: the corners where a seam begins fall on the same height of the repeat."""

import pytest

from tests.specimens import smock_draft
from webapp.draft.evaluate import Draft
from webapp.draft.evaluate import evaluate as draft_on
from webapp.draft.recipe import Body, Recipe


def drafted(**changes: object) -> Draft:
    """A front whose side begins 5 cm below its top, a back 12 cm longer at the top, a tie."""
    front = [
        {"kind": "rectangle", "width": "30 cm", "length": "60 cm"},
        {"kind": "slope", "drop": "5 cm"},
    ]
    back = [
        {"kind": "rectangle", "width": "30 cm", "length": "72 cm"},
        {"kind": "slope", "drop": "17 cm"},
    ]
    recipe = {
        "id": "top",
        "name": "Top",
        "pieces": [
            {"name": "Front", "moves": front, "on_fold": True},
            {"name": "Back", "moves": back, "on_fold": True},
            {"name": "Tie", "moves": [{"kind": "rectangle", "width": "8 cm", "length": "90 cm"}]},
        ],
        "seams": [
            {"name": "side", "one": [{"edge": "Front.side"}], "other": [{"edge": "Back.side"}]}
        ],
        **changes,
    }
    draft = draft_on(Recipe.model_validate(recipe), Body(name="Any"))
    assert not draft.problems
    return draft


def match_points(draft: Draft) -> dict[str, tuple[float, float]]:
    return {piece.name: piece.match_mm for piece in draft.pieces if piece.match_mm}


def test_pieces_that_are_sewn_together_meet_at_the_lower_corner_of_the_seam() -> None:
    """The hems, at 60 and at 72 cm."""
    points = match_points(drafted())
    assert points["Front"] == pytest.approx((0, 0))
    assert points["Back"] == pytest.approx((0, 120))


def test_a_seam_that_is_turned_meets_the_far_end_of_its_other_side() -> None:
    """The front's hem, at 60 cm, meets the top of the back's side, at 17 cm."""
    seam = {"name": "side", "one": [{"edge": "Front.side"}], "other": [{"edge": "Back.side"}]}
    points = match_points(drafted(seams=[{**seam, "turned": True}]))
    assert points["Back"] == pytest.approx((0, -430))


def test_a_piece_that_no_seam_reaches_is_matched_by_its_middle_and_top() -> None:
    assert match_points(drafted())["Tie"] == pytest.approx((40, 0))


def test_what_lies_across_the_grain_or_on_the_bias_meets_no_stripe() -> None:
    assert "Neck binding" not in match_points(smock_draft())
    assert "Sleeve" in match_points(smock_draft())


def test_the_smock_meets_at_both_sides() -> None:
    """Front and back end their side seams at the same height of the repeat."""
    draft = smock_draft()
    points = match_points(draft)
    front, back = (next(p for p in draft.pieces if p.name == name) for name in ("Front", "Back"))
    starts = [
        piece.outline.edge("side").start[1] - points[piece.name][1] for piece in (front, back)
    ]
    assert starts[0] == pytest.approx(starts[1])
