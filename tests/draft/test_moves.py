"""The moves that shape an edge, each as a small picture of its corners, and its words.

Corners are listed clockwise from the top of the first edge, in cm, with the sum beside a number.
"""

import math
from typing import get_args

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ellipe

from tests.drafted import corners, words
from tests.specimens import RECTANGLE, SMOCK, WREN, Move, draft_of, piece_of
from webapp.draft.evaluate import evaluate
from webapp.draft.moves import MOVES
from webapp.draft.outline import Line
from webapp.draft.recipe import PieceRecipe

SCOOP: Move = {"kind": "scoop", "width": "12 cm", "depth": "10 cm"}
CUT_IN: Move = {"kind": "cut in", "depth": "20 cm", "by": "5 cm", "shape": "square"}
TAPER: Move = {"kind": "taper", "by": "6 cm"}
SLOPE: Move = {"kind": "slope", "drop": "4 cm"}


# --- Scoop ---------------------------------------------------------------------------------


def test_a_scoop_takes_a_quarter_ellipse_out_of_a_corner() -> None:
    piece = piece_of(RECTANGLE, SCOOP | {"fullness": "0.5523"}, on_fold=True)
    #        neck  (12, 0)────(30, 0)
    #  (0, 10)──╯                │
    #  (0, 50)───────────────(30, 50)
    assert corners(piece) == [(0, 10), (12, 0), (30, 0), (30, 50), (0, 50)]
    assert piece.outline.names == ("neck", "top", "side", "hem", "centre")
    # Length a * E(1 - b²/a²) and area pi * a * b / 4 of a quarter ellipse; scipy's ellipe.
    assert piece.figures_mm["neck"] == pytest.approx(120 * ellipe(1 - 100**2 / 120**2), rel=3e-4)
    assert 300 * 500 - piece.outline.area_mm2 == pytest.approx(math.pi * 120 * 100 / 4, rel=1e-3)


def test_a_scoop_leaves_both_edges_square() -> None:
    piece = piece_of(RECTANGLE, SCOOP, on_fold=True)
    first, *_, last = piece.outline.edge("neck").points(1e-6)
    (curve,) = piece.outline.edge("neck").segments
    assert curve.points(1e-6)[1][1] == pytest.approx(first[1], abs=1e-3), "level at the fold"
    assert curve.points(1e-6)[-2][0] == pytest.approx(last[0], abs=1e-3), "upright at the shoulder"


def test_a_scoop_in_a_slanted_corner_leaves_each_edge_along_the_other() -> None:
    piece = piece_of(
        RECTANGLE,
        TAPER | {"by": "-6 cm"},
        SCOOP | {"edge": "hem", "corner": "side", "name": "curve"},
        on_fold=True,
    )
    first, second, *_, last_but_one, last = piece.outline.edge("curve").points(1e-6)
    assert second[1] == pytest.approx(first[1], abs=1e-3), "level, as the hem is"
    slant = (last[0] - last_but_one[0]) / (last[1] - last_but_one[1])
    assert slant == pytest.approx(60 / 500, abs=1e-3), "as the side is"


def test_a_scoop_says_where_to_mark() -> None:
    assert words(piece_of(RECTANGLE, SCOOP, on_fold=True))[1:] == [
        "Mark 12 cm (4 3/4 in) along the top edge from the fold.",
        "Mark 10 cm (3 15/16 in) down the fold from the top edge.",
        "Join the marks with a smooth hollow curve: the neck.",
    ]


def test_a_scoop_beside_a_hem_is_marked_up_the_side() -> None:
    piece = piece_of(RECTANGLE, SCOOP | {"edge": "hem", "corner": "side"}, on_fold=True)
    assert words(piece)[1:3] == [
        "Mark 12 cm (4 3/4 in) along the hem edge from the side edge.",
        "Mark 10 cm (3 15/16 in) up the side edge from the hem edge.",
    ]


def test_a_scoop_may_hollow_the_other_end_of_an_edge() -> None:
    piece = piece_of(RECTANGLE, SCOOP | {"corner": "right side", "name": "arm"})
    assert corners(piece) == [(0, 0), (18, 0), (30, 10), (30, 50), (0, 50)]  # 30 - 12 = 18
    assert piece.outline.names == ("top", "arm", "right side", "hem", "left side")


# --- Slope ---------------------------------------------------------------------------------


