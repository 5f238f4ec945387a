"""Shapes, darts and curves together: sound outlines, cut lines, formulas."""

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.specimens import RECTANGLE, Move, draft_of, piece_of
from webapp.draft.expressions import read

PANEL: Move = {"kind": "flared panel", "top": "18 cm", "hem": "30 cm", "length": "60 cm"}
LEG: Move = {"kind": "trouser leg", "width": "25 cm", "depth": "29 cm", "inside_leg": "75 cm",
             "fork": "6 cm", "hem": "20 cm"}  # fmt: skip
DART: Move = {"kind": "dart", "corner": "right side", "at": "15 cm", "width": "3 cm",
              "length": "9 cm"}  # fmt: skip
VEE: Move = {"kind": "vee", "corner": "right side", "width": "5 cm", "depth": "12 cm"}
BOW: Move = {"kind": "bow", "edge": "right side", "by": "2 cm"}
ROUND: Move = {"kind": "round corner", "edge": "right side", "corner": "hem", "radius": "5 cm"}


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

    for moves in ([PANEL], [LEG], [RECTANGLE, DART], [RECTANGLE, VEE], [RECTANGLE, BOW]):
        draft = draft_of(*moves)
        for sentence in draft.pieces[0].words:
            for slot, formula in sentence.formulas.items():
                worked_out = read(formula).length_mm(draft.names)
                assert worked_out == pytest.approx(sentence.lengths_mm[slot]), formula
