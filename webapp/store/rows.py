"""An episode's row: whether it is there, what is read of it, and what makes a new one."""

from datetime import datetime
from typing import Any, Final, NamedTuple, TypeVar

from sqlalchemy import Select
from sqlmodel import Session

from webapp.errors import DeletedError, NotThereError
from webapp.store import statements
from webapp.store.tables import EpisodeRow

_LONGEST_ID: Final = 64

_T = TypeVar("_T")


class Stored(NamedTuple):
    """What is stored of an episode that is to be changed."""

    edition: int
    document: str


def there(session: Session, found: _T | None, episode_id: str) -> _T:
    """What was found of an episode. NotThereError where that is nothing: DeletedError while it can
    be put back."""
    if found is not None:
        return found
    deleted = session.get(EpisodeRow, episode_id)
    if deleted is not None:
        raise DeletedError(deleted.title)
    raise NotThereError(f"There is no episode “{episode_id}” (any more).")


def value_of(session: Session, asked: Select[Any], episode_id: str) -> Any:
    """The one value that is asked for of an episode."""
    found = session.connection().execute(asked, {"own": episode_id}).scalar_one_or_none()
    return there(session, found, episode_id)


def is_there(session: Session, episode_id: str) -> bool:
    """Whether there is such an episode and it is not deleted."""
    found = session.connection().execute(statements.ID, {"own": episode_id})
    return found.one_or_none() is not None


def taken(session: Session, episode_id: str) -> Stored:
    """What is stored of it, to be changed: whoever else would change it waits, then finds it so."""
    found = session.connection().execute(statements.TO_CHANGE, {"own": episode_id}).one_or_none()
    return Stored(*there(session, found, episode_id))


def first_revision(now: datetime) -> int:
    """From the clock (ms), so that an id deleted and used again never repeats a revision."""
    return int(now.timestamp() * 1000)


def free_id(session: Session, wanted: str) -> str:
    """The id wanted, or one like it that no episode has, nor a deleted one."""
    free, number = wanted, 2
    while session.get(EpisodeRow, free) is not None:
        ending = f"-{number}"
        free, number = wanted[: _LONGEST_ID - len(ending)].rstrip("-") + ending, number + 1
    return free
