"""A table of ways that was worked out is kept: after a restart, an undo, a cloth's new name."""

import time
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.pages.printing import at_once
from webapp.app import create_app
from webapp.cloth.cloths import KeptWays
from webapp.handouts.companion import companion_html
from webapp.jobs import Job, Report
from webapp.pages import ways_work
from webapp.pages.house import House
from webapp.pages.ways import ClothWays, WaysView
from webapp.plan.edits import changed
from webapp.plan.ways import WaysAsked, WaysTable, ways_table
from webapp.settings import Settings

BINDING = 1  # the smock's second cloth: one piece, so its table is soon done


def _rest_after_one_row(report: Report, asked: WaysAsked, *_: object) -> WaysTable:
    def first(words: str, so_far: object = None) -> None:
        report(words, so_far)
        time.sleep(60)

    return ways_table(first, asked)


def _work_out(client: TestClient, house: House, episode: str) -> Job:
    client.post(f"/episodes/{episode}/ways/{BINDING}/work-out")
    return house.jobs.beginning(f"ways {episode} ")[0]


def _until_a_row(job: Job) -> None:
    for _ in range(1_800):
        if job.so_far:
            return
        time.sleep(0.05)
    raise AssertionError("No row came within 90 s.")


def _shown(client: TestClient, episode: str) -> tuple[ClothWays, str]:
    answer = client.get(f"/episodes/{episode}/ways")
    assert answer.status_code == 200
    view: WaysView = answer.context["view"]  # type: ignore[attr-defined]
    return view.cloths[BINDING], answer.text.split(f'id="ways-{BINDING}"')[1]


def _kept(house: House, episode: str, cloth: str = "Binding cloth") -> KeptWays | None:
    return next((k for k in house.store.get(episode).kept_ways if k.cloth == cloth), None)


def _main(text: str) -> str:
    """The tables of a page, without what is told around them."""
    return text.split("<table", 1)[1].rsplit("</table>", 1)[0]


@pytest.fixture
def tabled(client: TestClient, smock: str, house: House, monkeypatch: pytest.MonkeyPatch) -> str:
    """The smock with the table of its binding cloth worked out, here where its lays are known."""
    with monkeypatch.context() as patched:
        at_once(patched)
        _work_out(client, house, smock)
    assert _kept(house, smock)
    return smock


def test_a_table_outlives_the_server(client: TestClient, tabled: str, tmp_path: Path) -> None:
    _, before = _shown(client, tabled)
    again = create_app(Settings(data_dir=tmp_path))
    with TestClient(again, base_url="http://127.0.0.1", follow_redirects=False) as after:
        each, text = _shown(after, tabled)
        assert each.lacking == () and not each.known.is_older and each.known.job is None
        assert _main(text) == _main(before)
        assert "Why folding costs more" in text and "Lay it this way" in text
        after.post(f"/episodes/{tabled}/cloth/cloths/{BINDING}", data={"shrinks_along": "9"})
        each, text = _shown(after, tabled)
        assert each.known.is_older and "This table is of an older draft." in text


def test_it_is_no_change_of_the_makers_and_outlives_undo(
    client: TestClient, tabled: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert house.store.standing(tabled).undo is None
    client.post(f"/episodes/{tabled}/brief", data={"title": "Another title"})
    others = [k for k in house.store.get(tabled).kept_ways if k.cloth != "Binding cloth"]
    house.store.keep(tabled, lambda e: changed(e, kept_ways=tuple(others)))
    client.post(f"/episodes/{tabled}/undo")
    assert _kept(house, tabled) is None
    at_once(monkeypatch)
    _work_out(client, house, tabled)
    client.post(f"/episodes/{tabled}/redo")
    assert _kept(house, tabled)


def test_rows_that_are_done_when_it_is_stopped_are_kept(
    client: TestClient, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ways_work, "ways_table", _rest_after_one_row)
    job = _work_out(client, house, smock)
    _until_a_row(job)
    client.post(f"/episodes/{smock}/ways/{BINDING}/stop")
    assert job.state == "cancelled"
    kept = _kept(house, smock)
    assert kept and [width.cm for width in kept.widths] == ["90 cm"]


def test_a_table_of_a_draft_that_has_changed_meanwhile_is_not_kept(
    client: TestClient, tabled: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It would take the place of the one that fits the draft as it stands."""
    before = _kept(house, tabled)
    client.post(f"/episodes/{tabled}/cloth/cloths/{BINDING}", data={"shrinks_along": "9"})
    monkeypatch.setattr(ways_work, "ways_table", _rest_after_one_row)
    job = _work_out(client, house, tabled)
    _until_a_row(job)
    client.post(f"/episodes/{tabled}/undo")
    client.post(f"/episodes/{tabled}/ways/{BINDING}/stop")
    assert job.state == "cancelled"
    assert _kept(house, tabled) == before


def test_it_follows_its_cloth_to_a_new_name_and_back(
    client: TestClient, tabled: str, house: House
) -> None:
    client.post(f"/episodes/{tabled}/cloth/cloths/{BINDING}", data={"name": "Lawn"})
    assert _kept(house, tabled) is None and _kept(house, tabled, "Lawn")
    each, _ = _shown(client, tabled)
    assert each.cloth.name == "Lawn" and each.lacking == ()
    client.post(f"/episodes/{tabled}/undo")
    house.jobs._jobs.clear()  # as after a restart
    each, _ = _shown(client, tabled)
    assert each.cloth.name == "Binding cloth" and each.lacking == ()


def test_it_goes_with_its_cloth(client: TestClient, tabled: str, house: House) -> None:
    main = _kept(house, tabled, "Main cloth")
    client.post(f"/episodes/{tabled}/cloth/cloths/{BINDING}/delete")
    assert house.store.get(tabled).kept_ways == ((main,) if main else ())


def test_the_tick_of_a_cloth_follows_its_new_name(
    client: TestClient, smock: str, house: House
) -> None:
    house.store.change(smock, "bought", lambda e: changed(e, bought=("cloth main cloth", "x")))
    client.post(f"/episodes/{smock}/cloth/cloths/0", data={"name": "Slate  Linen"})
    answer = client.get(f"/episodes/{smock}/shopping")
    lines = answer.context["view"].list.lines  # type: ignore[attr-defined]
    assert [line.what for line in lines if line.bought] == [house.store.get(smock).cloths[0].name]


def test_the_companions_page_says_which_table_is_not_worked_out(
    client: TestClient, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    answer = client.get(f"/episodes/{smock}/companion")
    assert "Not told yet: what to buy of Binding cloth in other widths." in answer.text
    assert f'href="/episodes/{smock}/ways"' in answer.text
    at_once(monkeypatch)
    _work_out(client, house, smock)
    assert "Not told yet" not in client.get(f"/episodes/{smock}/companion").text
    assert companion_html(house.plan(smock)).count("another width") == 2
