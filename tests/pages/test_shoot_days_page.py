"""The shoot days page: days, their shots in order, and whether a day ends in time."""

import re
from datetime import date

import pytest
from starlette.testclient import TestClient

from webapp.draft.recipe import Body
from webapp.filming.shoot_days import ShootDay
from webapp.filming.shots import Filmed
from webapp.pages.day_forms import clock_time
from webapp.pages.days_view import DaysView
from webapp.pages.house import House
from webapp.plan.edits import changed
from webapp.plan.episode import Episode

IN_PART = {"HX-Request": "true"}
FIRST, SECOND = date(2027, 1, 4), date(2027, 1, 5)


@pytest.fixture
def days(smock: str, house: House) -> str:
    """The address of the shoot days of a smock that has none yet."""
    house.store.change(smock, "no days", lambda e: changed(e, shoot_days=()))
    return f"/episodes/{smock}/days"


def _view(client: TestClient, days: str) -> DaysView:
    view = client.get(days).context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, DaysView)
    return view


def _text(client: TestClient, days: str) -> str:
    return re.sub(r"\s+", " ", client.get(days).text)


def _days(house: House, smock: str) -> tuple[ShootDay, ...]:
    return house.store.get(smock).shoot_days


def _add(client: TestClient, days: str, day: date = FIRST, **fields: str) -> None:
    answer = client.post(days, data={"day": day.isoformat(), "starts": "09:00", **fields})
    assert answer.status_code == 303, answer.text


def test_without_days_the_page_says_how_to_begin(client: TestClient, days: str, empty: str) -> None:
    assert "No day is planned yet. Add the first one below" in _text(client, days)
    assert "The publish date is 15 January 2027." in _text(client, days)
    text = _text(client, f"/episodes/{empty}/days")
    assert "There is no shot to film yet" in text
    assert "Add the day" not in text


