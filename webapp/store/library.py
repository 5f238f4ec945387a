"""The library: what the maker keeps across episodes: recipes, size charts, what a series shares."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from hashlib import sha256
from typing import Literal, TypeVar

from pydantic import BaseModel, ValidationError
from sqlalchemy import Engine, delete
from sqlmodel import Session, col, select

from webapp.errors import ChangedElsewhereError, NotThereError, StoreError
from webapp.plan.edits import free_id
from webapp.store.database import one_at_a_time, reading, transaction, writing
from webapp.store.faults import sentence_of_text
from webapp.store.older import from_kept
from webapp.store.repository import KEPT_DELETED, utc_now
from webapp.store.tables import KeptRow

Kind = Literal["recipe", "chart", "body", "cloth"]  # the last two are of a series
_Model = TypeVar("_Model", bound=BaseModel)


@dataclass(frozen=True)
class Entry:
    """One thing kept: its document is JSON text, read with `understood`."""

    id: str
    name: str
    document: str

    @cached_property
    def state(self) -> str:
        """What it is known by as it stands: a page tells it with what is asked of it there."""
        return sha256(f"{self.name}\0{self.document}".encode()).hexdigest()[:16]


def understood(entry: Entry, model: type[_Model]) -> _Model:
    """What an entry holds. StoreError names the entry when it is damaged or outdated."""
    try:
        return from_kept(entry.document, model)
    except ValidationError as error:
        start = f"“{entry.name}” cannot be read"
        raise StoreError(sentence_of_text(error, entry.document, start)) from error


class Library:
    """What is kept in one database. Safe to share between threads.

    Every method that takes an id raises NotThereError when it is not there, and every method
    StoreError when the database refuses; then nothing was written.
    """

    def __init__(self, engine: Engine, now: Callable[[], datetime] = utc_now) -> None:
        self._reading, self._writing = reading(engine), writing(engine)
        self._now = now

    def entries(self, kind: Kind, *, deleted: bool = False) -> tuple[Entry, ...]:
        """What is kept of a kind by name, or what was taken out of late. Looks into no document."""
        with transaction(self._reading) as session:
            rows = _rows(session, kind, deleted=deleted)
            return tuple(Entry(row.id, row.name, row.document) for row in rows)

    def get(self, kind: Kind, id: str) -> Entry:
        """One thing kept."""
        with transaction(self._reading) as session:
            row = _row(session, kind, id)
            return Entry(row.id, row.name, row.document)

    def put(
        self,
        kind: Kind,
        name: str,
        document: str,
        id: str | None = None,
        *,
        shown: str | None = None,
    ) -> str:
        """Keep a JSON document, in place of the one of that `id` if one is given. Returns its id.

        StoreError when another of the kind has the name, whatever its capitals;
        ChangedElsewhereError when the one of that id is not in the state that was `shown`.
        """
        with transaction(self._writing) as session:
            one_at_a_time(session)
            _refuse_twin(session, kind, name, id)
            if id is None:
                taken = set(session.exec(select(KeptRow.id)))
                row = KeptRow(
                    id=free_id(name, taken),
                    kind=kind,
                    name=name,
                    document=document,
                    kept_at=self._now(),
                )
                session.add(row)
            else:
                row = _row(session, kind, id, lock=True)
                if shown not in (None, Entry(id, row.name, row.document).state):
                    raise changed_since(row.name)
                row.name, row.document, row.kept_at = name, document, self._now()
            return row.id

    def take_out(self, kind: Kind, id: str) -> None:
        """Take something out; it can be put back for `KEPT_DELETED`."""
        with transaction(self._writing) as session:
            now = self._now()
            _row(session, kind, id, lock=True).deleted_at = now
            session.exec(delete(KeptRow).where(col(KeptRow.deleted_at) < now - KEPT_DELETED))

    def put_back(self, kind: Kind, id: str) -> None:
        """Undo a taking out. StoreError when its name has been given to another since."""
        with transaction(self._writing) as session:
            one_at_a_time(session)
            row = session.get(KeptRow, id, with_for_update=True)
            if row is None or row.kind != kind:
                raise _gone(kind)
            _refuse_twin(session, kind, row.name, id)
            row.deleted_at = None


def changed_since(name: str) -> ChangedElsewhereError:
    """Why a thing of that name is not replaced or taken from a page that showed it otherwise."""
    return ChangedElsewhereError(
        f"“{name}” was changed in another tab or window, or by someone else, since this page was "
        "shown. Nothing was written over; as it is kept now, it is shown here."
    )


def _rows(session: Session, kind: Kind, *, deleted: bool = False) -> list[KeptRow]:
    gone = col(KeptRow.deleted_at)
    wanted = gone.is_not(None) if deleted else gone.is_(None)
    rows = session.exec(select(KeptRow).where(col(KeptRow.kind) == kind, wanted))
    return sorted(rows, key=lambda row: (row.name.casefold(), row.id))


def _row(session: Session, kind: Kind, id: str, *, lock: bool = False) -> KeptRow:
    row = session.get(KeptRow, id, with_for_update=lock or None)
    if row is None or row.kind != kind or row.deleted_at is not None:
        raise _gone(kind)
    return row


def _gone(kind: Kind) -> NotThereError:
    return NotThereError(f"That {_CALLED[kind]} is not kept any more.")


def _refuse_twin(session: Session, kind: Kind, name: str, id: str | None) -> None:
    for row in _rows(session, kind):
        if row.id != id and row.name.casefold() == name.casefold():
            raise StoreError(
                f"You keep a {_CALLED[kind]} called “{row.name}” already; give this another name."
            )


_CALLED = {"recipe": "recipe", "chart": "size chart", "body": "body", "cloth": "cloth"}
