"""Plans go from SQLite to a server and back, whole or not at all."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, text

from webapp.errors import StoreError
from webapp.plan.episode import Episode
from webapp.store import database as databases
from webapp.store.backup import backup, restore
from webapp.store.copies import write_copy
from webapp.store.database import database_path, open_database, stored_revision
from webapp.store.library import Library
from webapp.store.repository import EpisodeStore

pytestmark = [pytest.mark.postgresql, pytest.mark.usefixtures("database")]

NOON = datetime(2026, 5, 1, 12)


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    engine = open_database(database_path(tmp_path))
    yield engine
    engine.dispose()


def _titled(title: str) -> Any:
    return lambda episode: episode.model_copy(update={"title": title})


def test_the_same_file_moves_plans_to_a_server_and_back(smock: Episode, tmp_path: Path) -> None:
    here, there, back = (tmp_path / name for name in ("here", "there", "back"))
    file = database_path(here)
    here.mkdir()
    databases.migrate(file)
    on_sqlite = databases.sqlite_engine(file, foreign_keys=True)
    store, shelf = EpisodeStore(on_sqlite), Library(on_sqlite)
    store.add(smock)
    store.change(smock.id, "Rename", _titled("Sea"), once="entry-1")
    store.change(smock.id, "Rename again", _titled("Sky"))
    store.undo(smock.id)
    store.delete(store.add(Episode(id="gone", title="Gone")))
    shelf.put("recipe", "Mine", "{}")
    rows = _rows(on_sqlite)
    on_sqlite.dispose()

    assert restore(there, file) is None  # that server held nothing
    on_server = open_database(database_path(there))
    assert _rows(on_server) == rows
    moved = EpisodeStore(on_server)
    assert moved.get(smock.id).title == "Sea"
    assert moved.redo(smock.id) == "Rename again"
    moved.change(smock.id, "Rename once more", _titled("Sun"))  # its number is free
    assert moved.has_accepted(smock.id, "entry-1")
    rows = _rows(on_server)
    backup(there, tmp_path / "plans.backup")
    on_server.dispose()

    back.mkdir()
    (back / "seamslate.db").write_bytes((tmp_path / "plans.backup").read_bytes())
    returned = databases.sqlite_engine(database_path(back), foreign_keys=True)
    assert _rows(returned) == rows
    assert EpisodeStore(returned).undo(smock.id) == "Rename once more"
    returned.dispose()


def _rows(engine: Engine) -> dict[str, list[tuple[Any, ...]]]:
    from webapp.store.tables import SQLModel  # noqa: PLC0415

    with engine.connect() as connection:
        return {
            one.name: sorted((tuple(row) for row in connection.execute(one.select())), key=str)
            for one in SQLModel.metadata.sorted_tables
        }


def test_a_doubtful_backup_changes_nothing_and_the_old_rows_are_kept(
    engine: Engine, tmp_path: Path
) -> None:
    store = EpisodeStore(engine)
    store.add(Episode(id="skirt", title="Skirt"))
    (tmp_path / "letter").write_text("Dear aunt, " * 99)
    with pytest.raises(StoreError, match="is not a Seamslate backup, so nothing was restored"):
        restore(tmp_path, tmp_path / "letter")
    write_copy(engine, tmp_path / "half.backup")
    half = databases.sqlite_engine(tmp_path / "half.backup", foreign_keys=False)
    with half.begin() as connection:  # no day, which only the server notices
        connection.execute(text("UPDATE episodes SET title = 'New', number = 'three'"))
    half.dispose()
    with pytest.raises(StoreError):
        restore(tmp_path, tmp_path / "half.backup", lambda: NOON, anyway=True)
    assert [one.title for one in store.list()] == ["Skirt"]
    whole = tmp_path / "whole.backup"
    write_copy(engine, whole)
    store.change("skirt", "Rename", _titled("Kilt"))
    kept = restore(tmp_path, whole, lambda: NOON)
    assert kept is not None
    assert stored_revision(kept) == databases.HEAD
    assert [one.title for one in store.list()] == ["Skirt"]
    assert restore(tmp_path, kept) is not None
    assert [one.title for one in store.list()] == ["Kilt"]


def test_an_empty_server_has_nothing_to_back_up(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="There are no plans in the database"):
        backup(tmp_path, tmp_path / "plans.backup")
    assert list(tmp_path.iterdir()) == []
