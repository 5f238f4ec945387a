"""Rectangle, band, ring, flared panel and trouser leg, each worked out by hand.

Corners are listed clockwise from the top of the first edge, in cm, with the sum beside a number.
"""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from tests.drafted import corners, words
from tests.specimens import RECTANGLE, Move, draft_of, piece_of, refusal_of

PANEL: Move = {"kind": "flared panel", "top": "18 cm", "hem": "30 cm", "length": "60 cm"}
LEG: Move = {"kind": "trouser leg", "width": "25 cm", "depth": "29 cm", "inside_leg": "75 cm",
             "fork": "6 cm", "hem": "20 cm"}  # fmt: skip
RING: Move = {"kind": "ring sector", "inner": "waist", "length": "60 cm"}
BAND: Move = {"kind": "band", "length": "80 cm", "width": "3 cm"}


# --- Rectangle -----------------------------------------------------------------------------


def test_a_rectangle_stands_with_its_top_left_corner_at_the_origin() -> None:
    piece = piece_of(RECTANGLE)
    #  (0, 0)────(30, 0)
    #     │         │
    #  (0, 50)───(30, 50)
    assert corners(piece) == [(0, 0), (30, 0), (30, 50), (0, 50)]
    assert piece.outline.names == ("top", "right side", "hem", "left side")
    assert words(piece) == ["Draw a rectangle 30 cm (11 3/4 in) wide and 50 cm (19 5/8 in) long."]


def test_a_rectangle_on_the_fold_has_its_centre_there() -> None:
    piece = piece_of(RECTANGLE, on_fold=True)
    assert piece.outline.names == ("top", "side", "hem", "centre")
    assert piece.outline.edge("centre").on_fold
    assert words(piece)[0].endswith("long, its left side on the fold.")


def test_a_rectangle_takes_other_edge_names() -> None:
    piece = piece_of(RECTANGLE | {"edges": ["mouth", "right", "foot", "left"]})
    assert piece.outline.names == ("mouth", "right", "foot", "left")
    assert words(piece)[1:] == [
        "Call its edges, clockwise from the top: mouth, right, foot and left."
    ]


# --- Band ----------------------------------------------------------------------------------


def test_a_folded_band_is_cut_twice_as_wide() -> None:
    piece = piece_of(BAND)
    assert corners(piece) == [(0, 0), (80, 0), (80, 6), (0, 6)]  # 2 * 3 = 6
    assert words(piece) == [
        "Draw a strip 80 cm (31 1/2 in) long and 6 cm (2 3/8 in) wide; folded lengthwise it is "
        "3 cm (1 3/16 in) wide."
    ]


def test_a_folded_band_says_both_widths_fine() -> None:
    piece = piece_of(BAND | {"width": "3.1 cm"})
    assert words(piece) == [
        # 62 / 25.4 = 2.441, to the nearest 1/16 in 2 7/16; 31 / 25.4 = 1.22, to 1 1/4
        "Draw a strip 80 cm (31 1/2 in) long and 6.2 cm (2 7/16 in) wide; folded lengthwise it is "
        "3.1 cm (1 1/4 in) wide."
    ]


def test_a_flat_band_is_as_wide_as_it_will_be_seen() -> None:
    piece = piece_of(BAND | {"folded": False})
    assert corners(piece)[2] == (80, 3)
    assert words(piece) == ["Draw a strip 80 cm (31 1/2 in) long and 3 cm (1 3/16 in) wide."]


def test_a_band_on_the_fold_is_drawn_half_as_long() -> None:
    piece = piece_of(BAND, on_fold=True)
    assert corners(piece) == [(0, 0), (40, 0), (40, 6), (0, 6)]  # 80 / 2 = 40
    assert words(piece)[0].startswith(
        "Draw a strip 40 cm (15 3/4 in) long and 6 cm (2 3/8 in) wide, its left end on the fold; "
        "folded"
    )
    assert shapely.Polygon(piece.whole_cut_points).bounds[2] * 2 == pytest.approx(
        800 + 2 * 15  # the strip and an allowance at each end
    )


# --- Ring sector ---------------------------------------------------------------------------


def test_half_a_circle_on_the_fold_is_a_quarter_of_a_ring() -> None:
    piece = piece_of(RING | {"inner": "31.4159265359 cm", "length": "20 cm"}, on_fold=True)
    #  radius = 31.4159 / pi = 10; the centre of the circle is (0, -10)
    #            (10, -10)────(30, -10)     10 + 20 = 30
    #  (0, 0)╯                   │
    #  (0, 20)─────────────────╯
    assert corners(piece) == [(0, 0), (10, -10), (30, -10), (0, 20)]
    assert piece.outline.names == ("waist", "side", "hem", "centre")
    assert words(piece) == [
        "Draw an arc with the radius 10 cm (3 15/16 in), its centre on the line of the fold: the "
        "waist.",
        "From the same centre draw a second arc, radius 30 cm (11 13/16 in): the hem.",
        "Keep 1/4 of the circle beside the fold: opened out it is 1/2.",
    ]


