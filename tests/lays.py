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
    assert copies == Counter((p.name, copy) for p in pieces for copy in cut_through(p, lay.cloth))
    shapes = []
    for place in lay.placements:
        piece = known[place.name]
        assert place.turn_degrees in piece.turns
        shape = shapely.Polygon(lay.placed_points(place))
        if lies_on_fold(piece, lay.cloth):
            assert shape.area == pytest.approx(piece.area_mm2 / 2)
            from_fold = shape.bounds[0 if lay.cloth.laid == "folded" else 1]
            assert from_fold == pytest.approx(0, abs=NOISE_MM)
        else:
            assert shape.area == pytest.approx(piece.area_mm2)
            may_flip = lay.cloth.laid != "open" and (piece.pair or piece.may_flip)
            other_hand = lay.cloth.laid == "open" and piece.pair and place.copy % 2 == 1
            assert place.flipped == other_hand or may_flip
        shapes.append(shape)
    left, top, right, bottom = shapely.total_bounds(shapes)
    assert min(left, top) >= -NOISE_MM
    halves = 2 if lay.cloth.laid == "folded" else 1
    assert right <= lay.cloth.usable_width_mm / halves + NOISE_MM
    assert lay.laid_length_mm == pytest.approx(bottom, abs=NOISE_MM)
    assert lay.length_mm == bottom * (2 if lay.cloth.laid == "folded across" else 1)
    for i, one in enumerate(shapes):
        for other in shapes[:i]:
            assert one.intersection(other).area <= OVERLAP_MM2
    area = sum(piece.area_mm2 * piece.count for piece in pieces)
    assert lay.density == pytest.approx(area / (lay.cloth.usable_width_mm * lay.length_mm))
    assert 0 < lay.density <= 1 + 1e-6


def lies_on_fold(piece: LayPiece, cloth: Cloth) -> bool:
    """A half lies along the fold if its grain can run with it: up and down, or side to side."""
    along = {"open": set(), "folded": {0, 180}, "folded across": {90, 270}}[cloth.laid]
    return piece.on_fold and bool(along & set(piece.turns))


def cut_through(piece: LayPiece, cloth: Cloth) -> range:
    """The copies that are placed: each, or of two layers the upper of every two."""
    double = cloth.laid != "open" and not lies_on_fold(piece, cloth)
    return range(0, piece.count, 2 if double else 1)


def optimum(
    sizes: Sequence[tuple[int, int]], width: int, halves: Sequence[tuple[int, int]] = ()
) -> int:
    """The least length for rectangles that may not be turned, the `halves` at x = 0.

    Every normal pattern is tried: in some best lay every rectangle's left side is at a sum of
    other widths and its foot at a sum of other lengths (Herz 1972, IBM J. Research and Development
    16, 462).
    """
    everyone = [*halves, *sizes]

    def sums(values: list[int]) -> list[int]:
        reached = {0}
        for value in values:
            reached |= {value + at for at in reached}
        return sorted(reached)

    others = [everyone[:i] + everyone[i + 1 :] for i in range(len(everyone))]
    xs = [[0] if i < len(halves) else sums([w for w, _ in o]) for i, o in enumerate(others)]
    ys = [sums([h for _, h in o]) for o in others]
    best = sum(h for _, h in everyone)

    def place(i: int, laid: list[tuple[int, int, int, int]]) -> None:
        nonlocal best
        if i == len(everyone):
            best = min(best, max(y + h for _, y, _, h in laid))
            return
        w, h = everyone[i]
        for x in (x for x in xs[i] if x + w <= width):
            for y in ys[i]:
                if y + h >= best:
                    break
                if all(x + w <= a or a + c <= x or y + h <= b or b + d <= y for a, b, c, d in laid):
                    place(i + 1, [*laid, (x, y, w, h)])

    place(0, [])
    return best
