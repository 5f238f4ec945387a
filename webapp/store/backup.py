"""Backup and restore: the plans and their pictures as one file, proved before it is trusted.

The file is a copy of the database with one table more, which holds the pictures. A backup from
before there were pictures lacks it and is restored like any other.
"""

import shutil
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing, suppress
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Final

from webapp.command import ELSEWHERE, to_type
from webapp.errors import DamagedError, InUseError, RefusedError, StoreError
from webapp.store.asked_work import forget_asked
from webapp.store.database import (
    HEAD,
    copy_database,
    database_path,
    dated_copy,
    patiently,
    refuse_newer,
    served_by,
    stored_revision,
)
from webapp.store.documents import read
from webapp.store.in_place import put_in_place, sync_folder
from webapp.store.kept_copies import copies_in, how_to_put_back
from webapp.store.photos import Photos, is_sound, photos_folder, write_photo
from webapp.store.proof import ALL_PICTURES, PICTURES, has_pictures, prove
from webapp.store.refusals import NOT_THIS_COPY, make_folder, of_database, of_disk
from webapp.store.sent import NOTE_PUT_BACK
from webapp.store.tables import SentRow

_FAR_EDITION: Final = 1_000_000  # one a minute, day and night, for two years
_NOTHING: Final = "nothing was restored"
_NOT_SOUND: Final = (
    "No backup was made, because the plans are not sound; an older one stays as it is. {why} {cure}"
)
UNSENT: Final = ".unsent-backup-"  # begins the name of a folder with one that is being sent


def backup(data_dir: Path, target: Path, named: str = "", *, replace: bool = False) -> None:
    """Write all plans and pictures to `target`, while in use.

    The plans are those in `data_dir`, or in the database `named`: see `open_database`.
    StoreError when there is nothing to back up, `target` is something else than a backup, or is an
    older one that is not to be replaced. A
    picture that is damaged is left out and told by a StoreError once all else is backed up.
    """
    if damaged := write_backup(data_dir, target, named, replace=replace):
        raise StoreError(
            f"Backed up to {target}, but not these pictures, whose files are damaged: "
            f"{', '.join(damaged)}."
        )


def write_backup(
    data_dir: Path, target: Path, named: str = "", *, replace: bool = False
) -> tuple[str, ...]:
    """The same, but that the pictures left out are returned by their names."""
    live = database_path(data_dir)
    address = served_by(live, named)
    if not address and not live.is_file():
        raise StoreError(f"There are no plans in {data_dir} to back up. {ELSEWHERE}")
    if target.is_dir():
        raise StoreError(f"{target} is a folder; name a file in it for the backup.")
    if not target.parent.is_dir():
        raise StoreError(f"There is no folder {target.parent} to put the backup in.")
    if target.exists():
        if live.exists() and target.samefile(live):
            raise StoreError(f"{target} is where your plans are; name another file.")
        _refuse_foreign(target, "so it is not written over; name another file")
        if not replace:
            made = datetime.fromtimestamp(target.stat().st_mtime)
            raise StoreError(
                f"{target} is a backup of {made:%d %B %Y, %H:%M} already, and stays as it is. Name "
                "another file, or write over it with --replace."
            )
    fresh = target.with_name(f"{target.name}.new")
    try:
        if address:
            from webapp.store.copies import copy_served  # noqa: PLC0415  few have its driver

            copy_served(address, fresh)
        else:
            copy_database(live, fresh)
        # After the plans, so that every picture they show is there by now.
        try:
            damaged = _put_in(fresh, Photos(photos_folder(data_dir)))
            prove(fresh)
        except RefusedError:
            raise
        except StoreError as error:  # of a copy, and so of the plans
            cure = how_to_put_back(data_dir, named)
            raise StoreError(_NOT_SOUND.format(why=error.sentence, cure=cure)) from error
        put_in_place(fresh, target)
    except OSError as error:
        told = of_disk(error, target.parent, NOT_THIS_COPY) or _cannot(target, "written", error)
        raise told from error
    finally:
        with suppress(OSError):  # nothing can be taken away either
            fresh.unlink(missing_ok=True)
    return tuple(damaged)


def forget_unsent(data_dir: Path) -> None:
    """Take away the backups that a server made and was killed over before they were sent."""
    for folder in data_dir.glob(f"{UNSENT}*"):
        shutil.rmtree(folder, ignore_errors=True)


