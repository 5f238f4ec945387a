"""Darts: what they take out of an edge, how their end is trued, what is refused."""

import math

import pytest
import shapely

from tests.drafted import words
from tests.specimens import RECTANGLE, Move, draft_of, piece_of, refusal_of
from webapp.draft.evaluate import Piece
from webapp.draft.markings import DrillHole, MarkedLine
from webapp.draft.outline import Point

DART: Move = {"kind": "dart", "corner": "right side", "at": "15 cm", "width": "3 cm",
              "length": "9 cm"}  # fmt: skip
BOW: Move = {"kind": "bow", "edge": "right side", "by": "2 cm"}


def mirrored(point: Point, one: Point, other: Point) -> Point:
    """The point's image in the line through two others (the textbook formula)."""
    dx, dy = other[0] - one[0], other[1] - one[1]
    along = ((point[0] - one[0]) * dx + (point[1] - one[1]) * dy) / (dx * dx + dy * dy)
    foot = (one[0] + along * dx, one[1] + along * dy)
    return (2 * foot[0] - point[0], 2 * foot[1] - point[1])


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
        # 90 / 25.4 = 3.543, to the sixteenth 3 9/16
        "Mark 1.5 cm (9/16 in) to each side of it, and from it 9 cm (3 9/16 in) into the piece, "
        "square to the edge: the tip.",
        # sqrt(1.5² + 9²) = 9.124; 91.24 / 25.4 = 3.592, to the sixteenth 3 9/16
        "Join both marks to the tip: the legs, 9.1 cm (3 9/16 in) each.",
        "Fold the dart shut and draw the top edge across it; opened out, its middle rises 0.5 cm "
        "(3/16 in) beyond the edge.",
        "Mark the tip on the cloth. By custom a hole for it is made a little inside the tip, so "
        "that the sewn dart hides it.",
    ]
    assert [sentence.in_own_text().show("cm") for sentence in piece.words[3:5]] == [
        "Join both marks to the tip: the legs, both as long.",
        "Fold the dart shut and draw the top edge across it; opened out, its middle rises a little "
        "beyond the edge.",
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
        "Panel, dart: length 9 cm (3 9/16 in) is more than the piece is deep there, 1 cm (3/8 in)."
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


@pytest.mark.parametrize(
    ("width", "why"),
    [
        ("1 cm", "it would start inside a fold of the top edge; set it beside the fold."),
        ("6 cm", "it would run into “knife pleat 1”."),
    ],
)
def test_a_dart_may_not_run_into_a_pleat(width: str, why: str) -> None:
    # Two pleats of 5 cm, from 7.5 and from 27.5 cm on a top of 40 cm; 40 - 10 = 30, in the second.
    pleats = {"kind": "fullness", "by": "10 cm", "how": "knife pleats", "count": 2}
    dart = DART | {"at": "10 cm", "width": width}
    assert refusal_of(RECTANGLE, pleats, dart) == f"Panel, dart: {why}"
    assert not draft_of(RECTANGLE, pleats, dart | {"at": "20 cm"}).problems


def test_two_darts_may_not_run_into_each_other() -> None:
    second = DART | {"at": "16 cm", "name": "other", "width": "2 cm"}
    assert "dart" in refusal_of(RECTANGLE, DART, second)
