"""Opening the database, brought up to date by Alembic's migrations.

It is SQLite with full sync, a file in the data folder, unless another is named: `postgresql`.
"""

import secrets
import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, nullcontext, suppress
from datetime import datetime
from pathlib import Path
from time import monotonic, sleep
from typing import Any, Final

from sqlalchemy import URL, Connection, Engine, create_engine, event, text
from sqlalchemy.exc import DBAPIError
from sqlmodel import Session

from webapp.errors import (
    NOT_THIS_CHANGE,
    DamagedError,
    FolderGoneError,
    RefusedError,
    StoreError,
)
from webapp.store.in_place import put_in_place
from webapp.store.refusals import NOT_THIS_COPY, make_folder, of_database, of_disk

DATABASE_NAME: Final = "seamslate.db"
COPIES: Final = "copies"  # the folder of them, beside the database
MIGRATIONS: Final = Path(__file__).parent / "migrations"
# The newest migration, written here so that a start needs no Alembic; a test compares them.
HEAD: Final = "0007"

_FILE: Final = "file"  # of a connection: the identity of what it writes to
_TURN_S: Final = 5.0  # as long as SQLite waits for other processes
_turns: Final = threading.RLock()
_READS_ONLY: Final = "postgresql_readonly"  # an engine's option

# What was answered as saved survives a crash: WAL with full sync (SQLite, "PRAGMA synchronous").
_PRAGMAS: Final = {
    "busy_timeout": "5000",  # ms
    "journal_mode": "WAL",
    "synchronous": "FULL",
    "foreign_keys": "ON",
    "trusted_schema": "OFF",  # a restored file's schema is not trusted to call functions
}


def database_path(data_dir: Path) -> Path:
    """The database inside the data folder."""
    return data_dir / DATABASE_NAME


def served_by(path: Path, named: str) -> str:  # noqa: ARG001 - tests give each folder its own
    """The address of the server that keeps the plans; empty when they are in the file `path`."""
    return named


def open_database(
    path: Path,
    now: Callable[[], datetime] = datetime.now,
    *,
    named: str = "",
    alone: bool = False,
    among: int = 1,
) -> Engine:
    """An engine on the database at `path`, or that `named`, made or brought up to date first.

    A database that is behind is copied first (`dated_copy`), then migrated.
    One that is on a server is refused to all others that would have it `alone`, as serving and
    restoring do; SQLite keeps them apart itself. There, one `among` so many processes of a server
    takes its part of the connections. StoreError when it is no database of ours, is newer, or
    cannot be opened.
    """
    make_folder(path.parent, mode=0o700)  # for nobody else to read
    if address := served_by(path, named):
        from webapp.store import postgresql  # noqa: PLC0415  few have its driver

        return postgresql.open_database(address, path, now, alone=alone, among=among)
    found = stored_revision(path)
    if found != HEAD:
        copied = None
        if found is not None:
            refuse_newer(path, found)
            copied = dated_copy(path, "before-update", now())
            copy_database(path, copied)
        with without_copy_if_it_fails(copied):
            migrate(path)
    return sqlite_engine(path, foreign_keys=True)


@contextmanager
def without_copy_if_it_fails(copied: Path | None) -> Iterator[None]:
    """Take the copy before an update away when the update fails: the plans are as they were then,
    and whoever tries again and again would fill the disk with copies."""
    try:
        yield
    except BaseException:
        if copied is not None:
            copied.unlink(missing_ok=True)
        raise


def on_postgresql(engine: Engine) -> bool:
    """Whether the plans are on a PostgreSQL server."""
    return engine.dialect.name == "postgresql"


def reading(engine: Engine) -> Engine:
    """The engine, its transactions reading one state of everything and writing nothing."""
    if not on_postgresql(engine):
        return engine  # SQLite reads one state in any transaction
    return engine.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)


def writing(engine: Engine) -> Engine:
    """The engine, its transactions kept from crossing each other.

    On SQLite each takes the one lock for writing before it reads. On PostgreSQL each takes the rows
    that it reads to change (`with_for_update`, which SQLAlchemy leaves out on SQLite).
    """
    return engine if on_postgresql(engine) else engine.execution_options(begin="IMMEDIATE")


def one_at_a_time(session: Session) -> None:
    """Let no other transaction pass here until this one has ended.

    For what looks whether an id or a name is free, which no row is there to be locked for.
    """
    if session.get_bind().dialect.name == "postgresql":
        session.connection().execute(
            text("SELECT pg_advisory_xact_lock(8765002, hashtext(current_schema()))")
        )


