"""The clock on the page of times."""

from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from tests.pages.times.reading import NINE, Wall, view_of, write
from webapp.pages.house import House
from webapp.plan.edits import changed
from webapp.plan.episode import Episode


def test_the_clock_is_set_to_the_first_step_without_a_time(
    client: TestClient, times: str, smock: str, house: House
) -> None:
    first, second = (row.step.id for row in view_of(client, times).report.plan.steps[:2])
    view = view_of(client, times)
    assert view.chosen is not None
    assert view.chosen.key == f"step:{first}"
    write(client, times, time=f"step:{first}")
    view = view_of(client, times)
    assert view.chosen is not None
    assert view.chosen.key == f"step:{second}"
    assert house.store.get(smock).time_log[0].item == first


def test_an_address_sets_the_clock(client: TestClient, times: str) -> None:
    for wanted, title in (("step:hem", "Hem the smock"), ("editing", "Editing"),
                          ("day:2026-12-18", "18 December 2026")):  # fmt: skip
        chosen = view_of(client, f"{times}?time={wanted}").chosen
        assert chosen is not None
        assert (chosen.key, chosen.what.title) == (wanted, title)
    assert view_of(client, f"{times}?time=step:none").chosen is None


def test_a_time_is_started_paused_and_kept(
    client: TestClient, times: str, smock: str, house: House, wall: Wall
) -> None:
    """20 minutes, a pause of an hour that does not count, and 5 more."""
    assert client.post(f"{times}/clock/start", data={"time": "step:hem"}).status_code == 303
    wall.later(20)
    clock = view_of(client, times).clock
    assert clock is not None
    assert (clock.told, clock.runs) == ("0:20:00", True)
    client.post(f"{times}/clock/pause")
    wall.later(60)
    clock = view_of(client, times).clock
    assert clock is not None
    assert (clock.told, clock.runs) == ("0:20:00", False)
    client.post(f"{times}/clock/resume")
    wall.later(5)
    client.post(f"{times}/clock/stop", data={"note": "thread ran out"})
    (entry,) = house.store.get(smock).time_log
    assert (entry.item, entry.note) == ("hem", "thread ran out")
    assert entry.minutes == pytest.approx(25)
    assert entry.day == NINE.date()
    assert view_of(client, times).clock is None


def test_the_clock_is_no_change_but_the_time_is_and_its_undo_lets_the_clock_run_on(
    client: TestClient, times: str, smock: str, house: House, wall: Wall
) -> None:
    client.post(f"{times}/clock/start", data={"time": "step:hem"})
    client.post(f"{times}/clock/pause")
    client.post(f"{times}/clock/resume")
    assert house.store.standing(smock).undo is None
    wall.later(10)
    client.post(f"{times}/clock/stop")
    assert house.store.standing(smock).undo == "a time taken"
    wall.later(2)
    client.post(f"/episodes/{smock}/undo", data={"page": "times"})
    clock = view_of(client, times).clock
    assert clock is not None
    assert clock.told == "0:12:00"


def test_one_kind_of_work_is_timed_alone(
    client: TestClient, times: str, smock: str, house: House, wall: Wall
) -> None:
    chosen = view_of(client, f"{times}?time=step:hem").chosen
    assert chosen is not None
    assert {"press", "machine"} <= set(chosen.kinds)
    answer = client.post(f"{times}/clock/start", data={"time": "step:hem", "kind": "press"})
    assert answer.status_code == 303
    assert "Hem the smock: pressing" in client.get(times).text
    wall.later(8)
    client.post(f"{times}/clock/stop")
    (entry,) = house.store.get(smock).time_log
    assert (entry.kind, [share.kind for share in entry.shares]) == ("press", ["press"])


def test_a_step_without_that_kind_of_work_is_told(client: TestClient, times: str) -> None:
    answer = client.post(f"{times}/clock/start", data={"time": "step:hem", "kind": "cut"})
    assert answer.status_code == 422
    assert "“Hem the smock” has no such work: cutting out." in answer.text


