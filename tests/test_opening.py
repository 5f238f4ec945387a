"""A start that cannot open the plans is a page that says why and offers the copies there are."""

import asyncio
import random
import sqlite3
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from urllib.error import HTTPError
from urllib.request import urlopen

import pytest
from starlette.types import Message, Receive, Scope, Send

from tests.copied import copied_plans, put_back, served, words
from tests.small_disk import small_disk
from webapp.cli import main
from webapp.opening import Opening
from webapp.plan.episode import Episode
from webapp.settings import Settings
from webapp.store.database import COPIES, database_path, open_database
from webapp.store.kept_copies import copies_in
from webapp.store.repository import EpisodeStore

pytestmark = pytest.mark.sqlite


@pytest.fixture
def plans(tmp_path: Path) -> Path:
    """A folder with the plan of a smock, copied, and of a skirt, which is in no copy."""
    return copied_plans(tmp_path / "plans")


def _damaged(path: Path) -> None:
    path.write_bytes(random.Random(9).randbytes(len(path.read_bytes())))


def _in_the_middle(path: Path) -> None:
    """Every page but the first, as where a disk fails."""
    content = path.read_bytes()
    size = int.from_bytes(content[16:18])
    path.write_bytes(content[:size] + random.Random(9).randbytes(len(content) - size))


