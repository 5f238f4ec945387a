"""Flared panel, trouser leg, vee, bow, round corner and dart, each worked out by hand.

Corners are listed clockwise from the top of the first edge, in cm, with the sum beside a number.
"""

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.specimens import RECTANGLE, Move, draft_of, piece_of, refusal_of
from webapp.draft.evaluate import Piece
from webapp.draft.markings import DrillHole, MarkedLine
from webapp.draft.outline import Point

PANEL: Move = {"kind": "flared panel", "top": "18 cm", "hem": "30 cm", "length": "60 cm"}
LEG: Move = {"kind": "trouser leg", "width": "25 cm", "depth": "29 cm", "inside_leg": "75 cm",
             "fork": "6 cm", "hem": "20 cm"}  # fmt: skip
DART: Move = {"kind": "dart", "corner": "right side", "at": "15 cm", "width": "3 cm",
              "length": "9 cm"}  # fmt: skip
VEE: Move = {"kind": "vee", "corner": "right side", "width": "5 cm", "depth": "12 cm"}
BOW: Move = {"kind": "bow", "edge": "right side", "by": "2 cm"}
ROUND: Move = {"kind": "round corner", "edge": "right side", "corner": "hem", "radius": "5 cm"}


def corners(piece: Piece) -> list[tuple[float, float]]:
    """Where each edge starts, in cm."""
    return [
        (round(edge.start[0] / 10, 4) + 0.0, round(edge.start[1] / 10, 4) + 0.0)
        for edge in piece.outline
    ]


def mirrored(point: Point, one: Point, other: Point) -> Point:
    """The point's image in the line through two others (the textbook formula)."""
    dx, dy = other[0] - one[0], other[1] - one[1]
    along = ((point[0] - one[0]) * dx + (point[1] - one[1]) * dy) / (dx * dx + dy * dy)
    foot = (one[0] + along * dx, one[1] + along * dy)
    return (2 * foot[0] - point[0], 2 * foot[1] - point[1])


# --- Flared panel -----------------------------------------------------------------------------


def test_a_panel_without_a_level_hem_is_a_trapezium() -> None:
    piece = piece_of(PANEL | {"level": False}, on_fold=True)
    assert corners(piece) == [(0, 0), (18, 0), (30, 60), (0, 60)]
    # The side of a right-angled triangle: 12 out, 60 down.
    assert piece.figures_mm["side"] == pytest.approx(10 * math.hypot(12, 60))
    whole = piece_of(PANEL | {"level": False})
    assert corners(whole) == [(-9, 0), (9, 0), (15, 60), (-15, 60)]


@pytest.mark.parametrize("on_fold", [True, False])
def test_a_level_hem_makes_the_side_as_long_as_the_centre_and_meets_both_square(
    on_fold: bool,
) -> None:
    piece = piece_of(PANEL, on_fold=on_fold)
    side = piece.outline.edge("side" if on_fold else "right side")
    hem = piece.outline.edge("hem")
    assert side.length_mm == pytest.approx(600)
    (_, down), (_, along) = side.at(side.length_mm), hem.at(0)
    assert down[0] * along[0] + down[1] * along[1] == pytest.approx(0, abs=1e-6)
    # The half's hem leaves the fold level; the whole one is level in its middle.
    level = hem.at(hem.length_mm if on_fold else hem.length_mm / 2)[1]
    assert level == pytest.approx((-1, 0), abs=1e-9)
    # An arc of 60 cm over the flare, atan(flare / 60), and a straight part as wide as the top.
    top, flare = (18, 12) if on_fold else (9, 6)
    half = 60 * math.atan(flare / 60) + top
    assert hem.length_mm == pytest.approx(10 * half * (1 if on_fold else 2), abs=1e-3)


def test_a_panel_that_narrows_has_no_level_hem() -> None:
    assert "narrower than the top" in refusal_of(PANEL | {"hem": "16 cm"}, on_fold=True)


# --- Trouser leg ------------------------------------------------------------------------------


