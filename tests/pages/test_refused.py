"""What the disk or the database refuses while the server runs: told, nothing lost, and over once
its cause is.

Outside: a real disk without room (Linux, tmpfs), SQLite's locks and its integrity check, POSIX's
rename and unlink of a file that is open.
"""

import io
import random
import re
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from fastapi import FastAPI
from httpx import Response
from PIL import Image
from sqlalchemy import create_engine, event
from starlette.testclient import TestClient

from tests.small_disk import SmallDisk, small_disk
from webapp.app import open_house
from webapp.cli import main
from webapp.errors import DiskFullError, ReadOnlyError
from webapp.pages.house import House
from webapp.pages.print_orders import Order
from webapp.pages.printed_files import Printed
from webapp.settings import Settings, files_dir
from webapp.store import database
from webapp.store.database import COPIES, database_path
from webapp.store.kept_copies import DailyCopies
from webapp.store.photos import write_photo
from webapp.store.repository import EpisodeStore

pytestmark = pytest.mark.sqlite
BRIEF_ONLY = files_dir("demo_data") / "episode-5-brief-only.json"
BY_SCRIPT = {"hx-request": "true"}
NOT_SAVED = "Everything that was told as saved is on the disk; this change is not."
GONE = (
    "What was told as saved is in the folder that is gone; this change is on this page only. Put "
    "it back in its place, then try once more"
)


def noise(side: int = 300) -> bytes:
    """A picture that takes some 100 kB, whatever is done to make it smaller."""
    pixels = random.Random(side).randbytes(side * side * 3)
    file = io.BytesIO()
    Image.frombytes("RGB", (side, side), pixels).save(file, "PNG")
    return file.getvalue()


@pytest.fixture
def disk(new_app: FastAPI, new_database: bytes, tmp_path: Path) -> Iterator[SmallDisk]:
    """A small disk that holds the plans of the app."""
    with small_disk(tmp_path / "disk") as disk:
        (disk.folder / "seamslate.db").write_bytes(new_database)
        new_app.state.house = open_house(Settings(data_dir=disk.folder))
        yield disk
        new_app.state.house.close()


@pytest.fixture
def on_disk(disk: SmallDisk, new_app: FastAPI) -> Iterator[TestClient]:
    """The app over the small disk."""
    assert disk
    with TestClient(new_app, base_url="http://127.0.0.1", follow_redirects=False) as client:
        yield client


def imported(client: TestClient) -> Response:
    """The answer to the file of an episode that is brought in."""
    file = {"file": ("brief.json", BRIEF_ONLY.read_bytes())}
    answer: Response = client.post("/episodes/import", files=file)
    return answer


def typed(client: TestClient, address: str, value: str, **headers: str) -> Response:
    """The answer to a brief that is saved."""
    answer: Response = client.post(f"{address}/brief", data={"audience": value}, headers=headers)
    return answer


def told(answer: Response, status: int, *sentences: str) -> None:
    """It is a page of ours that says so, with what was sent on it; no trace of an exception."""
    assert answer.status_code == status
    words = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.text))
    for sentence in sentences:
        assert sentence in words
    assert "Traceback" not in answer.text
    assert "<html" in answer.text


def integrity(folder: Path) -> object:
    """What SQLite finds on looking at the whole file."""
    with closing(sqlite3.connect(database_path(folder))) as connection:
        return connection.execute("PRAGMA integrity_check").fetchall()


def begun(folder: Path) -> list[str]:
    """The files that something began and did not finish."""
    return [str(path) for path in folder.rglob("*") if re.search(r"\.(part|new|rows)\b", path.name)]


