"""A piece may lie a little off the grain, only if it says so; viewers are told."""

from dataclasses import replace

import pytest

from tests.lays import assert_holds
from tests.specimens import smock_draft
from webapp.cloth.lay import Cloth, LayPiece, first_lay, lay_out, lay_pieces
from webapp.draft.evaluate import Piece
from webapp.errors import LayError
from webapp.handouts.companion_pieces import grain_line

LEANING = [(0.0, 0.0), (100.0, 0.0), (135.0, 1000.0), (35.0, 1000.0)]  # 3.5 cm in 1 m: 2 degrees


def sleeve(tilt: float) -> Piece:
    piece = next(piece for piece in smock_draft().pieces if piece.name == "Sleeve")
    return replace(piece, tilt=tilt)


def test_a_piece_keeps_its_grain_unless_it_says_otherwise() -> None:
    assert lay_pieces([sleeve(0)])[0].turns == (0, 180)
    assert lay_pieces([sleeve(2)])[0].turns == (0, 180, -2, 178, -1, 179, 1, 181, 2, 182)


def test_a_leaning_strip_fits_cloth_that_it_is_too_wide_for_when_kept_upright() -> None:
    narrow = Cloth(104)
    upright = LayPiece("Strip", LEANING, 1)
    with pytest.raises(LayError, match=r"Strip is 13\.5 cm"):
        first_lay([upright], narrow)
    tilted = replace(upright, turns=(0, 180, 2, 182))
    for lay in (first_lay([tilted], narrow), lay_out([tilted], narrow, seconds=1)):
        assert_holds(lay, [tilted])
        assert lay.placements[0].turn_degrees in (2, 182)


def test_one_way_cloth_lets_a_piece_tilt_but_not_turn_round() -> None:
    piece = LayPiece("Strip", LEANING, 1, lay_pieces([sleeve(2)])[0].turns)
    assert Cloth(900, one_way=True).turns_of(piece) == (0, 358, 359, 1, 2)


def test_a_piece_on_the_fold_does_not_tilt() -> None:
    half = LayPiece("Front", [(0, 0), (200, 0), (200, 500), (0, 500)], 1, (0, 2), on_fold=True)
    lay = first_lay([half], Cloth(900, laid="folded"))
    assert lay.placements[0].turn_degrees == 0


def test_viewers_are_told_how_far_off_the_grain_a_piece_may_lie() -> None:
    assert grain_line(sleeve(0)) == "The arrow lies along the selvedge"
    assert grain_line(sleeve(2)) == "The arrow lies along the selvedge, or up to 2° off that"
