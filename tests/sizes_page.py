"""Reading and using the sizes page in tests."""

from typing import Any

import html5lib  # type: ignore[import-untyped]
from starlette.testclient import TestClient

from webapp.draft.recipe import Body
from webapp.pages.house import House
from webapp.pages.sizes_view import SizesView


def view(answer: Any) -> SizesView:
    found: SizesView = answer.context["view"]
    return found


def assert_strict_html(text: str) -> None:
    """It parses by the HTML standard's own rules, by html5lib in strict mode."""
    html5lib.HTMLParser(strict=True).parse(text)


def page(client: TestClient, episode: str, query: str = "") -> SizesView:
    answer = client.get(f"/episodes/{episode}/sizes{query}")
    assert answer.status_code == 200
    assert_strict_html(answer.text)
    return view(answer)


def take(client: TestClient, episode: str, **ticked: str | list[str]) -> Any:
    """Sizes of a chart are taken into the episode."""
    return client.post(f"/episodes/{episode}/sizes/from-chart", data=ticked)


def sizes(house: House, episode: str) -> dict[str, Body]:
    return {body.name: body for body in house.store.get(episode).sizes}
