"""Changes: each lands whole or not at all, can be taken back to the byte, and none is lost."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine
from sqlmodel import Session, select

from tests.databases import sql
from tests.histories import history
from webapp.cloth.cloths import EpisodeCloth
from webapp.errors import ChangedElsewhereError, NotThereError, StoreError
from webapp.plan.edits import changed, changed_one, without
from webapp.plan.episode import Brief, Episode
from webapp.store import history as kept
from webapp.store.database import database_path, open_database
from webapp.store.episode_file import to_text
from webapp.store.repository import KEPT_DELETED, Edit, EpisodeStore, EpisodeSummary
from webapp.store.tables import EpisodeRow

pytestmark = pytest.mark.usefixtures("database")


def titled(title: str) -> Edit:
    return lambda episode: episode.model_copy(update={"title": title})


def document(folder: Path, episode_id: str) -> str:
    """The stored text, read without any of our code."""
    query = "SELECT document FROM episodes WHERE id = :id"
    return str(sql(folder, query, id=episode_id)[0][0])


# --- Episodes --------------------------------------------------------------------------------


def test_an_added_episode_is_there_equal(store: EpisodeStore, smock: Episode) -> None:
    assert store.add(smock) == "lighthouse-smock"
    assert store.get("lighthouse-smock") == smock


def test_the_list_shows_each_episode_the_last_changed_first(
    store: EpisodeStore, smock: Episode
) -> None:
    store.add(smock)
    store.add(Episode(id="skirt", title="The Market-Day Skirt"))
    first_added = datetime(2026, 5, 1, 9, tzinfo=UTC)
    assert store.list()[1] == EpisodeSummary(
        "lighthouse-smock", smock.title, "Small Wardrobe", 3, date(2026, 5, 1), first_added
    )
    brief = Brief(publish_date=date(2026, 6, 1))
    store.change("lighthouse-smock", "Later", lambda e: e.model_copy(update={"brief": brief}))
    assert [(e.id, e.publish_date) for e in store.list()] == [
        ("lighthouse-smock", date(2026, 6, 1)),
        ("skirt", None),
    ]


def test_the_list_reads_no_document(store: EpisodeStore, smock: Episode, tmp_path: Path) -> None:
    store.add(smock)
    sql(tmp_path, "UPDATE episodes SET document = 'not a document'")
    assert [episode.title for episode in store.list()] == [smock.title]
    with pytest.raises(StoreError, match="A stored plan cannot be read: it is damaged"):
        store.get(smock.id)


def test_a_part_of_the_list_is_what_stands_there_in_all_of_it(store: EpisodeStore) -> None:
    for number in range(5):
        store.add(Episode(id=f"e{number}", title=f"E {number}"))
    store.delete("e2")
    whole = store.list()
    assert (store.count(), store.count(deleted=True)) == (4, 1) == (len(whole), 1)
    assert store.list(first=1, most=2) == whole[1:3]
    assert store.list(first=9) == ()
    assert (store.has("e1"), store.has("e2"), store.has("none")) == (True, False, False)


@pytest.mark.sqlite
def test_the_list_is_found_in_its_index_alone(store: EpisodeStore, tmp_path: Path) -> None:
    """SQLite's documentation of EXPLAIN QUERY PLAN: a covering index spares the table."""
    shown = "id, title, series, number, publish_date, updated_at"
    query = f"SELECT {shown} FROM episodes WHERE deleted_at IS NULL ORDER BY updated_at DESC, id"
    assert store.count() == 0
    with closing(sqlite3.connect(database_path(tmp_path))) as connection:
        plan = connection.execute(f"EXPLAIN QUERY PLAN {query}").fetchall()
    assert any("COVERING INDEX list_of_episodes" in str(row) for row in plan)


