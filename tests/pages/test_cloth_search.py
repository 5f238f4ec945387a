"""The search for a tighter lay: it runs beside the server, can be stopped, and is kept."""

import re
import time
from dataclasses import replace
from unittest.mock import patch

import pytest
from starlette.testclient import TestClient

from webapp.cloth.laid import Cloth, Lay, LayPiece
from webapp.jobs import Job, Jobs, Report
from webapp.pages import cloth, lay_search
from webapp.pages.house import House
from webapp.pages.lay_search import search
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.lays import LayPlan
from webapp.units import System, both


def _wait_for(house: House, key: str) -> str:
    for _ in range(1_800):
        job = house.jobs.get(key)
        assert job is not None
        if not job.is_going_on:
            return job.state
        time.sleep(0.05)
    raise AssertionError("The search did not end within 90 s.")


def _search_shortly(
    report: Report, pieces: tuple[LayPiece, ...], cloth: Cloth, first: System
) -> Lay:
    """For its process, which knows nothing of what a test patched."""
    with patch.object(lay_search, "SECONDS", 1):
        return search(report, pieces, cloth, first)


def test_a_search_ends_with_a_lay_no_longer_than_before(
    client: TestClient, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cloth, "search", _search_shortly)
    before = house.plan(smock).lays[0]
    assert before.lay is not None and not before.kept
    client.post(f"/episodes/{smock}/cloth/cloths/0/search")
    assert _wait_for(house, lay_search.job_key(smock, before)) == "done"
    after = house.plan(smock).lays[0]
    assert after.lay is not None
    assert after.lay.length_mm <= before.lay.length_mm
    assert after.kept == (after.lay.length_mm < before.lay.length_mm)
    assert house.store.standing(smock).undo is None


def test_a_search_that_is_stopped_changes_nothing(
    client: TestClient, smock: str, house: House
) -> None:
    lay = house.plan(smock).lays[0]
    begun = client.post(f"/episodes/{smock}/cloth/cloths/0/search", headers={"HX-Request": "true"})
    assert re.search(r"Looking for a tighter lay\.</strong> \d+ % done\.", begun.text)
    answer = client.post(
        f"/episodes/{smock}/cloth/cloths/0/search/cancel", headers={"HX-Request": "true"}
    )
    assert "Look for a tighter lay" in answer.text
    assert _wait_for(house, lay_search.job_key(smock, lay)) == "cancelled"
    assert house.store.get(smock).kept_lays == ()
    assert "The search was stopped before its end." in client.get(f"/episodes/{smock}/cloth").text


def test_the_best_that_was_found_is_shown_while_it_works(smock: str, house: House) -> None:
    """Only while it goes on: what is kept when it is stopped is the lay of the plan itself."""
    lay = house.plan(smock).lays[0]
    assert lay.lay is not None
    key = lay_search.job_key(smock, lay)
    shorter = replace(lay.lay, length_mm=lay.lay.length_mm - 50)
    view = cloth.ClothView((lay,), {lay.cloth.name: Job(key, so_far=shorter)}, "EUR")
    assert view.best_so_far(lay) is shorter
    ended = Job(key, state="cancelled", so_far=shorter)
    assert cloth.ClothView((lay,), {lay.cloth.name: ended}, "EUR").best_so_far(lay) is lay.lay
    longer = Job(key, so_far=replace(lay.lay, length_mm=lay.lay.length_mm + 50))
    assert cloth.ClothView((lay,), {lay.cloth.name: longer}, "EUR").best_so_far(lay) is lay.lay


@pytest.mark.parametrize("first", ["cm", "in"])
def test_a_search_reports_each_shorter_lay_in_words_and_as_it_is(
    smock: str, house: House, first: System, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lay_search, "SECONDS", 1)
    lay = house.plan(smock).lays[0]
    assert lay.lay is not None
    told: list[tuple[str, object]] = []

    def report(words: str, so_far: object = None, /) -> None:
        told.append((words, so_far))

    found = lay_search.search(report, lay.pieces, lay.lay.cloth, first)
    assert told[-1][1] == found
    for words, so_far in told:
        assert isinstance(so_far, Lay)
        assert words.startswith(f"Best so far: {both(so_far.length_mm, first)} of cloth, ")
    assert "less than" not in told[0][0]


