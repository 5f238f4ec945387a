"""The page of other cloths: what is shown, what can be typed, and that nothing typed is lost."""

from html import unescape

import pytest
from starlette.testclient import TestClient

from webapp.cloth.cloths import ChoiceOnCloth, OtherCloth
from webapp.pages import other_cloths as page
from webapp.pages.house import House
from webapp.plan.edits import changed
from webapp.plan.episode import Episode

GARMENT = "lighthouse-smock"
NEW = {
    "name": "Viscose",
    "instead_of": "Main cloth",
    "width": "140",
    "weight": "90 g/m2",
    "stretch": "0",
    "effect": "More drape.",
}


@pytest.fixture
def base(smock: str) -> str:
    """The address of the page."""
    return f"/episodes/{smock}/other-cloths"


def _view(client: TestClient, base: str) -> page.OtherClothsView:
    view: page.OtherClothsView = client.get(base).context["view"]
    return view


def _others(house: House, smock: str) -> tuple[OtherCloth, ...]:
    return house.store.get(smock).other_cloths


def test_the_demo_shows_what_changes_in_both_units(client: TestClient, base: str) -> None:
    answer = client.get(base)
    assert answer.status_code == 200
    heavy, stretchy = _view(client, base).plans
    assert (heavy.other.name, stretchy.other.name) == ("Wool flannel", "Cotton interlock")
    for told in (
        "Single fold hem: 2.8\u00a0cm (1\u00a01/8\u00a0in)",
        "18\u00a0cm (7\u00a01/8\u00a0in)",
        "100/16, universal",
        "90/14, ballpoint",
        "Common practice, no source.",
    ):
        assert told in answer.text
    assert 'aria-current="page">Other cloths' in answer.text


def test_an_episode_that_has_hardly_begun_shows_the_form(client: TestClient, empty: str) -> None:
    answer = client.get(f"/episodes/{empty}/other-cloths")
    assert answer.status_code == 200
    assert "A cloth that would do" in answer.text


def test_a_cloth_is_added_edited_and_taken_out(
    client: TestClient, base: str, smock: str, house: House
) -> None:
    before = house.store.get(smock)
    assert client.post(f"{base}/new", data=NEW).status_code == 303
    added = _others(house, smock)[-1]
    assert (added.name, added.width, added.weight) == ("Viscose", "140 cm", "90 g/m2")
    assert client.post(f"{base}/2", data={"price": "12,5", "hems": "as drafted"}).status_code == 303
    edited = _others(house, smock)[-1]
    assert (edited.price, edited.hems, edited.effect) == ("12.5", "as drafted", "More drape.")
    assert client.post(f"{base}/2/delete").status_code == 303
    assert house.store.get(smock) == before
    client.post(f"/episodes/{smock}/undo", data={"page": "cloth"})
    assert _others(house, smock)[-1] == edited


def test_a_new_cloth_is_laid_as_the_one_it_replaces_and_both_conditions_are_told(
    client: TestClient, house: House, smock: str, base: str
) -> None:
    def edit(episode: Episode) -> Episode:
        alike = {"laid": "folded", "edge_margin": "1.5 cm", "squaring": "4 cm", "spare": "all"}
        main = changed(episode.cloths[0], **alike, width="200 cm", shrinks_along=3.0, one_way=True)
        return changed(episode, cloths=(main, *episode.cloths[1:]), sizes=())

    house.store.change(smock, "cloth", edit)
    assert client.post(f"{base}/new", data={**NEW, "width": "200"}).status_code == 303
    new = _others(house, smock)[-1]
    assert (new.laid, new.edge_margin, new.squaring, new.spare) == (
        "folded",
        "1.5 cm",
        "4 cm",
        "all",
    )
    main = house.store.get(smock).cloths[0]
    assert (new.shrinks_along, new.shrinks_across) == (3.0, main.shrinks_across)
    assert not new.one_way
    text = " ".join(client.get(base).text.split())
    assert (
        "Viscose: folded lengthwise, pieces either way up, 3 % for shrinking, every piece "
        "once more. Main cloth: folded lengthwise, every piece the same way up, 3 % for "
        "shrinking, every piece once more." in text
    )


