"""What pages remember between edits is never shown after what it shows has changed."""

import re
import sys
from datetime import date
from functools import partial
from pathlib import Path
from random import Random

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from tests.choosers import BySeed
from tests.made import edited, small_episode
from webapp.app import open_house
from webapp.filming.shoot_days import ShootDay
from webapp.filming.shots import Filmed
from webapp.pages.house import House
from webapp.pages.kept_parts import KeptParts
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.remembered import Remembered
from webapp.settings import Settings

EDITS = 16
# The last edits, which leave the draft and so most of what is remembered: as long as it is, other
# shots come later and its step takes longer; as it is called otherwise, nothing does; as it is
# filmed, a day goes on.
OF_A_SHOT: tuple[dict[str, object], ...] = (
    {"title": "A shot of another name"},
    {"filmed": None, "narration": "A word and another. " * 60, "screen_seconds": None},
    {"filmed": Filmed(day=date(2027, 1, 4))},
    {"title": "A name once more", "note": "And a note."},
)
_OPEN = "/shots?edit=cut-the-cowl"
# Those whose rows are kept.
KEPT = ("/build", "/shots", _OPEN, "/days", "/running-time", "/table", "/brief", "/draft",
        "/cloth", "/threads", "")  # fmt: skip
# The front page comes last: what it shows of a lay waits until one is known.
PAGES = ("/brief", "/draft", "/sizes", "/cloth", "/shopping", "/thread", "/build", "/shots",
         _OPEN, "/days", "/running-time", "/table", "/threads", "")  # fmt: skip
_FRESH_ID = re.compile(r"\b[0-9a-f]{32}\b")
# By their content, of lays and of templates: to make them anew takes long.
_LEFT = ("webapp.cloth", "webapp.plan.size_lays", "webapp.pages.templating")
_BASE = "/episodes/small"


@pytest.mark.usefixtures("plans_anew")
def test_pages_after_edits_are_those_of_a_fresh_start(app: FastAPI, tmp_path: Path) -> None:
    chance = Random(3)
    made = 0
    with TestClient(app, base_url="http://127.0.0.1") as client:
        store = app.state.house.store
        episode = small_episode()
        day = ShootDay(day=date(2027, 1, 4), shots=tuple(shot.id for shot in episode.shots))
        store.add(changed(episode, shoot_days=(day,)))

        def edit(episode: Episode) -> Episode:
            nonlocal made
            done = edited(evaluate(episode), BySeed(chance))
            made += done is not None
            return done.episode if done else episode

        for number in range(EDITS):
            store.change("small", f"Edit {number}", edit)
            for page in KEPT:
                _page(client, page, number)
        for number, fields in enumerate(OF_A_SHOT):
            store.change("small", "the first shot", partial(_with_first_shot, fields))
            for page in KEPT:
                _page(client, page, number)
        remembered = [_page(client, page, number) for number, page in enumerate(PAGES)]
    assert made > EDITS / 3
    _forget_everything()
    app.state.house = open_house(Settings(data_dir=tmp_path))
    with TestClient(app, base_url="http://127.0.0.1") as client:
        for number, page in enumerate(PAGES):
            assert _page(client, page, number) == remembered[number], page


def _with_first_shot(fields: dict[str, object], episode: Episode) -> Episode:
    first, *others = episode.shots
    return changed(episode, shots=(changed(first, **fields), *others))


def _page(client: TestClient, page: str, number: int) -> str:
    """Whole and in part, in both units, by turns."""
    headers = {"hx-request": "true"} if number % 2 else {}
    unit = ("cm", "in")[number // 2 % 2]
    answer = client.get(_BASE + page, headers={**headers, "cookie": f"first_unit={unit}"})
    assert answer.status_code == 200
    return _FRESH_ID.sub("", answer.text)


def _forget_everything() -> None:
    for name, module in [*sys.modules.items()]:
        if not name.startswith("webapp.") or name.startswith(_LEFT):
            continue
        for value in vars(module).values():
            if isinstance(value, Remembered):
                value.forget()
            elif hasattr(value, "cache_clear"):
                value.cache_clear()


def test_a_part_is_made_once_and_carries_the_edition_of_its_page() -> None:
    kept, told = KeptParts(), iter(("first", "second"))

    def part() -> str:
        return f'<form action="/?edition={kept.edition(1)}">{next(told)}</form>'

    key = (object(),)
    assert kept(key, 7, part) == '<form action="/?edition=7">first</form>'
    assert KeptParts()(key, 8, part) == '<form action="/?edition=8">first</form>'
    assert kept.edition(9) == 9, "outside a part that is kept, it stands as it is"


def test_of_many_parts_each_is_kept_by_its_own_key() -> None:
    kept, key = KeptParts(), ("part", object())
    keys = {"first": key, "second": None}

    def shown(words: str) -> str:
        return f"<{words} {kept.edition(7)}>"

    assert kept.each(keys, keys.get, 7, shown) == "<first 7><second 7>"
    assert kept.each(keys, keys.get, 8, "<{}>".format) == "<first 8><second>"


def test_a_part_of_a_part_carries_the_edition_of_its_page_too() -> None:
    kept = KeptParts()

    def part() -> str:
        inner = kept((object(),), 1, lambda: f"{kept.edition(1)}")
        return f"{kept.edition(1)} {inner} {kept.edition(1)}"

    key = (object(),)
    assert [kept(key, edition, part) for edition in (7, 8)] == ["7 7 7", "8 8 8"]


def test_without_a_key_a_part_is_made_each_time() -> None:
    kept, told = KeptParts(), iter(("first", "second"))
    made = [kept(None, 7, lambda: f"{kept.edition(7)} {next(told)}") for _ in range(2)]
    assert made == ["7 first", "7 second"]


def test_what_is_typed_never_stands_for_the_edition(client: TestClient, house: House) -> None:
    episode = small_episode()
    shots = tuple(changed(shot, title="<edition>") for shot in episode.shots)
    house.store.add(changed(episode, shots=shots))
    page = client.get(f"{_BASE}/running-time").text
    assert page.count("&lt;edition&gt;") >= len(shots)
    assert "<edition>" not in page and "?edition=1" in page
