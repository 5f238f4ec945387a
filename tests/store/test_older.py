"""What earlier versions let pass is read, mended as little as it needs; what is saved is refused.

Each case was written by a version of this program: the commit that refused it first is named.
"""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.databases import sql
from tests.documents import lost
from webapp.draft.recipe import FinishedMeasure, Recipe
from webapp.errors import EpisodeFileError, StoreError
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.store.episode_file import read_episode, to_text, write_episode
from webapp.store.library import Entry, understood
from webapp.store.repository import EpisodeStore

pytestmark = pytest.mark.usefixtures("database")

Damage = Callable[[dict[str, Any]], object]
HEM, WIDE = {"name": "Hem", "figure": "Front.hem"}, {"name": "hem", "figure": "Front.neck width"}


def _garment(document: dict[str, Any]) -> dict[str, Any]:
    garment: dict[str, Any] = document["garments"][0]
    return garment


def _move(document: dict[str, Any]) -> dict[str, Any]:
    move: dict[str, Any] = _garment(document)["pieces"][1]["moves"][1]
    return move


def _found(document: dict[str, Any], *way: str | int) -> Any:
    here: Any = document
    for step in way:
        here = here[step]
    return here


FINISHED = ("garments", 0, "finished")
OLD: list[tuple[str, Damage, tuple[str | int, ...], object]] = [
    (
        "finished measures of one name: 5659e1f",
        lambda d: _garment(d).update(finished=[HEM, WIDE, {**HEM, "name": "hem 2"}]),
        FINISHED,
        [HEM, {**WIDE, "name": "hem 3"}, {**HEM, "name": "hem 2"}],
    ),
    (
        "… with names as long as can be",
        lambda d: _garment(d).update(finished=[{**HEM, "name": "h" * 80} for _ in "12"]),
        (*FINISHED, 1, "name"),
        "h" * 78 + " 2",
    ),
    (
        "notions of one name in a recipe: a31b236",
        lambda d: _garment(d).update(notions=[{"name": "Thread"}, {"name": "Thread"}]),
        ("garments", 0, "notions", 1, "name"),
        "Thread 2",
    ),
    (
        "a size called like the body: dd85b3d",
        lambda d: d["sizes"][1].update(name=d["body"]["name"]),
        ("sizes", 1, "name"),
        "Invented, medium 2",
    ),
    (
        "a choice called like a function: c4117c8",
        lambda d: _garment(d)["choices"][0].update(name="Max"),
        ("garments", 0, "choices", 0, "name"),
        "own Max",
    ),
    (
        "an edge with a dot and a line break: c4117c8",
        lambda d: _move(d).update(name="neck.\nleft"),
        ("garments", 0, "pieces", 1, "moves", 1, "name"),
        "neck left",
    ),
    (
        "a fourth width of her own: 5fee0c7",
        lambda d: d["cloths"][0].update(more_widths=["1 m", "1.2 m", "1.6 m", "1.8 m"]),
        ("cloths", 0, "more_widths"),
        ["1 m", "1.2 m", "1.6 m"],
    ),
]
CASES = pytest.mark.parametrize(
    ("damage", "way", "mended"), [row[1:] for row in OLD], ids=[row[0] for row in OLD]
)


def _old(smock: Episode, damage: Damage) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(write_episode(smock))
    damage(document)
    return document


@CASES
def test_an_old_file_is_read_with_all_else_as_it_was(
    smock: Episode, damage: Damage, way: tuple[str | int, ...], mended: object
) -> None:
    old = _old(smock, damage)
    read = json.loads(to_text(read_episode(json.dumps(old))))
    assert _found(read, *way) == mended
    *path, last = way
    _found(old, *path)[last] = mended
    assert lost(old, read) == []


