"""Long work that was asked for, written down until it has ended: it outlasts the server.

What is kept is a kind and arguments as JSON, never Python's own form of them.
"""

import json
import sqlite3
from collections.abc import Callable, Mapping
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, delete
from sqlmodel import col, select, update

from webapp.store.database import one_at_a_time, reading, transaction, writing
from webapp.store.repository import utc_now
from webapp.store.tables import AskedRow


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
    """The list of work in one database. Safe to share between threads."""

    def __init__(self, engine: Engine, now: Callable[[], datetime] = utc_now) -> None:
        self._reading, self._writing, self._now = reading(engine), writing(engine), now

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
