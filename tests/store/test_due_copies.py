"""When a copy of the plans is due, and which day it counts for, whatever a clock says."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine

from webapp.plan.episode import Episode
from webapp.store.changed_last import changed_last
from webapp.store.database import database_path, open_database
from webapp.store.kept_copies import DailyCopies, State, Why, copies_in, due, last_uncopied
from webapp.store.repository import EpisodeStore

pytestmark = pytest.mark.sqlite
MORNING = datetime(2026, 5, 1, 9)
YESTERDAY, SINCE = MORNING - timedelta(days=1), MORNING - timedelta(minutes=1)


@pytest.mark.parametrize(
    ("newest", "changed", "is_due", "at_end"),
    [
        (None, None, None, None),  # nothing to copy
        (YESTERDAY, None, None, None),  # nothing changed since
        (None, SINCE, "daily", "at-end"),
        (YESTERDAY, SINCE, "daily", "at-end"),
        (MORNING - timedelta(hours=1), SINCE, None, "at-end"),
        # How an earlier day was left, where Seamslate ran on or was killed.
        (YESTERDAY, YESTERDAY + timedelta(hours=9), "at-end", "at-end"),
    ],
)
def test_a_copy_is_due_after_a_days_first_change_and_of_how_it_was_left(
    newest: datetime | None, changed: datetime | None, is_due: Why | None, at_end: Why | None
) -> None:
    assert due(newest, changed, MORNING) == is_due
    assert due(newest, changed, MORNING, ends=True) == at_end


def dated(*moments: datetime, deleted: datetime | None = None) -> State:
    """What was changed then, on this computer's clock."""
    utc = [f"{at.astimezone(UTC):%Y-%m-%d %H:%M:%S.%f}" for at in (*moments, deleted) if at]
    gone = utc.pop() if deleted else ""
    return State((str(number), at, gone) for number, at in enumerate(utc))


COPIED, LATE = dated(YESTERDAY), YESTERDAY + timedelta(hours=9)


@pytest.mark.parametrize(
    ("state", "newest", "last"),
    [
        (dated(), None, None),
        (COPIED, YESTERDAY, None),
        (dated(YESTERDAY, LATE), YESTERDAY, LATE),
        (dated(YESTERDAY, deleted=LATE), YESTERDAY, LATE),
        (dated(YESTERDAY, YESTERDAY - timedelta(1)), YESTERDAY, MORNING),  # put back, or so dated
        (dated(YESTERDAY, MORNING + timedelta(hours=5)), YESTERDAY, MORNING),
        (dated(YESTERDAY, LATE, MORNING + timedelta(5)), YESTERDAY, LATE),
        (COPIED | {("spilt", "tea", "")}, YESTERDAY, MORNING),
    ],
)
def test_of_a_change_that_is_in_no_copy_the_clock_is_believed_as_far_as_it_can_be_right(
    state: State, newest: datetime | None, last: datetime | None
) -> None:
    assert last_uncopied(state, COPIED, newest, MORNING) == last


class Clock:
    """What a computer takes for now, for what is changed and for its copies."""

    def __init__(self, engine: Engine, folder: Path, now: datetime) -> None:
        self.now = now
        self._store = EpisodeStore(engine, lambda: self.now.astimezone(UTC))
        self._copies = DailyCopies(engine, folder, lambda: self.now)
        self._added = 0

    def work(self, at: datetime) -> None:
        """An episode more."""
        self.now, self._added = at, self._added + 1
        self._store.add(Episode(id=f"e{self._added}", title=f"Of {at:%d %B, %H:%M}"))

    def look(self, at: datetime, *, ends: bool = False) -> str:
        """What it copies then: why, the day it counts for and how many episodes."""
        self.now = at
        made = self._copies.make_if_due(ends=ends)
        return f"{made.why} {made.made_at:%d} {made.episodes()}" if made else ""


@pytest.fixture
def clock(tmp_path: Path) -> Clock:
    """Of a computer whose plans are empty yet."""
    return Clock(open_database(database_path(tmp_path)), tmp_path, MORNING)


def test_a_server_that_runs_for_days_copies_how_each_was_left_and_its_first_change(
    clock: Clock, tmp_path: Path
) -> None:
    clock.work(MORNING)
    assert [clock.look(MORNING), clock.look(MORNING)] == ["daily 01 1", ""]
    clock.work(evening := MORNING.replace(hour=18))
    assert clock.look(evening) == ""
    midnight = MORNING.replace(day=2, hour=0)
    assert clock.look(midnight) == "at-end 01 2"  # of the day before
    assert clock.look(midnight) == ""  # as long as nobody works
    clock.work(midnight + timedelta(seconds=2.5))
    assert clock.look(midnight + timedelta(seconds=12)) == "daily 02 3"
    assert clock.look(midnight + timedelta(seconds=22)) == ""
    newest = copies_in(tmp_path)[0]
    assert newest.made_at == midnight + timedelta(seconds=2)
    last = changed_last(newest.path, newest.until)
    assert last is not None
    assert last.at == (midnight + timedelta(seconds=2.5)).astimezone()


@pytest.mark.parametrize("runs_on", [False, True])
def test_of_each_day_of_use_the_first_and_the_last_are_kept_whether_it_is_closed_or_runs_on(
    clock: Clock, tmp_path: Path, *, runs_on: bool
) -> None:
    for week in range(8):
        day = MORNING + timedelta(weeks=week)
        for hour in (9, 18):
            clock.work(day.replace(hour=hour))
            clock.look(clock.now)
        clock.look(day + timedelta(hours=15) if runs_on else clock.now, ends=not runs_on)
    kept = [f"{one.made_at:%m-%d %H}" for one in reversed(copies_in(tmp_path))]
    last_seven = ["05-08", "05-15", "05-22", "05-29", "06-05", "06-12", "06-19"]
    assert kept == [f"{day} {hour}" for day in last_seven for hour in ("09", "18")]


def test_a_change_dated_by_a_clock_that_was_ahead_keeps_no_copy_away(clock: Clock) -> None:
    clock.work(MORNING + timedelta(hours=5))
    assert clock.look(MORNING) == "daily 01 1"
    clock.work(MORNING + timedelta(minutes=5))
    assert clock.look(MORNING + timedelta(minutes=10), ends=True) == "at-end 01 2"
    assert clock.look(MORNING + timedelta(minutes=11), ends=True) == ""


def test_nor_does_one_on_the_day_before_its_moment(clock: Clock) -> None:
    clock.work(MORNING + timedelta(days=7))
    assert clock.look(MORNING) == "daily 01 1"
    day = MORNING + timedelta(days=6)
    made = []
    for hour in (13, 14, 15, 18):
        clock.work(day.replace(hour=hour))
        made.append(clock.look(clock.now))
    assert made == ["daily 07 2", "", "", ""]
    assert clock.look(day.replace(hour=22), ends=True) == "at-end 07 5"
