"""What is pressed or typed on an outdated page is done to what that page showed, or not at all."""

from collections.abc import Mapping
from typing import Final

import pytest
from starlette.testclient import TestClient

from webapp.pages.house import House
from webapp.store.episode_file import to_text

pytestmark = pytest.mark.usefixtures("database")

Sent = tuple[str, Mapping[str, str | list[str]]]

SMOCK: Final = "draft/lighthouse-smock"
EASE: Final = "lighthouse-smock/body ease"
DAY: Final = "days/2026-12-18"
WAYS: Final[list[Sent]] = [
    (f"{SMOCK}/choices/0/ways", {"way": "close", "figure": "20 cm"}),
    (f"{SMOCK}/choices/0/ways", {"way": "loose", "figure": "30 cm"}),
]
MOVE: Final = f"{SMOCK}/pieces/Sleeve/moves"

# What was there, what was changed elsewhere, what is done on the page of before that.
OTHERWISE: Final[dict[str, tuple[list[Sent], Sent, Sent]]] = {
    "a way picked by its place, where another stands now": (
        WAYS,
        (f"{SMOCK}/choices/0/ways/0/delete", {}),
        (f"{SMOCK}/choices", {"w body ease": "0"}),
    ),
    "a row renamed by its place, where another stands now": (
        [],
        (f"{SMOCK}/finished/0/delete", {}),
        (f"{SMOCK}/finished/1", {"name": "How long it is"}),
    ),
    "a figure more than it was": (
        [],
        (f"{SMOCK}/choices", {"c body ease": "30 cm"}),
        (
            "fittings/sides-open/changes/choice",
            {"choice": EASE, "value": "+2 cm"},
        ),
    ),
    "a figure in proportion to a measure": (
        [],
        ("body", {"m bust": "99 cm"}),
        (
            "fittings/sides-open/changes/choice",
            {"choice": EASE, "value": "20 cm", "measure": "bust"},
        ),
    ),
    "a bare number, where the unit is another now": (
        [],
        ("brief", {"first_unit": "in"}),
        ("body", {"m bust": "40"}),
    ),
    "a bare number on the sheets, where their unit is another now": (
        [],
        ("pattern/choices", {"first_unit": "in"}),
        ("pattern/choices", {"roll_width": "36"}),
    ),
    "a price, where the currency is another now": (
        [],
        ("shopping/currency", {"currency": "USD"}),
        ("shopping/notions/0", {"price": "4"}),
    ),
    "every size printed, where there is one more now": (
        [("pattern/choices", {"sizes": "M"})],
        ("sizes", {"name": "XXL"}),
        ("pattern/choices", {"sizes": ["Wren", "XS", "S", "M", "L", "XL"]}),
    ),
    "a move switched off by its place, where one that is off stands now": (
        [(f"{MOVE}/2/off", {})],
        (f"{MOVE}/1/delete", {}),
        (f"{MOVE}/1/off", {}),
    ),
    "a recipe kept, of a garment that is another now": (
        [],
        (f"{SMOCK}/choices", {"c body ease": "30 cm"}),
        (f"{SMOCK}/keep", {"name": "My smock"}),
    ),
}


@pytest.mark.parametrize("what", OTHERWISE)
def test_what_would_be_another_thing_now_is_not_done(
    client: TestClient, smock: str, house: House, what: str
) -> None:
    earlier, theirs, mine = OTHERWISE[what]
    for one in earlier:
        assert _post(client, smock, one) == 303
    edition = house.store.edition(smock)
    assert _post(client, smock, theirs) == 303
    before = to_text(house.store.get(smock))
    assert _post(client, smock, mine, edition) == 422
    assert to_text(house.store.get(smock)) == before
    assert not house.library.entries("recipe")
    # On the page as it stands now it can be done.
    assert _post(client, smock, mine, house.store.edition(smock)) == 303


def test_all_of_a_day_is_filmed_of_what_its_page_showed(
    client: TestClient, smock: str, house: House
) -> None:
    _post(client, smock, (f"{DAY}/shots/tools/move", {"way": "off"}))
    (day,) = (one for one in house.store.get(smock).shoot_days if str(one.day) in DAY)
    edition = house.store.edition(smock)
    _post(client, smock, (f"{DAY}/shots", {"shots": ["tools"]}))
    assert _post(client, smock, (f"{DAY}/filmed", {}), edition) == 303
    filmed = {one.id for one in house.store.get(smock).shots if one.filmed}
    assert filmed == set(day.shots)


GONE: Final[dict[str, tuple[list[Sent], Sent, Sent]]] = {
    "the figure of a choice": (
        [(f"{SMOCK}/choices/new", {"name": "flare", "value": "4 cm"})],
        (f"{SMOCK}/choices/12/delete", {}),
        (f"{SMOCK}/choices", {"c flare": "5 cm"}),
    ),
    "a shot that a look is worn in": (
        [],
        ("shots/tools/delete", {}),
        ("set-ups/looks/apron", {"shot tools": "yes"}),
    ),
}


@pytest.mark.parametrize("what", GONE)
def test_what_is_typed_for_something_that_is_gone_is_not_told_as_saved(
    client: TestClient, smock: str, house: House, what: str
) -> None:
    earlier, theirs, mine = GONE[what]
    for one in earlier:
        assert _post(client, smock, one) == 303
    edition = house.store.edition(smock)
    assert _post(client, smock, theirs) == 303
    assert _post(client, smock, mine, edition) == 409


def test_a_shot_is_put_elsewhere_on_its_day_beside_another_change(
    client: TestClient, smock: str, house: House
) -> None:
    edition = house.store.edition(smock)
    assert _post(client, smock, ("brief", {"title": "Theirs"})) == 303
    assert _post(client, smock, (f"{DAY}/shots/cowl-shears/place", {"place": "5"}), edition) == 303
    off: Sent = (f"{DAY}/shots/cowl-chalk/move", {"way": "off"})
    assert _post(client, smock, off, edition) == 422
    now = house.store.get(smock)
    assert (now.title, now.shoot_days[0].shots[4]) == ("Theirs", "cowl-shears")


def _post(client: TestClient, episode: str, one: Sent, edition: int | None = None) -> int:
    address, data = one
    asked = "" if edition is None else f"?edition={edition}"
    return client.post(f"/episodes/{episode}/{address}{asked}", data=data).status_code