@contextmanager
def transaction(engine: Engine) -> Iterator[Session]:
    """One transaction, all or nothing. What the database refuses becomes a StoreError.

    Once it has ended without one, what it wrote is on the disk.
    """
    options, path = engine.get_execution_options(), engine.url.database or ""
    is_file = engine.dialect.name == "sqlite"
    writes = options.get("begin") == "IMMEDIATE" if is_file else not options.get(_READS_ONLY)
    lost = NOT_THIS_CHANGE if writes else ""
    in_turn = _in_turn() if is_file and writes else nullcontext()
    try:
        with in_turn, Session(engine) as session, session.begin():
            yield session
            if is_file and writes:
                _refuse_moved(session.connection(), Path(path))
    except (DBAPIError, sqlite3.Error) as error:
        where = path if is_file else "/".join(filter(None, (engine.url.host, path)))
        raise of_database(error, where, lost) from error


@contextmanager
def _in_turn() -> Iterator[None]:
    """Wait for the others of this process that write; after a while, beside them.

    SQLite lets those who wait try by chance, so that one of many may wait for ever.
    """
    has_turn = _turns.acquire(timeout=_TURN_S)
    try:
        yield
    finally:
        if has_turn:
            _turns.release()


def _refuse_moved(connection: Connection, path: Path) -> None:
    """FolderGoneError when `path` is not the file any more that the connection writes to.

    A file that was deleted or moved away is written to as if nothing had happened (POSIX, unlink).
    The next connection is made anew: by then the folder may be back.
    """
    if _identity(path) != connection.info.get(_FILE):
        connection.invalidate()
        connection.engine.dispose()
        raise FolderGoneError(path.parent, NOT_THIS_CHANGE)


def _identity(path: Path) -> tuple[int, int] | None:
    """What is the same of a file for as long as it is the same one."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def first_line(error: DBAPIError) -> str:
    """What the database says, without its explanations."""
    return str(error.orig).strip().partition("\n")[0].rstrip(".")


def refuse_damaged(path: Path) -> None:
    """DamagedError when a look at every page of the file finds one that SQLite did not write so.

    0.1 s for a thousand episodes. What else may be wrong with it is told when it is opened.
    """
    if not path.is_file():
        return
    try:
        readable = f"{path.absolute().as_uri()}?mode=ro"
        with closing(sqlite3.connect(readable, uri=True)) as connection:
            found = connection.execute("PRAGMA quick_check(1)").fetchone()
    except sqlite3.Error as error:
        refused = of_database(error, path)
        is_other = error.sqlite_errorcode == sqlite3.SQLITE_NOTADB
        if isinstance(refused, DamagedError) and not is_other:
            raise refused from error
        return
    if found != ("ok",):
        raise DamagedError(path)


def stored_revision(path: Path) -> str | None:
    """The migration the database stands at, None when it is empty. StoreError if not ours."""
    if not path.exists():
        return None
    try:
        with closing(sqlite3.connect(path, timeout=5)) as connection:
            # What is no plain table, such as a view, may go on for ever when it is read.
            schema = "SELECT name, sql LIKE 'CREATE TABLE %' FROM sqlite_schema"
            found = connection.execute(schema).fetchall()
            if not found:
                return None
            rows: list[tuple[str]] = []
            if {"alembic_version", "episodes"} <= {name for name, is_table in found if is_table}:
                rows = connection.execute("SELECT version_num FROM alembic_version").fetchall()
    except sqlite3.Error as error:
        refused = of_database(error, path)
        if not isinstance(refused, RefusedError) or error.sqlite_errorcode == sqlite3.SQLITE_NOTADB:
            refused = StoreError(
                f"{path} cannot be read as plans: it is damaged, or another program wrote it."
            )
        raise refused from error
    if not rows:
        raise StoreError(f"{path} is a database, but not one of Seamslate's.")
    return rows[0][0]


def refuse_newer(path: Path | str, revision: str) -> None:
    """StoreError when no migration here is called `revision`: that of `path`, as it is called."""
    if revision == HEAD:
        return
    from alembic.script import ScriptDirectory  # noqa: PLC0415  slow, and rarely needed

    known = {script.revision for script in ScriptDirectory(str(MIGRATIONS)).walk_revisions()}
    if revision not in known:
        raise StoreError(
            f"{path} was written by a newer Seamslate (database version {revision}; "
            f"this one reads up to {HEAD}). Update Seamslate to open it."
        )


def copy_database(source: Path, target: Path) -> None:
    """Copy a database, open or not, by SQLite's online backup; `target` appears when complete."""
    # Of its own, since another server on the folder may make the same copy just now.
    part = target.with_name(f"{target.name}.{secrets.token_hex(4)}.part")
    try:
        with (
            closing(sqlite3.connect(f"{source.absolute().as_uri()}?mode=ro", uri=True)) as old,
            closing(sqlite3.connect(part)) as new,
        ):
            old.backup(new)
            new.execute("PRAGMA journal_mode=DELETE")  # one file, readable from anywhere
        put_in_place(part, target)
    except (sqlite3.Error, OSError) as error:
        with suppress(OSError):  # nothing can be taken away either
            part.unlink(missing_ok=True)
        raise _not_copied(error, source, target) from error


