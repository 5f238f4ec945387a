"""Splits: the two parts, what lies on them, what is refused.

Corners are listed clockwise from the top of the first edge, in cm, with the sum beside a number.
"""

import math
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.drafted import corners, front, garment_of, last_of, made, words
from tests.specimens import RECTANGLE, Move, refusal_of
from webapp.draft.markings import MarkedLine

NOTCH: Move = {"kind": "notch", "edge": "side", "corner": "top", "at": "5 cm"}
POCKET: Move = {"kind": "pocket place", "edge": "side", "corner": "hem", "across": "4 cm",
                "down": "4 cm", "width": "10 cm", "length": "12 cm"}  # fmt: skip
YOKE: Move = {"kind": "split part", "of": "Front", "part": "yoke"}
SPLIT: Move = {"kind": "split", "edge": "side", "corner": "top", "at": "12 cm", "to": "centre",
               "to_corner": "top", "to_at": "15 cm", "keep": "hem", "name": "yoke seam",
               "part": "yoke"}  # fmt: skip


def test_a_split_parts_a_yoke_from_the_rest() -> None:
    draft = garment_of(front(SPLIT, on_fold=True), {**made(YOKE, on_fold=True), "name": "Yoke"})
    assert not draft.problems
    rest, yoke = draft.piece("Front"), draft.piece("Yoke")
    #   (0, 0)────(30, 0)         the yoke
    #      │     (30, 12)
    #  (0, 15)──╯
    #
    #            (30, 12)
    #  (0, 15)──╯    │            the rest
    #  (0, 50)───(30, 50)
    assert yoke.outline.names == ("top", "side", "yoke seam", "centre")
    assert corners(yoke) == [(0, 0), (30, 0), (30, 12), (0, 15)]
    assert rest.outline.names == ("side", "hem", "centre", "yoke seam")
    assert corners(rest) == [(30, 12), (30, 50), (0, 50), (0, 15)]
    # 30 * (12 + 15) / 2 = 405 cm² of the 30 * 50 = 1500
    assert yoke.outline.area_mm2 == pytest.approx(40500)
    assert rest.outline.area_mm2 == pytest.approx(150000 - 40500)
    assert yoke.figures_mm["yoke seam"] == pytest.approx(math.hypot(300, 30))
    assert rest.figures_mm["yoke seam"] == pytest.approx(yoke.figures_mm["yoke seam"])
    assert words(yoke) == ["Take the yoke that was cut off the Front."]
    assert words(rest)[1:] == [
        "Mark two points: 12 cm (4 3/4 in) along the side edge from its corner with the top edge, "
        "and 15 cm (5 7/8 in) along the fold from its corner with the top edge.",
        "Draw a line from point to point and cut the piece in two along it: the yoke seam, a seam "
        "of both parts.",
        "Keep the part with the hem edge; the other is the yoke.",
    ]


def test_either_part_may_be_kept() -> None:
    upper = last_of(front(SPLIT | {"keep": "top"}, on_fold=True))
    assert corners(upper) == [(0, 0), (30, 0), (30, 12), (0, 15)]
    rest = last_of(front(SPLIT | {"keep": "top"}, on_fold=True), made(YOKE, on_fold=True))
    assert corners(rest) == [(30, 12), (30, 50), (0, 50), (0, 15)]


def test_a_split_may_start_and_end_at_corners() -> None:
    diagonal = SPLIT | {"at": "0 cm", "edge": "top", "corner": "left side", "to": "hem",
                        "to_corner": "right side", "to_at": "0 cm",
                        "keep": "left side"}  # fmt: skip
    kept, off = garment_of(front(diagonal), made(YOKE)).pieces
    assert corners(kept) == [(30, 50), (0, 50), (0, 0)]
    assert corners(off) == [(0, 0), (30, 0), (30, 50)]
    assert words(kept)[1] == (
        "Mark two points: the corner of the top edge with the left side edge, and the corner of "
        "the hem edge with the right side edge."
    )


