"""A smock with two long shoot days, at ten past one on the first."""

from collections.abc import Iterator

import pytest

from tests.pages.planning.reading import FIRST, NOW, SECOND
from webapp.filming.shoot_days import ShootDay
from webapp.pages import shoot_days
from webapp.pages.house import House
from webapp.plan.edits import changed
from webapp.plan.episode import Episode


@pytest.fixture(autouse=True)
def clock(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """It is ten past one on the first shoot day."""
    monkeypatch.setattr(shoot_days, "now", lambda: NOW)
    return iter(())


@pytest.fixture
def days(smock: str, house: House) -> str:
    """The address of the shoot days of a smock with two long ones, five shots on the first."""

    def edit(episode: Episode) -> Episode:
        shots = ("intro", "chalk-front", "chalk-arm", "cut-before", "cut-front")
        kept = tuple(shot for shot in episode.shots if shot.id in shots)
        return changed(
            episode,
            shots=kept,
            shoot_days=(
                ShootDay(day=FIRST, ends="21:00", shots=tuple(s.id for s in kept)),
                ShootDay(day=SECOND),
            ),
            planned_days=None,
        )

    house.store.change(smock, "a small one", edit)
    return f"/episodes/{smock}/days"