@pytest.mark.sqlite
def test_a_date_on_the_list_that_is_none_is_told(
    store: EpisodeStore, smock: Episode, tmp_path: Path
) -> None:
    store.add(smock)
    sql(tmp_path, "UPDATE episodes SET publish_date = 'x!2'")
    with pytest.raises(StoreError, match="is damaged: it is not what was written"):
        store.list()


def test_a_taken_id_gives_way_to_a_free_one(store: EpisodeStore) -> None:
    ids = [store.add(Episode(id="smock", title=f"Smock {n}")) for n in range(3)]
    assert ids == ["smock", "smock-2", "smock-3"]
    assert [store.get(each).title for each in ids] == ["Smock 0", "Smock 1", "Smock 2"]
    long = "a" * 62 + "-b"
    assert [store.add(Episode(id=long, title="Long")) for _ in range(2)] == [long, "a" * 62 + "-2"]


def test_a_deleted_episode_is_put_back_with_its_history(
    store: EpisodeStore, smock: Episode
) -> None:
    store.add(smock)
    store.change(smock.id, "Rename", titled("Other"))
    store.delete(smock.id)
    assert store.list() == ()
    assert [gone.title for gone in store.list(deleted=True)] == ["Other"]
    with pytest.raises(NotThereError):
        store.get(smock.id)
    store.put_back(smock.id)
    assert store.undo(smock.id) == "Rename"
    assert store.get(smock.id) == smock


def test_what_was_deleted_long_ago_is_gone_for_good(tmp_path: Path, smock: Episode) -> None:
    engine: Engine = open_database(database_path(tmp_path))
    now = datetime(2026, 1, 1, tzinfo=UTC)
    store = EpisodeStore(engine, now=lambda: now)
    store.add(smock)
    store.delete(smock.id)
    now += KEPT_DELETED + timedelta(seconds=1)
    other = store.add(smock)
    store.delete(other)
    assert [gone.id for gone in store.list(deleted=True)] == [other]
    engine.dispose()


def test_a_deleted_id_is_not_given_out_again(store: EpisodeStore, smock: Episode) -> None:
    store.add(smock)
    store.delete(smock.id)
    assert store.add(smock) == f"{smock.id}-2"


def test_a_change_from_an_outdated_page_is_told_and_writes_nothing(
    store: EpisodeStore, smock: Episode
) -> None:
    store.add(smock)
    shown = store.edition(smock.id)
    store.change(smock.id, "Rename", titled("First tab"), expected=shown)
    with pytest.raises(ChangedElsewhereError, match="another tab"):
        store.change(smock.id, "Rename", titled("Second tab"), expected=shown)
    assert store.get(smock.id).title == "First tab"
    store.undo(smock.id)
    assert store.edition(smock.id) > shown + 1


def _promising(words: str) -> Edit:
    return lambda e: e.model_copy(update={"brief": e.brief.model_copy(update={"promise": words})})


def test_a_change_from_an_outdated_page_that_writes_over_nothing_is_made(
    store: EpisodeStore, smock: Episode
) -> None:
    store.add(smock)
    shown = store.edition(smock.id)
    store.change(smock.id, "Rename", titled("First tab"), expected=shown)
    store.keep(smock.id, lambda e: e.model_copy(update={"bought": ("tape",)}))
    store.change(smock.id, "Promise", _promising("Second tab"), expected=shown)
    now = store.get(smock.id)
    assert (now.title, now.brief.promise, now.bought) == ("First tab", "Second tab", ("tape",))
    assert store.changed_since(smock.id, shown, store.edition(smock.id)) == ("Rename",)
    assert store.undo(smock.id) == "Promise"
    assert store.get(smock.id).title == "First tab"
    assert store.get(smock.id).brief.promise == smock.brief.promise


