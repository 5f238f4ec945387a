"""What was sent and accepted, so that it is not done twice when it is sent again."""

from datetime import datetime
from typing import Final

from sqlalchemy import delete, insert
from sqlmodel import Session, col, select

from webapp.store.statements import OWN
from webapp.store.tables import EpisodeRow, SentRow

_FORM: Final = "form "  # begins the name of an entry that is a form
FOR_NEW: Final = "new "  # … that an episode was made for
_PUT_BACK: Final = "put-back "  # … that a copy was put back, with the edition that made
# For each episode of a copy that is put back `:now`, numbered already.
NOTE_PUT_BACK: Final = (
    f"DELETE FROM sent_entries WHERE entry LIKE '{_PUT_BACK}%'",
    "INSERT INTO sent_entries (episode_id, entry, accepted_at) "
    f"SELECT id, '{_PUT_BACK}' || edition, :now FROM episodes",
)


def accepts(session: Session, episode_id: str, entry: str, now: datetime) -> bool:
    """Note the entry; False when it was accepted before."""
    if session.get(SentRow, (episode_id, entry)) is not None:
        return False
    session.add(SentRow(episode_id=episode_id, entry=entry, accepted_at=now))
    return True


# Composed once: see `statements`.
_FORMS: Final = delete(SentRow).where(
    col(SentRow.episode_id) == OWN, col(SentRow.entry).startswith(_FORM)
)
_NEW: Final = insert(SentRow)


def note_form(session: Session, episode_id: str, edition: int, sent: str, now: datetime) -> None:
    """Note the form that makes this change of that edition.

    Only that of the last change is ever asked for.
    """
    new = {"episode_id": episode_id, "entry": _form_entry(edition, sent), "accepted_at": now}
    session.connection().execute(_FORMS, {"own": episode_id})
    session.connection().execute(_NEW, new)


def was_the_last(session: Session, episode_id: str, edition: int, sent: str) -> bool:
    """True when that form made the last change; the episode is of that `edition` now."""
    return session.get(SentRow, (episode_id, _form_entry(edition - 1, sent))) is not None


def made_for(session: Session, once: str) -> str | None:
    """The id of the episode that was made for a request of that name, if it is there."""
    made = (
        select(EpisodeRow.id)
        .join(SentRow, col(SentRow.episode_id) == col(EpisodeRow.id))
        .where(SentRow.entry == FOR_NEW + once, col(EpisodeRow.deleted_at).is_(None))
        .limit(1)
    )
    return session.exec(made).one_or_none()


def put_back_since(session: Session, episode_id: str, edition: int) -> datetime | None:
    """When a copy was put back, if one was since the episode was of that edition."""
    noted = select(SentRow).where(
        SentRow.episode_id == episode_id, col(SentRow.entry).startswith(_PUT_BACK)
    )
    row = session.exec(noted).first()
    is_since = row is not None and int(row.entry.removeprefix(_PUT_BACK)) > edition
    return row.accepted_at if row is not None and is_since else None


def _form_entry(edition: int, sent: str) -> str:
    return f"{_FORM}{edition} {sent}"