@pytest.mark.parametrize(
    ("field", "typed", "told"),
    [
        ("name", "", "Write something here."),
        ("name", "main cloth", "There is a cloth called “main cloth” already"),
        ("name", "Wool flannel", "There is a cloth called “Wool flannel” already"),
        ("instead_of", "Felt", "Choose one of the answers offered."),
        ("width", "wide", "cannot be read"),
        ("width", "1 cm", "out of range"),
        ("weight", "18", "has no unit"),
        ("stretch", "a lot", "Write a number from 0 to 300"),
        ("effect", "x" * 201, "200 is the most"),
    ],
)
def test_what_is_wrong_is_told_beside_its_field_and_all_is_kept(
    client: TestClient, base: str, smock: str, house: House, field: str, typed: str, told: str
) -> None:
    before = house.store.get(smock)
    answer = client.post(f"{base}/new", data={**NEW, field: typed})
    assert answer.status_code == 422
    view: page.OtherClothsView = answer.context["view"]
    answers = view.answers_for("new cloth")
    assert answers
    assert list(answers.errors) == [field]
    assert told in answers.errors[field]
    assert answers.typed == {**NEW, field: typed}
    assert told in answer.text
    assert house.store.get(smock) == before


def test_a_name_that_is_taken_is_told_when_a_cloth_is_edited(client: TestClient, base: str) -> None:
    answer = client.post(f"{base}/0", data={"name": "Cotton interlock"})
    assert answer.status_code == 422
    assert list(answer.context["view"].answers.errors) == ["name"]


# --- Choices on a cloth ----------------------------------------------------------------------


def test_a_suggestion_is_taken_over(
    client: TestClient, base: str, smock: str, house: House
) -> None:
    (advice,) = _view(client, base).plans[1].ease
    data = {"which": f"{GARMENT} body ease", "value": advice.value}
    assert client.post(f"{base}/1/choices/new", data=data).status_code == 303
    assert _others(house, smock)[1].choices == (
        ChoiceOnCloth(garment=GARMENT, choice="body ease", value="24 cm"),
    )
    assert not _view(client, base).plans[1].ease
    assert house.store.get(smock).garments[0].choices[0].value == "26 cm"  # the draft's own stays


def test_a_choice_on_a_cloth_is_changed_and_goes_back_to_the_draft(
    client: TestClient, base: str, smock: str, house: House
) -> None:
    assert (
        client.post(f"{base}/0/choices", data={f"c {GARMENT} body ease": "20"}).status_code == 303
    )
    assert _others(house, smock)[0].choices[0].value == "20 cm"
    assert house.store.standing(smock).undo == "body ease to 20 cm on Wool flannel"
    data = {"which": f"{GARMENT} body ease"}
    assert client.post(f"{base}/0/choices/delete", data=data).status_code == 303
    assert not _others(house, smock)[0].choices


@pytest.mark.parametrize(
    ("value", "told"),
    [
        ("2 cm", "the limit that makes sense"),
        ("99 cm", "the limit that makes sense"),
        ("body ease", "cannot be worked out from itself"),
        ("nonsense", "nonsense"),
        ("1 / 0 * 1 cm", ""),
        ("2 * 3", ""),
        ("", ""),
    ],
)
def test_a_figure_that_will_not_do_is_told_beside_it(
    client: TestClient, base: str, smock: str, house: House, value: str, told: str
) -> None:
    before = house.store.get(smock)
    name = f"c {GARMENT} body ease"
    for address, field, data in (
        (f"{base}/0/choices", name, {name: value}),
        (f"{base}/1/choices/new", "value", {"which": f"{GARMENT} body ease", "value": value}),
    ):
        answer = client.post(address, data=data)
        assert answer.status_code == 422
        answers = answer.context["view"].answers
        assert list(answers.errors) == [field]
        assert told in answers.errors[field]
        assert answers.typed[field] == value
    assert house.store.get(smock) == before


