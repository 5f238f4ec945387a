"""Moves on the cloth of a piece: copy, unfold, facing, split, fullness, spread; their refusals.

Corners are listed clockwise from the top of the first edge, in cm, with the sum beside a number.
"""

import math
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.specimens import RECTANGLE, WREN, Move, draft_of, piece_of, refusal_of
from webapp.draft.evaluate import Draft, Piece, evaluate
from webapp.draft.expressions import read
from webapp.draft.markings import DrillHole, MarkedLine, Notch
from webapp.draft.moves import MOVES
from webapp.draft.outline import Line
from webapp.draft.recipe import Recipe
from webapp.draft.sewn import as_sewn

SCOOP: Move = {"kind": "scoop", "width": "12 cm", "depth": "10 cm"}
RING: Move = {"kind": "ring sector", "inner": "80 cm", "length": "60 cm", "share": "1/2"}
ROUNDED: Move = {"kind": "round corner", "edge": "hem", "corner": "side", "radius": "3 cm"}
NOTCH: Move = {"kind": "notch", "edge": "side", "corner": "top", "at": "5 cm"}
POCKET: Move = {"kind": "pocket place", "edge": "side", "corner": "hem", "across": "4 cm",
                "down": "4 cm", "width": "10 cm", "length": "12 cm"}  # fmt: skip
UNFOLD: Move = {"kind": "unfold"}
COPY: Move = {"kind": "copy", "of": "Front"}
YOKE: Move = {"kind": "split part", "of": "Front", "part": "yoke"}
SPLIT: Move = {"kind": "split", "edge": "side", "corner": "top", "at": "12 cm", "to": "centre",
               "to_corner": "top", "to_at": "15 cm", "keep": "hem", "name": "yoke seam",
               "part": "yoke"}  # fmt: skip
# Cut from the top of the fold to the end of the hem; the half that is left is a triangle.
TRIANGLE: Move = SPLIT | {"edge": "top", "corner": "centre", "at": "0 cm", "to": "hem",
                          "to_corner": "side", "to_at": "0 cm", "keep": "centre"}  # fmt: skip
FACING: Move = {"kind": "facing", "of": "Front", "edges": ["neck"], "depth": "6 cm"}
GATHERS: Move = {"kind": "fullness", "by": "20 cm"}
SPREAD: Move = {"kind": "spread", "by": "9 cm", "count": 3}


def corners(piece: Piece) -> list[tuple[float, float]]:
    """Where each edge starts, in cm."""
    return in_cm(edge.start for edge in piece.outline)


def in_cm(points: Any) -> list[tuple[float, float]]:
    return [(round(x / 10, 4) + 0.0, round(y / 10, 4) + 0.0) for x, y in points]


def words(piece: Piece) -> list[str]:
    return [sentence.show("cm") for sentence in piece.words]


def front(*moves: Move, **piece: Any) -> dict[str, Any]:
    return {"name": "Front", "moves": [RECTANGLE, *moves], **piece}


def garment_of(*pieces: dict[str, Any]) -> Draft:
    """A recipe of these pieces on Wren, the later ones made from the earlier."""
    recipe = {"id": "panel", "name": "Panel", "seam_allowance": "0 cm", "pieces": pieces}
    return evaluate(Recipe.model_validate(recipe), WREN)


def last_of(*pieces: dict[str, Any]) -> Piece:
    """The last piece of such a garment, drafted without any problem."""
    draft = garment_of(*pieces)
    assert not draft.problems, draft.problems
    return draft.pieces[-1]


def made(*moves: Move, **piece: Any) -> dict[str, Any]:
    return {"name": "Panel", "moves": moves, **piece}


# --- Copy and unfold --------------------------------------------------------------------------


