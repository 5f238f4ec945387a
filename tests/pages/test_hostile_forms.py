"""Forms with fields missing, ids that are not there and hostile text: an answer, never a crash."""

import re
import zlib
from collections.abc import Iterable
from typing import get_args
from urllib.parse import urlencode

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from tests.every_page import HOUSE, WITHIN
from tests.pages.forms_on import Form, forms_on
from tests.picture_files import png
from webapp.jobs import Job, Jobs
from webapp.pages.house import House
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode, to_text
from webapp.store.library import Kind

HOSTILE = ("", " ", "\x00", "\ud800", "🧵", "<b>", "{{7*7}}", "{Front.", "-1", "1e999", "fine x",
           "x" * 9000)  # fmt: skip
FIELDS = (
    "title", "name", "garment", "step", "kind", "width", "length", "edges", "edge", "by", "depth",
    "amount", "narration", "card", "place", "takes", "pace", "low", "likely", "high",
    "after", "cautions", "cut_count", "grain", "cloth", "shrinks_along",
    "number", "target_seconds", "publish_date", "day", "starts", "ends", "dark_from",
    "found", "reason", "shot", "choice", "value", "measure", "finish", "allowance", "under",
    "neatened", "alt", "note", "shots", "offer", "act", "arg", "wearer", "edit_hours_a_day",
    "screen_seconds", "chapter", "voice-over", "editing", "time", "minutes", "next", "rate",
    "light_from", "goes_on_at", "at", "what", "list", "before", "evening_minutes", "time_zone",
    "way", "said intro", "order",
    "one", "other", "press", "at_hand", "made_up", "shot intro", "look", "light", "quiet",
    "m bust", "c body ease", "starter", "page", "also_after", "rest_hours", "along",
    "paper", "first_unit", "drawn_for", "sizes", "nested", "edges", "roll_width", "size", "blank",
    "confirmed",
)  # fmt: skip
THERE = {
    "garment": "lighthouse-smock", "piece": "Front", "place": "0", "act": "off",
    "way": "later", "step_id": "chalk", "shot_id": "intro", "on": "2026-12-18",
    "fitting_id": "sides-open", "kind": "choice", "number": "0", "part": "choices",
    "chart": "1", "recipe": "1", "press": "drop", "entry": "time-1", "look_id": "apron",
    "name": "small-wardrobe",
}  # fmt: skip
NOT_THERE = {
    "garment": "none", "piece": "Nobody", "place": "99", "act": "fly", "way": "sideways",
    "step_id": "no-step", "shot_id": "no-shot", "on": "some day",
    "fitting_id": "none", "kind": "prayer", "number": "99", "part": "nothing",
    "chart": "none", "recipe": "none", "press": "never", "entry": "none", "look_id": "none",
    "name": "none",
}  # fmt: skip


_SKIRT = "episode-4-market-day-skirt.json"
_OPENED = ("/draft?piece=Front", "/draft?piece=Front&add=slope", "/fittings?edit=sides-open",
           "/shots?edit=intro", "/fittings/compare")  # fmt: skip
PARTS = (THERE, {**THERE, "kind": "finish"}, {**THERE, "kind": "move"}, NOT_THERE)
EVERY = range(len(PARTS))
# What these change needs no form: each is one button.
BUTTONS = ("/earlier", "/later", "/off", "/undo", "/redo", "/make", "/back", "/rest",
           "/chapters", "/enough", "/rest-off-camera", "/2026-12-18/filmed",
           "/shots/intro/filmed")  # fmt: skip

URL_ENCODED = "application/x-www-form-urlencoded"


@pytest.fixture
def smock(little_smock: str) -> str:
    """The smock with one of everything, which has a form for everything."""
    return little_smock