def test_a_day_is_added_and_all_shots_are_put_on_it(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    _add(client, days, starts="9", ends="17:00", dark_from="16:15")
    assert _days(house, smock) == (ShootDay(day=FIRST, dark_from="16:15"),)
    answer = client.post(f"{days}/{FIRST}/rest", headers=IN_PART)
    assert answer.status_code == 200
    assert _days(house, smock)[0].shots == tuple(s.id for s in house.store.get(smock).shots)
    view = _view(client, days)
    assert view.left == ()
    text = _text(client, days)
    assert view.days[0].plan.told in text
    assert "after its end at 17:00" in text
    assert "Work</span> Wash the cloth" in text
    assert "Camera off</span> Chalk the pieces" in text


def test_a_filmed_shot_is_not_put_on_a_day_with_the_rest(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    def filmed(e: Episode) -> Episode:
        return changed(e, shots=(changed(e.shots[0], filmed=Filmed()), *e.shots[1:]))

    house.store.change(smock, "filmed", filmed)
    _add(client, days)
    client.post(f"{days}/{FIRST}/rest")
    assert _days(house, smock)[0].shots == tuple(s.id for s in house.store.get(smock).shots[1:])


def test_where_all_is_filmed_no_plan_is_offered_and_nothing_is_called_wrong(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    def filmed(e: Episode) -> Episode:
        return changed(e, shots=tuple(changed(one, filmed=Filmed()) for one in e.shots))

    _add(client, days)
    assert 'id="planning-form"' in client.get(days).text
    house.store.change(smock, "filmed", filmed)
    page = client.get(days).text
    planning = page.split('id="planning"')[1].split("</section>")[0]
    assert "Every shot is filmed: nothing is left to plan." in planning
    assert "note-box bad" not in planning and "planning-form" not in planning


def test_days_stand_by_their_date_and_a_new_one_is_offered_after_the_last(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    _add(client, days, SECOND, starts="10:00", ends="15:00")
    assert _view(client, days).next_day["day"] == "2027-01-06"
    assert _view(client, days).next_day["ends"] == "15:00"
    _add(client, days, FIRST)
    assert [day.day for day in _days(house, smock)] == [FIRST, SECOND]
    answer = client.post(f"{days}/{FIRST}", data={"day": "2027-01-09"})
    assert answer.status_code == 303
    assert [day.day for day in _days(house, smock)] == [SECOND, date(2027, 1, 9)]
    client.post(f"{days}/{SECOND}/delete")
    assert [day.day for day in _days(house, smock)] == [date(2027, 1, 9)]


def test_a_day_at_either_end_of_the_calendar_takes_no_page_down(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    shots = [shot.id for shot in house.store.get(smock).shots]
    ends = (ShootDay(day=date.min, shots=shots[:2]), ShootDay(day=date.max, shots=shots[2:]))
    house.store.change(
        smock,
        "first and last",
        lambda e: changed(
            e, shoot_days=ends, brief=changed(e.brief, time_zone="Pacific/Kiritimati")
        ),
    )
    for page in ("days", "threads", "times", "build", "running-time", "worksheet"):
        answer = client.get(days.replace("/days", f"/{page}"))
        assert answer.status_code == 200, page
    assert _view(client, days).next_day["day"] == ""


def test_ticked_shots_follow_those_of_the_day_in_shooting_order(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    _add(client, days)
    client.post(f"{days}/{FIRST}/shots", data={"shots": ["outro"]})
    client.post(f"{days}/{FIRST}/shots", data={"shots": ["chalk-arm", "intro", "no-shot"]})
    assert _days(house, smock)[0].shots == ("outro", "intro", "chalk-arm")
    left = [shot.shot.id for shot in _view(client, days).left]
    assert "intro" not in left
    assert "measures" in left


def test_nothing_ticked_is_told(client: TestClient, days: str) -> None:
    _add(client, days)
    answer = client.post(f"{days}/{FIRST}/shots", headers=IN_PART)
    assert answer.status_code == 422
    assert "Tick the shots to film on this day first." in answer.text


@pytest.mark.parametrize(
    ("shot", "way", "order"),
    [
        ("measures", "earlier", ("measures", "intro", "tools")),
        ("measures", "later", ("intro", "tools", "measures")),
        ("intro", "earlier", ("intro", "measures", "tools")),
        ("measures", "off", ("intro", "tools")),
    ],
)
def test_a_shot_is_moved_within_its_day_or_taken_off(
    client: TestClient,
    days: str,
    smock: str,
    house: House,
    shot: str,
    way: str,
    order: tuple[str, ...],
) -> None:
    _add(client, days)
    client.post(f"{days}/{FIRST}/shots", data={"shots": ["intro", "measures", "tools"]})
    assert client.post(f"{days}/{FIRST}/shots/{shot}/move", data={"way": way}).status_code == 303
    assert _days(house, smock)[0].shots == order


def test_a_shot_that_was_taken_out_can_be_taken_off(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    _add(client, days)
    client.post(f"{days}/{FIRST}/shots", data={"shots": ["intro", "measures"]})
    client.post(f"/episodes/{smock}/shots/intro/delete")
    assert "is not among the shots any more" in _text(client, days)
    client.post(f"{days}/{FIRST}/shots/intro/move", data={"way": "off"})
    assert _days(house, smock)[0].shots == ("measures",)


@pytest.mark.parametrize(
    ("fields", "field", "sentence"),
    [
        ({"day": ""}, "day", "Write the day as year-month-day"),
        ({}, "day", "Write something here."),
        ({"day": "5 January"}, "day", "Write the day as year-month-day"),
        ({"day": "2027-01-04"}, "day", "4 January 2027 is a shoot day already."),
        ({"day": "2027-01-05", "starts": "25:00"}, "starts", "no time that a clock shows"),
        ({"day": "2027-01-05", "starts": "early"}, "starts", "Write a time of the day"),
        (
            {"day": "2027-01-05", "starts": "10:00", "ends": "9:00"},
            "ends",
            "The day starts at 10:00: write a later time for its end.",
        ),
        ({"day": "2027-01-05", "dark_from": "dusk"}, "dark_from", "Write a time of the day"),
    ],
)
def test_a_bad_answer_is_told_beside_its_field_and_kept(
    client: TestClient,
    days: str,
    smock: str,
    house: House,
    fields: dict[str, str],
    field: str,
    sentence: str,
) -> None:
    _add(client, days)
    before = house.store.get(smock)
    answer = client.post(days, data=fields)
    assert answer.status_code == 422
    view: DaysView = answer.context["view"]  # type: ignore[attr-defined]
    assert sentence in view.answers.errors[field]
    assert sentence in answer.text
    assert f'value="{fields.get(field, "")}"' in answer.text
    assert house.store.get(smock) == before


def test_a_change_of_a_day_that_contradicts_it_is_told_in_its_own_form(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    _add(client, days)
    _add(client, days, SECOND)
    answer = client.post(f"{days}/{FIRST}", data={"ends": "08:30"}, headers=IN_PART)
    assert answer.status_code == 422
    assert "The day starts at 09:00: write a later time for its end." in answer.text
    assert 'aria-describedby="day-2027-01-04-ends-error"' in answer.text
    answer = client.post(f"{days}/{FIRST}", data={"day": "2027-01-05"}, headers=IN_PART)
    assert "5 January 2027 is a shoot day already." in answer.text
    assert [day.ends for day in _days(house, smock)] == ["17:00", "17:00"]


def test_a_day_that_is_not_there_is_said(client: TestClient, days: str) -> None:
    answer = client.post(f"{days}/2027-02-01", data={"ends": "12:00"}, headers=IN_PART)
    assert answer.status_code == 404
    assert client.post(f"{days}/tomorrow", data={"ends": "12:00"}).status_code == 422


def test_undo_leads_back_to_the_page(client: TestClient, days: str, smock: str) -> None:
    _add(client, days)
    answer = client.post(f"/episodes/{smock}/undo", data={"page": "days"})
    assert answer.headers["location"] == days
    assert _view(client, days).days == ()


@pytest.mark.parametrize(
    ("typed", "time"),
    [
        ("9", "09:00"),
        ("9:30", "09:30"),
        ("09.30", "09:30"),
        ("14h15", "14:15"),
        ("09:30:00", "09:30"),  # as some browsers send it
        ("2:15 pm", "14:15"),
        ("12 am", "00:00"),
        ("12:05 PM", "12:05"),
    ],
)
def test_a_time_is_read_as_people_type_it(typed: str, time: str) -> None:
    assert clock_time(typed) == time


@pytest.mark.parametrize("typed", ["", "24:00", "9:60", "13 pm", "0 am", "-1", "9:3", "noon"])
def test_what_no_clock_shows_is_refused(typed: str) -> None:
    with pytest.raises(ValueError, match="time"):
        clock_time(typed)


def test_work_that_is_not_worked_out_is_told_on_the_days(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    assert _view(client, days).not_worked_out == 0
    house.store.change(smock, "unmeasured", lambda e: changed(e, body=Body(name="Nobody")))
    assert _view(client, days).not_worked_out > 10
    assert "is not worked out yet, because a measure" in _text(client, days)


def test_what_is_done_in_the_evening_ends_the_timetable(client: TestClient, smock: str) -> None:
    """The day's last line is what she hangs before bed, and by when it rests."""
    text = _text(client, f"/episodes/{smock}/days")
    card = text[text.index('id="day-2026-12-19"') : text.index('id="day-2026-12-20"')]
    shown = " ".join(re.sub(r"<[^>]+>", " ", card).split())
    assert "24 shots, from 09:00, and 1 step in the evening" in shown
    last = shown[shown.rindex("by 21:00") :]
    told = "by 21:00 Evening Hang it overnight 3 min, then it rests for 12 hours"
    assert last.startswith(told)
