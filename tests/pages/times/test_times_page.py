"""The page of times: times written down, and what they say of the estimates."""

import re
from dataclasses import replace

import pytest
from starlette.testclient import TestClient

from tests.pages.times.reading import IN_PART, Wall, said_in, view_of, write
from webapp.pages.house import House
from webapp.pages.time_fields import day_of_work as read_day
from webapp.pages.time_fields import read_time_key, time_key, time_taken
from webapp.pages.times_view import TimesView, range_bar
from webapp.plan.edits import changed
from webapp.plan.time_rows import spelled

# --- Times written down --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [
        ("25", 25), ("12.5", 12.5), ("12,5", 12.5), ("25 min", 25), ("1 h 20", 80), ("1h20", 80),
        ("1:20", 80), ("0:12:30", 12.5), ("6.5 h", 390), ("2 hours", 120), ("4 min 30 s", 4.5),
        ("90 s", 1.5), ("1000 h", 60_000),
    ],
)  # fmt: skip
def test_a_time_is_read_as_people_write_it(typed: str, minutes: float) -> None:
    assert time_taken(typed) == pytest.approx(minutes)


@pytest.mark.parametrize(
    "typed",
    ["", "soon", "0", "0:00", "-5", "1:99", "1001 h", "25 cm", "5 min 5", "١٢", "1e3", "min"],
)
def test_what_is_no_time_is_told(typed: str) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        time_taken(typed)


@pytest.mark.parametrize(
    ("minutes", "told"), [(4.5, "4 min 30 s"), (80, "1 h 20 min"), (60, "1 h"), (0.001, "0 min")]
)
def test_a_time_is_spelled_out(minutes: float, told: str) -> None:
    assert spelled(minutes) == told


def test_what_is_timed_is_named_both_ways() -> None:
    for key in ("step:chalk", "day:2027-01-04", "voice-over", "editing"):
        assert time_key(*read_time_key(key)) == key
    for wrong in ("", "step:", "night:1", "filming"):
        with pytest.raises(ValueError, match=r"Choose what was timed\."):
            read_time_key(wrong)


@pytest.mark.usefixtures("wall")
def test_a_time_is_written_down_and_told_beside_its_range(client: TestClient, times: str) -> None:
    write(client, times, minutes="1 h", day="2027-01-03", note="the cat")
    said = said_in(client.get(times).text)
    assert "3 January 2027 Chalk the pieces the cat 1 h" in said
    assert "longer than the range" in said
    assert "0 of 1 time fell inside the range shown" in said


def test_what_cannot_be_read_is_told_beside_its_field_and_nothing_is_lost(
    client: TestClient, times: str, smock: str, house: House
) -> None:
    data = {"time": "step:hem", "minutes": "a while", "day": "yesterday", "note": "the cat"}
    answer = client.post(times, data=data)
    assert answer.status_code == 422
    view: TimesView = answer.context["view"]  # type: ignore[attr-defined]
    assert set(view.answers.errors) == {"minutes", "day"}
    for kept in ('value="a while"', 'value="the cat"', '<option value="step:hem" selected>'):
        assert kept in answer.text
    assert house.store.get(smock).time_log == ()


def test_a_time_is_put_right_and_taken_out(
    client: TestClient, times: str, smock: str, house: House
) -> None:
    write(client, times)
    assert 'value="25 min"' in client.get(f"{times}?edit=time-1").text
    answer = client.post(
        f"{times}/taken/time-1", data={"minutes": "35", "day": "", "note": "with tea"}
    )
    assert answer.status_code == 303
    (entry,) = house.store.get(smock).time_log
    assert (entry.minutes, entry.day, entry.note) == (35, None, "with tea")
    answer = client.post(f"{times}/taken/time-1", data={"minutes": "ages"})
    assert answer.status_code == 422
    assert 'value="ages"' in answer.text
    assert client.post(f"{times}/taken/time-1/delete").status_code == 303
    assert house.store.get(smock).time_log == ()
    assert house.store.standing(smock).undo == "a time taken out"
    gone = client.post(f"{times}/taken/time-1/delete", headers=IN_PART)
    assert gone.status_code == 422


def test_sittings_of_the_same_are_told_together(client: TestClient, times: str) -> None:
    write(client, times, minutes="10")
    write(client, times, minutes="9")
    assert said_in(client.get(times).text).count("all its sittings together, 19 min") == 1


def test_what_was_done_again_is_a_time_of_its_own(
    client: TestClient, times: str, smock: str, house: House, wall: Wall
) -> None:
    """Asked beside the field once there is a time, also of the clock; put right afterwards."""
    assert 'name="again"' not in client.get(times).text
    write(client, times, minutes="10")
    said = said_in(client.get(times).text)
    assert "If it was timed already, this one is" in said
    assert "(timed already, 10 min)" in said
    client.post(f"{times}/clock/start", data={"time": "step:chalk"})
    assert "It has a time already, 10 min; this one is" in said_in(client.get(times).text)
    wall.later(9)
    client.post(f"{times}/clock/stop", data={"again": "yes"})
    assert [row.sitting for row in view_of(client, times).report.rows] == [False, False]
    assert "done again" in said_in(client.get(times).text)
    assert 'name="again"' in client.get(f"{times}?edit=time-2").text.split('id="time-2-form"')[1]
    same = {"minutes": "9", "day": "", "note": "", "goes_on": "no"}
    client.post(f"{times}/taken/time-2", data={**same, "again": "no"})
    assert [row.sitting for row in view_of(client, times).report.rows] == [True, True]
    assert not house.store.get(smock).time_log[1].again


