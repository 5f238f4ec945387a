"""Laying a left and a right: every second copy of a pair is mirrored, and only that."""

import math
from collections.abc import Sequence

import pytest
import shapely
from shapely import affinity

from tests.lays import assert_holds, rectangle
from webapp.cloth.lay import Cloth, LayPiece, Placement, first_lay, lay_from, lay_out
from webapp.draft.outline import Point
from webapp.errors import LayError

YOKE = LayPiece("Yoke", [(0, 0), (400, 0), (400, 60), (180, 250), (0, 250)], 4, pair=True)


def mirrored(points: Sequence[Point]) -> shapely.Polygon:
    return shapely.Polygon([(-x, y) for x, y in points])


def assert_congruent(placed: shapely.Polygon, drawn: shapely.Polygon, turn: float) -> None:
    """What lies on the cloth is the shape drawn, turned and shifted only, says shapely."""
    turned = affinity.rotate(drawn, turn, origin=(0, 0))
    dx, dy = placed.bounds[0] - turned.bounds[0], placed.bounds[1] - turned.bounds[1]
    moved = affinity.translate(turned, dx, dy)
    assert placed.symmetric_difference(moved).area < 0.01


@pytest.mark.parametrize("turns", [(0, 180), (90, 270), (45, 135, 225, 315)])
@pytest.mark.parametrize("one_way", [False, True])
def test_every_second_copy_of_a_pair_lies_mirrored(turns: tuple[int, ...], one_way: bool) -> None:
    yoke = LayPiece(YOKE.name, YOKE.outline_mm, 4, turns, pair=True)
    pieces = [yoke, LayPiece("Collar", rectangle(420, 90), 2)]
    cloth = Cloth(1100, one_way=one_way)
    for lay in (first_lay(pieces, cloth), lay_out(pieces, cloth, seconds=1)):
        assert_holds(lay, pieces)
        yokes = [place for place in lay.placements if place.name == "Yoke"]
        assert sorted(place.copy for place in yokes if place.flipped) == [1, 3]
        for place in yokes:
            drawn = mirrored(yoke.outline_mm) if place.flipped else shapely.Polygon(yoke.outline_mm)
            assert_congruent(shapely.Polygon(lay.placed_points(place)), drawn, place.turn_degrees)
        assert lay_from(pieces, cloth, lay.placements) == lay


def test_a_pair_of_set_square_halves_needs_more_cloth_than_two_of_one_hand() -> None:
    """Two right triangles of 40 cm make a square when one is turned.

    A left and a right, both as wide as the cloth, cannot pass each other's upright side: 80 cm.
    """
    corner = [(0.0, 0.0), (400.0, 0.0), (0.0, 400.0)]
    alike = first_lay([LayPiece("Godet", corner, 2)], Cloth(400))
    pair = first_lay([LayPiece("Godet", corner, 2, pair=True)], Cloth(400))
    assert alike.length_mm == pytest.approx(400, abs=1)
    assert pair.length_mm == pytest.approx(800, abs=1)


def test_a_pair_as_wide_as_the_cloth_is_refused_if_its_other_hand_is_wider() -> None:
    """On one-way cloth a bias piece keeps one turn, in which its mirror image may be wider."""
    strip = [(0.0, 0.0), (600.0, 600.0), (560.0, 640.0), (-40.0, 40.0)]
    narrow = Cloth(200, one_way=True)
    alike = first_lay([LayPiece("Facing", strip, 2, (45,))], narrow)
    assert alike.length_mm == pytest.approx(600 * math.sqrt(2), abs=1)
    with pytest.raises(LayError, match=r"Facing is 85 cm \(33 3/8 in\) wide"):
        first_lay([LayPiece("Facing", strip, 2, (45,), pair=True)], narrow)


def test_a_kept_lay_of_a_pair_holds_a_left_and_a_right() -> None:
    box = [LayPiece("Cuff", rectangle(200, 100), 2, pair=True)]
    kept = [Placement("Cuff", 0, 0, False, 0, 0), Placement("Cuff", 1, 0, True, 400, 0)]
    lay = lay_from(box, Cloth(500), kept)
    assert sorted(lay.placed_points(kept[1])) == [(200, 0), (200, 100), (400, 0), (400, 100)]
    alike = [kept[0], Placement("Cuff", 1, 0, False, 200, 0)]
    with pytest.raises(LayError, match="a left and a right of Cuff"):
        lay_from(box, Cloth(500), alike)
