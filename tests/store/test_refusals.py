"""What a database or the system refuses is told by its code.

Outside: SQLite's result codes, POSIX's errno and PostgreSQL's SQLSTATEs, each raised as its driver
raises it.
"""

import errno
import io
import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import create_engine
from sqlalchemy.exc import DBAPIError

from tests.filled import fill
from tests.small_disk import small_disk
from webapp import errors, log, worker
from webapp.cli import main
from webapp.doctor.plans import plans
from webapp.errors import (
    BusyError,
    DamagedError,
    DiskFaultError,
    DiskFullError,
    FolderGoneError,
    ReadOnlyError,
    RefusedError,
    ServerAwayError,
    StoreError,
)
from webapp.settings import Settings, files_dir
from webapp.store.database import database_path
from webapp.store.refusals import of_database, of_disk

ROOT = Path(__file__).parents[2]
LEAVES = [
    one for one in vars(errors).values()
    if isinstance(one, type) and issubclass(one, RefusedError) and one is not RefusedError
]  # fmt: skip


@pytest.mark.parametrize("kind", LEAVES)
def test_each_says_what_happened_what_is_safe_and_what_to_do(kind: type[RefusedError]) -> None:
    told = kind("/home/ann/plans", "this change is not")
    assert kind.status in (503, 507)
    for part in (told.happened, told.safe, told.to_do):
        assert part.endswith(".")
        assert part in told.sentence
    assert "/home/ann/plans" in told.happened
    where = "on this page only" if kind in (DamagedError, FolderGoneError) else "not"
    assert told.safe.endswith(f"; this change is {where}.")
    assert "not" not in kind("/home/ann/plans").safe.partition("Nothing")[0]


SQLITE = [
    (sqlite3.SQLITE_FULL, DiskFullError),
    (sqlite3.SQLITE_READONLY, ReadOnlyError),
    (sqlite3.SQLITE_READONLY_DBMOVED, FolderGoneError),
    (sqlite3.SQLITE_READONLY_DIRECTORY, ReadOnlyError),
    (sqlite3.SQLITE_BUSY, BusyError),
    (sqlite3.SQLITE_BUSY_SNAPSHOT, BusyError),
    (sqlite3.SQLITE_LOCKED, BusyError),
    (sqlite3.SQLITE_CORRUPT, DamagedError),
    (sqlite3.SQLITE_NOTADB, DamagedError),
    (sqlite3.SQLITE_IOERR_READ, DiskFaultError),
    (sqlite3.SQLITE_IOERR_WRITE, DiskFaultError),
    (sqlite3.SQLITE_CANTOPEN, DiskFaultError),
    (sqlite3.SQLITE_CONSTRAINT, StoreError),
    (sqlite3.SQLITE_ERROR, StoreError),
]


@pytest.mark.parametrize(("code", "kind"), SQLITE)
def test_sqlite_is_understood_by_its_code(tmp_path: Path, code: int, kind: type) -> None:
    (tmp_path / "plans.db").touch()
    error = sqlite3.OperationalError("whatever words a version has")
    error.sqlite_errorcode = code
    assert type(of_database(error, tmp_path / "plans.db")) is kind
    wrapped = DBAPIError("SELECT 1", {}, error)
    assert type(of_database(wrapped, tmp_path / "plans.db")) is kind


def test_of_a_file_that_cannot_be_opened_the_folder_says_why(tmp_path: Path) -> None:
    error = sqlite3.OperationalError("unable to open database file")
    error.sqlite_errorcode = sqlite3.SQLITE_CANTOPEN
    assert type(of_database(error, tmp_path / "gone" / "plans.db")) is FolderGoneError
    with small_disk(tmp_path / "disk") as disk:
        (disk.folder / "plans.db").touch()
        disk.fill()
        assert type(of_database(error, disk.folder / "plans.db")) is DiskFullError
        disk.make_room()
        disk.lock()
        assert type(of_database(error, disk.folder / "plans.db")) is ReadOnlyError
        disk.unlock()


