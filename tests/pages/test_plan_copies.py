"""The page of the copies: what each is of, one put back, a backup taken."""

import gzip
import re
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.copied import copied_plans, put_back, served, words, words_of
from tests.small_disk import small_disk
from webapp.cli import main
from webapp.pages.plan_copies import copy_lines
from webapp.plan.episode import Episode
from webapp.store.backup import restore
from webapp.store.changed_last import changed_last
from webapp.store.database import database_path, open_database
from webapp.store.kept_copies import Copy, copies_in
from webapp.store.photos import photos_folder, write_photo
from webapp.store.repository import EpisodeStore

pytestmark = pytest.mark.sqlite
DATA = Path(__file__).parents[1] / "store" / "data"


@pytest.fixture
def plans(tmp_path: Path) -> Path:
    """A folder with the plan of a smock, copied, and of a skirt, which is in no copy."""
    return copied_plans(tmp_path / "plans")


def test_a_copy_is_put_back_while_the_plans_are_open(plans: Path) -> None:
    (copy,) = copies_in(plans)
    with served(plans) as client:
        assert "The Skirt" in client.get("/").text
        assert copy.name in client.get("/copies").text
        shown = re.search(r"edition=(\d+)", client.get("/episodes/smock/brief").text)
        assert shown
        told = words(client.get(put_back(client, copy.name).headers["location"]))
        late = client.post(f"/episodes/smock/brief?{shown[0]}", data={"title": "Of a page before"})
        assert late.status_code == 422
        assert "a copy of all plans was put back on" in words(late)
        assert "The plans are back as they were on" in told
        assert "put that back if you change your mind" in told
        assert "The Skirt" not in client.get("/").text
        kept = next(one for one in copies_in(plans) if one.why == "before-restore")
        assert put_back(client, kept.name).status_code == 303  # and back again
        assert "The Skirt" in client.get("/").text


def test_how_the_plans_are_left_is_a_copy_of_its_own(plans: Path) -> None:
    with served(plans) as client:
        assert client.post("/episodes/skirt/delete").status_code == 303
    (left,) = (one for one in copies_in(plans) if one.why == "at-end")
    assert left.episodes() == 1
    with served(plans):
        pass
    assert len(copies_in(plans)) == 2  # nothing was changed since
    database_path(plans).unlink()
    with served(plans) as client:
        assert f"/copies/{left.name}/put-back" in client.get("/").text
    assert len(copies_in(plans)) == 2  # nor is there anything to copy


def test_before_a_copy_is_put_back_it_is_asked_and_told_what_each_holds(plans: Path) -> None:
    (copy,) = copies_in(plans)
    with served(plans) as client:
        assert put_back(client, copy.name).status_code == 303
        page = client.get("/copies").text
    assert ">1\N{NO-BREAK SPACE}episode<" in page and "\N{NO-BREAK SPACE}MB<" in page
    # Without script too, no press alone puts one back: its button is in a fold that asks.
    for row in re.findall(r"<tr>.*?</tr>", page, re.DOTALL)[1:]:
        fold = re.search(r"<details>(.*?)</details>", row, re.DOTALL)
        assert fold and row.count("<button") == fold[1].count("<button") == 1
        asked = words_of(fold[1].partition("</summary>")[2])
        assert "Every episode becomes what it was on" in asked
        assert "kept first, as a copy of its own. Yes, put it back" in asked
    # Two of one minute are told apart by the second, and by what was changed last in them.
    told = [words_of(row) for row in re.findall(r"<tr>.*?</tr>", page, re.DOTALL)[1:]]
    assert len(told) == 2
    assert any("Before a copy was put back 2 episodes 2" in one for one in told)
    assert any("Soon after the day’s first change 1 episode 2" in one for one in told)
    at = datetime(2026, 5, 1, 9, 30, 1)
    alike = (Copy(copy.path, "daily", at), Copy(copy.path, "at-end", at.replace(second=44)))
    later = Copy(copy.path, "daily", at.replace(minute=31))
    assert [one.when.partition(", ")[2] for one in copy_lines([*alike, later])] == [
        "09:30:01",
        "09:30:44",
        "09:31",
    ]


