"""Own recipes: a garment is kept, used in another episode, replaced, taken out and put back."""

from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.databases import sql
from webapp.draft.recipe import Recipe
from webapp.pages import garments
from webapp.pages.draft_view import DraftView
from webapp.pages.house import House
from webapp.pages.recipes import own_recipes
from webapp.pages.starting import StartView
from webapp.plan.starters import as_recipe
from webapp.store.backup import backup, restore
from webapp.store.database import database_path, open_database
from webapp.store.library import Library, understood
from webapp.store.repository import EpisodeStore


def draft(client: TestClient, episode: str) -> DraftView:
    response = client.get(f"/episodes/{episode}/draft")
    assert response.status_code == 200
    view: DraftView = response.context["view"]
    return view


def front(client: TestClient) -> StartView:
    response = client.get("/start")
    assert response.status_code == 200
    view: StartView = response.context["view"]
    return view


def keep(client: TestClient, episode: str, garment: str, name: str, in_place_of: str = "") -> int:
    response = client.post(
        f"/episodes/{episode}/draft/{garment}/keep",
        data={"name": name, "in_place_of": in_place_of},
    )
    return int(response.status_code)


def add(client: TestClient, episode: str, starter: str) -> str:
    """Add a garment; returns the address answered."""
    response = client.post(f"/episodes/{episode}/draft/garments", data={"starter": starter})
    assert response.status_code == 303
    return str(response.headers["location"])


def test_a_changed_starter_is_kept_and_used_in_another_episode(
    client: TestClient, house: House, empty: str, smock: str
) -> None:
    add(client, empty, "tube-cowl")
    choices = f"/episodes/{empty}/draft/tube-cowl/choices"
    assert client.post(choices, data={"c cowl ease": "45 cm"}).status_code == 303
    assert keep(client, empty, "tube-cowl", "Twice-round cowl") == 303
    (own,) = draft(client, smock).offered.own
    assert (own.name, own.pieces) == ("Twice-round cowl", "Cowl")
    started = client.post("/episodes", data={"title": "Winter", "starter": own.sent})
    assert started.headers["location"] == "/episodes/winter"
    winter = house.store.get("winter")
    (garment,) = winter.garments
    assert garment == as_recipe(house.store.get(empty), "tube-cowl", "Twice-round cowl")
    assert next(c.value for c in garment.choices if c.name == "cowl ease") == "45 cm"
    assert winter.notions == garment.notions
    shown = [shot.step for shot in winter.shots if shot.kind == "step"]
    assert shown == [step.id for step in garment.steps]


def test_a_kept_recipe_does_not_follow_the_garment_it_came_from(
    client: TestClient, house: House, smock: str
) -> None:
    keep(client, smock, "lighthouse-smock", "My smock")
    (entry,) = house.library.entries("recipe")
    before = understood(entry, Recipe)
    client.post(
        f"/episodes/{smock}/draft/lighthouse-smock/choices", data={"c smock length": "80 cm"}
    )
    assert house.store.get(smock).garments[0].choices != before.choices
    assert house.library.get("recipe", entry.id) == entry


def test_each_starter_is_chosen_by_its_drawing(client: TestClient, empty: str) -> None:
    page = client.get(f"/episodes/{empty}/draft")
    for starter in page.context["view"].offered.starters:
        assert f'<img class="garment-image" src="/starters/{starter.id}.svg"' in page.text


@pytest.mark.parametrize("starter", ["drop-shoulder-smock", "half-circle-skirt", "tube-cowl"])
def test_the_same_starter_can_be_added_twice(
    client: TestClient, house: House, empty: str, starter: str
) -> None:
    assert add(client, empty, starter) == f"/episodes/{empty}/draft?garment={starter}"
    assert add(client, empty, starter) == f"/episodes/{empty}/draft?garment={starter}-2"
    one, other = house.store.get(empty).garments
    assert [p.name + " B" for p in one.pieces] == [p.name for p in other.pieces]
    assert other.name == f"{one.name} 2"
    for page in ("draft", "draft?garment=" + other.id, "cloth", "build", "shots", "companion"):
        assert client.get(f"/episodes/{empty}/{page}").status_code == 200
    assert client.post(f"/episodes/{empty}/draft/{other.id}/delete").status_code == 303
    assert house.store.get(empty).garments == (one,)


def test_an_own_recipe_joins_the_episode_it_was_kept_from(
    client: TestClient, house: House, smock: str
) -> None:
    keep(client, smock, "lighthouse-smock", "My smock")
    before = house.plan(smock)
    (own,) = draft(client, smock).offered.own
    add(client, smock, own.sent)
    after = house.plan(smock)
    assert after.drafts[-1].recipe.name == "My smock"
    assert not after.drafts[-1].problems
    assert [p.outline for p in after.drafts[-1].pieces] == [
        p.outline for p in before.drafts[0].pieces
    ]
    assert house.store.standing(smock).undo == "new garment: My smock"


