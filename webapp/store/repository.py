"""Episodes in the database: each change is one transaction, recorded so that it can be undone."""

import zlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from typing import Any, Final, TypeVar

from pydantic import ValidationError
from sqlalchemy import ColumnElement, Engine, delete, func
from sqlalchemy import select as columns
from sqlmodel import Session, col, select

from webapp.errors import (
    AlreadyDoneError,
    ChangedElsewhereError,
    NotThereError,
    StoreError,
)
from webapp.plan.episode import Episode
from webapp.store.database import transaction
from webapp.store.episode_file import from_text, to_text
from webapp.store.faults import sentence_of_text
from webapp.store.tables import ChangeRow, EpisodeRow, SentRow

KEPT_CHANGES: Final = 200  # an episode; older ones can no longer be undone
KEPT_DELETED: Final = timedelta(days=30)
LONGEST_ID: Final = 64

_ELSEWHERE: Final = (
    "Not saved yet: the plan was changed in another tab or window, or by someone else, since this "
    "page was shown{last}. Nothing was written over. The page now shows it as it stands, with what "
    "you typed here."
)
_DONE: Final = "That was done already."
_FORM: Final = "form "  # begins the name of an entry that is a form
_NEW: Final = "new "  # … that an episode was made for
_NOT_LAST: Final = (
    "{what}: the plan was changed in another tab or window since this page was shown.{now}"
)

Edit = Callable[[Episode], Episode]
_T = TypeVar("_T")


@dataclass(frozen=True)
class EpisodeSummary:
    """What the list of episodes shows of one."""

    id: str
    title: str
    series: str
    number: int | None
    publish_date: date | None
    updated_at: datetime


@dataclass(frozen=True)
class Change:
    """One entry of an episode's history."""

    number: int
    words: str
    made_at: datetime
    undone: bool

    @property
    def id(self) -> str:
        """What no other change of the episode is called, ever: a number is used again."""
        return f"{self.number}-{self.made_at:%Y%m%dT%H%M%S%f}"


def utc_now() -> datetime:
    """The present moment, with its time zone."""
    return datetime.now(UTC)


