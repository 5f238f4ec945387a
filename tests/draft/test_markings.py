"""The moves that mark: notches, drill holes, pocket places, buttonholes; and what they refuse."""

import math
from typing import Any

import pytest
import shapely

from tests.specimens import RECTANGLE, Move, draft_of, piece_of, refusal_of
from webapp.draft.evaluate import Piece
from webapp.draft.markings import DrillHole, MarkedLine, Marking, Notch

NOTCH: Move = {"kind": "notch", "edge": "right side", "corner": "top", "at": "20 cm"}
HOLE: Move = {"kind": "drill hole", "edge": "top", "corner": "left side", "across": "5 cm",
              "down": "12 cm"}  # fmt: skip
POCKET: Move = {"kind": "pocket place", "edge": "top", "corner": "left side", "across": "4 cm",
                "down": "12 cm", "width": "14 cm", "length": "16 cm"}  # fmt: skip
HOLES: Move = {"kind": "buttonholes", "edge": "right side", "corner": "top", "first": "3 cm",
               "last": "43 cm", "count": 5, "inset": "1 cm", "length": "2 cm"}  # fmt: skip
SCOOP: Move = {"kind": "scoop", "width": "12 cm", "depth": "10 cm"}


def marks(piece: Piece, kind: type[Marking]) -> list[Any]:
    return [mark for mark in piece.markings if isinstance(mark, kind)]


def in_cm(points: Any) -> list[tuple[float, float]]:
    return [(round(x / 10, 4), round(y / 10, 4)) for x, y in points]


def words(piece: Piece) -> list[str]:
    return [sentence.show("cm") for sentence in piece.words[1:]]


# --- Notch ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("corner", "y"), [("top", 20), ("hem", 50 - 20)])
def test_a_notch_is_counted_from_the_corner_named(corner: str, y: float) -> None:
    piece = piece_of(RECTANGLE, NOTCH | {"corner": corner})
    (notch,) = marks(piece, Notch)
    assert (notch.edge, notch.double) == ("right side", False)
    assert in_cm(notch.points) == [(30, y)]
    assert piece.figures_mm["notch at"] == pytest.approx(200)


def test_a_notch_changes_neither_the_outline_nor_the_cut_line() -> None:
    plain, notched = piece_of(RECTANGLE), piece_of(RECTANGLE, NOTCH)
    assert notched.outline == plain.outline
    assert notched.cut_points == plain.cut_points


def test_a_notch_on_a_curve_is_counted_along_the_curve() -> None:
    """On an arc of radius r, so far along is the angle (distance / r): the definition of a radian.

    A half ring on a waist line of 40 cm has the radius 40 / pi cm.
    """
    ring = {"kind": "ring sector", "inner": "40 cm", "length": "60 cm", "share": "1/2"}
    piece = piece_of(ring, NOTCH | {"edge": "waist", "corner": "left side", "at": "10 cm"})
    (notch,) = marks(piece, Notch)
    radius = 400 / math.pi
    x, y = notch.at
    assert math.hypot(x, y + radius) == pytest.approx(radius, abs=0.05)
    assert math.degrees(math.atan2(-x, y + radius)) == pytest.approx(45, abs=0.01)


def test_a_notch_at_no_distance_marks_the_corner_itself() -> None:
    """As for the centre of a hem that lies on the fold."""
    piece = piece_of(
        RECTANGLE, NOTCH | {"edge": "hem", "corner": "centre", "at": "0 cm"}, on_fold=True
    )
    assert in_cm(marks(piece, Notch)[0].points) == [(0, 50)]
    assert words(piece) == ["Draw a notch out from the hem edge, at its corner with the fold."]


def test_a_notch_is_told_with_its_distance_and_what_it_is_worked_out_from() -> None:
    piece = piece_of(RECTANGLE, NOTCH | {"double": True, "at": "bust / 4"})
    assert words(piece) == [
        "Draw a double notch out from the right side edge, 23 cm (9 1/16 in) from its corner with "
        "the top edge."
    ]  # 230 / 25.4 = 9.055, to the sixteenth as where a seam tells two notches that do not meet
    # The notch in the sentence, and the figure that others quote.
    assert piece.words[1].formulas == {"notch": "bust / 4", "notch at": "bust / 4"}


def test_a_move_that_would_leave_a_notch_in_the_air_comes_before_it() -> None:
    taper = {"kind": "taper", "edge": "right side", "end": "hem", "by": "6 cm"}
    assert "“notch” was marked where the piece has no cloth any more" in refusal_of(
        RECTANGLE, NOTCH, taper
    )
    assert not draft_of(RECTANGLE, taper, NOTCH).problems


