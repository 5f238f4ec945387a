"""A filmed shot keeps what was said; what is no longer so is told, with three answers."""

import re

import pytest
from starlette.testclient import TestClient

from webapp.pages.house import House

IN_PART = {"hx-request": "true"}
CHOICES = "draft/lighthouse-smock/choices"


@pytest.fixture
def stale(client: TestClient, house: House, smock: str) -> tuple[str, str]:
    """The episode's address, and the id of a filmed shot that says the front's hem of before."""
    base = f"/episodes/{smock}"
    shot = next(s for s in house.store.get(smock).shots if "{Front.hem}" in s.narration + s.card)
    assert client.post(f"{base}/shots/{shot.id}/filmed").status_code == 303
    client.post(f"{base}/{CHOICES}", data={"c body ease": "31 cm"})
    return base, shot.id


def entry(client: TestClient, base: str, shot: str) -> str:
    """What the shots page shows of one shot once it is opened."""
    text: str = client.get(f"{base}/shots/{shot}", headers=IN_PART).text
    return text[text.index(f'id="shot-{shot}"') :]


def test_what_was_said_stands_beside_what_it_is_now(
    client: TestClient, stale: tuple[str, str]
) -> None:
    text = entry(client, *stale)
    assert "<s>31 cm (12 1/4 in)</s>" in text
    assert "<strong>32.5 cm (12 3/4 in)</strong>" in text
    assert "Correction: Front hem is 32.5 cm (12 3/4 in), not 31 cm (12 1/4 in)." in text
    for answer in ("Film it again", "Put a correction card in", "Leave it"):
        assert answer in text
    base, shot = stale
    listed = client.get(f"{base}/shots").text
    assert "1 shot to decide about</a>" in listed
    assert listed.count("says what is no longer so") == 1
    alone = client.get(f"{base}/shots?only=decide").text
    assert re.findall(r'<li class="shot[^>]* id="shot-([^"]+)"', alone) == [shot]


@pytest.mark.parametrize(
    ("answer", "told"), [("to-film", 'aria-pressed="false"'), ("correction", "Correction card")]
)
def test_it_is_answered_with_a_click(
    client: TestClient, stale: tuple[str, str], answer: str, told: str
) -> None:
    base, shot = stale
    assert client.post(f"{base}/shots/{shot}/{answer}").status_code == 303
    text = entry(client, base, shot)
    assert told in text
    assert "no longer so" not in text
    assert "no longer so" not in client.get(f"{base}/threads").text


def test_the_earlier_take_is_seen_and_put_back(
    client: TestClient, house: House, smock: str, stale: tuple[str, str]
) -> None:
    base, shot = stale
    before = house.store.get(smock)
    assert "earlier take" not in entry(client, base, shot)
    client.post(f"{base}/shots/{shot}/to-film")
    text = entry(client, base, shot)
    assert "Said in the earlier take on" in text
    assert "31 cm (12 1/4 in)" in text[text.index("earlier take") :]
    answer = client.post(f"{base}/shots/{shot}/put-back")
    assert answer.headers["location"].endswith(f"/shots#shot-{shot}")
    assert house.store.get(smock) == before
    assert "no longer so" in entry(client, base, shot)
    client.post(f"{base}/shots/{shot}/to-film")
    client.post(f"{base}/shots/{shot}/filmed")
    assert "earlier take" not in entry(client, base, shot)
    assert client.post(f"{base}/shots/{shot}/put-back").status_code == 422


def test_it_is_left_only_with_a_reason(client: TestClient, stale: tuple[str, str]) -> None:
    base, shot = stale
    refused = client.post(f"{base}/shots/{shot}/left", data={"note": " "})
    assert refused.status_code == 422
    assert "Say why it can stay as it was filmed." in refused.text
    client.post(f"{base}/shots/{shot}/left", data={"note": "Out of the picture"})
    text = entry(client, base, shot)
    assert "Left as it was said" in text and "Out of the picture" in text
    client.post(f"{base}/shots/{shot}/answers/delete")
    assert "no longer so" in entry(client, base, shot)


def test_cards_are_listed_together(client: TestClient, stale: tuple[str, str]) -> None:
    base, shot = stale
    assert "correction-cards" not in client.get(f"{base}/shots").text
    client.post(f"{base}/shots/{shot}/correction")
    text = client.get(f"{base}/shots").text
    cards = text[text.index('id="correction-cards"') :]
    number = re.search(r"Shot (\d+): Correction: Front hem", cards)
    assert number


def test_several_are_marked_at_once(client: TestClient, house: House, smock: str) -> None:
    ids = [shot.id for shot in house.store.get(smock).shots[:3]]
    base = f"/episodes/{smock}"
    assert client.post(f"{base}/filmed", data={"day": "2027-01-04"}).status_code == 422
    client.post(f"{base}/filmed", data={"day": "2027-01-04", "shots": ids})
    assert "3 of" in client.get(f"{base}/shots").text
    days = {str(shot.filmed.day) for shot in house.store.get(smock).shots if shot.filmed}
    assert days == {"2027-01-04"}
    refused = client.post(f"{base}/filmed", data={"day": "soon", "shots": ids})
    assert refused.status_code == 422


def test_a_shot_that_is_gone_is_told(client: TestClient, smock: str) -> None:
    for act in (
        "filmed",
        "to-film",
        "put-back",
        "correction",
        "answers/delete",
        "cards/delete",
        "words",
    ):
        answer = client.post(f"/episodes/{smock}/shots/none/{act}")
        assert answer.status_code in (404, 422), act
        assert "not there" in answer.text


def test_refused_ticks_stay_ticked(client: TestClient, house: House, smock: str) -> None:
    one, other, *_ = (shot.id for shot in house.store.get(smock).shots)
    sent = {"day": "soon", "shots": [other]}
    refused = client.post(f"/episodes/{smock}/filmed", data=sent).text
    assert f'value="{other}" checked' in refused
    assert f'value="{one}" checked' not in refused
    assert "Write the day as" in refused


def test_words_changed_after_filming_are_filmed_again_or_kept(
    client: TestClient, house: House, smock: str
) -> None:
    base = f"/episodes/{smock}"
    shot = house.store.get(smock).shots[0]
    client.post(f"{base}/shots/{shot.id}/filmed")
    assert "words were changed" not in entry(client, base, shot.id)
    client.post(f"{base}/shots/{shot.id}", data={"narration": "Good morning."})
    text = entry(client, base, shot.id)
    assert "words were changed" in text
    assert text.index(f"<blockquote>{shot.narration[:20]}") < text.index("Good morning.")
    client.post(f"{base}/shots/{shot.id}/words")
    assert "words were changed" not in entry(client, base, shot.id)
    kept = house.store.get(smock).shots[0].filmed
    assert kept is not None and kept.narration == "Good morning."


def test_a_card_that_is_not_needed_is_taken_out(client: TestClient, stale: tuple[str, str]) -> None:
    base, shot = stale
    client.post(f"{base}/shots/{shot}/correction")
    assert "not needed" not in entry(client, base, shot)
    client.post(f"{base}/{CHOICES}", data={"c body ease": "26 cm"})
    assert "correction card for Front hem is not needed" in entry(client, base, shot)
    client.post(f"{base}/shots/{shot}/cards/delete")
    assert "not needed" not in entry(client, base, shot)