def test_a_full_disk_is_told_loses_nothing_and_goes_on_once_there_is_room(
    disk: SmallDisk,
    on_disk: TestClient,
    capsys: pytest.CaptureFixture[str],
    caplog: pytest.LogCaptureFixture,
) -> None:
    house: House = on_disk.app.state.house  # type: ignore[attr-defined]
    address = imported(on_disk).headers["location"]
    assert typed(on_disk, address, "beginners").status_code == 303
    picture = {"file": ("a.png", noise())}
    assert on_disk.post(f"{address}/brief/sketch", files=picture).status_code == 303
    shown = house.store.get(address.rpartition("/")[2])
    disk.fill()
    taken, value = ["beginners"], 0
    while (answer := typed(on_disk, address, f"sewists {value}")).status_code == 303:
        taken.append(f"sewists {value}")  # the log of the database had room for it
        value += 1
        assert value < 500
    told(answer, 507, "There is no room left on the disk", NOT_SAVED, f"sewists {value}")
    assert f'name="audience" value="sewists {value}"' in answer.text
    answer = typed(on_disk, address, "with script", **BY_SCRIPT)
    assert (answer.status_code, answer.headers["hx-reswap"]) == (507, "none")
    assert answer.headers["content-type"].startswith("text/plain")
    assert NOT_SAVED in answer.text
    told(imported(on_disk), 507, NOT_SAVED, "The file you sent is still where you chose it")
    other = {"file": ("b.png", noise(301))}
    told(on_disk.post(f"{address}/brief/sketch", files=other), 507, "this picture is not")
    told(on_disk.post(f"{address}/undo"), 507, NOT_SAVED)
    assert on_disk.post(f"{address}/copy").status_code == 507
    assert ".\n(SQLITE_FULL)\n" in caplog.text  # which the terminal is not told
    # What is only read goes on, and what is printed is kept in memory.
    for page in ("", "/brief", "/episode.json", "/files/shots.csv"):
        assert on_disk.get(f"{address}{page}").status_code in (200, 404), page
    assert on_disk.get(f"{address}/brief").text.count(taken[-1]) >= 1
    assert on_disk.get(f"/photos/{shown.brief.sketch.file}").status_code == 200  # type: ignore[union-attr]
    house.prints.put(Order("worksheet", shown), Printed(b"%PDF", ()))
    assert house.prints.newest(Order("worksheet", shown)) is not None
    # Copies are told of too, and nothing of them is left.
    assert main(["backup", str(disk.folder / "mine.db"), "--data", str(disk.folder)]) == 2
    assert "no room left" in capsys.readouterr().err
    assert house.daily is not None
    with pytest.raises(DiskFullError, match="this copy was not made"):
        house.daily.make_if_due()
    assert begun(disk.folder) == []
    assert not list((disk.folder / COPIES).iterdir())
    disk.make_room()
    assert typed(on_disk, address, "everyone").status_code == 303
    assert on_disk.post(f"{address}/brief/sketch", files=other).status_code == 303
    assert house.daily.make_if_due() is not None
    episode = address.rpartition("/")[2]
    assert house.store.get(episode).brief.audience == "everyone"
    assert house.store.undo(episode) == "the sketch"
    house.store.undo(episode)
    assert house.store.get(episode).brief.audience == taken[-1]
    assert house.store.get(episode).brief.sketch == shown.brief.sketch
    assert integrity(disk.folder) == [("ok",)]


def test_a_limit_of_pages_is_a_full_disk_too(client: TestClient, house: House, empty: str) -> None:
    """SQLite, "PRAGMA max_page_count": an insert beyond it fails as on a full disk."""
    house.store._reading.dispose()
    event.listen(
        house.store._reading, "connect", lambda raw, _: raw.execute("PRAGMA max_page_count=1")
    )
    for value in range(50):
        answer = typed(client, f"/episodes/{empty}", f"{value}" * 190)
        if answer.status_code != 303:
            break
    told(answer, 507, "There is no room left on the disk")


@pytest.fixture
def locked(tmp_path: Path, house: House) -> Iterator[Callable[[], None]]:
    """The plans held by another program, until what is given is called."""
    engine = house.store._reading
    engine.dispose()  # what is connected now waits longer
    event.listen(engine, "connect", lambda raw, _: raw.execute("PRAGMA busy_timeout=20"))
    other = sqlite3.connect(database_path(tmp_path), isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    yield other.rollback
    other.close()


def test_plans_that_another_program_holds_are_read_and_what_is_typed_waits(
    client: TestClient, empty: str, locked: Callable[[], None]
) -> None:
    address = f"/episodes/{empty}"
    answer = typed(client, address, "beginners")
    told(answer, 503, "Another program holds", NOT_SAVED, "Wait a moment", "beginners")
    assert answer.headers["retry-after"] == "3"
    again = re.search(r'<form method="post" action="([^"]+)"', answer.text)
    assert again is not None
    answer = typed(client, address, "beginners", **BY_SCRIPT)
    assert (answer.headers["retry-after"], answer.headers["hx-reswap"]) == ("3", "none")
    entry = {"id": "one", "act": "filmed", "item": "intro", "at": "2026-05-01T09:00:00Z"}
    table = {"sent": "2026-05-01T09:00:00Z", "entries": [entry]}
    assert client.get(f"{address}/brief").status_code == 200
    assert client.get("/").status_code == 200
    assert client.post(f"{address}/table/entries", json=table).status_code in (200, 503)
    locked()
    sent = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]+)"', answer.text))
    assert client.post(again[1], data=sent or {"audience": "beginners"}).status_code == 303
    assert "beginners" in client.get(f"{address}/brief").text


