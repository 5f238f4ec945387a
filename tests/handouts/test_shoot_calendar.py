"""The calendar, read by the icalendar library, line by line by hand, and against zoneinfo."""

import re
from datetime import UTC, date, datetime, time, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar, Component

from tests.demo_documents import EPISODES, SMOCK
from tests.handouts.test_captions import HOSTILE
from webapp.filming.figures import single_unit_measurements
from webapp.filming.shoot_days import minutes_of
from webapp.handouts.broken_lines import plain
from webapp.handouts.calendar_times import time_zone
from webapp.handouts.shoot_calendar import shoot_days_ics
from webapp.plan.days_json import days_json
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan

LONDON: Final = "Europe/London"
SPRING, AUTUMN = "2027-03-28", "2026-10-25"  # British clocks go forward at 01:00, back at 02:00


def planned(zone: str = "", hours: float = 1, **day: Any) -> Plan:
    """A day of one shot, before which there is work for some hours."""
    minutes = dict.fromkeys(("low", "likely", "high"), 60 * hours)
    work = {"id": "work", "name": "Work", "work": [{"kind": "other", "minutes": minutes}]}
    sew = {"id": "sew", "name": "Sew", "after": ["work"]}
    document = {
        "id": "e",
        "title": "E",
        "brief": {"time_zone": zone},
        "garments": [{"id": "g", "name": "G", "steps": [work, sew]}],
        "shots": [{"id": "a", "title": "Sew", "step": "sew", "light": "lamps"}],
        "shoot_days": [{"day": "2026-06-01", "shots": ["a"], **day}],
    }
    return evaluate(Episode.model_validate(document))


def read(plan: Plan) -> Calendar:
    content = shoot_days_ics(plan)
    assert content is not None
    found = Calendar.from_ical(content)
    assert isinstance(found, Calendar)
    return found


def lines_of(plan: Plan) -> list[str]:
    """The lines as RFC 5545 has them, 3.1: CRLF, 75 octets at most, unfolded."""
    content = shoot_days_ics(plan)
    assert content is not None
    assert content.endswith(b"\r\n")
    physical = content.removesuffix(b"\r\n").split(b"\r\n")
    assert all(0 < len(line) <= 75 and b"\n" not in line and b"\r" not in line for line in physical)
    for line in physical:
        line.decode()  # no fold parts the octets of a character
    return re.sub("\r\n ", "", content.removesuffix(b"\r\n").decode()).split("\r\n")


def days_in(found: Calendar) -> list[Component]:
    return [one for one in found.walk("VEVENT") if str(one["SUMMARY"]).startswith("Shoot day")]


@pytest.fixture(scope="module")
def smock() -> Plan:
    return evaluate(EPISODES[SMOCK])


# --- The smock -------------------------------------------------------------------------------


def test_each_shoot_day_is_when_the_plan_has_it(smock: Plan) -> None:
    told = days_json(smock)["shoot_days"]
    found = days_in(read(smock))
    assert len(found) == len(told) == 4
    for event, day in zip(found, told, strict=True):
        for name, at in (("DTSTART", day["starts"]), ("DTEND", day["ends"])):
            local = datetime.combine(date.fromisoformat(day["day"]), time.fromisoformat(at))
            moment = event[name].dt.astimezone(UTC)
            assert moment == local.replace(tzinfo=ZoneInfo(LONDON)).astimezone(UTC)


def test_each_tells_its_shots_by_the_clock_and_where_they_are(smock: Plan) -> None:
    titles = {one.shot.id: one for one in smock.shots}
    for event, day in zip(days_in(read(smock)), days_json(smock)["shoot_days"], strict=True):
        words = str(event["DESCRIPTION"]).splitlines()
        assert f"Likely done at {day['likely_end']}, " in words[0]
        for shot in day["shots"]:
            row = titles[shot["id"]]
            (line,) = (one for one in words if f" {row.number}. {row.shot.title} (" in one)
            assert line.startswith(f"{shot['rolls']} ")
            assert line.endswith("cannot be taken back)") == row.one_way
            assert row.shot.place in str(event["LOCATION"])
        for rest in day["breaks"]:
            assert any(one.startswith(f"{rest['starts']} Break, ") for one in words)


def test_what_is_done_the_night_before_is_an_event_with_a_warning(smock: Plan) -> None:
    before = [one for one in read(smock).walk("VEVENT") if "Before" in str(one["SUMMARY"])]
    first, third = before[0], before[2]
    assert "Wash the cloth (15 min" in str(first["DESCRIPTION"])
    assert "Hang it overnight" in str(third["DESCRIPTION"])
    assert "The apron" in str(third["DESCRIPTION"])
    for event, day in zip(before, smock.days, strict=True):
        assert event["DTSTART"].dt.date() == day.day.day - timedelta(days=1)
        assert event["DTEND"].dt.time() == time(21)
        (alarm,) = event.walk("VALARM")
        assert (str(alarm["ACTION"]), alarm["TRIGGER"].dt) == ("DISPLAY", timedelta(minutes=-15))
        assert alarm["DESCRIPTION"]  # RFC 5545, 3.6.6: a display alarm has to say something


