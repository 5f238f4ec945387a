"""Long work that was asked for, written down until it has ended: it outlasts the server.

What is kept is a kind and arguments as JSON, never Python's own form of them.
"""

import json
import os
import sqlite3
from collections.abc import Callable, Mapping
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final
from weakref import finalize

from sqlalchemy import Engine, delete
from sqlmodel import col, select, update

from webapp.store.database import one_at_a_time, reading, transaction, writing
from webapp.store.repository import utc_now
from webapp.store.tables import AskedRow

_LOCK: Final = "work.lock"


@dataclass(frozen=True)
class Asked:
    """Work that was asked for: how to begin it, and how it is told of."""

    key: str  # of its job
    kind: str
    arguments: Mapping[str, Any]
    called: str
    address: str
    begun: int  # how often it was begun without coming to an end
    asked_at: datetime


class AskedWork:
    """The list of work in one database. Safe to share between threads.

    It `is_ours` while no other server works by the list of that data folder; a server lends that
    to its own processes.
    """

    def __init__(
        self,
        engine: Engine,
        folder: Path,
        now: Callable[[], datetime] = utc_now,
        *,
        lent: bool | None = None,
    ) -> None:
        self._reading, self._writing, self._now = reading(engine), writing(engine), now
        lock, self.is_ours = _locked(folder) if lent is None else (None, lent)
        self._let_go = finalize(self, os.close, lock) if lock is not None else None

    def close(self) -> None:
        """Leave the list to the next server."""
        if self._let_go is not None:
            self._let_go()

    def asked(self, key: str, again: Any, called: str, address: str) -> int:
        """Write it down, once. Returns how often it was begun already. For the rest see `Asked`."""
        with transaction(self._writing) as session:
            one_at_a_time(session)
            known = session.exec(select(AskedRow).where(AskedRow.key == key)).first()
            if known is not None:
                return known.begun
            arguments = json.dumps(dict(again.arguments))
            row = AskedRow(
                key=key, kind=again.kind, arguments=arguments, called=called, address=address,
                begun=0, asked_at=self._now(),
            )  # fmt: skip
            session.add(row)
        return 0

    def begun(self, key: str, times: int) -> None:
        """Write down how often it was begun."""
        with transaction(self._writing) as session:
            session.exec(update(AskedRow).where(col(AskedRow.key) == key).values(begun=times))

    def ended(self, key: str) -> None:
        """Cross it out."""
        with transaction(self._writing) as session:
            session.exec(delete(AskedRow).where(col(AskedRow.key) == key))

    def list(self) -> tuple[Asked, ...]:
        """All that is written down, the first asked for first. What cannot be read has no kind."""
        with transaction(self._reading) as session:
            rows = session.exec(select(AskedRow).order_by(col(AskedRow.id))).all()
            return tuple(_read(row) for row in rows)


def _read(row: AskedRow) -> Asked:
    try:
        arguments = json.loads(row.arguments)
    except (ValueError, RecursionError):  # another program wrote it
        arguments = None
    sound = isinstance(arguments, dict)
    return Asked(
        row.key, row.kind if sound else "", arguments if sound else {}, row.called, row.address,
        row.begun, row.asked_at,
    )  # fmt: skip


def forget_asked(file: Path) -> None:
    """Cross all work out in a copy that is put back: what was asked for then is not wanted now."""
    with closing(sqlite3.connect(file)) as connection, connection:
        found = "SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = 'asked_work'"
        if connection.execute(found).fetchone():
            connection.execute("DELETE FROM asked_work")


def _locked(folder: Path) -> tuple[int | None, bool]:
    """A file that is locked until it is closed or this process ends; False if another has it.

    The lock is taken for granted where the system knows none, or the folder cannot be written.
    """
    try:
        import fcntl  # noqa: PLC0415 - not on every system

        file = os.open(folder / _LOCK, os.O_CREAT | os.O_RDWR, 0o600)
    except (ImportError, OSError):
        return None, True
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(file)
        return None, False
    return file, True