@pytest.mark.usefixtures("wall")
@pytest.mark.parametrize(
    ("day", "sentence"),
    [
        ("2027-01-05", "5 January 2027 is still to come: write the day on which you did the work."),
        ("1927-01-04", "4 January 1927 is long ago: write the day on which you did the work, or"),
        ("yesterday", "Write the day as year-month-day, like 2027-01-15."),
    ],
)
def test_a_day_on_which_no_work_was_done_is_told_beside_its_field(
    client: TestClient, times: str, smock: str, house: House, day: str, sentence: str
) -> None:
    answer = client.post(times, data={"time": "step:hem", "minutes": "20", "day": day})
    assert answer.status_code == 422
    view: TimesView = answer.context["view"]  # type: ignore[attr-defined]
    assert view.answers.errors["day"].startswith(sentence)
    write(client, times)
    assert client.post(f"{times}/taken/time-1", data={"day": day}).status_code == 422
    if day != "yesterday":  # as in a file from elsewhere: other fields can be put right
        kept = read_day(day)
        house.store.keep(smock, lambda e: changed(e, time_log=[changed(e.time_log[0], day=kept)]))
        data = {"minutes": "30", "day": day}
        assert client.post(f"{times}/taken/time-1", data=data).status_code == 303


def test_only_the_clock_that_the_page_shows_is_stopped(
    client: TestClient, times: str, smock: str, house: House, wall: Wall
) -> None:
    """Two tabs: what the first ended is told in the second, with the minutes kept."""
    client.post(f"{times}/clock/start", data={"time": "step:hem"})
    shown = re.search(r'name="clock" value="([^"]+)"', client.get(times).text)
    assert shown is not None
    second = {"clock": shown[1]}
    wall.later(12)
    client.post(f"{times}/clock/stop", data={**second, "next": "step:chalk"})
    kept = "This clock was ended already, in another tab or window: of “Hem the smock” 12 min"
    for press in ("stop", "pause", "drop"):
        answer = client.post(f"{times}/clock/{press}", data=second)
        assert answer.status_code == 422
        assert f"{kept} were kept. “Chalk" in answer.text
    assert len(house.store.get(smock).time_log) == 1
    client.post(f"{times}/clock/drop")
    answer = client.post(f"{times}/clock/stop", data={"clock": "|step:chalk"})
    assert "This clock was thrown away, in another tab or window" in answer.text
    assert client.post(f"{times}/clock/stop", data={"clock": "sundial"}).status_code == 422


def test_a_time_that_goes_on_is_compared_once_it_is_done(
    client: TestClient, times: str, smock: str, house: House, wall: Wall
) -> None:
    client.post(f"{times}/clock/start", data={"time": "step:chalk"})
    assert "Not done: I go on with it later" in client.get(times).text
    wall.later(15)
    client.post(f"{times}/clock/stop", data={"note": "tea", "goes_on": ["no", "yes"]})
    (entry,) = house.store.get(smock).time_log
    assert (entry.goes_on, entry.note) == (True, "tea")
    assert "15 min so far. Does not count until it is done." in said_in(client.get(times).text)
    assert client.post(f"{times}/taken/{entry.id}/done").status_code == 303
    assert "1 of 1 time fell inside the range shown" in said_in(client.get(times).text)
    assert house.store.standing(smock).undo == "what was timed is done"
    write(client, times, goes_on="yes")
    assert house.store.get(smock).time_log[1].goes_on
    data = {"minutes": "25", "day": "", "note": "", "goes_on": "no"}
    assert client.post(f"{times}/taken/time-2", data=data).status_code == 303
    assert not house.store.get(smock).time_log[1].goes_on


def test_a_clock_that_ran_on_does_not_count_unless_she_says_so(
    client: TestClient, times: str, smock: str, house: House
) -> None:
    write(client, times, minutes="14 h 30")
    said = said_in(client.get(times).text)
    assert "It took 14 h 30 min where" in said
    assert "1 time is left out, too far from what was worked out for it." in said
    assert client.post(f"{times}/taken/time-1/right").status_code == 303
    assert "0 of 1 time fell inside the range shown" in said_in(client.get(times).text)
    assert house.store.standing(smock).undo == "a time that is right"
    gone = client.post(f"{times}/taken/time-9/right", headers=IN_PART)
    assert gone.status_code == 422


def test_a_part_is_told_to_count_in_its_whole(client: TestClient, times: str) -> None:
    plan = view_of(client, times).report.plan
    hem = next(row for row in plan.steps if row.step.id == "hem")
    press = next(part for part in hem.parts if part.kind == "press").shown.likely
    write(client, times, time="step:hem", kind="press", minutes=f"{press:.2f}")
    write(client, times, time="step:hem", minutes=f"{hem.work.likely:.2f}")
    said = said_in(client.get(times).text)
    assert "Counted in “Hem the smock”, which holds it." in said


