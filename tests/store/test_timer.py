"""A time being taken is no change of the plan: undo and redo leave it running."""

from datetime import UTC, datetime

import pytest

from webapp.build.time_log import Timer
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.store.repository import Edit, EpisodeStore

pytestmark = pytest.mark.usefixtures("database")


def titled(title: str) -> Edit:
    return lambda episode: changed(episode, title=title)


def timing(timer: Timer | None) -> Edit:
    return lambda episode: changed(episode, timer=timer)


def test_a_time_being_taken_goes_on_through_undo_and_redo(
    store: EpisodeStore, smock: Episode
) -> None:
    store.add(smock)
    store.change(smock.id, "Rename", titled("Sea Smock"))
    running = Timer(title="Chalk", started=datetime(2027, 1, 4, 9, tzinfo=UTC))
    store.keep(smock.id, timing(running))
    for step in (store.undo, store.redo):
        step(smock.id)
        assert store.get(smock.id).timer == running


def test_an_undo_of_stopping_lets_the_time_run_on(store: EpisodeStore, smock: Episode) -> None:
    store.add(smock)
    running = Timer(title="Chalk", started=datetime(2027, 1, 4, 9, tzinfo=UTC))
    store.keep(smock.id, timing(running))
    store.change(smock.id, "Stop", timing(None))
    store.undo(smock.id)
    assert store.get(smock.id).timer == running
    store.redo(smock.id)
    assert store.get(smock.id).timer is None
    other = changed(running, title="Cut")
    store.keep(smock.id, timing(other))
    store.undo(smock.id)
    assert store.get(smock.id).timer == other  # begun since
