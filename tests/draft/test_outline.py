"""Outlines: lengths and areas hold against numerical integration and against shapely."""

import math
from itertools import pairwise

import pytest
import shapely
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.integrate import quad

from tests.specimens import many_pieces
from webapp.draft.evaluate import Piece
from webapp.draft.moves.arcs import arc
from webapp.draft.outline import (
    FLATNESS_MM,
    Cubic,
    Outline,
    Point,
    bounds,
    open_at_fold,
    straight,
    unfolded,
)

PIECES = many_pieces()
pieces = pytest.mark.parametrize("piece", PIECES.values(), ids=PIECES)

_hundredths = st.integers(-100_000, 100_000).map(lambda value: value / 100)
_places = st.tuples(_hundredths, _hundredths)
cubics = st.builds(Cubic, _places, _places, _places, _places)


def _velocity(curve: Cubic, t: float) -> Point:
    """The derivative of a Bézier curve, from its definition."""
    p, u = curve.controls, 1 - t
    return (
        3 * sum(w * (p[i + 1][0] - p[i][0]) for i, w in enumerate((u * u, 2 * u * t, t * t))),
        3 * sum(w * (p[i + 1][1] - p[i][1]) for i, w in enumerate((u * u, 2 * u * t, t * t))),
    )


def _integral(curve: Cubic, *, of_area: bool) -> float:
    def length(t: float) -> float:
        return math.hypot(*_velocity(curve, t))

    def twice_area(t: float) -> float:
        (x, y), (dx, dy) = curve.point(t), _velocity(curve, t)
        return x * dy - y * dx

    # full_output: a cusp costs quad some accuracy, which it would tell by a warning.
    return float(quad(twice_area if of_area else length, 0, 1, limit=500, full_output=1)[0])


@given(cubics)
@example(Cubic((0.0, 295.0), (-2.0, 294.0), (204.0, 297.0), (7.0, 156.0)))  # nearly a cusp
@example(Cubic((0.0, 0.0), (300.0, 300.0), (-0.06, 296.56), (300.0, -4.39)))  # and another
@example(Cubic((0.0, 0.0), (0.0, 1.36), (0.0, -272.29), (0.0, 0.0)))  # turns back near its start
def test_a_curve_is_as_long_as_its_speed_integrated(curve: Cubic) -> None:
    """Against scipy.integrate.quad, to the 0.01 mm promised."""
    assert curve.length_mm == pytest.approx(_integral(curve, of_area=False), abs=0.01)


@given(cubics)
def test_a_curves_share_of_the_area_is_greens_integral(curve: Cubic) -> None:
    """Against scipy.integrate.quad."""
    assert curve.twice_area() == pytest.approx(_integral(curve, of_area=True), rel=1e-9, abs=0.01)


@given(cubics)
def test_no_chord_leaves_its_curve_further_than_the_flatness(curve: Cubic) -> None:
    drawn = shapely.LineString(curve.points())
    on_curve = [shapely.Point(curve.point(i / 500)) for i in range(501)]
    assert max(shapely.distance(drawn, on_curve)) <= FLATNESS_MM * 1.001


@pieces
def test_every_edge_is_as_long_as_its_finely_drawn_line(piece: Piece) -> None:
    """Against shapely's length of a polyline whose chords lie within a micrometre."""
    for edge in piece.outline:
        drawn = shapely.LineString(edge.points(flatness_mm=1e-5))
        assert edge.length_mm == pytest.approx(drawn.length, abs=0.01), edge.name


@pieces
def test_every_outline_is_closed_simple_and_as_large_as_its_polygon(piece: Piece) -> None:
    """Against shapely's validity and area."""
    edges = piece.outline.edges
    for before, after in pairwise((*edges, edges[0])):
        assert math.dist(before.end, after.start) < 1e-9
    polygon = shapely.Polygon(piece.outline.points(flatness_mm=1e-5))
    assert polygon.is_valid
    assert piece.outline.area_mm2 == pytest.approx(polygon.area, rel=1e-6)
    assert shapely.is_ccw(polygon.exterior), "clockwise on paper, where y runs down"