def test_a_slope_lowers_one_end_of_an_edge() -> None:
    piece = piece_of(RECTANGLE, SLOPE, on_fold=True)
    assert corners(piece) == [(0, 0), (30, 4), (30, 50), (0, 50)]
    assert piece.figures_mm["top"] == pytest.approx(math.hypot(300, 40))
    assert words(piece)[1] == (
        "Mark 4 cm (1 9/16 in) down the side edge from the top edge, and draw the top edge again "
        "from its other end to the mark."
    )


def test_a_slope_may_raise_a_hem_at_its_side() -> None:
    piece = piece_of(RECTANGLE, SLOPE | {"edge": "hem"}, on_fold=True)
    assert corners(piece) == [(0, 0), (30, 0), (30, 46), (0, 50)]  # 50 - 4 = 46
    assert words(piece)[1].startswith("Mark 4 cm (1 9/16 in) up the side edge from the hem edge")


# --- Taper ---------------------------------------------------------------------------------


def test_a_taper_brings_a_side_in_at_one_end() -> None:
    piece = piece_of(RECTANGLE, TAPER, on_fold=True)
    assert corners(piece) == [(0, 0), (30, 0), (24, 50), (0, 50)]  # 30 - 6 = 24
    assert words(piece)[1] == (
        "Mark 6 cm (2 3/8 in) in along the hem edge from the side edge, and draw the side edge "
        "again from its other end to the mark."
    )


def test_a_taper_with_a_minus_flares_out() -> None:
    piece = piece_of(RECTANGLE, TAPER | {"by": "-6 cm"}, on_fold=True)
    assert corners(piece)[2] == (36, 50)  # 30 + 6 = 36
    assert words(piece)[1] == (
        "Lengthen the hem edge by 6 cm (2 3/8 in) beyond the side edge, and draw the side edge "
        "again from its other end to there."
    )


# --- Cut in --------------------------------------------------------------------------------


def test_a_square_cut_in_narrows_the_piece_below_its_depth() -> None:
    piece = piece_of(RECTANGLE, CUT_IN, on_fold=True)
    #  (0, 0)──────────(30, 0)
    #     │         (25, 20)─(30, 20)      30 - 5 = 25
    #  (0, 50)──────(25, 50)
    assert corners(piece) == [(0, 0), (30, 0), (30, 20), (25, 20), (25, 50), (0, 50)]
    assert piece.outline.names == ("top", "arm", "underarm", "side", "hem", "centre")
    assert words(piece)[1:] == [
        "Mark 20 cm (7 7/8 in) down the side edge from the top edge; that part of it is the arm.",
        "From the mark draw 5 cm (1 15/16 in) square into the piece: the underarm. From its end "
        "draw the side edge anew to the hem edge, parallel to the old one.",
    ]


def test_a_rounded_cut_in_ends_in_a_quarter_circle() -> None:
    piece = piece_of(RECTANGLE, CUT_IN | {"shape": "rounded", "radius": "4 cm"}, on_fold=True)
    assert corners(piece)[3] == (25, 24)  # 20 + 4: the side starts below the rounding
    # 5 - 4 straight, then a quarter of a circle with the radius 4.
    assert piece.figures_mm["underarm"] == pytest.approx(10 + math.pi * 40 / 2, rel=1e-6)
    assert words(piece)[3] == "Round the inner corner with a radius of 4 cm (1 9/16 in)."


def test_a_rounding_as_large_as_the_cut_has_no_straight_part() -> None:
    move = CUT_IN | {"shape": "rounded", "radius": "5 cm"}
    underarm = piece_of(RECTANGLE, move, on_fold=True).outline.edge("underarm")
    assert not any(isinstance(segment, Line) for segment in underarm.segments)


def test_a_left_side_is_cut_in_like_a_right_one() -> None:
    piece = piece_of(
        RECTANGLE,
        CUT_IN | {"edge": "right side", "shape": "rounded"},
        CUT_IN
        | {"edge": "left side", "shape": "rounded", "upper": "left arm", "under": "left under"},
    )
    mirrored = {(30 - x, y) for x, y in corners(piece)}
    assert {(25, 24), (5, 24), (30, 20), (0, 20)} <= mirrored
    assert piece.figures_mm["left under"] == pytest.approx(piece.figures_mm["underarm"])


# --- Extend --------------------------------------------------------------------------------


