"""What darts, pleats and gathers take out of an edge outlives the moves that draw it anew.

The piece is 30 cm wide. Even gathers go with the cloth they are in, so a part of a gathered edge
keeps its share of them; a fold stays where it is, or the move is refused.
"""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.drafted import front, garment_of, last_of, made
from tests.specimens import RECTANGLE, Move, draft_of, piece_of, refusal_of
from webapp.draft.evaluate import Piece
from webapp.draft.markings import MarkedLine
from webapp.draft.sewn import as_sewn

# 30 + 10 = 40 cm as drawn
GATHERS: Move = {"kind": "fullness", "edge": "top", "by": "10 cm"}
PLEATS: Move = GATHERS | {"how": "knife pleats", "count": 2}
DART: Move = {"kind": "dart", "edge": "top", "corner": "right side", "at": "15 cm",
              "width": "3 cm", "length": "9 cm"}  # fmt: skip
SCOOP: Move = {"kind": "scoop", "corner": "right side", "width": "10 cm", "depth": "8 cm"}
CUT_IN: Move = {"kind": "cut in", "edge": "right side", "depth": "20 cm", "by": "5 cm",
                "shape": "square"}  # fmt: skip
FACING: Move = {"kind": "facing", "of": "Front", "edges": ["right side"], "depth": "6 cm"}


@pytest.mark.parametrize(
    ("edge", "move", "drawn_cm", "taken_cm"),
    [
        ("top", {"kind": "extend", "edge": "top", "by": "2 cm"}, 40, 10),
        ("top", {"kind": "extend", "edge": "top", "by": "-2 cm"}, 40, 10),
        ("top", {"kind": "extend", "edge": "hem", "by": "2 cm"}, 40, 10),
        ("top", {"kind": "extend", "edge": "right side", "by": "2 cm"}, 42, 10),
        ("top", {"kind": "slope", "edge": "top", "end": "right side", "drop": "9 cm"}, 41, 10),
        ("top", {"kind": "slope", "edge": "right side", "end": "top", "drop": "4 cm"}, 36, 9),
        ("top", {"kind": "taper", "edge": "left side", "end": "top", "by": "4 cm"}, 36, 9),
        ("top", {"kind": "taper", "edge": "right side", "end": "top", "by": "-4 cm"}, 44, 10),
        ("top", SCOOP, 30, 7.5),
        ("top", SCOOP | {"corner": "left side"}, 30, 7.5),
        ("top", {"kind": "vee", "corner": "left side", "width": "10 cm", "depth": "8 cm"}, 30, 7.5),
        ("top", {"kind": "round corner", "edge": "right side", "corner": "top", "radius": "4 cm"},
         36, 9),
        ("hem", CUT_IN, 35, 8.75),
        ("hem", CUT_IN | {"edge": "left side"}, 35, 8.75),
    ],
)  # fmt: skip
def test_gathers_stay_in_the_cloth_that_is_kept(
    edge: str, move: Move, drawn_cm: float, taken_cm: float
) -> None:
    found = piece_of(RECTANGLE, GATHERS | {"edge": edge}, move).outline.edge(edge)
    # A slope of 9 makes 40 cm into sqrt(40² + 9²) = 41 cm.
    assert found.length_mm == pytest.approx(10 * drawn_cm)
    assert found.taken_mm == pytest.approx(10 * taken_cm)


def test_a_gathered_edge_may_be_curved() -> None:
    bow = {"kind": "bow", "edge": "top", "by": "2 cm"}
    plain = piece_of(RECTANGLE | {"width": "40 cm"}, bow).figures_mm["top"]
    assert piece_of(RECTANGLE, GATHERS, bow).figures_mm["top"] == pytest.approx(plain - 100)


@pytest.mark.parametrize(
    "move",
    [
        {"kind": "extend", "edge": "top", "by": "2 cm"},
        {"kind": "slope", "edge": "top", "end": "left side", "drop": "4 cm"},
        {"kind": "taper", "edge": "top", "end": "right side", "by": "-4 cm"},
        {"kind": "bow", "edge": "top", "by": "2 cm"},
    ],
    ids=lambda move: str(move["kind"]),
)
def test_an_edge_that_leaves_its_pleats_behind_is_refused(move: Move) -> None:
    sentence = refusal_of(RECTANGLE, PLEATS, move)
    assert sentence.startswith(f"Panel, {move['kind']}: “knife pleat ")
    assert sentence.endswith((
        "” would not start on its edge any more; make this move before it.",
        "” was marked where the piece has no cloth any more; make this move before the marking.",
    ))  # fmt: skip


