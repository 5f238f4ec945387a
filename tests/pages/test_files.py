"""Episodes started, brought in from files, taken out, deleted."""

import json

import pytest
from starlette.testclient import TestClient

from webapp.pages.house import House
from webapp.store.episode_file import read_episode, write_episode


def test_an_episode_starts_from_a_starter_with_a_shot_for_each_step_on_camera(
    client: TestClient, house: House
) -> None:
    answer = client.post(
        "/episodes", data={"title": "Harbour Smock", "starter": "drop-shoulder-smock"}
    )
    assert answer.headers["location"] == "/episodes/harbour-smock"
    episode = house.store.get("harbour-smock")
    on_camera = [step.id for step in episode.garments[0].steps if not step.off_camera]
    opening, *shots, closing = episode.shots
    assert [shot.step for shot in shots] == on_camera
    assert (opening.kind, closing.kind) == ("styling", "styling")


def test_a_title_taken_twice_gets_an_address_of_its_own(client: TestClient, house: House) -> None:
    for _ in range(2):
        client.post("/episodes", data={"title": "Harbour Smock", "starter": "blank"})
    assert len({summary.id for summary in house.store.list()}) == 2


def test_a_file_taken_out_and_brought_in_again_gives_an_equal_plan(
    client: TestClient, smock: str, house: House
) -> None:
    text = client.get(f"/episodes/{smock}/episode.json").text
    answer = client.post("/episodes/import", files={"file": ("smock.json", text)})
    again = answer.headers["location"].split("/")[2]
    assert house.store.get(again).model_copy(update={"id": smock}) == house.store.get(smock)


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        ("", "empty"),
        ("{", "line 1"),
        ("[]", "episode"),
        ('{"version": 7, "id": "x", "title": "X"}', "newer"),
        ('{"version": 1, "id": "x", "title": ""}', "title"),
    ],
)
def test_a_broken_file_is_refused_with_its_place_and_nothing_changes(
    client: TestClient, house: House, content: str, sentence: str
) -> None:
    answer = client.post("/episodes/import", files={"file": ("broken.json", content)})
    assert answer.status_code == 422
    assert sentence in answer.context["view"].import_answers.errors["file"]  # type: ignore[attr-defined]
    assert house.store.list() == ()


def test_a_broken_move_is_named_by_its_place_in_the_file(
    client: TestClient, smock: str, house: House
) -> None:
    document = json.loads(write_episode(house.store.get(smock)))
    document["garments"][0]["pieces"][1]["moves"][0]["kind"] = "wormhole"
    answer = client.post("/episodes/import", files={"file": ("b.json", json.dumps(document))})
    sentence = answer.context["view"].import_answers.errors["file"]  # type: ignore[attr-defined]
    assert "garments" in sentence and "Back" in sentence and "moves" in sentence


def test_a_deleted_episode_can_be_put_back(client: TestClient, smock: str, house: House) -> None:
    client.post(f"/episodes/{smock}/delete")
    assert house.store.list() == ()
    assert client.get(f"/episodes/{smock}/draft").status_code == 404
    assert "is deleted. It is kept for 30 days." in client.get("/").text
    client.post(f"/episodes/{smock}/put-back")
    assert client.get(f"/episodes/{smock}/draft").status_code == 200


def test_bringing_in_no_file_is_told(client: TestClient) -> None:
    answer = client.post("/episodes/import", files={})
    assert answer.status_code == 422
    assert "Choose a file first." in answer.text


def test_the_exported_file_reads_by_itself(client: TestClient, smock: str, house: House) -> None:
    answer = client.get(f"/episodes/{smock}/episode.json")
    assert read_episode(answer.content) == house.store.get(smock)
    assert answer.headers["content-disposition"].startswith("attachment")
