"""Moves on the cloth of a piece together: any sizes, formulas, and what is refused."""

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.drafted import front, garment_of, made
from tests.specimens import RECTANGLE, Move, piece_of, refusal_of
from webapp.draft.expressions import read
from webapp.draft.moves import MOVES

SCOOP: Move = {"kind": "scoop", "width": "12 cm", "depth": "10 cm"}
NOTCH: Move = {"kind": "notch", "edge": "side", "corner": "top", "at": "5 cm"}
POCKET: Move = {"kind": "pocket place", "edge": "side", "corner": "hem", "across": "4 cm",
                "down": "4 cm", "width": "10 cm", "length": "12 cm"}  # fmt: skip
UNFOLD: Move = {"kind": "unfold"}
COPY: Move = {"kind": "copy", "of": "Front"}
YOKE: Move = {"kind": "split part", "of": "Front", "part": "yoke"}
SPLIT: Move = {"kind": "split", "edge": "side", "corner": "top", "at": "12 cm", "to": "centre",
               "to_corner": "top", "to_at": "15 cm", "keep": "hem", "name": "yoke seam",
               "part": "yoke"}  # fmt: skip
FACING: Move = {"kind": "facing", "of": "Front", "edges": ["neck"], "depth": "6 cm"}
GATHERS: Move = {"kind": "fullness", "by": "20 cm"}
SPREAD: Move = {"kind": "spread", "by": "9 cm", "count": 3}


# --- All of them ---------------------------------------------------------------------------


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

    assert drawn(*start, move | {"off": True}) == drawn(*start) != drawn(*start, move)


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


# --- Refusals ------------------------------------------------------------------------------

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
    ("pleats where pleats are",
     [RECTANGLE, GATHERS | {"how": "knife pleats"}, GATHERS | {"how": "tucks", "by": "2 cm"}],
     "Panel, fullness: a cut would run along “knife pleat 1”; take another number, or another "
     "stretch of the edge."),
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


def test_a_piece_that_waits_for_another_is_told_once() -> None:
    draft = garment_of(front(SCOOP | {"width": "90 cm"}), made(COPY), {**made(FACING), "name": "F"})
    assert [problem.piece for problem in draft.problems] == ["Front"]
