"""Lays on two layers: what is on the fold lies on it, what is cut twice is laid once."""

import math
import random
from dataclasses import replace

import pytest
import shapely

from tests.lays import LINEN, NOISE_MM, assert_holds, mixed_pieces, optimum, rectangle, star
from tests.specimens import smock_draft
from webapp.cloth.bound import least_length_mm
from webapp.cloth.lay import Cloth, LayPiece, Placement, first_lay, lay_from, lay_out, lay_pieces
from webapp.cloth.stocks import stocks_of
from webapp.draft.outline import Point
from webapp.errors import LayError

FOLDED = Cloth(1500, laid="folded", edge_margin_mm=10)
ACROSS = replace(FOLDED, laid="folded across")


def half_star(dice: random.Random, radius: float) -> list[Point]:
    """The right half of a ragged outline, closed along x = 0."""
    corners = dice.randint(3, 12)
    angles = [math.pi * (i / (corners - 1) - 0.5) for i in range(corners)]
    spokes = [(angle, radius * dice.uniform(0.5, 1)) for angle in angles]
    points = [(max(0.0, r * math.cos(angle)), r * math.sin(angle)) for angle, r in spokes]
    points[0], points[-1] = (0.0, points[0][1]), (0.0, points[-1][1])
    return points


def folded_pieces(seed: int, turns: tuple[int, ...] = (0, 180)) -> list[LayPiece]:
    dice = random.Random(seed)
    on_fold = [
        LayPiece(f"H{i}", half_star(dice, dice.uniform(100, 350)), 1, turns, on_fold=True)
        for i in range(dice.randint(1, 3))
    ]
    pairs = [
        LayPiece(f"P{i}", star(dice, 9, dice.uniform(60, 250)), dice.choice((2, 2, 4)), pair=True)
        for i in range(dice.randint(0, 4))
    ]
    return [*on_fold, *pairs]


@pytest.mark.parametrize("seed", range(8))
def test_a_folded_lay_holds_and_is_the_same_every_time(seed: int) -> None:
    pieces = folded_pieces(seed)
    lay = first_lay(pieces, FOLDED)
    assert_holds(lay, pieces)
    assert first_lay(pieces, FOLDED) == lay
    assert least_length_mm(stocks_of(pieces, FOLDED), FOLDED) <= lay.length_mm + NOISE_MM
    assert lay_from(pieces, FOLDED, lay.placements) == lay


@pytest.mark.parametrize("seed", range(2))
def test_a_folded_search_holds_is_never_longer_and_comes_out_the_same(seed: int) -> None:
    pieces = folded_pieces(seed)
    heard: list[float] = []
    lay = lay_out(pieces, FOLDED, seconds=1, progress=lambda lay: heard.append(lay.length_mm))
    assert_holds(lay, pieces)
    assert heard[0] == first_lay(pieces, FOLDED).length_mm
    assert heard == sorted(heard, reverse=True)
    assert heard[-1] == lay.length_mm
    assert lay_out(pieces, FOLDED, seconds=1) == lay


@pytest.mark.parametrize("seed", range(6))
def test_a_lay_folded_across_holds(seed: int) -> None:
    dice = random.Random(seed)
    half = LayPiece("Half", half_star(dice, 300), 1, (90, 270), on_fold=True)
    pieces = [half, *mixed_pieces(seed)]
    lay = first_lay(pieces, ACROSS)
    assert_holds(lay, pieces)
    assert lay.length_mm == 2 * lay.laid_length_mm


@pytest.mark.parametrize("seed", range(6))
def test_pieces_of_any_grain_are_laid_on_two_layers(seed: int) -> None:
    pieces = [replace(piece, may_flip=True) for piece in mixed_pieces(seed)]
    assert_holds(first_lay(pieces, replace(FOLDED, width_mm=3000)), pieces)


def test_a_half_is_cut_whole_where_it_lies_on_the_fold_and_laid_once() -> None:
    """A front 2 x 30 cm wide on 100 cm: the fold gives it whole, 50 cm long."""
    front = LayPiece("Front", rectangle(300, 500), 1, on_fold=True)
    lay = first_lay([front], Cloth(1000, laid="folded"))
    assert lay.placements == (Placement("Front", 0, 0.0, False, 0.0, 0.0),)
    assert (lay.length_mm, lay.density) == pytest.approx((500, 0.6))


