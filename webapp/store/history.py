"""What was changed in an episode, to be taken back and made again."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from sqlalchemy import delete, func
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


def told(change: ChangeRow) -> Change:
    """The change without its documents."""
    return Change(change.number, change.words, change.made_at, change.undone)


def not_last(now: ChangeRow | None, *, back: bool) -> str:
    """Why nothing is undone, or made again, and what would be now."""
    what = "Nothing was undone" if back else "Nothing was made again"
    would = f" {'Undo' if back else 'Redo'} is now for “{now.words}”." if now else ""
    return _NOT_LAST.format(what=what, now=would)


def elsewhere(last: ChangeRow | None) -> str:
    """Why a save from an outdated page is refused, and by what change it is outdated."""
    return _ELSEWHERE.format(last=f" (the last change is “{last.words}”)" if last else "")


def make_room(session: Session, episode_id: str) -> int:
    """Forget what was taken back and what is too old; returns the next change's number."""
    of_episode = col(ChangeRow.episode_id) == episode_id
    session.exec(delete(ChangeRow).where(of_episode, col(ChangeRow.undone)))
    last = session.exec(select(func.max(ChangeRow.number)).where(of_episode)).one()
    number = (last or 0) + 1
    session.exec(
        delete(ChangeRow).where(of_episode, col(ChangeRow.number) <= number - KEPT_CHANGES)
    )
    return number


def next_change(session: Session, episode_id: str, *, back: bool) -> ChangeRow | None:
    """The change undo (`back`) or redo would step over."""
    number = col(ChangeRow.number)
    changes = (
        select(ChangeRow)
        .where(ChangeRow.episode_id == episode_id, col(ChangeRow.undone) == (not back))
        .order_by(number.desc() if back else number)
        .limit(1)
    )
    return session.exec(changes).one_or_none()


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
