"""The page that finds: links that lead to the place itself, and help where nothing is found."""

from urllib.parse import urlsplit

import html5lib
import pytest
from starlette.testclient import TestClient

from webapp.pages.find import FindView


def _view(client: TestClient, episode: str, asked: str) -> FindView:
    answer = client.get(f"/episodes/{episode}/find", params={"q": asked})
    assert answer.status_code == 200
    html5lib.HTMLParser(strict=True).parse(answer.text)
    view: FindView = answer.context["view"]  # type: ignore[attr-defined]
    return view


@pytest.mark.parametrize(
    ("asked", "address", "id"),
    [
        ("Chalk the pieces", "/build?edit=chalk#step-chalk", "step-chalk"),
        ("Shot 3", "/shots?edit=", "shot-"),
        ("body ease", "/draft?garment=lighthouse-smock#choice-body-ease", "choice-body-ease"),
        ("bust", "/brief#body-bust", "body-bust"),
        ("Facing the window", "/set-ups#camera-places", "camera-places"),
        ("members’ extra", "/brief#members_extra", "members_extra"),
    ],
)
def test_a_result_leads_to_its_place(
    client: TestClient, smock: str, asked: str, address: str, id: str
) -> None:
    rows = _view(client, smock, asked).rows
    row = next(one for one in rows if address in one.address)
    page = client.get(row.address)
    assert page.status_code == 200
    assert f'id="{urlsplit(row.address).fragment}"' in page.text
    assert id in urlsplit(row.address).fragment


def test_an_empty_question_teaches_what_can_be_found(client: TestClient, smock: str) -> None:
    view = _view(client, smock, "  ")
    assert view.rows == ()
    assert {"Piece", "Step", "Shot", "Figure"} <= {kind for kind, _ in view.examples}


def test_nothing_found_says_so_and_offers_what_is_like_it(client: TestClient, smock: str) -> None:
    answer = client.get(f"/episodes/{smock}/find", params={"q": "sleve"})
    assert "Nothing has “sleve”" in answer.text
    assert f'href="/episodes/{smock}/find?q=Sleeve"' in answer.text


def test_a_long_list_says_how_many_more(client: TestClient, smock: str) -> None:
    view = _view(client, smock, "the")
    assert view.more == view.count - 60 > 0


@pytest.mark.parametrize("asked", ["<b>", "\x00", "{{7*7}}", "x" * 9000, '"'])
def test_hostile_text_stays_text(client: TestClient, empty: str, asked: str) -> None:
    answer = client.get(f"/episodes/{empty}/find", params={"q": asked})
    assert answer.status_code == 200
    assert "<b>" not in answer.text
    assert "49" not in answer.text.partition("found-title")[2].partition("</h2>")[0]
