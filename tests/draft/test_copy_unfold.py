"""Copies of a piece, and halves opened out.

Corners are listed clockwise from the top of the first edge, in cm, with the sum beside a number.
"""

import pytest
import shapely

from tests.drafted import corners, front, garment_of, in_cm, last_of, made, words
from tests.specimens import RECTANGLE, Move, piece_of, refusal_of
from webapp.draft.markings import DrillHole, MarkedLine, Notch
from webapp.draft.sewn import as_sewn

SCOOP: Move = {"kind": "scoop", "width": "12 cm", "depth": "10 cm"}
NOTCH: Move = {"kind": "notch", "edge": "side", "corner": "top", "at": "5 cm"}
POCKET: Move = {"kind": "pocket place", "edge": "side", "corner": "hem", "across": "4 cm",
                "down": "4 cm", "width": "10 cm", "length": "12 cm"}  # fmt: skip
UNFOLD: Move = {"kind": "unfold"}
COPY: Move = {"kind": "copy", "of": "Front"}
GATHERS: Move = {"kind": "fullness", "by": "20 cm"}


def test_a_copy_is_the_piece_with_its_markings() -> None:
    first = front(SCOOP, NOTCH, POCKET, on_fold=True)
    copy = last_of(first, made(COPY, on_fold=True))
    original = last_of(first)
    assert copy.outline == original.outline
    assert copy.markings == original.markings != ()
    assert words(copy) == [
        "Trace the Front, half of it as it lies on the fold, with everything marked on it."
    ]


def test_what_is_changed_on_a_copy_leaves_the_piece_as_it_was() -> None:
    draft = garment_of(front(on_fold=True), made(COPY, SCOOP, on_fold=True))
    assert draft.piece("Front").outline.names == ("top", "side", "hem", "centre")
    assert draft.piece("Panel").outline.names == ("neck", "top", "side", "hem", "centre")
    assert words(draft.piece("Panel"))[0] == "Trace the Front, half of it as it lies on the fold."
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


@pytest.mark.parametrize(
    ("over", "names"),
    [
        ("left side", ("top", "right side", "hem", "left side")),
        ("right side", ("hem", "left side", "top", "right side")),
        # Over a level line there is an upper half and a lower one.
        ("top", ("right side", "lower hem", "left side", "upper hem")),
        ("hem", ("left side", "upper top", "right side", "lower top")),
    ],
)
def test_the_halves_are_called_by_the_side_they_lie_on(over: str, names: tuple[str, ...]) -> None:
    piece = piece_of(RECTANGLE, UNFOLD | {"edge": over})
    assert piece.outline.names == names
    for name in names:
        (x0, y0), (x1, y1) = piece.outline.edge(name).start, piece.outline.edge(name).end
        left, top, right, bottom = shapely.Polygon(piece.seam_points).bounds
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        side = {
            "left": middle[0] < (left + right) / 2,
            "right": middle[0] > (left + right) / 2,
            "upper": middle[1] < (top + bottom) / 2,
            "lower": middle[1] > (top + bottom) / 2,
        }
        assert side.get(name.split()[0], True), name


def test_an_edge_keeps_its_side_in_its_name_where_it_would_be_called_like_another() -> None:
    edges = {"edges": ["top", "right side", "hem", "left side"]}
    scoop = SCOOP | {"edge": "top", "corner": "right side", "name": "side"}
    piece = piece_of(RECTANGLE | edges, scoop, UNFOLD | {"edge": "left side"})
    assert piece.outline.names == (
        "top", "right side", "right right side", "hem", "left right side", "left side"
    )  # fmt: skip


def test_a_marking_is_called_by_one_side_only() -> None:
    pocket = POCKET | {"edge": "right side", "name": "right pocket"}
    piece = piece_of(RECTANGLE, pocket, UNFOLD | {"edge": "left side"})
    lines = [mark.name for mark in piece.markings if isinstance(mark, MarkedLine)]
    assert lines == ["right pocket", "left pocket"]


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


def test_a_gathered_centre_is_not_unfolded() -> None:
    gathered = GATHERS | {"edge": "left side"}
    assert refusal_of(RECTANGLE, gathered, UNFOLD | {"edge": "left side"}) == (
        "Panel, unfold: the left side edge has pleats or gathers; unfold it before them."
    )
