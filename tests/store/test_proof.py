"""A copy that is damaged, foreign or hostile is refused, and what is there stays as it was."""

import hashlib
import sqlite3
from contextlib import closing
from functools import partial
from pathlib import Path

import pytest

from tests.filled import fill, titles
from webapp.errors import StoreError
from webapp.store.backup import backup, restore

pytestmark = pytest.mark.usefixtures("database")


def _damaged(path: Path) -> None:
    """A page in the middle of the file is overwritten, as a failing disk does."""
    fill(path.parent / "data", *(f"Episode-{number}" for number in range(60)))
    backup(path.parent / "data", path)
    content = bytearray(path.read_bytes())
    with closing(sqlite3.connect(path)) as connection:
        (page,) = connection.execute(
            "SELECT rootpage FROM sqlite_schema WHERE name = 'episodes'"
        ).fetchone()
        (size,) = connection.execute("PRAGMA page_size").fetchone()
    content[(page - 1) * size : page * size] = b"\xa5" * size
    path.write_bytes(content)


def _newer(path: Path) -> None:
    fill(path.parent / "data", "Smock")
    backup(path.parent / "data", path)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '0099'")


def _stray(path: Path) -> None:
    """A change without its episode."""
    fill(path.parent / "data", "Smock")
    backup(path.parent / "data", path)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute(
            "INSERT INTO changes VALUES (1, 'gone', 1, 'Rename', x'00', x'00', '2026', 0, 2, NULL)"
        )


def _with_picture(path: Path, name: object, content: object) -> None:
    """A backup into which a picture was put by hand."""
    fill(path.parent / "data", "Smock")
    backup(path.parent / "data", path)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("INSERT INTO kept_photos VALUES (?, ?)", (name, content))


def _without_content(path: Path) -> None:
    fill(path.parent / "data", "Smock")
    backup(path.parent / "data", path)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("ALTER TABLE kept_photos DROP COLUMN content")


def _told(path: Path, *statements: str) -> None:
    """A backup in which that was done by hand."""
    fill(path.parent / "data", "Smock")
    backup(path.parent / "data", path)
    with closing(sqlite3.connect(path)) as connection, connection:
        for statement in statements:
            connection.execute(statement)


ENDLESS = (
    "WITH RECURSIVE n(v) AS (SELECT 1 UNION ALL SELECT v FROM n) SELECT v AS version_num FROM n"
)
HOSTILE = [  # SQLite's "Defense Against The Dark Arts" names these
    (("DROP TABLE alembic_version", f"CREATE VIEW alembic_version AS {ENDLESS}"), "is not a Seam"),
    (("ALTER TABLE episodes RENAME TO old", "CREATE VIEW episodes AS SELECT * FROM old"), "is not"),
    (("DROP TABLE kept", f"CREATE VIEW kept AS {ENDLESS}"), "never put there: the view “kept”"),
    (
        ("CREATE TRIGGER spy AFTER UPDATE ON episodes BEGIN DELETE FROM changes; END",),
        "never put there: the trigger “spy”",
    ),
    (("CREATE VIRTUAL TABLE spy USING fts5(word)",), "never put there: the table “spy”"),
    (("ALTER TABLE kept ADD COLUMN own AS (printf('%9d', 1))",), "own of kept is not what it was"),
    (("ALTER TABLE kept DROP COLUMN name",), "name of kept is not what it was"),
    (("UPDATE episodes SET updated_at = 'yesterday'",), "updated_at of episodes is not"),
    (("UPDATE episodes SET updated_at = '2026-02-31 10:00:00.000000'",), "updated_at of episodes"),
    (("UPDATE episodes SET publish_date = 'now'",), "publish_date of episodes is not"),
    (("UPDATE episodes SET title = x'ff'",), "title of episodes is not"),
    (("UPDATE episodes SET edition = 'one'",), "edition of episodes is not"),
]

OF_EVIL = hashlib.sha256(b"evil").hexdigest()


def _of_another_program(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("CREATE TABLE stamps (country)")


DOUBTFUL = [
    (lambda _: None, "There is no file"),
    (lambda path: path.mkdir(), "There is no file"),
    (lambda path: path.touch(), "is not a Seamslate backup, so nothing was restored"),
    (lambda path: path.write_text("Dear aunt, " * 99), "is not a Seamslate backup, so nothing"),
    (_of_another_program, "is not a Seamslate backup, so nothing was restored"),
    (_newer, "written by a newer Seamslate"),
    (_damaged, "The copy is damaged"),
    (_stray, "The copy is damaged"),
    (_without_content, "The copy is damaged"),
    *((lambda path, does=does: _told(path, *does), sentence) for does, sentence in HOSTILE),
    *(
        (partial(_with_picture, name=name, content=content), "The copy is damaged: the picture")
        for name, content in (
            (f"{OF_EVIL}.jpg", b"other"),  # not what the name says
            (f"{OF_EVIL}.jpg", None),
            (f"{OF_EVIL}.jpg", "evil"),  # text where bytes should be
            (f"../{OF_EVIL}.jpg", b"evil"),
            (f"/{OF_EVIL}.jpg", b"evil"),
            (f"{OF_EVIL}.jpg/../../evil", b"evil"),
            (f"{OF_EVIL}.jpg\n", b"evil"),
            (f"{OF_EVIL}.py", b"evil"),
            ("seamslate.db", b"evil"),
            (None, b"evil"),
            (7, b"evil"),
        )
    ),
]


@pytest.mark.sqlite
@pytest.mark.parametrize(("make", "sentence"), DOUBTFUL)
def test_a_doubtful_backup_is_refused_and_changes_nothing(
    tmp_path: Path, make: object, sentence: str
) -> None:
    assert callable(make)
    mine = tmp_path / "mine"
    fill(mine, "Skirt")
    make(tmp_path / "doubtful")
    with pytest.raises(StoreError, match=sentence):
        restore(mine, tmp_path / "doubtful")
    assert [entry.name for entry in mine.iterdir()] == ["seamslate.db"]
    assert titles(mine) == ["Skirt"]
    assert {entry.name for entry in tmp_path.iterdir()} <= {"mine", "data", "doubtful"}