def test_what_was_taken_back_meanwhile_is_not_made_again_by_a_late_save(
    store: EpisodeStore, smock: Episode
) -> None:
    """As where the answer was lost, and the browser sends it once more; another thing is saved."""
    store.add(smock)
    shown = store.edition(smock.id)
    store.change(smock.id, "Rename", titled("First tab"), expected=shown)
    store.undo(smock.id)
    with pytest.raises(ChangedElsewhereError, match="“Rename” was taken back with Undo"):
        store.change(smock.id, "Rename", titled("First tab"), expected=shown)
    store.change(smock.id, "Promise", _promising("Second tab"), expected=shown)
    assert (store.get(smock.id).title, store.redo(smock.id)) == (smock.title, None)
    assert store.get(smock.id).brief.promise == "Second tab"


@pytest.mark.parametrize("between", [1, 2, 3])
def test_a_late_save_is_worked_out_anew_where_others_are_saved_meanwhile(
    store: EpisodeStore, smock: Episode, between: int
) -> None:
    """At first while they may save; if that is for nothing, while they wait."""
    store.add(smock)
    shown = store.edition(smock.id)
    store.change(smock.id, "Rename", titled("First tab"), expected=shown)
    others = iter(range(between))

    def edit(episode: Episode) -> Episode:
        if (number := next(others, None)) is not None:
            store.change(smock.id, "Number", lambda e: changed(e, number=number))
        return _promising("Second tab")(episode)

    store.change(smock.id, "Promise", edit, expected=shown)
    now = store.get(smock.id)
    assert (now.title, now.number) == ("First tab", between - 1)
    assert now.brief.promise == "Second tab"


def test_what_was_taken_out_and_put_back_by_undo_is_the_same_thing(
    store: EpisodeStore, smock: Episode
) -> None:
    store.add(smock)
    first, shown = smock.shots[0].id, store.edition(smock.id)
    store.change(smock.id, "Out", lambda e: changed(e, shots=without(e.shots, "id", first)))
    store.undo(smock.id)

    def noted(episode: Episode) -> Episode:
        slowly = changed_one(episode.shots, "id", first, lambda one: changed(one, note="Slowly"))
        return changed(episode, shots=slowly)

    store.change(smock.id, "The note", noted, expected=shown)
    assert store.get(smock.id).shots[0].note == "Slowly"


def test_where_it_is_not_known_what_came_between_nothing_is_made(
    store: EpisodeStore, smock: Episode
) -> None:
    """An older change was taken back: what the page showed is stored nowhere."""
    store.add(smock)
    store.change(smock.id, "Rename", titled("First tab"))
    shown = store.edition(smock.id)
    store.undo(smock.id)
    with pytest.raises(ChangedElsewhereError):
        store.change(smock.id, "Promise", _promising("Second tab"), expected=shown)
    assert store.get(smock.id) == smock


def test_what_was_taken_out_and_added_anew_under_its_name_is_another_thing(
    store: EpisodeStore, smock: Episode
) -> None:
    store.add(smock)
    shown, shots = store.edition(smock.id), smock.shots

    def without_first(episode: Episode) -> Episode:
        return episode.model_copy(update={"shots": episode.shots[1:]})

    def with_first(episode: Episode) -> Episode:
        return episode.model_copy(update={"shots": (shots[0], *episode.shots)})

    def noted(at: int) -> Edit:
        noted = shots[at].model_copy(update={"note": "Mine"})
        return lambda e: e.model_copy(update={"shots": (*e.shots[:at], noted, *e.shots[at + 1 :])})

    store.change(smock.id, "Out", without_first)
    store.change(smock.id, "In", with_first)
    with pytest.raises(ChangedElsewhereError):
        store.change(smock.id, "Note", noted(0), expected=shown)
    store.change(smock.id, "Note", noted(1), expected=shown)
    assert [one.note for one in store.get(smock.id).shots[:2]] == [shots[0].note, "Mine"]


def test_what_an_earlier_version_changed_is_not_known_by_its_edition(
    store: EpisodeStore, tmp_path: Path, smock: Episode
) -> None:
    store.add(smock)
    shown = store.edition(smock.id)
    store.change(smock.id, "Rename", titled("First tab"), expected=shown)
    sql(tmp_path, "UPDATE changes SET edition = NULL")
    with pytest.raises(ChangedElsewhereError):
        store.change(smock.id, "Promise", _promising("Second tab"), expected=shown)


