"""What came of a recipe that does not fit the offcuts: measures that lack, the nearest miss."""

import pytest

from tests.plan.test_offcut_extras import recipe_of
from webapp.cloth.laid import Cloth
from webapp.cloth.offcuts import Offcut
from webapp.draft.recipe import Body, Recipe
from webapp.plan.leftover_misses import NearMiss, Tried, tried

LINEN = Cloth(1500)
STRIP = Offcut(0, 0, 1380, 90)
BLOCK = Offcut(0, 0, 300, 400)


def came_of(recipe: Recipe, *bodies: Body) -> Tried:
    return tried("own", recipe, (STRIP, BLOCK), bodies or (Body(name="Wren"),), LINEN, fits=False)


def with_two(first: tuple[str, str], second: tuple[str, str]) -> Recipe:
    one, other = recipe_of("bag", *first), recipe_of("bag", *second)
    strap = other.pieces[0].model_copy(update={"name": "Strap"})
    return one.model_copy(update={"pieces": (*one.pieces, strap)})


def test_the_piece_that_misses_by_the_most_is_told_with_the_offcut_nearest_to_it() -> None:
    """The panel fits the block; the strap, 60 cm along the grain, is 20 cm too long for it."""
    miss = came_of(with_two(("25 cm", "30 cm"), ("5 cm", "60 cm"))).miss
    assert miss == NearMiss("Wren", "Strap", (50.0, 600.0), (300, 400), alone=False)


def test_pieces_that_fit_one_by_one_say_so() -> None:
    miss = came_of(with_two(("25 cm", "38 cm"), ("25 cm", "30 cm"))).miss
    assert miss is not None
    assert miss.alone
    assert (miss.piece, miss.piece_mm, miss.offcut_mm) == ("Panel", (250.0, 380.0), (300, 400))


def test_sizes_that_lack_the_same_measures_are_told_together() -> None:
    asks = recipe_of("skirt", "waist", "60 cm").model_copy(update={"measures": ("waist", "hip")})
    bodies = (
        Body(name="Wren", measures={"waist": "72 cm", "hip": "96 cm"}),
        Body(name="S", measures={"waist": "70 cm"}),
        Body(name="M"),
        Body(name="L", measures={"waist": "80 cm", "hip": " "}),
    )
    found = came_of(asks, *bodies)
    assert found.left_out == ((("S", "L"), ("hip",)), (("M",), ("waist", "hip")))
    assert found.miss is not None
    assert found.miss.size == "Wren"
    assert found.miss.piece_mm == pytest.approx((720, 600))


def test_a_recipe_that_could_be_drafted_in_no_size_misses_by_nothing() -> None:
    asks = recipe_of("skirt", "waist", "60 cm").model_copy(update={"measures": ("waist",)})
    assert came_of(asks).miss is None
