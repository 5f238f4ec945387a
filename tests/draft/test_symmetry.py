"""Whether a piece is its own mirror image, on shapes that show it."""

import math

import pytest

from webapp.draft.outline import Point
from webapp.draft.symmetry import is_symmetrical

TRAPEZIUM = [(0.0, 0.0), (400.0, 0.0), (320.0, 300.0), (80.0, 300.0)]


def disc(radius: float) -> list[Point]:
    turns = [2 * math.pi * i / 301 for i in range(301)]
    return [(70 + radius * math.cos(t), radius * math.sin(t)) for t in turns]


@pytest.mark.parametrize("points", [TRAPEZIUM, disc(200), [(0.0, 0.0), (90.0, 0.0), (45.0, 70.0)]])
def test_a_shape_with_an_upright_axis_is_its_own_mirror_image(points: list[Point]) -> None:
    assert is_symmetrical(points)


def test_the_axis_must_be_upright() -> None:
    """An arrowhead pointing down the grain is; the same pointing across it is not."""
    down = [(0.0, 0.0), (200.0, 0.0), (100.0, 260.0)]
    assert is_symmetrical(down)
    assert not is_symmetrical([(y, x) for x, y in down])


def test_a_shape_turned_round_on_itself_is_not_its_mirror_image() -> None:
    """A parallelogram looks the same upside down, but not in a mirror."""
    assert not is_symmetrical([(0, 0), (300, 0), (360, 200), (60, 200)])


@pytest.mark.parametrize(("off_mm", "symmetrical"), [(0.4, True), (0.6, False)])
def test_half_a_millimetre_is_let_pass(off_mm: float, symmetrical: bool) -> None:
    """A corner lowered by so much stands so far from where its mirror image is."""
    left, right = (0.0, 0.0), (400.0, off_mm)
    assert is_symmetrical([left, right, (400.0, 300.0), (0.0, 300.0)]) == symmetrical
