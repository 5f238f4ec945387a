"""The list of work that was asked for: in order, once, and by one server at a time."""

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine, text

from webapp.jobs import Again
from webapp.store.asked_work import AskedWork
from webapp.store.backup import backup, restore
from webapp.store.database import database_path, open_database

pytestmark = pytest.mark.usefixtures("database")

LAY = Again("lay", {"episode": "smock", "cloth": "Main “cloth”"})


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    engine = open_database(database_path(tmp_path))
    yield engine
    engine.dispose()


@pytest.fixture
def list_of(engine: Engine, tmp_path: Path) -> Iterator[AskedWork]:
    made = AskedWork(engine, tmp_path)
    yield made
    made.close()


def test_what_was_asked_for_stands_there_in_its_order_until_it_has_ended(
    list_of: AskedWork, engine: Engine, tmp_path: Path
) -> None:
    for key in ("b", "a", "c"):
        assert list_of.asked(key, LAY, "the lay", "/episodes/smock/cloth") == 0
    list_of.begun("a", 1)
    assert list_of.asked("a", LAY, "the lay", "/elsewhere") == 1  # the same, asked for once more
    list_of.ended("c")
    list_of.ended("never asked for")
    other = AskedWork(engine, tmp_path)  # another server sees what is on the disk
    assert [(one.key, one.begun) for one in other.list()] == [("b", 0), ("a", 1)]
    first = other.list()[0]
    assert (first.kind, dict(first.arguments)) == ("lay", dict(LAY.arguments))
    assert (first.called, first.address) == ("the lay", "/episodes/smock/cloth")


@pytest.mark.parametrize("arguments", ["", "{", "[1]", "null", "[" * 100_000])
def test_what_another_program_wrote_there_has_no_kind(
    list_of: AskedWork, engine: Engine, arguments: str
) -> None:
    list_of.asked("a", LAY, "", "")
    with engine.begin() as connection:
        connection.execute(text("UPDATE asked_work SET arguments = :it"), {"it": arguments})
    (found,) = list_of.list()
    assert (found.kind, dict(found.arguments)) == ("", {})


@pytest.mark.skipif(sys.platform == "win32", reason="there is no fcntl")
def test_one_server_alone_works_by_it_until_it_is_gone_however_it_went(
    list_of: AskedWork, engine: Engine, tmp_path: Path
) -> None:
    assert list_of.is_ours
    second = AskedWork(engine, tmp_path)
    assert not second.is_ours
    second.close()
    list_of.close()
    code = (
        "import fcntl, os, sys; f = os.open(sys.argv[1], os.O_CREAT | os.O_RDWR);"
        "fcntl.flock(f, fcntl.LOCK_EX); print('held', flush=True); sys.stdin.read()"
    )
    command = [sys.executable, "-c", code, str(tmp_path / "work.lock")]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdin=pipe, stdout=pipe, text=True) as other:
        assert other.stdout is not None and other.stdout.readline() == "held\n"
        assert not AskedWork(engine, tmp_path).is_ours
        other.kill()
    third = AskedWork(engine, tmp_path)
    assert third.is_ours
    third.close()


def test_a_copy_that_is_put_back_asks_for_nothing(list_of: AskedWork, tmp_path: Path) -> None:
    list_of.asked("a", LAY, "the lay", "")
    backup(tmp_path, tmp_path / "copy.db")
    restore(tmp_path / "fresh", tmp_path / "copy.db")
    engine = open_database(database_path(tmp_path / "fresh"))
    again = AskedWork(engine, tmp_path / "fresh")
    assert again.list() == ()
    again.close()
    engine.dispose()