# --- Drill hole -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("edge", "corner", "at"),
    [
        ("top", "left side", (5, 12)),
        ("top", "right side", (30 - 5, 12)),
        ("hem", "right side", (30 - 5, 50 - 12)),
        ("left side", "hem", (5, 50 - 12)),
    ],
)
def test_a_drill_hole_is_counted_from_any_corner_into_the_piece(
    edge: str, corner: str, at: tuple[float, float]
) -> None:
    piece = piece_of(RECTANGLE, HOLE | {"edge": edge, "corner": corner})
    (hole,) = marks(piece, DrillHole)
    assert in_cm(hole.points) == [at]
    assert (") down" if at[1] == 12 else ") up") in words(piece)[0]


def test_beside_a_neck_a_drill_hole_is_counted_across_and_down_all_the_same() -> None:
    piece = piece_of(RECTANGLE, SCOOP, HOLE | {"edge": "neck", "corner": "centre"}, on_fold=True)
    assert in_cm(marks(piece, DrillHole)[0].points) == [(5, 10 + 12)]


def test_a_drill_hole_may_lie_on_the_fold_which_is_inside_the_cloth() -> None:
    piece = piece_of(RECTANGLE, HOLE | {"corner": "centre", "across": "0 cm"}, on_fold=True)
    assert in_cm(marks(piece, DrillHole)[0].points) == [(0, 12)]
    assert words(piece) == [
        "From the corner of the top edge and the fold measure 12 cm (4 3/4 in) down, "
        "and mark the point with a circle and a cross."
    ]


# --- Pocket place -----------------------------------------------------------------------------


def test_a_pocket_place_is_a_rectangle_with_a_hole_inside_each_upper_corner() -> None:
    piece = piece_of(RECTANGLE, POCKET)
    (line,) = marks(piece, MarkedLine)
    assert in_cm(line.points) == [(4, 12), (18, 12), (18, 28), (4, 28), (4, 12)]
    assert line.kind == "pocket"
    pocket = shapely.Polygon(line.points)
    for hole in marks(piece, DrillHole):
        assert shapely.contains(pocket, shapely.Point(hole.at))
        assert hole.at[1] - 120 == pytest.approx(3)
    assert [hole.name for hole in marks(piece, DrillHole)] == ["pocket left", "pocket right"]


def test_a_pocket_counted_from_below_has_its_holes_at_the_top_all_the_same() -> None:
    piece = piece_of(RECTANGLE, POCKET | {"edge": "hem", "corner": "right side"})
    (line,) = marks(piece, MarkedLine)
    # (30 - 4 - 14, 50 - 12 - 16) to (30 - 4, 50 - 12)
    assert in_cm(line.points[:3:2]) == [(12, 22), (26, 38)]
    assert {hole.at[1] for hole in marks(piece, DrillHole)} == {223}


def test_a_pocket_across_the_fold_has_one_hole_in_the_half() -> None:
    piece = piece_of(RECTANGLE, POCKET | {"corner": "centre", "across": "0 cm"}, on_fold=True)
    assert in_cm(marks(piece, MarkedLine)[0].points)[0] == (0, 12)
    assert [hole.name for hole in marks(piece, DrillHole)] == ["pocket right"]
    assert words(piece)[1] == (
        "From there draw the half of the pocket beside the fold, 14 cm (5 1/2 in) wide and 16 cm "
        "(6 1/4 in) long, and mark a hole 0.3 cm (1/8 in) in and 0.3 cm (1/8 in) down from its "
        "upper corner."
    )


def test_a_pocket_in_the_corner_itself_starts_there() -> None:
    corner = POCKET | {"across": "0 cm", "down": "0 cm"}
    assert words(piece_of(RECTANGLE, corner))[0] == (
        "Start at the corner of the top edge and the left side edge: the nearest corner of the "
        "pocket."
    )


# --- Buttonholes ------------------------------------------------------------------------------


def test_buttonholes_are_evenly_spaced_from_the_first_to_the_last() -> None:
    piece = piece_of(RECTANGLE, HOLES)
    lines = marks(piece, MarkedLine)
    # from 3 to 43 cm in four gaps: 10 cm apart
    assert [in_cm(line.points) for line in lines] == [
        [(29, y), (27, y)] for y in (3, 13, 23, 33, 43)
    ]
    assert piece.figures_mm["buttonholes spacing"] == pytest.approx(100)
    assert words(piece)[0].endswith("between them, 10 cm (3 15/16 in) apart.")