def test_pleats_beside_the_part_that_is_cut_off_stay() -> None:
    # The pleats' 5 cm lie from 7.5 and from 27.5 cm on the 40 cm of the top.
    piece = piece_of(RECTANGLE, PLEATS, SCOOP | {"width": "6 cm"})
    assert piece.outline.edge("top").taken_mm == pytest.approx(100)
    assert piece.figures_mm["top"] == pytest.approx(240)  # 30 - 6


def test_a_cut_into_a_pleat_or_a_dart_is_refused() -> None:
    why = "it would end in a dart or a pleat of the top edge; make this move before them."
    assert refusal_of(RECTANGLE, PLEATS, SCOOP) == f"Panel, scoop: {why}"  # 40 - 10 = 30
    taper = {"kind": "taper", "edge": "right side", "end": "top", "by": "10 cm"}
    assert refusal_of(RECTANGLE, PLEATS, taper) == f"Panel, taper: {why}"


def test_a_gathered_side_is_not_cut_in() -> None:
    assert refusal_of(RECTANGLE, GATHERS | {"edge": "right side"}, CUT_IN) == (
        "Panel, cut in: the right side edge has pleats or gathers; cut it in before them."
    )


def test_a_facing_ends_on_no_gathers() -> None:
    draft = garment_of(front(GATHERS), made(FACING))
    assert [problem.sentence for problem in draft.problems] == [
        "Panel, facing: the top edge of Front has darts, pleats or gathers, which a facing is "
        "drawn without."
    ]


def test_a_facing_may_end_beside_a_dart() -> None:
    assert last_of(front(DART), made(FACING)).outline.edge("top").length_mm == pytest.approx(
        60, abs=0.001
    )


# --- Any moves --------------------------------------------------------------------------------

_cm = st.floats(0.5, 30).map(lambda value: f"{value:.2f} cm")
_signed = st.floats(-9, 9).map(lambda value: f"{value:.2f} cm")
_edge = st.sampled_from(["top", "right side", "hem", "left side"])


def _move(kind: str, **fields: st.SearchStrategy[Any]) -> st.SearchStrategy[Move]:
    return st.fixed_dictionaries({"kind": st.just(kind), **fields})


_takes = st.one_of(
    _move("fullness", edge=_edge, by=_cm, count=st.integers(1, 3),
          start=st.sampled_from(["", "3 cm"]),
          how=st.sampled_from(["gathers", "knife pleats", "box pleats", "tucks"])),
    _move("dart", edge=_edge, corner=_edge, at=_cm, width=st.just("2 cm"), length=st.just("8 cm")),
)  # fmt: skip
_redraws = st.one_of(
    _move("extend", edge=_edge, by=_signed),
    _move("slope", edge=_edge, end=_edge, drop=_cm),
    _move("taper", edge=_edge, end=_edge, by=_signed),
    _move("scoop", edge=_edge, corner=_edge, width=_cm, depth=_cm),
    _move("vee", edge=_edge, corner=_edge, width=_cm, depth=_cm),
    _move("round corner", edge=_edge, corner=_edge, radius=_cm),
    _move("cut in", edge=_edge, corner=_edge, depth=_cm, by=_cm, shape=st.just("square")),
    _move("bow", edge=_edge, by=_signed),
    _move("spread", edge=_edge, hinge=_edge, by=_cm),
    _move("unfold", edge=_edge),
)


def _folds_on(piece: Piece) -> set[str]:
    return {
        mark.name
        for mark in piece.markings
        if isinstance(mark, MarkedLine) and mark.kind in ("dart", "pleat", "tuck")
    }


@given(st.lists(_takes, min_size=1, max_size=2), st.lists(_redraws, min_size=1, max_size=2))
@settings(max_examples=200)
def test_an_edge_is_as_long_as_its_marks_leave_it(takes: list[Move], redraws: list[Move]) -> None:
    """What is taken out of it, counted along its darts, pleats and gathers, is what it says."""
    draft = draft_of(RECTANGLE, *takes, *redraws, allowance="0 cm")
    for piece in (*draft.pieces, *draft.unfinished):
        taken = [edge for edge in piece.outline if edge.taken_mm]
        assert bool(taken) >= bool(_folds_on(piece))
        for edge in taken:
            sewn = as_sewn(edge, piece.markings).length_mm
            assert sewn == pytest.approx(edge.sewn_mm, abs=1.0)
