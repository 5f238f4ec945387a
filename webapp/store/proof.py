"""Whether a copy of the plans is sound, before it is trusted: it may come from anywhere."""

import sqlite3
from contextlib import closing
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Column, Date, DateTime, Integer, LargeBinary, create_engine
from sqlmodel import SQLModel

import webapp.store.tables  # noqa: F401  fills the metadata
from webapp.errors import DamagedError, StoreError
from webapp.store.database import HEAD, migration_config, refuse_newer, stored_revision
from webapp.store.photos import is_sound

_NOT_ALL: Final = "The copy is damaged: not all of it can be read."
PICTURES: Final = "kept_photos"  # the table of a backup that holds them
ALL_PICTURES: Final = f"SELECT name, content FROM {PICTURES}"
_COLUMNS: Final = (
    "SELECT one.name, each.name, each.hidden FROM sqlite_schema AS one, "
    "pragma_table_xinfo(one.name) AS each WHERE one.type = 'table'"
)
# A view, a trigger or a virtual table acts by itself whenever the plans are read or saved.
_ACTING: Final = (
    "SELECT type, name FROM sqlite_schema WHERE type NOT IN ('table', 'index') "
    "OR sql LIKE 'CREATE VIRTUAL%'"
)


def prove(copy: Path) -> None:
    """StoreError unless `copy` is a sound database of ours that this Seamslate can read.

    Every picture in it must be what the hash in its name was made of.
    """
    try:
        revision = stored_revision(copy)
    except DamagedError as error:
        raise StoreError(_NOT_ALL) from error
    if revision is None:
        raise StoreError(f"{copy.name} holds no plans.")
    refuse_newer(copy, revision)
    try:
        with closing(sqlite3.connect(copy)) as connection:
            connection.execute("PRAGMA trusted_schema=OFF")
            _refuse_strange(connection, revision)  # before any of it is read
            found = [str(word) for (word,) in connection.execute("PRAGMA integrity_check")]
            strays = connection.execute("PRAGMA foreign_key_check").fetchall()
            pictures = connection.execute(ALL_PICTURES) if has_pictures(connection) else ()
            broken = [str(name) for name, content in pictures if not _is_picture(name, content)]
            # SQLite looks at how a file hangs together, not at what is written in it.
            asked = "SELECT title FROM episodes WHERE NOT json_valid(document)"
            spoilt = [str(title) for (title,) in connection.execute(asked)]
            misfits = _misfits(connection)
    except sqlite3.Error as error:
        raise StoreError(_NOT_ALL) from error
    if found != ["ok"]:
        raise StoreError(_NOT_ALL)
    if strays:
        raise StoreError("The copy is damaged: some of it is lost.")
    if broken:
        raise StoreError(f"The copy is damaged: the picture {broken[0]} is not what it was.")
    if spoilt:
        raise StoreError(f"The copy is damaged: the episode “{spoilt[0]}” is not what it was.")
    if misfits:
        raise StoreError(f"The copy is damaged: {misfits[0]} is not what it was.")


def has_pictures(connection: sqlite3.Connection) -> bool:
    """Whether there is a table of pictures. What only looks like one, such as a view, is none."""
    found = "SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = ? AND sql LIKE ?"
    return connection.execute(found, (PICTURES, "CREATE TABLE %")).fetchone() is not None


def _is_picture(name: object, content: object) -> bool:
    return isinstance(name, str) and isinstance(content, bytes) and is_sound(name, content)


def _refuse_strange(connection: sqlite3.Connection, revision: str) -> None:
    """StoreError when its tables are not as that migration leaves them."""
    if acting := connection.execute(_ACTING).fetchone():
        kind, name = acting
        raise StoreError(f"The copy holds what Seamslate never put there: the {kind} “{name}”.")
    found = set(connection.execute(_COLUMNS).fetchall())
    ours = _columns_at(revision)
    tables = {table for table, *_ in ours}  # what else there is lies there and does nothing
    if strange := (ours - found) | {one for one in found - ours if one[0] in tables}:
        table, column, _ = min(strange)
        raise StoreError(f"The copy is damaged: {column} of {table} is not what it was.")


@lru_cache
def _columns_at(revision: str) -> frozenset[tuple[Any, ...]]:
    """Table, name and kind of every column that there is then."""
    engine = create_engine("sqlite://")
    try:
        with engine.begin() as connection:
            if revision == HEAD:  # a test compares both; this needs no Alembic
                SQLModel.metadata.create_all(connection)
            else:
                from alembic import command  # noqa: PLC0415  slow, and rarely needed

                command.upgrade(migration_config(connection), revision)
            found = connection.exec_driver_sql(_COLUMNS)
            return frozenset(tuple(row) for row in found if row[0] != "alembic_version")
    finally:
        engine.dispose()


def _misfits(connection: sqlite3.Connection) -> list[str]:
    """The columns with a value that is not of their kind, which SQLite takes and no page could."""
    there = {(table, column) for table, column, _ in connection.execute(_COLUMNS)}
    found = []
    for table in SQLModel.metadata.sorted_tables:
        for column in (one for one in table.columns if (table.name, one.name) in there):
            asked = f'SELECT 1 FROM "{table.name}" WHERE {_is_misfit(column)} LIMIT 1'
            if connection.execute(asked).fetchone():
                found.append(f"{column.name} of {table.name}")
    return found


def _is_misfit(column: Column[Any]) -> str:
    name, kind = f'"{column.name}"', getattr(column.type, "impl", column.type)
    if isinstance(kind, Date | DateTime):
        day = f"substr({name}, 1, 10)"
        wrong = (
            f"typeof({name}) <> 'text' OR date({name}, '+0 days') IS NOT {day} OR {day} < '0001'"
        )
    elif isinstance(kind, LargeBinary):
        wrong = f"typeof({name}) <> 'blob'"
    elif isinstance(kind, Integer) or column.type.python_type is bool:
        wrong = f"typeof({name}) <> 'integer'"
    else:
        wrong = f"typeof({name}) <> 'text'"
    return f"{name} IS NOT NULL AND ({wrong})" if column.nullable else wrong
