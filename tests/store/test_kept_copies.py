"""The copies that are made by themselves: when one is due, which are kept, and that it is sound."""

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine

from webapp.cli import main
from webapp.errors import FolderGoneError, NotThereError, StoreError
from webapp.plan.episode import Episode
from webapp.store import kept_copies
from webapp.store.backup import restore
from webapp.store.database import COPIES, database_path, dated_copy, open_database
from webapp.store.kept_copies import (
    Copy,
    DailyCopies,
    Why,
    copies_in,
    copy_called,
    state_of,
    superfluous,
)
from webapp.store.library import Library
from webapp.store.photos import write_photo
from webapp.store.repository import EpisodeStore

pytestmark = pytest.mark.sqlite
MORNING = datetime(2026, 5, 1, 9)


def a_copy(day: str, why: Why = "daily", hour: int = 9) -> Copy:
    """A copy of that day; no file of it is looked at."""
    moment = datetime.combine(date.fromisoformat(day), datetime.min.time()).replace(hour=hour)
    return Copy(Path(f"{why} {day} {hour}"), why, moment)


def days_kept(copies: list[Copy]) -> list[str]:
    """The days of those that are kept, the newest first."""
    gone = superfluous(copies)
    kept = sorted((one for one in copies if one not in gone), key=lambda c: c.made_at, reverse=True)
    return [f"{one.made_at:%Y-%m-%d}" for one in kept]


def test_seven_days_five_weeks_and_twelve_months_are_kept() -> None:
    # Copied on each day of 2025 and on to Friday 1 May 2026.
    first, last = date(2025, 1, 1), date(2026, 5, 1)
    every = [a_copy(str(first + timedelta(days=n))) for n in range((last - first).days + 1)]
    assert days_kept(every) == [
        *("2026-05-01", "2026-04-30", "2026-04-29", "2026-04-28", "2026-04-27"),  # the 7 days
        *("2026-04-26", "2026-04-25"),
        *("2026-04-19", "2026-04-12", "2026-04-05"),  # Sundays; this week and the last have theirs
        *("2026-03-31", "2026-02-28", "2026-01-31", "2025-12-31", "2025-11-30"),  # 12 months
        *("2025-10-31", "2025-09-30", "2025-08-31", "2025-07-31", "2025-06-30"),
    ]


def test_days_of_use_count_and_not_those_between() -> None:
    seldom = [a_copy(f"2026-{month:02}-03") for month in range(1, 8)]
    assert superfluous(seldom) == ()


@pytest.mark.parametrize("whys", [("daily", "daily"), ("daily", "at-end"), ("at-end", "at-end")])
def test_of_a_day_the_first_copy_and_the_last_are_kept(whys: tuple[Why, Why]) -> None:
    early, late = a_copy("2026-05-01", whys[0], 9), a_copy("2026-05-01", whys[1], 18)
    between = [a_copy("2026-05-01", why, 12) for why in ("daily", "at-end")]
    later = [a_copy("2026-05-02"), a_copy("2026-05-09")]
    assert superfluous([early, late, *later]) == ()
    assert set(superfluous([early, *between, late, *later])) == set(between)


def test_of_the_last_two_days_all_copies_are_kept_up_to_twelve_of_each() -> None:
    friday = [a_copy("2026-05-01", "at-end", hour) for hour in range(8, 20)]
    monday = [a_copy("2026-05-04", "at-end", hour) for hour in range(8, 22)]
    assert superfluous(friday) == superfluous([*friday, *monday[:12]]) == ()
    assert set(superfluous([*friday, *monday])) == set(monday[1:3])  # not the day's first
    tuesday = a_copy("2026-05-05")
    assert set(superfluous([*friday, tuesday, monday[0]])) == set(friday[1:-1])


