"""Entries from the table are taken once, whenever they come."""

import json
import re
from datetime import timedelta
from html import unescape
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.histories import history
from tests.pages.table.sending import NOON, STEP, press, send, tick, told, view_of
from webapp.errors import StoreError
from webapp.pages.house import House
from webapp.plan.edits import changed
from webapp.plan.evaluate import evaluate
from webapp.plan.said_edits import with_shot_filmed, with_shot_to_film

pytestmark = pytest.mark.usefixtures("database")

# --- Ticks -------------------------------------------------------------------------------------


def test_a_tick_is_what_filmed_today_does(
    client: TestClient, table: str, house: House, smock: str, shot: str
) -> None:
    before = house.store.get(smock)
    assert told(send(client, table, tick(shot))) == [""]
    expected = with_shot_filmed(evaluate(before), shot, NOON.astimezone().date())
    assert house.store.get(smock) == expected
    title = next(one.title for one in before.shots if one.id == shot)
    assert house.store.standing(smock).undo == f"Shot “{title}” ticked as filmed at the table"


def test_a_form_without_script_does_the_same(
    client: TestClient, table: str, house: House, smock: str, shot: str
) -> None:
    before = house.store.get(smock)
    text = client.get(table).text
    said = re.search(rf'name="said {shot}" value="([^"]*)"', text)
    assert said is not None
    data = {"press": f"filmed {shot}", f"said {shot}": unescape(said[1])}
    answer = client.post(f"{table}/entry?at=step-hem", data=data)
    assert answer.headers["location"] == f"{table}#step-hem"
    expected = with_shot_filmed(evaluate(before), shot, NOON.astimezone().date())
    assert house.store.get(smock) == expected
    again = client.post(f"{table}/entry", data={"press": f"filmed {shot}"})
    assert again.status_code == 422 and "was ticked already" in again.text
    client.post(f"{table}/entry", data={"press": f"to-film {shot}"})
    assert house.store.get(smock) == with_shot_to_film(expected, shot)


def test_a_tick_sent_again_is_taken_once_also_after_an_undo(
    client: TestClient, table: str, house: House, smock: str, shot: str
) -> None:
    before = house.store.get(smock)
    send(client, table, tick(shot))
    assert told(send(client, table, tick(shot))) == [""]
    assert len(history(house.store, smock)) == 1
    house.store.undo(smock)
    assert told(send(client, table, tick(shot))) == [""]
    assert house.store.get(smock) == before
    assert told(send(client, table, tick(shot, 2))) == [""]
    assert house.store.get(smock) != before


def test_what_does_not_apply_any_more_is_told_and_the_rest_is_kept(
    client: TestClient, table: str, house: House, smock: str
) -> None:
    first, second, third = (one.id for one in house.store.get(smock).shots[:3])
    send(client, table, tick(first))
    house.store.change(
        smock, "x", lambda e: changed(e, shots=tuple(s for s in e.shots if s.id != second))
    )
    unticked = {**tick(third, 5), "act": "to film"}
    answer = send(client, table, tick(first, 2), tick(second, 3), unticked, {}, tick(third, 6))
    already, gone, not_ticked, unreadable, kept = told(answer)
    assert "was ticked already: filmed on 18 December 2026." in already
    assert "not in the plan any more" in gone
    assert "has no tick any more" in not_ticked
    assert "cannot be read" in unreadable
    assert kept == ""
    assert sorted(answer["state"]["filmed"]) == sorted([first, third])


