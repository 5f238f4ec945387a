"""What was asked for before a restart is begun again for the plan as it stands, or told."""

from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from fastapi import FastAPI
from sqlalchemy import text
from starlette.testclient import TestClient

from webapp.app import create_part, open_house
from webapp.errors import DiskFaultError
from webapp.jobs import Jobs, _safely
from webapp.pages import prints, shoot_days
from webapp.pages.asked_again import BEGIN, begin_again
from webapp.pages.house import House
from webapp.pages.print_orders import Order
from webapp.pages.printed_files import Printed
from webapp.pages.prints import job_key, order_of
from webapp.plan.edits import changed
from webapp.settings import Settings
from webapp.share import Share, place_of
from webapp.store.asked_work import AskedWork

pytestmark = pytest.mark.usefixtures("database")

# How a page asks for each kind of work.
ASKED = {
    "lay": "cloth/cloths/0/search",
    "ways": "ways/0/work-out",
    "offcuts": "offcuts/0/look",
    "days": "days/search",
    "print": "call-sheets/print",
}
NOW = datetime(2027, 1, 4, 13, 10)


@pytest.fixture(autouse=True)
def nothing_begins(monkeypatch: pytest.MonkeyPatch) -> None:
    """All work waits, and the day is that of the other tests of days."""
    monkeypatch.setattr(Jobs, "_has_place", lambda *_: False)
    monkeypatch.setattr(shoot_days, "now", lambda: NOW)


@pytest.fixture
def ready(house: House, smock: str) -> str:
    """The smock with days still to come."""
    days = house.store.get(smock).shoot_days
    later = tuple(
        changed(day, day=NOW.date() + timedelta(days=n)) for n, day in enumerate(days, start=1)
    )
    house.store.change(smock, "days", lambda e: changed(e, shoot_days=later))
    return smock


def _opened(app: FastAPI, folder: Path) -> House:
    app.state.house.close()
    app.state.house = open_house(Settings(data_dir=folder))
    return app.state.house  # type: ignore[no-any-return]


def _restart(client: TestClient, folder: Path) -> House:
    app = client.app
    assert isinstance(app, FastAPI)
    again = _opened(app, folder)
    begin_again(again)
    return again


def _keys(house: House) -> list[str]:
    return [job.key for job in reversed(house.jobs.beginning(""))]


def test_each_kind_of_work_is_begun_again_once_and_in_its_order(
    client: TestClient, house: House, ready: str, tmp_path: Path
) -> None:
    assert set(ASKED) == set(BEGIN)
    for address in ASKED.values():
        answer = client.post(f"/episodes/{ready}/{address}")
        assert answer.status_code == 303, answer.text
    asked = _keys(house)
    assert [key.split()[0] for key in asked] == list(ASKED)
    again = _restart(client, tmp_path)
    assert _keys(again) == asked
    assert [one.key for one in again.asked.list()] == asked  # type: ignore[union-attr]
    assert all(job.is_waiting and job.called for job in again.jobs.beginning(""))
    begin_again(again)
    assert _keys(again) == asked
    for key in asked:
        again.jobs.cancel(key)
    assert again.asked.list() == ()  # type: ignore[union-attr]
    assert _keys(_restart(client, tmp_path)) == []


def test_of_several_processes_each_begins_again_what_is_of_its_episodes(
    client: TestClient, house: House, ready: str, tmp_path: Path
) -> None:
    """So does the one that is begun in the place of one that was killed."""
    client.post(f"/episodes/{ready}/{ASKED['days']}")
    asked = _keys(house)
    assert len(asked) == 1
    its = place_of(ready, 2)
    for number, begun in ((1 - its, []), (its, asked)):
        app = create_part(Settings(data_dir=tmp_path), Share(number, 2))
        part: House = app.state.house
        begin_again(part)
        assert _keys(part) == begun
        assert part.asked is not None and len(part.asked.list()) == 1
        part.close()


def test_what_makes_no_sense_any_more_is_dropped_and_told(
    client: TestClient, house: House, ready: str, tmp_path: Path
) -> None:
    for kind in ("lay", "ways", "days"):
        client.post(f"/episodes/{ready}/{ASKED[kind]}")
    (key, *_) = _keys(house)
    cloths = house.store.get(ready).cloths
    renamed = (changed(cloths[0], name="Another"), *cloths[1:])
    house.store.change(ready, "name", lambda e: changed(e, cloths=renamed, shoot_days=()))
    again = _restart(client, tmp_path)
    jobs = again.jobs.beginning("")
    assert [job.state for job in jobs] == ["failed"] * 3
    found = again.jobs.get(key)
    assert found is not None and found.error == f"There is no {cloths[0].name} any more."
    assert again.asked is not None and again.asked.list() == ()


