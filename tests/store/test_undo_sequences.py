"""Any sequence of edits is undone step by step to the byte, and made again to the byte."""

from collections.abc import Iterator
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine
from sqlmodel import Session, select

from tests.choosers import BySeed
from tests.made import Done, edited, small_episode
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.store.database import open_database
from webapp.store.repository import EpisodeStore
from webapp.store.tables import EpisodeRow

pytestmark = pytest.mark.usefixtures("database")


def _as(done: Done) -> Episode:
    return done.episode


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory, database: str) -> Iterator[Engine]:
    """One database for all examples, each with an episode of its own."""
    engine = open_database(tmp_path_factory.mktemp(database) / "plans.db")
    yield engine
    engine.dispose()


@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 2**32), edits=st.integers(1, 15))
def test_undo_back_and_redo_are_equal_to_the_byte(shared: Engine, seed: int, edits: int) -> None:
    choose, store = BySeed(Random(seed)), EpisodeStore(shared)
    episode_id = store.add(small_episode())

    def document() -> str:
        kept = select(EpisodeRow.document).where(EpisodeRow.id == episode_id)
        with Session(shared) as session:
            return session.exec(kept).one()

    documents = [document()]
    for _ in range(edits):
        done = edited(evaluate(store.get(episode_id)), choose)
        if done is not None:
            made = _as(done)
            store.change(episode_id, "an edit", lambda _, made=made: made)
        if document() != documents[-1]:
            documents.append(document())
    for before in documents[-2::-1]:
        assert store.undo(episode_id) == "an edit"
        assert document() == before
    assert store.undo(episode_id) is None
    for after in documents[1:]:
        assert store.redo(episode_id) == "an edit"
        assert document() == after
    assert store.redo(episode_id) is None