@pytest.fixture
def logged(tmp_path: Path) -> Iterator[Path]:
    """The log that is written, as where Seamslate serves."""
    log.begin(tmp_path)
    yield log.log_path(tmp_path)
    log.end()


@pytest.mark.usefixtures("logged")
def test_what_is_damaged_within_is_told_in_our_words_and_quotes_nothing(tmp_path: Path) -> None:
    """RFC 3629: no text in UTF-8 has the octet FF."""
    with closing(sqlite3.connect(":memory:")) as connection:
        with pytest.raises(sqlite3.OperationalError) as refused:
            connection.execute("SELECT CAST(x'536d6f636bff' AS TEXT)").fetchone()
        told = of_database(refused.value, tmp_path / "plans.db")
        with pytest.raises(sqlite3.OperationalError) as unknown:
            connection.execute("SELECT hem FROM nowhere")
        other = of_database(unknown.value, tmp_path / "plans.db")
    assert f"{tmp_path / 'plans.db'} is damaged: it is not what was written." in told.sentence
    assert "page “Copies”" in told.sentence
    assert "Smock" in str(refused.value) and "Smock" not in log.trace_of(refused.value)
    for one, said in ((told, refused), (other, unknown)):
        assert str(said.value) not in one.sentence
        assert "just now" not in one.sentence


def test_what_the_database_says_that_is_not_known_is_in_the_log(
    tmp_path: Path, logged: Path
) -> None:
    error = sqlite3.OperationalError("malformed JSON")
    error.sqlite_errorcode = sqlite3.SQLITE_ERROR
    assert "the log says more" in of_database(error, tmp_path / "plans.db").sentence
    assert "sqlite3.OperationalError: malformed JSON" in logged.read_text()


@pytest.mark.sqlite
def test_it_is_told_at_once_where_no_log_is_written(tmp_path: Path) -> None:
    fill(tmp_path, "Smock")
    with closing(sqlite3.connect(database_path(tmp_path))) as connection, connection:
        connection.execute("ALTER TABLE episodes RENAME COLUMN document TO pages")
    told = next(one.words for one in plans(Settings(data_dir=tmp_path)) if one.state == "to do")
    assert told.endswith("Try once more. What the database says: no such column: document.")
    assert not log.log_path(tmp_path).exists()


@pytest.mark.sqlite
def test_a_file_in_the_place_of_a_folder_is_told_as_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    file, backup = tmp_path / "letter", tmp_path / "plans.backup"
    fill(tmp_path / "plans", "Smock")
    assert main(["backup", str(backup), "--data", str(tmp_path / "plans")]) == 0
    file.write_text("Dear aunt")
    for folder in (file, file / "plans"):
        assert main(["restore", str(backup), "--data", str(folder)]) == 2
        told = capsys.readouterr().err
        assert f"The folder {folder} cannot be made, since {file} is a file." in told
    monkeypatch.setattr(sys, "stdin", io.StringIO("tack the lantern sleeve twice"))
    assert main(["passphrase", "--data", str(file)]) == 2
    assert "that is a file" in capsys.readouterr().err
    assert file.read_text() == "Dear aunt"


SYSTEM = [
    (errno.ENOSPC, DiskFullError),
    (errno.EDQUOT, DiskFullError),
    (errno.EFBIG, DiskFullError),
    (errno.EROFS, ReadOnlyError),
    (errno.EACCES, ReadOnlyError),
    (errno.EIO, DiskFaultError),
    (errno.ESTALE, FolderGoneError),
    (errno.EPIPE, type(None)),
    (errno.EBADF, type(None)),
    (None, type(None)),
]


@pytest.mark.parametrize(("number", "kind"), SYSTEM)
def test_the_system_is_understood_by_its_number(
    tmp_path: Path, number: int | None, kind: type
) -> None:
    error = OSError(number, "whatever") if number else OSError("whatever")
    assert type(of_disk(error, tmp_path / "a.png")) is kind


def test_a_file_whose_folder_is_gone(tmp_path: Path) -> None:
    error = FileNotFoundError(errno.ENOENT, "whatever")
    assert type(of_disk(error, tmp_path / "gone" / "a.png")) is FolderGoneError
    assert of_disk(error, tmp_path / "a.png") is None


