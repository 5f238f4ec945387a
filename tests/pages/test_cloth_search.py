"""The search for a tighter lay: it runs beside the server, can be stopped, and is kept."""

import time

from starlette.testclient import TestClient

from webapp.pages import cloth, lay_search
from webapp.pages.shell import House


def _wait_for(house: House, key: str) -> str:
    for _ in range(600):
        job = house.jobs.get(key)
        assert job is not None
        if job.state != "running":
            return job.state
        time.sleep(0.05)
    raise AssertionError("The search did not end within 30 s.")


def test_a_search_ends_with_a_lay_no_longer_than_before(
    client: TestClient, smock: str, house: House
) -> None:
    before = house.plan(smock).lays[0]
    assert before.lay is not None and not before.kept
    client.post(f"/episodes/{smock}/cloth/cloths/0/search")
    key = lay_search.job_key(smock, before.cloth.name)
    assert _wait_for(house, key) == "done"
    after = house.plan(smock).lays[0]
    assert after.lay is not None
    assert after.lay.length_mm <= before.lay.length_mm
    assert after.kept or after.lay.length_mm == before.lay.length_mm


def test_a_search_that_is_stopped_changes_nothing(
    client: TestClient, smock: str, house: House
) -> None:
    name = house.plan(smock).lays[0].cloth.name
    client.post(f"/episodes/{smock}/cloth/cloths/0/search")
    answer = client.post(
        f"/episodes/{smock}/cloth/cloths/0/search/cancel", headers={"HX-Request": "true"}
    )
    assert "Look for a tighter lay" in answer.text
    assert _wait_for(house, lay_search.job_key(smock, name)) == "cancelled"
    assert house.store.get(smock).kept_lays == ()


def test_a_kept_lay_is_dropped_when_the_draft_changes(
    client: TestClient, smock: str, house: House
) -> None:
    plan = house.plan(smock).lays[0]
    assert plan.lay is not None
    found = lay_search.search(lambda _: None, plan.pieces, plan.lay.cloth)
    shorter = house.store.change(
        smock, "a tighter lay", lambda e: lay_search.with_kept_lay(e, plan, found)
    )
    assert house.plan(smock).lays[0].kept == bool(shorter.kept_lays)
    client.post(
        f"/episodes/{smock}/draft/lighthouse-smock/choices", data={"c smock length": "71 cm"}
    )
    assert not house.plan(smock).lays[0].kept


def test_a_cloth_too_narrow_says_which_piece_in_both_units(client: TestClient, smock: str) -> None:
    answer = client.post(
        f"/episodes/{smock}/cloth/cloths/0",
        data={"width": "40 cm"},
        headers={"HX-Request": "true"},
    )
    view: cloth.ClothView = answer.context["view"]  # type: ignore[attr-defined]
    assert view.lays[0].lay is None
    assert " cm (" in view.lays[0].problem and " in)" in view.lays[0].problem
