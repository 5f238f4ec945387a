"""Any sequence of edits is undone step by step to the byte, and made again to the byte."""

from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
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


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 2**32), st.integers(1, 15))
def test_undo_back_and_redo_are_equal_to_the_byte(seed: int, edits: int) -> None:
    choose = BySeed(Random(seed))
    with TemporaryDirectory() as folder:
        engine = open_database(Path(folder) / "plans.db")
        store = EpisodeStore(engine)
        episode_id = store.add(small_episode())

        def document() -> str:
            with Session(engine) as session:
                return session.exec(select(EpisodeRow.document)).one()

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
        engine.dispose()
