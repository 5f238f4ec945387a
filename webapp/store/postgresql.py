"""Plans on a PostgreSQL server, for a team. Its driver is imported when first used."""

import re
import shlex
import sys
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from threading import Lock
from typing import Any, Final

from sqlalchemy import URL, Connection, Engine, NullPool, create_engine, event, make_url, text
from sqlalchemy.exc import ArgumentError, DBAPIError

from webapp.errors import NamedDatabaseError, NamedInUseError, StoreError
from webapp.store.database import (
    HEAD,
    dated_copy,
    first_line,
    migration_config,
    refuse_newer,
    without_copy_if_it_fails,
)

# At a time, of one Seamslate; PostgreSQL has 100 for all unless told otherwise.
CONNECTIONS: Final = 40
_HOW_WRITTEN: Final = (
    "The address of a database is written postgresql://user@host/name; leave it out to keep the "
    "plans in a file on this machine."
)
_AT: Final = " An @ in a password is written %40 there."
_NO_DRIVER: Final = (
    "Plans on a PostgreSQL server need the package psycopg, which is not installed here. To "
    "install it:\n{python} -m pip install 'psycopg[binary]'"
)
_WHENCE: Final = "Seamslate reads it as psql does: from the address, PGPASSWORD or ~/.pgpass."
_NO_PASSWORD: Final = "it asks for the password of “{user}”, and none was found. " + _WHENCE
_WRONG_PASSWORD: Final = "the password for “{user}” is wrong. " + _WHENCE
_NOT_LET_IN: Final = (
    "it does not let “{user}” in from here. Check the name you log in with, or ask whoever looks "
    "after the server."
)
_CHECK: Final = (
    "{said}. Check that the server runs, that the database is there, and the name and password you "
    "log in with."
)
# What was answered as saved is on the server's disk, also where it is set to promise less; whoever
# waits for another's change waits as long as on SQLite.
_SET_UP: Final = (
    "SELECT set_config('lock_timeout', '5s', false), set_config('synchronous_commit', "
    "CASE current_setting('synchronous_commit') WHEN 'off' THEN 'on' "
    "ELSE current_setting('synchronous_commit') END, false)"
)


def open_database(
    address: str, path: Path, now: Callable[[], datetime], *, alone: bool, among: int = 1
) -> Engine:
    """An engine on the database at `address`: see `database.open_database`.

    What is older is copied first (`database.dated_copy`).
    """
    engine = engine_at(address, alone=alone, among=among)
    try:
        found = stored_revision(engine)
        if found != HEAD:
            copied = None
            if found is not None:
                from webapp.store.copies import write_copy  # noqa: PLC0415  needs this module

                refuse_newer(called(engine), found)
                copied = dated_copy(path, "before-update", now())
                write_copy(engine, copied)
            with without_copy_if_it_fails(copied):
                migrate(engine)
    except BaseException:
        engine.dispose()
        raise
    return engine