def test_the_last_copy_of_each_day_is_kept_both_of_its_begin_and_of_its_end() -> None:
    first = date(2026, 4, 1)
    days = [str(first + timedelta(days=n)) for n in range(30)]
    begun = [a_copy(day) for day in days]
    left = [a_copy(day, "at-end", hour) for day in days for hour in (12, 18)]
    gone = superfluous([*begun, *left])
    assert [one for one in begun if one not in gone] == begun[-7:]
    kept = [one for one in left if one not in gone]
    assert [one.made_at.hour for one in kept[-4:]] == [12, 18, 12, 18]  # the last two days, all
    kept = [one for one in kept if one not in (left[-2], left[-4])]
    assert {one.made_at.hour for one in kept} == {18}
    seldom = ["2026-04-05", "2026-04-12", "2026-04-19"]
    assert [f"{one.made_at:%Y-%m-%d}" for one in kept] == [*seldom, *days[-7:]]
    assert len(kept) == 10  # a week's or a month's is that of its last day's end


def test_five_before_updates_and_five_before_restores_are_kept_beside_the_daily_ones() -> None:
    updates = [a_copy(f"2026-04-{day:02}", "before-update") for day in range(1, 8)]
    restores = [a_copy(f"2026-04-{day:02}", "before-restore") for day in range(1, 7)]
    daily = [a_copy("2026-01-01")]
    assert set(superfluous([*updates, *restores, *daily])) == {*updates[:2], *restores[:1]}


@pytest.fixture
def engine(tmp_path: Path) -> Engine:
    """A database with one episode."""
    made = open_database(database_path(tmp_path))
    EpisodeStore(made).add(Episode(id="smock", title="Smock"))
    return made


def tomorrow() -> datetime:
    """A day on."""
    return datetime.now() + timedelta(days=1)


def test_the_copy_of_the_day_is_made_while_in_use_and_is_sound(
    engine: Engine, tmp_path: Path
) -> None:
    daily = DailyCopies(engine, tmp_path)
    made = daily.make_if_due()
    assert made is not None
    assert (made.why, made.episodes()) == ("daily", 1)
    assert [entry.name for entry in (tmp_path / COPIES).iterdir()] == [made.name]
    assert daily.make_if_due() is None
    EpisodeStore(engine).add(Episode(id="skirt", title="Skirt"))
    assert daily.make_if_due() is None  # one a day
    next_day = DailyCopies(engine, tmp_path, tomorrow).make_if_due()
    assert next_day is not None
    assert next_day.episodes() == 2
    # Of one second, perhaps; the first change of the day comes before how it was left.
    assert [one.name for one in copies_in(tmp_path)] == [next_day.name, made.name]


@pytest.mark.parametrize(
    "act",
    [
        lambda engine: EpisodeStore(engine).delete("smock"),
        lambda engine: Library(engine).put("recipe", "Apron", "{}"),
    ],
)
def test_at_the_end_only_what_is_in_no_copy_is_copied_however_soon_it_ends(
    engine: Engine, tmp_path: Path, act: Callable[[Engine], object]
) -> None:
    def begun_second() -> datetime:
        return datetime.now().replace(microsecond=0)  # as a copy's name tells it

    ends = DailyCopies(engine, tmp_path, begun_second)
    assert ends.make_if_due(ends=True) is not None
    assert ends.make_if_due(ends=True) is None
    act(engine)
    made = ends.make_if_due(ends=True)
    assert made is not None
    assert made.state() == state_of(engine)
    assert ends.make_if_due(ends=True) is None


@pytest.mark.parametrize(
    "act",
    [
        lambda store, _: store.change("smock", "R", lambda e: e.model_copy(update={"number": 3})),
        lambda store, _: store.keep("smock", lambda e: e.model_copy(update={"number": 4})),
        lambda store, _: store.delete("smock"),
        lambda _, library: library.put("recipe", "Apron", "{}"),
        lambda _, library: library.take_out("recipe", library.put("recipe", "Apron", "{}")),
    ],
)
def test_whatever_is_changed_counts_as_use(engine: Engine, act: object) -> None:
    assert callable(act)
    before = state_of(engine)
    act(EpisodeStore(engine), Library(engine))
    assert state_of(engine) - before