def test_a_trouser_front_is_halved_by_its_crease() -> None:
    piece = piece_of(LEG)
    assert piece.outline.names == ("waist", "side", "hem", "inside leg", "crotch")
    # The crease: (25 - 6) / 2 = 9.5 from the centre; the hem 10 to each side of it: 19.5, -0.5.
    assert corners(piece) == [(0, 0), (25, 0), (19.5, 104), (-0.5, 104), (-6, 29)]
    # Side: 29 straight, then 25 - 19.5 = 5.5 in over 75; inside leg: as much on the other side.
    slant = math.hypot(5.5, 75)
    assert piece.figures_mm["side"] == pytest.approx(10 * (29 + slant))
    assert piece.figures_mm["inside leg"] == pytest.approx(10 * slant)


def test_front_and_back_of_a_leg_agree_where_their_hems_differ_as_their_crotch_lines_do() -> None:
    front = piece_of(LEG)
    # Crotch lines of 25 + 6 = 31 and 27 + 12 = 39: the back's hem is 8 wider.
    back = piece_of(
        LEG | {"width": "27 cm", "fork": "12 cm", "hem": "28 cm", "lean": "3 cm", "rise": "4 cm"}
    )
    for edge in ("side", "inside leg"):
        assert back.figures_mm[edge] == pytest.approx(front.figures_mm[edge])
    assert corners(back)[0] == (3, -4)
    assert back.figures_mm["waist"] == pytest.approx(10 * math.hypot(24, 4))


def test_the_seat_seam_is_straight_above_and_runs_level_into_the_fork() -> None:
    seat = piece_of(LEG).outline.edge("crotch")
    assert seat.at(0)[1] == pytest.approx((1, 0))  # from the fork, level
    assert seat.at(seat.length_mm)[1] == pytest.approx((0, -1))  # up the centre line
    assert seat.segments[-1].length_mm == pytest.approx(1000 * 0.29 * 2 / 3)  # two thirds of 29
    # The curve is longer than the straight way across its box, shorter than around it.
    curve = seat.length_mm - 290 * 2 / 3
    assert math.hypot(60, 290 / 3) < curve < 60 + 290 / 3


def test_a_trouser_leg_is_not_cut_on_the_fold() -> None:
    assert "cut it as a pair" in refusal_of(LEG, on_fold=True)


# --- Vee, bow, round corner -------------------------------------------------------------------


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
    assert "than the" in refusal_of(RECTANGLE, ROUND | {"radius": "31 cm"})


# --- Dart -------------------------------------------------------------------------------------


def dart_of(piece: Piece) -> tuple[Point, Point, Point]:
    (line,) = (m for m in piece.markings if isinstance(m, MarkedLine) and m.kind == "dart")
    one, tip, other = line.points
    return one, tip, other


def test_a_dart_takes_its_width_out_of_the_edge() -> None:
    piece = piece_of(RECTANGLE, DART)
    assert piece.figures_mm["top"] == pytest.approx(270)  # 30 - 3
    one, tip, other = dart_of(piece)
    assert one == pytest.approx((135, 0))  # 15 - 1.5
    assert other == pytest.approx((165, 0))
    assert tip == pytest.approx((150, 90))
    # Its legs: 1.5 across and 9 down.
    assert piece.figures_mm["dart leg"] == pytest.approx(10 * math.hypot(1.5, 9))
    assert DrillHole("dart tip", tip) in piece.markings


@pytest.mark.parametrize("slope", [None, {"kind": "slope", "edge": "top", "end": "right side",
                                          "drop": "6 cm"}])  # fmt: skip
def test_a_dart_that_is_folded_shut_lies_flush_with_its_edge(slope: Move | None) -> None:
    """The trued end, mirrored in either leg, lies on the edge's own line."""
    piece = piece_of(RECTANGLE, *([slope] if slope else []), DART)
    one, tip, other = dart_of(piece)
    top = piece.outline.edge("top")
    _, first, second, _ = top.segments
    peak = first.end
    assert (first.start, second.end) == (pytest.approx(one), pytest.approx(other))
    edge_line = shapely.LineString([top.start, top.end])
    for leg in (one, other):
        folded = mirrored(peak, leg, tip)
        assert edge_line.distance(shapely.Point(folded)) == pytest.approx(0, abs=1e-6)
    assert top.sewn_mm == pytest.approx(top.length_mm - first.length_mm - second.length_mm)


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"width": "31 cm", "length": "40 cm"}, "wider than the top edge"),
        ({"length": "60 cm"}, "more than the piece is deep"),
        ({"at": "29.5 cm"}, "has left beside the dart's middle"),
        ({"at": "40 cm"}, "as far as the top edge is long"),
        ({"width": "15 cm"}, "one and a half times the length"),
        ({"width": "0 cm"}, "greater than zero"),
    ],
)
def test_a_dart_that_cannot_be_folded_says_why(changed: Move, why: str) -> None:
    assert why in refusal_of(RECTANGLE, DART | changed)


