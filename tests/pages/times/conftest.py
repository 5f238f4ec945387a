"""A smock without times, and the clock on the wall."""

import pytest

from tests.pages.times.reading import Wall
from webapp.pages.house import House
from webapp.plan.edits import changed


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    return Wall(monkeypatch)


@pytest.fixture
def times(smock: str, house: House) -> str:
    """The address of the times of a smock that has none yet."""
    none = {"time_log": (), "earlier_times": (), "rates": ()}
    house.store.keep(smock, lambda e: changed(e, **none))
    return f"/episodes/{smock}/times"