@CASES
def test_a_stored_plan_from_then_opens_and_is_changed_and_taken_back(
    store: EpisodeStore,
    smock: Episode,
    tmp_path: Path,
    damage: Damage,
    way: tuple[str | int, ...],
    mended: object,
) -> None:
    store.add(smock)
    sql(tmp_path, "UPDATE episodes SET document = :old", old=json.dumps(_old(smock, damage)))
    opened = store.get(smock.id)
    assert _found(json.loads(to_text(opened)), *way) == mended
    store.change(smock.id, "Rename", lambda e: e.model_copy(update={"title": "Sea"}))
    assert store.undo(smock.id) == "Rename"
    assert store.get(smock.id) == opened


def test_a_revision_from_then_and_a_kept_recipe_are_read_too(smock: Episode) -> None:
    old = _old(smock, lambda d: _garment(d).update(finished=[HEM, HEM]))
    first = {"number": 0, "title": "First", "body": old["body"], "garments": old["garments"]}
    read = read_episode(json.dumps({**old, "revisions": [first]}))
    assert [one.name for one in read.revisions[0].garments[0].finished] == ["Hem", "Hem 2"]
    entry = Entry("mine", "Mine", json.dumps(_garment(old)))
    assert [one.name for one in understood(entry, Recipe).finished] == ["Hem", "Hem 2"]


def test_what_no_version_let_pass_is_still_refused_where_it_stands(smock: Episode) -> None:
    def damage(document: dict[str, Any]) -> None:
        _garment(document).update(finished=[HEM, HEM])
        document["shots"].append(document["shots"][0])

    with pytest.raises(EpisodeFileError, match="Two finished measures are called “Hem”"):
        read_episode(json.dumps(_old(smock, damage)))


def test_a_change_of_today_is_not_mended_but_refused(store: EpisodeStore, smock: Episode) -> None:
    store.add(smock)
    hem = FinishedMeasure(name="Hem", figure="Front.hem")
    twins = smock.garments[0].model_copy(update={"finished": (hem, hem)})
    with pytest.raises(StoreError, match=r"does not fit the plan.*Two finished measures"):
        store.change(smock.id, "Twins", lambda e: e.model_copy(update={"garments": (twins,)}))


def test_a_plan_from_before_there_were_limits_stays_as_large_but_grows_no_more(
    store: EpisodeStore, smock: Episode, tmp_path: Path
) -> None:
    """Of the shots, and of the live figures in all texts: a list's limit, and the whole plan's."""
    shot = smock.shots[0].model_copy(update={"narration": "{a}" * 20, "card": "", "note": ""})
    many = tuple(shot.model_copy(update={"id": f"s{n}"}) for n in range(600))
    large = smock.model_copy(update={"shots": many})
    own = store.add(smock)
    sql(tmp_path, "UPDATE episodes SET document = :text", text=to_text(large))
    assert store.get(own) == large
    renamed = store.change(own, "rename", lambda e: changed(e, title="Large"))
    assert (renamed.title, len(renamed.shots)) == ("Large", 600)
    store.change(own, "one less", lambda e: changed(e, shots=e.shots[1:]))
    assert store.undo(own) == "one less"
    more = (*many, shot.model_copy(update={"id": "more", "narration": ""}))
    with pytest.raises(StoreError, match="at shots: this is a list of 601; 500 is the most"):
        store.change(own, "one more", lambda e: e.model_copy(update={"shots": more}))
    fuller = (shot.model_copy(update={"id": "s0", "note": "{b}"}), *many[1:])
    with pytest.raises(StoreError, match="is the most"):
        store.change(own, "fuller", lambda e: e.model_copy(update={"shots": fuller}))
    assert store.get(own) == renamed
    with pytest.raises(ValueError, match="too long"):
        changed(renamed, shots=more)
    copied = store.add(store.get(own))
    assert len(store.get(copied).shots) == 600


def test_a_stored_plan_that_nests_without_end_is_damaged_and_no_fault(
    store: EpisodeStore, smock: Episode, tmp_path: Path
) -> None:
    own = store.add(smock)
    deep = '{"title": ' + "[" * 5000 + "]" * 5000 + "}"
    sql(tmp_path, "UPDATE episodes SET document = :text", text=deep)
    with pytest.raises(StoreError, match="cannot be read"):
        store.get(own)