def _where_no_page_looks_first(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        (page,) = connection.execute(
            "SELECT rootpage FROM sqlite_schema WHERE name = 'changes'"
        ).fetchone()
        (size,) = connection.execute("PRAGMA page_size").fetchone()
    content = bytearray(path.read_bytes())
    content[(page - 1) * size : page * size] = random.Random(9).randbytes(size)
    path.write_bytes(content)


def _newer(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '0099'")


def _of_another_program(path: Path) -> None:
    path.unlink()
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("CREATE TABLE stamps (country)")


@pytest.mark.parametrize(
    ("spoil", "why"),
    [
        (_damaged, "cannot be read as plans: it is damaged, or another program wrote it"),
        (_in_the_middle, "seamslate.db is damaged"),
        (_where_no_page_looks_first, "seamslate.db is damaged"),
        (_newer, "was written by a newer Seamslate (database version 0099"),
        (_of_another_program, "is a database, but not one of Seamslate"),
    ],
)
def test_plans_that_cannot_be_opened_are_told_and_a_copy_put_back_opens_without_a_restart(
    plans: Path, spoil: object, why: str
) -> None:
    assert callable(spoil)
    path = database_path(plans)
    spoil(path)
    before = path.read_bytes()
    (copy,) = copies_in(plans)
    with served(plans) as client:
        page = client.get("/")
        assert page.status_code == 503
        assert why in words(page)
        assert "Nothing was changed. Whichever way you go on, what is there is kept" in words(page)
        assert "1 episode" in words(page)
        assert page.headers["content-security-policy"]
        assert client.get("/", headers={"host": "evil.example"}).status_code == 421
        away = {"sec-fetch-site": "cross-site", "origin": "http://evil.example"}
        refused = client.post(f"/copies/{copy.name}/put-back", headers=away)
        assert refused.status_code == 403
        assert client.get("/static/css/house.css").status_code == 200
        assert client.get("/episodes/skirt/brief").status_code == 503
        assert "still cannot be opened" in words(client.post("/copies/try-again"))
        assert path.read_bytes() == before
        assert put_back(client, "no-such-copy").status_code == 503
        told = client.get(put_back(client, copy.name).headers["location"])
        assert "The plans are back as they were on" in words(told)
        home = client.get("/")
        assert home.status_code == 200
        assert "The Smock" in home.text
        assert "The Skirt" not in home.text
        edit = client.post("/episodes/smock/brief", data={"audience": "beginners"})
        assert edit.status_code == 303
        assert client.post("/copies/begin-anew").status_code == 404  # only while it is closed
    kept = next(one for one in copies_in(plans) if one.why == "before-restore")
    # All but SQLite's header of 100 bytes: where it can be opened, its log was emptied into it.
    assert kept.path.read_bytes()[100:] == before[100:]


def test_the_command_goes_on_and_prints_its_address(plans: Path) -> None:
    _damaged(database_path(plans))
    command = [sys.executable, "-m", "webapp", "--data", str(plans), "--port", "0", "--no-browser"]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    with subprocess.Popen(command, text=True, **pipes) as server:  # type: ignore[call-overload]
        address = server.stdout.readline().split()[-1]
        with pytest.raises(HTTPError) as answer:
            urlopen(address)
        server.terminate()
    assert answer.value.code == 503
    assert "Your plans cannot be opened" in answer.value.read().decode()
    assert main(["restore", copies_in(plans)[0].name, "--data", str(plans)]) == 0


def test_a_change_sent_while_the_plans_are_closed_is_kept_on_the_page(plans: Path) -> None:
    _newer(database_path(plans))
    with served(plans) as client:
        answer = client.post("/episodes/skirt/brief?edition=1", data={"audience": "my <typing>"})
        assert answer.status_code == 503
        assert 'action="/episodes/skirt/brief?edition=1"' in answer.text
        assert 'value="my &lt;typing&gt;"' in answer.text
        by_script = {"hx-request": "true"}
        told = client.post("/episodes/skirt/brief", data={"audience": "x"}, headers=by_script)
        assert (told.status_code, told.headers["hx-reswap"]) == (503, "none")
        assert "Your plans are not open." in told.text


def test_a_damaged_copy_is_not_put_back_and_another_can_be(plans: Path) -> None:
    (good,) = copies_in(plans)
    bad = good.path.with_name("seamslate-daily-2026-01-01-090000.db")
    bad.write_bytes(good.path.read_bytes())
    with closing(sqlite3.connect(bad)) as connection, connection:
        connection.execute("UPDATE episodes SET document = '{'")
    empty = good.path.with_name("seamslate-daily-2026-01-02-090000.db")
    empty.write_bytes(b"")
    _damaged(database_path(plans))
    before = database_path(plans).read_bytes()
    with served(plans) as client:
        assert "cannot be read" in words(client.get("/"))
        assert f"{empty.name}/put-back" not in client.get("/").text
        refused = put_back(client, bad.name)
        assert refused.status_code == 503
        assert "The copy is damaged" in words(refused)
        assert database_path(plans).read_bytes() == before
        assert put_back(client, good.name).status_code == 303


def test_try_again_opens_what_can_be_opened_by_now(plans: Path) -> None:
    path, away = database_path(plans), plans / "away.db"
    path.rename(away)
    path.write_text("a letter " * 100)
    with served(plans) as client:
        assert client.get("/").status_code == 503
        away.rename(path)
        assert client.post("/copies/try-again").headers["location"] == "/"
        assert "The Skirt" in client.get("/").text


@pytest.mark.parametrize("left", ["nothing", "an empty file"])
def test_plans_that_are_gone_are_not_taken_for_a_first_start(plans: Path, left: str) -> None:
    path = database_path(plans)
    path.unlink()
    if left == "an empty file":
        path.touch()
    with served(plans) as client:
        page = client.get("/")
        assert page.status_code == 503
        assert "There are no plans in" in words(page)
        assert path.exists() == (left == "an empty file")
        assert client.post("/copies/begin-anew").status_code == 303
        assert client.get("/").status_code == 200
        assert path.exists()
        assert len(copies_in(plans)) == 1


def test_a_first_start_asks_nothing(tmp_path: Path) -> None:
    with served(tmp_path / "new") as client:
        assert client.get("/").status_code == 200
        assert "There are no copies yet" in words(client.get("/copies"))


def test_what_is_being_saved_is_waited_for_before_a_copy_is_put_back(plans: Path) -> None:
    (copy,) = copies_in(plans)
    opening = Opening(Settings(data_dir=plans))
    pages, order = opening._app, []

    async def slow(scope: Scope, receive: Receive, send: Send) -> None:
        assert receive and send
        await asyncio.sleep(0.1)
        store: EpisodeStore = pages.state.house.store
        store.change("skirt", "Rename", lambda e: e.model_copy(update={"title": scope["path"]}))
        order.append("saved")

    async def nothing(_: object = None) -> Message:
        return {}

    async def both() -> None:
        await opening._begin()
        opening._app = slow  # type: ignore[assignment]
        saving = asyncio.create_task(opening({"type": "http", "path": "/"}, nothing, nothing))
        await asyncio.sleep(0.01)
        await opening.put_back(copy.name)
        order.append("put back")
        await saving
        await opening._life.aclose()

    with ThreadPoolExecutor(1) as apart:  # the browser's tests leave a loop running in this thread
        apart.submit(asyncio.run, both()).result()
    assert order == ["saved", "put back"]
    kept = next(one for one in copies_in(plans) if one.why == "before-restore")
    with closing(sqlite3.connect(kept.path)) as connection:
        titles = connection.execute("SELECT title FROM episodes ORDER BY title").fetchall()
    assert titles == [("/",), ("The Smock",)]


def test_a_folder_on_a_locked_card_is_told_and_opens_once_it_is_unlocked(tmp_path: Path) -> None:
    with small_disk(tmp_path / "card") as card:
        engine = open_database(database_path(card.folder))
        EpisodeStore(engine).add(Episode(id="smock", title="The Smock"))
        engine.dispose()
        card.lock()
        with served(card.folder) as client:
            page = client.get("/")
            assert page.status_code == 503
            assert "can be read, but nothing can be written there" in words(page)
            assert "see whether its lock is on" in words(page)
            assert "what is there is kept" not in words(page)  # there is no copy to put back
            assert "There are no copies yet" in words(page)
            card.unlock()
            assert client.post("/copies/try-again").status_code == 303
            assert "The Smock" in client.get("/").text
        card.lock()
        with served(card.folder / "new") as client:
            assert "nothing can be written there" in words(client.get("/"))
        card.unlock()


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with served(tmp_path / "file" / "plans") as client:
        page = client.get("/")
        assert page.status_code == 503
        assert "cannot be made" in words(page)


def test_before_an_update_there_has_to_be_room_for_a_copy(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk") as disk:
        engine = open_database(database_path(disk.folder))
        EpisodeStore(engine).add(Episode(id="smock", title="The Smock"))
        engine.dispose()
        with closing(sqlite3.connect(database_path(disk.folder))) as connection, connection:
            for added in ("edition", "browser"):
                connection.execute(f"ALTER TABLE changes DROP COLUMN {added}")
            connection.execute("UPDATE alembic_version SET version_num = '0005'")
        disk.fill()
        before = database_path(disk.folder).read_bytes()
        with served(disk.folder) as client:
            assert "There is no room left" in words(client.get("/"))
            assert database_path(disk.folder).read_bytes() == before
            assert not list((disk.folder / COPIES).glob("*"))
            disk.make_room()
            assert client.post("/copies/try-again").status_code == 303
            assert "The Smock" in client.get("/").text
            assert [one.why for one in copies_in(disk.folder)] == ["before-update"]