class EpisodeStore:
    """The episodes of one database. Safe to share between threads.

    Every method raises NotThereError for an id that is not there, StoreError when the database
    refuses; then nothing was written.
    """

    def __init__(self, engine: Engine, now: Callable[[], datetime] = utc_now) -> None:
        self._reading = engine
        # A change takes the write lock before it reads, so that two of them cannot cross.
        self._writing = engine.execution_options(begin="IMMEDIATE")
        self._now = now

    def close(self) -> None:
        """Let go of the database's connections."""
        self._reading.dispose()

    def list(
        self, *, deleted: bool = False, first: int = 0, most: int | None = None
    ) -> tuple[EpisodeSummary, ...]:
        """All episodes, or those deleted of late, the last changed first. Reads no document.

        `first` is how many are passed over; there are `most` at the most.
        """
        row = EpisodeRow
        shown = columns(
            col(row.id),
            col(row.title),
            col(row.series),
            col(row.number),
            col(row.publish_date),
            col(row.updated_at),
        )
        gone = col(row.deleted_at)
        wanted = gone.is_not(None) if deleted else gone.is_(None)
        newest_first = shown.where(wanted).order_by(col(row.updated_at).desc(), col(row.id))
        asked = newest_first.offset(first).limit(most)
        with transaction(self._reading) as session:
            found = session.connection().execute(asked)
            return tuple(EpisodeSummary(*values) for values in found)

    def count(self, *, deleted: bool = False) -> int:
        """How many episodes there are, or were deleted of late."""
        gone = col(EpisodeRow.deleted_at)
        wanted = gone.is_not(None) if deleted else gone.is_(None)
        with transaction(self._reading) as session:
            return session.exec(select(func.count()).select_from(EpisodeRow).where(wanted)).one()

    def has(self, episode_id: str) -> bool:
        """True when there is such an episode and it is not deleted."""
        there = select(EpisodeRow.id).where(*_alive(episode_id))
        with transaction(self._reading) as session:
            return session.exec(there).one_or_none() is not None

    def get(self, episode_id: str) -> Episode:
        """The episode as it stands."""
        document = select(EpisodeRow.document).where(*_alive(episode_id))
        with transaction(self._reading) as session:
            text = session.exec(document).one_or_none()
        return _read(_there(text, episode_id))

    def revision(self, episode_id: str) -> int:
        """A number that grows whenever the document changes, by undo and redo too."""
        revision = select(EpisodeRow.revision).where(*_alive(episode_id))
        with transaction(self._reading) as session:
            return _there(session.exec(revision).one_or_none(), episode_id)

    def edition(self, episode_id: str) -> int:
        """A number that grows with what the maker does; a page carries it into its forms."""
        edition = select(EpisodeRow.edition).where(*_alive(episode_id))
        with transaction(self._reading) as session:
            return _there(session.exec(edition).one_or_none(), episode_id)

    def add(self, episode: Episode, *, once: str = "") -> str:
        """Keep a new episode. Returns its id: a free one like it when its own is taken.

        What was asked for under the name `once` is made one time: asked for again, as when its
        answer was lost, it is the one that was made, as long as that is there and nobody has
        `arrived` at it.
        """
        with transaction(self._writing) as session:
            if once and (made := _made_for(session, once)):
                return made
            free = _free_id(session, episode.id)
            settled, text = _settled(episode.model_copy(update={"id": free}))
            now = self._now()
            row = EpisodeRow(
                id=free,
                title=settled.title,
                series=settled.series,
                number=settled.number,
                publish_date=settled.brief.publish_date,
                document=text,
                edition=1,
                revision=_first_revision(now),
                created_at=now,
                updated_at=now,
            )
            session.add(row)
            if once:
                session.flush()
                session.add(SentRow(episode_id=free, entry=_NEW + once, accepted_at=now))
        return free

    def arrived(self, episode_id: str) -> None:
        """Forget for what request it was made: whoever sees it and asks again wants another."""
        named = col(SentRow.episode_id) == episode_id, col(SentRow.entry).startswith(_NEW)
        with transaction(self._reading) as session:
            known = session.exec(select(SentRow.entry).where(*named)).first()
        if known is not None:
            with transaction(self._writing) as session:
                session.exec(delete(SentRow).where(*named))

    def delete(self, episode_id: str) -> None:
        """Delete an episode; it can be put back for `KEPT_DELETED`."""
        with transaction(self._writing) as session:
            now = self._now()
            _row(session, episode_id).deleted_at = now
            gone = col(EpisodeRow.deleted_at)
            session.exec(delete(EpisodeRow).where(gone < now - KEPT_DELETED))

    def put_back(self, episode_id: str) -> None:
        """Undo a delete. NotThereError when it is too long ago."""
        with transaction(self._writing) as session:
            row = _there(session.get(EpisodeRow, episode_id), episode_id)
            row.deleted_at = None

    def change(
        self,
        episode_id: str,
        words: str,
        edit: Edit,
        *,
        expected: int | None = None,
        sent: str = "",
        once: str = "",
    ) -> Episode:
        """Change an episode and record it as `words`. Returns it as it now stands.

        Nothing is written when `edit` raises, nor when what it returns does not hold together
        (StoreError), nor when the edition is not the `expected` one (ChangedElsewhereError, or
        AlreadyDoneError: see `refuse_repeated`; `sent` is what was sent). A change that alters
        nothing is not recorded. An entry of the name `once` is accepted one time: sent again, even
        after an undo, it changes nothing.
        """
        with transaction(self._writing) as session:
            row = _row(session, episode_id)
            if expected is not None and row.edition != expected:
                if sent and _was_the_last(session, row, expected, sent):
                    raise AlreadyDoneError(_DONE)
                raise ChangedElsewhereError(_elsewhere(_next_change(session, row.id, back=True)))
            before = _read(row.document)
            if once and not self._accepts(session, episode_id, once):
                return before
            settled, text = _settled(edit(before))
            if settled.id != episode_id:
                raise ValueError("A change keeps the episode's id.")
            if settled == before:
                return before
            change = ChangeRow(
                episode_id=episode_id,
                number=_make_room(session, episode_id),
                words=words,
                before=_packed(row.document),
                after=_packed(text),
                made_at=self._now(),
            )
            session.add(change)
            if expected is not None and sent:
                self._note_form(session, row, sent)
            row.edition += 1
            self._put(row, settled, text)
        return settled

    def refuse_repeated(self, episode_id: str, expected: int, sent: str) -> None:
        """AlreadyDoneError when the last change is what was `sent` from a page of that edition.

        So it is when the answer was lost and the browser sends it again: only that change made the
        page outdated.
        """
        with transaction(self._reading) as session:
            if _was_the_last(session, _row(session, episode_id), expected, sent):
                raise AlreadyDoneError(_DONE)

    def keep(self, episode_id: str, edit: Edit, *, once: str = "") -> Episode:
        """Keep something computed, such as a lay: no change of the maker's, so no history.

        `once` as for `change`.
        """
        with transaction(self._writing) as session:
            row = _row(session, episode_id)
            before = _read(row.document)
            if once and not self._accepts(session, episode_id, once):
                return before
            settled, text = _settled(edit(before))
            self._put(row, settled, text)
        return settled

    def has_accepted(self, episode_id: str, entry: str) -> bool:
        """True when an entry of that name was accepted: see `once` of `change`."""
        with transaction(self._reading) as session:
            return session.get(SentRow, (episode_id, entry)) is not None

    def _accepts(self, session: Session, episode_id: str, entry: str) -> bool:
        """Note the entry; False when it was accepted before."""
        if session.get(SentRow, (episode_id, entry)) is not None:
            return False
        session.add(SentRow(episode_id=episode_id, entry=entry, accepted_at=self._now()))
        return True

    def _note_form(self, session: Session, row: EpisodeRow, sent: str) -> None:
        """Only that of the last change is ever asked for."""
        entry = col(SentRow.entry)
        of_episode = col(SentRow.episode_id) == row.id
        session.exec(delete(SentRow).where(of_episode, entry.startswith(_FORM)))
        name = _form_entry(row.edition, sent)
        session.add(SentRow(episode_id=row.id, entry=name, accepted_at=self._now()))

    def undo(self, episode_id: str, change_id: str = "") -> str | None:
        """Take the last change back. Returns its words, None when there is none to take back.

        ChangedElsewhereError when that is not the change named, if one is: then nothing is done,
        nor when the one named is taken back already.
        """
        return self._step(episode_id, change_id, back=True)

    def redo(self, episode_id: str, change_id: str = "") -> str | None:
        """Make the change that was last taken back. Returns its words, None if there is none.

        A change that is named must be that one, as for `undo`.
        """
        return self._step(episode_id, change_id, back=False)

    def to_undo(self, episode_id: str) -> Change | None:
        """The change that undo would take back."""
        return self._next(episode_id, back=True)

    def to_redo(self, episode_id: str) -> Change | None:
        """The change that redo would make again."""
        return self._next(episode_id, back=False)

    def undo_words(self, episode_id: str) -> str | None:
        """What undo would take back."""
        change = self.to_undo(episode_id)
        return change.words if change else None

    def redo_words(self, episode_id: str) -> str | None:
        """What redo would make again."""
        change = self.to_redo(episode_id)
        return change.words if change else None

    def before_last(self, episode_id: str) -> Episode | None:
        """The episode as it was before the change that undo would take back; None without one."""
        with transaction(self._reading) as session:
            _row(session, episode_id)
            change = _next_change(session, episode_id, back=True)
            text = _unpacked(change.before) if change else None
        return _read(text) if text is not None else None

    def history(self, episode_id: str, limit: int = 50) -> tuple[Change, ...]:
        """The last changes, newest first, those taken back among them."""
        newest_first = (
            select(ChangeRow.number, ChangeRow.words, ChangeRow.made_at, ChangeRow.undone)
            .where(ChangeRow.episode_id == episode_id)
            .order_by(col(ChangeRow.number).desc())
            .limit(limit)
        )
        with transaction(self._reading) as session:
            _row(session, episode_id)
            return tuple(Change(*row) for row in session.exec(newest_first))

    def _step(self, episode_id: str, change_id: str, *, back: bool) -> str | None:
        with transaction(self._writing) as session:
            row = _row(session, episode_id)
            change = _next_change(session, episode_id, back=back)
            if change_id and (change is None or _told(change).id != change_id):
                done = _next_change(session, episode_id, back=not back)
                if done is not None and _told(done).id == change_id:
                    return done.words
                raise ChangedElsewhereError(_not_last(change, back=back))
            if change is None:
                return None
            change.undone = back
            row.edition += 1
            left, episode = _read(_unpacked(change.before)), _read(_unpacked(change.after))
            if back:
                left, episode = episode, left
            # What was found since is kept: it is used only while it fits the draft. What is in the
            # basket stays there, too.
            now = _read(row.document)
            kept: dict[str, Any] = {"bought": now.bought}
            if now.kept_lays != left.kept_lays:
                kept["kept_lays"] = now.kept_lays
            if now.kept_ways != left.kept_ways:
                kept["kept_ways"] = now.kept_ways
            # A time being taken goes on, unless the change is what ended it.
            if left.timer == episode.timer or now.timer != left.timer:
                kept["timer"] = now.timer
            settled, text = _settled(episode.model_copy(update=kept))
            self._put(row, settled, text)
            return change.words

    def _next(self, episode_id: str, *, back: bool) -> Change | None:
        with transaction(self._reading) as session:
            _row(session, episode_id)
            change = _next_change(session, episode_id, back=back)
            return _told(change) if change else None

    def _put(self, row: EpisodeRow, episode: Episode, text: str) -> None:
        """Store a document and the fields the list shows of it."""
        row.title, row.series, row.number = episode.title, episode.series, episode.number
        row.publish_date = episode.brief.publish_date
        row.document = text
        row.revision += 1
        row.updated_at = self._now()


