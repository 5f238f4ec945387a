"""What one person prefers changes what stands first on her screens, and nothing else."""

import re

import html5lib
import pytest
from starlette.testclient import TestClient

from tests.pages.test_pages import PAGES
from webapp.pages.house import House
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.texts import with_text
from webapp.store.episode_file import to_text

METRIC_FIRST = re.compile(r"\d (?:mm|cm|m|g/m²) \(\d[\d /]* ?(?:in|yd|oz/yd²)\)")
INCHES_FIRST = re.compile(r"\d (?:in|yd|oz/yd²) \(\d[\d.]* (?:mm|cm|m|g/m²)\)")
# The sheet itself, and the texts for the upload, are what leaves the house.
AS_IT_LEAVES = ("worksheet", "files")
MORE = ("glance/cloth", "find?q=front", "ways", "offcuts", "other-cloths", "thread",
        "shots?edit=intro", "build?edit=chalk",
        "fittings?edit=sides-open", "draft?garment=lighthouse-smock&piece=Front")  # fmt: skip


@pytest.fixture
def wordless(house: House, smock: str) -> str:
    """The smock with none of the texts that viewers read: all that is left are the app's words."""

    def without_texts(episode: Episode) -> Episode:
        for text in house.plan(smock).texts:
            if text.typed:
                episode = with_text(episode, text.key, "")
        return episode

    house.store.change(smock, "no words", without_texts)
    return smock


def test_the_unit_preferred_stands_first_on_every_page(client: TestClient, wordless: str) -> None:
    client.cookies.set("first_unit", "in")
    there = 0
    for page in ("", *PAGES, *MORE):
        if page in AS_IT_LEAVES:
            continue
        answer = client.get(f"/episodes/{wordless}/{page}".rstrip("/"))
        assert answer.status_code == 200, page
        # The figures to quote are told as viewers see them.
        shown = answer.text.partition('id="quotable"')[0].replace("\u00a0", " ")
        found = METRIC_FIRST.search(shown)
        assert not found, (page, shown[found.start() - 200 : found.end()] if found else "")
        there += len(INCHES_FIRST.findall(shown))
    assert there > 200  # so that the pattern does find what it looks for


def test_the_words_of_the_video_keep_the_order_of_the_episode(
    client: TestClient, house: House, smock: str
) -> None:
    """And so does what a button would write into them."""
    words = [row.narration.plain for row in house.plan(smock).shots]
    as_read = next(
        found[0] for one in words if (found := re.search(r"[\d.]+ cm \([^)]+ in\)", one))
    )
    house.store.change(
        smock, "six", lambda e: with_text(e, ("shot", "intro", "narration"), "Leave 15 cm free.")
    )
    client.cookies.set("first_unit", "in")
    shown = client.get(f"/episodes/{smock}/shots?edit=intro&words=yes").text.replace("\u00a0", " ")
    assert as_read in shown
    assert "Write 15 cm (5 7/8 in)" in shown


def test_a_preference_changes_no_document_no_thread_and_no_file(
    client: TestClient, house: House, smock: str
) -> None:
    files = ("shopping.csv", "shots.csv", "description.txt", "plan.json")

    def everything() -> tuple[object, ...]:
        count = client.get(f"/episodes/{smock}/threads/count").text
        made = tuple(client.get(f"/episodes/{smock}/files/{name}").content for name in files)
        return to_text(house.store.get(smock)), house.store.edition(smock), count, made

    before = everything()
    assert all(before[3])  # type: ignore[arg-type]
    client.cookies.set("first_unit", "in")
    assert everything() == before
    # A thread quotes what was typed as it was typed, and tells its own figures in her order.
    own = house.plan(smock).loose_threads
    page = client.get(f"/episodes/{smock}/threads")
    shown = page.context["view"].plan.loose_threads  # type: ignore[attr-defined]
    assert [(t.severity, t.place, t.mends) for t in shown] == [
        (t.severity, t.place, t.mends) for t in own
    ]