def test_a_copy_that_is_not_sound_is_no_copy_and_the_others_stay(
    engine: Engine,
    tmp_path: Path,
    caplog: pytest.LogCaptureFixture,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    first = DailyCopies(engine, tmp_path).make_if_due()
    assert first is not None
    EpisodeStore(engine).add(Episode(id="skirt", title="Skirt"))
    with closing(sqlite3.connect(database_path(tmp_path))) as connection, connection:
        connection.execute("UPDATE episodes SET document = 'spilt tea' WHERE id = 'smock'")
    daily = DailyCopies(engine, tmp_path, tomorrow)
    with pytest.raises(StoreError, match="The copy is damaged: the episode “Smock”"):
        daily.make_if_due()
    assert [one.name for one in copies_in(tmp_path)] == [first.name]
    assert [entry.name for entry in (tmp_path / COPIES).iterdir()] == [first.name]
    monkeypatch.setattr(kept_copies, "_LOOK_S", 0.0)
    monkeypatch.setattr(kept_copies, "_AGAIN_S", 0.01)
    daily.start()
    while caplog.text.count("A copy of the plans was not made. The copy is damaged") < 2:
        daily._thread.join(0.01)  # it is told, and tried again
    daily.close()
    daily._thread.join(5)
    assert not daily._thread.is_alive()


def test_after_a_copy_that_could_not_be_made_it_is_waited_longer(
    engine: Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    daily, waited = DailyCopies(engine, tmp_path), []
    (tmp_path / COPIES).touch()  # in the way of the first

    def wait(seconds: float) -> bool:
        waited.append(seconds)
        if len(waited) == 3:
            (tmp_path / COPIES).unlink()
        return len(waited) == 4

    monkeypatch.setattr(daily._ended, "wait", wait)
    daily._look()
    assert len(copies_in(tmp_path)) == 1
    assert waited == [kept_copies._LOOK_S, kept_copies._AGAIN_S, kept_copies._AGAIN_S, waited[0]]
    assert waited[1] > waited[0]


def test_a_new_copy_thins_out_the_old_ones_and_what_was_never_finished(
    engine: Engine, tmp_path: Path
) -> None:
    path = database_path(tmp_path)
    for number in range(6):
        dated_copy(path, "before-restore", MORNING + timedelta(days=number)).touch()
    damaged = copies_in(tmp_path)[-1].path
    damaged.with_name(f"{damaged.name}-wal").touch()
    (tmp_path / COPIES / "mine.db").touch()
    (tmp_path / COPIES / "new.db.part").touch()
    (tmp_path / "seamslate.db.restored.0a1b2c3d.part-journal").touch()  # killed in a restore
    made = DailyCopies(engine, tmp_path, lambda: datetime.now() + timedelta(days=2)).make_if_due()
    assert made is not None
    left = {entry.name for entry in (tmp_path / COPIES).iterdir()}
    assert left == {"mine.db", made.name, *(one.name for one in copies_in(tmp_path))}
    assert not list(tmp_path.glob("*restored*"))
    assert damaged.name not in left
    assert len(left) == 2 + 5


def test_what_was_put_back_from_an_earlier_copy_is_not_copied_once_more(
    engine: Engine, tmp_path: Path
) -> None:
    daily = DailyCopies(engine, tmp_path)
    first = daily.make_if_due()
    EpisodeStore(engine).change("smock", "title", lambda e: e.model_copy(update={"title": "Gown"}))
    assert first is not None and daily.make_if_due(ends=True) is not None
    engine.dispose()
    restore(tmp_path, first.path)
    engine = open_database(database_path(tmp_path))
    assert DailyCopies(engine, tmp_path).make_if_due(ends=True) is None
    EpisodeStore(engine).delete("smock")
    assert DailyCopies(engine, tmp_path).make_if_due(ends=True) is not None


@pytest.mark.parametrize("file_alone", [False, True])
def test_what_was_moved_away_is_not_made_anew_and_can_be_put_back(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, *, file_alone: bool
) -> None:
    folder = tmp_path / "plans"
    engine = open_database(database_path(folder))
    store, daily = EpisodeStore(engine), DailyCopies(engine, folder)
    store.add(Episode(id="smock", title="Smock"))
    moved = database_path(folder) if file_alone else folder
    moved.rename(tmp_path / "moved")
    with pytest.raises(FolderGoneError, match="this copy was not made"):
        daily.make_if_due()
    if not file_alone:
        with pytest.raises(FolderGoneError):
            write_photo(folder / "photos", "a.png", b"")
    daily.make_last()
    assert "is not there any more" in caplog.text
    assert folder.exists() == file_alone
    (tmp_path / "moved").rename(moved)
    store.add(Episode(id="skirt", title="Skirt"))
    made = daily.make_if_due()
    assert made is not None and made.episodes() == 2


def test_copies_from_days_to_come_by_a_wrong_clock_keep_no_copy_of_today_away(
    engine: Engine, tmp_path: Path
) -> None:
    years_on = datetime.now() + timedelta(days=2000)
    for number in range(40):
        dated_copy(database_path(tmp_path), "daily", years_on + timedelta(days=number)).touch()
    daily = DailyCopies(engine, tmp_path)
    made = daily.make_if_due()
    assert made is not None
    assert made.path.exists()  # nor is it thinned out beside them
    assert daily.make_if_due() is None
    EpisodeStore(engine).add(Episode(id="skirt", title="Skirt"))
    assert DailyCopies(engine, tmp_path, tomorrow).make_if_due() is not None


def test_copies_of_earlier_versions_lie_beside_the_plans_and_are_found(tmp_path: Path) -> None:
    (tmp_path / "seamslate-before-update-2026-05-01-093000.db").touch()
    (tmp_path / "seamslate-before-update-2026-13-01-093000.db").touch()  # no such month
    (one,) = copies_in(tmp_path)
    assert one.made_at == datetime(2026, 5, 1, 9, 30)
    assert one.episodes() is None  # it is empty
    with pytest.raises(NotThereError, match="There is no copy called seamslate"):
        copy_called(tmp_path, "seamslate.db")


def test_copies_are_listed_and_restored_by_name(
    engine: Engine, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made = DailyCopies(engine, tmp_path).make_if_due()
    assert made is not None
    EpisodeStore(engine).delete("smock")
    engine.dispose()
    data = ["--data", str(tmp_path)]
    assert main(["copies", *data]) == 0
    (line,) = capsys.readouterr().out.splitlines()
    assert line.startswith(f"{made.name}  ")
    told, last = line.split("; last change ")
    assert told.endswith("Soon after the day’s first change: 1 episode, 0.1 MB")
    assert last.endswith(", “Smock”")
    assert main(["restore", made.name, *data]) == 0
    engine = open_database(database_path(tmp_path))
    assert [one.title for one in EpisodeStore(engine).list()] == ["Smock"]
    engine.dispose()
    assert {one.why for one in copies_in(tmp_path)} == {"before-restore", "daily"}
    assert main(["copies", "--data", str(tmp_path / "nowhere")]) == 0
    nothing = "There are no copies in {} yet. If your plans are elsewhere, name their folder with"
    assert nothing.format(tmp_path / "nowhere") in capsys.readouterr().err
    assert main(["restore", made.name, "--data", str(tmp_path / "nowhere")]) == 2
    assert "there are no copies in" in (told := capsys.readouterr().err)
    assert "If your plans are elsewhere, name their folder with --data" in told
    assert main(["restore", made.name.removesuffix(".db"), *data]) == 0


def test_an_episode_that_cannot_be_read_is_a_reason_not_to_restore_unless_told_so(
    engine: Engine, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made = DailyCopies(engine, tmp_path).make_if_due()
    engine.dispose()
    assert made is not None
    doubtful = tmp_path / "doubtful.backup"
    shutil.copy(made.path, doubtful)
    with closing(sqlite3.connect(doubtful)) as connection, connection:
        connection.execute("UPDATE episodes SET document = '{}'")
    before = database_path(tmp_path).read_bytes()
    assert main(["restore", str(doubtful), "--data", str(tmp_path)]) == 2
    assert "Nothing was restored, because of “Smock” in it." in capsys.readouterr().err
    assert database_path(tmp_path).read_bytes() == before
    assert main(["restore", str(doubtful), "--anyway", "--data", str(tmp_path)]) == 0
