"""Pieces to lay out in tests, and everything a lay must hold."""

import math
import random
from collections import Counter
from collections.abc import Sequence

import pytest
import shapely

from webapp.cloth.lay import Cloth, Lay, LayPiece
from webapp.draft.outline import Point

OVERLAP_MM2 = 0.05
NOISE_MM = 1e-3
LINEN = Cloth(1500, edge_margin_mm=10)


def rectangle(width: float, length: float) -> list[Point]:
    return [(0, 0), (width, 0), (width, length), (0, length)]


def star(dice: random.Random, corners: int, radius: float) -> list[Point]:
    """A ragged outline, off its origin."""
    spokes = [(2 * math.pi * i / corners, dice.uniform(0.4, 1) * radius) for i in range(corners)]
    return [(70 + r * math.cos(angle), r * math.sin(angle) - 30) for angle, r in spokes]


def mixed_pieces(seed: int) -> list[LayPiece]:
    """A handful of rectangles and ragged shapes with different grains."""
    dice = random.Random(seed)
    pieces = []
    for i in range(dice.randint(2, 6)):
        turns = dice.choice([(0, 180), (0,), (90, 270), (45, 135, 225, 315), (0, 90, 180, 270)])
        corners = dice.choice([3, 5, 9, 40, 120])
        outline = star(dice, corners, dice.uniform(60, 400))
        if dice.random() < 0.4:
            outline = rectangle(dice.randint(30, 900), dice.randint(30, 900))
        pieces.append(LayPiece(f"P{i}", outline, dice.randint(1, 4), turns))
    return pieces


def assert_holds(lay: Lay, pieces: Sequence[LayPiece]) -> None:
    """Everything the contract promises of a lay, checked from its placements alone."""
    known = {piece.name: piece for piece in pieces}
    copies = Counter((place.name, place.copy) for place in lay.placements)
    assert copies == Counter((p.name, copy) for p in pieces for copy in range(p.count))
    shapes = []
    for place in lay.placements:
        assert place.turn_degrees in known[place.name].turns
        assert place.flipped == (known[place.name].pair and place.copy % 2 == 1)
        shapes.append(shapely.Polygon(lay.placed_points(place)))
    left, top, right, bottom = shapely.total_bounds(shapes)
    assert min(left, top) >= -NOISE_MM
    assert right <= lay.cloth.usable_width_mm + NOISE_MM
    assert lay.length_mm == pytest.approx(bottom, abs=NOISE_MM)
    for i, one in enumerate(shapes):
        for other in shapes[:i]:
            assert one.intersection(other).area <= OVERLAP_MM2
    area = sum(shape.area for shape in shapes)
    assert lay.density == pytest.approx(area / (lay.cloth.usable_width_mm * lay.length_mm))
    assert 0 < lay.density <= 1 + 1e-6
