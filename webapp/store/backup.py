"""Backup and restore: the whole database as one file, proved before it is trusted."""

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path

from webapp.errors import StoreError
from webapp.store.database import (
    copy_database,
    database_path,
    dated_beside,
    refuse_newer,
    stored_revision,
)


def backup(data_dir: Path, target: Path) -> None:
    """Write all plans to `target`, while they may be in use. An older backup there is replaced.

    StoreError when there is nothing to back up, or `target` is something else than a backup.
    """
    live = database_path(data_dir)
    if not live.is_file():
        raise StoreError(f"There are no plans in {data_dir} to back up.")
    if target.is_dir():
        raise StoreError(f"{target} is a folder; name a file in it for the backup.")
    if target.exists():
        if target.samefile(live):
            raise StoreError(f"{target} is where your plans are; name another file.")
        _refuse_foreign(target, "so it is not written over; name another file")
    fresh = target.with_name(f"{target.name}.new")
    try:
        copy_database(live, fresh)
        prove(fresh)
        fresh.replace(target)
    finally:
        fresh.unlink(missing_ok=True)


def restore(
    data_dir: Path, source: Path, now: Callable[[], datetime] = datetime.now
) -> Path | None:
    """Put the plans of a backup in place of those in `data_dir`.

    Returns where the old ones are kept, dated by `now`; None when there were none. StoreError when
    `source` does not prove sound or Seamslate has the folder open; then nothing has changed.
    """
    live = database_path(data_dir)
    if not source.is_file():
        raise StoreError(f"There is no file {source} to restore from.")
    if live.exists() and source.samefile(live):
        raise StoreError(f"{source} is where your plans are already; name a backup.")
    _refuse_foreign(source, "so nothing was restored")
    fresh = live.with_name(f"{live.name}.restored")
    try:
        data_dir.mkdir(parents=True, exist_ok=True)
        copy_database(source, fresh)
        prove(fresh)
        kept = _set_aside(live, now()) if live.exists() else None
        fresh.replace(live)
    except OSError as error:
        raise StoreError(f"{source} cannot be restored: {error.strerror}.") from error
    finally:
        fresh.unlink(missing_ok=True)
    return kept


def prove(copy: Path) -> None:
    """StoreError unless `copy` is a sound database of ours that this Seamslate can read."""
    revision = stored_revision(copy)
    if revision is None:
        raise StoreError(f"{copy.name} holds no plans.")
    refuse_newer(copy, revision)
    try:
        with closing(sqlite3.connect(copy)) as connection:
            found = [str(word) for (word,) in connection.execute("PRAGMA integrity_check")]
            strays = connection.execute("PRAGMA foreign_key_check").fetchall()
    except sqlite3.Error as error:
        raise StoreError(f"The copy is damaged: {error}.") from error
    if found != ["ok"] or strays:
        raise StoreError(f"The copy is damaged: {found[0]}.")


def _refuse_foreign(path: Path, so: str) -> None:
    """StoreError unless `path` is a database of ours."""
    try:
        ours = stored_revision(path) is not None
    except StoreError:
        ours = False
    if not ours:
        raise StoreError(f"{path} is not a Seamslate backup, {so}.")


def _set_aside(live: Path, now: datetime) -> Path:
    """Copy the plans in use to a dated name; nothing of them is left that could be mixed in.

    A database that SQLite cannot open is kept byte for byte, with the -wal file beside it.
    """
    kept = dated_beside(live, "before-restore", now)
    kept_wal, wal, shm = (_beside(kept, "-wal"), _beside(live, "-wal"), _beside(live, "-shm"))
    shutil.copy2(live, kept)  # before SQLite looks at it, since looking may tidy the -wal away
    if wal.exists():
        shutil.copy2(wal, kept_wal)
    try:
        with closing(sqlite3.connect(live, timeout=1)) as connection:
            # Leaving WAL needs the file to itself, and empties the -wal file into it.
            connection.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.DatabaseError as error:
        if error.sqlite_errorcode & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            kept.unlink()
            kept_wal.unlink(missing_ok=True)
            raise StoreError(
                f"Seamslate has the plans in {live.parent} open. Close it, then restore."
            ) from error
    else:
        shutil.copy2(live, kept)
        kept_wal.unlink(missing_ok=True)
    wal.unlink(missing_ok=True)
    shm.unlink(missing_ok=True)
    return kept


def _beside(path: Path, ending: str) -> Path:
    return path.with_name(path.name + ending)