def test_stopping_goes_on_with_the_next_step(
    client: TestClient, times: str, smock: str, house: House, wall: Wall
) -> None:
    steps = [row.step.id for row in view_of(client, times).report.plan.steps]
    client.post(f"{times}/clock/start", data={"time": f"step:{steps[3]}"})
    next_up = view_of(client, times).next_up
    assert next_up is not None
    assert next_up.key == f"step:{steps[4]}"
    wall.later(7)
    client.post(f"{times}/clock/stop", data={"next": next_up.key})
    episode = house.store.get(smock)
    assert [entry.item for entry in episode.time_log] == [steps[3]]
    assert episode.timer is not None
    assert (episode.timer.item, episode.timer.started) == (steps[4], wall.now)


def test_what_an_address_asks_for_can_be_started_by_stopping(
    client: TestClient, times: str
) -> None:
    client.post(f"{times}/clock/start", data={"time": "step:hem"})
    assert "Stop, and start Chalk the pieces" in client.get(f"{times}?time=step:chalk").text


def test_a_second_clock_is_refused_and_the_first_goes_on(
    client: TestClient, times: str, smock: str, house: House
) -> None:
    client.post(f"{times}/clock/start", data={"time": "step:hem"})
    answer = client.post(f"{times}/clock/start", data={"time": "step:chalk"})
    assert answer.status_code == 422
    assert "“Hem the smock” is being timed: stop it or throw it away first." in answer.text
    timer = house.store.get(smock).timer
    assert timer is not None
    assert timer.item == "hem"


def test_a_clock_that_is_thrown_away_leaves_nothing(
    client: TestClient, times: str, smock: str, house: House
) -> None:
    before = house.store.get(smock)
    client.post(f"{times}/clock/start", data={"time": "step:hem"})
    client.post(f"{times}/clock/drop")
    assert house.store.get(smock) == before
    for press in ("pause", "resume", "drop", "stop"):
        answer = client.post(f"{times}/clock/{press}")
        assert answer.status_code == 422
        assert "No time is being taken any more." in answer.text


def test_a_change_in_another_tab_is_no_reason_to_lose_a_time(
    client: TestClient, times: str, smock: str, house: House, wall: Wall
) -> None:
    client.post(f"{times}/clock/start", data={"time": "step:hem"})
    edition = house.store.edition(smock)
    house.store.change(smock, "a title", lambda e: changed(e, title="The Lamp Smock"))
    wall.later(3)
    assert client.post(f"{times}/clock/stop?edition={edition}").status_code == 303
    episode = house.store.get(smock)
    assert (episode.title, len(episode.time_log)) == ("The Lamp Smock", 1)


def test_a_step_that_is_taken_out_meanwhile_keeps_its_time(
    client: TestClient, times: str, smock: str, house: House, wall: Wall
) -> None:
    client.post(f"{times}/clock/start", data={"time": "step:hem"})
    house.store.change(smock, "no steps", _without_steps)
    assert "It was taken out of the plan meanwhile" in client.get(times).text
    wall.later(3)
    client.post(f"{times}/clock/stop")
    (entry,) = house.store.get(smock).time_log
    assert (entry.title, entry.shares) == ("Hem the smock", ())


def _without_steps(episode: Episode) -> Episode:
    return changed(
        episode,
        garments=tuple(changed(garment, steps=()) for garment in episode.garments),
        shots=(),
        shoot_days=(),
    )


def test_a_clock_tells_when_it_is_likely_done(client: TestClient, times: str, wall: Wall) -> None:
    client.post(f"{times}/clock/start", data={"time": "step:hem"})
    view = view_of(client, times)
    assert view.clock is not None
    assert view.clock.what is not None
    likely = NINE + timedelta(minutes=view.clock.what.shown.likely)
    assert f"Likely done at {likely:%H:%M}; 9 times in 10 by" in client.get(times).text
    wall.later(view.clock.what.shown.likely + 1)
    assert "Longer than likely already" in client.get(times).text
    wall.later(view.clock.what.shown.high)
    assert "It has taken longer than that already." in client.get(times).text


def test_every_page_says_what_is_being_timed(client: TestClient, times: str, smock: str) -> None:
    assert "Being timed" not in client.get(f"/episodes/{smock}/build").text
    client.post(f"{times}/clock/start", data={"time": "step:hem"})
    assert "Being timed: Hem the smock" in client.get(f"/episodes/{smock}/build").text
    client.post(f"{times}/clock/pause")
    assert "Timing is paused: Hem the smock" in client.get(f"/episodes/{smock}/shots").text
