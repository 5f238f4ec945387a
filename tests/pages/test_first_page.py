"""The first page: one act in a fresh folder, the list once there are episodes."""

from xml.etree import ElementTree

import html5lib
import pytest
from starlette.testclient import TestClient

from webapp.pages import episodes
from webapp.pages.episodes import EpisodesView
from webapp.pages.house import House
from webapp.pages.starting import StartView
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.store.demo import demo_episodes


def _valid(text: str) -> str:
    # The HTML standard's own parsing rules, by html5lib in strict mode.
    html5lib.HTMLParser(strict=True).parse(text)
    return text


def _listed(client: TestClient, address: str = "/") -> EpisodesView:
    view = client.get(address).context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, EpisodesView)
    return view


def _start(client: TestClient) -> StartView:
    view = client.get("/").context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, StartView)
    return view


def test_a_fresh_folder_opens_on_starting_an_episode(client: TestClient) -> None:
    view = _start(client)
    text = _valid(client.get("/").text)
    assert view.is_first
    assert "Look at the demo series first" in text
    for value, name, _ in view.choices:
        assert name in text
        drawing = client.get(f"/starters/{value}.svg")
        ElementTree.fromstring(drawing.text)
        assert "currentColor" not in drawing.text  # an image brings its own ink
    assert client.get("/starters/none.svg").status_code == 404


def test_the_demo_is_added_once_and_offered_no_more(client: TestClient, house: House) -> None:
    for _ in range(2):
        assert client.post("/demo").headers["location"] == "/"
    assert {row.id for row in house.store.list()} == {one.id for one in demo_episodes()}
    assert "demo series" not in client.get("/start").text


def test_starting_needs_a_title_and_keeps_what_was_chosen(client: TestClient) -> None:
    answer = client.post("/episodes", data={"title": " ", "starter": "tube-cowl"})
    assert answer.status_code == 422
    view = answer.context["view"]  # type: ignore[attr-defined]
    assert view.picked == "tube-cowl"
    assert view.answers.errors.keys() == {"title"}
    _valid(answer.text)


def test_the_unit_she_reads_by_is_offered_first(client: TestClient, house: House) -> None:
    client.cookies.set("first_unit", "in")
    assert _start(client).first_unit == "in"
    client.post("/episodes", data={"title": "Cowl", "starter": "tube-cowl"})
    assert house.store.get("cowl").first_unit == "in"


def test_an_episode_is_a_card_with_its_drawing_and_asks_for_what_is_next(
    client: TestClient, smock: str, empty: str
) -> None:
    text = _valid(client.get("/").text)
    assert 'href="/start"' in text
    assert 'href="/series/small-wardrobe"' in text
    for episode in (smock, empty):
        assert f'href="/episodes/{episode}"' in text
        assert f"/episodes/{episode}/glance/drawing.svg?at=" in text
        assert f'hx-get="/episodes/{episode}/glance/card"' in text
    card = client.get(f"/episodes/{empty}/glance/card").text
    assert "Choose what is to be made" in card
    assert f"/episodes/{empty}/threads" in card


def test_a_series_is_one_group_with_its_own_address_however_it_is_written(
    client: TestClient, house: House
) -> None:
    for at, series in enumerate(("a b", "A  b", "a-b", "-")):
        house.store.add(changed(Episode(id=f"e{at}", title=f"E {at}"), series=series))
    groups = _listed(client, "/").cards
    assert sorted(len(group.episodes) for group in groups) == [1, 1, 2]
    for group in groups:
        shown = client.get(group.address).context["view"].episodes  # type: ignore[attr-defined]
        assert {one.id for one in shown} == {one.id for one in group.episodes}


def test_a_card_reads_no_plan_before_it_is_in_sight(
    client: TestClient, house: House, monkeypatch: pytest.MonkeyPatch, smock: str
) -> None:
    def refuse(*_: object) -> Episode:
        raise AssertionError("The list reads rows only.")

    monkeypatch.setattr(type(house.store), "get", refuse)
    assert smock in client.get("/").text


def test_every_episode_is_listed_once_over_the_pages(
    client: TestClient, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(episodes, "CARDS", 2)
    monkeypatch.setattr(episodes, "LINES", 3)
    made = [
        house.store.add(changed(Episode(id=f"e{at}", title=f"E {at}"), series="AB"[at % 2]))
        for at in range(9)
    ]
    seen: list[str] = []
    for page in (1, 2, 3):
        view = _listed(client, f"/?page={page}")
        assert view.pages == 3
        for group in (*view.cards, *view.lines):
            assert {one.series for one in group.episodes} == {group.series}
            seen += [one.id for one in group.episodes]
        _valid(client.get(f"/?page={page}").text)
    assert sorted(seen) == sorted(made)
    assert _listed(client, "/?page=99").page == 3
