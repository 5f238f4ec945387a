"""Backup and restore: what comes back is what was there, and nothing doubtful replaces it."""

import errno
import hashlib
import re
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.copied import served
from tests.filled import fill, titles
from tests.small_disk import small_disk
from webapp.cli import main
from webapp.errors import ChangedElsewhereError, DiskFullError, StoreError
from webapp.plan.episode import Episode
from webapp.store.backup import backup, restore
from webapp.store.database import copy_database, database_path, open_database
from webapp.store.photos import photos_folder, write_photo
from webapp.store.repository import EpisodeStore

pytestmark = pytest.mark.usefixtures("database")

NOON = datetime(2026, 5, 1, 12)


def photograph(data_dir: Path, *contents: bytes) -> dict[str, bytes]:
    """Keep files as pictures of a folder. Returns them by name."""
    made = {f"{hashlib.sha256(content).hexdigest()}.jpg": content for content in contents}
    for name, content in made.items():
        write_photo(photos_folder(data_dir), name, content)
    return made


def pictures(data_dir: Path) -> dict[str, bytes]:
    """Every file among the pictures of a folder, by name."""
    return {path.name: path.read_bytes() for path in photos_folder(data_dir).iterdir()}


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


def test_a_backup_is_one_file_that_replaces_an_older_one_only_when_told_so(tmp_path: Path) -> None:
    data_dir, away = tmp_path / "data", tmp_path / "away"
    away.mkdir()
    fill(data_dir, "Smock")
    backup(data_dir, away / "plans.backup")
    older = (away / "plans.backup").read_bytes()
    fill(data_dir, "Skirt")
    with pytest.raises(StoreError, match=r"plans\.backup is a backup of .+ already, and stays"):
        backup(data_dir, away / "plans.backup")
    assert (away / "plans.backup").read_bytes() == older
    backup(data_dir, away / "plans.backup", replace=True)
    assert [entry.name for entry in away.iterdir()] == ["plans.backup"]
    assert restore(tmp_path / "new", away / "plans.backup") is None
    assert sorted(titles(tmp_path / "new")) == ["Skirt", "Smock"]


def test_restoring_keeps_the_plans_it_replaces(tmp_path: Path) -> None:
    old, new = tmp_path / "old", tmp_path / "new"
    fill(old, "Smock")
    fill(new, "Skirt")
    backup(old, tmp_path / "plans.backup")
    kept = restore(new, tmp_path / "plans.backup", lambda: NOON)
    assert kept == new / "copies" / "seamslate-before-restore-2026-05-01-120000.db"
    assert titles(new) == ["Smock"]
    again = restore(new, kept, lambda: NOON)
    assert again == new / "copies" / "seamslate-before-restore-2026-05-01-120000-2.db"
    assert titles(new) == ["Skirt"]


@pytest.mark.sqlite
def test_plans_that_are_open_are_not_replaced(
    store: EpisodeStore, smock: Episode, tmp_path: Path
) -> None:
    store.add(smock)
    fill(tmp_path / "other", "Skirt")
    photograph(tmp_path / "other", b"a collar")
    backup(tmp_path / "other", tmp_path / "plans.backup")
    with pytest.raises(StoreError, match="Close it, then restore"):
        restore(tmp_path, tmp_path / "plans.backup")
    assert store.get(smock.id) == smock
    assert not photos_folder(tmp_path).exists()


@pytest.mark.sqlite
def test_pictures_come_back_and_those_that_are_there_stay(tmp_path: Path) -> None:
    old, new = tmp_path / "old", tmp_path / "new"
    fill(old, "Smock")
    fill(new, "Skirt")
    theirs = photograph(old, b"a collar", b"a hem")
    mine = photograph(new, b"a pocket", b"a hem")
    backup(old, tmp_path / "plans.backup")
    backup(old, tmp_path / "plans.backup", replace=True)
    restore(new, tmp_path / "plans.backup")
    assert pictures(new) == theirs | mine
    assert titles(new) == ["Smock"]
    assert {entry.name for entry in new.iterdir()} == {"seamslate.db", "photos", "copies"}
    with closing(sqlite3.connect(database_path(new))) as connection:
        there = connection.execute("SELECT name FROM sqlite_schema").fetchall()
    assert ("kept_photos",) not in there
    assert b"a collar" not in database_path(new).read_bytes()  # nor in what was freed


@pytest.mark.sqlite
def test_a_backup_from_before_there_were_pictures_is_restored(tmp_path: Path) -> None:
    old, new = tmp_path / "old", tmp_path / "new"
    fill(old, "Smock")
    fill(new, "Skirt")
    mine = photograph(new, b"a pocket")
    copy_database(database_path(old), tmp_path / "plans.backup")  # all that a backup was then
    restore(new, tmp_path / "plans.backup")
    assert titles(new) == ["Smock"]
    assert pictures(new) == mine