def test_of_each_copy_the_last_change_is_told_as_the_button_undo_tells_it(
    plans: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def left(address: str, **data: str) -> str:
        """What is told of the copy made when it is left after that was sent."""
        with served(plans) as client:
            assert client.post(address, data=data).status_code == 303
        with served(plans) as client:
            page = client.get("/copies").text
        rows = re.findall(r"<tr>.*?</tr>", page, re.DOTALL)
        row = next(one for one in rows if "When Seamslate was closed" in one)
        return words_of(row.partition('data-label="Last change">')[2].partition("</td>")[0])

    told = left("/episodes/smock/brief", title="The Smock", audience="beginners")
    with served(plans) as client:
        undo = re.search(r"Undo: ([^<“”\"]+)", client.get("/episodes/smock/brief").text)
    assert undo is not None
    assert told.endswith(f"“The Smock”: {undo[1].strip()}")
    assert main(["copies", "--data", str(plans)]) == 0
    assert f"“The Smock”: {undo[1].strip()}\n" in capsys.readouterr().out
    assert left("/episodes/skirt/delete").endswith("“The Skirt”: Deleted")


@pytest.mark.parametrize("version", ["0001", "0006"])
def test_the_last_change_in_a_copy_of_an_earlier_version_is_told(
    tmp_path: Path, version: str
) -> None:
    file = tmp_path / "seamslate.db"
    file.write_bytes(gzip.decompress((DATA / f"seamslate-{version}.db.gz").read_bytes()))
    with closing(sqlite3.connect(file)) as copy, copy:
        copy.execute("UPDATE episodes SET updated_at = '2026-11-27 08:00' WHERE number = 5")
    last = changed_last(file, datetime(2026, 11, 28))
    assert last is not None
    assert (last.at.astimezone(UTC).hour, last.told) == (8, "“The Rope-Walk Apron”: Promise")


def test_plans_in_use_elsewhere_are_not_replaced(plans: Path) -> None:
    (copy,) = copies_in(plans)
    with served(plans) as client:
        with closing(sqlite3.connect(database_path(plans))) as other:
            other.execute("BEGIN")
            other.execute("SELECT * FROM episodes").fetchone()
            refused = put_back(client, copy.name)
            assert refused.status_code == 422
            assert "has the plans in" in words(refused)
        assert "The Skirt" in client.get("/").text


def test_a_backup_taken_in_the_browser_is_restored_elsewhere(plans: Path, tmp_path: Path) -> None:
    unsent = plans / ".unsent-backup-old"  # as of a server that was killed
    unsent.mkdir()
    with served(plans) as client:
        assert not unsent.exists()
        assert "The Skirt" in words(client.get("/"))
        broken = f"{'0' * 64}.jpg"
        write_photo(photos_folder(plans), broken, b"no picture")
        sent = client.post("/copies/backup")
        assert sent.status_code == 200
        assert "without-1-damaged-picture.db" in sent.headers["content-disposition"]
        (photos_folder(plans) / broken).unlink()
        sent = client.post("/copies/backup")
        assert "without" not in sent.headers["content-disposition"]
    assert not list(plans.glob(".unsent*"))
    file, elsewhere = tmp_path / "stick.db", tmp_path / "elsewhere"
    file.write_bytes(sent.content)
    restore(elsewhere, file)
    with served(elsewhere) as client:
        page = words(client.get("/"))
    assert "The Skirt" in page


def test_copies_that_cannot_be_made_or_read_say_why(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk") as disk:
        EpisodeStore(open_database(database_path(disk.folder))).add(Episode(id="a", title="Apron"))
        with served(disk.folder) as client:
            assert "the first is made soon after the first change" in words(client.get("/copies"))
            disk.fill()
            daily = client.app._app.state.house.daily  # type: ignore[attr-defined]
            daily.make_last()
            told = words(client.get("/copies"))
            assert "Copies cannot be made just now: There is no room left on the disk" in told
            assert "Make room on that disk" in told
            assert "There are no copies yet" not in told
            disk.make_room()
            daily.make_last()
            assert "cannot be made" not in words(client.get("/copies"))


def test_copies_in_a_folder_that_is_gone_say_so(plans: Path) -> None:
    with served(plans) as client:
        away = plans.rename(plans.with_name("pulled out"))
        told = words(client.get("/copies"))
        away.rename(plans)
        assert "1 episode" in words(client.get("/copies"))
    assert f"The copies cannot be read just now: {plans} is not there any more" in told
    assert "There are no copies yet" not in told


def test_another_site_takes_no_backup(plans: Path) -> None:
    with served(plans) as client:
        told = client.post("/copies/backup", headers={"origin": "https://elsewhere.example"})
    assert told.status_code == 403
    assert not list(plans.glob(".unsent*"))
