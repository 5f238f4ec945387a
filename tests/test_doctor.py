"""`seamslate doctor` on a sound folder, and on each fault, made on purpose."""

import hashlib
import os
import shutil
import socket
import socketserver
import sqlite3
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import datetime, timedelta
from importlib import metadata
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from tests.demo_documents import EPISODES
from webapp.cli import main
from webapp.doctor import folder as folder_module
from webapp.doctor import machine
from webapp.doctor.finding import Finding
from webapp.doctor.folder import folder, log_file, room
from webapp.doctor.machine import fonts, pdf_files, port, processes, versions
from webapp.doctor.plans import plans
from webapp.doctor.report import findings, told
from webapp.handouts import printing
from webapp.plan.edits import changed
from webapp.plan.episode import Episode, Picture
from webapp.settings import Settings
from webapp.store.database import COPIES, copy_database, database_path, open_database
from webapp.store.photos import photos_folder
from webapp.store.repository import EpisodeStore

SKIRT = next(one for name, one in EPISODES.items() if "skirt" in name.lower())
PICTURE = Picture(file=f"{hashlib.sha256(b'').hexdigest()}.png")
pytestmark = pytest.mark.sqlite  # on a server: tests/store/test_doctor_plans.py
LONG_AGO = datetime.now() - timedelta(days=9)


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A folder with an episode in it."""
    path = tmp_path / "data"
    path.mkdir(mode=0o700)
    _with(path, SKIRT)
    return path


def _with(path: Path, episode: Episode) -> None:
    store = EpisodeStore(open_database(database_path(path)))
    store.add(episode)
    store.close()


def _of(found: Iterator[Finding], about: str) -> Finding:
    (one,) = (one for one in found if one.about == about)
    return one


def _plans(data: Path, about: str) -> Finding:
    return _of(plans(Settings(data_dir=data)), about)


def _sql(statement: str) -> Callable[[Path], None]:
    def broken(data: Path) -> None:
        with closing(sqlite3.connect(database_path(data))) as connection, connection:
            connection.execute(statement)

    return broken


def test_all_is_well_in_a_sound_folder_and_nothing_is_changed_there(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = database_path(data).read_bytes()
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        number = free.getsockname()[1]
    status = main(["doctor", "--data", str(data), "--port", str(number)])
    said = capsys.readouterr().out
    assert status == 0, said
    lines = said.splitlines()
    assert lines[-1] == "All is well."
    about = [line.split()[1] for line in lines if line.startswith("well ")]
    assert about == [
        "Python:", "Packages:", "PDF", "Fonts:", "Folder:", "Room:", "Database:", "Episodes:",
        "Copies:", "Pictures:", "Letters:", "Log:", "Port:", "Processes:",
    ]  # fmt: skip
    assert "1 episode, each can be read" in said
    assert database_path(data).read_bytes() == before
    assert {one.name for one in data.iterdir()} - {"seamslate.db-shm", "seamslate.db-wal"} == {
        "seamslate.db"
    }


def test_it_looks_while_seamslate_has_the_plans_open(data: Path) -> None:
    store = EpisodeStore(open_database(database_path(data)))
    store.add(changed(SKIRT, title="One more"))  # in the -wal file alone
    assert _plans(data, "Episodes").words == "2 episodes, each can be read."
    store.close()


# --- The plans ---------------------------------------------------------------------------------


def _torn(data: Path) -> None:
    """A page in the middle of the file is not what was written."""
    content = bytearray(database_path(data).read_bytes())
    content[len(content) // 2 : len(content) // 2 + 4096] = bytes([7]) * 4096
    database_path(data).write_bytes(content)


def _not_as_declared(data: Path) -> None:
    """Something that SQLite's own check alone notices."""
    with closing(sqlite3.connect(database_path(data))) as connection, connection:
        connection.execute("PRAGMA writable_schema = ON")
        connection.execute(
            "UPDATE sqlite_schema SET sql = replace(sql, 'deleted_at DATETIME', "
            "'deleted_at DATETIME NOT NULL') WHERE name = 'episodes'"
        )


