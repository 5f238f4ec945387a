"""All rows of a database as one SQLite file, and back: the same file whatever keeps the plans."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final

from sqlalchemy import (
    Connection,
    Engine,
    Integer,
    MetaData,
    Table,
    TableClause,
    column,
    delete,
    func,
    insert,
    select,
    table,
    text,
)
from sqlalchemy.exc import DBAPIError
from sqlmodel import SQLModel

import webapp.store.tables  # noqa: F401  fills the metadata
from webapp.errors import StoreError
from webapp.store.database import (
    copy_database,
    first_line,
    migrate,
    on_postgresql,
    reading,
    refuse_newer,
    sqlite_engine,
)
from webapp.store.postgresql import called, engine_at, stored_revision
from webapp.store.postgresql import migrate as migrate_served
from webapp.store.sent import NOTE_PUT_BACK

_AT_ONCE: Final = 50  # rows; a document may take a megabyte
_OF_ALEMBIC: Final = "alembic_version"
_REACHED: Final = text("SELECT coalesce(max(edition), 0), coalesce(max(revision), 0) FROM episodes")
_ON_AFTER: Final = text(
    "UPDATE episodes SET edition = greatest(edition, :edition + 1), "
    "revision = greatest(revision, :revision + 1)"
)


def write_copy(engine: Engine, target: Path) -> None:
    """Write all rows to a SQLite file, as they stand at one moment, while others go on.

    `target` appears when it is complete. StoreError when that cannot be done.
    """
    if not on_postgresql(engine):
        copy_database(Path(str(engine.url.database)), target)
        return
    rows = target.with_name(f"{target.name}.rows")
    try:
        with reading(engine).connect() as old:
            migrate(rows, str(old.scalar(text(f"SELECT version_num FROM {_OF_ALEMBIC}"))))
            with _sqlite(rows) as new:
                for one in _tables(new):
                    for some in _read(old, _plain(one)):
                        new.execute(insert(one), some)
        copy_database(rows, target)  # one file without a log beside it
    except (DBAPIError, OSError) as error:
        raise StoreError(f"The plans cannot be copied to {target}: {_why(error)}.") from error
    finally:
        for ending in ("", "-wal", "-shm"):
            rows.with_name(rows.name + ending).unlink(missing_ok=True)


def put_rows(file: Path, engine: Engine) -> None:
    """Put the rows of a SQLite file in place of those on a PostgreSQL server, all or nothing.

    Both are up to date. StoreError when that cannot be done.
    """
    try:
        with _sqlite(file) as old, engine.begin() as new:
            tables = _tables(old)
            reached = new.execute(_REACHED).one()
            for one in reversed(tables):
                new.execute(delete(_plain(one)))
            for one in tables:
                for some in _read(old, one):
                    new.execute(insert(_plain(one)), [_fit(row) for row in some])
                _count_on(new, one)
            # No page that is open still takes these plans for those of before.
            new.execute(_ON_AFTER, {"edition": reached[0], "revision": reached[1]})
            if reached[0]:
                noted = {"now": datetime.now(UTC).replace(tzinfo=None)}  # as `UtcTime` has it
                for statement in NOTE_PUT_BACK:
                    new.execute(text(statement), noted)
    except DBAPIError as error:
        raise StoreError(f"The plans cannot be restored: {_why(error)}.") from error


def copy_served(address: str, target: Path) -> None:
    """Copy the database at `address` as it stands. StoreError when there is nothing in it."""
    engine = engine_at(address)
    try:
        found = stored_revision(engine)
        if found is None:
            raise StoreError(f"There are no plans in {called(engine, 'the')} to back up.")
        refuse_newer(called(engine), found)
        write_copy(engine, target)
    finally:
        engine.dispose()


def replace_served(address: str, file: Path, kept: Path, ready: Callable[[], None]) -> bool:
    """Put the rows of a sound copy in place of those at `address`, which are copied to `kept`.

    `ready` is called before anything is replaced. Returns whether there was anything to keep.
    StoreError when a Seamslate has the database open; then nothing has changed.
    """
    migrate(file)
    engine = engine_at(address, alone=True)
    try:
        found = stored_revision(engine)
        if found is not None:
            refuse_newer(called(engine), found)
            write_copy(engine, kept)
        migrate_served(engine)
        ready()
        put_rows(file, engine)
    finally:
        engine.dispose()
    return found is not None


@contextmanager
def _sqlite(path: Path) -> Iterator[Connection]:
    engine = sqlite_engine(path, foreign_keys=False)  # rows are put in before what they refer to
    try:
        with engine.begin() as connection:
            yield connection
    finally:
        engine.dispose()


def _tables(connection: Connection) -> list[Table]:
    """Ours, as they are in a SQLite file, those that others refer to first."""
    found = MetaData()
    found.reflect(connection)
    return [one for one in found.sorted_tables if one.name in SQLModel.metadata.tables]


def _plain(one: Table) -> TableClause:
    """The table without SQLite's types: PostgreSQL's driver gives and takes Python's values."""
    return table(one.name, *(column(each.name) for each in one.columns))


def _read(connection: Connection, source: TableClause) -> Iterator[list[dict[str, Any]]]:
    """All rows, some at a time."""
    found = connection.execution_options(yield_per=_AT_ONCE).execute(select(source))
    for rows in found.mappings().partitions():
        yield [dict(row) for row in rows]


def _fit(row: dict[str, Any]) -> dict[str, Any]:
    """Without what PostgreSQL cannot hold; see `tables.Words`."""
    return {
        name: value.replace("\0", "\ufffd") if isinstance(value, str) else value
        for name, value in row.items()
    }


def _count_on(connection: Connection, one: Table) -> None:
    """Numbers that the server gives out go on after those that were put in."""
    for key in one.primary_key:
        if isinstance(key.type, Integer):
            last = connection.scalar(select(func.max(column(key.name))).select_from(_plain(one)))
            counter = func.pg_get_serial_sequence(one.name, key.name)
            connection.execute(select(func.setval(counter, (last or 0) + 1, False)))


def _why(error: DBAPIError | OSError) -> str:
    return first_line(error) if isinstance(error, DBAPIError) else str(error.strerror)
