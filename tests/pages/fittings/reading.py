"""Reading the fittings page, and making a fitting there."""

import html
import re

from starlette.testclient import TestClient

from webapp.pages.comparing import ComparePage
from webapp.pages.fittings_view import FittingsView

IN_PART = {"HX-Request": "true"}
SMOCK = "lighthouse-smock"
NECK = {"choice": f"{SMOCK}/front neck depth", "value": "11 cm"}
TOO_WIDE = {"choice": f"{SMOCK}/neck half width", "value": "60 cm"}


def view_of(client: TestClient, address: str) -> FittingsView:
    view = client.get(address).context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, FittingsView)
    return view


def compared_in(client: TestClient, address: str) -> ComparePage:
    view = client.get(address).context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, ComparePage)
    return view


def text_of(client: TestClient, address: str) -> str:
    text = re.sub(r"<[^>]+>", "", client.get(address).text)
    return re.sub(r"[\s\u00a0]+", " ", html.unescape(text))


def sentences_of(client: TestClient, page: str) -> list[str]:
    rows = view_of(client, page).fittings[0].changes
    return [row.sentence.replace("\u00a0", " ") for row in rows]


def make(client: TestClient, fitting: str) -> None:
    client.post(f"{fitting}/changes/choice", data=NECK)
    answer = client.post(f"{fitting}/make")
    assert "made=first-try-on" in answer.headers["location"]
