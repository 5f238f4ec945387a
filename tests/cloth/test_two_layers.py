"""What two layers give besides what is wanted."""

import pytest
import shapely

from tests.lays import assert_holds, rectangle
from webapp.cloth.laid import Cloth, LayPiece
from webapp.cloth.lay import first_lay
from webapp.cloth.two_layers import cut_for_nothing, halved, wrong_hands

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


def test_a_single_piece_with_sides_alike_is_laid_on_the_fold_as_its_half() -> None:
    band = LayPiece("Band", [(10, 5), (710, 5), (660, 95), (60, 95)], 1, match_mm=(360, 95))
    half = halved(band)
    assert half.on_fold
    assert half.match_mm == (0, 95)
    assert half.area_mm2 == pytest.approx(band.area_mm2)
    left, top, right, bottom = shapely.Polygon(half.outline_mm).bounds
    assert (left, top, right, bottom) == (0, 5, 350, 95)
    lay = first_lay([half], Cloth(800, laid="folded"))
    assert_holds(lay, [half])
    assert lay.density == pytest.approx(band.area_mm2 / (800 * 90))


@pytest.mark.parametrize(
    "piece",
    [
        LayPiece("Yoke", YOKE, 1),  # sides that differ
        LayPiece("Cuff", rectangle(200, 100), 2),  # two come from the layers as it is
        LayPiece("Bias", rectangle(200, 100), 1, (45, 135)),
        LayPiece("Back", rectangle(200, 100), 1, on_fold=True),
        LayPiece("Tie", [(0, 0), (100, 0), (50, 60), (0, 0.2)], 1),
    ],
)
def test_any_other_piece_stays_as_it_is(piece: LayPiece) -> None:
    assert halved(piece) is piece


def test_an_odd_copy_is_cut_for_nothing_unless_it_lies_on_the_fold() -> None:
    pieces = [
        LayPiece("Band", rectangle(90, 700), 1),
        LayPiece("Tab", rectangle(90, 70), 3),
        LayPiece("Cuff", rectangle(90, 70), 2),
        LayPiece("Back", rectangle(200, 180), 1, on_fold=True),
    ]
    assert cut_for_nothing(pieces, FOLDED) == ("Band", "Tab")
    assert cut_for_nothing(pieces, Cloth(1500)) == ()