def _no_database(data: Path) -> None:
    database_path(data).write_bytes(b"This is a letter to a friend, and no database." * 100)


def _another(data: Path) -> None:
    database_path(data).unlink()
    with closing(sqlite3.connect(database_path(data))) as connection:
        connection.execute("CREATE TABLE recipes (id)")


@pytest.mark.parametrize(
    ("broken", "about", "words"),
    [
        (_torn, "Database", "cannot be read"),
        (_not_as_declared, "Database", "is damaged: NULL value in episodes.deleted_at"),
        (_no_database, "Database", "cannot be read"),
        (_another, "Database", "is no database of Seamslate's"),
        (_sql("UPDATE alembic_version SET version_num = '9999'"), "Database", "a newer Seamslate"),
        (
            _sql(
                "INSERT INTO sent_entries (episode_id, entry, accepted_at) "
                "VALUES ('gone', 'x', '2026-01-01')"
            ),
            "Database",
            "1 row belongs to nothing",
        ),
        (_sql("UPDATE episodes SET document = '{'"), "Episodes", "1 episode cannot be read: "),
        (
            _sql("UPDATE episodes SET document = json_remove(document, '$.title')"),
            "Episodes",
            "1 episode cannot be read: ",
        ),
    ],
)
def test_a_database_that_is_damaged_foreign_or_newer_is_told(
    data: Path, broken: Callable[[Path], None], about: str, words: str
) -> None:
    broken(data)
    found = _plans(data, about)
    assert (found.state, words in found.words) == ("to do", True), found


def test_a_file_that_is_gone_beside_its_copies_is_told(data: Path) -> None:
    _copied(data, datetime.now())
    database_path(data).unlink()
    found = _plans(data, "Plans")
    assert found.state == "to do" and "though there are copies" in found.words


def _copied(data: Path, made: datetime) -> Path:
    (data / COPIES).mkdir(exist_ok=True)
    copy = data / COPIES / f"seamslate-daily-{made:%Y-%m-%d-%H%M%S}.db"
    copy_database(database_path(data), copy)
    return copy


def _aged(data: Path) -> None:
    for one in data.glob("seamslate.db*"):
        os.utime(one, (LONG_AGO.timestamp(),) * 2)


def test_how_it_stands_with_the_copies(data: Path) -> None:
    assert _plans(data, "Copies").state == "well"  # none yet, and the plans are of today
    _aged(data)
    found = _plans(data, "Copies")
    assert found.state == "to do" and "there is none of your plans" in found.words
    copy = _copied(data, LONG_AGO)
    _aged(data)
    found = _plans(data, "Copies")
    assert found.state == "well" and "1 copy, the last of" in found.words, found
    os.utime(database_path(data))
    found = _plans(data, "Copies")
    assert found.state == "to do" and "were changed since" in found.words, found
    set_aside = copy.with_name(f"seamslate-before-restore-{datetime.now():%Y-%m-%d-%H%M%S}.db")
    set_aside.write_bytes(b"as damaged as it was")
    assert _plans(data, "Copies") == found
    copy.write_bytes(copy.read_bytes()[:9000])
    found = _plans(data, "Copies")
    assert found.state == "to do" and "is not sound" in found.words, found


def test_pictures_that_are_missing_and_those_no_plan_shows(data: Path) -> None:
    _with(data, changed(SKIRT, title="Shown", brief=changed(SKIRT.brief, sketch=PICTURE)))
    found = _plans(data, "Pictures")
    assert found.state == "to do" and "Shown (1)" in found.words
    photos_folder(data).mkdir()
    (photos_folder(data) / PICTURE.file).write_bytes(b"")
    (photos_folder(data) / f"{'0' * 64}.jpg").write_bytes(bytes(2_500_000))
    found = _plans(data, "Pictures")
    assert found.state == "well"
    assert found.words == (
        "1 picture that plans show, none is missing; 1 other (2.5 MB) stay for undo."
    )


