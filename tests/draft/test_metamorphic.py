"""What must hold whatever the figures: larger bodies, other orders, moves switched off and on."""

from typing import Any

import pytest
import shapely

from tests.specimens import RECTANGLE, SMOCK, WREN, Move, piece_of
from webapp.draft.evaluate import Draft, Piece, evaluate
from webapp.draft.recipe import Body, Recipe
from webapp.units import parse_length

SCOOP: Move = {"kind": "scoop", "width": "9 cm", "depth": "8 cm", "corner": "left side"}
BOW: Move = {"kind": "bow", "edge": "right side", "by": "1.5 cm"}
NOTCH: Move = {"kind": "notch", "edge": "hem", "corner": "right side", "at": "6 cm"}
ROUND: Move = {"kind": "round corner", "edge": "hem", "corner": "left side", "radius": "4 cm"}


def scaled(body: Body, factor: float) -> Body:
    mm = {name: parse_length(text, None).mm for name, text in body.measures.items()}
    return Body(name="Scaled", measures={n: f"{factor * v:.6f} mm" for n, v in mm.items()})


def all_from_the_body(body: Body) -> Draft:
    """A garment with no fixed figure in it: every length is a share of a measure."""
    moves: list[Move] = [
        {"kind": "rectangle", "width": "hip / 4", "length": "hip / 2"},
        {"kind": "scoop", "width": "head / 6", "depth": "head / 8"},
        {"kind": "slope", "edge": "top", "drop": "bust / 40"},
        {"kind": "bow", "edge": "side", "by": "bust / 60"},
    ]
    recipe: dict[str, Any] = {
        "id": "scaled",
        "name": "Scaled",
        "seam_allowance": "bust / 60",
        "pieces": [{"name": "Half", "moves": moves, "on_fold": True}],
    }
    draft = evaluate(Recipe.model_validate(recipe), body)
    assert not draft.problems
    return draft


@pytest.mark.parametrize("factor", [0.6, 1.25, 2.0])
def test_a_body_so_many_times_as_large_makes_every_length_so_many_times_as_long(
    factor: float,
) -> None:
    """Similar figures: lengths grow with the factor, areas with its square."""
    one, other = (
        all_from_the_body(WREN).pieces[0],
        all_from_the_body(scaled(WREN, factor)).pieces[0],
    )
    for name, mm in one.figures_mm.items():
        assert other.figures_mm[name] == pytest.approx(factor * mm, rel=1e-6), name
    assert other.outline.area_mm2 == pytest.approx(factor**2 * one.outline.area_mm2, rel=1e-6)
    assert other.cut_size_mm == pytest.approx([factor * side for side in one.cut_size_mm], rel=1e-4)


def test_a_wider_body_widens_the_smock_and_leaves_its_length() -> None:
    wider = Body(name="Wider", measures={**WREN.measures, "bust": "120 cm", "hip": "120 cm"})
    one, other = evaluate(SMOCK, WREN), evaluate(SMOCK, wider)
    # The larger of bust and hip goes from 98 to 120 cm: 22 cm over four quarters.
    grown = other.piece("Front").figures_mm["hem"] - one.piece("Front").figures_mm["hem"]
    assert grown == pytest.approx(220 / 4)
    assert other.piece("Front").cut_size_mm[1] == pytest.approx(
        one.piece("Front").cut_size_mm[1],
        abs=0.5,  # the slanting shoulder's allowance
    )


@pytest.mark.parametrize("moves", [(SCOOP, BOW), (SCOOP, ROUND), (BOW, NOTCH), (SCOOP, NOTCH)])
def test_moves_in_different_places_may_be_made_in_either_order(moves: tuple[Move, Move]) -> None:
    one, other = piece_of(RECTANGLE, *moves), piece_of(RECTANGLE, *reversed(moves))
    apart = shapely.hausdorff_distance(
        shapely.LinearRing(one.seam_points), shapely.LinearRing(other.seam_points)
    )
    assert apart == pytest.approx(0, abs=1e-6)
    assert one.figures_mm == pytest.approx(other.figures_mm)
    assert set(one.markings) == set(other.markings)


@pytest.mark.parametrize("move", [SCOOP, BOW, NOTCH, ROUND])
def test_switched_off_a_move_is_as_if_it_were_not_there(move: Move) -> None:
    def same(one: Piece, other: Piece) -> bool:
        return (one.outline, one.figures_mm, one.markings, one.words) == (
            other.outline,
            other.figures_mm,
            other.markings,
            other.words,
        )

    assert same(piece_of(RECTANGLE, move | {"off": True}), piece_of(RECTANGLE))
