"""What can be cut from offcuts: no fit is told that does not hold."""

import pickle
from collections import Counter
from collections.abc import Sequence
from typing import Any

import pytest
import shapely

from tests.lays import OVERLAP_MM2
from tests.specimens import SMOCK, WREN, starter, with_choices
from webapp.cloth.laid import Cloth, WayOfLaying
from webapp.cloth.lay import lay_pieces
from webapp.cloth.offcuts import Offcut
from webapp.draft.recipe import Body, Recipe
from webapp.draft.results import Piece
from webapp.plan.evaluate import draft_all
from webapp.plan.leftovers import Extra, Fit, extras_that_fit
from webapp.store.starters import starters

COWL = starter("tube-cowl")  # on Wren's 56 cm head: 56 + 10 + 3 by 48 + 3 cm, cut
LINEN = Cloth(1500)
NAPPED = Cloth(1500, one_way=True)
EDGE_MM = 1e-3
SIZES = [
    Body(
        name=name,
        measures={"bust": f"{bust} cm", "waist": f"{bust - 16} cm", "hip": f"{bust + 8} cm",
                  "head": f"{head} cm", "upper arm": f"{bust / 4 + 4:g} cm", "rise": "27 cm",
                  "inside leg": "77 cm"},
    )
    for name, bust, head in (("S", 84, 54), ("M", 92, 56), ("L", 100, 58), ("XL", 110, 59))
]  # fmt: skip


def offcut(
    width_mm: float, length_mm: float, laid: WayOfLaying = "open", *, x_mm: float = 0
) -> Offcut:
    return Offcut(x_mm, 0, width_mm, length_mm, 1 if laid == "open" else 2, laid)


def recipe_of(*pieces: dict[str, Any], **fields: Any) -> Recipe:
    made = {"id": "own", "name": "Own", "seam_allowance": "0 cm", "pieces": pieces, **fields}
    return Recipe.model_validate(made)


def panel(width: str, length: str, **piece: Any) -> dict[str, Any]:
    move = {"kind": "rectangle", "width": width, "length": length}
    return {"name": "Panel", "moves": [move], **piece}


def found(
    recipe: Recipe,
    offcuts: Sequence[Offcut],
    bodies: Sequence[Body] = (WREN,),
    cloth: Cloth = LINEN,
) -> tuple[Fit, ...]:
    """The fits of that recipe, each of which is seen to hold."""
    extras = extras_that_fit(offcuts, [recipe], bodies, cloth)
    assert_hold(extras, [recipe], offcuts, bodies, cloth)
    return extras[0].fits if extras else ()


def assert_hold(
    extras: Sequence[Extra],
    recipes: Sequence[Recipe],
    offcuts: Sequence[Offcut],
    bodies: Sequence[Body],
    cloth: Cloth,
) -> None:
    """Every piece of the first cloth lies in an offcut, on its grain, and no two overlap."""
    for extra in extras:
        recipe = next(one for one in recipes if one.id == extra.recipe_id)
        for fit in extra.fits:
            (draft,) = draft_all([recipe], next(one for one in bodies if one.name == fit.size))
            pieces = [p for p in draft.pieces if p.cloth == recipe.pieces[0].cloth]
            assert_cut(fit, pieces, offcuts, cloth)


def assert_cut(fit: Fit, pieces: Sequence[Piece], offcuts: Sequence[Offcut], cloth: Cloth) -> None:
    turns = {piece.name: cloth.turns_of(piece) for piece in lay_pieces(pieces)}
    wanted = Counter((p.name, p.pair and i % 2 == 1) for p in pieces for i in range(p.cut_count))
    cut: Counter[tuple[str, bool]] = Counter()
    for one in fit.cuts:
        place = offcuts[one.offcut - 1]
        width, length = place.opened_mm or (place.width_mm, place.length_mm)
        room = shapely.box(0, 0, width, length).buffer(EDGE_MM)
        lying: list[shapely.Polygon] = []
        for placement in one.lay.placements:
            shape = shapely.Polygon(one.lay.placed_points(placement))
            name = placement.name.removesuffix(", mirrored")
            cut[name, name != placement.name] += 1
            drawn = shapely.Polygon(next(p for p in pieces if p.name == name).whole_cut_points)
            assert shape.area == pytest.approx(drawn.area, rel=1e-6)
            assert placement.turn_degrees in turns[name]
            assert not placement.flipped
            assert room.covers(shape)
            assert all(shape.intersection(other).area <= OVERLAP_MM2 for other in lying)
            lying.append(shape)
    assert cut == wanted
    for number, times in Counter(one.offcut for one in fit.cuts).items():
        assert times <= len(offcuts[number - 1].rectangles_mm)


@pytest.mark.parametrize(
    ("width", "length", "fits"),
    [(690, 510, True), (689, 510, False), (690, 509, False), (510, 690, False)],
)
def test_a_cowl_fits_to_the_millimetre_and_only_on_its_grain(
    width: float, length: float, fits: bool
) -> None:
    assert bool(found(COWL, [offcut(width, length)])) is fits


def test_sizes_come_in_the_order_asked_with_the_offcut_they_take() -> None:
    small, larger = offcut(690, 510), offcut(715, 520)  # S 67, M 69, L 71, XL 72 cm wide
    (extra,) = extras_that_fit([larger, small], [COWL], SIZES, LINEN)
    assert (extra.recipe_id, extra.name, extra.sized) == ("tube-cowl", "Tube cowl", True)
    assert extra.sizes == ("S", "M", "L")
    assert [fit.offcuts for fit in extra.fits] == [(2,), (2,), (1,)]  # the smallest that will do
    assert extra.offcuts == (1, 2)


