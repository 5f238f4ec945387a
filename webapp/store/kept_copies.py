"""The copies of the plans in the folder `copies`, which are made by themselves and thinned out.

One is made soon after the first change of each day, one of how the plans are left when Seamslate is
closed or a day is over, one before each update and one before each restore. The first two are named
by the moment of the last change in them, so that each counts for the day it is of, also where that
is over. They hold the plans, not the pictures: a picture is named by its content, never altered and
never deleted, so it is still there when a copy is put back.
"""

import contextlib
import logging
import re
import sqlite3
import threading
from collections.abc import Callable, Iterable
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any, Final, Literal, get_args

from sqlalchemy import Engine, text

from webapp.command import to_type
from webapp.errors import NotThereError, StoreError
from webapp.store.copies import write_copy
from webapp.store.database import (
    COPIES,
    DATABASE_NAME,
    database_path,
    dated_copy,
    reading,
    transaction,
)
from webapp.store.proof import prove

Why = Literal["daily", "at-end", "before-update", "before-restore"]
# An id, when it was last changed and when it was deleted, as they are kept; empty where it was not.
State = frozenset[tuple[str, str, str]]

# Of each day, week and month with one that was made in use, the last is kept, as far back as this;
# of a day, the first too; of the latest days, also those between, as of how it was this morning.
DAYS: Final = 7
WHOLE_DAYS: Final = 2
MOST_OF_A_DAY: Final = 12
WEEKS: Final = 5
MONTHS: Final = 12
BEFORE: Final = 5  # copies before an update, and as many before a restore

_NAME: Final = re.compile(
    rf"seamslate-({'|'.join(get_args(Why))})-(\d{{4}}-\d\d-\d\d-\d{{6}})(?:-(\d{{1,9}}))?\.db"
)
_LOOK_S: Final = 10.0  # between two looks whether a copy is due, of some 4 ms each
_AGAIN_S: Final = 300.0  # after one that could not be made, as where there is no room for it
_LONGEST_CLOSE_S: Final = 5.0
_LEFT_OVER: Final = timedelta(days=1)  # what was begun and is older was never finished
_UNKNOWN: Final = "Seamslate does not know the reason; the log says more."

_STATE: Final = (
    "SELECT id, updated_at, deleted_at FROM episodes "
    "UNION ALL SELECT id, kept_at, deleted_at FROM kept"
)

_log: Final = logging.getLogger(__name__)
_one_at_a_time: Final = threading.Lock()
_IN_USE: Final[tuple[Why, ...]] = ("daily", "at-end")


@dataclass(frozen=True)
class Copy:
    """A copy of the plans, and when and why it was made."""

    path: Path
    why: Why
    made_at: datetime  # on this computer's clock; in use, when it was last changed
    turn: int = 1  # among those of the same second

    @property
    def name(self) -> str:
        """What it is called, also when it is asked for."""
        return self.path.name

    @property
    def size_bytes(self) -> int:
        """0 when it is gone meanwhile."""
        try:
            return self.path.stat().st_size
        except OSError:
            return 0

    def episodes(self) -> int | None:
        """How many episodes are in it that are not deleted; None when it cannot be read."""
        return episodes_in(self.path)

    def state(self) -> State:
        """All that is in it; empty where it cannot be read, as in a copy of the first version."""
        return _state(_all(self.path, _STATE))

    @property
    def until(self) -> datetime:
        """No change that is in it is dated after that, unless by a clock that was ahead."""
        return self.made_at + timedelta(seconds=1)  # a name has no fractions


def episodes_in(path: Path) -> int | None:
    """How many episodes that are not deleted a file holds; None when it cannot be read."""
    found = _all(path, "SELECT count(*) FROM episodes WHERE deleted_at IS NULL")
    return int(found[0][0]) if found else None


def copies_in(data_dir: Path) -> tuple[Copy, ...]:
    """The copies there are, the newest first; none where the folder cannot be read."""
    found: list[Copy] = []
    # Earlier versions put copies beside the database.
    for folder in (data_dir / COPIES, data_dir):
        with contextlib.suppress(OSError):
            found.extend(copy for path in folder.iterdir() if (copy := _copy(path)))
    return _newest_first(found)