def _not_copied(error: sqlite3.Error | OSError, source: Path, target: Path) -> StoreError:
    if not target.parent.is_dir():
        return StoreError(
            f"{source} cannot be copied to {target}: there is no folder {target.parent}."
        )
    refused: StoreError | None
    if not source.exists():
        refused = FolderGoneError(source.parent, NOT_THIS_COPY)
    elif isinstance(error, OSError):
        refused = of_disk(error, target.parent, NOT_THIS_COPY)
    else:
        is_damaged = isinstance(of_database(error, source), DamagedError)
        refused = of_database(error, source if is_damaged else target.parent, NOT_THIS_COPY)
    if isinstance(refused, RefusedError):
        return refused
    return StoreError(f"{source} cannot be copied to {target}: {error}.")


def dated_copy(path: Path, why: str, now: datetime) -> Path:
    """A free name among the copies beside `path`: seamslate-before-update-2026-05-01-093000.db.

    FolderGoneError when the folder that `path` is in is not there (any more).
    """
    folder = path.parent / COPIES
    make_folder(folder, NOT_THIS_COPY, parents=False)
    stem = f"{path.stem}-{why}-{now:%Y-%m-%d-%H%M%S}"
    dated, number = folder / f"{stem}{path.suffix}", 2
    while dated.exists():
        dated, number = folder / f"{stem}-{number}{path.suffix}", number + 1
    return dated


def migrate(path: Path, to: str = "head") -> None:
    """Run the missing migrations in one transaction; two starts at once wait for each other."""
    from alembic import command  # noqa: PLC0415  slow, and rarely needed

    # Off, because making a table anew would delete what refers to it (SQLite, "ALTER TABLE").
    engine = sqlite_engine(path, foreign_keys=False)
    try:
        with engine.execution_options(begin="IMMEDIATE").begin() as connection:
            command.upgrade(migration_config(connection), to)
    except DBAPIError as error:
        refused = of_database(error, path)
        if not isinstance(refused, RefusedError):
            refused = StoreError(f"{path} cannot be brought up to date: {error.orig}.")
        raise refused from error
    finally:
        engine.dispose()


def migration_config(connection: Connection) -> Any:
    """Alembic's configuration for our migrations on this connection."""
    from alembic.config import Config  # noqa: PLC0415  slow, and rarely needed

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


def patiently(connection: Any, statement: str, most_s: float = 5.0) -> None:
    """Run `statement`, waiting for other connections up to `most_s`.

    Turning WAL on or off beside another is refused at once, whatever the busy timeout: SQLite
    asks no busy handler where waiting could lock both up (SQLite, "sqlite3_busy_handler").
    """
    patience = monotonic() + most_s
    while True:
        try:
            connection.execute(statement)
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode != sqlite3.SQLITE_BUSY or monotonic() > patience:
                raise
        sleep(0.02)


def _connected(path: Path, *, makes: bool) -> sqlite3.Connection:
    """A connection; only what `makes` the database may find none: a start with no plans is no
    answer to a disk that was pulled out."""
    address = f"{path.absolute().as_uri()}?mode={'rwc' if makes else 'rw'}"
    return sqlite3.connect(address, uri=True, check_same_thread=False)


def sqlite_engine(path: Path, *, foreign_keys: bool) -> Engine:
    """An engine whose transactions begin as the option `begin` says: DEFERRED or IMMEDIATE."""
    url = URL.create("sqlite", database=str(path))
    engine = create_engine(url, creator=lambda: _connected(path, makes=not foreign_keys))
    pragmas = _PRAGMAS | {"foreign_keys": "ON" if foreign_keys else "OFF"}

    def set_up(connection: Any, record: Any) -> None:
        connection.isolation_level = (
            None  # the driver begins nothing (SQLAlchemy's advice for SQLite)
        )
        for name, value in pragmas.items():
            patiently(connection, f"PRAGMA {name}={value}")
        record.info[_FILE] = _identity(path)

    def begin(connection: Connection) -> None:
        how = connection.get_execution_options().get("begin", "DEFERRED")
        connection.exec_driver_sql(f"BEGIN {how}")

    event.listen(engine, "connect", set_up)
    event.listen(engine, "begin", begin)
    return engine
