"""Episodes in the database: each change is one transaction, recorded so that it can be undone."""

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Final

from sqlalchemy import Engine, delete, func, update
from sqlalchemy import select as columns
from sqlmodel import Session, col, select

from webapp.errors import AlreadyDoneError, ChangedElsewhereError
from webapp.plan.episode import Episode
from webapp.store import statements
from webapp.store.database import one_at_a_time, reading, transaction, writing
from webapp.store.documents import packed, read, settle, unpacked
from webapp.store.history import (
    Standing,
    document_before,
    make_room,
    next_change,
    not_last,
    row_of,
    stepped,
)
from webapp.store.outdated import (
    Marks,
    NotPreparedError,
    Prepared,
    changed_elsewhere,
    made_beside,
    prepare,
    seen_in,
    words_since,
)
from webapp.store.refusals import damaged_within
from webapp.store.rows import first_revision, free_id, is_there, taken, there, value_of
from webapp.store.sent import FOR_NEW, accepts, made_for, note_form, was_the_last
from webapp.store.tables import EpisodeRow, SentRow

KEPT_DELETED: Final = timedelta(days=30)

_TRIES: Final = 3  # at a save from an outdated page, before all others wait for it
_DONE: Final = "That was done already."

Edit = Callable[[Episode], Episode]


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
class _Asked:
    """A change that is asked for: see `EpisodeStore.change`."""

    words: str
    edit: Edit
    expected: int | None
    sent: str
    once: str
    as_shown: bool
    always: Marks | None
    browser: str


def utc_now() -> datetime:
    """The present moment, with its time zone."""
    return datetime.now(UTC)


