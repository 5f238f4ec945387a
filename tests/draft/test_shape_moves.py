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


def words(piece: Piece) -> list[str]:
    return [sentence.show("cm") for sentence in piece.words]


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


def test_a_leaning_seat_seam_keeps_its_direction_into_the_curve() -> None:
    seat = piece_of(LEG | {"fork": "12 cm", "lean": "3 cm", "rise": "4 cm"}).outline.edge("crotch")
    curve, line = seat.segments
    # From the hip line, 29 * 2 / 3 down, to the waist: 3 in and 29 * 2 / 3 + 4 up.
    up = (3, -(29 * 2 / 3 + 4))
    slant = (up[0] / math.hypot(*up), up[1] / math.hypot(*up))
    assert line.heading(0) == pytest.approx(slant)
    assert curve.heading(1) == pytest.approx(slant)


def test_a_back_leg_says_where_to_mark() -> None:
    assert words(piece_of(LEG | {"lean": "3 cm", "rise": "4 cm"})) == [
        "Draw the centre line along the grain, 29 cm (11 3/8 in) long. Square to it draw the waist "
        # 29 * 2 / 3 = 19.33, to the half 19.5; 193.3 / 25.4 = 7.61, to the eighth 7 5/8
        "at its top, the hip line 19.5 cm (7 5/8 in) below the waist, and the crotch level at its "
        "foot, each 25 cm (9 7/8 in) wide; join their ends: the side.",
        "Lengthen the crotch level 6 cm (2 3/8 in) past the centre line: the crotch point.",
        "From the top of the centre line mark 3 cm (1 3/16 in) in and 4 cm (1 9/16 in) up; from "
        "the mark draw the waist to the side, and the centre line straight to the hip line, then "
        "in a smooth curve to the crotch point, where it ends along the crotch level.",
        "Halve the crotch level, 15.5 cm (6 1/8 in) from the side, and from there draw the crease "
        "straight down, 75 cm (29 1/2 in) long.",  # (25 + 6) / 2 = 15.5
        "Square to its foot mark 10 cm (3 7/8 in) to each side: the hem. Join its ends to the side "
        "at the crotch level and to the crotch point.",
    ]


def test_a_leg_may_not_lean_past_its_fork_or_lack_a_length() -> None:
    # Two thirds of 29 above the hip line and one third below: twice the fork, 2 * 6 = 12.
    assert refusal_of(LEG | {"lean": "13 cm"}) == (
        "Panel, trouser leg: a lean of 13 cm (5 1/8 in) is more than the fork leaves room for, "
        "12 cm (4 3/4 in)."
    )
    assert refusal_of(LEG | {"inside_leg": "0 cm"}) == (
        "Panel, trouser leg: inside leg comes to 0 cm (0 in); it must be greater than zero."
    )


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
        "Round the corner of the side and hem edges with a radius of 5 cm (1 15/16 in): the arc "
        "starts and ends 5 cm (1 15/16 in) from the corner.",
    ]


def test_a_bow_says_where_it_is_furthest_out() -> None:
    piece = piece_of(RECTANGLE, BOW | {"by": "-2,5 cm", "peak": "1/4"})
    assert words(piece)[1] == (
        # 50 / 4 = 12.5
        "Mark 2.5 cm (1 in) in from the right side edge at 1/4 of its length, here 12.5 cm "
        "(4 7/8 in) from its top end, and draw a smooth curve from end to end through the mark."
    )
    assert piece.words[1].formulas == {"by": "-(-2,5 cm)"}


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


def test_the_trued_end_of_a_dart_rises_by_its_width_and_slant() -> None:
    piece = piece_of(RECTANGLE | {"width": "40 cm"}, DART)
    _, first, second, _ = piece.outline.edge("top").segments
    # A leg leans atan(1.5 / 9) from the axis, so the mirrored edge rises at twice that angle:
    # 1.5 * tan(2 * 9.4623°) = 0.5143 high, 1.5 / cos(18.9246°) = 1.5857 long on each side.
    assert first.end == pytest.approx((250, -5.143), abs=1e-3)  # 40 - 15 = 25
    assert first.length_mm == pytest.approx(15.857, abs=1e-3)
    assert second.length_mm == pytest.approx(15.857, abs=1e-3)
    assert piece.figures_mm["top"] == pytest.approx(370)  # 40 - 3
    assert piece.figures_mm["top drawn"] == pytest.approx(370 + 2 * 15.857, abs=2e-3)


def test_a_dart_says_where_to_mark_and_how_it_is_trued() -> None:
    piece = piece_of(RECTANGLE, DART | {"corner": "centre", "at": "12 cm"}, on_fold=True)
    assert dart_of(piece)[1] == pytest.approx((120, 90))
    assert words(piece)[1:] == [
        "Mark 12 cm (4 3/4 in) along the top edge from the fold: the middle of the dart.",
        "Mark 1.5 cm (9/16 in) to each side of it, and 9 cm (3 1/2 in) into the piece, square to "
        "the edge: its tip.",
        # sqrt(1.5² + 9²) = 9.124; 91.24 / 25.4 = 3.592, to the sixteenth 3 9/16
        "Join both marks to the tip: the legs, 9.1 cm (3 9/16 in) each.",
        "Fold the dart shut and draw the top edge across it; opened out, its middle rises 0.5 cm "
        "(3/16 in) beyond the edge.",
        "Mark the tip on the cloth; where it is drilled, by custom a little inside the tip, so "
        "that the sewn dart hides the hole.",
    ]