def test_the_day_to_publish_is_a_whole_day(smock: Plan) -> None:
    lines = lines_of(smock)
    start = lines.index("SUMMARY:Publish: The Lighthouse Smock")
    event = lines[start : lines.index("END:VEVENT", start)]
    assert "DTSTART;VALUE=DATE:20270115" in event
    assert "DTEND;VALUE=DATE:20270116" in event  # RFC 5545, 3.6.1: the day after the last
    assert "TRANSP:TRANSPARENT" in event


def test_the_file_has_what_the_standard_asks_of_every_calendar(smock: Plan) -> None:
    """RFC 5545, 3.6 and 3.6.1: VERSION and PRODID once; UID, DTSTAMP, DTSTART in each event."""
    lines = lines_of(smock)
    assert lines[0] == "BEGIN:VCALENDAR"
    assert [one.split(":")[0] for one in lines].count("VERSION") == 1
    assert [one.split(":")[0] for one in lines].count("PRODID") == 1
    events = "\n".join(lines).split("BEGIN:VEVENT")[1:]
    for name in ("UID:", "DTSTAMP:", "DTSTART"):
        assert all(f"\n{name}" in one for one in events)
    uids = [one for one in lines if one.startswith("UID:")]
    assert len(set(uids)) == len(uids) == len(events)
    assert read(smock).get_missing_tzids() == set()


def test_no_length_is_told_in_one_unit(smock: Plan) -> None:
    assert single_unit_measurements("\n".join(lines_of(smock))) == ()


def test_the_same_plan_gives_the_same_bytes_and_events_keep_their_names(smock: Plan) -> None:
    again = evaluate(Episode.model_validate_json(EPISODES[SMOCK].model_dump_json()))
    assert shoot_days_ics(again) == shoot_days_ics(smock)
    other = evaluate(EPISODES[SMOCK].model_copy(update={"title": "Another title"}))
    uids = [[one for one in lines_of(plan) if one.startswith("UID:")] for plan in (smock, other)]
    assert uids[0] == uids[1]


# --- Time zones ------------------------------------------------------------------------------


def test_without_a_time_zone_times_are_local() -> None:
    """RFC 5545, 3.3.5, form 1: neither a zone nor UTC."""
    lines = lines_of(planned())
    assert "DTSTART:20260601T090000" in lines
    assert "DTEND:20260601T170000" in lines
    assert not any("TZID" in one or "VTIMEZONE" in one for one in lines)
    assert lines_of(planned("Not/Known")) == lines


def test_in_utc_times_say_so() -> None:
    """RFC 5545, 3.3.5, form 2."""
    lines = lines_of(planned("UTC"))
    assert "DTSTART:20260601T090000Z" in lines
    assert not any("TZID" in one for one in lines)


def test_a_zone_is_told_as_in_the_standards_example() -> None:
    """RFC 5545, 3.6.5: New York since 2007, its onsets and offsets."""
    told = time_zone("America/New_York", [datetime(2007, 6, 1)]).to_ical().decode()
    assert "DTSTART:20070311T020000\r\nTZNAME:EDT\r\nTZOFFSETFROM:-0500\r\nTZOFFSETTO:-0400" in told
    assert "DTSTART:20071104T020000\r\nTZNAME:EST\r\nTZOFFSETFROM:-0400\r\nTZOFFSETTO:-0500" in told


@pytest.mark.parametrize(
    "name",
    [
        LONDON,
        "Europe/Dublin",
        "America/Havana",  # back at 01:00
        "Africa/Cairo",  # at midnight
        "Africa/Casablanca",  # for a month that moves
        "Australia/Lord_Howe",  # by half an hour
        "Asia/Kathmandu",
    ],
)
def test_a_zone_says_what_the_tz_database_says_in_every_hour(name: str) -> None:
    told = time_zone(name, [datetime(2026, 1, 1), datetime(2027, 1, 1)])
    onsets = sorted(
        ((one["DTSTART"].dt - one["TZOFFSETFROM"].td).replace(tzinfo=UTC), one["TZOFFSETTO"].td)
        for one in told.subcomponents
    )
    zone, moment = ZoneInfo(name), datetime(2026, 1, 2, tzinfo=UTC)
    while moment.year < 2028:
        offset = [after for at, after in onsets if at <= moment][-1]
        assert offset == moment.astimezone(zone).utcoffset(), moment
        moment += timedelta(hours=1)