def _told(change: ChangeRow) -> Change:
    return Change(change.number, change.words, change.made_at, change.undone)


def _not_last(now: ChangeRow | None, *, back: bool) -> str:
    """Why nothing is undone, or made again, and what would be now."""
    what = "Nothing was undone" if back else "Nothing was made again"
    would = f" {'Undo' if back else 'Redo'} is now for “{now.words}”." if now else ""
    return _NOT_LAST.format(what=what, now=would)


def _elsewhere(last: ChangeRow | None) -> str:
    return _ELSEWHERE.format(last=f" (the last change is “{last.words}”)" if last else "")


def _form_entry(edition: int, sent: str) -> str:
    return f"{_FORM}{edition} {sent}"


def _was_the_last(session: Session, row: EpisodeRow, expected: int, sent: str) -> bool:
    """True when that form, of a page of the edition `expected`, made the last change."""
    if row.edition != expected + 1:
        return False
    return session.get(SentRow, (row.id, _form_entry(expected, sent))) is not None


def _made_for(session: Session, once: str) -> str | None:
    """The id of the episode that was made for a request of that name, if it is there."""
    made = (
        select(EpisodeRow.id)
        .join(SentRow, col(SentRow.episode_id) == col(EpisodeRow.id))
        .where(SentRow.entry == _NEW + once, col(EpisodeRow.deleted_at).is_(None))
        .limit(1)
    )
    return session.exec(made).one_or_none()


