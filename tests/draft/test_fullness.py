"""Fullness: cloth let in and taken up in gathers, pleats and tucks.

Corners are listed clockwise from the top of the first edge, in cm, with the sum beside a number.
"""

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.drafted import corners, in_cm, words
from tests.specimens import RECTANGLE, Move, draft_of, piece_of
from webapp.draft.markings import MarkedLine

RING: Move = {"kind": "ring sector", "inner": "80 cm", "length": "60 cm", "share": "1/2"}
NOTCH: Move = {"kind": "notch", "edge": "side", "corner": "top", "at": "5 cm"}
GATHERS: Move = {"kind": "fullness", "by": "20 cm"}


def test_a_gathered_skirt_on_the_fold_is_wider_by_what_is_let_in() -> None:
    piece = piece_of(RECTANGLE, GATHERS, on_fold=True)
    assert corners(piece) == [(0, 0), (50, 0), (50, 50), (0, 50)]  # 30 + 20 = 50
    assert piece.figures_mm["top"] == pytest.approx(300), "as it is sewn"
    assert piece.figures_mm["top drawn"] == pytest.approx(500)
    assert piece.figures_mm["hem"] == pytest.approx(500)
    assert piece.figures_mm["top added"] == pytest.approx(200)
    assert piece.outline.edge("top").is_straight and piece.outline.edge("hem").is_straight
    assert not piece.markings, "a whole edge needs no marks to say where"
    assert words(piece)[1:] == [
        "From the middle of the top edge draw a line square to it, straight across the piece.",
        "Cut the paper along the line and move the two parts 20 cm (7 7/8 in) apart, the same all "
        "along.",
        "Gather the top edge up to 30 cm (11 3/4 in) again.",
    ]
    assert piece.words[-1].in_own_text().show("cm") == (
        "Gather the top edge up again to what it measured before the paper was cut."
    )


def test_a_stretch_of_an_edge_may_be_gathered_between_two_notches() -> None:
    move = GATHERS | {"start": "4 cm", "end": "14 cm", "corner": "right side"}
    piece = piece_of(RECTANGLE, move)
    assert piece.figures_mm["top drawn"] == pytest.approx(500)
    # From the right side 4 and 14 cm: 30 - 14 = 16 and 30 - 4 = 26, + 20 let in = 46
    assert {mark.name: in_cm(mark.points) for mark in piece.markings} == {
        "top gathers from": [(16, 0)],
        "top gathers to": [(46, 0)],
    }
    assert words(piece)[1] == (
        "Mark 4 cm (1 9/16 in) and 14 cm (5 1/2 in) along the top edge from its corner with the "
        "right side edge."
    )
    assert words(piece)[-1] == (
        "Gather the top edge between the marks up to 10 cm (3 15/16 in) again."
    )


@pytest.mark.parametrize(
    ("stretch", "mark", "where"),
    [
        ({"end": "10 cm"}, "Mark 10 cm (3 15/16 in) along", "between that corner and the mark"),
        ({"start": "10 cm"}, "Mark 10 cm (3 15/16 in) along", "beyond the mark"),
    ],
)
@pytest.mark.parametrize("corner", ["left side", "right side"])
def test_a_stretch_up_to_an_end_of_the_edge_has_one_mark(
    stretch: Move, mark: str, where: str, corner: str
) -> None:
    told = words(piece_of(RECTANGLE, GATHERS | stretch | {"corner": corner}))
    assert told[1] == f"{mark} the top edge from its corner with the {corner} edge."
    assert told[-1].startswith(f"Gather the top edge {where} up to ")


@pytest.mark.parametrize(
    ("how", "by", "depth", "name", "places"),
    [
        # The cuts at 30 / 4 = 7.5 and 22.5; each lets in 24 / 2 = 12.
        ("knife pleats", "24 cm", 6, "knife pleat", [7.5, 13.5, 19.5, 34.5, 40.5, 46.5]),
        ("box pleats", "24 cm", 3, "box pleat", [7.5, 10.5, 16.5, 19.5, 34.5, 37.5, 43.5, 46.5]),
        ("tucks", "2 cm", 0.5, "tuck", [7.5, 8, 8.5, 23.5, 24, 24.5]),
    ],
)
def test_pleats_and_tucks_are_marked_by_the_lines_to_fold_on(
    how: str, by: str, depth: float, name: str, places: list[float]
) -> None:
    piece = piece_of(RECTANGLE, GATHERS | {"how": how, "by": by, "count": 2})
    lines = [mark for mark in piece.markings if isinstance(mark, MarkedLine)]
    assert all(mark.name.startswith(name) for mark in lines)
    assert len({mark.name for mark in lines}) == len(lines)
    assert sorted(in_cm(mark.points) for mark in lines) == [[(x, 0), (x, 10)] for x in places]
    kind = "tuck" if how == "tucks" else "pleat"
    assert {mark.kind for mark in lines} == {kind}
    assert piece.figures_mm[f"{kind} depth"] == pytest.approx(depth * 10)
    assert piece.figures_mm["top"] == pytest.approx(300)