def test_what_is_only_kept_leaves_the_history_and_the_open_pages_alone(
    store: EpisodeStore, smock: Episode
) -> None:
    store.add(smock)
    store.change(smock.id, "Rename", titled("Other"))
    store.undo(smock.id)
    edition, revision = store.edition(smock.id), store.revision(smock.id)
    store.keep(smock.id, titled("Found by a search"))
    assert store.edition(smock.id) == edition
    assert store.revision(smock.id) > revision
    assert store.standing(smock.id).redo == "Rename"


@pytest.mark.parametrize(
    "ask",
    ["get", "revision", "delete", "undo", "redo", "standing"],
)
def test_asking_for_an_episode_that_is_not_there_is_told(store: EpisodeStore, ask: str) -> None:
    with pytest.raises(NotThereError, match="There is no episode “gone”"):
        getattr(store, ask)("gone")
    with pytest.raises(NotThereError):
        store.change("gone", "Rename", titled("Other"))


# --- Changes ---------------------------------------------------------------------------------


def test_a_change_is_kept_recorded_and_counted(store: EpisodeStore, smock: Episode) -> None:
    store.add(smock)
    before = store.revision(smock.id)
    changed = store.change(smock.id, "Rename the episode", titled("Sea Smock"))
    assert changed == store.get(smock.id) == smock.model_copy(update={"title": "Sea Smock"})
    assert store.revision(smock.id) == before + 1
    assert [(c.number, c.words, c.undone) for c in history(store, smock.id)] == [
        (1, "Rename the episode", False)
    ]


def test_a_change_that_alters_nothing_is_not_recorded(store: EpisodeStore, smock: Episode) -> None:
    store.add(smock)
    before = store.revision(smock.id), store.list()
    assert store.change(smock.id, "Rename", titled(f" {smock.title} ")) == smock
    assert (store.revision(smock.id), store.list()) == before
    assert store.standing(smock.id).undo is None


def _raises(_: Episode) -> Episode:
    raise RuntimeError("the needle broke")


def _twins(episode: Episode) -> Episode:
    return episode.model_copy(update={"cloths": (EpisodeCloth(), EpisodeCloth())})


def _not_a_number(episode: Episode) -> Episode:
    return episode.model_copy(update={"number": "three"})


FAILING: list[tuple[Edit, type[Exception], str]] = [
    (_raises, RuntimeError, "the needle broke"),
    (_twins, StoreError, "does not fit the plan: Two cloths are called “Main cloth”"),
    (_not_a_number, StoreError, "does not fit the plan at number: this must be a whole number"),
    (lambda e: e.model_copy(update={"id": "other"}), ValueError, "keeps the episode's id"),
]


@pytest.mark.parametrize("failing", FAILING, ids=["raises", "twins", "not a number", "other id"])
def test_an_edit_that_fails_writes_nothing(
    store: EpisodeStore,
    smock: Episode,
    tmp_path: Path,
    failing: tuple[Edit, type[Exception], str],
) -> None:
    edit, error, words = failing
    store.add(smock)
    store.change(smock.id, "Rename", titled("Sea Smock"))
    store.undo(smock.id)
    before = document(tmp_path, smock.id), store.revision(smock.id), history(store, smock.id)
    with pytest.raises(error, match=words):
        store.change(smock.id, "Spoil", edit)
    after = document(tmp_path, smock.id), store.revision(smock.id), history(store, smock.id)
    assert after == before
    assert store.standing(smock.id).redo == "Rename"
    store.change(smock.id, "Go on", titled("Still works"))  # the lock is free again