@pytest.fixture(autouse=True)
def idle(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is asked for is not worked at: the answers alone count here."""
    monkeypatch.setattr(Jobs, "start", lambda _, key, *__, **___: Job(key, state="cancelled"))


def _addresses(app: FastAPI, episode: str, parts: dict[str, str]) -> list[str]:
    found = []
    for address, methods in app.openapi()["paths"].items():
        if "post" in methods and "import" not in address:
            path = address
            for name, value in {**parts, "episode_id": episode}.items():
                path = path.replace(f"{{{name}}}", value)
            found.append(path)
    return sorted(set(found))


def _all_post_routes(app: FastAPI, episode: str, parts: Iterable[int] = EVERY) -> list[str]:
    addresses = sorted({a for part in parts for a in _addresses(app, episode, PARTS[part])})
    assert len(addresses) > 40, addresses
    assert not [a for a in addresses if "{" in a], "a part of an address has no value above"
    return [a for a in addresses if not a.endswith(("/search", "/print", "/delete", "/put-back"))]


def test_a_form_that_sends_nothing_changes_nothing(
    client: TestClient, app: FastAPI, smock: str, house: House
) -> None:
    for address in _all_post_routes(app, smock):
        if address.endswith(BUTTONS):
            continue
        before = house.store.get(smock)
        answer = client.post(address)
        assert answer.status_code in (200, 303, 404, 422), (address, answer.status_code)
        after = house.store.get(smock)  # the same value while its text is the same
        assert after is before or to_text(after) == to_text(before), address


@pytest.mark.parametrize("turn", range(2))
def test_hostile_text_in_every_field_is_answered(
    client: TestClient, app: FastAPI, smock: str, turn: int
) -> None:
    """Each field gets another text than its neighbour, and every turn a third one on.

    What is there gets either turn, other kinds of change and what is not there the second.
    """
    data = {
        name: HOSTILE[(place + 5 * turn) % len(HOSTILE)].encode("utf-8", "surrogatepass")
        for place, name in enumerate(FIELDS)
    }
    form = {"content": urlencode(data).encode(), "headers": {"content-type": URL_ENCODED}}
    for address in _all_post_routes(app, smock, EVERY if turn else (0,)):
        answer = client.post(address, **form)
        assert answer.status_code in (200, 303, 404, 422), (address, answer.status_code)
    for page in ("brief", "draft", "cloth", "shopping", "build", "shots", "threads",
                 "fittings", "fittings?edit=sides-open", "days", "set-ups", "running-time",
                 "times", "rates", "table", "texts/figures",
                 "companion", "pattern", "worksheet", "call-sheets", "files"):  # fmt: skip
        assert client.get(f"/episodes/{smock}/{page}").status_code == 200


# Forms whose purpose is to change what episodes share, or to take one away.
_SHARED = re.compile(r"^/series|/(keep|put-in|put-on|kept|delete|copy)\b|^/episodes/[^/]+/series")


def _everything(house: House, but: str) -> dict[str, object]:
    """All that is stored but one episode."""
    episodes = {one.id: to_text(house.store.get(one.id)) for one in house.store.list()}
    kinds: tuple[Kind, ...] = get_args(Kind)
    kept = [house.library.entries(one, deleted=gone) for one in kinds for gone in (False, True)]
    return {
        "episodes": {id_: text for id_, text in episodes.items() if id_ != but},
        "kept": kept,
        "pictures": house.photos.names(),
    }


def test_every_form_there_is_changes_nothing_but_its_own_episode(
    client: TestClient, smock: str, empty: str, house: House
) -> None:
    """Each form as its page sends it, but for hostile text in what is typed, by turns."""
    other = house.store.add(read_episode((files_dir("demo_data") / _SKIRT).read_bytes()))
    for kind in get_args(Kind):
        house.library.put(kind, "Kept", "{}")
    house.photos.keep(png(1, 1, zlib.compress(b"\0\0")))
    pages = [f"/episodes/{smock}{page}" for page in (*WITHIN, *_OPENED)]
    found: dict[tuple[str, ...], Form] = {}
    for page in (*HOUSE[:5], *pages):
        for form in forms_on(client.get(page).text):
            found.setdefault(form.kind, form)
    assert len(found) > 100, len(found)
    before = _everything(house, smock)
    assert {empty, other} <= set(before["episodes"])  # type: ignore[call-overload]
    made = {one.id for one in house.store.list()}
    for turn, form in enumerate(found.values()):
        if _SHARED.search(form.action):
            continue
        data = {
            name: HOSTILE[(turn + place) % len(HOSTILE)] if name in form.typed else value
            for place, (name, value) in enumerate(sorted(form.fields.items()))
        }
        body = urlencode({k: v.encode("utf-8", "surrogatepass") for k, v in data.items()}).encode()
        sent = {"content": body, "headers": {"content-type": URL_ENCODED}}
        if form.files:
            files = dict.fromkeys(form.files, ("x.png", b"PK\x03\x04 no picture"))
            sent = {"data": dict.fromkeys(data, "x"), "files": files}
        answer = client.post(form.action, **sent)
        assert answer.status_code in (200, 303, 404, 409, 422), (form, answer.status_code)
    after = _everything(house, smock)
    after["episodes"] = {k: v for k, v in after["episodes"].items() if k in made}  # type: ignore
    assert after == before


@pytest.mark.parametrize("name", ["referer", "hx-current-url"])
@pytest.mark.parametrize(
    "place", ["undo", "shots/intro/later", "draft/lighthouse-smock/choices", "shots/intro/filmed"]
)
def test_an_address_that_is_none_in_a_header_is_passed_over(
    client: TestClient, smock: str, place: str, name: str
) -> None:
    answer = client.post(f"/episodes/{smock}/{place}", headers={name: "http://[none"})
    assert answer.status_code == 303
    assert answer.headers["location"].startswith(f"/episodes/{smock}")


def test_no_name_is_taken_for_a_sign_of_how_to_show_a_length(
    client: TestClient, smock: str
) -> None:
    base = f"/episodes/{smock}/draft/lighthouse-smock/pieces/Front"
    for place, data in ((1, {"name": "fine x"}), (3, {"upper": "fine y", "under": "fine z"})):
        assert client.post(f"{base}/moves/{place}", data=data).status_code == 303
    for page in ("draft", "worksheet"):
        answer = client.get(f"/episodes/{smock}/{page}?garment=lighthouse-smock&piece=Front")
        assert answer.status_code == 200
        assert "the fine z. From its end" in answer.text


def test_text_that_no_file_can_hold_is_refused(client: TestClient, house: House) -> None:
    body = (
        '--x\r\nContent-Disposition: form-data; name="_charset_"\r\n\r\nraw_unicode_escape\r\n'
        '--x\r\nContent-Disposition: form-data; name="title"\r\n'
        "Content-Type: text/plain; charset=raw_unicode_escape\r\n\r\nA\\ud800\r\n"
        '--x\r\nContent-Disposition: form-data; name="starter"\r\n\r\nblank\r\n--x--\r\n'
    )
    kind = "multipart/form-data; boundary=x; charset=raw_unicode_escape"
    answer = client.post("/episodes", content=body, headers={"content-type": kind})
    assert answer.status_code in (303, 422)
    assert all(s.title.isprintable() for s in house.store.list())