def test_an_extended_hem_moves_down_along_slanted_sides() -> None:
    piece = piece_of(RECTANGLE, TAPER, {"kind": "extend", "by": "10 cm"}, on_fold=True)
    assert corners(piece)[2:] == [(22.8, 60), (0, 60)]  # 24 - 6 * 10 / 50 = 22.8
    assert words(piece)[2] == (
        "Draw the hem edge again, 10 cm (3 15/16 in) out from the first line all along, and "
        "lengthen the edges beside it to meet it."
    )


def test_a_negative_extension_shortens() -> None:
    piece = piece_of(RECTANGLE, {"kind": "extend", "by": "-10 cm"}, on_fold=True)
    assert corners(piece)[2:] == [(30, 40), (0, 40)]
    assert words(piece)[1] == (
        "Draw the hem edge again, 10 cm (3 15/16 in) inside the first line all along."
    )


def test_an_edge_beside_a_cut_in_may_be_extended() -> None:
    piece = piece_of(
        RECTANGLE, CUT_IN | {"shape": "rounded"}, {"kind": "extend", "by": "2 cm"}, on_fold=True
    )
    assert corners(piece)[-2:] == [(25, 52), (0, 52)]


# --- All of them ---------------------------------------------------------------------------


def test_every_move_is_listed_under_its_kind_and_can_be_in_a_recipe() -> None:
    assert list(MOVES) == [
        "rectangle", "flared panel", "ring sector", "trouser leg", "band", "copy", "split part",
        "facing", "scoop", "vee", "slope", "cut in", "extend", "taper", "bow", "round corner",
        "dart", "fullness", "spread", "split", "unfold", "notch", "drill hole", "pocket place",
        "buttonholes",
    ]  # fmt: skip
    for kind, move in MOVES.items():
        assert get_args(move.model_fields["kind"].annotation) == (kind,)
        assert move.title and move.purpose.endswith(".")
        untitled = {name for name, field in move.model_fields.items() if not field.title}
        assert untitled == {"kind"}, "every field has a name for its form"


def _switched(place: int, *, off: bool) -> PieceRecipe:
    front = SMOCK.pieces[0]
    moves = list(front.moves)
    moves[place] = moves[place].model_copy(update={"off": off})
    return front.model_copy(update={"moves": tuple(moves)})


@pytest.mark.parametrize("place", [1, 2])
def test_switching_a_move_off_and_on_again_changes_nothing(place: int) -> None:
    """Off, it is as if it were not there; on again, the piece is the one it was."""
    front = SMOCK.pieces[0]
    without = front.model_copy(
        update={"moves": tuple(m for i, m in enumerate(front.moves) if i != place)}
    )

    def drawn(piece: PieceRecipe) -> tuple[object, ...]:
        recipe = SMOCK.model_copy(update={"pieces": (piece,)})
        (found,) = evaluate(recipe, WREN).pieces
        return found.outline, found.figures_mm, found.words, found.cut_points

    assert drawn(_switched(place, off=True)) == drawn(without)
    assert drawn(_switched(place, off=False)) == drawn(front)
    assert drawn(_switched(place, off=True)) != drawn(front)


_cm = st.floats(-60, 60).map(lambda value: f"{value:.2f} cm")


@given(
    st.lists(
        st.one_of(
            st.fixed_dictionaries({"kind": st.just("scoop"), "width": _cm, "depth": _cm}),
            st.fixed_dictionaries({"kind": st.just("slope"), "drop": _cm}),
            st.fixed_dictionaries(
                {"kind": st.just("cut in"), "depth": _cm, "by": _cm, "radius": _cm,
                 "shape": st.sampled_from(["square", "rounded"])}
            ),
            st.fixed_dictionaries(
                {"kind": st.just("extend"), "by": _cm, "edge": st.sampled_from(["hem", "side"])}
            ),
            st.fixed_dictionaries({"kind": st.just("taper"), "by": _cm}),
        ),
        max_size=5,
    )
)  # fmt: skip
def test_moves_of_any_size_give_a_sound_outline_or_a_sentence(moves: list[Move]) -> None:
    """Against shapely's validity; what a refused move leaves behind is as sound."""
    draft = draft_of(RECTANGLE, *moves, on_fold=True)
    (piece,) = (*draft.pieces, *draft.unfinished)
    assert shapely.Polygon(piece.seam_points).is_valid
    assert piece.outline.area_mm2 > 0
    assert shapely.Polygon(piece.whole_cut_points).is_valid
    assert bool(draft.unfinished) <= bool(draft.problems)
    for problem in draft.problems:
        assert problem.sentence.startswith("Panel, ")
        assert problem.sentence.endswith((".", "?"))
        assert "  " not in problem.sentence