@pytest.mark.parametrize(
    ("share", "whole", "on_the_fold"),
    [
        ("1/2", "1/2", "1/4 of the circle beside the fold: opened out it is 1/2"),
        ("1/6", "1/6", "1/12 of the circle beside the fold: opened out it is 1/6"),
        ("0.75", "3/4", "3/8 of the circle beside the fold: opened out it is 3/4"),
        ("0.3333", "1/3", "1/6 of the circle beside the fold: opened out it is 1/3"),
        ("5/24", "5/24", "5/48 of the circle beside the fold: opened out it is 5/24"),
        # 0.17 * 360 = 61.2 and half of it 30.6; 0.43 * 360 = 154.8 and 77.4
        ("0.17", "61.2°", "30.6° of the circle beside the fold: opened out it is 61.2°"),
        ("0.43", "154.8°", "77.4° of the circle beside the fold: opened out it is 154.8°"),
    ],
)
def test_a_share_is_told_as_it_can_be_drawn(share: str, whole: str, on_the_fold: str) -> None:
    """As a fraction in lowest terms where it is one, else in degrees."""
    ring = RING | {"share": share}
    assert words(piece_of(ring))[2] == f"Keep {whole} of the circle between the two arcs."
    assert words(piece_of(ring, on_fold=True))[2] == f"Keep {on_the_fold}."


@given(st.floats(40, 150), st.floats(10, 120), st.integers(30, 900), st.booleans())
def test_a_ring_sector_has_the_length_and_area_of_its_share_of_the_ring(
    inner: float, length: float, thousandths: int, on_fold: bool
) -> None:
    """Area of a share of a ring: share * pi * (R² - r²); its inner edge: share * 2 * pi * r."""
    move = RING | {
        "inner": f"{inner:.6f} cm",
        "length": f"{length:.6f} cm",
        "share": f"{thousandths} / 1000",
    }
    share = thousandths / 1000
    draft = draft_of(move, on_fold=on_fold, allowance="0 cm")
    piece = draft.piece("Panel")
    half = 2 if on_fold else 1
    radius, outer = piece.figures_mm["radius"], piece.figures_mm["outer radius"]
    assert piece.figures_mm["waist"] * half == pytest.approx(inner * 10, rel=1e-6)
    assert piece.figures_mm["hem"] * half == pytest.approx(2 * math.pi * outer * share, rel=1e-5)
    expected = share * math.pi * (outer**2 - radius**2)
    assert piece.outline.area_mm2 * half == pytest.approx(expected, rel=1e-5)


# --- Flared panel --------------------------------------------------------------------------


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


@pytest.mark.parametrize(("on_fold", "most"), [(True, 18 + 60), (False, 18 + 2 * 60)])
def test_a_panel_may_flare_until_its_sides_go_out_as_far_as_down(on_fold: bool, most: int) -> None:
    """45°, as the four gores of a whole circle slant: 360° / 4 / 2."""
    widest = piece_of(PANEL | {"hem": f"{most} cm"}, on_fold=on_fold)
    side = widest.outline.edge("side" if on_fold else "right side")
    (x0, y0), (x1, y1) = side.start, side.end
    assert math.degrees(math.atan2(x1 - x0, y1 - y0)) == pytest.approx(45)
    told = refusal_of(PANEL | {"hem": f"{most + 1} cm"}, on_fold=on_fold)
    assert told.startswith(f"Panel, flared panel: a hem of {most + 1} cm (")
    assert f"is more than sides of this length can slant to, {most} cm (" in told
    assert told.endswith("Start so wide a skirt as a ring or part of one.")


def test_a_panel_may_not_narrow_to_nearly_flat_sides_either() -> None:
    told = refusal_of(PANEL | {"top": "80 cm", "hem": "10 cm", "level": False}, on_fold=True)
    assert "is less than sides of this length can slant to, 20 cm (7 7/8 in)" in told  # 80 - 60


# --- Trouser leg ---------------------------------------------------------------------------


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
        "Square to its foot mark 10 cm (3 15/16 in) to each side: the hem. Join its ends to the "
        "side at the crotch level and to the crotch point.",
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