def test_a_folder_that_can_only_be_read_is_read(
    client: TestClient, house: House, empty: str
) -> None:
    """SQLite, "PRAGMA query_only": a change fails as in a folder that may not be written to."""
    house.store._reading.dispose()
    only = "PRAGMA query_only=ON"
    event.listen(house.store._reading, "connect", lambda raw, _: raw.execute(only))
    address = f"/episodes/{empty}"
    told(typed(client, address, "x"), 503, "nothing can be written there", NOT_SAVED)
    assert client.get(f"{address}/brief").status_code == 200


def test_a_card_with_its_lock_on_takes_no_picture(tmp_path: Path) -> None:
    with small_disk(tmp_path / "card") as card:
        card.lock()
        with pytest.raises(ReadOnlyError, match=r"can be written there.*this picture is not"):
            write_photo(card.folder / "photos", f"{'0' * 64}.png", b"x")
        card.unlock()
        write_photo(card.folder / "photos", f"{'0' * 64}.png", b"x")


def test_a_damaged_file_is_told_and_is_not_changed(
    client: TestClient, house: House, empty: str, tmp_path: Path
) -> None:
    path, address = database_path(tmp_path), f"/episodes/{empty}"
    house.store._reading.dispose()  # empties the log into the file
    whole = path.read_bytes()
    size = int.from_bytes(whole[16:18])
    path.write_bytes(whole[:size] + random.Random(9).randbytes(len(whole) - size))
    before = path.read_bytes()
    told(client.get(f"{address}/brief"), 503, "seamslate.db is damaged", "See the copies")
    told(typed(client, address, "x"), 503, "is damaged", "the copies of your plans are files apart")
    told(client.get("/"), 503, "is damaged")
    assert client.get("/copies").status_code == 200
    house.store._reading.dispose()
    assert path.read_bytes() == before


@pytest.mark.parametrize("how", ["moved", "deleted", "put in its place"])
def test_nothing_is_saved_to_a_file_that_is_not_there_any_more(
    client: TestClient, house: House, empty: str, tmp_path: Path, how: str
) -> None:
    address, path, away = f"/episodes/{empty}", database_path(tmp_path), tmp_path / "away"
    assert typed(client, address, "before").status_code == 303
    away.mkdir()
    kept = [(path.with_name(path.name + end), away / f"plans{end}") for end in ("", "-wal", "-shm")]
    if how == "put in its place":
        shutil.copy(path, away / "other.db")
    for here, there in kept:
        here.rename(there)
    if how == "deleted":
        (away / "plans").unlink()
    elif how == "put in its place":
        (away / "other.db").rename(path)
    told(typed(client, address, "lost"), 503, "is not there any more", GONE)
    if how == "deleted":
        told(client.get(f"{address}/brief"), 503, "is not there any more")
        assert not path.exists()  # nor is one made with no plans in it
        return
    path.unlink(missing_ok=True)
    for here, there in kept:
        if there.exists():
            there.rename(here)
    assert house.store.get(empty).brief.audience == "before"
    assert typed(client, address, "after").status_code == 303
    assert house.store.get(empty).brief.audience == "after"


def test_what_the_system_says_of_a_file_is_told_and_a_fault_of_ours_is_not_taken_for_it(
    client: TestClient, house: House, empty: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(number: int) -> Callable[[str], object]:
        def path(name: str) -> object:
            raise OSError(number, "no matter", name)

        return path

    for number, status in ((28, 507), (30, 503), (5, 503), (9, 500)):  # ENOSPC, EROFS, EIO, EBADF
        monkeypatch.setattr(house.photos, "path", fails(number))
        assert client.get("/photos/a.png").status_code == status
    assert empty


def test_a_server_of_plans_that_is_away_is_told(
    client: TestClient, house: House, app: FastAPI
) -> None:
    pytest.importorskip("psycopg")
    away = create_engine("postgresql+psycopg://127.0.0.1:1/plans")  # nothing listens on port 1
    app.state.house = replace(house, store=EpisodeStore(away))
    told(
        client.get("/"), 503, "The database at 127.0.0.1/plans does not answer", "in that database"
    )
    answer = typed(client, "/episodes/smock", "beginners")
    told(answer, 503, "See whether its computer is on", "beginners")
    assert answer.headers["retry-after"] == "3"
    app.state.house = house


def test_the_copy_of_the_day_does_not_hold_up_a_change(
    client: TestClient, house: House, empty: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A change is taken between the first and the last page of a copy."""
    real = DailyCopies(house.store._reading, tmp_path)
    answers: list[int] = []
    write = database.put_in_place

    def slowly(part: Path, target: Path) -> None:
        answers.append(typed(client, f"/episodes/{empty}", "meanwhile").status_code)
        write(part, target)

    monkeypatch.setattr(database, "put_in_place", slowly)
    assert real.make_if_due() is not None
    assert answers == [303]