@pytest.mark.parametrize("by", ["3 cm", "-3 cm"])
def test_a_dart_in_a_curve_has_equal_legs_and_takes_its_width(by: str) -> None:
    curved = piece_of(RECTANGLE, BOW | {"edge": "top", "by": by})
    piece = piece_of(RECTANGLE, BOW | {"edge": "top", "by": by}, DART)
    one, tip, other = dart_of(piece)
    assert math.dist(one, tip) == pytest.approx(math.dist(other, tip))
    assert curved.figures_mm["top"] - piece.figures_mm["top"] == pytest.approx(30, abs=1e-3)


def test_a_dart_deeper_than_a_thin_strip_is_refused() -> None:
    strip = RECTANGLE | {"length": "1 cm"}
    assert refusal_of(strip, DART | {"width": "6 cm"}) == (
        "Panel, dart: length 9 cm (3 1/2 in) is more than the piece is deep there, 1 cm (3/8 in)."
    )


def test_an_edge_with_a_dart_is_not_called_curved() -> None:
    slope = {"kind": "slope", "edge": "top", "end": "right side", "drop": "2 cm"}
    assert refusal_of(RECTANGLE, DART, slope) == (
        "Panel, slope: the top edge has a dart, pleats or gathers; make this move before them."
    )


def test_an_edge_keeps_its_gathers_when_its_corner_is_moved() -> None:
    gathers = {"kind": "fullness", "edge": "top", "how": "gathers", "by": "10 cm", "count": 4}
    slope = {"kind": "slope", "edge": "top", "end": "right side", "drop": "2 cm"}
    piece = piece_of(RECTANGLE, gathers, slope)
    # 30 + 10 wide as drawn, its end 2 lower; 10 are gathered in.
    assert piece.figures_mm["top"] == pytest.approx(10 * (math.hypot(40, 2) - 10))


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
        ({"length": "0 cm"}, "greater than zero"),
        ({"name": ""}, "give it a name"),
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


BACK = LEG | {"fork": "12 cm", "hem": "28 cm", "lean": "3 cm", "rise": "4 cm"}


@pytest.mark.parametrize("allowance", [6, 15, 25])
@pytest.mark.parametrize(
    ("moves", "on_fold"),
    [([PANEL], True), ([PANEL], False), ([LEG], False), ([BACK], False), ([RECTANGLE, DART], False),
     ([RECTANGLE, DART | {"width": "8 cm"}], True), ([LEG, DART | {"edge": "waist",
     "corner": "side", "at": "10 cm"}], False), ([RECTANGLE, BOW | {"edge": "top"}, DART], False),
     ([RECTANGLE, BOW], False), ([RECTANGLE, VEE], False), ([RECTANGLE, ROUND], False)],
)  # fmt: skip
def test_the_cut_line_stays_the_allowance_away_along_every_edge(
    moves: list[Move], on_fold: bool, allowance: int
) -> None:
    """Measured with shapely every millimetre or so, square to the seam line, within 0.1 mm.

    In a hollow, a point that lies nearer to another part of the seam line is that part's.
    """
    if on_fold:
        moves = [move | {"corner": "side"} if move["kind"] == "dart" else move for move in moves]
    piece = piece_of(*moves, on_fold=on_fold, allowance=f"{allowance} mm")
    seam, cut = shapely.Polygon(piece.seam_points), shapely.LinearRing(piece.cut_points)
    assert seam.boundary.distance(cut) == pytest.approx(0 if on_fold else allowance, abs=0.1)
    for edge in piece.outline:
        if not piece.allowances[edge.name].total_mm:
            continue
        steps = round(edge.length_mm)
        measured = 0
        for step in range(1, steps):
            (x, y), (dx, dy) = edge.at(edge.length_mm * step / steps)
            outside = shapely.Point(x + allowance * dy, y - allowance * dx)
            if seam.distance(outside) > allowance - 0.05:
                measured += 1
                assert cut.distance(outside) < 0.1, (edge.name, step)
        assert measured > steps / 2, edge.name


def test_every_formula_comes_to_the_length_beside_it() -> None:
    """The words that a viewer drafts by cannot disagree with the drawing."""
    from webapp.draft.expressions import read  # noqa: PLC0415

    for moves in ([PANEL], [LEG], [RECTANGLE, DART], [RECTANGLE, VEE], [RECTANGLE, BOW]):
        draft = draft_of(*moves)
        for sentence in draft.pieces[0].words:
            for slot, formula in sentence.formulas.items():
                worked_out = read(formula).length_mm(draft.names)
                assert worked_out == pytest.approx(sentence.lengths_mm[slot]), formula
