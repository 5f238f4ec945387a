"""Figures as they are typed: with and without a unit, of either sign; and as they are listed."""

import pytest
from starlette.testclient import TestClient

from tests.specimens import WREN
from webapp.draft.names import Figures, Quantity
from webapp.draft.recipe import Recipe
from webapp.errors import FigureError
from webapp.pages.draft_view import DraftView
from webapp.pages.forms import figure
from webapp.pages.house import House
from webapp.plan.edits import changed
from webapp.plan.starters import episode_from

NAMES = Figures({"bust": Quantity(920)})


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("1", "1 cm"),
        ("-1", "-1 cm"),
        ("- 1", "- 1 cm"),
        ("-2,5", "-2,5 cm"),
        ("-½", "-½ cm"),
        ("- 1 1/2", "- 1 1/2 cm"),
        ("−1", "−1 cm"),  # as a phone writes it
        ("-1 in", "-1 in"),
        ("bust / 4 - 1 cm", "bust / 4 - 1 cm"),
    ],
)
def test_a_bare_number_is_in_the_episodes_unit_whatever_its_sign(typed: str, written: str) -> None:
    assert figure("cm", NAMES)(typed) == written
    assert figure("in", NAMES)(typed) == written.replace(typed + " cm", typed + " in")


def test_a_bare_number_beside_a_length_is_refused_all_the_same() -> None:
    with pytest.raises(FigureError, match="adds a length to a bare number"):
        figure("cm", NAMES)("bust - 1")
    with pytest.raises(ValueError, match="more than any garment needs"):
        figure("cm", NAMES)("-3000")


def test_a_share_stays_a_bare_number() -> None:
    assert figure("cm", NAMES, share=True)("-1/2") == "-1/2"


def test_an_edge_is_listed_as_long_as_the_one_it_is_sewn_to(
    client: TestClient, house: House
) -> None:
    rectangle = {"kind": "rectangle", "width": "30 cm", "length": "50 cm"}
    pieces = [
        {"name": "Front", "moves": [rectangle]},
        {"name": "Back", "moves": [rectangle | {"length": "50.2 cm"}]},
    ]
    seam = {"name": "side", "one": [{"edge": "Front.right side"}],
            "other": [{"edge": "Back.left side"}]}  # fmt: skip
    recipe = Recipe.model_validate({"id": "r", "name": "R", "pieces": pieces, "seams": [seam]})
    episode = house.store.add(changed(episode_from(recipe, "Fresh", "fresh"), body=WREN))
    answer = client.get(f"/episodes/{episode}/draft?garment=r")
    view = answer.context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, DraftView)
    assert view.figures["Back.left side"].value == pytest.approx(500)
    assert view.figures["Back.right side"].value == pytest.approx(502)
