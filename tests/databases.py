"""Tests on either database. On PostgreSQL every data folder gets a schema of its own.

`SEAMSLATE_TEST_POSTGRESQL` is the address of a server where databases may be made; `.ci/run` starts
one. The fixture `database` then runs a module's tests on both; `--on-postgresql` runs all there.
"""

import hashlib
import os
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any, Final

import pytest
from sqlalchemy import Connection, Engine, create_engine, event, make_url, text

from webapp.store import backup, copies, database, postgresql
from webapp.store.database import DATABASE_NAME, sqlite_engine

VARIABLE: Final = "SEAMSLATE_TEST_POSTGRESQL"
_MIGRATES: Final = ("CREATE", "ALTER", "INSERT", "UPDATE", "DROP")


class Server:
    """A database of this process on the server, where folders have their schemas."""

    def __init__(self, address: str) -> None:
        self._server = create_engine(
            make_url(address).set(drivername="postgresql+psycopg"), isolation_level="AUTOCOMMIT"
        )
        self._name = f"seamslate_{os.getpid()}"
        with self._server.connect() as connection:
            connection.execute(text(f"DROP DATABASE IF EXISTS {self._name} WITH (FORCE)"))
            connection.execute(text(f"CREATE DATABASE {self._name} TEMPLATE template0"))
        self._here = create_engine(
            self._server.url.set(database=self._name),
            isolation_level="AUTOCOMMIT",
            pool_pre_ping=True,
        )
        self._schemas: set[str] = set()
        self._engines: list[Engine] = []
        self._migrations = ""

    def close(self) -> None:
        """Take the database away."""
        self._here.dispose()
        with self._server.connect() as connection:
            connection.execute(text(f"DROP DATABASE {self._name} WITH (FORCE)"))
        self._server.dispose()

    def address(self, path: Path) -> str:
        """Where the plans are that are in the file `path` on SQLite."""
        schema = f"d{hashlib.sha256(str(path.resolve()).encode()).hexdigest()[:20]}"
        if schema not in self._schemas:
            with self._here.connect() as connection:
                connection.execute(text(f"CREATE SCHEMA {schema}"))
            self._schemas.add(schema)
        url = self._here.url.set(drivername="postgresql")
        url = url.update_query_dict({"options": f"-csearch_path={schema}"})
        return url.render_as_string(hide_password=False)

    def engine_at(self, address: str, *, alone: bool = False, among: int = 1) -> Engine:
        """An engine that is disposed of at the latest when the schemas are dropped.

        A test may leave one open, as it may leave a file; psycopg would warn of it much later.
        """
        made = _ENGINE_AT(address, alone=alone, among=among)
        self._engines.append(made)
        return made

    def forget(self) -> None:
        """Drop the schemas of the folders so far."""
        while self._engines:
            self._engines.pop().dispose()
        if self._schemas:
            with self._here.connect() as connection:
                connection.execute(text("SET lock_timeout = '5s'"))
                connection.execute(text(f"DROP SCHEMA {', '.join(self._schemas)} CASCADE"))
        self._schemas.clear()

    def migrate(self, engine: Engine) -> None:
        """What the migrations do to an empty database, done again from their statements."""
        if postgresql.stored_revision(engine) is not None:
            really_migrate(engine)
        elif not self._migrations:
            with _statements(engine) as said:
                really_migrate(engine)
            self._migrations = ";".join(said)
        else:
            with engine.begin() as connection:
                connection.exec_driver_sql(self._migrations)


_ENGINE_AT: Final = postgresql.engine_at
really_migrate: Final = postgresql.migrate


@contextmanager
def _statements(engine: Engine) -> Iterator[list[str]]:
    said: list[str] = []

    def hear(_connection: Connection, _cursor: Any, statement: str, *_: Any) -> None:
        if statement.strip().upper().startswith(_MIGRATES):
            said.append(statement.strip())

    event.listen(engine, "before_cursor_execute", hear)
    yield said
    event.remove(engine, "before_cursor_execute", hear)


@cache
def server() -> Server | None:
    """This process's database on the server that is named, None when none is."""
    address = os.environ.get(VARIABLE)
    return Server(address) if address else None


@contextmanager
def on_postgresql() -> Iterator[None]:
    """Whatever is opened meanwhile is on PostgreSQL."""
    here = server()
    assert here is not None

    def served_by(path: Path, named: str) -> str:
        return named or here.address(path)

    with pytest.MonkeyPatch.context() as patched:
        for module in (database, backup):
            patched.setattr(module, "served_by", served_by)
        patched.setattr(postgresql, "migrate", here.migrate)
        patched.setattr(copies, "migrate_served", here.migrate)
        for module in (postgresql, copies):
            patched.setattr(module, "engine_at", here.engine_at)
        yield
    here.forget()


def sql(path: Path, statement: str, **values: object) -> list[tuple[Any, ...]]:
    """Run a statement past the store, in the database at `path`: a folder or SQLite's file."""
    file = path / DATABASE_NAME if path.is_dir() else path
    address = database.served_by(file, "")
    engine = postgresql.engine_at(address) if address else sqlite_engine(file, foreign_keys=False)
    try:
        with engine.begin() as connection:
            found = connection.execute(text(statement), values)
            return [tuple(row) for row in found] if found.returns_rows else []
    finally:
        engine.dispose()


def environment(folder: Path) -> dict[str, str]:
    """The environment of a program that is to open the database of that data folder."""
    address = database.served_by(folder / DATABASE_NAME, "")
    return {**os.environ, "SEAMSLATE_DATABASE": address} if address else dict(os.environ)