def test_a_piece_that_may_lie_across_is_turned() -> None:
    across = recipe_of(panel("20 cm", "60 cm", grain="across"))
    assert found(across, [offcut(600, 200)])
    assert not found(across, [offcut(200, 600)])


def test_pieces_are_shared_out_among_offcuts() -> None:
    pair = recipe_of(panel("30 cm", "50 cm", cut_count=2))
    assert not found(pair, [offcut(300, 500)])
    (fit,) = found(pair, [offcut(310, 500), offcut(300, 500)])
    assert fit.offcuts == (1, 2)
    (fit,) = found(pair, [offcut(310, 500), offcut(600, 500)])
    assert fit.offcuts == (2,)  # one goes before two


@pytest.mark.parametrize("length", [500, 499])
def test_an_offcut_in_two_layers_gives_the_piece_twice(length: float) -> None:
    pair = recipe_of(panel("30 cm", "50 cm", cut_count=2))
    fits = found(pair, [offcut(300, length, "folded", x_mm=90)])
    assert [len(fit.cuts) for fit in fits] == ([2] if length == 500 else [])


def test_an_offcut_at_the_fold_is_opened_out() -> None:
    wide = recipe_of(panel("60 cm", "50 cm"))
    assert found(wide, [offcut(300, 500, "folded")])
    assert not found(wide, [offcut(300, 500, "folded", x_mm=90)])
    long = recipe_of(panel("30 cm", "100 cm"))
    assert found(long, [offcut(300, 500, "folded across")])
    assert not found(long, [offcut(300, 500, "folded")])


def test_a_piece_on_the_fold_needs_its_whole_width() -> None:
    halved = recipe_of(panel("30 cm", "50 cm", on_fold=True))
    assert found(halved, [offcut(600, 500)])
    assert not found(halved, [offcut(599, 500)])


def test_head_to_tail_is_for_cloth_that_runs_both_ways() -> None:
    """Two panels, 10 cm above and 40 cm below, with sides that slant by 15: one on its head beside
    the other takes 40 + 10 + 15 cm; the same way up their hems alone take 80 cm."""
    move = {"kind": "flared panel", "top": "10 cm", "hem": "40 cm", "length": "30 cm"}
    gore = {"name": "Gore", "moves": [move | {"level": False}], "cut_count": 2}
    flared = recipe_of(gore)
    room = [offcut(651, 301)]
    assert not found(flared, [offcut(649, 301)])
    (fit,) = found(flared, room)
    assert {p.turn_degrees for p in fit.cuts[0].lay.placements} == {0, 180}
    assert not found(flared, room, cloth=NAPPED)
    assert found(flared, [offcut(800, 301)], cloth=NAPPED)


def test_what_cannot_be_drafted_or_worn_is_left_out() -> None:
    headless = Body(name="No head", measures={"bust": "92 cm"})
    room = [offcut(1500, 3000)]
    assert [fit.size for fit in found(COWL, room, [headless, WREN])] == ["Wren"]
    # Two centimetres of ease do not go over the head: the cowl's own check asks for four.
    assert not found(with_choices(COWL, cowl_ease="2 cm"), room)
    assert not found(recipe_of(), room)
    assert not found(recipe_of(panel("30 cm", "50 cm"), {"name": "Not begun"}), room)


def test_a_recipe_without_measures_is_not_sized() -> None:
    cushion = starter("envelope-cushion")
    (extra,) = extras_that_fit([offcut(1400, 1000)], [cushion], SIZES, LINEN)
    assert not extra.sized
    assert extra.sizes == ("S", "M", "L", "XL")


def test_other_cloths_are_named_and_take_nothing_of_the_offcuts() -> None:
    lined = recipe_of(
        panel("30 cm", "50 cm"),
        {**panel("90 cm", "90 cm"), "name": "Lining", "cloth": "Lining cloth"},
    )
    (extra,) = extras_that_fit([offcut(300, 500)], [lined], [WREN], LINEN)
    assert extra.other_cloths == ("Lining cloth",)
    assert not extra.sized


def test_no_offcuts_give_nothing() -> None:
    assert extras_that_fit([], starters(), SIZES, LINEN) == ()
    assert extras_that_fit([offcut(2000, 9000)], starters(), [], LINEN) == ()


@pytest.mark.parametrize("cloth", [LINEN, NAPPED])
@pytest.mark.parametrize(
    "offcuts",
    [
        [offcut(1450, 1000), offcut(220, 900), offcut(330, 250)],
        [offcut(793, 185), offcut(138, 700), offcut(303, 303), offcut(154, 265)],
        [offcut(420, 1100, "folded"), offcut(300, 400, "folded", x_mm=430)],
        [offcut(1100, 500, "folded across"), offcut(500, 300)],
    ],
)
def test_all_that_is_told_of_the_starters_holds(offcuts: list[Offcut], cloth: Cloth) -> None:
    heard: list[str] = []
    ends = [SIZES[0], SIZES[-1]]
    extras = extras_that_fit(offcuts, starters(), ends, cloth, heard.append)
    assert_hold(extras, starters(), offcuts, ends, cloth)
    assert extras
    assert heard == [f"Trying {recipe.name}" for recipe in starters()]
    assert pickle.loads(pickle.dumps(extras)) == extras


def test_a_garment_of_a_left_and_a_right_is_cut_so() -> None:
    """With all the cloth there could be, each hand of the smock's pairs is there."""
    assert found(SMOCK, [offcut(1500, 2500)])
    paired = recipe_of({**panel("20 cm", "30 cm"), "cut_count": 2, "pair": True})
    (fit,) = found(paired, [offcut(400, 300)])
    assert sorted(p.name for p in fit.cuts[0].lay.placements) == ["Panel", "Panel, mirrored"]
