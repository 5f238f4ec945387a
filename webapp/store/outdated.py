"""Saves from a page that is out of date: made where they write over nothing, else told."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import chain
from typing import Final

from sqlalchemy import bindparam, func
from sqlalchemy import select as columns
from sqlmodel import Session, col

from webapp.errors import ChangedElsewhereError, RefusedError, SeamslateError, TakenOutError
from webapp.filming.shoot_days import told_day
from webapp.plan.beside import (
    but_for_others,
    is_of_another,
    makes_again,
    stands_beside,
    told_apart,
    were_there,
)
from webapp.plan.episode import Episode
from webapp.store.documents import read, settle, unpacked
from webapp.store.history import next_change
from webapp.store.rows import value_of
from webapp.store.sent import put_back_since
from webapp.store.statements import DOCUMENT, EDITION, OWN
from webapp.store.tables import ChangeRow

_TOLD: Final = (
    "the plan was changed in another tab or window, or by someone else, since this page was "
    "shown{last}. Nothing was written over."
)
_PUT_BACK: Final = (
    "a copy of all plans was put back on {when}, since this page was shown. Nothing was written "
    "over."
)

# Composed once: see `statements`.
_OF_EPISODE: Final = col(ChangeRow.episode_id) == OWN
_EDITION: Final = col(ChangeRow.edition)
# The change that made the next edition began at this one.
_DOCUMENT: Final = columns(col(ChangeRow.before)).where(
    _OF_EPISODE, bindparam("shown") + 1 == _EDITION
)
# It is kept with the change that made the edition, too: where that was taken back since.
_MADE: Final = columns(col(ChangeRow.after)).where(_OF_EPISODE, bindparam("shown") == _EDITION)
_DOCUMENTS: Final = columns(col(ChangeRow.before)).where(
    _OF_EPISODE, bindparam("shown") + 1 < _EDITION, bindparam("until") >= _EDITION
)
_SINCE: Final = _OF_EPISODE, bindparam("shown") < _EDITION, bindparam("until") >= _EDITION
_WORDS: Final = (
    columns(col(ChangeRow.words))
    .where(*_SINCE, col(ChangeRow.undone).is_(False))
    .order_by(_EDITION)
)
_LAST_EDITION: Final = columns(func.count(), func.max(_EDITION)).where(*_SINCE)
_UNDONE: Final = columns(col(ChangeRow.before), col(ChangeRow.after)).where(
    *_SINCE, col(ChangeRow.undone).is_(True)
)


def changed_elsewhere(session: Session, episode_id: str, shown: int) -> ChangedElsewhereError:
    """Why a save from a page of the edition `shown` is refused, and what made it outdated."""
    if at := put_back_since(session, episode_id, shown):
        at = at.astimezone()
        return ChangedElsewhereError(_PUT_BACK.format(when=f"{told_day(at.date())} at {at:%H:%M}"))
    undone = next_change(session, episode_id, back=False)
    # Else it may have been taken back before, and another made again since.
    if undone and seen_in(session, episode_id, shown):
        told = f" (“{undone.words}” was taken back with Undo)"
    else:
        last = next_change(session, episode_id, back=True)
        told = f" (the last change is “{last.words}”)" if last else ""
    return ChangedElsewhereError(_TOLD.format(last=told))


def words_since(session: Session, episode_id: str, shown: int, until: int) -> tuple[str, ...]:
    """Words of the changes that stand, after the edition `shown` up to the other, oldest first."""
    named = {"own": episode_id, "shown": shown, "until": until}
    return tuple(session.connection().execute(_WORDS, named).scalars())


# Ids of the things that are in a plan as an edit makes them.
Marks = Callable[[Episode], frozenset[str]]


class NotPreparedError(Exception):
    """A save from an outdated page, of which it is not worked out yet what it makes of the plan."""


@dataclass(frozen=True)
class Prepared:
    """What a save from an outdated page makes of the plan as it was in an edition."""

    edition: int
    made: Episode
    text: str


def made_beside(
    session: Session,
    now: Episode,
    edition: int,
    edit: Callable[[Episode], Episode],
    shown: int,
    always: Marks | None = None,
) -> Prepared:
    """What an edit from a page of the edition `shown` makes of the plan as it is `now`.

    TakenOutError where it is meant for a thing that is not there any more; ChangedElsewhereError
    unless that is just what it makes of the plan she saw, and nothing that was taken back since:
    its answer may have been lost, so that it is sent once more. What is made `always` need only not
    be taken back.
    """
    refused = changed_elsewhere(session, now.id, shown)
    if always is not None:
        if _is_taken_back(session, now, edition, shown, always):
            raise refused
        return Prepared(edition, *settle(edit(now), now))
    try:
        seen = seen_in(session, now.id, shown)
        undone = list(_undone(session, now.id, shown, edition))
        steps = len(words_since(session, now.id, shown, edition)) + 2 * len(undone)
        if seen is not None and steps == edition - shown:  # else it is not known what came between
            does, meant = settle(edit(now), now)[0], settle(edit(seen), seen)[0]
            is_beside = stands_beside(seen, meant, now, does)
            made = does if is_beside else but_for_others(seen, meant, now, does)
            if (
                made is not None
                and were_there(seen, meant, _between(session, now.id, shown, edition))
                and not makes_again(seen, meant, undone)
            ):
                return Prepared(edition, *settle(made, now))
            if is_of_another(seen, meant, now, does):
                raise TakenOutError
            refused.hers, refused.others = told_apart(seen, meant, now)
    except (RefusedError, TakenOutError):
        raise  # not by the edit
    except (SeamslateError, ValueError):
        pass  # told once it is saved anew, if it still is so then
    raise refused


def _is_taken_back(session: Session, now: Episode, edition: int, shown: int, marks: Marks) -> bool:
    """Whether anything that has its mark was in the plan since and is not any more.

    True, too, where that is not known: only what Undo and Redo did last is told by what is kept.
    """
    named = {"own": now.id, "shown": shown, "until": edition}
    many, last = session.connection().execute(_LAST_EDITION, named).one()
    if many != (last or shown) - shown or put_back_since(session, now.id, shown):
        return True
    undone = (after for _, after in _undone(session, now.id, shown, edition))
    since = chain(_between(session, now.id, shown, edition), undone)
    here = marks(now)
    return any(marks(one) - here for one in since)


def prepare(
    session: Session,
    episode_id: str,
    edit: Callable[[Episode], Episode],
    expected: int | None,
    always: Marks | None = None,
) -> Prepared | None:
    """What a save from an outdated page makes of the plan; None where it is as the page showed."""
    edition: int = value_of(session, EDITION, episode_id)
    if expected is None or edition == expected:
        return None
    now = read(value_of(session, DOCUMENT, episode_id))
    return made_beside(session, now, edition, edit, expected, always)


def seen_in(session: Session, episode_id: str, shown: int) -> Episode | None:
    """The episode when it was of that edition; None where that is not known."""
    if value_of(session, EDITION, episode_id) == shown:
        return read(value_of(session, DOCUMENT, episode_id))
    for asked in (_DOCUMENT, _MADE):
        found = session.connection().execute(asked, {"own": episode_id, "shown": shown})
        document: bytes | None = found.scalar_one_or_none()
        if document is not None:
            return read(unpacked(document))
    return None


def _undone(
    session: Session, episode_id: str, shown: int, until: int
) -> Iterator[tuple[Episode, Episode]]:
    """What was changed after the one edition and taken back: the episode before and after it."""
    named = {"own": episode_id, "shown": shown, "until": until}
    for before, after in session.connection().execute(_UNDONE, named):
        yield read(unpacked(before)), read(unpacked(after))


def _between(session: Session, episode_id: str, shown: int, until: int) -> Iterator[Episode]:
    """The episode in each edition after the one and before the other, in no order."""
    named = {"own": episode_id, "shown": shown, "until": until}
    for document in session.connection().execute(_DOCUMENTS, named).scalars():
        yield read(unpacked(document))