def test_an_empty_garment_can_be_added_again_and_again(
    client: TestClient, house: House, empty: str
) -> None:
    for _ in range(3):
        add(client, empty, "blank")
    assert len({garment.id for garment in house.store.get(empty).garments}) == 3
    assert len({garment.name for garment in house.store.get(empty).garments}) == 3


def test_a_name_that_is_taken_is_told_beside_it_and_nothing_is_kept(
    client: TestClient, house: House, smock: str
) -> None:
    keep(client, smock, "lighthouse-smock", "My smock")
    response = client.post(
        f"/episodes/{smock}/draft/lighthouse-smock/keep", data={"name": "MY smock"}
    )
    assert response.status_code == 422
    answers = response.context["view"].answers_for("keep")
    assert answers.errors == {
        "name": "You keep a recipe called “My smock” already; give this another name."
    }
    assert answers.typed["name"] == "MY smock"
    assert not response.context["view"].is_old  # the drawings stand as they are
    assert len(house.library.entries("recipe")) == 1


def test_a_recipe_can_be_kept_in_place_of_an_older_one(
    client: TestClient, house: House, smock: str
) -> None:
    keep(client, smock, "lighthouse-smock", "My smock")
    (old,) = house.library.entries("recipe")
    client.post(
        f"/episodes/{smock}/draft/lighthouse-smock/choices", data={"c smock length": "80 cm"}
    )
    assert keep(client, smock, "lighthouse-smock", "My smock", old.id) == 303
    (new,) = house.library.entries("recipe")
    assert (new.id, new.name) == (old.id, old.name)
    length = {c.name: c.value for c in understood(new, Recipe).choices}["smock length"]
    assert length == "80 cm"


def test_a_recipe_kept_anew_since_the_page_was_shown_is_not_replaced_before_it_is_seen(
    client: TestClient, house: House, smock: str
) -> None:
    keep(client, smock, "lighthouse-smock", "My smock")
    (shown,) = draft(client, smock).offered.own
    choices = f"/episodes/{smock}/draft/lighthouse-smock/choices"
    client.post(choices, data={"c smock length": "80 cm"})
    assert keep(client, smock, "lighthouse-smock", "My smock", shown.as_shown) == 303
    kept = house.library.entries("recipe")
    client.post(choices, data={"c smock length": "90 cm"})
    form = {"name": "My smock", "in_place_of": shown.as_shown}  # in another window
    told = client.post(f"/episodes/{smock}/draft/lighthouse-smock/keep", data=form)
    assert told.status_code == 422
    assert "“My smock” was changed in another tab or window" in told.text
    view: DraftView = told.context["view"]  # type: ignore[attr-defined]
    assert view.beside_kept is not None
    rows = {row[0]: row[1:] for _, rows in view.beside_kept.groups for row in rows}
    was, new = (text.replace("\u00a0", " ") for text in rows["smock length"])
    assert (was.partition(" (")[0], new.partition(" (")[0]) == ("80 cm", "90 cm")
    assert house.library.entries("recipe") == kept
    again = form | {"in_place_of": view.answers.typed["in_place_of"]}
    assert client.post(f"/episodes/{smock}/draft/lighthouse-smock/keep", data=again).is_redirect
    (entry,) = house.library.entries("recipe")
    length = {c.name: c.value for c in understood(entry, Recipe).choices}["smock length"]
    assert length == "90 cm"


@pytest.mark.parametrize("others", [0, 1])
def test_a_recipe_that_is_kept_no_more_is_told_at_the_field(
    client: TestClient, house: House, smock: str, others: int
) -> None:
    """With the last of them the choice among them was gone from the page, and its words."""
    keep(client, smock, "lighthouse-smock", "My smock")
    (shown,) = own_recipes(house)
    for _ in range(others):
        keep(client, smock, "lighthouse-smock", "Another")
    client.post(f"/recipes/{shown.id}/take-out")
    form = {"name": "My smock", "in_place_of": shown.as_shown}
    told = client.post(f"/episodes/{smock}/draft/lighthouse-smock/keep", data=form)
    assert told.status_code == 422
    field = told.text.partition('<select name="in_place_of"')[2].partition("</div>")[0]
    assert GONE in field
    assert "selected" not in field.partition("</select>")[0].partition("None: keep")[2]
    assert client.post(
        f"/episodes/{smock}/draft/lighthouse-smock/keep", data=form | {"in_place_of": ""}
    ).is_redirect