SERVER = [
    ("08006", ServerAwayError),
    ("57P01", ServerAwayError),
    ("57P03", ServerAwayError),
    ("53100", DiskFullError),
    ("25006", ReadOnlyError),
    ("40001", BusyError),
    ("40P01", BusyError),
    ("55P03", BusyError),
    ("53300", BusyError),
    ("XX001", DamagedError),
    ("23505", StoreError),
    ("42P01", StoreError),
]


@pytest.mark.parametrize(("state", "kind"), SERVER)
def test_a_server_is_understood_by_its_state(state: str, kind: type) -> None:
    psycopg = pytest.importorskip("psycopg")
    error = psycopg.errors.lookup(state)("whatever")
    assert type(of_database(DBAPIError("SELECT 1", {}, error), "host/plans")) is kind


def test_a_server_that_is_not_there_is_away() -> None:
    pytest.importorskip("psycopg")
    engine = create_engine("postgresql+psycopg://127.0.0.1:1/plans")  # nothing listens on port 1
    with pytest.raises(DBAPIError) as refused:
        engine.connect()
    told = of_database(refused.value, "127.0.0.1/plans", "this change is not")
    assert type(told) is ServerAwayError
    assert "saved is in that database; this change is not." in told.sentence


AT_ITS_LIMIT = """
import resource, sys
from pathlib import Path
from webapp.errors import RefusedError
from webapp.plan.episode import Episode
from webapp.store.database import database_path, open_database
from webapp.store.repository import EpisodeStore
folder = Path(sys.argv[1])
store = EpisodeStore(open_database(database_path(folder)))
store.add(Episode(id="a", title="0"))
_, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
resource.setrlimit(resource.RLIMIT_FSIZE, (300_000, hard))
edit = lambda number: lambda e: e.model_copy(update={"title": str(number), "channel": "x" * 199})
for number in range(1, 10_000):
    try:
        store.change("a", "Rename", edit(number))
    except RefusedError as error:
        print(type(error).__name__, number, store.get("a").title, flush=True)
        break
resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))
store.change("a", "Rename", edit(number))
print(store.get("a").title, store.undo("a"), store.get("a").title)
"""


@pytest.mark.sqlite
def test_a_file_that_may_grow_no_further_is_told_and_the_same_process_goes_on(
    tmp_path: Path,
) -> None:
    """setrlimit(2), RLIMIT_FSIZE: a write beyond it fails with EFBIG."""
    command = [sys.executable, "-c", AT_ITS_LIMIT, str(tmp_path)]
    ran = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    refused, after = ran.stdout.splitlines()
    kind, number, title = refused.split()
    assert kind in ("DiskFaultError", "DiskFullError")
    assert int(title) == int(number) - 1  # what was told as saved
    assert after.split() == [number, "Rename", title]
    with closing(sqlite3.connect(database_path(tmp_path))) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


def test_long_work_without_room_is_told_so_and_not_as_a_fault_of_ours() -> None:
    told = worker.told(OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)))
    assert told.sentence.startswith("There is no room left on the disk")
    assert told.technical == ""
    assert worker.told(OSError(errno.EBADF, "whatever")).sentence == worker.OUR_FAULT


def test_files_that_are_written_on_a_full_disk_are_whole_or_not_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("webapp.handouts.printing._weasyprint", _prints_nothing)
    episode = files_dir("demo_data") / "episode-5-brief-only.json"
    with small_disk(tmp_path / "disk") as disk:
        out = ["--out", str(disk.folder / "files")]
        assert main(["render", str(episode), *out]) in (0, 1)
        whole = {one.name: one.read_bytes() for one in (disk.folder / "files").iterdir()}
        (disk.folder / "files" / "plan.json").unlink()
        disk.fill()
        assert main(["render", str(episode), *out]) == 2
        assert "No space left on device" in capsys.readouterr().err
        for one in (disk.folder / "files").iterdir():
            assert one.read_bytes() == whole[one.name]


def _prints_nothing() -> None:
    raise errors.PdfToolsMissingError("Nothing prints here.")
