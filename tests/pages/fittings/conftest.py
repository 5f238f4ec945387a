"""A smock without fittings, and one with its first fitting written down."""

import pytest
from starlette.testclient import TestClient

from webapp.pages.house import House
from webapp.plan.edits import changed


@pytest.fixture
def page(smock: str, house: House) -> str:
    """The address of the fittings of a smock that has none yet."""
    house.store.change(smock, "none", lambda e: changed(e, fittings=(), revisions=()))
    return f"/episodes/{smock}/fittings"


@pytest.fixture
def fitting(client: TestClient, page: str) -> str:
    """The address of its first fitting, open to be changed."""
    answer = client.post(page, data={"title": "First try-on", "day": "2026-11-20"})
    assert answer.headers["location"] == f"{page}?edit=first-try-on#fitting-first-try-on"
    return f"{page}/first-try-on"