def how_to_put_back(data_dir: Path, database: str = "") -> str:
    """What to do about plans that are damaged or gone."""
    if copies_in(data_dir):
        start = to_type(data_dir, database=database)
        return f"On Seamslate's page “Copies” a copy can be put back. To start it:\n{start}"
    restore = to_type(data_dir, "restore", "FILE", database=database)
    return f"There are no copies in {data_dir / COPIES}. To put a backup of yours back:\n{restore}"


def copy_called(data_dir: Path, name: str) -> Copy:
    """The copy of that name. NotThereError when there is none."""
    for one in copies_in(data_dir):
        if one.name == name:
            return one
    raise NotThereError(f"There is no copy called {name} (any more).")


def superfluous(copies: Iterable[Copy]) -> tuple[Copy, ...]:
    """Those that are not kept: see `DAYS`, `WHOLE_DAYS`, `WEEKS`, `MONTHS` and `BEFORE`."""
    newest_first = _newest_first(copies)
    in_use = [one for one in newest_first if one.why in _IN_USE]
    kept = set(_first_of_each(reversed(in_use), _day)[-DAYS:])
    for most, period in ((DAYS, _day), (WEEKS, _week), (MONTHS, _month)):
        kept.update(_first_of_each(in_use, period)[:most])
    for last in _first_of_each(in_use, _day)[:WHOLE_DAYS]:
        of_day = [one for one in in_use if one.made_at.date() == last.made_at.date()]
        kept.update(of_day[: MOST_OF_A_DAY - 1])  # beside the first
    for why in ("before-update", "before-restore"):
        kept.update([one for one in newest_first if one.why == why][:BEFORE])
    return tuple(one for one in newest_first if one not in kept)


def thin_out(data_dir: Path, now: datetime) -> None:
    """Delete what is superfluous, and what was begun and never finished.

    Only to be done when a sound copy was made just now. One from a day to come, when the clock was
    wrong, stays until then: it must not pass for newer than those that are made now.
    """
    for one in superfluous(one for one in copies_in(data_dir) if one.made_at <= now):
        for path in (one.path, *one.path.parent.glob(f"{one.name}-*")):  # a damaged one has a log
            with contextlib.suppress(OSError):  # it is tried again with the next copy
                path.unlink()
    for folder, pattern in (
        (data_dir / COPIES, "*.part*"),
        (data_dir / COPIES, "*.rows*"),
        (data_dir, f"{DATABASE_NAME}.restored*"),
    ):
        for path in folder.glob(pattern):
            with contextlib.suppress(OSError):
                if now - datetime.fromtimestamp(path.stat().st_mtime) > _LEFT_OVER:
                    path.unlink()


def state_of(engine: Engine) -> State:
    """What there is, so that it is seen whether it is in a copy: no clock can tell that."""
    with transaction(reading(engine)) as session:
        return _state(session.connection().execute(text(_STATE)))


def copies_in_use(data_dir: Path, now: datetime) -> tuple[Copy, ...]:
    """Those that were made in use, but for one from a day to come, by a wrong clock."""
    return tuple(one for one in copies_in(data_dir) if one.why in _IN_USE and one.made_at <= now)


def last_uncopied(
    state: State, copied: State, newest: datetime | None, now: datetime
) -> datetime | None:
    """When the last change was made that is not `copied` in the `newest`; None where all is.

    What is dated after now, or before that copy, was dated by a wrong clock or put back: it counts
    as made now. All moments are on this computer's clock.
    """
    uncopied = state - copied
    if not uncopied:
        return None
    last = _last(uncopied, now)
    return now if last is None or (newest is not None and last < newest) else last


def due(
    newest: datetime | None, changed: datetime | None, now: datetime, *, ends: bool = False
) -> Why | None:
    """Which copy is due, if any is, where the last change that is in none was `changed` then.

    `newest` is the moment of the last copy. How an earlier day was left is due, of today the first
    change; and whatever is in none when Seamslate `ends`.
    """
    if changed is None:
        return None
    if ends or changed.date() != now.date():
        return "at-end"
    return None if newest is not None and newest.date() == now.date() else "daily"