def test_pleats_say_how_they_are_laid() -> None:
    piece = piece_of(RECTANGLE, GATHERS | {"how": "box pleats", "by": "24 cm", "count": 2})
    assert words(piece)[1:] == [
        "Divide the top edge into 2 equal parts, and from the middle of each draw a line square "
        "to it, straight across the piece.",
        "Cut the paper along the lines and move the parts 12 cm (4 3/4 in) apart at each, the same "
        "all along: 24 cm (9 1/2 in) in all.",
        "Mark both sides of each gap and a quarter of its width in from each: the lines to fold "
        "on.",
        "Fold each gap away in a box pleat 3 cm (1 3/16 in) deep, 15 cm (5 7/8 in) from one to the "
        "next.",
    ]
    assert piece.words[-1].in_own_text().show("cm") == (
        "Fold each gap away in a box pleat 3 cm (1 3/16 in) deep; the next lies one of the equal "
        "parts further along."
    )


def test_fullness_moves_the_markings_beside_a_cut() -> None:
    piece = piece_of(RECTANGLE, NOTCH, GATHERS, on_fold=True)
    (notch,) = piece.markings
    assert in_cm(notch.points) == [(50, 5)]  # 30 + 20


def test_a_side_may_be_gathered_up_to_the_fold() -> None:
    piece = piece_of(RECTANGLE, GATHERS | {"edge": "side"}, on_fold=True)
    assert piece.figures_mm["centre"] == pytest.approx(700)  # 50 + 20
    assert piece.outline.edge("centre").on_fold


def test_pleats_leave_room_for_a_dart_that_is_there() -> None:
    """The cuts are spread over the edge as it is sewn, with its dart closed."""
    dart = {"kind": "dart", "edge": "top", "corner": "left side", "at": "15 cm", "width": "4 cm",
            "length": "10 cm"}  # fmt: skip
    before = piece_of(RECTANGLE, dart)
    piece = piece_of(RECTANGLE, dart, GATHERS | {"how": "tucks", "by": "4 cm", "count": 2})
    assert piece.figures_mm["top"] == pytest.approx(before.figures_mm["top"])
    assert sum(isinstance(mark, MarkedLine) for mark in piece.markings) == 1 + 2 * 3


@given(
    st.sampled_from(["gathers", "knife pleats", "box pleats", "tucks"]),
    st.floats(1, 25),
    st.integers(1, 6),
    st.sampled_from(["rectangle", "on the fold", "hollow", "ring", "ring on the fold"]),
)
@settings(max_examples=60)
def test_fullness_lengthens_the_opposite_edge_and_not_the_sewn_one(
    how: str, by: float, count: int, shape: str
) -> None:
    start: list[Move] = [RING] if "ring" in shape else [RECTANGLE]
    edge, far = ("waist", "hem") if "ring" in shape else ("top", "hem")
    if shape == "hollow":
        start, edge = [RECTANGLE, {"kind": "bow", "edge": "top", "by": "-3 cm"}], "top"
    on_fold = "fold" in shape
    move = GATHERS | {"edge": edge, "how": how, "by": f"{by} cm", "count": count}
    before = piece_of(*start, on_fold=on_fold)
    draft = draft_of(*start, move, on_fold=on_fold)
    if draft.problems:
        (problem,) = draft.problems
        assert "box pleat depth" in problem.sentence or "side edge and would break it" in (
            problem.sentence
        )
        return
    piece = draft.piece("Panel")
    assert piece.figures_mm[edge] == pytest.approx(before.figures_mm[edge])
    assert piece.figures_mm[f"{edge} drawn"] == pytest.approx(before.figures_mm[edge] + by * 10)
    assert piece.figures_mm[far] == pytest.approx(before.figures_mm[far] + by * 10)
    assert shapely.Polygon(piece.seam_points).is_valid
    assert piece.outline.area_mm2 > before.outline.area_mm2