def engine_at(address: str, *, alone: bool = False, among: int = 1) -> Engine:
    """An engine on the database at `address` as it stands; it connects when it is used.

    StoreError when that is no address, or there is no driver.
    """
    url = _url(address)
    sharing = among if among == 1 else among + 1  # with the front
    engine = _engine(url, CONNECTIONS // sharing)
    if alone:
        _keep_to_one(engine, url)
    return engine


def called(engine: Engine, the: str = "The") -> str:
    """What the database is called at a sentence's begin, or within it; never its password."""
    return _called(engine.url, the)


def stored_revision(engine: Engine) -> str | None:
    """The migration the database stands at, None when it is empty.

    StoreError when it cannot be reached, or is not for us.
    """
    name = called(engine)
    try:
        with engine.connect() as connection:
            schema, encoding = connection.execute(
                text("SELECT current_schema(), current_setting('server_encoding')")
            ).one()
            tables = set(
                connection.scalars(
                    text("SELECT tablename FROM pg_tables WHERE schemaname = current_schema()")
                )
            )
            if not tables:
                _refuse_unfit(name, schema, encoding)
                return None
            revisions = []
            if {"alembic_version", "episodes"} <= tables:
                revisions = list(
                    connection.scalars(text("SELECT version_num FROM alembic_version"))
                )
    except DBAPIError as error:
        raise StoreError(f"{name} cannot be opened: {_why_closed(error)}") from error
    if not revisions:
        raise StoreError(
            f"{name} holds what is not Seamslate's. Give Seamslate a database of its own."
        )
    return str(revisions[0])


def _why_closed(error: DBAPIError) -> str:
    """In our words, where nobody is let in by the server.

    libpq keeps no SQLSTATE of what is refused on connecting, so 28P01 and 28000 are known by their
    words, where these are English.
    """
    said = first_line(error)
    tried = getattr(error.orig, "pgconn", None)
    if tried is None:
        return _CHECK.format(said=said)
    if tried.needs_password:
        told = _NO_PASSWORD
    elif "password authentication failed" in said:
        told = _WRONG_PASSWORD
    elif re.search(r'authentication failed|pg_hba\.conf|role ".*" does not exist', said):
        told = _NOT_LET_IN
    else:
        return _CHECK.format(said=said)
    return told.format(user=tried.user.decode(errors="replace"))


def _refuse_unfit(name: str, schema: object, encoding: object) -> None:
    if schema is None:
        raise StoreError(f"{name} has no schema of that name to keep plans in; create it first.")
    if encoding != "UTF8":
        raise StoreError(
            f"{name} cannot hold every letter: it is kept in {encoding}. To make one that does:\n"
            "createdb --encoding=UTF8 --template=template0 seamslate"
        )


def _url(address: str) -> URL:
    """StoreError, without a word of the address, which may hold a password, when it is none."""
    if address.count("@") > 1:
        raise NamedDatabaseError(_HOW_WRITTEN + _AT)
    try:
        url = make_url(address)
    except (ArgumentError, ValueError):
        raise NamedDatabaseError(_HOW_WRITTEN) from None
    if url.drivername not in ("postgresql", "postgres"):
        raise NamedDatabaseError(_HOW_WRITTEN)
    try:
        import psycopg  # noqa: F401, PLC0415  few have it
    except ImportError:
        python = shlex.quote(sys.executable)
        raise NamedDatabaseError(_NO_DRIVER.format(python=python)) from None
    if isinstance(password := url.query.get("password"), str):  # where libpq takes it as well
        url = url.difference_update_query(["password"]).set(password=password)
    return url.set(drivername="postgresql+psycopg")


def _called(url: URL, the: str = "The") -> str:
    # libpq looks for what is not given in its own environment.
    name = f"{the} database “{url.database}”" if url.database else f"{the} database"
    return f"{name} on {url.host}" if url.host else name


def _arguments(url: URL) -> dict[str, Any]:
    ours = {"connect_timeout": "10", "client_encoding": "utf8", "application_name": "Seamslate"}
    return {name: value for name, value in ours.items() if name not in url.query}


def _engine(url: URL, most: int = CONNECTIONS) -> Engine:
    """An engine that asks of each connection whether it is still there before it is used."""
    kept = max(1, most // 4)
    engine = create_engine(
        url,
        connect_args=_arguments(url),
        pool_pre_ping=True,
        pool_size=kept,
        max_overflow=max(1, most - kept),
        hide_parameters=True,  # an error's words hold nothing of a plan
    )

    def set_up(connection: Any, _record: Any) -> None:
        connection.autocommit = True
        connection.execute(_SET_UP)
        connection.autocommit = False

    event.listen(engine, "connect", set_up)
    return engine


def _keep_to_one(engine: Engine, url: URL) -> None:
    """No other Seamslate may have the database alone until the engine is disposed of.

    The lock is the session's (PostgreSQL, "Advisory Locks"), so a process that dies gives it back.
    A server that was restarted knows nothing of it: it is asked for again with each new connection.
    """
    guard = Lock()
    by_itself = create_engine(url, connect_args=_arguments(url), poolclass=NullPool)
    held: list[Connection] = []

    def let_go() -> None:
        while held:
            with suppress(DBAPIError):
                held.pop().close()

    def is_held() -> bool:
        try:
            return bool(held) and held[0].scalar(text("SELECT 1")) == 1
        except DBAPIError:
            return False

    def hold(connection: Any, _record: Any) -> None:
        with guard:
            if is_held():
                return
            let_go()
            lock = by_itself.connect().execution_options(isolation_level="AUTOCOMMIT")
            ours = text("SELECT pg_try_advisory_lock(8765001, hashtext(current_schema()))")
            # Without a schema there is nothing to lock, which is told next.
            if lock.scalar(ours) is not False:
                held.append(lock)
                return
            lock.close()
        connection.close()
        raise NamedInUseError(
            f"{_called(url)} is open in another Seamslate. Use that one, or close it first."
        )

    def ended(_engine: Engine) -> None:
        with guard:
            if is_held():  # given back at once: a session ends in its own time
                with suppress(DBAPIError):
                    held[0].execute(text("SELECT pg_advisory_unlock_all()"))
            let_go()

    event.listen(engine, "connect", hold)
    event.listen(engine, "engine_disposed", ended)


def migrate(engine: Engine) -> None:
    """Run the missing migrations in one transaction; two starts at once wait for each other."""
    from alembic import command  # noqa: PLC0415  slow, and rarely needed

    try:
        with engine.begin() as connection:
            connection.execute(text("SET LOCAL lock_timeout = '60s'"))
            connection.execute(
                text("SELECT pg_advisory_xact_lock(8765003, hashtext(current_schema()))")
            )
            command.upgrade(migration_config(connection), "head")
    except DBAPIError as error:
        raise StoreError(
            f"{called(engine)} cannot be brought up to date: {first_line(error)}."
        ) from error