def test_a_copy_is_the_piece_with_its_markings() -> None:
    first = front(SCOOP, NOTCH, POCKET, on_fold=True)
    copy = last_of(first, made(COPY, on_fold=True))
    original = last_of(first)
    assert copy.outline == original.outline
    assert copy.markings == original.markings != ()
    assert words(copy) == [
        "Trace the half of the Front, as it lies on the fold, with everything marked on it."
    ]


def test_what_is_changed_on_a_copy_leaves_the_piece_as_it_was() -> None:
    draft = garment_of(front(on_fold=True), made(COPY, SCOOP, on_fold=True))
    assert draft.piece("Front").outline.names == ("top", "side", "hem", "centre")
    assert draft.piece("Panel").outline.names == ("neck", "top", "side", "hem", "centre")
    assert words(draft.piece("Panel"))[0] == "Trace the half of the Front, as it lies on the fold."
    assert words(last_of(front(), made(COPY)))[0] == "Trace the Front."


def test_a_half_copied_and_unfolded_is_the_whole_with_twice_its_area() -> None:
    half = last_of(front(SCOOP, on_fold=True))
    whole = last_of(front(SCOOP, on_fold=True), made(COPY, UNFOLD))
    #   (-30, 0)──(-12, 0)    (12, 0)──(30, 0)
    #       │          ╰─neck──╯           │
    #  (-30, 50)───────────────────────(30, 50)
    assert whole.outline.names == (
        "neck", "right top", "right side", "hem", "left side", "left top"
    )  # fmt: skip
    assert corners(whole) == [(-12, 0), (12, 0), (30, 0), (30, 50), (-30, 50), (-30, 0)]
    assert whole.outline.area_mm2 == pytest.approx(2 * half.outline.area_mm2)
    assert whole.figures_mm["neck"] == pytest.approx(2 * half.figures_mm["neck"])
    assert whole.outline.edge("hem").is_straight, "its halves run on into each other"
    # Against what the cloth itself opens out to.
    assert shapely.Polygon(whole.cut_points).symmetric_difference(
        shapely.Polygon(half.whole_cut_points)
    ).area == pytest.approx(0, abs=1e-3)
    assert words(whole)[-1] == (
        "Open the piece out: fold the paper along the centre edge, trace everything through to "
        "the other side and unfold it."
    )


def test_unfolding_mirrors_the_markings() -> None:
    on_top = {"kind": "notch", "edge": "top", "corner": "side", "at": "8 cm", "name": "top mark"}
    middle = {"kind": "notch", "edge": "hem", "corner": "centre", "at": "0 cm", "name": "middle"}
    lost = {"kind": "notch", "edge": "centre", "corner": "top", "at": "9 cm", "name": "lost"}
    half = front(NOTCH, on_top, middle, lost, POCKET, on_fold=True)
    whole = last_of(half, made(COPY, UNFOLD))
    notches = [(m.name, m.edge, *in_cm([m.at])) for m in whole.markings if isinstance(m, Notch)]
    assert notches == [
        ("notch", "right side", (30, 5)),
        ("notch", "left side", (-30, 5)),
        ("right top mark", "top", (22, 0)),  # 30 - 8 = 22
        ("left top mark", "top", (-22, 0)),
        ("middle", "hem", (0, 50)),  # on the line it is mirrored over: one
    ]
    lines = {m.name: m.points for m in whole.markings if isinstance(m, MarkedLine)}
    holes = [m.name for m in whole.markings if isinstance(m, DrillHole)]
    assert set(lines) == {"right pocket", "left pocket"}
    assert sorted(lines["left pocket"]) == sorted((-x, y) for x, y in lines["right pocket"])
    assert len(holes) == len(set(holes)) == 4


def test_unfolding_doubles_what_is_taken_out_of_an_edge_that_meets_the_line() -> None:
    gathered = {"kind": "fullness", "by": "20 cm", "start": "10 cm", "corner": "centre"}
    whole = last_of(front(gathered, on_fold=True), made(COPY, UNFOLD))
    assert whole.figures_mm["top"] == pytest.approx(600)  # 2 * 30
    assert whole.figures_mm["top drawn"] == pytest.approx(1000)  # 2 * (30 + 20)


