"""What was sent and accepted, so that it is not done twice when it is sent again."""

from datetime import datetime
from typing import Final

from sqlalchemy import delete
from sqlmodel import Session, col, select

from webapp.store.tables import EpisodeRow, SentRow

_FORM: Final = "form "  # begins the name of an entry that is a form
FOR_NEW: Final = "new "  # … that an episode was made for


def accepts(session: Session, episode_id: str, entry: str, now: datetime) -> bool:
    """Note the entry; False when it was accepted before."""
    if session.get(SentRow, (episode_id, entry)) is not None:
        return False
    session.add(SentRow(episode_id=episode_id, entry=entry, accepted_at=now))
    return True


def note_form(session: Session, row: EpisodeRow, sent: str, now: datetime) -> None:
    """Note the form that makes this change: only that of the last change is ever asked for."""
    entry = col(SentRow.entry)
    of_episode = col(SentRow.episode_id) == row.id
    session.exec(delete(SentRow).where(of_episode, entry.startswith(_FORM)))
    name = _form_entry(row.edition, sent)
    session.add(SentRow(episode_id=row.id, entry=name, accepted_at=now))


def was_the_last(session: Session, row: EpisodeRow, expected: int, sent: str) -> bool:
    """True when that form, of a page of the edition `expected`, made the last change."""
    if row.edition != expected + 1:
        return False
    return session.get(SentRow, (row.id, _form_entry(expected, sent))) is not None


def made_for(session: Session, once: str) -> str | None:
    """The id of the episode that was made for a request of that name, if it is there."""
    made = (
        select(EpisodeRow.id)
        .join(SentRow, col(SentRow.episode_id) == col(EpisodeRow.id))
        .where(SentRow.entry == FOR_NEW + once, col(EpisodeRow.deleted_at).is_(None))
        .limit(1)
    )
    return session.exec(made).one_or_none()


def _form_entry(edition: int, sent: str) -> str:
    return f"{_FORM}{edition} {sent}"