def _length(plan: Plan) -> tuple[datetime, timedelta]:
    (event,) = days_in(read(plan))
    begins, ends = (event[name].dt.astimezone(UTC) for name in ("DTSTART", "DTEND"))
    return begins, ends - begins


def test_a_day_may_go_on_past_midnight() -> None:
    plan = planned(LONDON, hours=12, starts="14:00", ends="20:00")
    (day,) = days_json(plan)["shoot_days"]
    at = minutes_of(day["likely_end"])
    assert at > 24 * 60
    begins, length = _length(plan)
    assert begins == datetime(2026, 6, 1, 13, tzinfo=UTC)
    assert length == timedelta(minutes=at - 14 * 60)
    (event,) = days_in(read(plan))
    assert "the next day, 9 times in 10 by " in str(event["DESCRIPTION"])


@pytest.mark.parametrize(
    ("day", "missing"),
    [(SPRING, 60), ("2026-06-01", 0)],
)
def test_where_the_clocks_go_forward_the_missing_hour_is_no_time(day: str, missing: int) -> None:
    plan = planned(LONDON, hours=6, day=day, starts="00:30", ends="02:30")
    (told,) = days_json(plan)["shoot_days"]
    _, length = _length(plan)
    assert length == timedelta(minutes=minutes_of(told["likely_end"]) - 30 - missing)


def test_where_the_clocks_go_back_an_hour_comes_twice() -> None:
    """The plan counts on as if they stayed: what it tells for 07:00 is at 06:00 by the clock."""
    plan = planned(LONDON, hours=6, day=AUTUMN, starts="00:30", ends="02:30")
    (told,) = days_json(plan)["shoot_days"]
    begins, length = _length(plan)
    assert begins == datetime(2026, 10, 24, 23, 30, tzinfo=UTC)  # 00:30, an hour ahead of UTC
    assert length == timedelta(minutes=minutes_of(told["likely_end"]) - 30)
    (event,) = days_in(read(plan))
    words = str(event["DESCRIPTION"])
    shot = minutes_of(told["shots"][0]["rolls"]) - 60
    assert f"{shot // 60:02}:{shot % 60:02} 1. Sew" in words
    assert "the clocks go back at 02:00, to 01:00." in words


def test_a_time_that_comes_a_second_time_is_told_in_utc() -> None:
    """By the clock it would be the first: RFC 5545, 3.3.5."""
    plan = planned(LONDON, hours=2, day=AUTUMN, starts="00:00", ends="01:00")
    (told,) = days_json(plan)["shoot_days"]
    over = minutes_of(told["likely_end"])
    assert 120 <= over < 180  # so the clocks, put back at 02:00, show 01:00 and more again
    assert f"DTEND:20261025T01{over - 120:02}00Z" in lines_of(plan)
    assert _length(plan)[1] == timedelta(minutes=over)


# --- Evenings --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rest_hours", "on"),
    [(0, 31), (12, 31), (12.5, 30), (36, 30), (37, 29)],  # 21:00 to 09:00 are 12 hours
)
def test_before_the_first_day_work_is_done_in_time_to_rest(rest_hours: float, on: int) -> None:
    plan = planned(LONDON, beforehand=["work"])
    garment = plan.episode.garments[0].model_dump()
    garment["steps"][0]["rest_hours"] = rest_hours
    document = plan.episode.model_dump(mode="json") | {"garments": [garment]}
    found = read(evaluate(Episode.model_validate(document)))
    (event,) = (one for one in found.walk("VEVENT") if "Work (" in str(one["DESCRIPTION"]))
    assert event["DTEND"].dt == datetime(2026, 5, on, 21, tzinfo=ZoneInfo(LONDON))


# --- Texts -----------------------------------------------------------------------------------


@pytest.mark.parametrize("text", [*HOSTILE, 'a,b;c\\n"d": e', "BEGIN:VEVENT\r\nUID:x"])
def test_hostile_text_is_only_text(text: str) -> None:
    document = planned(LONDON).episode.model_dump(mode="json")
    title = plain(text[:80]) or "x"
    document["title"], document["shots"][0]["place"] = title, title
    plan = evaluate(Episode.model_validate(document))
    lines = lines_of(plan)
    assert lines.count("BEGIN:VEVENT") == lines.count("END:VEVENT") == 2
    (event,) = days_in(read(plan))
    assert str(event["SUMMARY"]) == f"Shoot day 1 of 1: {title}"
    assert str(event["LOCATION"]) == title


def test_without_days_there_is_no_calendar() -> None:
    assert shoot_days_ics(evaluate(Episode.model_validate({"id": "e", "title": "E"}))) is None
