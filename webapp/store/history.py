"""What was changed in an episode, to be taken back and made again."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from sqlalchemy import Select, delete, func
from sqlalchemy import select as columns
from sqlmodel import Session, col, select

from webapp.plan.episode import Episode
from webapp.store.statements import OWN
from webapp.store.tables import ChangeRow

KEPT_CHANGES: Final = 200  # an episode; older ones can no longer be undone

_NOT_LAST: Final = (
    "{what}: the plan was changed in another tab or window, or by someone else, since this page "
    "was shown.{now}"
)


@dataclass(frozen=True)
class Change:
    """One entry of an episode's history."""

    number: int
    words: str
    made_at: datetime
    undone: bool
    browser: str = ""  # that it came from; empty where that is not known

    @property
    def id(self) -> str:
        """What no other change of the episode is called, ever: a number is used again."""
        return f"{self.number}-{self.made_at:%Y%m%dT%H%M%S%f}"

    def told_in(self, browser: str) -> str:
        """Its words, as told in that browser: what came from another says so."""
        elsewhere = self.browser and browser and self.browser != browser
        return f"{self.words}, made elsewhere" if elsewhere else self.words


@dataclass(frozen=True)
class Standing:
    """How it stands with an episode: what every page of it shows besides its plan."""

    edition: int
    revision: int
    to_undo: Change | None
    to_redo: Change | None

    @property
    def undo(self) -> str | None:
        """Words of the change that can be undone."""
        return self.to_undo.words if self.to_undo else None

    @property
    def redo(self) -> str | None:
        """Words of the change that can be made again."""
        return self.to_redo.words if self.to_redo else None


def not_last(now: Change | None, *, back: bool) -> str:
    """Why nothing is undone, or made again, and what would be now."""
    what = "Nothing was undone" if back else "Nothing was made again"
    would = f" {'Undo' if back else 'Redo'} is now for “{now.words}”." if now else ""
    return _NOT_LAST.format(what=what, now=would)


# Composed once: see `statements`.
_NUMBER: Final = col(ChangeRow.number)
_OF_EPISODE: Final = col(ChangeRow.episode_id) == OWN
_NEWEST: Final = (
    columns(_NUMBER, col(ChangeRow.undone))
    .where(_OF_EPISODE)
    .order_by(_NUMBER.desc())
    .limit(1)
)  # fmt: skip


def _next(*asked: Any, back: bool) -> Select[Any]:
    """The change undo (`back`) or redo would step over."""
    wanted = _OF_EPISODE, col(ChangeRow.undone) == (not back)
    return columns(*asked).where(*wanted).order_by(_NUMBER.desc() if back else _NUMBER).limit(1)


_SHOWN: Final = tuple(
    map(
        col,
        (
            ChangeRow.number,
            ChangeRow.words,
            ChangeRow.made_at,
            ChangeRow.undone,
            ChangeRow.browser,
        ),
    )
)
_NEXT: Final = {back: _next(*_SHOWN, back=back) for back in (True, False)}
_BEFORE: Final = _next(col(ChangeRow.before), back=True)


def make_room(session: Session, episode_id: str) -> int:
    """Forget what was taken back and what is too old; returns the next change's number."""
    of_episode = col(ChangeRow.episode_id) == episode_id
    last = session.connection().execute(_NEWEST, {"own": episode_id}).one_or_none()
    if last is not None and last.undone:  # so are those after the last that is not
        session.exec(delete(ChangeRow).where(of_episode, col(ChangeRow.undone)))
        kept = columns(func.max(_NUMBER)).where(of_episode)
        free = (session.connection().execute(kept).scalar_one() or 0) + 1
    else:
        free = last.number + 1 if last is not None else 1
    if free > KEPT_CHANGES:
        session.exec(delete(ChangeRow).where(of_episode, free - KEPT_CHANGES >= _NUMBER))
    return free


def next_change(session: Session, episode_id: str, *, back: bool) -> Change | None:
    """The change undo (`back`) or redo would step over. Reads none of its documents."""
    found = session.connection().execute(_NEXT[back], {"own": episode_id}).one_or_none()
    if found is None:
        return None
    return Change(found.number, found.words, found.made_at, found.undone, found.browser or "")


def document_before(session: Session, episode_id: str) -> bytes | None:
    """What the episode was before the change that undo would step over, packed; None without."""
    asked = session.connection().execute(_BEFORE, {"own": episode_id})
    found: bytes | None = asked.scalar_one_or_none()
    return found


def row_of(session: Session, episode_id: str, number: int) -> ChangeRow:
    """The change of that number, with its documents, to be marked as taken back or made again."""
    own = ChangeRow.episode_id == episode_id, ChangeRow.number == number
    return session.exec(select(ChangeRow).where(*own)).one()


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
