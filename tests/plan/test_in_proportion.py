"""A figure in proportion to a measure: the same on the filmed body, another in each other size."""

import pytest

from tests.plan.test_fittings import DEEPER, ID, noted
from tests.specimens import WREN
from webapp.draft.expressions import read
from webapp.draft.fittings import ChoiceChange, in_proportion
from webapp.draft.recipe import Body, Recipe
from webapp.errors import RecipeError
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.fittings import with_fitting_made
from webapp.plan.sizes import size_table


@pytest.mark.parametrize("value", ["9 cm", "9.3 cm", "3 5/8 in", "8 cm + 1/2 in", "0.1 cm"])
@pytest.mark.parametrize("bust", ["92 cm", "36 1/4 in", "5 ft 1 in", "91,7 cm", "36¼ in"])
def test_a_figure_in_proportion_is_the_same_on_this_body(value: str, bust: str) -> None:
    body = Body(name="Any", measures={"bust": bust})
    recipe = Recipe(id="any", name="Any", measures=("bust",))
    names = evaluate(Episode(id="any", title="Any", body=body, garments=(recipe,))).drafts[0].names
    written = in_proportion(value, "bust", body)
    assert read(written).length_mm(names) == read(value).length_mm(names)


def test_a_figure_in_proportion_follows_in_every_size(smock: Episode) -> None:
    """By hand: 11.5 cm on a bust of 92 cm is an eighth of it; so it is 12 cm on 96 cm."""
    value = in_proportion("11.5 cm", "bust", smock.body)
    assert value == "11.5 cm * (bust / 92 cm)"
    change = ChoiceChange(garment=ID, choice="front neck depth", value=value)
    episode = with_fitting_made(noted(smock, change), "first-fitting")
    depths = {
        size.body.name: size.drafts[0].piece("Front").figures_mm["neck depth"]
        for size in size_table(episode)
    }
    assert depths == pytest.approx(
        {"Wren": 115, "XS": 100, "S": 110, "M": 120, "L": 130, "XL": 145}
    )


def test_a_change_of_a_plain_figure_is_the_same_in_every_size(smock: Episode) -> None:
    episode = with_fitting_made(noted(smock, DEEPER), "first-fitting")
    depths = [s.drafts[0].piece("Front").figures_mm["neck depth"] for s in size_table(episode)]
    assert depths == [110] * 6


@pytest.mark.parametrize(
    ("value", "measure", "body", "why"),
    [
        ("9 cm", "calf", WREN, "The body has no measure “calf”"),
        ("9 cm", "bust", Body(name="Any", measures={"bust": "wide"}), "bust: “wide”"),
        ("9 cm", "bust", Body(name="Any", measures={"bust": "0 cm"}), "is nothing"),
        ("9 cm +", "bust", WREN, "“9 cm \\+”"),
        (" + ".join(["1 cm"] * 28), "bust", WREN, "too long"),
    ],
)
def test_what_cannot_be_written_in_proportion_says_why(
    value: str, measure: str, body: Body, why: str
) -> None:
    with pytest.raises(RecipeError, match=why):
        in_proportion(value, measure, body)
