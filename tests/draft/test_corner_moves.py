"""Vee, bow and round corner, each worked out by hand.

Corners are listed clockwise from the top of the first edge, in cm, with the sum beside a number.
"""

import math

import pytest

from tests.drafted import corners, words
from tests.specimens import RECTANGLE, Move, piece_of, refusal_of

VEE: Move = {"kind": "vee", "corner": "right side", "width": "5 cm", "depth": "12 cm"}
BOW: Move = {"kind": "bow", "edge": "right side", "by": "2 cm"}
ROUND: Move = {"kind": "round corner", "edge": "right side", "corner": "hem", "radius": "5 cm"}


def test_a_vee_is_a_straight_line_between_two_marks() -> None:
    piece = piece_of(RECTANGLE, VEE)
    assert corners(piece) == [(0, 0), (25, 0), (30, 12), (30, 50), (0, 50)]  # 30 - 5 = 25
    assert piece.figures_mm["neck"] == pytest.approx(130)  # 5, 12, 13
    assert "wider than the top edge" in refusal_of(RECTANGLE, VEE | {"width": "30 cm"})


@pytest.mark.parametrize("by", [2.0, -2.0])
def test_a_bow_is_furthest_from_the_straight_by_as_much_as_asked(by: float) -> None:
    piece = piece_of(RECTANGLE, BOW | {"by": f"{by} cm"})
    points = piece.outline.edge("right side").points(0.001)
    furthest = max((x - 300 for x, _ in points), key=abs)
    assert furthest == pytest.approx(10 * by, abs=0.01)
    _, peak = max(points, key=lambda p: abs(p[0] - 300))
    assert peak == pytest.approx(250, abs=1)  # the middle of 50


def test_the_peak_of_a_bow_may_lie_off_the_middle() -> None:
    piece = piece_of(RECTANGLE, BOW | {"peak": "1/3"})
    points = piece.outline.edge("right side").points(0.001)
    x, y = max(points)
    assert (x, y) == (pytest.approx(320, abs=0.01), pytest.approx(500 / 3, abs=3))


def test_a_round_corner_of_a_right_angle_is_a_quarter_circle() -> None:
    piece = piece_of(RECTANGLE, ROUND)
    assert corners(piece) == [(0, 0), (30, 0), (30, 45), (25, 50), (0, 50)]  # 50 - 5, 30 - 5
    assert piece.figures_mm["corner"] == pytest.approx(math.pi / 2 * 50, abs=0.01)


def test_a_round_corner_touches_its_edges_at_radius_over_the_tangent_of_half_the_angle() -> None:
    # The side leans 30 cm out over 50: the corner with the hem is atan(50 / 30) wide.
    piece = piece_of(RECTANGLE, {"kind": "taper", "edge": "right side", "by": "-30 cm"}, ROUND)
    angle = math.atan2(50, 30)
    reach = 50 / math.tan(angle / 2)
    assert piece.figures_mm["hem"] == pytest.approx(600 - reach)
    assert piece.figures_mm["corner"] == pytest.approx(50 * (math.pi - angle), abs=0.01)


def test_a_radius_with_no_room_is_refused() -> None:
    assert refusal_of(RECTANGLE, ROUND | {"radius": "31 cm"}) == (
        "Panel, round corner: radius 31 cm (12 1/4 in) is more than the corner has room for, "
        "30 cm (11 3/4 in)."
    )


def test_vee_and_round_corner_say_where_to_mark_on_the_fold() -> None:
    vee = VEE | {"corner": "centre"}
    corner = ROUND | {"edge": "side"}
    piece = piece_of(RECTANGLE, vee, corner, on_fold=True)
    assert corners(piece) == [(0, 12), (5, 0), (30, 0), (30, 45), (25, 50), (0, 50)]
    assert words(piece)[1:] == [
        "Mark 5 cm (1 15/16 in) along the top edge from the fold.",
        "Mark 12 cm (4 3/4 in) down the fold from the top edge.",
        "Join the marks with a straight line: the neck.",
        "Round the corner of the side and hem edges with a radius of 5 cm (1 15/16 in): the arc, "
        "the corner edge, starts and ends 5 cm (1 15/16 in) from the corner.",
    ]


def test_a_bow_says_where_it_is_furthest_out() -> None:
    piece = piece_of(RECTANGLE, BOW | {"by": "-2,5 cm", "peak": "1/4"})
    assert words(piece)[1] == (
        # 50 / 4 = 12.5; 125 / 25.4 = 4.921, to the sixteenth 4 15/16
        "Mark 2.5 cm (1 in) in from the right side edge at 1/4 of its length, 12.5 cm (4 15/16 in) "
        "from the top edge, and draw a smooth curve from end to end through the mark."
    )
    assert piece.words[1].in_own_text().show("cm") == (
        "Mark 2.5 cm (1 in) in from the right side edge at 1/4 of its length, counted from the top "
        "edge, and draw a smooth curve from end to end through the mark."
    )
    assert piece.words[1].formulas == {"right side bow": "-(-2,5 cm)"}


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"by": "0 cm"}, "by comes to nothing"),
        ({"by": "26 cm"}, "26 cm (10 1/4 in) is more than half as long as the edge, 25 cm"),
        ({"peak": "1/8"}, "peak is 0.125; it must be from 0.25 to 0.75"),
    ],
)
def test_a_bow_that_cannot_be_drawn_says_why(changed: Move, why: str) -> None:
    assert why in refusal_of(RECTANGLE, BOW | changed)
