"""Backup and restore: what comes back is what was there, and nothing doubtful replaces it."""

import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest

from webapp.errors import StoreError
from webapp.plan.episode import Episode
from webapp.store.backup import backup, restore
from webapp.store.database import database_path, open_database
from webapp.store.repository import EpisodeStore

NOON = datetime(2026, 5, 1, 12)


def titles(data_dir: Path) -> list[str]:
    """The titles in a folder, opened as a start would."""
    engine = open_database(database_path(data_dir))
    found = [episode.title for episode in EpisodeStore(engine).list()]
    engine.dispose()
    return found


def fill(data_dir: Path, *names: str) -> None:
    """Add an episode of each name to a folder."""
    engine = open_database(database_path(data_dir))
    for name in names:
        EpisodeStore(engine).add(Episode(id=name.lower(), title=name))
    engine.dispose()


def test_a_backup_taken_while_in_use_restores_everything(
    store: EpisodeStore, smock: Episode, tmp_path: Path
) -> None:
    store.add(smock)
    changed = store.change(smock.id, "Rename", lambda e: e.model_copy(update={"title": "Sea"}))
    backup(tmp_path, tmp_path / "usb #1?.backup")  # the store is open, its WAL not yet emptied
    restore(tmp_path / "new computer", tmp_path / "usb #1?.backup")
    engine = open_database(database_path(tmp_path / "new computer"))
    there = EpisodeStore(engine)
    assert there.get(smock.id) == changed
    assert there.undo(smock.id) == "Rename"
    assert there.get(smock.id) == smock
    engine.dispose()


def test_a_backup_is_one_file_that_replaces_the_older_one(tmp_path: Path) -> None:
    data_dir, away = tmp_path / "data", tmp_path / "away"
    away.mkdir()
    for names in (["Smock"], ["Skirt"]):
        fill(data_dir, *names)
        backup(data_dir, away / "plans.backup")
    assert [entry.name for entry in away.iterdir()] == ["plans.backup"]
    assert restore(tmp_path / "new", away / "plans.backup") is None
    assert sorted(titles(tmp_path / "new")) == ["Skirt", "Smock"]


def test_restoring_keeps_the_plans_it_replaces(tmp_path: Path) -> None:
    old, new = tmp_path / "old", tmp_path / "new"
    fill(old, "Smock")
    fill(new, "Skirt")
    backup(old, tmp_path / "plans.backup")
    kept = restore(new, tmp_path / "plans.backup", lambda: NOON)
    assert kept == new / "seamslate-before-restore-2026-05-01-120000.db"
    assert titles(new) == ["Smock"]
    again = restore(new, kept, lambda: NOON)
    assert again == new / "seamslate-before-restore-2026-05-01-120000-2.db"
    assert titles(new) == ["Skirt"]


def _damaged(path: Path) -> None:
    """A page in the middle of the file is overwritten, as a failing disk does."""
    fill(path.parent / "data", *(f"Episode-{number}" for number in range(60)))
    backup(path.parent / "data", path)
    content = bytearray(path.read_bytes())
    with closing(sqlite3.connect(path)) as connection:
        (page,) = connection.execute(
            "SELECT rootpage FROM sqlite_schema WHERE name = 'episodes'"
        ).fetchone()
        (size,) = connection.execute("PRAGMA page_size").fetchone()
    content[(page - 1) * size : page * size] = b"\xa5" * size
    path.write_bytes(content)


def _newer(path: Path) -> None:
    fill(path.parent / "data", "Smock")
    backup(path.parent / "data", path)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '0099'")


def _stray(path: Path) -> None:
    """A change without its episode."""
    fill(path.parent / "data", "Smock")
    backup(path.parent / "data", path)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute(
            "INSERT INTO changes VALUES (1, 'gone', 1, 'Rename', x'00', x'00', '2026', 0)"
        )


def _of_another_program(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("CREATE TABLE stamps (country)")


DOUBTFUL = [
    (lambda _: None, "There is no file"),
    (lambda path: path.mkdir(), "There is no file"),
    (lambda path: path.touch(), "is not a Seamslate backup, so nothing was restored"),
    (lambda path: path.write_text("Dear aunt, " * 99), "is not a Seamslate backup, so nothing"),
    (_of_another_program, "is not a Seamslate backup, so nothing was restored"),
    (_newer, "written by a newer Seamslate"),
    (_damaged, "The copy is damaged"),
    (_stray, "The copy is damaged"),
]


@pytest.mark.parametrize(("make", "sentence"), DOUBTFUL)
def test_a_doubtful_backup_is_refused_and_changes_nothing(
    tmp_path: Path, make: object, sentence: str
) -> None:
    assert callable(make)
    mine = tmp_path / "mine"
    fill(mine, "Skirt")
    make(tmp_path / "doubtful")
    with pytest.raises(StoreError, match=sentence):
        restore(mine, tmp_path / "doubtful")
    assert [entry.name for entry in mine.iterdir()] == ["seamslate.db"]
    assert titles(mine) == ["Skirt"]


def test_plans_that_are_open_are_not_replaced(
    store: EpisodeStore, smock: Episode, tmp_path: Path
) -> None:
    store.add(smock)
    fill(tmp_path / "other", "Skirt")
    backup(tmp_path / "other", tmp_path / "plans.backup")
    with pytest.raises(StoreError, match="Close it, then restore"):
        restore(tmp_path, tmp_path / "plans.backup")
    assert store.get(smock.id) == smock


def test_a_damaged_database_can_be_replaced_and_is_kept_as_it_is(tmp_path: Path) -> None:
    good, bad = tmp_path / "good", tmp_path / "bad"
    fill(good, "Smock")
    backup(good, tmp_path / "plans.backup")
    bad.mkdir()
    database_path(bad).write_bytes(b"spilt tea " * 500)
    (bad / "seamslate.db-wal").write_bytes(b"more tea")
    kept = restore(bad, tmp_path / "plans.backup")
    assert titles(bad) == ["Smock"]
    assert kept is not None
    assert kept.read_bytes() == b"spilt tea " * 500
    assert kept.with_name(f"{kept.name}-wal").read_bytes() == b"more tea"


def test_a_backup_is_not_written_over_anything_else(tmp_path: Path) -> None:
    data_dir, letter = tmp_path / "data", tmp_path / "letter.txt"
    with pytest.raises(StoreError, match="There are no plans in"):
        backup(data_dir, tmp_path / "plans.backup")
    fill(data_dir, "Smock")
    letter.write_text("Dear aunt, " * 99)
    for target, sentence in (
        (letter, "letter.txt is not a Seamslate backup, so it is not written over"),
        (data_dir, "is a folder; name a file in it"),
        (database_path(data_dir), "is where your plans are"),
        (tmp_path / "nowhere" / "plans.backup", "cannot be copied"),
    ):
        with pytest.raises(StoreError, match=sentence):
            backup(data_dir, target)
    with pytest.raises(StoreError, match="is where your plans are already"):
        restore(data_dir, database_path(data_dir))
    assert letter.read_text() == "Dear aunt, " * 99
    assert titles(data_dir) == ["Smock"]
    assert not list(tmp_path.rglob("*.new*"))