BARE = [("body", "m bust", "93"), ("cloth/cloths/0", "width", "60"),
        ("draft/lighthouse-smock/choices", "c smock length", "70")]  # fmt: skip


@pytest.mark.parametrize(("form", "field", "typed"), BARE)
def test_a_bare_number_is_asked_about_where_she_reads_by_another_unit(
    client: TestClient, house: House, smock: str, form: str, field: str, typed: str
) -> None:
    client.cookies.set("first_unit", "in")
    before = to_text(house.store.get(smock))
    answer = client.post(f"/episodes/{smock}/{form}", data={field: typed})
    assert answer.status_code == 422
    assert f"{typed} cm or {typed} in? Write which." in answer.text.replace("\u00a0", " ")
    assert f'value="{typed}"' in answer.text
    assert to_text(house.store.get(smock)) == before
    again = client.post(f"/episodes/{smock}/{form}", data={field: f"{typed} cm"})
    assert again.status_code == 303


def test_a_bare_number_is_read_in_the_unit_she_reads_by(
    client: TestClient, house: House, smock: str
) -> None:
    client.cookies.set("first_unit", "cm")
    client.post(f"/episodes/{smock}/body", data={"m bust": "93"})
    assert house.store.get(smock).body.measures["bust"] == "93 cm"
    assert "A bare number is in centimetres" in client.get(f"/episodes/{smock}/brief").text
    client.cookies.set("first_unit", "in")
    assert "A bare number is in" not in client.get(f"/episodes/{smock}/brief").text


def test_settings_are_kept_by_the_browser_for_a_year(client: TestClient) -> None:
    answer = client.post("/settings", data={"first_unit": "in", "look": "dark"})
    assert answer.status_code == 303
    kept = sorted(answer.headers.get_list("set-cookie"))
    assert [one.split(";")[0] for one in kept] == ["first_unit=in", "look=dark"]
    for one in kept:
        assert {"Max-Age=31536000", "Path=/", "SameSite=strict"} <= set(one.split("; "))
    shown = client.get("/settings").text
    html5lib.HTMLParser(strict=True).parse(shown)
    assert 'data-look="dark"' in shown
    assert 'value="in" checked' in shown


def test_what_is_not_preferred_any_more_is_forgotten(client: TestClient) -> None:
    client.post("/settings", data={"first_unit": "in", "look": "dark"})
    client.post("/settings", data={"first_unit": "", "look": ""})
    assert not client.cookies
    assert "data-look" not in client.get("/settings").text


@pytest.mark.parametrize("sent", [{"first_unit": "ell", "look": "dark"}, {"first_unit": "cm"}])
def test_a_setting_that_is_not_offered_is_told_and_kept_nowhere(
    client: TestClient, sent: dict[str, str]
) -> None:
    answer = client.post("/settings", data=sent)
    assert answer.status_code == 422
    assert 'class="error"' in answer.text
    assert "set-cookie" not in answer.headers


def test_a_cookie_with_anything_else_counts_for_nothing(client: TestClient, smock: str) -> None:
    client.cookies.set("first_unit", "furlongs")
    client.cookies.set("look", "neon")
    answer = client.get(f"/episodes/{smock}/brief")
    assert answer.status_code == 200
    assert "data-look" not in answer.text


def test_an_episode_in_inches_follows_too(client: TestClient, house: House, smock: str) -> None:
    house.store.change(smock, "inches", lambda e: changed(e, first_unit="in"))
    page = f"/episodes/{smock}/cloth"
    assert INCHES_FIRST.search(client.get(page).text.replace("\u00a0", " "))
    client.cookies.set("first_unit", "cm")
    shown = client.get(page).text.replace("\u00a0", " ")
    assert METRIC_FIRST.search(shown)
    assert not INCHES_FIRST.search(shown)
