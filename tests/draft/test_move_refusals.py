"""What each shaping move refuses, word for word: the piece, the move, the figure, the limit."""

import pytest

from tests.specimens import RECTANGLE, Move, refusal_of
from webapp.draft.recipe import PieceRecipe

SCOOP: Move = {"kind": "scoop", "width": "12 cm", "depth": "10 cm"}
CUT_IN: Move = {"kind": "cut in", "depth": "20 cm", "by": "5 cm", "shape": "square"}
TAPER: Move = {"kind": "taper", "by": "6 cm"}
SLOPE: Move = {"kind": "slope", "drop": "4 cm"}
RING: Move = {"kind": "ring sector", "inner": "waist", "length": "60 cm"}


REFUSED: list[tuple[str, list[Move], str]] = [
    ("scoop wider than its edge", [RECTANGLE, SCOOP | {"width": "42 cm"}],
     "Panel, scoop: 42 cm (16 1/2 in) is wider than the top edge, 30 cm (11 3/4 in)."),
    ("scoop deeper than its edge", [RECTANGLE, SCOOP | {"depth": "51 cm"}],
     "Panel, scoop: 51 cm (20 1/8 in) is deeper than the centre edge, 50 cm (19 5/8 in)."),
    ("scoop of no width", [RECTANGLE, SCOOP | {"width": "0 cm"}],
     "Panel, scoop: width comes to 0 cm (0 in); it must be greater than zero."),
    ("scoop of a bare number", [RECTANGLE, SCOOP | {"width": "12"}],
     "Panel, scoop: width: “12” is a number without a unit. Write 12 cm or 12 in."),
    ("scoop too full", [RECTANGLE, SCOOP | {"fullness": "2"}],
     "Panel, scoop: fullness is 2; it must be from 0.1 to 0.95."),
    ("scoop with a length as fullness", [RECTANGLE, SCOOP | {"fullness": "2 cm"}],
     "Panel, scoop: fullness: “2 cm” should be a plain number, without a unit."),
    ("scoop at no corner", [RECTANGLE, SCOOP | {"corner": "hem"}],
     "Panel, scoop: the top and hem edges do not meet at a corner."),
    ("scoop on a curve", [RECTANGLE, SCOOP, SCOOP | {"corner": "neck", "name": "second"}],
     "Panel, scoop: the neck edge is curved; this move needs a straight one."),
    ("scoop named like another edge", [RECTANGLE, SCOOP | {"name": "Hem"}],
     "Panel, scoop: two edges would be called “hem”; name one differently."),
    ("misspelt figure", [RECTANGLE, SCOOP | {"depth": "bsut / 8"}],
     "Panel, scoop: depth: There is no figure called “bsut”. Did you mean “bust”?"),
    ("unknown edge", [RECTANGLE, SLOPE | {"edge": "shoulder"}],
     "Panel, slope: there is no edge called “shoulder”; the edges are top, side, hem, centre."),
    ("slope longer than the side", [RECTANGLE, SLOPE | {"drop": "50 cm"}],
     "Panel, slope: 50 cm (19 5/8 in) is as long as the side edge or longer, 50 cm (19 5/8 in)."),
    ("move before any shape", [SLOPE],
     "Panel, slope: draw a shape first, such as a rectangle."),
    ("second shape", [RECTANGLE, RECTANGLE],
     "Panel, rectangle: a shape starts a piece, so it must be the first move."),
    ("second ring", [RECTANGLE, RING],
     "Panel, ring or part of one: a shape starts a piece, so it must be the first move."),
    ("rectangle with three names", [RECTANGLE | {"edges": ["a", "b", "c"]}],
     "Panel, rectangle: a rectangle needs four different edge names."),
    ("rectangle of no length", [RECTANGLE | {"length": "bust - bust"}],
     "Panel, rectangle: length comes to 0 cm (0 in); it must be greater than zero."),
    ("rectangle of 90 m", [RECTANGLE | {"length": "90 m"}],
     "Panel, rectangle: length: 9000 cm (3543 1/4 in) is more than any garment needs."),
    ("cut deeper than the side", [RECTANGLE, CUT_IN | {"depth": "60 cm"}],
     "Panel, cut in: 60 cm (23 5/8 in) is deeper than the side edge, 50 cm (19 5/8 in)."),
    ("cut wider than the hem", [RECTANGLE, CUT_IN | {"by": "31 cm"}],
     "Panel, cut in: 31 cm (12 1/4 in) is more than the hem edge is wide, 30 cm (11 3/4 in)."),
    ("cut as wide as the hem", [RECTANGLE, CUT_IN | {"by": "30 cm"}],
     "Panel, cut in: nothing would be left of the hem edge."),
    ("rounding larger than the cut",
     [RECTANGLE, CUT_IN | {"shape": "rounded", "radius": "6 cm"}],
     "Panel, cut in: rounding 6 cm (2 3/8 in) is more than there is room for, "
     "5 cm (1 15/16 in)."),
    ("hem taken off whole", [RECTANGLE, {"kind": "extend", "by": "-60 cm"}],
     "Panel, extend: moving the hem edge 60 cm (23 5/8 in) takes away the whole side edge, "
     "50 cm (19 5/8 in)."),
    ("extension beside a curve",
     [RECTANGLE, SCOOP, {"kind": "extend", "edge": "top", "by": "1 cm"}],
     "Panel, extend: the neck edge is curved where it meets the top."),
    ("sides that meet before the new hem",
     [RECTANGLE, TAPER | {"by": "20 cm"}, {"kind": "extend", "by": "30 cm"}],
     "Panel, extend: the outline would cross itself."),  # they meet 50 * 10 / 20 = 25 cm below
    ("tapering the fold", [RECTANGLE, TAPER | {"edge": "centre"}],
     "Panel, taper: a piece cut on the fold needs one straight edge along the fold."),
    ("moving the fold", [RECTANGLE, {"kind": "extend", "edge": "centre", "by": "2 cm"}],
     "Panel, extend: a piece cut on the fold needs one straight edge along the fold."),
    ("ring of a whole circle", [RING | {"share": "1"}],
     "Panel, ring or part of one: so much of a circle leaves no cloth for its seam; draw half "
     "of the waist line as half a circle and cut two."),
    ("ring of more than a circle", [RING | {"share": "3/2"}],
     "Panel, ring or part of one: share of a circle is 1.5; it must be from 0.02 to 1."),
]  # fmt: skip


@pytest.mark.parametrize(
    ("moves", "sentence"), [r[1:] for r in REFUSED], ids=[r[0] for r in REFUSED]
)
def test_a_move_that_cannot_be_done_says_why(moves: list[Move], sentence: str) -> None:
    """The piece, the move, the figure and its limit, in both units."""
    assert refusal_of(*moves, on_fold=True) == sentence


def test_edge_names_that_could_not_be_quoted_are_not_taken() -> None:
    for name in ("a.b", "{neck}", "neck\x00", "n" * 41):
        with pytest.raises(ValueError, match="name"):
            PieceRecipe.model_validate({"name": "Panel", "moves": [SCOOP | {"name": name}]})
        with pytest.raises(ValueError, match="edges"):
            PieceRecipe.model_validate({"name": "P", "moves": [RECTANGLE | {"edges": [name] * 4}]})