def test_a_change_elsewhere_neither_blocks_a_tick_nor_is_written_over(
    client: TestClient, table: str, house: House, smock: str, shot: str
) -> None:
    """What was said is what the page showed when it was pressed."""
    row = next(one for one in house.plan(smock).shots if one.shot.id == shot)
    said = view_of(client, table).said[shot]
    shown: dict[str, Any] = {
        "said": [{"name": name, "cm": cm, "inch": inch} for name, cm, inch in said],
        "narration": row.narration.plain,
        "card": row.card.plain,
    }
    moved = "draft/lighthouse-smock/choices"
    client.post(f"/episodes/{smock}/{moved}", data={"c body ease": "31 cm"})
    after = house.store.get(smock)
    assert told(send(client, table, tick(shot, **shown))) == [""]
    now = house.store.get(smock)
    filmed = next(one.filmed for one in now.shots if one.id == shot)
    assert filmed is not None
    assert filmed.narration == row.narration.plain
    assert ("front.hem", "31 cm") in [(one.name, one.cm) for one in filmed.said]
    stale = next(one.stale for one in house.plan(smock).shots if one.shot.id == shot)
    assert [one.name for one in stale] == ["front.hem"]
    assert changed(now, shots=after.shots) == after


def test_words_changed_meanwhile_do_not_become_what_was_said(
    client: TestClient, table: str, house: House, smock: str, shot: str
) -> None:
    house.store.change(
        smock,
        "x",
        lambda e: changed(
            e, shots=tuple(changed(s, narration="New") if s.id == shot else s for s in e.shots)
        ),
    )
    shown: dict[str, Any] = {"said": [], "narration": "As it was read", "card": ""}
    send(client, table, tick(shot, **shown))
    filmed = next(one.filmed for one in house.store.get(smock).shots if one.id == shot)
    assert filmed is not None and filmed.narration == "As it was read"


def test_nor_do_they_without_script(
    client: TestClient, table: str, house: House, smock: str, shot: str
) -> None:
    """The form tells which edition its page showed."""
    (action,) = set(
        re.findall(r'action="([^"]*/table/entry[?]edition=[0-9]+)', client.get(table).text)
    )
    before = next(one for one in house.plan(smock).shots if one.shot.id == shot)
    house.store.change(
        smock,
        "x",
        lambda e: changed(
            e, shots=tuple(changed(s, narration="New") if s.id == shot else s for s in e.shots)
        ),
    )
    assert client.post(unescape(action), data={"press": f"filmed {shot}"}).status_code == 303
    filmed = next(one.filmed for one in house.store.get(smock).shots if one.id == shot)
    assert filmed is not None
    assert filmed.narration == before.narration.plain and filmed.narration != "New"


# --- The moment --------------------------------------------------------------------------------


def test_a_tick_of_yesterday_is_of_yesterday(
    client: TestClient, table: str, house: House, smock: str
) -> None:
    shot = house.store.get(smock).shots[0].id
    at = NOON - timedelta(hours=30)
    send(client, table, tick(shot, at=at.isoformat()), sent=NOON.isoformat())
    filmed = house.store.get(smock).shots[0].filmed
    assert filmed is not None and filmed.day == at.astimezone().date()


# --- The clock ---------------------------------------------------------------------------------


def test_the_clock_runs_by_the_moments_of_its_presses(
    client: TestClient, table: str, house: House, smock: str
) -> None:
    entries = (press("start", 1, -60), press("pause", 2, -50), press("go on", 3, -20))
    answer = send(client, table, *entries, sent=NOON.isoformat())
    assert told(answer) == ["", "", ""]
    assert answer["state"]["timer"] == {
        "timed": "step", "item": STEP, "kind": "", "title": "Cut the neck shallow", "runs": True,
        "seconds": 30 * 60.0,
    }  # fmt: skip
    assert "Cut the neck shallow" in client.get(f"/episodes/{smock}/times").text
    stop = press("stop", 4, -5, start="entry-number-1", goes_on=True)
    assert told(send(client, table, stop, sent=NOON.isoformat())) == [""]
    assert told(send(client, table, stop, sent=NOON.isoformat())) == [""]
    (entry,) = house.store.get(smock).time_log
    assert (entry.minutes, entry.item, entry.goes_on) == (25.0, STEP, True)
    assert house.store.standing(smock).undo == (
        "the time of “Cut the neck shallow”, taken at the table"
    )