def restore(
    data_dir: Path,
    source: Path,
    now: Callable[[], datetime] = datetime.now,
    named: str = "",
    *,
    anyway: bool = False,
) -> Path | None:
    """Put the plans of a backup in place of those in `data_dir`, and its pictures beside them.

    The plans of a database that is `named` are replaced there; see `open_database`.
    Pictures that are there already are kept: those of the plans that are set aside may be theirs.
    Returns where the old ones are kept, dated by `now`; None when there were none. StoreError when
    `source` does not prove sound or Seamslate has the folder open; then nothing has changed. An
    episode in it that cannot be read is a reason, unless all is to be put back `anyway`.
    """
    live = database_path(data_dir)
    _refuse_source(source, data_dir, live)
    fresh = live.with_name(f"{live.name}.restored")
    pictures = live.with_name("photos.restored")
    try:
        make_folder(data_dir, _NOTHING, 0o700)
        copy_database(source, fresh)
        _prove_for(fresh)
        if not anyway:
            again = to_type(data_dir, "restore", "--anyway", str(source.absolute()), database=named)
            _refuse_unreadable(fresh, again)
        forget_asked(fresh)
        if not (address := served_by(live, named)):
            _go_on_after(fresh, _reached(live), now())
        move = partial(_move, _take_out(fresh, pictures), pictures, photos_folder(data_dir))
        if address:
            return _restore_served(address, live, fresh, now(), move)
        kept = _set_aside(live, now())
        move()
        put_in_place(fresh, live)
    except DamagedError as error:
        raise StoreError(f"{error.where} is damaged, so nothing was restored.") from error
    except RefusedError as error:
        raise type(error)(error.where, _NOTHING) from error
    except OSError as error:
        told = of_disk(error, data_dir, _NOTHING) or _cannot(source, "restored", error)
        raise told from error
    except sqlite3.Error as error:
        told = of_database(error, data_dir, _NOTHING)
        if not isinstance(told, RefusedError) or isinstance(told, DamagedError):
            told = _cannot(source, "restored", error)
        raise told from error
    finally:
        with suppress(OSError):
            fresh.unlink(missing_ok=True)
        shutil.rmtree(pictures, ignore_errors=True)
    return kept


def _refuse_source(source: Path, data_dir: Path, live: Path) -> None:
    """StoreError when that is no file of ours to restore from, or one of a newer version."""
    if not source.is_file():
        if not copies_in(data_dir):
            raise StoreError(
                f"There is no file {source} to restore from, and there are no copies in "
                f"{data_dir}. {ELSEWHERE}"
            )
        raise StoreError(
            f"There is no file {source} to restore from, nor a copy of that name. To list the "
            f"copies:\n{to_type(data_dir, 'copies')}"
        )
    if live.exists() and source.samefile(live):
        raise StoreError(f"{source} is where your plans are already; name a backup.")
    _refuse_foreign(source, "so nothing was restored")
    refuse_newer(source, stored_revision(source) or HEAD)


def _prove_for(fresh: Path) -> None:
    """StoreError, which says that nothing was restored, when what was to be is not sound."""
    try:
        prove(fresh)
    except RefusedError:
        raise
    except StoreError as error:
        raise StoreError(f"{error.sentence} So nothing was restored.") from error


def _refuse_unreadable(copy: Path, again: str) -> None:
    """StoreError when an episode of a copy that was proved cannot be read, deleted ones too.

    It is told what to type `again` to restore it all the same, where no page can do so.
    """
    with closing(sqlite3.connect(copy)) as connection:
        for title, document in connection.execute("SELECT title, document FROM episodes"):
            try:
                read(document)
            except StoreError as error:
                raise StoreError(
                    f"Nothing was restored, because of “{title}” in it. {error.sentence} To "
                    f"restore it with that episode as it is, close Seamslate and type:\n{again}"
                ) from error


def _cannot(what: Path, be: str, error: OSError | sqlite3.Error) -> StoreError:
    why = error.strerror if isinstance(error, OSError) else error
    return StoreError(f"{what} cannot be {be}: {why}.")


def _put_in(copy: Path, photos: Photos) -> list[str]:
    """Put all pictures into a copy of the database. Returns the names of those that are damaged."""
    damaged = []
    try:
        with closing(sqlite3.connect(copy)) as connection, connection:
            connection.execute(f"DROP TABLE IF EXISTS {PICTURES}")
            connection.execute(f"CREATE TABLE {PICTURES} (name TEXT PRIMARY KEY, content BLOB)")
            for name in photos.names():
                content = _read(photos.folder / name)
                if content is not None and is_sound(name, content):
                    connection.execute(f"INSERT INTO {PICTURES} VALUES (?, ?)", (name, content))
                else:
                    damaged.append(name)
    except sqlite3.Error as error:
        told = of_database(error, copy.parent, NOT_THIS_COPY)
        if isinstance(told, DamagedError):
            told = StoreError("The file that holds them is damaged.")
        elif not isinstance(told, RefusedError):
            told = StoreError(f"The pictures cannot be backed up: {error}.")
        raise told from error
    return damaged