@given(
    st.floats(10, 2000), st.floats(-3.2, 3.2), st.floats(-6.2, 6.2).filter(lambda a: abs(a) > 0.01)
)
def test_an_arc_keeps_its_radius_and_is_radius_times_angle_long(
    radius: float, start: float, turn: float
) -> None:
    curves = arc((50.0, -20.0), radius, start, turn)
    assert sum(curve.length_mm for curve in curves) == pytest.approx(radius * abs(turn), rel=1e-7)
    for curve in curves:
        for t in (0.0, 0.2, 0.5, 0.7, 1.0):
            assert math.dist(curve.point(t), (50, -20)) == pytest.approx(radius, rel=1e-7)
    end = (50 + radius * math.cos(start + turn), -20 + radius * math.sin(start + turn))
    assert curves[-1].end == pytest.approx(end)


#  A half with its neck scooped, drawn to the right of the fold, and the whole it opens out to:
#
#      (0, 20)╮  (30, 0)─────(80, 0)          (-80, 0)──(-30, 0)   (30, 0)──(80, 0)
#      fold    ╲╱              │                 │           (0, 20)           │
#      (0, 90)─────────────(80, 90)           (-80, 90)──────────────────(80, 90)
HALF = [(0.0, 20.0), (30.0, 0.0), (80.0, 0.0), (80.0, 90.0), (0.0, 90.0)]
WHOLE = [(0, 20), (30, 0), (80, 0), (80, 90), (0, 90), (-80, 90), (-80, 0), (-30, 0)]


@pytest.mark.parametrize("turn", range(5))
def test_a_half_opens_out_to_the_whole_wherever_its_points_start(turn: int) -> None:
    half = HALF[turn:] + HALF[:turn]
    assert unfolded(half) == WHOLE
    assert open_at_fold(half) == WHOLE[:5]


def test_points_along_the_fold_are_not_part_of_the_whole() -> None:
    assert unfolded([*HALF, (0.0, 70.0), (0.0, 50.0)]) == WHOLE


def test_an_outline_off_the_fold_cannot_be_opened_out() -> None:
    with pytest.raises(ValueError, match="does not touch the fold"):
        unfolded([(1.0, 0.0), (2.0, 0.0), (2.0, 2.0)])


@pieces
def test_a_whole_is_twice_its_half_and_the_same_on_both_sides(piece: Piece) -> None:
    half, whole = shapely.Polygon(piece.cut_points), shapely.Polygon(piece.whole_cut_points)
    assert whole.is_valid
    assert whole.area == pytest.approx(half.area * (2 if piece.on_fold else 1))
    if piece.on_fold:
        mirrored = shapely.transform(whole, lambda points: points * [-1, 1])
        assert whole.symmetric_difference(mirrored).area < 1e-6


SQUARE = Outline(
    (
        straight("top", (0, 0), (10, 0)),
        straight("right", (10, 0), (10, 10)),
        straight("hem", (10, 10), (0, 10)),
        straight("left", (0, 10), (0, 0)),
    )
)


def test_edges_are_found_by_name_and_by_their_neighbours() -> None:
    assert SQUARE.names == ("top", "right", "hem", "left")
    assert SQUARE.before("top").name == "left"
    assert SQUARE.after("left").name == "top"
    assert SQUARE.index("hem") == 2
    for find in (SQUARE.edge, SQUARE.index):
        with pytest.raises(KeyError):
            find("sleeve")


def test_shifting_keeps_the_area() -> None:
    moved = SQUARE.moved(3, -4)
    assert moved.area_mm2 == SQUARE.area_mm2 == 100
    assert bounds(moved.points()) == (3, -4, 13, 6)