def test_undo_and_redo_walk_the_changes_to_the_byte(
    store: EpisodeStore, smock: Episode, tmp_path: Path
) -> None:
    store.add(smock)
    texts = [document(tmp_path, smock.id)]
    for number in (1, 2):
        store.change(smock.id, f"Title {number}", titled(f"Title {number}"))
        texts.append(document(tmp_path, smock.id))
    assert (store.standing(smock.id).undo, store.standing(smock.id).redo) == ("Title 2", None)
    assert store.undo(smock.id) == "Title 2"
    assert document(tmp_path, smock.id) == texts[1]
    assert (store.standing(smock.id).undo, store.standing(smock.id).redo) == ("Title 1", "Title 2")
    assert [change.undone for change in history(store, smock.id)] == [True, False]
    assert store.undo(smock.id) == "Title 1"
    assert document(tmp_path, smock.id) == texts[0] == to_text(smock)
    assert store.undo(smock.id) is None
    assert store.list()[0].title == smock.title
    assert [store.redo(smock.id) for _ in range(3)] == ["Title 1", "Title 2", None]
    assert document(tmp_path, smock.id) == texts[2]
    assert store.get(smock.id).title == "Title 2"


def test_a_new_change_drops_what_was_taken_back(store: EpisodeStore, smock: Episode) -> None:
    store.add(smock)
    store.change(smock.id, "One", titled("One"))
    store.change(smock.id, "Two", titled("Two"))
    store.undo(smock.id)
    store.change(smock.id, "Three", titled("Three"))
    assert store.redo(smock.id) is None
    assert [change.words for change in history(store, smock.id)] == ["Three", "One"]


def test_only_the_last_changes_are_kept(
    store: EpisodeStore, smock: Episode, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert kept.KEPT_CHANGES == 200
    monkeypatch.setattr(kept, "KEPT_CHANGES", 3)
    store.add(smock)
    for number in range(1, 6):
        store.change(smock.id, f"Title {number}", titled(f"Title {number}"))
    assert [change.number for change in history(store, smock.id)] == [5, 4, 3]
    assert [store.undo(smock.id) for _ in range(4)] == ["Title 5", "Title 4", "Title 3", None]
    assert store.get(smock.id).title == "Title 2"


def test_histories_do_not_mix(store: EpisodeStore) -> None:
    for name in ("one", "two"):
        store.add(Episode(id=name, title=name))
        store.change(name, f"Rename {name}", titled(f"New {name}"))
    assert store.undo("one") == "Rename one"
    assert store.get("two").title == "New two"
    assert store.standing("two").redo is None


ACTS = st.lists(st.sampled_from(["undo", "redo"]) | st.integers(0, 3), max_size=25)


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory, database: str) -> Iterator[Engine]:
    """One database for all examples, each with an episode of its own."""
    engine = open_database(database_path(tmp_path_factory.mktemp(database)))
    yield engine
    engine.dispose()


@settings(derandomize=True, max_examples=25, deadline=None)
@given(acts=ACTS)
def test_any_sequence_of_acts_agrees_with_a_list_and_a_finger(
    shared: Engine, acts: list[str | int]
) -> None:
    """The model: a list of texts and a finger on the one that holds."""
    store = EpisodeStore(shared)
    a = store.add(Episode(id="a", title="0"))

    def stored() -> tuple[str, str]:
        kept = select(EpisodeRow.document, EpisodeRow.title).where(EpisodeRow.id == a)
        with Session(shared) as session:
            return session.exec(kept).one()

    texts, finger = [stored()[0]], 0
    for act in acts:
        if act == "undo":
            assert (store.undo(a) is None) == (finger == 0)
            finger = max(finger - 1, 0)
        elif act == "redo":
            assert (store.redo(a) is None) == (finger == len(texts) - 1)
            finger = min(finger + 1, len(texts) - 1)
        else:
            before = store.get(a).title
            store.change(a, f"to {act}", titled(str(act)))
            if before != str(act):
                texts = [*texts[: finger + 1], stored()[0]]
                finger += 1
        assert stored() == (texts[finger], store.get(a).title)