def test_a_recipe_changed_while_it_is_being_replaced_is_not_written_over(
    client: TestClient, house: House, smock: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between the look at what is kept and the keeping of the other in its place."""
    keep(client, smock, "lighthouse-smock", "My smock")
    (shown,) = own_recipes(house)
    (entry,) = house.library.entries("recipe")
    elsewhere = entry.document.replace("{", "{ ", 1)

    def meanwhile(*told: Any) -> Recipe:
        house.library.put("recipe", "My smock", elsewhere, entry.id)
        return as_recipe(*told)

    monkeypatch.setattr(garments, "as_recipe", meanwhile)
    assert keep(client, smock, "lighthouse-smock", "My smock", shown.as_shown) == 422
    (kept,) = house.library.entries("recipe")
    assert kept.document == elsewhere


GONE = "That recipe is not kept any more. Choose another, or keep this as a new one."
HOSTILE = [
    ({}, "name", "Write something here."),
    ({"name": "   "}, "name", "Write something here."),
    ({"name": "x" * 81}, "name", "This is 81 characters long; 80 is the most."),
    ({"name": "a\0b"}, "name", "This holds a character that cannot be printed."),
    ({"name": "Smock", "in_place_of": "none"}, "in_place_of", GONE),
]


@pytest.mark.parametrize(("data", "field", "sentence"), HOSTILE)
def test_a_form_filled_in_wrongly_keeps_nothing(
    client: TestClient, house: House, smock: str, data: dict[str, str], field: str, sentence: str
) -> None:
    response = client.post(f"/episodes/{smock}/draft/lighthouse-smock/keep", data=data)
    assert response.status_code == 422
    assert response.context["view"].answers.errors == {field: sentence}
    assert house.library.entries("recipe") == ()


def test_a_name_is_shown_as_text(client: TestClient, smock: str, empty: str) -> None:
    name = "<b>\"Smock\" & 'co'</b>"
    keep(client, smock, "lighthouse-smock", name)
    for page in ("/start", f"/episodes/{empty}/draft"):
        text = client.get(page).text
        assert "<b>" not in text
        assert "&lt;b&gt;" in text


def test_what_is_not_there_is_told(client: TestClient, smock: str) -> None:
    assert keep(client, smock, "none", "Smock") == 404
    assert client.post("/recipes/none/take-out").status_code == 404
    assert client.post("/recipes/none/put-back").status_code == 404


def test_a_recipe_taken_out_meanwhile_is_no_answer(
    client: TestClient, house: House, smock: str, empty: str
) -> None:
    keep(client, smock, "lighthouse-smock", "My smock")
    (own,) = front(client).offered.own
    client.post(f"/recipes/{own.id}/take-out")
    for address in (f"/episodes/{empty}/draft/garments", "/episodes"):
        response = client.post(address, data={"title": "New", "starter": own.sent})
        assert response.status_code == 422
        errors = response.context["view"].answers.errors
        assert errors == {"starter": "Choose one of the answers offered."}
    assert house.store.get(empty).garments == ()


def test_own_recipes_are_listed_taken_out_and_put_back(client: TestClient, smock: str) -> None:
    assert "Your own recipes" not in client.get("/start").text
    keep(client, smock, "lighthouse-smock", "My smock")
    (own,) = front(client).offered.own
    taken_out = client.post(f"/recipes/{own.id}/take-out")
    assert taken_out.headers["location"] == "/start#own-recipes"
    view = front(client)
    assert (view.offered.own, [entry.name for entry in view.recipes_out]) == ((), ["My smock"])
    client.post(f"/recipes/{own.id}/put-back")
    view = front(client)
    assert ([one.name for one in view.offered.own], view.recipes_out) == (["My smock"], ())


@pytest.mark.parametrize("document", ["", "{", "null", '{"id": "old", "name": "Old", "hood": 1}'])
def test_a_damaged_recipe_takes_no_page_down_and_harms_no_other(
    client: TestClient, house: House, smock: str, document: str
) -> None:
    keep(client, smock, "lighthouse-smock", "My smock")
    damaged = house.library.put("recipe", "Old", document)
    view = front(client)
    troubles = {one.name: one.trouble for one in view.offered.own}
    assert troubles["My smock"] == ""
    assert troubles["Old"].startswith("“Old” cannot be read")
    assert troubles["Old"].split(":")[0] in client.get("/start").text
    assert "own my-smock" in client.get(f"/episodes/{smock}/draft").text
    assert "own old" not in client.get(f"/episodes/{smock}/draft").text
    response = client.post(f"/episodes/{smock}/draft/garments", data={"starter": f"own {damaged}"})
    assert response.status_code == 422
    assert client.post(f"/recipes/{damaged}/take-out").status_code == 303


def test_a_recipe_damaged_while_the_page_is_open_is_read_anew(
    client: TestClient, smock: str, tmp_path: Path
) -> None:
    """What was read is remembered by its text, so a repaired or damaged one is told apart."""
    keep(client, smock, "lighthouse-smock", "My smock")
    assert front(client).offered.own[0].recipe is not None
    sql(tmp_path, "UPDATE kept SET document = '{}'")
    assert front(client).offered.own[0].recipe is None


def test_a_backup_carries_a_kept_recipe_to_another_computer(
    client: TestClient, smock: str, tmp_path: Path
) -> None:
    keep(client, smock, "lighthouse-smock", "My smock")
    backup(tmp_path, tmp_path / "plans.backup")
    restore(tmp_path / "new computer", tmp_path / "plans.backup")
    engine = open_database(database_path(tmp_path / "new computer"))
    (entry,) = Library(engine).entries("recipe")
    assert understood(entry, Recipe) == as_recipe(
        EpisodeStore(engine).get(smock), "lighthouse-smock", "My smock"
    )
    engine.dispose()