def test_an_episode_that_is_gone_takes_its_work_with_it(
    client: TestClient, house: House, ready: str, tmp_path: Path
) -> None:
    client.post(f"/episodes/{ready}/{ASKED['print']}")
    house.store.delete(ready)
    again = _restart(client, tmp_path)
    assert [job.state for job in again.jobs.beginning("")] == ["failed"]
    assert again.asked is not None and again.asked.list() == ()


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ("begun = 2", "Seamslate ended twice while it worked on this"),
        ("asked_at = '2020-01-01 00:00:00'", "This was asked for days ago"),
        ("kind = 'no such work'", "could not be begun again"),
        ("arguments = '{}'", "could not be begun again"),
        ("arguments = '7'", "could not be begun again"),
        ("arguments = replace(arguments, '2027', 'x')", "could not be begun again"),
    ],
)
def test_what_took_the_server_down_is_too_old_or_unknown_is_not_begun_but_told(
    client: TestClient, house: House, ready: str, tmp_path: Path, wrong: str, told: str
) -> None:
    client.post(f"/episodes/{ready}/{ASKED['days']}")
    with house.asked._writing.begin() as connection:  # type: ignore[union-attr]
        connection.execute(text(f"UPDATE asked_work SET {wrong}"))
    again = _restart(client, tmp_path)
    assert told in client.get(f"/episodes/{ready}/days").text
    assert again.asked is not None and again.asked.list() == ()


def test_days_that_have_passed_meanwhile_are_not_planned(
    client: TestClient, ready: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    client.post(f"/episodes/{ready}/{ASKED['days']}")
    tomorrow = NOW + timedelta(days=1)
    monkeypatch.setattr(shoot_days, "now", lambda: tomorrow)
    started: list[date] = []
    monkeypatch.setattr(
        Jobs, "start", lambda _self, _key, _work, _episode, first, *_, **__: started.append(first)
    )
    _restart(client, tmp_path)
    assert started == [tomorrow.date()]


def test_a_sheet_that_would_mislead_now_is_not_made_on_the_word_given_before(
    client: TestClient, house: House, ready: str, tmp_path: Path
) -> None:
    answer = client.post(f"/episodes/{ready}/companion/print")
    assert answer.status_code == 303, answer.text
    body = house.store.get(ready).body
    house.store.change(ready, "body", lambda e: changed(e, body=changed(body, measures={})))
    again = _restart(client, tmp_path)
    (job,) = again.jobs.beginning("print ")
    assert (job.state, "would mislead" in job.error) == ("failed", True)


def test_a_sheet_that_is_there_already_is_not_made_again(
    client: TestClient, house: House, ready: str, tmp_path: Path
) -> None:
    client.post(f"/episodes/{ready}/{ASKED['print']}")
    order = order_of(house, ready, "call-sheet")
    assert house.jobs.get(job_key(order)) is not None
    house.prints.put(order, Printed(b"%PDF", ((1.0, 2.0),)))
    again = _restart(client, tmp_path)
    assert _keys(again) == []
    assert again.asked is not None and again.asked.list() == ()
    kept = again.prints.find(order.key)
    assert kept is not None and kept.printed.content == b"%PDF"


def test_what_a_request_waits_for_is_not_kept_for_a_restart(house: House, smock: str) -> None:
    prints._start(house, Order("shopping-list", house.store.get(smock)), at_once=True)
    assert len(house.jobs.beginning("print ")) == 1
    assert house.asked is not None and house.asked.list() == ()


def test_a_list_that_cannot_be_read_is_logged_and_troubles_nobody(
    house: House, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def refused(_: object) -> None:
        raise DiskFaultError("the folder")

    monkeypatch.setattr(AskedWork, "list", refused)
    begin_again(house)
    _safely(refused, "as it is written")
    for told, what in zip(caplog.records, ("gone through", "written"), strict=True):
        assert told.getMessage().startswith(f"The list of work cannot be {what}. The disk did not")
        assert told.exc_info is None  # in words: it is no fault of ours
