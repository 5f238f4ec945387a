"""The lay plan of a cloth: either side up on two layers, the repeat's start, and what cannot be."""

import pytest

from tests.lays import rectangle
from webapp.cloth.cloths import EpisodeCloth
from webapp.cloth.lay import LayPiece
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.lays import lay_plan

WIDE = (
    LayPiece("One", tuple(rectangle(1000, 200)), 1, (0,), match_mm=(13, 0)),
    LayPiece("Two", tuple(rectangle(1000, 200)), 1, (0,)),
)


def test_pieces_that_find_no_room_over_a_repeat_are_a_problem_not_a_fault() -> None:
    striped = EpisodeCloth(width="100 cm", edge_margin="0 cm", repeat_across="4.5 cm")
    plan = lay_plan(striped, WIDE)
    assert plan.known_problem == ""
    assert plan.problem.startswith("Main cloth: The pieces find no room beside each other.")
    assert plan.lay is None
    assert plan.purchase is None


def test_coming_to_the_right_place_of_the_repeat_takes_up_to_one_of_it() -> None:
    plain = lay_plan(EpisodeCloth(width="100 cm", edge_margin="0 cm"), WIDE)
    striped = lay_plan(EpisodeCloth(width="100 cm", edge_margin="0 cm", repeat_along="7 cm"), WIDE)
    assert plain.purchase is not None
    assert striped.purchase is not None
    assert plain.purchase.squaring_mm == 20
    assert striped.purchase.squaring_mm == 20 + 70


def test_a_spare_over_a_repeat_begins_at_the_same_place_of_it() -> None:
    """A panel of 1 m over 30 cm: the second one begins at 1.2 m, the next whole repeat."""
    panel = (LayPiece("Panel", tuple(rectangle(1300, 1000)), 1, (0,)),)
    cloth = EpisodeCloth(width="140 cm", edge_margin="0 cm", repeat_along="30 cm", spare="all")
    plan = lay_plan(cloth, panel)
    assert plan.spare_mm == pytest.approx(1200)


def test_a_piece_may_lie_either_side_up_on_two_layers_only(smock: Episode) -> None:
    pieces = evaluate(smock).lays[0].pieces
    assert not any(piece.may_flip for piece in pieces)
    folded = lay_plan(EpisodeCloth(width="150 cm", laid="folded"), pieces)
    assert all(piece.may_flip for piece in folded.pieces)
