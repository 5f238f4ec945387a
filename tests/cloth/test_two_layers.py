"""What two layers give besides what is wanted."""

import pytest

from tests.lays import rectangle
from webapp.cloth.laid import Cloth, LayPiece
from webapp.cloth.two_layers import cut_for_nothing, wrong_hands

FOLDED = Cloth(1500, laid="folded")
YOKE = [(0.0, 0.0), (400.0, 0.0), (400.0, 60.0), (180.0, 250.0), (0.0, 250.0)]
SLANT = [(0.0, 0.0), (400.0, 0.0), (500.0, 100.0), (100.0, 100.0)]


@pytest.mark.parametrize(
    ("piece", "wrong"),
    [
        (LayPiece("Yoke", YOKE, 2), True),
        (LayPiece("Yoke", YOKE, 2, pair=True), False),
        (LayPiece("Yoke", YOKE, 1), False),
        (LayPiece("Slant", SLANT, 2), True),  # no turn makes it its own mirror image
        (LayPiece("Pocket", rectangle(200, 180), 2), False),
        (LayPiece("Tent", [(0, 0), (300, 0), (150, 500)], 4), False),
        (LayPiece("Arrow", [(0, 0), (500, 150), (0, 300)], 2), False),  # turned upside down
        (LayPiece("Arrow", [(0, 0), (500, 150), (0, 300)], 2, (0,)), True),
        (LayPiece("Front", rectangle(200, 180), 2, on_fold=True), False),
    ],
)
def test_a_piece_wanted_twice_alike_must_be_its_own_mirror_image(
    piece: LayPiece, wrong: bool
) -> None:
    assert wrong_hands([piece], FOLDED) == ((piece.name,) if wrong else ())
    assert wrong_hands([piece], Cloth(1500)) == ()


def test_a_tilt_does_not_turn_a_piece_upside_down() -> None:
    arrow = [(0.0, 0.0), (200.0, 0.0), (300.0, 100.0), (200.0, 200.0), (0.0, 200.0)]
    tilted = LayPiece("Arrow", arrow, 2, (0, 180, -5.0, 5.0, 175.0, 185.0))
    assert wrong_hands([tilted], FOLDED) == ()
    assert wrong_hands([tilted], Cloth(1500, laid="folded", one_way=True)) == ("Arrow",)


def test_an_odd_copy_is_cut_for_nothing_unless_it_lies_on_the_fold() -> None:
    pieces = [
        LayPiece("Band", rectangle(90, 700), 1),
        LayPiece("Tab", rectangle(90, 70), 3),
        LayPiece("Cuff", rectangle(90, 70), 2),
        LayPiece("Back", rectangle(200, 180), 1, on_fold=True),
    ]
    assert cut_for_nothing(pieces, FOLDED) == ("Band", "Tab")
    assert cut_for_nothing(pieces, Cloth(1500)) == ()