def test_a_bar_has_what_was_likely_in_its_middle(client: TestClient, times: str) -> None:
    """On a scale of 150 that doubles evenly from a quarter to four times: half is at 37.5."""
    write(client, times)
    shown = view_of(client, times).report.rows[0].entry.shown
    bar = range_bar(shown, shown.likely / 2)
    assert bar is not None
    assert bar.at == pytest.approx(37.5)
    assert bar.low < 75 < bar.high
    assert range_bar(changed(shown, low=0, likely=0, high=0), 3) is None
    far = range_bar(shown, 50 * shown.likely)
    assert far is not None
    assert far.at == 150


# --- Other episodes ------------------------------------------------------------------------------


def test_the_times_of_other_episodes_are_counted(
    client: TestClient, times: str, smock: str, empty: str, house: House
) -> None:
    write(client, times, minutes="50")
    other = f"/episodes/{empty}/times"
    button = "Count the times of my other episodes too"
    before = client.get(other).text
    assert "Not taken in yet from your other episodes: 1 time of “The Lighthouse Smock”." in before
    assert button in before
    answer = client.post(f"{other}/earlier", headers=IN_PART)
    assert "Taken in from your other episodes: 1 time of “The Lighthouse Smock”." in answer.text
    assert button not in answer.text
    assert "Undo: the times of other episodes" in answer.text
    assert [row.title for row in view_of(client, other).report.episodes] == ["The Lighthouse Smock"]
    assert house.store.standing(empty).undo == "the times of other episodes"
    none = client.post(f"/episodes/{smock}/times/earlier", headers=IN_PART)
    assert "Your other episodes have no times yet." in none.text


def test_what_a_time_moved_is_told_beside_its_undo(
    client: TestClient, times: str, smock: str, wall: Wall
) -> None:
    """Wherever it was kept; a change of anything else is not told here."""
    assert " moved what is likely" not in said_in(client.get(times).text)
    told = "“a time taken” moved what is likely for this episode:"
    data = {"time": "step:chalk", "minutes": "50"}
    answer = client.post(times, data=data, headers=IN_PART)
    said = said_in(answer.text.split('id="written"')[1].split('id="taken"')[0])
    assert told in said
    assert re.search(r"Drawing and marking.*?\d+ min → .*?\d+ min", said)
    assert "Undo: a time taken" in said
    client.post(f"/episodes/{smock}/undo")
    client.post(f"{times}/clock/start", data={"time": "step:chalk"})
    wall.later(45)
    answer = client.post(f"{times}/clock/stop", headers=IN_PART)
    assert told in said_in(answer.text.split('id="clock"')[1].split('id="written"')[0])
    write(client, times, time="step:chalk", minutes="30 h")
    assert "moves no estimate of this episode by a minute" not in said_in(client.get(times).text)
    client.post(f"{times}/taken/time-2", data={"minutes": "30 h", "note": "a slip"})
    assert "moves no estimate of this episode by a minute" in said_in(client.get(times).text)
    write(client, times, time="step:hem", minutes="9 h")
    said = said_in(client.get(times).text)
    assert "“a time taken” moves no estimate of this episode by a minute. It took 9 h where" in said


def test_a_clock_that_runs_in_another_episode_is_told_and_allowed(
    client: TestClient, times: str, empty: str, smock: str
) -> None:
    client.post(f"{times}/clock/start", data={"time": "step:hem"})
    other = f"/episodes/{empty}/times"
    told = "A clock runs in another episode too"
    assert told not in client.get(other).text
    answer = client.post(f"{other}/clock/start", data={"time": "editing"}, headers=IN_PART)
    assert answer.status_code == 200
    assert f'href="/episodes/{smock}/times#clock">The Lighthouse Smock, Hem' in answer.text
    client.post(f"{times}/clock/pause")
    assert told not in client.get(other).text


def test_without_other_episodes_nothing_is_offered(client: TestClient, times: str) -> None:
    assert "Count the times of my other episodes" not in client.get(times).text


def test_an_episode_without_steps_can_time_what_follows(
    client: TestClient, empty: str, house: House
) -> None:
    address = f"/episodes/{empty}/times"
    assert "There is no step yet" in client.get(address).text
    assert client.post(address, data={"time": "editing", "minutes": "2 h"}).status_code == 303
    assert house.store.get(empty).time_log[0].minutes == 120


def test_a_pace_is_drawn_on_a_scale_that_doubles_evenly(client: TestClient, times: str) -> None:
    """Half as long as by the rates is the left end, as long the middle, twice as long the right."""
    view = client.get(times).context["view"]
    (row, *_) = view.report.kinds
    for pace, at in ((0.5, 0), (1.0, 150), (2.0, 300), (2**0.5, 225), (9.0, 300)):
        drawn = view.pace(replace(row, own_pace=pace))
        assert drawn.own == pytest.approx(at)
    assert view.pace(replace(row, own_pace=None)).own is None
