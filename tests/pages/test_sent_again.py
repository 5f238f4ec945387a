"""A form that is sent again, as when its answer was lost, is answered as done; undo is for what it
says."""

import re

import pytest
from starlette.testclient import TestClient

from webapp.pages.house import House
from webapp.pages.series_shared import series_address
from webapp.store.episode_file import to_text, write_episode

pytestmark = pytest.mark.usefixtures("database")

IN_PART = {"hx-request": "true"}


def _once(client: TestClient, page: str, action: str) -> str:
    """The name that the form of that action gives what it asks for."""
    text = client.get(page).text
    form = text[text.index(f'action="{action}"') :]
    found = re.search(r'name="once" value="(\w+)"', form)
    assert found is not None
    return found[1]


def test_a_save_whose_answer_was_lost_is_told_as_saved(
    client: TestClient, smock: str, house: House
) -> None:
    front = f"/episodes/{smock}"
    address = f"{front}/shopping/notions/0/delete?edition={house.store.edition(smock)}"
    asked = {**IN_PART, "referer": f"http://127.0.0.1{front}/shopping"}
    count = len(house.store.get(smock).notions)
    for _ in range(2):
        answer = client.post(address, headers=asked, follow_redirects=True)
        assert answer.status_code == 200
        assert "another tab" not in answer.text
        assert f"edition={house.store.edition(smock)}" in answer.text
        assert len(house.store.get(smock).notions) == count - 1
    other = address.replace("/0/", "/1/")
    assert client.post(other, headers=asked).status_code == 422


def test_what_would_be_refused_the_second_time_is_told_as_saved(
    client: TestClient, smock: str, house: House
) -> None:
    """The name is taken by then: by what the form itself has made."""
    address = f"/episodes/{smock}/draft/lighthouse-smock/pieces"
    data = {"name": "Strap", "cut_count": "2"}
    edition = house.store.edition(smock)
    for _ in range(2):
        assert client.post(f"{address}?edition={edition}", data=data).status_code == 303
    names = [piece.name for piece in house.store.get(smock).garments[0].pieces]
    assert names.count("Strap") == 1
    assert client.post(address, data=data).status_code == 422


def test_other_entries_of_the_same_form_are_no_repetition(
    client: TestClient, smock: str, house: House
) -> None:
    address = f"/episodes/{smock}/brief?edition={house.store.edition(smock)}"
    client.post(address, data={"promise": "A smock."})
    again = client.post(address, data={"promise": "Another smock."})
    assert again.status_code == 422
    assert house.store.get(smock).brief.promise == "A smock."


@pytest.mark.parametrize("page", ["/", "front"])
def test_a_copy_whose_answer_was_lost_is_made_once(
    client: TestClient, smock: str, house: House, page: str
) -> None:
    front = f"/episodes/{smock}"
    action = f"{front}/copy"
    asked = {"once": _once(client, front if page == "front" else page, action)}
    first = client.post(action, data=asked).headers["location"]
    assert client.post(action, data=asked).headers["location"] == first
    assert house.store.count() == 2
    client.get(first)  # she has it before her: asked again, she wants another
    assert client.post(action, data=asked).headers["location"] != first
    assert house.store.count() == 3


def test_an_episode_whose_answer_was_lost_is_started_once(client: TestClient, house: House) -> None:
    asked = {"once": _once(client, "/start", "/episodes"), "title": "Apron", "starter": "blank"}
    first = client.post("/episodes", data=asked).headers["location"]
    assert client.post("/episodes", data=asked).headers["location"] == first
    other = client.post("/episodes", data={**asked, "title": "Tabard"}).headers["location"]
    assert other != first
    assert house.store.count() == 2


@pytest.mark.usefixtures("smock")
def test_one_of_a_series_is_started_once(client: TestClient, house: House) -> None:
    page = series_address("Small Wardrobe")
    action = re.search(r'action="(/series/[^"]+/episodes)"', client.get(page).text)
    assert action is not None
    asked = {"once": _once(client, page, action[1]), "title": "Apron", "starter": "blank"}
    first = client.post(action[1], data=asked)
    assert first.status_code == 303
    assert client.post(action[1], data=asked).headers["location"] == first.headers["location"]
    assert house.store.count() == 2


def test_a_file_is_brought_in_once(client: TestClient, smock: str, house: House) -> None:
    asked = {"once": _once(client, "/start", "/episodes/import")}

    def bring(content: bytes) -> str:
        sent = {"file": ("smock.json", content, "application/json")}
        address: str = client.post("/episodes/import", data=asked, files=sent).headers["location"]
        return address

    episode = house.store.get(smock)
    first = bring(write_episode(episode))
    assert bring(write_episode(episode)) == first
    assert bring(write_episode(episode.model_copy(update={"title": "Other"}))) != first
    assert house.store.count() == 3


def _undo_of(text: str, act: str = "undo") -> str:
    """Where the button of a page asks for undo."""
    found = re.search(rf'hx-post="([^"]+/{act}[^"]*)"', text)
    assert found is not None
    return found[1]


def test_undo_on_an_outdated_page_is_told_and_does_nothing(
    client: TestClient, smock: str, house: House
) -> None:
    brief = f"/episodes/{smock}/brief"
    client.post(brief, data={"promise": "A smock."})
    shown = _undo_of(client.get(brief).text)
    client.post(brief, data={"channel": "Another name"})
    before = to_text(house.store.get(smock))
    asked = {"headers": {**IN_PART, "referer": f"http://127.0.0.1{brief}"}}
    told = client.post(shown, **asked, follow_redirects=True)
    assert told.status_code == 422
    assert "Nothing was undone: the plan was changed" in told.text
    assert f"Undo is for “{house.store.standing(smock).undo}” now" in told.text
    assert to_text(house.store.get(smock)) == before
    plain = client.post(shown)
    assert plain.status_code == 422
    assert "Nothing was undone" in plain.text
    assert to_text(house.store.get(smock)) == before
    done = client.post(_undo_of(told.text), **asked, follow_redirects=True)
    assert done.status_code == 200
    assert house.store.get(smock).channel != "Another name"
    assert "Nothing was undone" not in done.text


def test_redo_on_an_outdated_page_is_told_and_does_nothing(client: TestClient, smock: str) -> None:
    brief = f"/episodes/{smock}/brief"
    client.post(brief, data={"promise": "A smock."})
    client.post(f"/episodes/{smock}/undo")
    shown = _undo_of(client.get(brief).text, "redo")
    client.post(brief, data={"channel": "Another name"})
    told = client.post(shown, headers={**IN_PART, "referer": f"http://127.0.0.1{brief}"})
    page = client.get(told.headers["location"], headers=IN_PART)
    assert page.status_code == 422
    assert "Nothing was made again" in page.text


def test_every_undo_says_which_change_it_is_for(client: TestClient, smock: str) -> None:
    client.post(f"/episodes/{smock}/brief", data={"promise": "A smock."})
    for page in ("", "/brief", "/threads", "/times", "/rates", "/table", "/shots"):
        text = client.get(f"/episodes/{smock}{page}").text
        addresses = re.findall(rf'action="(/episodes/{smock}/undo[^"]*)"', text)
        assert addresses, page
        assert all("?change=1-" in one for one in addresses), page