def test_a_restored_picture_mends_a_damaged_one(tmp_path: Path) -> None:
    fill(tmp_path / "data", "Smock")
    kept = photograph(tmp_path / "data", b"a collar")
    backup(tmp_path / "data", tmp_path / "plans.backup")
    for name in kept:
        (photos_folder(tmp_path / "data") / name).write_bytes(b"spilt tea")
    restore(tmp_path / "data", tmp_path / "plans.backup")
    assert pictures(tmp_path / "data") == kept


def test_a_damaged_picture_is_told_and_all_else_is_backed_up(tmp_path: Path) -> None:
    data_dir = tmp_path / "data"
    fill(data_dir, "Smock")
    whole = photograph(data_dir, b"a hem")
    (name,) = photograph(data_dir, b"a collar")
    (photos_folder(data_dir) / name).write_bytes(b"spilt tea")
    (photos_folder(data_dir) / "notes.txt").write_text("no picture")
    with pytest.raises(StoreError, match=f"Backed up to .*, but not these pictures.*{name}"):
        backup(data_dir, tmp_path / "plans.backup")
    restore(tmp_path / "new", tmp_path / "plans.backup")
    assert titles(tmp_path / "new") == ["Smock"]
    assert pictures(tmp_path / "new") == whole


def test_pictures_that_cannot_be_written_leave_the_plans_as_they_are(tmp_path: Path) -> None:
    fill(tmp_path / "old", "Smock")
    photograph(tmp_path / "old", b"a collar")
    backup(tmp_path / "old", tmp_path / "plans.backup")
    fill(tmp_path / "new", "Skirt")
    (tmp_path / "new" / "photos").write_text("a file where the folder should be")
    with pytest.raises(StoreError, match="cannot be restored"):
        restore(tmp_path / "new", tmp_path / "plans.backup")
    assert titles(tmp_path / "new") == ["Skirt"]
    assert not list((tmp_path / "new").glob("*restored*"))


@pytest.mark.sqlite
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


@pytest.mark.sqlite
@pytest.mark.parametrize("ending", ["-wal", "-journal"])
def test_a_log_that_is_left_of_plans_that_were_deleted_is_not_mixed_in(
    tmp_path: Path, ending: str
) -> None:
    """Killed, then its database deleted, but not the log (SQLite, "How To Corrupt …")."""
    killed, other = tmp_path / "killed", tmp_path / "other"
    fill(other, "Smock")
    backup(other, tmp_path / "plans.backup")
    fill(killed, *(f"Skirt-{number}" for number in range(20)))
    log = killed / f"seamslate.db{ending}"
    with closing(sqlite3.connect(database_path(killed), isolation_level=None)) as connection:
        connection.execute(f"PRAGMA journal_mode={'WAL' if ending == '-wal' else 'DELETE'}")
        connection.execute("PRAGMA cache_size=1")  # what is changed is written before its end
        connection.execute("BEGIN")
        connection.execute("UPDATE episodes SET title = title || hex(randomblob(20000))")
        if ending == "-wal":
            connection.execute("COMMIT")
        left = log.read_bytes()
    database_path(killed).unlink()
    log.write_bytes(left)
    restore(killed, tmp_path / "plans.backup")
    assert titles(killed) == ["Smock"]
    with closing(sqlite3.connect(database_path(killed))) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