def test_letters_that_no_font_has(data: Path) -> None:
    _with(data, changed(SKIRT, title="\ue123"))  # Unicode gives it no meaning, so no font has it
    found = _plans(data, "Letters")
    assert found.state == "to do" and "U+E123" in found.words


def test_a_server_that_does_not_answer(data: Path) -> None:
    settings = Settings(data_dir=data, database="postgresql://nobody@127.0.0.1:1/none")
    found = _of(plans(settings), "Database")
    assert found.state == "to do" and "cannot be opened" in found.words


# --- The folder --------------------------------------------------------------------------------


def _of_folder(data: Path) -> Finding:
    (found,) = folder(Settings(data_dir=data))
    return found


@pytest.mark.skipif(os.name != "posix", reason="rights are told otherwise there")
def test_a_folder_that_others_can_read() -> None:
    with tempfile.TemporaryDirectory() as name:
        path = Path(name)
        path.chmod(0o755)
        found = _of_folder(path)
        assert found.state == "to do" and f"chmod 700 {path}" in found.words
        inner = path / "inner"
        inner.mkdir(mode=0o755)
        path.chmod(0o700)  # nobody else comes through to it
        assert (_of_folder(inner).state, _of_folder(path).state) == ("well", "well")


def test_a_folder_that_is_not_hers_not_there_or_no_folder(
    data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert _of_folder(data).state == "well"
    assert _of_folder(tmp_path / "none").state == "cannot look"
    assert "is a file" in _of_folder(database_path(data)).words
    monkeypatch.setattr(folder_module.os, "access", lambda *_: False)  # the tests may be root's
    assert "nothing can be written" in _of_folder(data).words
    monkeypatch.setattr(folder_module.os, "getuid", lambda: data.stat().st_uid + 1)
    assert "belongs to another user" in _of_folder(data).words


class _Disk(NamedTuple):
    total: int
    used: int
    free: int


@pytest.mark.parametrize(
    ("free", "plans_bytes", "state"),
    [(499e6, 0, "to do"), (501e6, 0, "well"), (700e6, 80e6, "to do"), (900e6, 80e6, "well")],
)
def test_room_on_the_disk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, free: float, plans_bytes: float, state: str
) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _: _Disk(0, 0, int(free)))
    with database_path(tmp_path).open("wb") as file:
        file.truncate(int(plans_bytes))
    (found,) = room(Settings(data_dir=tmp_path))
    assert found.state == state, found


def test_the_log_and_the_faults_in_it(data: Path) -> None:
    (found,) = log_file(Settings(data_dir=data))
    assert found.state == "well" and "0 faults" in found.words
    path = data / "log" / "seamslate.log"
    path.parent.mkdir()
    path.write_text(
        "2026-11-26 20:39:40,617 INFO - Begun: ERROR is no fault here\n"
        "2026-11-26 20:41:40,617 ERROR bcdfghjk A fault of ours.\n  File ERROR\n"
    )
    (found,) = log_file(Settings(data_dir=data))
    assert found.words.endswith(
        "1 fault of Seamslate's in it of late; the last on 2026-11-26 20:41."
    )
    path.unlink()
    path.parent.rmdir()
    path.parent.write_text("in its place")
    (found,) = log_file(Settings(data_dir=data))
    assert found.state == "to do" and "cannot be written" in found.words


# --- The computer ------------------------------------------------------------------------------


def test_packages_that_are_missing_or_too_old(monkeypatch: pytest.MonkeyPatch) -> None:
    needed = ["nothing-like-it>=1", "pydantic>=999.1", "pillow>=1", "mypy>=999; extra == 'test'"]
    monkeypatch.setattr(metadata, "requires", lambda _: needed)
    found = _of(versions(Settings()), "Packages")
    assert found.state == "to do"
    assert "nothing-like-it is missing; pydantic" in found.words
    assert "is too old, 999.1 is needed. Install" in found.words


