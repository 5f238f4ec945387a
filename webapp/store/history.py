"""What was changed in an episode, to be taken back and made again."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from sqlalchemy import delete, func
from sqlalchemy import select as columns
from sqlmodel import Session, col, select

from webapp.plan.episode import Episode
from webapp.store.tables import ChangeRow

KEPT_CHANGES: Final = 200  # an episode; older ones can no longer be undone

_ELSEWHERE: Final = (
    "Not saved yet: the plan was changed in another tab or window, or by someone else, since this "
    "page was shown{last}. Nothing was written over. The page now shows it as it stands, with what "
    "you typed here."
)
_NOT_LAST: Final = (
    "{what}: the plan was changed in another tab or window since this page was shown.{now}"
)


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


def not_last(now: Change | None, *, back: bool) -> str:
    """Why nothing is undone, or made again, and what would be now."""
    what = "Nothing was undone" if back else "Nothing was made again"
    would = f" {'Undo' if back else 'Redo'} is now for “{now.words}”." if now else ""
    return _NOT_LAST.format(what=what, now=would)


def elsewhere(last: Change | None) -> str:
    """Why a save from an outdated page is refused, and by what change it is outdated."""
    return _ELSEWHERE.format(last=f" (the last change is “{last.words}”)" if last else "")


def make_room(session: Session, episode_id: str) -> int:
    """Forget what was taken back and what is too old; returns the next change's number."""
    number, undone = col(ChangeRow.number), col(ChangeRow.undone)
    of_episode = col(ChangeRow.episode_id) == episode_id
    newest = columns(number, undone).where(of_episode).order_by(number.desc()).limit(1)
    last = session.connection().execute(newest).one_or_none()
    if last is not None and last.undone:  # so are those after the last that is not
        session.exec(delete(ChangeRow).where(of_episode, undone))
        kept = columns(func.max(number)).where(of_episode)
        free = (session.connection().execute(kept).scalar_one() or 0) + 1
    else:
        free = last.number + 1 if last is not None else 1
    if free > KEPT_CHANGES:
        session.exec(delete(ChangeRow).where(of_episode, number <= free - KEPT_CHANGES))
    return free


def next_change(session: Session, episode_id: str, *, back: bool) -> Change | None:
    """The change undo (`back`) or redo would step over. Reads none of its documents."""
    shown = (ChangeRow.number, ChangeRow.words, ChangeRow.made_at, ChangeRow.undone)
    asked = _next(columns(*map(col, shown)), episode_id, back=back)
    found = session.connection().execute(asked).one_or_none()
    return Change(found.number, found.words, found.made_at, found.undone) if found else None


def document_before(session: Session, episode_id: str) -> bytes | None:
    """What the episode was before the change that undo would step over, packed; None without."""
    asked = _next(columns(col(ChangeRow.before)), episode_id, back=True)
    found: bytes | None = session.connection().execute(asked).scalar_one_or_none()
    return found


def row_of(session: Session, episode_id: str, number: int) -> ChangeRow:
    """The change of that number, with its documents, to be marked as taken back or made again."""
    own = ChangeRow.episode_id == episode_id, ChangeRow.number == number
    return session.exec(select(ChangeRow).where(*own)).one()


def _next(asked: Any, episode_id: str, *, back: bool) -> Any:
    number = col(ChangeRow.number)
    wanted = col(ChangeRow.episode_id) == episode_id, col(ChangeRow.undone) == (not back)
    return asked.where(*wanted).order_by(number.desc() if back else number).limit(1)


def stepped(now: Episode, left: Episode, to: Episode) -> Episode:
    """What an undo or redo that leaves `left` and goes to `to` makes of the episode as it is now.

    What was found since is kept: it is used only while it fits the draft. What is in the basket
    stays there, too.
    """
    kept: dict[str, Any] = {"bought": now.bought}
    if now.kept_lays != left.kept_lays:
        kept["kept_lays"] = now.kept_lays
    if now.kept_ways != left.kept_ways:
        kept["kept_ways"] = now.kept_ways
    # A time being taken goes on, unless the change is what ended it.
    if left.timer == to.timer or now.timer != left.timer:
        kept["timer"] = now.timer
    return to.model_copy(update=kept)