def test_gathers_that_start_on_the_line_run_on_over_it() -> None:
    """From 10 cm left of the centre to 10 cm right of it; 10 cm let in on each side."""
    gathers = GATHERS | {"edge": "top", "by": "10 cm", "corner": "left side", "start": "0 cm",
                         "end": "10 cm"}  # fmt: skip
    piece = piece_of(RECTANGLE, gathers, UNFOLD | {"edge": "left side"})
    names = {m.name for m in piece.markings}
    assert names == {"top gathers from", "top gathers to"}
    sewn = as_sewn(piece.outline.edge("top"), piece.markings)
    # 20 cm flat, then 40 cm drawn (20 + 2 x 10 let in) sewn as 20, then 20 cm flat.
    assert sewn.drawn_mm(200) == pytest.approx(200)
    assert sewn.drawn_mm(300) == pytest.approx(400)
    assert sewn.drawn_mm(400) == pytest.approx(600)


def test_a_facing_of_a_piece_off_the_fold_speaks_of_no_fold() -> None:
    piece = last_of(front(), made(FACING | {"edges": ["top"]}))
    assert words(piece)[0] == (
        "Trace the top edge of the Front, and the beginnings of the left side and right side edges."
    )


# --- Facing -----------------------------------------------------------------------------------


def test_a_facing_of_a_straight_edge_is_a_strip() -> None:
    piece = last_of(front(), made(FACING | {"edges": ["right side"]}))
    assert piece.outline.names == ("right side", "hem", "inner", "top")
    assert corners(piece) == [(30, 0), (30, 50), (24, 50), (24, 0)]  # 30 - 6 = 24
    assert piece.outline.edge("inner").is_straight
    assert words(piece) == [
        "Trace the right side edge of the Front, and the beginnings of the top and hem edges.",
        "Mark 6 cm (2 3/8 in) from the right side edge in many places, square to them, and join "
        "the marks with a smooth line: the inner edge of the facing.",
    ]


@pytest.mark.parametrize(
    "edges", [["neck"], ["neck", "top"], ["top", "neck"], ["hem", "corner", "side"]]
)
@pytest.mark.parametrize("depth_cm", [0.8, 6, 9.5])
def test_a_facing_has_the_edges_of_the_garment_and_its_depth_all_along(
    edges: list[str], depth_cm: float
) -> None:
    """Against shapely's distances; 0.1 mm is finer than a pencil line.

    The rounded corner of 3 cm is tighter than the facing is deep: there its inner edge has a point.
    """
    garment = front(SCOOP | {"fullness": "0.5"}, ROUNDED, on_fold=True)
    move = FACING | {"edges": edges, "depth": f"{depth_cm} cm"}
    whole = last_of(garment)
    piece = last_of(garment, made(move, on_fold=True))
    for name in edges:
        assert piece.outline.edge(name) == whole.outline.edge(name)
    outer = shapely.union_all([
        shapely.LineString(whole.outline.edge(name).points(0.001)) for name in edges
    ])  # fmt: skip
    inner = piece.outline.edge("inner").points()
    away = [outer.distance(shapely.Point(point)) for point in inner]
    assert away == pytest.approx([depth_cm * 10] * len(inner), abs=0.1)
    cloth = shapely.Polygon(whole.outline.points(0.001))
    assert shapely.Polygon(piece.seam_points).difference(cloth).area < 5  # mm²: a line's rounding
    # Of all the cloth no further away than the depth, nothing is left out.
    near = shapely.intersection(cloth, shapely.buffer(outer, depth_cm * 10, quad_segs=180))
    assert piece.outline.area_mm2 == pytest.approx(near.area, rel=1e-3)


