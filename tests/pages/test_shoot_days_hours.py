"""The hours of shoot days: light, breaks, noise, evenings and time zone, each in its own form."""

from datetime import date

import pytest
from starlette.testclient import TestClient

from webapp.filming.shoot_days import Break, Noise, ShootDay
from webapp.pages.house import House
from webapp.plan.edits import changed

IN_PART = {"HX-Request": "true"}
DAY = date(2027, 1, 4)


@pytest.fixture
def days(smock: str, house: House) -> str:
    """The address of the shoot days of a smock that has one, without shots."""
    house.store.change(
        smock, "one day", lambda e: changed(e, shoot_days=(ShootDay(day=DAY),), planned_days=None)
    )
    return f"/episodes/{smock}/days"


def _day(house: House, smock: str) -> ShootDay:
    return house.store.get(smock).shoot_days[0]


def test_light_and_dark_are_typed_as_people_do(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    client.post(f"{days}/{DAY}", data={"light_from": "8", "dark_from": "4:15 pm"})
    assert (_day(house, smock).light_from, _day(house, smock).dark_from) == ("08:00", "16:15")
    client.post(f"{days}/{DAY}", data={"light_from": ""})
    assert _day(house, smock).light_from is None


def test_a_break_is_added_changed_and_taken_out(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    client.post(f"{days}/{DAY}/breaks", data={"at": "12:30", "minutes": "45"})
    client.post(f"{days}/{DAY}/breaks", data={"at": "15", "minutes": "15"})
    assert _day(house, smock).breaks == (
        Break(at="12:30", minutes=45),
        Break(at="15:00", minutes=15),
    )
    client.post(f"{days}/{DAY}/breaks/0", data={"minutes": "60"})
    assert _day(house, smock).breaks[0] == Break(at="12:30", minutes=60)
    client.post(f"{days}/{DAY}/breaks/0/delete")
    assert _day(house, smock).breaks == (Break(at="15:00", minutes=15),)


def test_noise_is_added_changed_and_taken_out(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    typed = {"starts": "15", "ends": "15:30", "what": "school is out"}
    client.post(f"{days}/{DAY}/noise", data=typed)
    noise = Noise(starts="15:00", ends="15:30", what="school is out")
    assert _day(house, smock).noise == (noise,)
    client.post(f"{days}/{DAY}/noise/0", data={"ends": "16:00"})
    assert _day(house, smock).noise == (changed(noise, ends="16:00"),)
    client.post(f"{days}/{DAY}/noise/0/delete")
    assert _day(house, smock).noise == ()


@pytest.mark.parametrize(
    ("part", "typed", "field", "sentence"),
    [
        ("breaks", {"at": "noon", "minutes": "45"}, "at", "Write a time of the day"),
        ("breaks", {"at": "12:30", "minutes": "long"}, "minutes", "Write a whole number"),
        ("breaks", {"at": "12:30", "minutes": "2"}, "minutes", "2 is out of range"),
        ("breaks", {"at": "18:00", "minutes": "30"}, "at", "is not within the day, 09:00 to 17:00"),
        ("breaks", {}, "at", "Write something here."),
        ("noise", {"starts": "15", "ends": "14"}, "ends", "The noise starts at 15:00"),
        ("noise", {"starts": "15", "ends": "late"}, "ends", "Write a time of the day"),
        ("noise", {"starts": "15"}, "ends", "Write something here."),
    ],
)
def test_what_cannot_be_is_told_beside_its_field_and_kept(
    client: TestClient,
    days: str,
    smock: str,
    house: House,
    part: str,
    typed: dict[str, str],
    field: str,
    sentence: str,
) -> None:
    before = house.store.get(smock)
    answer = client.post(f"{days}/{DAY}/{part}", data=typed, headers=IN_PART)
    assert answer.status_code == 422
    view = answer.context["view"]
    assert sentence in view.answers.errors[field]
    assert sentence in answer.text
    for value in typed.values():
        assert f'value="{value}"' in answer.text
    assert view.opens_hours(DAY.isoformat())
    assert house.store.get(smock) == before


@pytest.mark.parametrize("part", ["breaks", "noise"])
def test_a_line_that_is_gone_is_said(client: TestClient, days: str, part: str) -> None:
    typed = {"at": "12:30", "minutes": "45", "starts": "10", "ends": "11"}
    for address in (f"{part}/3", f"{part}/3/delete"):
        answer = client.post(f"{days}/{DAY}/{address}", data=typed)
        assert answer.status_code == 404
        assert "That line is not there any more." in answer.text


def test_a_new_day_has_the_breaks_and_noise_of_the_one_before(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    client.post(f"{days}/{DAY}/breaks", data={"at": "12:30", "minutes": "45"})
    client.post(f"{days}/{DAY}/breaks", data={"at": "15:00", "minutes": "15"})
    client.post(f"{days}/{DAY}/noise", data={"starts": "10", "ends": "11"})
    answer = client.post(days, data={"day": "2027-01-05", "starts": "09:00", "ends": "14:00"})
    assert answer.status_code == 303
    new = house.store.get(smock).shoot_days[1]
    assert new.breaks == (Break(at="12:30", minutes=45),)  # the other is after its end
    assert new.noise == (Noise(starts="10:00", ends="11:00"),)


def test_evenings_and_the_time_zone_hold_for_all_days(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    client.post(f"{days}/all", data={"evening_minutes": "90"})
    client.post(f"{days}/all", data={"time_zone": "Europe/Lisbon"})
    brief = house.store.get(smock).brief
    assert (brief.evening_minutes, brief.time_zone) == (90, "Europe/Lisbon")
    answer = client.post(f"{days}/all", data={"time_zone": "Lisbon"}, headers=IN_PART)
    assert answer.status_code == 422
    assert "“Lisbon” is no time zone that is known" in answer.text
    assert 'value="Lisbon"' in answer.text
    answer = client.post(f"{days}/all", data={"evening_minutes": "700"}, headers=IN_PART)
    assert "700 is out of range: from 0 to 600." in answer.text
    assert house.store.get(smock).brief == brief


def test_a_step_is_done_off_camera_before_the_day_or_on_it(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    client.post(f"{days}/{DAY}/beforehand", data={"step": "wash", "before": "yes"})
    assert _day(house, smock).beforehand == ("wash",)
    assert "Before this day" in client.get(days).text
    client.post(f"{days}/{DAY}/beforehand", data={"step": "wash", "before": "no"})
    assert _day(house, smock).beforehand == ()
    answer = client.post(
        f"{days}/{DAY}/beforehand", data={"step": "no-step", "before": "yes"}, headers=IN_PART
    )
    assert answer.status_code == 422


def test_a_day_that_ends_before_its_break_is_told_beside_its_end(
    client: TestClient, days: str
) -> None:
    client.post(f"{days}/{DAY}/breaks", data={"at": "13:00", "minutes": "40"})
    answer = client.post(f"{days}/{DAY}", data={"ends": "12:30"}, headers=IN_PART)
    assert answer.status_code == 422
    view = answer.context["view"]
    assert view.answers.errors["ends"].startswith("A break at 13:00 is not within the day")


def test_what_clocks_that_change_make_of_a_day_is_told_on_it_and_beside_the_time(
    client: TestClient, days: str
) -> None:
    """Lisbon, 28 March 2027: no clock there shows 01:30 (Directive 2000/84/EC)."""
    client.post(f"{days}/all", data={"time_zone": "Europe/Lisbon"})
    client.post(days, data={"day": "2027-03-28", "starts": "00:30", "ends": "05:00"})
    night = f"{days}/2027-03-28"
    card = _card(client, days, "2027-03-28")
    assert card.count("is 1 hour shorter than the 4.5 hours") == 1
    client.post(f"{night}/breaks", data={"at": "01:30", "minutes": "15"})
    card = _card(client, days, "2027-03-28")
    assert "is 1 hour shorter than the 4.5 hours" in card
    top, fields = card.split("<summary>Hours, light, breaks and noise</summary>")
    assert "The break of 15 minutes begins at 01:30, and that time is missing" in top
    told = "On this day that time is missing: choose a time before 01:00 or from 02:00 on."
    assert told in fields
    client.post(night, data={"starts": "01:15"})
    answer = client.post(night, data={"starts": "01:10"}, headers=IN_PART)
    _, after = answer.text.split('id="day-2027-03-28-starts"')
    assert told in after.split('id="day-2027-03-28-ends"')[0]


def _card(client: TestClient, days: str, on: str) -> str:
    page = str(client.get(days).text)
    return page.split(f'<section class="card shoot-day" id="day-{on}"')[1].split(
        "</section>", maxsplit=1
    )[0]