def _there(found: _T | None, episode_id: str) -> _T:
    if found is None:
        raise NotThereError(f"There is no episode “{episode_id}” (any more).")
    return found


def _row(session: Session, episode_id: str) -> EpisodeRow:
    return _there(
        session.exec(select(EpisodeRow).where(*_alive(episode_id))).one_or_none(), episode_id
    )


def _alive(episode_id: str) -> tuple[ColumnElement[bool], ...]:
    return col(EpisodeRow.id) == episode_id, col(EpisodeRow.deleted_at).is_(None)


@lru_cache(maxsize=32)
def _from_text(text: str) -> Episode:
    """Kept by its text: episodes are never changed in place, and one just stored is read next."""
    return from_text(text)


def _read(text: str) -> Episode:
    """The episode of a stored document."""
    try:
        return _from_text(text)
    except ValidationError as error:
        raise StoreError(sentence_of_text(error, text, "A stored plan cannot be read")) from error


def _settled(episode: Episode) -> tuple[Episode, str]:
    """The episode as it will be read back, and its text. StoreError if it could not be.

    A pydantic copy with updated fields has not been checked, so it is here.
    """
    text = to_text(episode)
    try:
        settled = _from_text(text)
    except ValidationError as error:
        raise StoreError(
            sentence_of_text(error, text, "The change does not fit the plan")
        ) from error
    return settled, to_text(settled)


def _first_revision(now: datetime) -> int:
    """From the clock (ms), so that an id deleted and used again never repeats a revision."""
    return int(now.timestamp() * 1000)


def _free_id(session: Session, wanted: str) -> str:
    free, number = wanted, 2
    while session.get(EpisodeRow, free) is not None:
        ending = f"-{number}"
        free, number = wanted[: LONGEST_ID - len(ending)].rstrip("-") + ending, number + 1
    return free


def _make_room(session: Session, episode_id: str) -> int:
    """Forget what was taken back and what is too old; returns the next change's number."""
    of_episode = col(ChangeRow.episode_id) == episode_id
    session.exec(delete(ChangeRow).where(of_episode, col(ChangeRow.undone)))
    last = session.exec(select(func.max(ChangeRow.number)).where(of_episode)).one()
    number = (last or 0) + 1
    session.exec(
        delete(ChangeRow).where(of_episode, col(ChangeRow.number) <= number - KEPT_CHANGES)
    )
    return number


def _next_change(session: Session, episode_id: str, *, back: bool) -> ChangeRow | None:
    """The change undo (`back`) or redo would step over."""
    number = col(ChangeRow.number)
    changes = (
        select(ChangeRow)
        .where(ChangeRow.episode_id == episode_id, col(ChangeRow.undone) == (not back))
        .order_by(number.desc() if back else number)
        .limit(1)
    )
    return session.exec(changes).one_or_none()


def _packed(text: str) -> bytes:
    return zlib.compress(text.encode(), level=1)  # written with every edit, read by an undo


def _unpacked(packed: bytes) -> str:
    return zlib.decompress(packed).decode()
