"""What earlier versions wrote opens here and says what it said then.

Outside: the databases and files in `data` were written by those versions' own code.
"""

import gzip
import json
import lzma
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from alembic.script import ScriptDirectory

from tests.documents import lost
from webapp.draft.recipe import Recipe
from webapp.errors import StoreError
from webapp.plan.episode import Episode
from webapp.store import database as databases
from webapp.store import postgresql
from webapp.store.backup import restore
from webapp.store.copies import put_rows
from webapp.store.database import (
    HEAD,
    MIGRATIONS,
    database_path,
    migration_config,
    open_database,
    stored_revision,
)
from webapp.store.episode_file import read_episode, to_text
from webapp.store.library import Library, understood
from webapp.store.postgresql import engine_at
from webapp.store.repository import EpisodeStore

DATA = Path(__file__).parent / "data"
EARLIER = ("0001", "0002", "0003", "0004", "0005", "0006")
THEN = datetime(2026, 11, 27, 9, tzinfo=UTC)  # soon after they were written


def _written_then(version: str, data_dir: Path) -> Path:
    path = database_path(data_dir)
    path.write_bytes(gzip.decompress((DATA / f"seamslate-{version}.db.gz").read_bytes()))
    return path


def _documents(path: Path) -> dict[str, Any]:
    with closing(sqlite3.connect(path)) as connection:
        rows = connection.execute(
            "SELECT id, title, document FROM episodes WHERE deleted_at IS NULL"
        )
        return {id: (title, json.loads(document)) for id, title, document in rows}


def _titled(episode: Episode) -> Episode:
    return episode.model_copy(update={"title": "Changed by this version"})


def _says_what_it_said(store: EpisodeStore, told: dict[str, Any]) -> None:
    assert {one.id: one.title for one in store.list()} == {id: told[id][0] for id in told}
    for id, (_, document) in told.items():
        assert lost(document, json.loads(to_text(store.get(id)))) == []


def _goes_on(store: EpisodeStore) -> None:
    """The history is as it was left, and goes on from there."""
    brief, skirt = "small-wardrobe-5", "small-wardrobe-4"
    assert (store.standing(brief).undo, store.standing(brief).redo) == ("Promise", "Rename")
    assert store.redo(brief) == "Rename"
    assert store.get(brief).title == "Renamed and taken back"
    assert [store.undo(brief) for _ in range(3)] == ["Rename", "Promise", None]
    assert store.get(brief).brief.promise != "Sewn with the old program"
    assert store.get(skirt).number == 41
    before = store.get(skirt)
    store.change(skirt, "Rename", _titled)
    assert [store.undo(skirt), store.undo(skirt)] == ["Rename", "Number"]
    assert store.redo(skirt) == "Number"
    assert store.get(skirt) == before
    assert [gone.title for gone in store.list(deleted=True)] == ["Deleted with the old program"]
    store.put_back("gone-one")
    assert store.get("gone-one").title == "Deleted with the old program"


def test_every_earlier_schema_is_among_them() -> None:
    """A migration that is added without a database of the schema before it fails here."""
    known = {script.revision for script in ScriptDirectory(str(MIGRATIONS)).walk_revisions()}
    assert known == {*EARLIER, HEAD}
    assert {path.name for path in DATA.glob("*.db.gz")} == {
        f"seamslate-{version}.db.gz" for version in EARLIER
    }


@pytest.mark.sqlite
@pytest.mark.parametrize("version", EARLIER)
def test_a_database_of_each_earlier_version_is_copied_then_goes_on(
    tmp_path: Path, version: str
) -> None:
    path = _written_then(version, tmp_path)
    assert stored_revision(path) == version
    told = _documents(path)
    assert len(told) == 3
    engine = open_database(path, lambda: datetime(2026, 11, 27, 9))
    with engine.begin() as connection:
        command.check(migration_config(connection))
    (copy,) = tmp_path.rglob("*before-update-2026-11-27*.db")
    assert stored_revision(copy) == version
    assert _documents(copy) == told
    store = EpisodeStore(engine, lambda: THEN)
    _says_what_it_said(store, told)
    _goes_on(store)
    assert store.has_accepted("small-wardrobe-4", "entry-1") == (version > "0002")
    if version > "0001":
        (kept,) = Library(engine).entries("recipe")
        assert understood(kept, Recipe) == store.get("small-wardrobe-4").garments[0]
    engine.dispose()


@pytest.mark.usefixtures("database")
@pytest.mark.parametrize("version", EARLIER)
def test_a_backup_of_each_earlier_version_is_restored_and_goes_on(
    tmp_path: Path, version: str
) -> None:
    old = tmp_path / "old"
    old.mkdir()
    told = _documents(_written_then(version, old))
    restore(tmp_path / "new", old / "seamslate.db")
    engine = open_database(database_path(tmp_path / "new"))
    store = EpisodeStore(engine, lambda: THEN)
    _says_what_it_said(store, told)
    _goes_on(store)
    engine.dispose()


@pytest.mark.postgresql
@pytest.mark.usefixtures("database")
@pytest.mark.parametrize("version", EARLIER)
def test_a_database_on_a_server_is_copied_then_brought_up_to_date_too(
    tmp_path: Path, version: str
) -> None:
    old = tmp_path / "old"
    old.mkdir()
    file = _written_then(version, old)
    told = _documents(file)
    address = databases.served_by(database_path(tmp_path), "")
    engine = engine_at(address)
    with engine.begin() as connection:
        command.upgrade(migration_config(connection), version)
    put_rows(file, engine)
    engine.dispose()
    engine = open_database(database_path(tmp_path), lambda: datetime(2026, 11, 27, 9))
    assert postgresql.stored_revision(engine) == HEAD
    with engine.begin() as connection:
        command.check(migration_config(connection))
    (copy,) = tmp_path.rglob("*before-update-2026-11-27*.db")
    assert stored_revision(copy) == version
    assert _documents(copy) == told
    store = EpisodeStore(engine, lambda: THEN)
    _says_what_it_said(store, told)
    _goes_on(store)
    engine.dispose()


def test_every_episode_file_there_ever_was_is_read_and_loses_nothing() -> None:
    files = json.loads(lzma.decompress((DATA / "demo-files.json.xz").read_bytes()))
    assert len(files) > 40
    for name, document in files.items():
        episode = read_episode(json.dumps(document))
        assert lost(document, json.loads(to_text(episode))) == [], name


@pytest.mark.sqlite
@pytest.mark.usefixtures("database")
def test_an_update_that_fails_each_time_does_not_fill_the_disk_with_copies(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every start copies first; where the update is refused, the plans are as they were before."""
    path = _written_then("0001", tmp_path)
    before = _documents(path)

    def refused(*_: object) -> None:
        raise StoreError("No room.")

    monkeypatch.setattr(databases, "migrate", refused)
    for _ in range(2):
        with pytest.raises(StoreError, match="No room"):
            open_database(path, lambda: THEN)
    assert list((tmp_path / "copies").iterdir()) == []
    assert _documents(path) == before
