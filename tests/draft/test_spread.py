"""Spread: a piece slashed and opened like a fan."""

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.drafted import words
from tests.specimens import RECTANGLE, Move, draft_of, piece_of
from webapp.draft.markings import Notch
from webapp.draft.outline import Line

SCOOP: Move = {"kind": "scoop", "width": "12 cm", "depth": "10 cm"}
NOTCH: Move = {"kind": "notch", "edge": "side", "corner": "top", "at": "5 cm"}
SPREAD: Move = {"kind": "spread", "by": "9 cm", "count": 3}


def test_a_spread_swings_one_half_open_about_the_hinge() -> None:
    piece = piece_of(RECTANGLE, SPREAD | {"count": 1})
    # A turn of 9 / 50 = 0.18 rad about (15, 0); the left half stays… or turns: compare the sides.
    assert piece.outline.names == ("top", "right side", "hem", "left side")
    assert piece.figures_mm["top"] == pytest.approx(300)
    assert piece.figures_mm["hem"] == pytest.approx(300 + 90)
    assert piece.figures_mm["hem added"] == pytest.approx(90)
    right, left = piece.outline.edge("right side"), piece.outline.edge("left side")
    (ax, ay), (bx, by) = right.at(0)[1], left.at(0)[1]
    assert ax * bx + ay * by == pytest.approx(-math.cos(0.18))
    # The fan adds a sector of a circle: r² * angle / 2 = 50² * 0.18 / 2 = 225 cm²
    assert piece.outline.area_mm2 == pytest.approx(150000 + 22500)


def test_the_gap_of_a_spread_is_an_arc_about_its_hinge() -> None:
    piece = piece_of(RECTANGLE, SPREAD | {"count": 1})
    hinge = piece.outline.edge("top").segments[0].end
    arcs = [
        segment for segment in piece.outline.edge("hem").segments if not isinstance(segment, Line)
    ]
    for segment in arcs:
        for share in (0, 0.3, 0.7, 1):
            assert math.dist(segment.point(share), hinge) == pytest.approx(500, abs=0.01)
    headings = [segment.heading(end) for segment in piece.outline.edge("hem").segments
                for end in (0, 1)]  # fmt: skip
    for before, after in zip(headings[1:-1:2], headings[2::2], strict=True):
        assert before == pytest.approx(after, abs=1e-6), "no bend where cut and edge are square"


def test_a_spread_says_how_to_open_it() -> None:
    assert words(piece_of(RECTANGLE, SPREAD))[1:] == [
        "Divide the hem edge and the top edge into 4 equal parts each.",
        "Join the marks by lines that do not cross and cut along them, from the hem edge almost "
        "through the top edge.",
        "Turn the loose parts until each gap, measured along the curve the corner draws, is 3 cm "
        "(1 3/16 in): 9 cm (3 9/16 in) in all.",
        "Draw the hem edge again along those curves.",
    ]


def test_a_spread_leaves_the_fold_where_it_is() -> None:
    piece = piece_of(RECTANGLE, NOTCH, SPREAD, on_fold=True)
    assert piece.outline.edge("centre").on_fold
    assert piece.figures_mm["centre"] == pytest.approx(500)
    (notch,) = piece.markings
    assert isinstance(notch, Notch)
    side = piece.outline.edge("side")
    assert notch.at == pytest.approx(side.at(50)[0]), "it is still 5 cm down the side"
    # Three turns of 3 / 50 rad each: the side, upright before, leans out by 0.18 rad.
    (ux, uy) = side.at(0)[1]
    assert math.atan2(ux, uy) == pytest.approx(0.18)


@given(
    st.floats(0.5, 20),
    st.integers(1, 8),
    st.booleans(),
    st.sampled_from([("hem", "top"), ("top", "hem"), ("left", "right"), ("hem", "neck")]),
)
@settings(max_examples=60)
def test_a_spread_keeps_the_hinge_and_opens_the_edge(
    by: float, count: int, on_fold: bool, edges: tuple[str, str]
) -> None:
    edge, hinge = edges
    names = ("top", "right", "hem", "left")
    start = [RECTANGLE | {"edges": names}]
    if hinge == "neck":
        start.append(SCOOP | {"corner": "left"})
    move = SPREAD | {"edge": edge, "hinge": hinge, "by": f"{by} cm", "count": count}
    before = piece_of(*start, on_fold=on_fold)
    draft = draft_of(*start, move, on_fold=on_fold)
    if draft.problems:
        assert (on_fold and edge == "left") or "more than the cut is long" in (
            draft.problems[0].sentence
        )
        return
    piece = draft.piece("Panel")
    for name in before.outline.names:
        added = by * 10 if name == edge else 0
        assert piece.figures_mm[name] == pytest.approx(before.figures_mm[name] + added)
    assert shapely.Polygon(piece.seam_points).is_valid