@pytest.mark.sqlite
def test_a_disk_that_fills_up_leaves_no_half_copy_of_the_plans_before(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mine = tmp_path / "mine"
    fill(mine, "Skirt")
    fill(tmp_path / "other", "Smock")
    backup(tmp_path / "other", tmp_path / "plans.backup")

    def full(source: Path, target: Path) -> None:
        Path(target).write_bytes(Path(source).read_bytes()[:100])
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("webapp.store.backup.shutil.copy2", full)
    with pytest.raises(DiskFullError, match="nothing was restored"):
        restore(mine, tmp_path / "plans.backup")
    assert titles(mine) == ["Skirt"]
    assert list((mine / "copies").iterdir()) == []


def test_plans_that_are_put_back_are_newer_than_any_page_that_is_open_still(tmp_path: Path) -> None:
    mine = tmp_path / "mine"
    fill(mine, "Smock")
    backup(mine, tmp_path / "plans.backup")

    def renamed(count: int) -> tuple[int, int]:
        engine = open_database(database_path(mine))
        store = EpisodeStore(engine)
        for number in range(count):
            store.change("smock", "R", lambda e, n=number: e.model_copy(update={"title": f"T {n}"}))
        reached = store.edition("smock"), store.revision("smock")
        engine.dispose()
        return reached

    edition, revision = renamed(3)
    restore(mine, tmp_path / "plans.backup")
    assert renamed(0) == (edition + 1, revision + 1)
    edition, revision = renamed(2)
    restore(mine, tmp_path / "plans.backup")
    assert renamed(0) == (edition + 1, revision + 1)


def test_who_saves_from_a_page_of_before_is_told_that_a_copy_was_put_back(tmp_path: Path) -> None:
    mine = tmp_path / "mine"
    fill(mine, "Smock")
    backup(mine, tmp_path / "plans.backup")
    for _ in range(2):  # what was noted of the first is not taken for the second
        engine = open_database(database_path(mine))
        shown = EpisodeStore(engine).edition("smock")
        EpisodeStore(engine).change("smock", "R", _named("Mine"), expected=shown)
        engine.dispose()
        before = datetime.now()
        restore(mine, tmp_path / "plans.backup")
        engine = open_database(database_path(mine))
        store = EpisodeStore(engine)
        for edition in (shown, shown + 1):
            with pytest.raises(ChangedElsewhereError) as told:
                store.change("smock", "Rename", _named("Theirs"), expected=edition)
            moment = re.search(
                r"a copy of all plans was put back on (.+? at \d\d:\d\d), since this page",
                told.value.sentence,
            )
            assert moment
            at = datetime.strptime(moment[1], "%d %B %Y at %H:%M")
            assert before - timedelta(minutes=1) < at <= datetime.now()
        shown = store.edition("smock")
        store.change("smock", "Shorten", _named("Ours"), expected=shown)
        with pytest.raises(ChangedElsewhereError, match="by someone else"):  # of a page after it
            store.change("smock", "Rename", _named("Theirs"), expected=shown)
        engine.dispose()


def _named(title: str) -> Callable[[Episode], Episode]:
    return lambda episode: episode.model_copy(update={"title": title})


@pytest.mark.sqlite
def test_plans_or_a_backup_that_are_damaged_are_told_as_what_they_are(tmp_path: Path) -> None:
    data_dir, target = tmp_path / "data", tmp_path / "plans.backup"
    fill(data_dir, "Smock", "Skirt")
    backup(data_dir, target)
    sound = target.read_bytes()
    for first, last in ((4096, 16384), (24576, len(sound))):  # in its first pages, and in its last
        spoilt = bytearray(sound)
        spoilt[first:last] = b"\x55" * (last - first)
        database_path(data_dir).write_bytes(spoilt)
        with pytest.raises(
            StoreError, match=r"^No backup was made, because the plans are not sound"
        ):
            backup(data_dir, target, replace=True)
        assert target.read_bytes() == sound
        (tmp_path / "old.backup").write_bytes(spoilt)
        with pytest.raises(StoreError, match=r"damaged.* [Ss]o nothing was restored\.$"):
            restore(data_dir, tmp_path / "old.backup")
        assert database_path(data_dir).read_bytes() == spoilt
    (tmp_path / "cut.backup").write_bytes(sound[:20_000])
    with pytest.raises(StoreError, match=r"damaged.* [Ss]o nothing was restored\.$"):
        restore(data_dir, tmp_path / "cut.backup")


@pytest.mark.sqlite
@pytest.mark.parametrize("state", ["full", "locked"])
def test_a_disk_that_takes_no_backup_is_told_by_her_own_folder(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], state: str
) -> None:
    at_home = tmp_path / "home"
    fill(at_home, "Smock")
    backup(at_home, tmp_path / "plans.backup")
    with small_disk(tmp_path / "stick") as stick:
        fill(stick.folder, "Skirt")
        (stick.fill if state == "full" else stick.lock)()
        for command, lost in (
            (["backup", str(stick.folder / "x.backup"), "--data", str(at_home)], "was not made"),
            (["restore", str(tmp_path / "plans.backup"), "--data", str(stick.folder)], "restored"),
        ):
            assert main(command) == 2
            told = capsys.readouterr().err
            where = (
                f"on the disk that holds {stick.folder}."
                if state == "full"
                else (f"{stick.folder} can be read, but nothing can be written there.")
            )
            assert where in told and lost in told
        with served(stick.folder) as client:
            taken = client.post("/copies/backup")
            assert taken.status_code in (503, 507)
            assert str(stick.folder) in taken.text and ".unsent" not in taken.text
            assert taken.text.count("No backup was made") == 2  # the tab's name and the heading
            assert "Not saved" not in taken.text


@pytest.mark.sqlite
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
        (tmp_path / "nowhere" / "plans.backup", "There is no folder .+nowhere to put"),
    ):
        for replace in (False, True):
            with pytest.raises(StoreError, match=sentence):
                backup(data_dir, target, replace=replace)
    with pytest.raises(StoreError, match="is where your plans are already"):
        restore(data_dir, database_path(data_dir))
    assert letter.read_text() == "Dear aunt, " * 99
    assert titles(data_dir) == ["Smock"]
    assert not list(tmp_path.rglob("*.new*"))