def test_a_neck_facing_measures_its_depth_along_the_shoulder_and_down_the_centre() -> None:
    piece = last_of(front(SCOOP, on_fold=True), made(FACING, on_fold=True))
    assert piece.outline.names == ("neck", "top", "inner", "centre")
    assert piece.figures_mm["top"] == pytest.approx(60, abs=0.1)
    assert piece.figures_mm["centre"] == pytest.approx(60, abs=0.1)
    assert piece.outline.edge("centre").on_fold


def test_a_facing_has_the_markings_that_lie_on_it() -> None:
    on_neck = {"kind": "notch", "edge": "neck", "corner": "centre", "at": "4 cm", "name": "middle"}
    garment = front(SCOOP, on_neck, NOTCH, POCKET, on_fold=True)
    piece = last_of(garment, made(FACING, on_fold=True))
    assert [mark.name for mark in piece.markings] == ["middle"]


# --- Split and its part -----------------------------------------------------------------------


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


# --- Fullness ---------------------------------------------------------------------------------


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
        "From the middle of the top edge draw a line square to it, right across the piece.",
        "Cut the paper along the line and let in 20 cm (7 7/8 in), as wide all along.",
        "Gather the top edge up to 30 cm (11 3/4 in) again.",
    ]


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
        "Gather the top edge between the marks up to 10 cm (3 7/8 in) again."
    )


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
        "to it, right across the piece.",
        "Cut the paper along the lines and let in 12 cm (4 3/4 in) at each, as wide all along: "
        "24 cm (9 1/2 in) in all.",
        "Mark both sides of each gap and a quarter of its width in from each: the lines to fold "
        "on.",
        "Fold each gap away in a box pleat 3 cm (1 3/16 in) deep, 15 cm (5 7/8 in) from one to the "
        "next.",
    ]


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


# --- Spread -----------------------------------------------------------------------------------


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
        "(1 3/16 in): 9 cm (3 1/2 in) in all.",
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


# --- All of them ------------------------------------------------------------------------------


def test_each_of_these_moves_can_be_in_a_recipe() -> None:
    kinds = {"copy", "split part", "facing", "fullness", "spread", "split", "unfold"}
    assert kinds <= set(MOVES)
    starting = {kind for kind in kinds if MOVES[kind].starts_a_piece}
    assert starting == {"copy", "split part", "facing"}
    assert {MOVES[kind].family for kind in kinds - starting} == {"cloth"}


@pytest.mark.parametrize(
    "move", [GATHERS, SPREAD, SPLIT, UNFOLD], ids=lambda move: str(move["kind"])
)
def test_switched_off_a_move_is_as_if_it_were_not_there(move: Move) -> None:
    on_fold = move is not UNFOLD
    start: list[Move] = [RECTANGLE | {"edges": ["top", "side", "hem", "centre"]}, NOTCH]

    def drawn(*moves: Move) -> tuple[object, ...]:
        piece = piece_of(*moves, on_fold=on_fold)
        return piece.outline, piece.figures_mm, piece.words, piece.markings

    assert drawn(*start, move | {"off": True}) == drawn(*start)
    assert drawn(*start, move | {"off": False}) == drawn(*start, move) != drawn(*start)


def test_every_formula_of_their_words_comes_to_the_length_beside_it() -> None:
    """For the viewer who drafts the piece to her own measurements."""
    stretch = {"start": "hip / 20", "end": "hip / 5", "corner": "side"}
    gathers = GATHERS | stretch | {"by": "hip / 10 + 1 cm"}
    pleats = gathers | {"how": "box pleats", "by": "hip / 20", "count": 2}
    spread = SPREAD | {"by": "hip / 10"}
    split = SPLIT | {"at": "hip / 8", "to_at": "hip / 7 - 2 mm"}
    facing = FACING | {"edges": ["top"], "depth": "hip / 20"}
    pieces = [front(move, on_fold=True) for move in (gathers, pleats, spread, split)]
    drafts = [garment_of(piece) for piece in pieces]
    drafts.append(garment_of(front(on_fold=True), made(facing, on_fold=True)))
    formulas = 0
    for draft in drafts:
        for sentence in draft.pieces[-1].words:
            for slot, formula in sentence.formulas.items():
                formulas += 1
                assert read(formula).length_mm(draft.names) == pytest.approx(
                    sentence.lengths_mm[slot]
                )
    assert formulas > 20