def test_buttonholes_along_an_edge_lie_on_a_line_beside_it() -> None:
    piece = piece_of(RECTANGLE, HOLES | {"lie": "along", "count": 2})
    assert [in_cm(line.points) for line in marks(piece, MarkedLine)] == [
        [(29, 2), (29, 4)], [(29, 42), (29, 44)]
    ]  # fmt: skip
    assert words(piece)[0].endswith("the first and the last of 2 buttonholes.")


def test_a_single_buttonhole_needs_no_last_one() -> None:
    piece = piece_of(RECTANGLE, HOLES | {"count": 1, "last": ""})
    assert [in_cm(line.points) for line in marks(piece, MarkedLine)] == [[(29, 3), (27, 3)]]
    assert "buttonholes spacing" not in piece.figures_mm


def test_a_buttonhole_takes_the_button_and_its_thickness() -> None:
    """Diameter plus thickness, 1 + 1/4 in gives 1 1/4 in (sewing.about.com, aa060399)."""
    piece = piece_of(RECTANGLE, HOLES | {"length": "1 in + 1/4 in"})
    (start, end) = marks(piece, MarkedLine)[0].points
    assert math.dist(start, end) == pytest.approx(1.25 * 25.4)


# --- What is refused --------------------------------------------------------------------------

REFUSED: list[tuple[str, list[Move], str]] = [
    ("notch past the end", [NOTCH | {"at": "51 cm"}],
     "Panel, notch: 51 cm (20 1/8 in) is further than the right side edge is long, "
     "50 cm (19 5/8 in)."),
    ("notch before the corner", [NOTCH | {"at": "-2 cm"}],
     "Panel, notch: at comes to -2 cm (-13/16 in); it must be greater than zero."),
    ("notch from a corner that is none", [NOTCH | {"corner": "left side"}],
     "Panel, notch: the right side and left side edges do not meet at a corner."),
    ("second notch of a name", [NOTCH, NOTCH | {"at": "30 cm", "name": "Notch"}],
     "Panel, notch: there is a “notch” already; name this one differently."),
    ("notch without a name", [NOTCH | {"name": " "}],
     "Panel, notch: give it a name, so that words and drawings can tell it."),
    ("hole beside the piece", [HOLE | {"across": "31 cm"}],
     "Panel, drill hole: that point, counted from the corner of the top and left side edges, "
     "lies outside the piece."),
    ("hole on the seam line", [HOLE | {"across": "0 cm"}],
     "Panel, drill hole: that point, counted from the corner of the top and left side edges, "
     "lies outside the piece."),
    ("pocket over the side", [POCKET | {"across": "20 cm"}],
     "Panel, pocket place: the pocket would reach outside the piece; set it nearer to the "
     "middle, or make it smaller."),
    ("pocket wider than the piece", [POCKET | {"width": "32 cm"}],
     "Panel, pocket place: width 32 cm (12 5/8 in) is more than the piece has, "
     "30 cm (11 3/4 in)."),
    ("buttonholes end to end", [HOLES | {"lie": "along", "count": 20}],
     # 40 cm in 19 gaps against 2 cm and 0.5 cm of sewing
     "Panel, buttonholes: the buttonholes would overlap: they are 2.1 cm (13/16 in) apart and "
     "need 2.5 cm (1 in)."),
    ("last buttonhole before the first", [HOLES | {"last": "2 cm"}],
     "Panel, buttonholes: last 2 cm (13/16 in) is not beyond the first, 3 cm (1 3/16 in)."),
    ("last buttonhole past the end", [HOLES | {"last": "60 cm"}],
     "Panel, buttonholes: 60 cm (23 5/8 in) is further than the right side edge is long, "
     "50 cm (19 5/8 in)."),
    ("buttonholes longer than the piece is wide", [HOLES | {"length": "30 cm"}],
     "Panel, buttonholes: buttonhole 1 would reach outside the piece; make it shorter, or set "
     "it further in."),
    ("buttonholes without a last", [HOLES | {"last": ""}],
     "Panel, buttonholes: last: There is no figure here. Write one, like 12 cm or bust / 2."),
]  # fmt: skip


@pytest.mark.parametrize(
    ("moves", "sentence"), [r[1:] for r in REFUSED], ids=[r[0] for r in REFUSED]
)
def test_a_mark_that_cannot_be_made_says_why(moves: list[Move], sentence: str) -> None:
    assert refusal_of(RECTANGLE, *moves) == sentence


def test_buttonholes_need_a_straight_edge() -> None:
    holes = HOLES | {"edge": "neck", "corner": "centre"}
    sentence = refusal_of(RECTANGLE, SCOOP, holes, on_fold=True)
    assert "the neck edge is curved; this move needs a straight one" in sentence