def test_two_darts_may_not_run_into_each_other() -> None:
    second = DART | {"at": "16 cm", "name": "other", "width": "2 cm"}
    assert "dart" in refusal_of(RECTANGLE, DART, second)


# --- All of them ------------------------------------------------------------------------------

_TOP = st.sampled_from(["waist", "top"])
_cm = st.floats(0.1, 70).map(lambda value: f"{value:.2f} cm")
_signed = st.floats(-20, 20).map(lambda value: f"{value:.2f} cm")


@given(
    st.one_of(
        st.fixed_dictionaries({"kind": st.just("flared panel"), "top": _cm, "hem": _cm,
                               "length": _cm, "level": st.booleans()}),
        st.fixed_dictionaries({"kind": st.just("trouser leg"), "width": _cm, "depth": _cm,
                               "inside_leg": _cm, "fork": _cm, "hem": _cm, "lean": _cm,
                               "rise": _cm}),
    ),
    st.lists(
        st.one_of(
            st.fixed_dictionaries({"kind": st.just("dart"), "edge": _TOP,
                                   "corner": st.sampled_from(["side", "right side"]), "at": _cm,
                                   "width": _cm, "length": _cm}),
            st.fixed_dictionaries({"kind": st.just("bow"), "edge": _TOP,
                                   "by": _signed}),
        ),
        max_size=2,
    ),
)  # fmt: skip
@settings(max_examples=150)
def test_these_moves_of_any_size_give_a_sound_outline_or_a_sentence(
    shape: Move, moves: list[Move]
) -> None:
    draft = draft_of(shape, *moves, allowance="0 cm")
    for piece in (*draft.pieces, *draft.unfinished):
        assert shapely.Polygon(piece.seam_points).is_valid
        assert piece.outline.area_mm2 > 0
    for problem in draft.problems:
        assert problem.sentence.startswith("Panel")
        assert problem.sentence.endswith(".")


@pytest.mark.parametrize(
    ("moves", "on_fold"),
    [([PANEL], True), ([PANEL], False), ([LEG], False), ([RECTANGLE, DART], False),
     ([RECTANGLE, BOW], False), ([RECTANGLE, ROUND], False)],
)  # fmt: skip
def test_the_cut_line_stays_the_allowance_away_along_every_edge(
    moves: list[Move], on_fold: bool
) -> None:
    """Measured with shapely in the middle of each segment, away from corners: 15 mm, ± 0.1."""
    piece = piece_of(*moves, on_fold=on_fold)
    line = shapely.LinearRing(piece.cut_points)
    for edge in piece.outline:
        allowance = piece.allowances[edge.name].total_mm
        if not allowance:
            continue
        for segment in edge.segments:
            middle = shapely.Point(segment.point(0.5))
            assert line.distance(middle) == pytest.approx(allowance, abs=0.1), edge.name


def test_every_formula_comes_to_the_length_beside_it() -> None:
    """The words that a viewer drafts by cannot disagree with the drawing."""
    from webapp.draft.expressions import read  # noqa: PLC0415

    for moves in ([PANEL], [LEG], [RECTANGLE, DART], [RECTANGLE, VEE], [RECTANGLE, BOW]):
        draft = draft_of(*moves)
        for sentence in draft.pieces[0].words:
            for slot, formula in sentence.formulas.items():
                worked_out = read(formula).length_mm(draft.names)
                assert worked_out == pytest.approx(sentence.lengths_mm[slot]), formula