class DailyCopies:
    """Makes the copies in use, in a thread of its own beside the pages, and that of the end."""

    def __init__(
        self, engine: Engine, data_dir: Path, now: Callable[[], datetime] = datetime.now
    ) -> None:
        self._engine, self._data_dir, self._now = engine, data_dir, now
        self.why_not: StoreError | None = None  # the last that was due could not be made
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._look, name="daily copies", daemon=True)

    def start(self) -> None:
        """Look from now on whether a copy is due."""
        self._thread.start()

    def close(self) -> None:
        """Look no more; a copy that is being made is waited for a little."""
        self._ended.set()
        if self._thread.is_alive():
            self._thread.join(_LONGEST_CLOSE_S)

    def make_last(self) -> None:
        """The copy of how it is left, before the database is let go of; troubles nobody."""
        self._tried(ends=True)

    def make_if_due(self, *, ends: bool = False) -> Copy | None:
        """Make the copy that is `due`, if one is, prove it and thin out the others.

        StoreError when it cannot be made; then the others are as they were.
        """
        with _one_at_a_time:
            now = self._now()
            found, state = copies_in_use(self._data_dir, now), state_of(self._engine)
            newest, copied = (found[0].made_at, found[0].state()) if found else (None, State())
            changed = last_uncopied(state, copied, newest, now)
            why = due(newest, changed, now, ends=ends)
            if why is None or changed is None:
                return None
            if any(one.state() == state for one in found):
                return None  # an earlier one was put back
            target = dated_copy(database_path(self._data_dir), why, changed)
            try:
                write_copy(self._engine, target)
                prove(target)
            except StoreError:
                target.unlink(missing_ok=True)
                raise
            thin_out(self._data_dir, now)
        return _copy(target)

    def _look(self) -> None:
        wait_s = _LOOK_S
        while not self._ended.wait(wait_s):
            wait_s = _LOOK_S if self._tried() else _AGAIN_S

    def _tried(self, *, ends: bool = False) -> bool:
        """Whether a copy was made or none is due."""
        try:
            if made := self.make_if_due(ends=ends):
                _log.info("A copy of the plans was made: %s", made.name)
        except StoreError as error:
            self.why_not = error
            _log.warning("A copy of the plans was not made. %s", error.sentence)
        except Exception:
            self.why_not = StoreError(_UNKNOWN)
            _log.exception("A copy of the plans was not made.")
        else:
            self.why_not = None
            return True
        return False


def _all(path: Path, asked: str) -> list[Any]:
    """The rows asked for; none where the file cannot be read."""
    try:
        address = f"{path.absolute().as_uri()}?mode=ro"
        with closing(sqlite3.connect(address, uri=True)) as connection:
            return connection.execute(asked).fetchall()
    except sqlite3.Error:
        return []


def _state(rows: Iterable[Iterable[object]]) -> State:
    return State((str(id), str(changed or ""), str(deleted or "")) for id, changed, deleted in rows)


def _last(state: State, until: datetime) -> datetime | None:
    """The last moment in it that is not after `until`, both on this computer's clock."""
    utc = f"{until.astimezone(UTC):%Y-%m-%d %H:%M:%S.%f}"
    found = max((at for _, *both in state for at in both if at <= utc), default="")
    try:
        return datetime.fromisoformat(found).replace(tzinfo=UTC).astimezone().replace(tzinfo=None)
    except (ValueError, OverflowError):  # there is none, or another wrote it
        return None


def _copy(path: Path) -> Copy | None:
    named = _NAME.fullmatch(path.name)
    if named is None:
        return None
    why, moment, turn = named.groups()
    try:
        made_at = datetime.strptime(moment, "%Y-%m-%d-%H%M%S")
        return Copy(path, why, made_at, int(turn or 1))  # type: ignore[arg-type]
    except ValueError:  # a date that no calendar has
        return None


def _newest_first(copies: Iterable[Copy]) -> tuple[Copy, ...]:
    """Of those of one second that of the day's first change was made before how it was left."""

    def made(one: Copy) -> tuple[datetime, bool, int, str]:
        return one.made_at, one.why != "daily", one.turn, one.name

    return tuple(sorted(copies, key=made, reverse=True))


def _first_of_each(copies: Iterable[Copy], period: Callable[[date], object]) -> list[Copy]:
    """Of each period, in the order of `copies`."""
    found: dict[object, Copy] = {}
    for one in copies:
        found.setdefault(period(one.made_at.date()), one)
    return list(found.values())


def _day(day: date) -> object:
    return day


def _week(day: date) -> object:
    return day.isocalendar()[:2]


def _month(day: date) -> object:
    return day.year, day.month