_cm = st.floats(0.1, 40).map(lambda value: f"{value:.2f} cm")
_NAMES = ("top", "side", "hem", "centre")
_edge = st.sampled_from(_NAMES)
_count = st.integers(1, 5)


@st.composite
def _splits(draw: st.DrawFn) -> Move:
    """A split between two edges, each counted from one of its corners."""
    one, other, keep = draw(st.permutations(_NAMES))[:3]
    turns = draw(st.tuples(st.sampled_from((1, -1)), st.sampled_from((1, -1))))
    corner, to_corner = (
        _NAMES[(_NAMES.index(name) + turn) % 4]
        for name, turn in zip((one, other), turns, strict=True)
    )
    return SPLIT | {"edge": one, "corner": corner, "at": draw(_cm), "to": other,
                    "to_corner": to_corner, "to_at": draw(_cm), "keep": keep}  # fmt: skip


_moves = st.one_of(
    st.fixed_dictionaries(
        {"kind": st.just("bow"), "edge": _edge, "by": st.sampled_from(["3 cm", "-2 cm"])}
    ),
    st.fixed_dictionaries(
        {"kind": st.just("fullness"), "edge": _edge, "by": _cm, "count": _count,
         "how": st.sampled_from(["gathers", "knife pleats", "box pleats", "tucks"]),
         "start": st.sampled_from(["", "3 cm"])}
    ),
    st.fixed_dictionaries(
        {"kind": st.just("spread"), "edge": _edge, "hinge": _edge, "by": _cm, "count": _count}
    ),
    _splits(),
)  # fmt: skip


@given(st.lists(_moves, min_size=1, max_size=3), st.booleans())
@settings(max_examples=150)
def test_these_moves_of_any_size_give_a_sound_outline_or_a_sentence(
    moves: list[Move], on_fold: bool
) -> None:
    """Against shapely's validity, for the piece, what was split off it and its facing."""
    base = RECTANGLE | {"edges": ["top", "side", "hem", "centre"]}
    draft = garment_of(
        {"name": "Front", "moves": [base, NOTCH, *moves], "on_fold": on_fold},
        {"name": "Part", "moves": [YOKE], "on_fold": on_fold},
        {"name": "Facing", "moves": [FACING | {"edges": ["hem"]}], "on_fold": on_fold},
        {"name": "Whole", "moves": [COPY, UNFOLD]},
    )
    for piece in (*draft.pieces, *draft.unfinished):
        assert shapely.Polygon(piece.seam_points).is_valid
        assert piece.outline.area_mm2 > 0
    for problem in draft.problems:
        assert problem.sentence.startswith(("Front", "Part", "Facing", "Whole"))
        assert problem.sentence.endswith((".", "?"))
        assert "  " not in problem.sentence


# --- Refusals ---------------------------------------------------------------------------------

