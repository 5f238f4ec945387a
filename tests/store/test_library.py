"""The library: what is kept is there in every episode, comes back when taken out, is never lost."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Thread

import pytest

from tests.databases import sql
from webapp.draft.recipe import Body, Recipe
from webapp.errors import ChangedElsewhereError, NotThereError, StoreError
from webapp.plan.episode import Episode
from webapp.store.backup import backup, restore
from webapp.store.database import database_path, open_database
from webapp.store.library import Entry, Library, understood
from webapp.store.repository import KEPT_DELETED

pytestmark = pytest.mark.usefixtures("database")


class Clock:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.now = datetime(2026, 5, 1, 9, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def library(tmp_path: Path, clock: Clock) -> Iterator[Library]:
    engine = open_database(database_path(tmp_path))
    yield Library(engine, clock)
    engine.dispose()


def names(library: Library, *, deleted: bool = False) -> list[str]:
    return [entry.name for entry in library.entries("recipe", deleted=deleted)]


def test_what_is_put_is_there_by_name_and_only_among_its_kind(library: Library) -> None:
    library.put("recipe", "work smock", "{}")
    library.put("recipe", "Apron", "[1]")
    library.put("chart", "Household", "{}")
    assert library.entries("recipe") == (
        Entry("apron", "Apron", "[1]"),
        Entry("work-smock", "work smock", "{}"),
    )
    assert library.entries("chart") == (Entry("household", "Household", "{}"),)


def test_a_recipe_comes_out_equal_with_all_its_texts(library: Library, smock: Episode) -> None:
    (recipe,) = smock.garments
    kept = library.put("recipe", "½ a day’s smock — mine", recipe.model_dump_json())
    assert understood(library.get("recipe", kept), Recipe) == recipe


def test_putting_with_an_id_replaces_and_may_rename(library: Library) -> None:
    kept = library.put("chart", "Household", "1")
    assert library.put("chart", "household", "2", kept) == kept
    assert library.put("chart", "The family", "3", kept) == kept
    assert library.entries("chart") == (Entry(kept, "The family", "3"),)


def test_what_was_changed_since_it_was_shown_is_not_replaced(library: Library) -> None:
    kept = library.put("recipe", "Apron", "1")
    shown = library.get("recipe", kept).state
    library.put("recipe", "Apron", "2", kept, shown=shown)
    with pytest.raises(ChangedElsewhereError, match="“Apron” was changed in another tab"):
        library.put("recipe", "Apron", "3", kept, shown=shown)
    assert library.get("recipe", kept).document == "2"
    library.put("recipe", "Pinafore", "2", kept)  # its name is of its state
    assert library.get("recipe", kept).state != Entry(kept, "Apron", "2").state


def test_two_of_a_kind_have_different_names_whatever_their_capitals(library: Library) -> None:
    library.put("recipe", "Apron", "1")
    other = library.put("recipe", "Smock", "2")
    library.put("chart", "Apron", "3")  # another kind
    taken = "You keep a recipe called “Apron” already; give this another name."
    for kept in (None, other):
        with pytest.raises(StoreError) as refusal:
            library.put("recipe", "APRON", "4", kept)
        assert refusal.value.sentence == taken
    assert [entry.document for entry in library.entries("recipe")] == ["1", "2"]


def test_names_that_make_the_same_id_are_kept_apart(library: Library) -> None:
    ids = [library.put("recipe", name, "{}") for name in ("Smock?", "Smock!", "…", "……")]
    assert len(set(ids)) == 4


def test_what_is_taken_out_can_be_put_back(library: Library) -> None:
    kept = library.put("recipe", "Apron", "1")
    library.take_out("recipe", kept)
    assert (names(library), names(library, deleted=True)) == ([], ["Apron"])
    with pytest.raises(NotThereError, match="That recipe is not kept any more"):
        library.get("recipe", kept)
    library.put_back("recipe", kept)
    assert library.get("recipe", kept) == Entry(kept, "Apron", "1")


def test_what_was_taken_out_frees_its_name_until_it_is_put_back(library: Library) -> None:
    old = library.put("recipe", "Apron", "old")
    library.take_out("recipe", old)
    new = library.put("recipe", "Apron", "new")
    with pytest.raises(StoreError, match="You keep a recipe called “Apron” already"):
        library.put_back("recipe", old)
    library.take_out("recipe", new)
    library.put_back("recipe", old)
    assert [entry.document for entry in library.entries("recipe")] == ["old"]


def test_what_was_taken_out_long_ago_is_forgotten(library: Library, clock: Clock) -> None:
    old, other = (library.put("recipe", name, "{}") for name in ("Apron", "Smock"))
    library.take_out("recipe", old)
    clock.now += KEPT_DELETED + timedelta(seconds=1)
    library.take_out("recipe", other)
    assert names(library, deleted=True) == ["Smock"]
    with pytest.raises(NotThereError):
        library.put_back("recipe", old)


def test_an_id_that_is_not_there_is_told(library: Library) -> None:
    chart = library.put("chart", "Household", "{}")
    with pytest.raises(NotThereError, match="That recipe is not kept any more"):
        library.take_out("recipe", chart)  # of another kind
    with pytest.raises(NotThereError, match="That size chart is not kept any more"):
        library.put("chart", "Any", "{}", "none")
    with pytest.raises(NotThereError):
        library.put_back("chart", "none")


DAMAGE = [
    ("", "“Apron” cannot be read: "),
    ('{"id": "apron', "“Apron” cannot be read: "),
    ("null", "“Apron” cannot be read: this must be a group of fields in { }, not null."),
    ('{"id": "apron"}', "“Apron” cannot be read at name: this is missing."),
    (
        '{"id": "apron", "name": "Apron", "pockets": 2}',
        "“Apron” cannot be read at pockets: Seamslate does not know this;",
    ),
    (
        '{"id": "a", "name": "Apron", "pieces": [{"name": "Bib", "moves": [{"kind": "weld"}]}]}',
        "“Apron” cannot be read at pieces → 1 “Bib” → moves → 1 → kind: this must be one of",
    ),
]


@pytest.mark.parametrize(("document", "sentence"), DAMAGE)
def test_a_damaged_or_outdated_document_is_listed_and_says_what_is_wrong(
    library: Library, document: str, sentence: str
) -> None:
    library.put("recipe", "Apron", document)
    (entry,) = library.entries("recipe")
    with pytest.raises(StoreError) as refusal:
        understood(entry, Recipe)
    assert refusal.value.sentence.startswith(sentence)


def test_putting_the_same_name_twice_at_once_keeps_one(library: Library) -> None:
    refused: list[str] = []

    def put(document: str) -> None:
        try:
            library.put("recipe", "Apron", document)
        except StoreError as error:
            refused.append(error.sentence)

    threads = [Thread(target=put, args=(str(n),)) for n in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(names(library)) == 1
    assert len(refused) == 5


def test_a_refusing_database_is_told(library: Library, tmp_path: Path) -> None:
    sql(tmp_path, "DROP TABLE kept")
    with pytest.raises(StoreError, match="cannot be read or saved, for a reason"):
        library.entries("recipe")


def test_a_backup_carries_the_library(library: Library, tmp_path: Path) -> None:
    body = Body(name="Wren", measures={"bust": "37 1/2 in"})
    chart = library.put("chart", "Household", body.model_dump_json())
    gone = library.put("recipe", "Apron", "{}")
    library.take_out("recipe", gone)
    backup(tmp_path, tmp_path / "plans.backup")
    restore(tmp_path / "new computer", tmp_path / "plans.backup")
    engine = open_database(database_path(tmp_path / "new computer"))
    there = Library(engine)
    assert understood(there.get("chart", chart), Body) == body
    there.put_back("recipe", gone)
    assert names(there) == ["Apron"]
    engine.dispose()