@pytest.mark.parametrize("which", ["", "gone body ease", GARMENT, f"{GARMENT} gone"])
def test_a_choice_that_is_not_there_is_refused(client: TestClient, base: str, which: str) -> None:
    data = {"which": which, "value": "1 cm"}
    assert client.post(f"{base}/0/choices/new", data=data).status_code == 422
    assert client.post(f"{base}/0/choices/delete", data=data).status_code == 422


@pytest.mark.parametrize("path", ["/9/choices", "/9/choices/new", "/9/choices/delete"])
def test_a_cloth_that_is_gone_is_said_to_be_gone(client: TestClient, base: str, path: str) -> None:
    assert client.post(f"{base}{path}", data={}).status_code == 404


def test_a_choice_left_over_in_a_file_can_be_taken_out(
    client: TestClient, base: str, smock: str, house: House
) -> None:
    left = ChoiceOnCloth(garment="gone", choice="width", value="1 cm")

    def edit(episode: Episode) -> Episode:
        first, *rest = episode.other_cloths
        return changed(episode, other_cloths=(changed(first, choices=(left,)), *rest))

    house.store.change(smock, "a file", edit)
    assert "There is no choice “width”" in client.get(base).text
    client.post(f"{base}/0/choices/delete", data={"which": "gone width"})
    assert not _others(house, smock)[0].choices


# --- Other tabs, other pages -----------------------------------------------------------------


def test_a_page_out_of_date_writes_over_nothing(
    client: TestClient, base: str, smock: str, house: House
) -> None:
    edition = house.store.edition(smock)
    client.post(f"{base}/0?edition={edition}", data={"effect": "Warm."})
    answer = client.post(f"{base}/0?edition={edition}", data={"effect": "Cool."})
    assert answer.status_code == 422
    assert "another tab" in answer.context["view"].answers.errors[""]
    assert "Cool." in answer.text
    assert _others(house, smock)[0].effect == "Warm."


def test_a_cloth_that_is_renamed_is_followed(client: TestClient, smock: str, house: House) -> None:
    client.post(f"/episodes/{smock}/cloth/cloths/0", data={"name": "Linen"})
    assert {one.instead_of for one in _others(house, smock)} == {"Linen"}


def test_a_cloth_that_is_taken_out_takes_those_in_its_place_along(
    client: TestClient, smock: str, house: House
) -> None:
    before = _others(house, smock)
    client.post(f"/episodes/{smock}/cloth/cloths/0/delete")
    assert not _others(house, smock)
    client.post(f"/episodes/{smock}/undo", data={"page": "cloth"})
    assert _others(house, smock) == before


def test_a_choice_that_is_renamed_on_the_draft_is_followed(
    client: TestClient, smock: str, house: House
) -> None:
    client.post(f"/episodes/{smock}/draft/{GARMENT}/choices/0", data={"name": "room"})
    assert _others(house, smock)[0].choices[0].choice == "room"
    client.post(f"/episodes/{smock}/draft/{GARMENT}/delete")
    assert not _others(house, smock)[0].choices


def test_a_new_cloth_shrinks_as_the_one_it_replaces_until_it_is_said_otherwise(
    client: TestClient, house: House, smock: str, base: str
) -> None:
    """A narrower cloth of the same kind never asks for less than the wider: 112 cm against 115."""
    house.store.change(smock, "one size", lambda e: changed(e, sizes=()))
    main = house.store.get(smock).cloths[0]
    assert main.shrinks_along
    assert client.post(f"{base}/new", data={**NEW, "width": "112 cm"}).status_code == 303
    place = len(_others(house, smock)) - 1
    assert _others(house, smock)[place].shrinks_along == main.shrinks_along

    def card() -> str:
        text = client.get(base).text.split(f'id="other-{place}">')[1].split("</section>")[0]
        return " ".join(unescape(text).replace("\u00a0", " ").split())

    assert "<dt>Width</dt><dd>112 cm (44 1/8 in)</dd>" in card()
    assert f"<dt>Shrinks</dt><dd>{main.shrinks_along:g} % along" in card()
    assert "as Main cloth; wash and measure a square" in card()
    client.post(f"{base}/{place}", data={"shrinks_along": "6", "shrinks_across": "0"})
    assert "<dt>Shrinks</dt><dd>6 % along</dd>" in card()
