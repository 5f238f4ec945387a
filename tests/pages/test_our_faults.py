"""A page that fails with what nobody expected: told as a page of ours, nothing typed lost."""

import logging
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from webapp import log
from webapp.pages import brief
from webapp.pages.house import House
from webapp.store.photos import Photos

TYPED = "Zauberwort & <b>mehr</b>"
IN_PART = {"HX-Request": "true"}
HAPPENED = "Something in Seamslate went wrong."


class UnforeseenError(Exception):
    """What no page of ours catches."""


def _fails(*_: object, **__: object) -> None:
    raise UnforeseenError(TYPED)


@pytest.fixture
def file(tmp_path: Path) -> Iterator[Path]:
    log.begin(tmp_path)
    yield tmp_path / "log" / "seamslate.log"
    log.end()


def _sent(house: House, smock: str, **more: str) -> dict[str, Any]:
    address = f"/episodes/{smock}/brief?edition={house.store.edition(smock)}"
    return {"url": address, "data": {"promise": TYPED, **more}}


def test_it_is_told_with_where_the_log_has_it_and_what_was_typed(
    client: TestClient, house: House, smock: str, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(House, "save", _fails)
    answer = client.post(**_sent(house, smock))
    name = answer.headers["x-request-id"]
    assert answer.status_code == 500
    assert HAPPENED in answer.text and "Your plan is as it was." in answer.text
    assert f"look for {name} in {file}" in answer.text
    assert "UnforeseenError" not in answer.text and "Traceback" not in answer.text
    assert 'value="Zauberwort &amp; &lt;b&gt;mehr&lt;/b&gt;"' in answer.text  # to be sent again
    assert "content-security-policy" in answer.headers
    told = file.read_text()
    lines = [line for line in told.splitlines() if f" {name} " in line]
    assert re.search(r"ERROR \w+ A fault of ours", lines[0])
    assert re.search(rf"POST /episodes/{smock}/brief 500 \d+ ms", lines[1])
    assert "test_our_faults.UnforeseenError" in told and "in _fails" in told
    assert "Zauberwort" not in told


def test_with_script_the_page_stays_as_it_is(
    client: TestClient, house: House, smock: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(House, "save", _fails)
    answer = client.post(**_sent(house, smock), headers=IN_PART)
    assert (answer.status_code, answer.headers["hx-reswap"]) == (500, "none")
    assert answer.headers["content-type"].startswith("text/plain")
    assert answer.text.startswith(f"{HAPPENED} Your plan is as it was. Try once more.")
    assert answer.headers["x-request-id"] in answer.text


def test_a_page_that_cannot_be_shown_says_so(
    client: TestClient, smock: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(House, "shell", _fails)
    answer = client.get(f"/episodes/{smock}/brief")
    assert answer.status_code == 500
    assert HAPPENED in answer.text and "Your plan is as it was." in answer.text
    assert answer.text.count("This cannot be shown just now") == 2  # the tab's name, the heading
    assert "Not saved" not in answer.text


@pytest.mark.parametrize("headers", [{}, IN_PART], ids=["whole", "by script"])
def test_what_was_saved_before_the_fault_is_not_told_as_lost(
    client: TestClient,
    house: House,
    smock: str,
    monkeypatch: pytest.MonkeyPatch,
    headers: dict[str, str],
) -> None:
    """The change is on the disk; only its page fails."""
    monkeypatch.setattr(brief, "answered", _fails)
    answer = client.post(**_sent(house, smock), headers=headers)
    assert house.store.get(smock).brief.promise == TYPED
    assert answer.status_code == 500
    assert "as it was" not in answer.text
    assert "Whether this was saved too, its page shows" in answer.text


def test_where_even_that_page_fails_a_sentence_is_left(
    client: TestClient, smock: str, caplog: pytest.LogCaptureFixture,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.setattr(House, "shell", _fails)
    monkeypatch.setattr(House, "show", _fails)
    answer = client.get(f"/episodes/{smock}/brief")
    assert (answer.status_code, answer.text.startswith(HAPPENED)) == (500, True)
    assert answer.headers["x-request-id"] in answer.text
    faults = [one for one in caplog.records if one.levelno == logging.ERROR]
    assert len(faults) == 2


@pytest.mark.parametrize("size", [1000, 3_000_000])
def test_a_file_that_was_sent_is_to_be_chosen_again(
    client: TestClient, smock: str, monkeypatch: pytest.MonkeyPatch, size: int
) -> None:
    """A long one is not held for it."""
    monkeypatch.setattr(Photos, "keep", _fails)
    address = f"/episodes/{smock}/brief/sketch"
    answer = client.post(address, files={"file": ("sketch.png", bytes(size))})
    assert answer.status_code == 500
    assert HAPPENED in answer.text
    assert "The file you sent is still where you chose it" in answer.text