def _read(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except OSError:
        return None


def _take_out(copy: Path, folder: Path) -> list[str]:
    """Take the pictures out of a copy that was proved, into a folder. Returns their names."""
    names = []
    with closing(sqlite3.connect(copy)) as connection:
        if not has_pictures(connection):
            return []
        for name, content in connection.execute(ALL_PICTURES):
            write_photo(folder, name, content)
            names.append(name)
        connection.execute(f"DROP TABLE {PICTURES}")
        connection.commit()
        connection.execute("VACUUM")
    return names


def _move(names: list[str], source: Path, folder: Path) -> None:
    if names:
        folder.mkdir(exist_ok=True)
    for name in names:
        (source / name).replace(folder / name)
    if names:
        sync_folder(folder)


def _go_on_after(copy: Path, reached: tuple[int, int], now: datetime) -> None:
    """Number the plans of a copy on after the edition and the revision that were reached.

    So no page that is open still, nor anything remembered, takes them for those of before. That it
    was put back is noted for those pages, but in a copy from before there was a table for it.
    """
    counted = "UPDATE episodes SET edition = max(edition, ? + 1), revision = max(revision, ? + 1)"
    noted = {"now": now.astimezone(UTC).strftime("%Y-%m-%d %H:%M:%S.%f")}
    with closing(sqlite3.connect(copy)) as connection, connection:
        connection.execute(counted, reached)
        names = {name for (name,) in connection.execute("SELECT name FROM sqlite_schema")}
        if reached > (0, 0) and SentRow.__tablename__ in names:
            for statement in NOTE_PUT_BACK:
                connection.execute(statement, noted)


def _reached(live: Path) -> tuple[int, int]:
    """The highest edition and revision there; a guess far beyond them where it cannot be read."""
    if not live.exists():
        return 0, 0
    try:
        with closing(
            sqlite3.connect(f"{live.absolute().as_uri()}?mode=ro", uri=True)
        ) as connection:
            asked = "SELECT max(edition), max(revision) FROM episodes"
            edition, revision = connection.execute(asked).fetchone()
            return int(edition or 0), int(revision or 0)
    except (sqlite3.Error, TypeError, ValueError):
        return _FAR_EDITION, int(time.time() * 1000)


def _refuse_foreign(path: Path, so: str) -> None:
    """StoreError unless `path` is a database of ours."""
    try:
        ours = stored_revision(path) is not None
    except DamagedError as error:
        raise StoreError(f"{path} is damaged, {so}.") from error
    except StoreError:
        ours = False
    if not ours:
        raise StoreError(f"{path} is not a Seamslate backup, {so}.")


def _restore_served(
    address: str, live: Path, fresh: Path, now: datetime, move: Callable[[], None]
) -> Path | None:
    from webapp.store.copies import replace_served  # noqa: PLC0415  few have its driver

    kept = dated_copy(live, "before-restore", now)
    return kept if replace_served(address, fresh, kept, move) else None


def _set_aside(live: Path, now: datetime) -> Path | None:
    """Copy the plans in use to a dated name; nothing of them is left that could be mixed in.

    A database that SQLite cannot open is kept byte for byte, with its log beside it; so is a log
    whose database is gone. None when there was no database.
    """
    logs = [_beside(live, ending) for ending in ("-wal", "-journal")]
    if not any(path.exists() for path in (live, *logs)):
        return None
    had_plans = live.exists()
    kept = dated_copy(live, "before-restore", now)
    names = [*(_beside(kept, log.name.removeprefix(live.name)) for log in logs), kept]
    parts = [_beside(name, ".part") for name in names]
    try:
        _copy_aside(live, parts[-1], list(zip(logs, parts, strict=False)))
        for part, name in zip(parts, names, strict=True):  # the plans last: then it is complete
            if part.exists():  # on the disk before what it was copied from is gone
                put_in_place(part, name)
    except BaseException:
        for path in (*parts, *names):
            path.unlink(missing_ok=True)
        raise
    for log in logs:  # or it would be mixed into what is put in its place
        log.unlink(missing_ok=True)
    _beside(live, "-shm").unlink(missing_ok=True)
    return kept if had_plans else None


def _copy_aside(live: Path, kept: Path, logs: list[tuple[Path, Path]]) -> None:
    """StoreError when Seamslate has the plans open."""
    # Before SQLite looks at them, since looking may tidy a log away.
    for path, copied in ((live, kept), *logs):
        if path.exists():
            shutil.copy2(path, copied)
    if not live.exists():
        return
    try:
        with closing(sqlite3.connect(live, timeout=1)) as connection:
            # Leaving WAL needs the file to itself, and empties the -wal file into it. What a server
            # that was just closed is still at ends in a moment.
            patiently(connection, "PRAGMA journal_mode=DELETE", 1.0)
    except sqlite3.DatabaseError as error:
        if error.sqlite_errorcode & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            raise InUseError(
                f"Seamslate has the plans in {live.parent} open. Close it, then restore."
            ) from error
    else:
        shutil.copy2(live, kept)
        for _, copied in logs:
            copied.unlink(missing_ok=True)


def _beside(path: Path, ending: str) -> Path:
    return path.with_name(path.name + ending)
