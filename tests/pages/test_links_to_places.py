"""A link to a place of a page leads to something there, also while nothing is planned yet."""

import re
from functools import cache
from urllib.parse import urljoin, urlsplit

import pytest
from starlette.testclient import TestClient

from tests.every_page import WITHIN

_HREF = re.compile(r'href="([^"#]*#[^"]+)"')
_ID = re.compile(r'\bid="([^"]+)"')


@pytest.mark.parametrize("which", ["empty", "little_smock"])
def test_every_link_to_a_place_leads_to_it(
    client: TestClient, which: str, request: pytest.FixtureRequest
) -> None:
    base = f"/episodes/{request.getfixturevalue(which)}"

    @cache
    def text(address: str) -> str:
        answer = client.get(address)
        assert answer.status_code == 200, address
        return answer.text

    @cache
    def places(address: str) -> frozenset[str]:
        return frozenset(_ID.findall(text(address)))

    nowhere = set()
    seen = 0
    for page in WITHIN:
        for href in _HREF.findall(text(base + page)):
            parts = urlsplit(urljoin(base + page, href.replace("&amp;", "&")))
            seen += 1
            there = f"{parts.path}?{parts.query}" if parts.query else parts.path
            if parts.fragment not in places(there):
                nowhere.add((page, href))
    assert seen > 20
    assert sorted(nowhere) == []
