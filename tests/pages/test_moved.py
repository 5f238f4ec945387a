"""The head of every page says what the last change moved, with undo beside it."""

from starlette.testclient import TestClient

HEAD = "figures moved"


def test_every_page_says_what_the_last_change_moved(client: TestClient, smock: str) -> None:
    episode = f"/episodes/{smock}"
    assert HEAD not in client.get(f"{episode}/brief").text
    client.post(f"{episode}/draft/lighthouse-smock/choices", data={"c body ease": "24 cm"})
    for page in ("draft", "shots", "cloth", "threads"):
        text = client.get(f"{episode}/{page}").text
        assert HEAD in text
        assert "<dt>Front.hem</dt>" in text
    client.post(f"{episode}/undo")
    assert HEAD not in client.get(f"{episode}/shots").text
    client.post(f"{episode}/redo")
    assert HEAD in client.get(f"{episode}/shots").text


def test_a_change_of_words_moves_nothing(client: TestClient, smock: str) -> None:
    episode = f"/episodes/{smock}"
    client.post(f"{episode}/draft/lighthouse-smock/choices", data={"c body ease": "24 cm"})
    client.post(f"{episode}/brief", data={"title": "The Lighthouse Smock again"})
    assert HEAD not in client.get(f"{episode}/draft").text