REFUSED: list[tuple[str, list[Move], str]] = [
    ("second shape", [RECTANGLE, COPY],
     "Panel, copy of a piece: a shape starts a piece, so it must be the first move."),
    ("copy of nothing", [COPY],
     "Panel, copy of a piece: there is no piece called “Front” before this one; those before it: "
     "none."),
    ("unfolding what the cloth unfolds", [RECTANGLE, UNFOLD],
     "Panel, unfold: the piece is cut on the fold, so the cloth opens it out by itself."),
    ("line from an edge to itself", [RECTANGLE, SPLIT | {"to": "side"}],
     "Panel, split: the line starts and ends on the side edge; it must end on another."),
    ("line past the end", [RECTANGLE, SPLIT | {"at": "51 cm"}],
     "Panel, split: 51 cm (20 1/8 in) is further than the side edge is long, 50 cm (19 5/8 in)."),
    ("line from a corner to the next", [RECTANGLE, SPLIT | {"at": "0 cm", "to_at": "0 cm"}],
     "Panel, split: the line would cut nothing off."),
    ("line across a hollow",
     [RECTANGLE, SCOOP, SPLIT | {"edge": "top", "corner": "neck", "at": "1 cm", "to_corner": "neck",
                                 "to_at": "1 cm", "keep": "side"}],
     "Panel, split: the line would leave the piece on its way."),
    ("both parts have the edge to keep", [RECTANGLE, SPLIT | {"keep": "side"}],
     "Panel, split: the line cuts the side edge in two; to say which part is kept, name an edge "
     "that stays whole."),
    ("new edge named like another", [RECTANGLE, SPLIT | {"name": "Hem"}],
     "Panel, split: there is an edge called “Hem”; name the new one otherwise."),
    ("part without a name", [RECTANGLE, SPLIT | {"part": " "}],
     "Panel, split: give the new edge and what is cut off a name each."),
    ("line through a pocket", [RECTANGLE, POCKET, SPLIT | {"at": "40 cm", "to_at": "40 cm"}],
     "Panel, split: the line would cut “pocket” in two."),
    ("kept part away from the fold",
     [RECTANGLE, SPLIT | {"edge": "top", "corner": "side", "to": "hem", "to_corner": "side",
                          "keep": "side"}],
     "Panel, split: a piece cut on the fold needs one straight edge along the fold."),
    ("no cloth let in", [RECTANGLE, GATHERS | {"by": "0 cm"}],
     "Panel, fullness: cloth let in comes to 0 cm (0 in); it must be greater than zero."),
    ("gathering the fold", [RECTANGLE, GATHERS | {"edge": "centre"}],
     "Panel, fullness: the centre edge lies on the fold, so it cannot be taken up."),
    ("bending the fold",
     [RECTANGLE, {"kind": "slope", "drop": "10 cm", "edge": "hem"}, GATHERS | {"edge": "hem"},
      {"kind": "taper", "by": "10 cm"}, GATHERS | {"edge": "side"}],
     "Panel, fullness: a cut square to the side edge runs into the fold, which it would bend."),
    ("box pleats too deep", [RECTANGLE, GATHERS | {"how": "box pleats", "by": "70 cm"}],
     "Panel, fullness: box pleat depth 17.5 cm (6 7/8 in) is more than half of what each lies on, "
     "15 cm (5 7/8 in)."),  # 70 / 4 = 17.5; 30 / 2 = 15
    ("stretch past the end", [RECTANGLE, GATHERS | {"end": "31 cm"}],
     "Panel, fullness: to 31 cm (12 1/4 in) is further than the top edge is long, "
     "30 cm (11 3/4 in)."),
    ("stretch the wrong way", [RECTANGLE, GATHERS | {"start": "8 cm", "end": "8 cm"}],
     "Panel, fullness: from 8 cm (3 1/8 in) is not before the end of the stretch, "
     "8 cm (3 1/8 in)."),
    ("cut into a side",
     [RECTANGLE, {"kind": "bow", "edge": "top", "by": "-3 cm"}, GATHERS | {"count": 4}],
     "Panel, fullness: a cut square to the top edge runs into the side edge and would break it; "
     "take fewer cuts or a shorter stretch, or spread the piece instead."),
    ("gathered twice", [RECTANGLE, GATHERS, GATHERS | {"how": "tucks", "by": "2 cm"}],
     "Panel, fullness: the top edge is gathered there already."),
    ("cut through a pocket", [RECTANGLE, POCKET, GATHERS | {"start": "18 cm", "end": "28 cm"}],
     "Panel, fullness: “pocket” lies across a cut; make this move before the marking."),
    ("cut into a pleat",
     [RECTANGLE, GATHERS | {"how": "knife pleats"}, GATHERS | {"edge": "hem", "by": "5 cm"}],
     "Panel, fullness: a cut square to the hem edge runs into a fold of the top edge."),
    ("opening at the hinge", [RECTANGLE, SPREAD | {"hinge": "hem"}],
     "Panel, spread: the hem edge cannot both open and hinge; name two edges."),
    ("opening the fold", [RECTANGLE, SPREAD | {"edge": "centre", "hinge": "side"}],
     "Panel, spread: the centre edge lies on the fold, so it must stay."),
    ("opened wider than the cut is long", [RECTANGLE, SPREAD | {"by": "51 cm", "count": 1}],
     "Panel, spread: one cut opened by 51 cm (20 1/8 in) is more than the cut is long, "
     "50 cm (19 5/8 in)."),
    ("unknown edge", [RECTANGLE, SPREAD | {"edge": "foot"}],
     "Panel, spread: there is no edge called “foot”; the edges are top, side, hem, centre."),
]  # fmt: skip