def test_two_layers_give_two_at_once_and_an_odd_one_for_nothing() -> None:
    sleeve, tab = LayPiece("Sleeve", rectangle(400, 600), 2), LayPiece("Tab", rectangle(90, 50), 3)
    cloth = Cloth(1000, laid="folded")
    lay = first_lay([sleeve, tab], cloth)
    assert sorted((place.name, place.copy) for place in lay.placements) == [
        ("Sleeve", 0), ("Tab", 0), ("Tab", 2)
    ]  # fmt: skip
    assert lay.length_mm == pytest.approx(600)
    assert lay.density == pytest.approx((2 * 400 * 600 + 3 * 90 * 50) / (1000 * 600))


def test_a_half_turned_upside_down_still_lies_on_the_fold() -> None:
    """Flipped and turned by a half, it lies to the right of the fold again."""
    taper: list[Point] = [(0, 0), (400, 0), (100, 600), (0, 600)]
    pieces = [
        LayPiece("Front", taper, 1, on_fold=True),
        LayPiece("Gusset", [(0, 0), (300, 0), (300, 600)], 2, pair=True),
    ]
    cloth = Cloth(1000, laid="folded")
    assert_holds(lay := lay_out(pieces, cloth, seconds=1), pieces)
    assert lay.length_mm < 800
    upside_down = Placement("Front", 0, 180.0, True, 0.0, 600.0)
    alone = lay_from(pieces[:1], cloth, [upside_down])
    shape = shapely.Polygon(alone.placed_points(upside_down))
    assert shape.bounds == pytest.approx((0, 0, 400, 600))
    with pytest.raises(LayError, match="turns Front over"):
        lay_from(pieces[:1], cloth, [replace(upside_down, turn_degrees=0.0)])
    with pytest.raises(LayError, match="not lie on the fold"):
        lay_from(pieces[:1], cloth, [replace(upside_down, x_mm=20.0)])


def test_one_way_cloth_may_be_folded_lengthwise_only() -> None:
    """Folded across, the nap of the layer below runs the other way: common practice, no source."""
    pieces = folded_pieces(3)
    lay = first_lay(pieces, replace(FOLDED, one_way=True))
    assert_holds(lay, pieces)
    assert {place.turn_degrees for place in lay.placements} == {0}
    with pytest.raises(LayError, match="cannot be folded across"):
        first_lay(pieces, replace(ACROSS, one_way=True))


def test_a_half_too_wide_for_half_the_cloth_is_told_that_it_fits_opened_out() -> None:
    front = LayPiece("Front", rectangle(600, 500), 1, (0,), on_fold=True)
    with pytest.raises(LayError) as refusal:
        first_lay([front], Cloth(1100, laid="folded"))
    assert refusal.value.sentence == (
        "Front is 60 cm (23 5/8 in) wide from the fold on the folded cloth, which has "
        "55 cm (21 5/8 in) to lay on. It would fit turned to the other grain, if the cloth allows "
        "it; otherwise choose a wider cloth, or split the piece with a seam."
    )
    panel = LayPiece("Panel", rectangle(600, 500), 2, (0,))
    with pytest.raises(LayError, match="would fit on the cloth opened out"):
        first_lay([panel], Cloth(1100, laid="folded"))


def test_halves_that_find_no_room_beside_each_other_on_the_fold_are_named() -> None:
    yokes = [LayPiece(name, rectangle(200, 700), 1, (90,), on_fold=True) for name in "AB"]
    with pytest.raises(LayError, match=r"A and B lie side by side .* need 140 cm"):
        first_lay(yokes, Cloth(1300, laid="folded across"))
    assert first_lay(yokes, Cloth(1400, laid="folded across")).length_mm == pytest.approx(400)


def test_the_smock_is_laid_on_folded_cloth() -> None:
    pieces = lay_pieces(smock_draft().pieces)
    for cloth in (replace(LINEN, laid="folded"), replace(LINEN, laid="folded across")):
        assert_holds(first_lay(pieces, cloth), pieces)


# --- Against the true optimum of a few rectangles --------------------------------------------


@pytest.mark.parametrize("seed", range(5))
def test_a_folded_search_among_a_few_rectangles_finds_the_best(seed: int) -> None:
    dice = random.Random(seed)
    halves = [(dice.randint(100, 450), dice.randint(100, 600)) for _ in range(dice.randint(1, 2))]
    others = [(dice.randint(60, 450), dice.randint(60, 600)) for _ in range(dice.randint(1, 2))]
    pieces = [
        *(LayPiece(f"H{i}", rectangle(*size), 1, on_fold=True) for i, size in enumerate(halves)),
        *(LayPiece(f"P{i}", rectangle(*size), 2) for i, size in enumerate(others)),
    ]
    lay = lay_out(pieces, Cloth(1000, laid="folded"), seconds=1)
    assert_holds(lay, pieces)
    assert lay.length_mm == pytest.approx(optimum(others, 500, halves), rel=0.005)