class EpisodeStore:
    """The episodes of one database. Safe to share between threads.

    Every method raises NotThereError for an id that is not there, StoreError when the database
    refuses; then nothing was written.
    """

    def __init__(self, engine: Engine, now: Callable[[], datetime] = utc_now) -> None:
        self._reading, self._writing = reading(engine), writing(engine)
        self._now = now

    @property
    def database(self) -> str:
        """What the plans are kept in, with no password."""
        return self._reading.url.render_as_string(hide_password=True)

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
            try:
                return tuple(EpisodeSummary(*values) for values in found)
            except (TypeError, ValueError) as error:  # a date that is none
                raise damaged_within(str(self._reading.url.database)) from error

    def count(self, *, deleted: bool = False) -> int:
        """How many episodes there are, or were deleted of late."""
        gone = col(EpisodeRow.deleted_at)
        wanted = gone.is_not(None) if deleted else gone.is_(None)
        with transaction(self._reading) as session:
            return session.exec(select(func.count()).select_from(EpisodeRow).where(wanted)).one()

    def has(self, episode_id: str) -> bool:
        """True when there is such an episode and it is not deleted."""
        with transaction(self._reading) as session:
            return is_there(session, episode_id)

    def get(self, episode_id: str) -> Episode:
        """The episode as it stands."""
        with transaction(self._reading) as session:
            text: str = value_of(session, statements.DOCUMENT, episode_id)
        return read(text)

    def revision(self, episode_id: str) -> int:
        """A number that grows whenever the document changes, by undo and redo too."""
        with transaction(self._reading) as session:
            revision: int = value_of(session, statements.REVISION, episode_id)
        return revision

    def edition(self, episode_id: str) -> int:
        """A number that grows with what the maker does; a page carries it into its forms."""
        with transaction(self._reading) as session:
            edition: int = value_of(session, statements.EDITION, episode_id)
        return edition

    def add(self, episode: Episode, *, once: str = "") -> str:
        """Keep a new episode. Returns its id: a free one like it when its own is taken.

        What was asked for under the name `once` is made one time: asked for again, as when its
        answer was lost, it is the one that was made, as long as that is there and nobody has
        `arrived` at it.
        """
        with transaction(self._writing) as session:
            one_at_a_time(session)
            if once and (made := made_for(session, once)):
                return made
            free = free_id(session, episode.id)
            settled, text = settle(episode.model_copy(update={"id": free}))
            now = self._now()
            row = EpisodeRow(
                id=free,
                title=settled.title,
                series=settled.series,
                number=settled.number,
                publish_date=settled.brief.publish_date,
                document=text,
                edition=1,
                revision=first_revision(now),
                created_at=now,
                updated_at=now,
            )
            session.add(row)
            if once:
                session.flush()
                session.add(SentRow(episode_id=free, entry=FOR_NEW + once, accepted_at=now))
        return free

    def arrived(self, episode_id: str) -> None:
        """Forget for what request it was made: whoever sees it and asks again wants another."""
        named = col(SentRow.episode_id) == episode_id, col(SentRow.entry).startswith(FOR_NEW)
        with transaction(self._reading) as session:
            known = session.exec(select(SentRow.entry).where(*named)).first()
        if known is not None:
            with transaction(self._writing) as session:
                session.exec(delete(SentRow).where(*named))

    def delete(self, episode_id: str) -> None:
        """Delete an episode; it can be put back for `KEPT_DELETED`."""
        with transaction(self._writing) as session:
            now = self._now()
            taken(session, episode_id)
            gone = col(EpisodeRow.deleted_at)
            session.exec(
                update(EpisodeRow).where(col(EpisodeRow.id) == episode_id).values(deleted_at=now)
            )
            session.exec(delete(EpisodeRow).where(gone < now - KEPT_DELETED))

    def put_back(self, episode_id: str) -> None:
        """Undo a delete. NotThereError when it is too long ago."""
        with transaction(self._writing) as session:
            found = session.get(EpisodeRow, episode_id, with_for_update=True)
            there(session, found, episode_id).deleted_at = None

    def change(
        self,
        episode_id: str,
        words: str,
        edit: Edit,
        *,
        expected: int | None = None,
        sent: str = "",
        once: str = "",
        as_shown: bool = False,
        always: Marks | None = None,
        browser: str = "",
    ) -> Episode:
        """Change an episode and record it as `words`. Returns it as it now stands.

        Nothing is written when `edit` raises, nor when what it returns does not hold together
        (StoreError), nor when the edition is not the `expected` one and anything of what was
        changed since would be written over (ChangedElsewhereError), nor when what was `sent` made
        the last change (AlreadyDoneError). A change that alters nothing is not recorded. An entry
        of the name `once` is accepted one time, even after an undo. What must be `as_shown` is
        refused by any change since; what is made `always`, only where it was made since and taken
        back. By the `browser` it is known, to others, as made elsewhere.
        """
        asked = _Asked(words, edit, expected, sent, once, as_shown, always, browser)
        prepared: Prepared | None = None
        for _ in range(_TRIES):
            with suppress(NotPreparedError):
                return self._changed(episode_id, asked, prepared)
            # Worked out while others may save; made if nobody has by then.
            with transaction(self._reading) as session:
                prepared = prepare(session, episode_id, asked.edit, asked.expected, asked.always)
        return self._changed(episode_id, asked, None, at_once=True)

    def _changed(
        self, episode_id: str, asked: _Asked, prepared: Prepared | None, *, at_once: bool = False
    ) -> Episode:
        """The change made. NotPreparedError from an outdated page unless it is `prepared` for the
        edition there is, or is to be worked out `at_once`, while all others wait."""
        edit, expected, sent, always = asked.edit, asked.expected, asked.sent, asked.always
        with transaction(self._writing) as session:
            edition, document = taken(session, episode_id)
            is_outdated = expected is not None and edition != expected
            if is_outdated and sent and was_the_last(session, episode_id, edition, sent):
                raise AlreadyDoneError(_DONE)
            before, now = read(document), self._now()
            if asked.once and not accepts(session, episode_id, asked.once, now):
                return before
            if expected is not None and is_outdated:
                if asked.as_shown:
                    raise changed_elsewhere(session, episode_id, expected)
                if at_once:
                    prepared = made_beside(session, before, edition, edit, expected, always)
                elif prepared is None or prepared.edition != edition:
                    raise NotPreparedError
                settled, text = prepared.made, prepared.text
            else:
                settled, text = settle(edit(before), before)
            if settled.id != episode_id:
                raise ValueError("A change keeps the episode's id.")
            if settled == before:
                return before
            change = {
                "episode_id": episode_id,
                "number": make_room(session, episode_id),
                "words": asked.words,
                "before": packed(document),
                "after": packed(text),
                "made_at": now,
                "undone": False,
                "edition": edition + 1,
                "browser": asked.browser or None,
            }
            session.connection().execute(statements.NEW_CHANGE, change)
            if expected is not None and sent:
                note_form(session, episode_id, edition, sent, now)
            self._put(session, settled, text, edition + 1)
        return settled

    def refuse_repeated(self, episode_id: str, sent: str) -> None:
        """AlreadyDoneError when what was `sent` made the last change.

        So it is when the answer was lost and the browser sends it again.
        """
        with transaction(self._reading) as session:
            edition: int = value_of(session, statements.EDITION, episode_id)
            if was_the_last(session, episode_id, edition, sent):
                raise AlreadyDoneError(_DONE)

    def seen_in(self, episode_id: str, edition: int) -> Episode | None:
        """The episode as it was in that edition; None where that is not kept any more."""
        with transaction(self._reading) as session:
            return seen_in(session, episode_id, edition)

    def changed_since(self, episode_id: str, edition: int, until: int) -> tuple[str, ...]:
        """Words of the changes after that edition and before the edition `until`, oldest first."""
        with transaction(self._reading) as session:
            return words_since(session, episode_id, edition, until - 1)

    def keep(self, episode_id: str, edit: Edit, *, once: str = "") -> Episode:
        """Keep something computed, such as a lay: no change of the maker's, so no history.

        `once` as for `change`.
        """
        with transaction(self._writing) as session:
            edition, document = taken(session, episode_id)
            before = read(document)
            if once and not accepts(session, episode_id, once, self._now()):
                return before
            settled, text = settle(edit(before), before)
            self._put(session, settled, text, edition)
        return settled

    def has_accepted(self, episode_id: str, entry: str) -> bool:
        """True when an entry of that name was accepted: see `change`."""
        with transaction(self._reading) as session:
            return session.get(SentRow, (episode_id, entry)) is not None

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

    def standing(self, episode_id: str) -> Standing:
        """How it stands with the episode, at one moment. Reads no document."""
        with transaction(self._reading) as session:
            asked = session.connection().execute(statements.STANDING, {"own": episode_id})
            edition, revision = there(session, asked.one_or_none(), episode_id)
            return Standing(
                edition,
                revision,
                next_change(session, episode_id, back=True),
                next_change(session, episode_id, back=False),
            )

    def before_last(self, episode_id: str) -> Episode | None:
        """The episode as it was before the change that undo would take back; None without one."""
        with transaction(self._reading) as session:
            there(session, is_there(session, episode_id) or None, episode_id)
            found = document_before(session, episode_id)
        return read(unpacked(found)) if found is not None else None

    def _step(self, episode_id: str, change_id: str, *, back: bool) -> str | None:
        with transaction(self._writing) as session:
            edition, document = taken(session, episode_id)
            change = next_change(session, episode_id, back=back)
            if change_id and (change is None or change.id != change_id):
                done = next_change(session, episode_id, back=not back)
                if done is not None and done.id == change_id:
                    return done.words
                raise ChangedElsewhereError(not_last(change, back=back))
            if change is None:
                return None
            row = row_of(session, episode_id, change.number)
            row.undone = back
            left, episode = read(unpacked(row.before)), read(unpacked(row.after))
            if back:
                left, episode = episode, left
            settled, text = settle(stepped(read(document), left, episode), episode)
            self._put(session, settled, text, edition + 1)
            return change.words

    def _put(self, session: Session, episode: Episode, text: str, edition: int) -> None:
        """Store a document and the fields the list shows of it."""
        stored = {
            "own": episode.id,
            "new_title": episode.title,
            "new_series": episode.series,
            "new_number": episode.number,
            "new_publish_date": episode.brief.publish_date,
            "new_document": text,
            "new_edition": edition,
            "new_updated_at": self._now(),
        }
        session.connection().execute(statements.CHANGED, stored)
