"""The list of work that was asked for: in order, and once."""

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
def list_of(engine: Engine) -> AskedWork:
    return AskedWork(engine)


def test_what_was_asked_for_stands_there_in_its_order_until_it_has_ended(
    list_of: AskedWork, engine: Engine
) -> None:
    for key in ("b", "a", "c"):
        assert list_of.asked(key, LAY, "the lay", "/episodes/smock/cloth") == 0
    list_of.begun("a", 1)
    assert list_of.asked("a", LAY, "the lay", "/elsewhere") == 1  # the same, asked for once more
    list_of.ended("c")
    list_of.ended("never asked for")
    other = AskedWork(engine)  # another server sees what is on the disk
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


def test_a_copy_that_is_put_back_asks_for_nothing(list_of: AskedWork, tmp_path: Path) -> None:
    list_of.asked("a", LAY, "the lay", "")
    backup(tmp_path, tmp_path / "copy.db")
    restore(tmp_path / "fresh", tmp_path / "copy.db")
    engine = open_database(database_path(tmp_path / "fresh"))
    again = AskedWork(engine)
    assert again.list() == ()
    engine.dispose()
