"""A check on the body holds within a tenth of a millimetre, and no further."""

import pytest

from webapp.draft.evaluate import evaluate
from webapp.draft.recipe import Body, BodyCheck, Recipe


@pytest.mark.parametrize(
    ("short_mm", "holds"), [(-1, True), (0, True), (0.09, True), (0.11, False), (1, False)]
)
def test_a_check_lets_the_noise_of_an_arc_pass(short_mm: float, holds: bool) -> None:
    check = BodyCheck(name="Waist", garment=f"980 mm - {short_mm} mm", at_least="98 cm")
    (found,) = evaluate(Recipe(id="r", name="R", checks=(check,)), Body(name="B")).checks
    assert found.holds == holds