@given(st.floats(0.5, 49.5), st.floats(0.5, 49.5), st.booleans(), st.booleans())
@settings(max_examples=40)
def test_the_parts_of_a_split_add_up(
    at: float, to_at: float, whole_kept: bool, rounded: bool
) -> None:
    """Areas, and the lengths of the edges that are cut."""
    moves = [{"kind": "bow", "edge": "right side", "by": "4 cm"}] if rounded else []
    split = SPLIT | {"edge": "right side", "at": f"{at} cm", "to": "left side",
                     "to_at": f"{to_at} cm", "keep": "top" if whole_kept else "hem"}  # fmt: skip
    before = last_of(front(*moves))
    kept, off = garment_of(front(*moves, split), made(YOKE)).pieces
    both = (kept.outline, off.outline)
    assert sum(outline.area_mm2 for outline in both) == pytest.approx(before.outline.area_mm2)
    for name in ("right side", "left side"):
        parts = sum(outline.edge(name).length_mm for outline in both)
        assert parts == pytest.approx(before.outline.edge(name).length_mm)
    for outline in both:
        assert shapely.Polygon(outline.points()).is_valid


def test_markings_go_with_their_part() -> None:
    kept, off = garment_of(
        front(NOTCH, POCKET, SPLIT, on_fold=True), made(YOKE, on_fold=True)
    ).pieces
    assert [mark.name for mark in off.markings] == ["notch"]
    assert {mark.name for mark in kept.markings if isinstance(mark, MarkedLine)} == {"pocket"}
    assert len(kept.markings) + len(off.markings) == 1 + 3, "the pocket has two holes"


def test_a_dart_in_a_cut_edge_stays_with_its_part() -> None:
    dart = {"kind": "dart", "edge": "side", "corner": "top", "at": "25 cm", "width": "3 cm",
            "length": "10 cm"}  # fmt: skip
    whole = last_of(front(dart, on_fold=True))
    kept, off = garment_of(front(dart, SPLIT, on_fold=True), made(YOKE, on_fold=True)).pieces
    assert off.outline.edge("side").taken_mm == 0
    assert kept.outline.edge("side").taken_mm == whole.outline.edge("side").taken_mm > 0
    assert kept.figures_mm["side"] + off.figures_mm["side"] == pytest.approx(
        whole.figures_mm["side"]
    )
    into = SPLIT | {"at": "24.5 cm"}
    assert refusal_of(RECTANGLE, dart, into, on_fold=True) == (
        "Panel, split: the line would cut into a dart, a pleat or gathers of the side edge; split "
        "the piece before they are made."
    )


def test_a_part_away_from_the_fold_is_no_half() -> None:
    upright = SPLIT | {"edge": "top", "corner": "side", "at": "10 cm", "to": "hem",
                       "to_corner": "side", "to_at": "10 cm", "keep": "centre"}  # fmt: skip
    side = last_of(front(upright, on_fold=True), made(YOKE))
    assert corners(side) == [(20, 0), (30, 0), (30, 50), (20, 50)]  # 30 - 10 = 20
    draft = garment_of(front(upright, on_fold=True), made(YOKE, on_fold=True))
    assert [problem.sentence for problem in draft.problems] == [
        "Panel, part that was split off: a piece cut on the fold needs one straight edge along "
        "the fold."
    ]


def test_a_part_that_was_not_split_off_is_told() -> None:
    def told(first: dict[str, Any]) -> list[str]:
        draft = garment_of(first, made(YOKE | {"part": "cuff"}, on_fold=True))
        return [problem.sentence for problem in draft.problems]

    assert told(front(on_fold=True)) == [
        "Panel, part that was split off: nothing was split off Front; give it the move “split” "
        "first."
    ]
    assert told(front(SPLIT, on_fold=True)) == [
        "Panel, part that was split off: no part called “cuff” was split off Front; what was: yoke."
    ]


def test_two_parts_split_off_one_piece_need_two_names() -> None:
    again = SPLIT | {"at": "20 cm", "to_at": "20 cm", "edge": "side", "corner": "yoke seam",
                     "to_corner": "yoke seam", "name": "second seam"}  # fmt: skip
    assert refusal_of(RECTANGLE, SPLIT, again, on_fold=True) == (
        "Panel, split: a part called “yoke” was split off already."
    )