@pytest.fixture
def kept(smock: str, house: House) -> str:
    """The smock with a lay kept for its main cloth."""
    plan = house.plan(smock).lays[0]
    house.store.keep(smock, lambda e: _with_kept(e, plan))
    assert house.plan(smock).lays[0].kept
    return smock


def test_a_search_that_ends_while_the_page_is_made_is_not_over_beside_the_lay_before(
    client: TestClient, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = house.plan(smock).lays[0]

    def ends_now(_: Jobs, key: str) -> Job:
        house.store.keep(smock, lambda e: _with_kept(e, before))
        return Job(key, state="done")

    monkeypatch.setattr(Jobs, "get", ends_now)
    page = client.get(f"/episodes/{smock}/cloth")
    assert page.context["view"].lays[0].kept  # type: ignore[attr-defined]


def test_a_kept_lay_is_used_only_while_it_fits_the_draft(
    client: TestClient, kept: str, house: House
) -> None:
    client.post(
        f"/episodes/{kept}/draft/lighthouse-smock/choices", data={"c smock length": "71 cm"}
    )
    assert not house.plan(kept).lays[0].kept
    client.post(f"/episodes/{kept}/undo")
    assert house.plan(kept).lays[0].kept


def test_a_search_that_ends_after_its_draft_was_undone_leaves_the_lay_of_the_one_before(
    client: TestClient, kept: str, house: House
) -> None:
    client.post(
        f"/episodes/{kept}/draft/lighthouse-smock/choices", data={"c smock length": "71 cm"}
    )
    begun = house.plan(kept).lays[0]
    client.post(f"/episodes/{kept}/undo")
    house.store.keep(kept, lambda e: _with_kept(e, begun))
    assert house.plan(kept).lays[0].kept


def test_the_latest_lays_of_a_cloth_are_kept(kept: str, house: House) -> None:
    episode, plan = house.store.get(kept), house.plan(kept).lays[0]
    other = changed(episode.kept_lays[0], cloth="Binding cloth")
    episode = changed(episode, kept_lays=(other, *episode.kept_lays))
    for key in ("a", "b", "c", "a", "d", "e"):
        episode = _with_kept(episode, replace(plan, key=16 * key))
    assert [one.key for one in episode.kept_lays] == [other.key, *(16 * one for one in "cade")]


def _with_kept(episode: Episode, plan: LayPlan) -> Episode:
    """As if a search had found the lay that there is where a longer one was."""
    found = plan.lay
    assert found is not None
    longer = replace(found, length_mm=found.length_mm + 100)
    before = LayPlan(plan.cloth, plan.pieces, plan.as_cut, plan.key, longer)
    return lay_search.with_kept_lay(episode, before, found)


def test_a_kept_lay_outlives_undo_and_redo(client: TestClient, kept: str, house: House) -> None:
    lays = house.store.get(kept).kept_lays
    client.post(f"/episodes/{kept}/brief", data={"title": "Another title"})
    house.store.keep(kept, lambda e: changed(e, kept_lays=()))
    client.post(f"/episodes/{kept}/undo")
    assert house.store.get(kept).kept_lays == ()
    house.store.keep(kept, lambda e: changed(e, kept_lays=lays))
    client.post(f"/episodes/{kept}/redo")
    assert house.store.get(kept).kept_lays == lays


def test_a_kept_lay_follows_when_its_cloth_is_renamed(
    client: TestClient, kept: str, house: House
) -> None:
    client.post(f"/episodes/{kept}/cloth/cloths/0", data={"name": "Slate linen"})
    lay = house.plan(kept).lays[0]
    assert lay.cloth.name == "Slate linen"
    assert lay.kept


def test_a_lay_that_is_not_shorter_is_not_kept(smock: str, house: House) -> None:
    plan = house.plan(smock).lays[0]
    assert plan.lay is not None
    episode = house.store.get(smock)
    assert lay_search.with_kept_lay(episode, plan, plan.lay) is episode


def test_a_cloth_too_narrow_says_which_piece_in_both_units(client: TestClient, smock: str) -> None:
    answer = client.post(
        f"/episodes/{smock}/cloth/cloths/0",
        data={"width": "40 cm"},
        headers={"HX-Request": "true"},
    )
    view: cloth.ClothView = answer.context["view"]  # type: ignore[attr-defined]
    assert view.lays[0].lay is None
    assert " cm (" in view.lays[0].problem and " in)" in view.lays[0].problem