@pytest.mark.parametrize(
    ("moves", "sentence"), [r[1:] for r in REFUSED], ids=[r[0] for r in REFUSED]
)
def test_what_cannot_be_done_is_refused_with_the_reason(moves: list[Move], sentence: str) -> None:
    """The piece, the move, the figure and its limit, in both units."""
    assert refusal_of(*moves, on_fold=True) == sentence


FACINGS_REFUSED: list[tuple[str, dict[str, Any], str]] = [
    ("no edge", {"edges": []}, "name the edges it finishes."),
    ("unknown edge", {"edges": ["foot"]},
     "Front has no edge called “foot”; its edges are neck, top, side, hem, centre."),
    ("edges apart", {"edges": ["neck", "side"]},
     "the neck and side edges of Front do not follow on one another; draw a facing for each."),
    ("all but one", {"edges": ["neck", "top", "side", "hem"]},
     "leave out two edges of Front at least, for the facing to end on."),
    ("deeper than the piece", {"edges": ["top"], "depth": "50 cm"},
     "depth 50 cm (19 5/8 in) is more than there is up to the hem edge, 50 cm (19 5/8 in)."),
    ("deeper than a corner",
     {"edges": ["hem"], "depth": "51 cm"},
     "so deep, its inner edge would not run in one line beside the edges of Front; make it less "
     "deep."),
    ("gathered edge", {"edges": ["top"], "depth": "5 cm"},
     "the top edge of Front has darts, pleats or gathers, which a facing is drawn without."),
]  # fmt: skip


@pytest.mark.parametrize(
    ("case", "facing", "why"), FACINGS_REFUSED, ids=[r[0] for r in FACINGS_REFUSED]
)
def test_a_facing_that_cannot_be_drawn_says_why(
    case: str, facing: dict[str, Any], why: str
) -> None:
    moves = {"gathered edge": [SCOOP, GATHERS], "deeper than a corner": [TRIANGLE]}
    garment = front(*moves.get(case, [SCOOP]), on_fold=True)
    draft = garment_of(garment, made(FACING | facing, on_fold=True))
    assert [problem.sentence for problem in draft.problems] == [f"Panel, facing: {why}"]


def test_a_gathered_centre_is_not_unfolded() -> None:
    gathered = GATHERS | {"edge": "left side"}
    assert refusal_of(RECTANGLE, gathered, UNFOLD | {"edge": "left side"}) == (
        "Panel, unfold: the left side edge has pleats or gathers; unfold it before them."
    )


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


def test_a_piece_that_waits_for_another_is_told_once() -> None:
    draft = garment_of(front(SCOOP | {"width": "90 cm"}), made(COPY), {**made(FACING), "name": "F"})
    assert [problem.piece for problem in draft.problems] == ["Front"]