def test_an_old_python(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(machine, "OLDEST_PYTHON", (99, 0))
    assert _of(versions(Settings()), "Python").state == "to do"


def test_no_pdf_can_be_made(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(printing, "why_no_pdf", lambda: "PDF files need Pango.")
    (found,) = pdf_files(Settings())
    assert (found.state, found.words) == ("to do", "PDF files need Pango.")


def test_a_font_that_cannot_be_read(monkeypatch: pytest.MonkeyPatch) -> None:
    def torn(url: str) -> tuple[bytes, str]:
        if "italic" in url:
            raise ValueError("not a font")
        return b"", ""

    monkeypatch.setattr(printing, "own_file", torn)
    (found,) = fonts(Settings())
    assert found.state == "to do"
    assert found.words.startswith("source-sans-3-latin-400-italic.woff2, source-sans-3-latin-ext-")


def test_a_port_that_another_program_uses() -> None:
    class Mute(socketserver.BaseRequestHandler):
        """It takes what it is sent and says nothing of Seamslate."""

        def handle(self) -> None:
            self.request.recv(1000)
            self.request.sendall(b"220 here is another program\r\n")

    with socketserver.ThreadingTCPServer(("127.0.0.1", 0), Mute) as other:
        number = other.server_address[1]
        threading.Thread(target=other.serve_forever, args=(0.02,), daemon=True).start()
        (found,) = port(Settings(port=number))
        other.shutdown()
    assert (found.state, "another program uses" in found.words) == ("to do", True)
    (found,) = port(Settings(port=number))
    assert found.words == f"{number} is free."


def test_a_process_that_cannot_be_started(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(machine, "look_in", lambda _: "no process can be given that")
    (found,) = processes(Settings())
    assert found.state == "to do" and "long work cannot be done" in found.words


# --- All of it ---------------------------------------------------------------------------------


def test_a_look_that_fails_keeps_nobody_from_the_others(
    data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(_: object) -> None:
        raise LookupError("unforeseen")

    monkeypatch.setattr("webapp.doctor.folder.shutil.disk_usage", fails)
    monkeypatch.setattr("webapp.doctor.report._LOOKS", (folder, room, log_file))
    states = {one.about: one.state for one in findings(Settings(data_dir=data))}
    assert states == {"Folder": "well", "Room": "cannot look", "Log": "well"}


@pytest.mark.parametrize(
    ("states", "status", "last"),
    [
        (["well"], 0, "All is well."),
        (["well", "cannot look"], 2, "Some things could not be looked at."),
        (["to do", "cannot look"], 1, "One thing to do."),
        (["to do", "to do"], 1, "2 things to do."),
    ],
)
def test_its_status_tells_how_it_is(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    states: list[Any],
    status: int,
    last: str,
) -> None:
    looks = tuple(lambda _, state=state: [Finding("It", state, "is so.")] for state in states)
    monkeypatch.setattr("webapp.doctor.report._LOOKS", looks)
    assert main(["doctor"]) == status
    assert capsys.readouterr().out.splitlines()[-1] == last


def test_a_finding_is_printed_in_lines_beside_each_other() -> None:
    path = "/a/" + "long/" * 30
    lines = told(Finding("Folder", "to do", f"{'words ' * 30}{path} end.")).splitlines()
    assert lines[0].startswith("to do         Folder: words")
    assert all(line.startswith(" " * 14) for line in lines[1:])
    assert any(path in line for line in lines)  # to be copied whole


@pytest.mark.skipif(os.name != "posix", reason="rights are told otherwise there")
def test_a_new_folder_is_hers_alone(tmp_path: Path) -> None:
    path = tmp_path / "new" / "folder"
    open_database(database_path(path)).dispose()
    assert path.stat().st_mode & 0o777 == 0o700
