"""Under the field of a text: what viewers read, and what mends a length typed in one unit."""

import html
import json
import re

import html5lib
import pytest
from starlette.testclient import TestClient

from webapp.pages.house import House
from webapp.pages.live_texts import text_view
from webapp.pages.places import address
from webapp.plan.edits import changed
from webapp.plan.texts import text_of, with_text

SHOT = ("shot", "intro", "narration")
KEYS = [
    ("brief", "", "promise"),
    ("garment", "lighthouse-smock", "summary"),
    ("piece", "Front", "note"),
    ("cloth", "Main cloth", "description"),
    ("other cloth", "Wool", "effect"),
    ("other cloth", "Wool", "description"),
    ("notion", "Tape", "amount"),
    ("notion", "Tape", "why"),
    ("step", "chalk", "words"),
    ("step", "chalk", "spare"),
    ("shot", "intro", "card"),
    SHOT,
]


@pytest.fixture
def smock(little_smock: str) -> str:
    """The smock with one of everything."""
    return little_smock


def _say(house: House, episode: str, typed: str, key: tuple[str, ...] = SHOT) -> None:
    wool = {"name": "Wool", "instead_of": "Main cloth"}
    house.store.change(
        episode, "more", lambda e: changed(e, other_cloths=(wool,), notions=({"name": "Tape"},))
    )
    house.store.change(episode, "say", lambda e: with_text(e, key, typed))


def _buttons(page: str) -> list[tuple[str, str, str]]:
    """The form, the value and the words of each button that sends an offer."""
    found = html5lib.parse(page, namespaceHTMLElements=False).iter("button")
    return [
        (str(b.get("form")), str(b.get("value")), "".join(b.itertext()))
        for b in found
        if b.get("name") == "offer"
    ]


@pytest.mark.parametrize("key", KEYS, ids="-".join)
def test_every_text_is_mended_where_it_is_typed(
    client: TestClient, house: House, smock: str, key: tuple[str, ...]
) -> None:
    _say(house, smock, "Cut 12 in.", key)
    here = address(house.plan(smock), text_of(house.plan(smock), key).place)[0]
    page = client.get(here).text
    assert "“12 in” stands without centimetres" in page
    form, value, words = _buttons(page)[-1]
    assert (form, words) == ("texts-both", "Write 30.5 cm (12 in)")  # 30.48 cm
    assert f'id="{form}"' in page
    answer = client.post(f"/episodes/{smock}/texts/both", data={"offer": value})
    assert (answer.status_code, answer.headers["location"]) == (303, here)
    assert text_of(house.plan(smock), key).typed == "Cut 30.5 cm (12 in)."
    again = client.get(here).text
    assert _buttons(again) == []
    client.post(f"/episodes/{smock}/undo", data={"page": "brief"})
    assert text_of(house.plan(smock), key).typed == "Cut 12 in."


def test_a_button_makes_it_live_and_viewers_read_both_units(
    client: TestClient, house: House, smock: str
) -> None:
    key = KEYS[0]
    hem = text_view(house.plan(smock), key)
    assert hem.offers == ()
    rows = client.get(f"/episodes/{smock}/texts/figures").text
    found = re.search(r'data-name="Front\.hem">([^<(]*) \(([^)]*)\)<', rows)
    assert found is not None
    _say(house, smock, f"A hem of {found[2]}.", key)
    here = f"/episodes/{smock}/brief"
    live = next(b for b in _buttons(client.get(here).text) if "Front.hem" in b[2])
    assert live[0] == "texts-live"
    assert live[2] == f"Make it {{Front.hem}}, {found[1]} ({found[2]})"
    client.post(f"/episodes/{smock}/texts/live", data={"offer": live[1]})
    assert house.store.get(smock).brief.promise == "A hem of {Front.hem}."
    page = client.get(here).text
    assert f'Viewers read: A hem of <span class="live">{found[1]} ({found[2]})</span>.' in page


def test_with_script_the_page_comes_back_in_part(
    client: TestClient, house: House, smock: str
) -> None:
    _say(house, smock, "Cut 12 in.")
    sent = {"offer": json.dumps([*SHOT, "12 in"])}
    part = {"HX-Request": "true"}
    answer = client.post(
        f"/episodes/{smock}/texts/both", data=sent, headers=part, follow_redirects=True
    )
    assert answer.status_code == 200
    assert "Cut 30.5 cm (12 in)." in answer.text
    assert "<!doctype" not in answer.text
    late = client.post(f"/episodes/{smock}/texts/both", data=sent, headers=part)
    assert late.status_code == 422
    assert "“12 in” is not in that text any more, so nothing was changed." in late.text


@pytest.mark.parametrize(
    ("offer", "sentence"),
    [
        (["shot", "gone", "narration", "12 in", "Front.hem"], "That text is not there any more."),
        ([*SHOT, "12 in", "Front.gone"], "There is no figure “Front.gone” any more"),
        ([*SHOT, "12 in"], "cannot read that request"),
        ([1, 2, 3, 4, 5], "cannot read that request"),
        ("x", "cannot read that request"),
        ({"a": 1}, "cannot read that request"),
    ],
)
def test_what_is_gone_or_is_no_offer_is_told_in_a_sentence(
    client: TestClient, house: House, smock: str, offer: object, sentence: str
) -> None:
    _say(house, smock, "Cut 12 in.")
    before = house.store.get(smock)
    sent = {"offer": json.dumps(offer)}
    answer = client.post(f"/episodes/{smock}/texts/live", data=sent)
    assert answer.status_code in (404, 422)
    assert sentence in html.unescape(answer.text)
    assert client.post(f"/episodes/{smock}/texts/live", data={"offer": "{["}).status_code == 422
    assert house.store.get(smock) == before


def test_a_card_that_would_grow_too_long_is_told_and_kept(
    client: TestClient, house: House, smock: str
) -> None:
    card = ("shot", "intro", "card")
    _say(house, smock, "x" * 190 + " 12 in", card)
    sent = {"offer": json.dumps([*card, "12 in"])}
    answer = client.post(f"/episodes/{smock}/texts/both", data=sent)
    assert answer.status_code == 422
    assert "200" in answer.text
    assert text_of(house.plan(smock), card).typed.endswith("x 12 in")


def test_typed_markup_is_text_in_what_a_button_sends(
    client: TestClient, house: House, smock: str
) -> None:
    _say(house, smock, "<b>'\"</b> 12 in", KEYS[0])
    offered = _buttons(client.get(f"/episodes/{smock}/brief").text)
    assert json.loads(offered[-1][1]) == [*KEYS[0], "12 in"]


def test_the_figures_are_those_of_the_texts_own_garment(client: TestClient, smock: str) -> None:
    here = f"/episodes/{smock}/texts/figures"
    rows = re.findall(r'data-name="([^"]+)">([^<]+)<', client.get(here).text)
    assert ("Front.hem" in dict(rows)) and len(rows) > 50
    gone = client.get(here, params={"key": ["shot", "gone", "card"]})
    assert gone.status_code == 404
    own = client.get(here, params={"key": list(SHOT)})
    assert own.status_code == 200
