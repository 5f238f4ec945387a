"""Offcuts are free of pieces, lie on the cloth, and the first is the largest there is."""

import random
from collections.abc import Iterable, Sequence
from itertools import combinations

import pytest
import shapely

from tests.lays import LINEN, OVERLAP_MM2, mixed_pieces, rectangle
from webapp.cloth.laid import Cloth, Lay, LayPiece, Placement
from webapp.cloth.lay import first_lay
from webapp.cloth.offcuts import LEAST_AREA_MM2, LEAST_SIDE_MM, Offcut, offcuts

Box = tuple[float, float, float, float]  # left, near, right, far
NOISE_MM = 1e-6
METRE = Cloth(1000)


def lay_of(cloth: Cloth, length_mm: float, boxes: Iterable[Box], *, on_fold: str = "") -> Lay:
    """Rectangles where they are put; `on_fold` names the one that is drawn as its half."""
    boxes = list(boxes)
    pieces = tuple(
        LayPiece(
            f"P{i}",
            rectangle(right - left, far - near),
            1,
            on_fold=f"P{i}" == on_fold,
        )
        for i, (left, near, right, far) in enumerate(boxes)
    )
    places = tuple(
        Placement(f"P{i}", 0, 0, False, left, near) for i, (left, near, _, _) in enumerate(boxes)
    )
    return Lay(cloth, pieces, places, length_mm, 0.5)


def places(found: Iterable[Offcut]) -> list[Box]:
    """Left, near, width, length to the micrometre."""
    return [
        (round(o.x_mm, 3), round(o.y_mm, 3), round(o.width_mm, 3), round(o.length_mm, 3))
        for o in found
    ]


def box_of(offcut: Offcut) -> shapely.Polygon:
    return shapely.box(
        offcut.x_mm,
        offcut.y_mm,
        offcut.x_mm + offcut.width_mm,
        offcut.y_mm + offcut.length_mm,
    )


def largest_by_trying(cloth: Box, taken: Sequence[Box], least_mm: float) -> float:
    """The largest free area between any two coordinates of the pieces, both ways: every one is
    tried, as a largest rectangle has a piece or the cloth's edge at each of its sides."""
    xs, ys = (
        sorted({cloth[i], cloth[i + 2], *(box[j] for box in taken for j in (i, i + 2))})
        for i in (0, 1)
    )
    best = 0.0
    for left, right in combinations(xs, 2):
        beside = [box for box in taken if box[0] < right and left < box[2]]
        for near, far in combinations(ys, 2):
            free = not any(box[1] < far and near < box[3] for box in beside)
            if free and min(right - left, far - near) >= least_mm:
                best = max(best, (right - left) * (far - near))
    return best


def scattered(seed: int) -> list[Box]:
    """A few rectangles that do not overlap; some stand side by side."""
    dice = random.Random(seed)
    boxes: list[Box] = []
    for _ in range(60):
        left, near = dice.choice(
            [(dice.uniform(0, 800), dice.uniform(0, 1300)), *((box[2], box[1]) for box in boxes)]
        )
        right, far = left + dice.uniform(20, 320), near + dice.uniform(20, 400)
        apart = all(
            b[2] <= left or right <= b[0] or b[3] <= near or far <= b[1] for b in boxes
        )  # fmt: skip
        if apart and right <= 1000 and far <= 1500:
            boxes.append((left, near, right, far))
    return boxes[:10]


def test_an_l_of_free_cloth_gives_its_long_leg_and_what_is_left_of_the_other() -> None:
    found = offcuts(lay_of(METRE, 800, [(0, 0, 700, 600)]))
    # beside it 300 x 800 = 0.24 m² against 1000 x 200 past it; then 700 x 200 past it
    assert places(found) == [(700, 0, 300, 800), (0, 600, 700, 200)]
    assert [o.area_mm2 for o in found] == pytest.approx([240_000, 140_000])
    assert [o.layers for o in found] == [1, 1]


def test_two_rectangles_between_pieces_come_larger_first() -> None:
    pieces = [(0, 0, 400, 500), (400, 300, 1000, 500), (0, 500, 250, 1000), (750, 500, 1000, 1000)]
    found = offcuts(lay_of(METRE, 1000, pieces))
    assert places(found) == [(250, 500, 500, 500), (400, 0, 600, 300)]


def test_a_lay_without_room_gives_none() -> None:
    assert offcuts(lay_of(METRE, 500, [(0, 0, 921, 500)])) == ()  # a strip of 79 mm
    (strip,) = offcuts(lay_of(METRE, 500, [(0, 0, 920, 500)]))
    assert places([strip]) == [(920, 0, 80, 500)]


def test_what_is_under_the_least_area_is_no_offcut() -> None:
    lay = lay_of(METRE, 199.9, [(0, 0, 800, 199.9)])  # 200 x 199.9 mm beside it
    assert offcuts(lay) == ()
    assert len(offcuts(lay, least_area_mm2=200 * 199.9)) == 1


def test_cloth_bought_beyond_the_lay_counts() -> None:
    lay = lay_of(METRE, 500, [(0, 0, 1000, 500)])
    assert offcuts(lay) == ()
    assert places(offcuts(lay, 620)) == [(0, 500, 1000, 120)]
    assert offcuts(lay, 400) == ()  # never less than the lay itself takes


