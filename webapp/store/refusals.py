"""What the disk or the database refuses, as one of the `RefusedError`s: by its code, not its text.

Outside: SQLite's list of result codes, the errno of POSIX, PostgreSQL's list of SQLSTATEs.
"""

import errno
import logging
import os
import shutil
import sqlite3
from pathlib import Path
from typing import Any, Final

from sqlalchemy.exc import DBAPIError

from webapp.errors import (
    BusyError,
    DamagedError,
    DiskFaultError,
    DiskFullError,
    FolderGoneError,
    ReadOnlyError,
    RefusedError,
    ServerAwayError,
    StoreError,
)
from webapp.log import is_written

_DAMAGED_WITHIN: Final = (
    "Something in {where} is damaged: it is not what was written. Nothing was changed. See "
    "Seamslate's page “Copies” for what can be put back."
)
_UNKNOWN: Final = (
    "The plans in {where} cannot be read or saved, for a reason that Seamslate does not know. "
    "Nothing was changed. Try once more{more}."
)
_IN_THE_LOG: Final = "; if it fails again, the log says more"
_NO_LOG: Final = ". What the database says: {said}"
_IN_THE_WAY: Final = (
    "The folder {folder} cannot be made, since {file} is a file. Move that away, or name another "
    "folder with --data."
)
NOT_THIS_COPY: Final = "this copy was not made"
_NO_ROOM: Final = 1024**2  # bytes: with less than this free, a disk counts as full

_log: Final = logging.getLogger(__name__)

# By the primary code, which is the lowest byte (SQLite, "Result and Error Codes").
_BY_CODE: Final[dict[int, type[RefusedError]]] = {
    sqlite3.SQLITE_FULL: DiskFullError,
    sqlite3.SQLITE_READONLY: ReadOnlyError,
    sqlite3.SQLITE_PERM: ReadOnlyError,
    sqlite3.SQLITE_BUSY: BusyError,
    sqlite3.SQLITE_LOCKED: BusyError,
    sqlite3.SQLITE_PROTOCOL: BusyError,  # a lock that was tried for too often
    sqlite3.SQLITE_CORRUPT: DamagedError,
    sqlite3.SQLITE_NOTADB: DamagedError,
    sqlite3.SQLITE_FORMAT: DamagedError,
}
# What says only that a file could not be opened, read or written: the folder says why.
_ASK_THE_FOLDER: Final = frozenset({sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_IOERR})

_BY_ERRNO: Final[dict[int, type[RefusedError]]] = {
    errno.ENOSPC: DiskFullError,
    errno.EDQUOT: DiskFullError,  # no room is left of what this person may use
    errno.EFBIG: DiskFullError,
    errno.EROFS: ReadOnlyError,
    errno.EACCES: ReadOnlyError,
    errno.EPERM: ReadOnlyError,
    errno.EIO: DiskFaultError,
    errno.ESTALE: FolderGoneError,  # a folder of another computer
    errno.ENODEV: FolderGoneError,
    errno.ENXIO: FolderGoneError,
    errno.ENOTCONN: FolderGoneError,
}

# By SQLSTATE or its class (PostgreSQL, appendix A).
_BY_STATE: Final[dict[str, type[RefusedError]]] = {
    "08": ServerAwayError,  # the connection failed
    "57P": ServerAwayError,  # the server stops, or is starting
    "53300": BusyError,  # too many connections
    "53100": DiskFullError,
    "25006": ReadOnlyError,
    "40": BusyError,  # taken back because of another transaction
    "55P03": BusyError,  # a lock that is not free
    "57014": BusyError,  # a statement that took too long
    "XX001": DamagedError,
    "XX002": DamagedError,
}


def of_database(error: DBAPIError | sqlite3.Error, where: Path | str, lost: str = "") -> StoreError:
    """What a database said, in our words; `where` is its file, or the name of its server.

    A StoreError where it is none of what a disk or a server does; what was said is in the log, or
    in its words where none is written.
    """
    raw = error.orig if isinstance(error, DBAPIError) else error
    if isinstance(raw, sqlite3.Error):
        kind = _kind_of_sqlite(raw, Path(where))
    else:
        kind = _kind_of_server(raw, is_gone=getattr(error, "connection_invalidated", False))
    if kind is not None:
        return kind(where, lost)
    if isinstance(raw, sqlite3.OperationalError) and not hasattr(raw, "sqlite_errorcode"):
        return damaged_within(where)  # the driver's own: no text in UTF-8
    _log.warning("The database refused, and Seamslate does not know why.", exc_info=error)
    said = str(raw).partition("\n")[0].rstrip(".")
    more = _IN_THE_LOG if is_written() else _NO_LOG.format(said=said)
    return StoreError(_UNKNOWN.format(where=where, more=more))


def damaged_within(where: Path | str) -> StoreError:
    """Something that is kept there is not what it should be, as a date that is none."""
    return StoreError(_DAMAGED_WITHIN.format(where=where))


def make_folder(folder: Path, lost: str = "", mode: int = 0o777, *, parents: bool = True) -> None:
    """Make a folder, and its `parents`, if it is not there. StoreError when it cannot be made.

    Without `parents` FolderGoneError where it is to be in one that is not there: what was moved
    away or pulled out is not made anew, or it could not be put back in its place.
    """
    try:
        folder.mkdir(mode=mode, parents=parents, exist_ok=True)
    except OSError as error:
        in_the_way = next((one for one in (folder, *folder.parents) if one.is_file()), None)
        told = _IN_THE_WAY.format(folder=folder, file=in_the_way)
        if in_the_way is None:
            told = f"The folder {folder} cannot be made: {error.strerror}."
        raise of_disk(error, folder, lost) or StoreError(told) from error


def of_disk(error: OSError, where: Path, lost: str = "") -> RefusedError | None:
    """What the system said of a file, in our words; None where it is nothing of the disk."""
    if error.errno == errno.ENOENT and not _folder(where).is_dir():
        return FolderGoneError(_folder(where), lost)
    kind = _BY_ERRNO.get(error.errno or 0)
    return kind(where, lost) if kind else None


def _kind_of_sqlite(error: sqlite3.Error, path: Path) -> type[RefusedError] | None:
    code = getattr(error, "sqlite_errorcode", None)  # none of what the driver itself refuses
    if code is None:
        return None
    if code == sqlite3.SQLITE_READONLY_DBMOVED:
        return FolderGoneError
    if code & 0xFF in _ASK_THE_FOLDER:
        return _told_by_the_folder(path)
    return _BY_CODE.get(code & 0xFF)


def _told_by_the_folder(path: Path) -> type[RefusedError]:
    folder = _folder(path)
    try:
        if not folder.is_dir() or not path.exists():
            return FolderGoneError
        if shutil.disk_usage(folder).free < _NO_ROOM:
            return DiskFullError
    except OSError:
        return DiskFaultError
    may_write = os.access(folder, os.W_OK) and os.access(path, os.W_OK)
    return DiskFaultError if may_write else ReadOnlyError


def _folder(path: Path) -> Path:
    return path if path.is_dir() else path.parent


def _kind_of_server(error: Any, *, is_gone: bool) -> type[RefusedError] | None:
    state = getattr(error, "sqlstate", None)
    if state is None:  # what never reached the server has no state
        never_there = is_gone or type(error).__name__ == "OperationalError"
        return ServerAwayError if never_there else None
    for length in (5, 3, 2):
        if kind := _BY_STATE.get(state[:length]):
            return kind
    return ServerAwayError if is_gone else None
