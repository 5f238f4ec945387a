"""Reading the page of times and writing one down there, by a clock that the test sets."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from starlette.testclient import TestClient

from webapp.pages import times as page
from webapp.pages.times_view import TimesView

IN_PART = {"HX-Request": "true"}
NINE = datetime(2027, 1, 4, 9, tzinfo=UTC)


class Wall:
    """The clock on the wall, set by the test."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.now = NINE
        monkeypatch.setattr(page, "local_now", lambda: self.now)

    def later(self, minutes: float) -> None:
        self.now += timedelta(minutes=minutes)


def view_of(client: TestClient, address: str) -> TimesView:
    view = client.get(address).context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, TimesView)
    return view


def said_in(text: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", text))


def write(client: TestClient, times: str, **data: str) -> None:
    answer = client.post(times, data={"time": "step:chalk", "minutes": "25", **data})
    assert answer.status_code == 303, answer.text