def test_a_clock_begun_on_the_times_page_is_stopped_at_the_table(
    client: TestClient, table: str, house: House, smock: str
) -> None:
    client.post(f"/episodes/{smock}/times/clock/start", data={"time": f"step:{STEP}"})
    client.post(f"{table}/entry", data={"press": f"pause step:{STEP}"})
    paused = house.store.get(smock).timer
    assert paused is not None and paused.started is None


def test_a_clock_that_ran_apart_keeps_its_time(
    client: TestClient, table: str, house: House, smock: str
) -> None:
    """Begun without a connection, while another was started on the laptop."""
    client.post(f"/episodes/{smock}/times/clock/start", data={"time": "step:chalk"})
    started = send(client, table, press("start", 1, -30))
    assert told(started) == ["“Chalk the pieces” is being timed, on this or another device."]
    stop = press("stop", 2, 0, start="entry-number-1", seconds=30 * 60)
    assert told(send(client, table, stop)) == [""]
    episode = house.store.get(smock)
    assert [(one.item, one.minutes) for one in episode.time_log] == [(STEP, 30.0)]
    assert episode.timer is not None and episode.timer.item == "chalk"


def test_a_clock_ended_elsewhere_is_told_and_its_time_kept_once(
    client: TestClient, table: str, house: House, smock: str
) -> None:
    send(client, table, press("start", 1, -30), sent=NOON.isoformat())
    client.post(f"/episodes/{smock}/times/clock/stop", data={})
    stop = press("stop", 2, 0, start="entry-number-1", seconds=30 * 60)
    (sentence,) = told(send(client, table, stop, sent=NOON.isoformat()))
    assert "ended already" in sentence
    assert len(house.store.get(smock).time_log) == 1


def test_a_step_deleted_meanwhile_is_told_with_the_time_that_is_lost(
    client: TestClient, table: str
) -> None:
    start = press("start", 1, item="no-step")
    stop = press("stop", 2, 30, item="no-step", start="entry-number-1", seconds=30 * 60)
    first, second = told(send(client, table, start, stop))
    assert first != ""
    assert "not in the plan any more" in second and "30 min" in second


def test_what_cannot_be_stored_just_now_is_not_answered(
    client: TestClient, table: str, house: House, smock: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """So the browser keeps it, and sends it again."""
    shot = house.store.get(smock).shots[0].id

    def full(*_: object, **__: object) -> None:
        raise StoreError("The disk is full.")

    with monkeypatch.context() as patched:
        patched.setattr(type(house.store), "change", full)
        answer = client.post(f"{table}/entries", json={"entries": [tick(shot)]})
    assert not answer.is_success and "answers" not in answer.text
    assert told(send(client, table, tick(shot))) == [""]
    assert client.post("/episodes/none/table/entries", json={}).status_code == 404


@pytest.mark.parametrize(
    "broken",
    [
        {"id": "\ud800"},
        tick("intro", said=[{"name": "a", "cm": "\x00", "inch": "b"}]),
        tick("intro", narration="a\x00", said=[]),
        tick("intro", act="fly"),
        tick("intro", id=[1]),
        tick("intro", at="yesterday"),
        tick("intro", more="than is known"),
        press("stop", 1, seconds=-1),
    ],
)
def test_what_cannot_be_read_is_told(
    client: TestClient, table: str, house: House, smock: str, broken: dict[str, Any]
) -> None:
    before = house.store.get(smock)
    content = json.dumps({"entries": [broken]})
    headers = {"content-type": "application/json"}
    answer = client.post(f"{table}/entries", content=content, headers=headers)
    assert "cannot be read" in told(answer.json())[0]
    assert house.store.get(smock) == before


def test_entries_are_bounded(client: TestClient, table: str) -> None:
    many = [tick("intro", number) for number in range(201)]
    assert client.post(f"{table}/entries", json={"entries": many}).status_code == 422
    assert client.post(f"{table}/entries", data={"entries": "[]"}).status_code == 422
    other = {"origin": "https://elsewhere.example"}
    assert client.post(f"{table}/entries", json={"entries": []}, headers=other).status_code == 403