def test_at_most_so_many_are_told() -> None:
    lay = lay_of(METRE, 1000, [(240, 0, 260, 1000), (490, 0, 510, 1000), (740, 0, 760, 1000)])
    assert len(offcuts(lay)) == 4
    assert len(offcuts(lay, most=3)) == 3


def test_the_margins_and_the_shrinkage_are_off_the_width() -> None:
    cloth = Cloth(1000, shrink_width=0.05, edge_margin_mm=10)  # 950 - 20 to lay on
    assert places(offcuts(lay_of(cloth, 300, [(0, 0, 500, 300)]))) == [(500, 0, 430, 300)]


def test_a_triangle_leaves_half_its_height_and_breadth() -> None:
    """In the free half of a square cut along its diagonal the largest rectangle is a quarter of
    the square: x (s - x) is greatest at x = s / 2."""
    piece = LayPiece("Corner", [(0, 0), (1000, 0), (0, 1000)], 1)
    lay = Lay(METRE, (piece,), (Placement("Corner", 0, 0, False, 0, 0),), 1000, 0.5)
    first = offcuts(lay)[0]
    assert first.area_mm2 == pytest.approx(250_000, rel=1e-3)
    assert (first.x_mm + first.width_mm, first.y_mm + first.length_mm) == (1000, 1000)


@pytest.mark.parametrize("seed", range(25))
def test_the_first_is_as_large_as_any_found_by_trying_all(seed: int) -> None:
    boxes = scattered(seed)
    found = offcuts(lay_of(METRE, 1500, boxes))
    largest = largest_by_trying((0, 0, 1000, 1500), boxes, LEAST_SIDE_MM)
    assert found[0].area_mm2 == pytest.approx(largest, abs=1)


@pytest.mark.parametrize("seed", range(12))
def test_no_offcut_reaches_into_a_piece_another_or_past_the_cloth(seed: int) -> None:
    lay = first_lay(mixed_pieces(seed), LINEN)
    length = lay.length_mm + 70
    found = offcuts(lay, length)
    assert found
    cloth = shapely.box(0, 0, lay.cloth.laid_width_mm, length).buffer(NOISE_MM)
    taken = [shapely.Polygon(lay.placed_points(place)) for place in lay.placements]
    for offcut in found:
        box = box_of(offcut)
        assert min(offcut.width_mm, offcut.length_mm) >= LEAST_SIDE_MM - 1e-3
        assert offcut.area_mm2 >= LEAST_AREA_MM2 - 1e-3
        assert cloth.covers(box)
        assert max(box.intersection(other).area for other in taken) <= OVERLAP_MM2
        taken.append(box)
    assert [o.area_mm2 for o in found] == sorted((o.area_mm2 for o in found), reverse=True)


@pytest.mark.parametrize("seed", range(6))
def test_no_side_could_go_further(seed: int) -> None:
    """Each side of the first offcut stands at a piece or at the edge of the cloth."""
    lay = first_lay(mixed_pieces(seed), LINEN)
    first = offcuts(lay, least_mm=10, least_area_mm2=100)[0]
    left, near, right, far = box_of(first).bounds
    cloth = shapely.box(0, 0, lay.cloth.laid_width_mm, lay.length_mm)
    free = cloth.difference(
        shapely.union_all([shapely.Polygon(lay.placed_points(p)) for p in lay.placements])
    )
    out = 0.1
    sides = [
        (left - out, near, left, far),
        (right, near, right + out, far),
        (left, near - out, right, near),
        (left, far, right, far + out),
    ]
    for side in sides:
        strip = shapely.box(*side)
        assert strip.difference(free).area > 1e-9


def test_folded_cloth_gives_two_layers_and_opens_out_at_the_fold() -> None:
    folded = Cloth(1000, "folded")  # 500 from the fold to the selvedges
    (at_fold, apart) = offcuts(lay_of(folded, 1000, [(200, 0, 300, 1000)]))
    if at_fold.x_mm:
        at_fold, apart = apart, at_fold
    assert places([at_fold, apart]) == [(0, 0, 200, 1000), (300, 0, 200, 1000)]
    assert at_fold.layers == apart.layers == 2
    assert at_fold.opened_mm == pytest.approx((400, 1000))
    assert apart.opened_mm is None
    assert [len(o.rectangles_mm) for o in (at_fold, apart)] == [1, 2]


def test_a_piece_on_the_fold_takes_its_half_of_the_folded_cloth() -> None:
    lay = lay_of(Cloth(1000, "folded"), 600, [(0, 0, 350, 600)], on_fold="P0")
    assert places(offcuts(lay)) == [(350, 0, 150, 600)]


def test_cloth_folded_across_opens_out_lengthwise() -> None:
    across = Cloth(1000, "folded across")
    lay = lay_of(across, 1200, [(0, 300, 1000, 600)])  # 600 as it lies
    (start,) = offcuts(lay)
    assert places([start]) == [(0, 0, 1000, 300)]
    assert start.opened_mm == pytest.approx((1000, 600))
    start, end = offcuts(lay, 1500)  # 150 more in each layer
    assert places([end]) == [(0, 600, 1000, 150)]
    assert end.opened_mm is None
    assert end.rectangles_mm == ((1000, 150), (1000, 150))
