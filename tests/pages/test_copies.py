"""Duplicating an episode: one press, told on arrival, undone by deleting it."""

import pytest
from starlette.testclient import TestClient

from webapp.errors import StoreError
from webapp.pages.house import House
from webapp.plan.episode import Episode
from webapp.store.episode_file import to_text
from webapp.store.repository import EpisodeStore

pytestmark = pytest.mark.usefixtures("database")


def test_a_copy_is_told_on_arrival_with_what_stayed_behind(
    client: TestClient, house: House, smock: str
) -> None:
    before = to_text(house.store.get(smock))
    answer = client.post(f"/episodes/{smock}/copy")
    assert answer.status_code == 303
    front, _, asked = answer.headers["location"].partition("?")
    new = front.rpartition("/")[2]
    copy = house.store.get(new)
    assert (new, copy.title, copy.number) == (
        "the-lighthouse-smock-copy",
        "The Lighthouse Smock (copy)",
        4,
    )
    page = client.get(f"{front}/brief?{asked}").text
    assert "This is a copy of" in page
    assert "shoot day" in page
    assert "This is a copy of" not in client.get(f"{front}/brief").text
    assert to_text(house.store.get(smock)) == before

    assert client.post(f"{front}/delete").status_code == 303
    assert [one.id for one in house.store.list()] == [smock]
    assert [one.id for one in house.store.list(deleted=True)] == [new]


def test_two_copies_differ_in_their_titles(client: TestClient, house: House, smock: str) -> None:
    for _ in range(2):
        client.post(f"/episodes/{smock}/copy")
    assert {one.title for one in house.store.list()} == {
        "The Lighthouse Smock",
        "The Lighthouse Smock (copy)",
        "The Lighthouse Smock (copy 2)",
    }


def test_a_copy_of_what_is_not_there_is_told(client: TestClient, smock: str) -> None:
    assert client.post("/episodes/none/copy").status_code == 404
    assert client.get(f"/episodes/{smock}/brief?copied=none").status_code == 200


def test_a_copy_of_what_cannot_be_read_any_more_is_shown_all_the_same(
    client: TestClient, smock: str, empty: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    get = EpisodeStore.get

    def damaged(of: EpisodeStore, episode_id: str) -> Episode:
        if episode_id == empty:
            raise StoreError("A stored plan cannot be read.")
        return get(of, episode_id)

    monkeypatch.setattr(EpisodeStore, "get", damaged)
    assert client.get(f"/episodes/{smock}/brief?copied={empty}").status_code == 200
