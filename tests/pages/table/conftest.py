"""A smock at the table at noon, of which nothing is filmed or timed."""

import pytest

from tests.pages.table.sending import NOON
from webapp.pages import table as page
from webapp.pages import times
from webapp.pages.house import House
from webapp.plan.edits import changed


@pytest.fixture
def table(smock: str, house: House, monkeypatch: pytest.MonkeyPatch) -> str:
    """The address of the page of a smock of which nothing is filmed or timed; it is noon."""
    for one in (page, times):
        monkeypatch.setattr(one, "local_now", lambda: NOON)
    none = {"time_log": (), "timer": None}
    house.store.keep(smock, lambda e: changed(e, **none))
    return f"/episodes/{smock}/table"


@pytest.fixture
def shot(smock: str, house: House) -> str:
    """A shot that quotes figures."""
    return next(s.id for s in house.store.get(smock).shots if "{Front.hem}" in s.narration + s.card)
