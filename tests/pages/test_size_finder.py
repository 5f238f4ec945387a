"""The finder on the sizes page: which size a typed body takes, and nothing kept of it."""

from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.sizes_page import page, view
from webapp.pages.house import House
from webapp.store.episode_file import to_text


def find(client: TestClient, episode: str, **typed: str) -> Any:
    return client.get(f"/episodes/{episode}/sizes", params={"find": "yes", **typed})


def test_the_finder_asks_for_the_measures_of_the_garment_only(
    client: TestClient, smock: str, empty: str
) -> None:
    finder = page(client, smock).finder
    assert finder is not None
    assert [measure.name for measure in finder.measures] == ["bust", "hip", "head", "upper arm"]
    assert (finder.chart, finder.answer) == ("episode", None)
    assert page(client, empty).finder is None


def test_the_finder_answers_on_the_page_and_keeps_nothing(
    client: TestClient, house: House, smock: str
) -> None:
    before = to_text(house.store.get(smock))
    answer = find(client, smock, **{"in": "women", "m bust": "92", "m hip": "43 1/4 in"})
    finder = view(answer).finder
    assert finder is not None and finder.answer is not None
    assert (finder.answer.size, finder.answer.deciding) == ("L", "hip")
    assert "Make L: between sizes." in answer.text
    assert "Your hip decides" in answer.text
    assert 'value="43 1/4 in"' in answer.text
    assert "Saved" not in answer.text
    assert to_text(house.store.get(smock)) == before


def test_the_finder_tells_the_ease_of_the_garment_as_it_stands(
    client: TestClient, smock: str
) -> None:
    client.post(f"/episodes/{smock}/draft/lighthouse-smock/choices", data={"c body ease": "20 cm"})
    text = find(client, smock, **{"in": "women", "m bust": "92", "m hip": "110"}).text
    assert "With 20 cm (7 7/8 in) of body ease" in text.replace("\u00a0", " ")


def test_every_size_of_the_episode_finds_itself(
    client: TestClient, house: House, smock: str
) -> None:
    for body in house.store.get(smock).sizes:
        typed = {f"m {name}": body.measures[name] for name in ("bust", "hip", "head", "upper arm")}
        finder = view(find(client, smock, **typed)).finder
        assert finder is not None and finder.answer is not None
        assert (finder.answer.size, finder.answer.between) == (body.name, False)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({}, "Type at least one measure."),
        ({"m bust": "  "}, "Type at least one measure."),
        ({"m bust": "wide"}, "cannot be read as a length"),
        ({"m bust": "9 m"}, "out of range"),
        ({"m bust": "92", "in": "none"}, "Choose one of the answers offered."),
    ],
)
def test_the_finder_says_what_it_cannot_read(
    client: TestClient, smock: str, typed: dict[str, str], sentence: str
) -> None:
    answer = find(client, smock, **typed)
    assert answer.status_code == 422
    assert sentence in answer.text
    finder = view(answer).finder
    assert finder is not None and finder.answer is None
