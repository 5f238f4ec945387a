"""The cloth page: how a cloth is laid, what its length is made of, what it costs."""

import re

import pytest
from starlette.testclient import TestClient

from webapp.pages.house import House

FIRST = "/episodes/{}/cloth/cloths/0"


def page(client: TestClient, episode: str) -> str:
    """The page's text, its white space and unbroken spaces made plain."""
    return re.sub(r"\s+", " ", client.get(f"/episodes/{episode}/cloth").text.replace("\xa0", " "))


def length_mm(house: House, episode: str) -> float:
    lay = house.plan(episode).lays[0].lay
    assert lay is not None
    return lay.length_mm


def test_a_cloth_is_folded_and_the_page_says_what_that_does(
    client: TestClient, house: House, smock: str
) -> None:
    opened = length_mm(house, smock)
    client.post(FIRST.format(smock), data={"laid": "folded"})
    lay = house.plan(smock).lays[0].lay
    assert lay is not None
    assert lay.cloth.laid == "folded"
    assert lay.length_mm > opened
    text = page(client, smock)
    assert "every piece comes out twice, as a left and a right" in text
    assert "two selvedges" in text
    assert "Folded lengthwise, selvedges together" in text


def test_a_piece_wanted_alike_is_told_before_it_is_cut_from_two_layers(
    client: TestClient, house: House, smock: str
) -> None:
    """The pocket as a slanting one, two of the same hand."""
    piece = "/episodes/{}/draft/lighthouse-smock/pieces/Pocket"
    client.post(
        f"{piece.format(smock)}/moves",
        data={"kind": "slope", "edge": "mouth", "end": "right side", "drop": "3 cm"},
    )
    client.post(FIRST.format(smock), data={"laid": "folded"})
    pocket = next(p for p in house.plan(smock).pieces if p.name == "Pocket")
    assert not pocket.pair
    assert "Pocket is wanted alike each time" in page(client, smock)
    client.post(FIRST.format(smock), data={"laid": "open"})
    assert "wanted alike" not in page(client, smock)


def test_the_length_at_hand_is_kept_as_typed_and_shown_in_both_units(
    client: TestClient, house: House, smock: str
) -> None:
    client.post(FIRST.format(smock), data={"have": "2 yd"})
    assert house.store.get(smock).cloths[0].have == "2 yd"
    text = page(client, smock)
    assert "How much of it you have" in text
    assert "= 183 cm (72 in)" in text
    client.post(FIRST.format(smock), data={"have": ""})
    assert house.store.get(smock).cloths[0].have == ""


def test_a_spare_and_squaring_up_are_lines_of_their_own(
    client: TestClient, house: House, smock: str
) -> None:
    before = house.plan(smock).lays[0].purchase
    client.post(FIRST.format(smock), data={"spare": "all", "squaring": "5 cm"})
    after = house.plan(smock).lays[0].purchase
    assert before is not None
    assert after is not None
    assert after.squaring_mm == 50
    assert after.spare_mm > 0
    assert sum(after.parts_mm) == pytest.approx(after.total_mm)
    text = page(client, smock)
    assert "Front, Back" in text
    assert "once more" in text


def test_a_price_becomes_a_cost(client: TestClient, house: House, smock: str) -> None:
    client.post(FIRST.format(smock), data={"price": "20", "price_per": "m"})
    purchase = house.plan(smock).lays[0].purchase
    assert purchase is not None
    metres = float(purchase.metres.removesuffix(" m"))
    text = page(client, smock)
    assert f"€{20 * metres:.2f}" in text
    assert "At €20.00 a metre" in text


def test_weight_and_repeat_are_shown_in_both_units(client: TestClient, smock: str) -> None:
    client.post(FIRST.format(smock), data={"weight": "5.5 oz/yd2", "repeat_along": "3 in"})
    text = page(client, smock)
    assert "186 g/m² (5.5 oz/yd²)" in text
    assert "finding the start of the repeat" in text


def test_matching_says_what_it_costs_and_draws_the_stripes(
    client: TestClient, house: House, smock: str
) -> None:
    plain = house.plan(smock).lays[0].purchase
    assert plain is not None
    drawn = client.get(f"/episodes/{smock}/cloth").text.count("stroke-opacity")
    client.post(FIRST.format(smock), data={"repeat_along": "12 cm"})
    text = page(client, smock)
    assert f"Without matching you would buy {plain.metres} ({plain.yards})." in text
    assert "Stripes that run around the body meet at the seams, from the hem up." in text
    assert "The middle of every piece" not in text
    assert client.get(f"/episodes/{smock}/cloth").text.count("stroke-opacity") == drawn + 1


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("weight", "heavy", "cannot be read as a weight"),
        ("weight", "18", "has no unit"),
        ("stretch", "300", "too much"),
        ("repeat_along", "1 mm", "out of range"),
        ("repeat_across", "stripes", "stripes"),
        ("price", "twelve", "Write the price as a number"),
        ("squaring", "-1 cm", "less than zero"),
        ("squaring", "", "blank"),
        ("laid", "crumpled", "Choose one of the answers"),
        ("spare", "two", "Choose one of the answers"),
        ("price_per", "ell", "Choose one of the answers"),
    ],
)
def test_what_cannot_be_is_told_beside_the_field_and_kept(
    client: TestClient, house: House, smock: str, field: str, typed: str, words: str
) -> None:
    before = house.plan(smock).episode.cloths
    answer = client.post(FIRST.format(smock), data={field: typed}, headers={"HX-Request": "true"})
    assert answer.status_code == 422
    assert words in answer.text
    assert house.plan(smock).episode.cloths == before


@pytest.mark.parametrize(
    ("came_from", "goes_to"),
    [
        ("ways", "ways"),
        ("offcuts?size=M", "offcuts?size=M"),
        ("cloth/cloths/0", "cloth"),  # the address of a form, not of a page
        ("../../elsewhere", "cloth"),
    ],
)
def test_undo_comes_back_to_the_page_its_button_stood_on(
    client: TestClient, smock: str, came_from: str, goes_to: str
) -> None:
    client.post(FIRST.format(smock), data={"laid": "folded"})
    answer = client.post(
        f"/episodes/{smock}/undo",
        data={"page": "cloth"},
        headers={"Referer": f"http://127.0.0.1/episodes/{smock}/{came_from}"},
    )
    assert answer.headers["location"] == f"/episodes/{smock}/{goes_to}"


def test_one_way_cloth_cannot_be_folded_across_and_can_be_put_right(
    client: TestClient, smock: str
) -> None:
    client.post(FIRST.format(smock), data={"one_way": "yes", "laid": "folded across"})
    text = page(client, smock)
    assert "One-way cloth cannot be folded across" in text
    assert "Opened out, one layer" in text  # the choice is there to mend it


def test_she_who_reads_inches_first_is_told_the_price_of_a_yard_too(
    client: TestClient, smock: str
) -> None:
    client.post(FIRST.format(smock), data={"price": "24", "price_per": "m"})
    text = page(client, smock)
    assert ", €24.00 a metre, shrinkage, nap</summary>" in text and "At €24.00 a metre<" in text
    client.cookies.set("first_unit", "in")
    text = page(client, smock)
    assert ", €21.95 a yard (€24.00 a metre), shrinkage, nap</summary>" in text
    assert "At €21.95 a yard (€24.00 a metre)<" in text
