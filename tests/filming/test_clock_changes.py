"""Days on which the clocks change.

Outside: Directive 2000/84/EC of the European Parliament, articles 2 and 3: summer time begins at
1:00 UTC on the last Sunday of March and ends at 1:00 UTC on the last Sunday of October; in the
Azores, an hour behind UTC, that is midnight. 15 U.S.C. 260a: from 2:00 on the second Sunday of
March to 2:00 on the first Sunday of November. From memory: Egypt's clocks go forward as the last
Friday of April begins and back as the last Thursday of October ends.
"""

from datetime import date, timedelta

import pytest

from webapp.filming.clock_changes import (
    ClockChange,
    clock_change,
    clock_faults,
    faults_of_times,
    minutes_ahead,
    missing_times,
    time_zones,
    zone_fault,
)
from webapp.filming.shoot_days import Break, ShootDay

SPRING, AUTUMN = date(2027, 3, 28), date(2027, 10, 31)  # the last Sundays
CAIRO_SPRING, CAIRO_AUTUMN = date(2027, 4, 30), date(2027, 10, 28)


@pytest.mark.parametrize(
    ("zone", "day", "at", "minutes"),
    [
        ("Europe/Lisbon", SPRING, 60, 60),
        ("Europe/Lisbon", AUTUMN, 120, -60),
        ("Europe/Berlin", SPRING, 120, 60),
        ("Europe/Berlin", AUTUMN, 180, -60),
        ("America/New_York", date(2027, 3, 14), 120, 60),
        ("America/New_York", date(2027, 11, 7), 120, -60),
        ("Atlantic/Azores", SPRING, 0, 60),
        ("Atlantic/Azores", AUTUMN, 60, -60),
        ("Africa/Cairo", CAIRO_SPRING, 0, 60),
        ("Africa/Cairo", CAIRO_AUTUMN, 24 * 60, -60),
        ("America/Nuuk", date(2027, 3, 27), 23 * 60, 60),  # two hours behind UTC
    ],
)
def test_the_clocks_change_when_the_law_says(zone: str, day: date, at: int, minutes: int) -> None:
    assert clock_change(day, zone) == ClockChange(day, at, minutes)
    for other in (day - timedelta(days=1), day + timedelta(days=1)):
        assert clock_change(other, zone) is None


def test_a_change_of_midnight_is_told_on_the_day_that_has_the_hour() -> None:
    night = ShootDay(day=CAIRO_SPRING, starts="00:30", ends="05:00")
    (missing,) = clock_faults(night, "Africa/Cairo")
    assert missing == (
        "On 30 April 2027 the clocks go forward at 00:00, to 01:00. It starts at 00:30, and that "
        "time is missing: choose a time from 01:00 on."
    )
    evening = ShootDay(day=CAIRO_AUTUMN, starts="18:00", ends="23:30")
    (twice,) = clock_faults(evening, "Africa/Cairo")
    assert twice == (
        "On 28 October 2027 the clocks go back at 24:00, to 23:00. It ends at 23:30, and that "
        "time comes twice: choose a time before 23:00."
    )
    for day in (CAIRO_SPRING - timedelta(days=1), CAIRO_AUTUMN + timedelta(days=1)):
        long = ShootDay(day=day, starts="00:00", ends="23:59")
        assert clock_faults(long, "Africa/Cairo") == ()


@pytest.mark.parametrize("zone", ["Asia/Tokyo", "America/New_York", "Pacific/Auckland"])
def test_the_first_and_the_last_day_there_is_have_no_change(zone: str) -> None:
    for day in (date.min, date.max):
        assert clock_change(day, zone) is None


@pytest.mark.parametrize("zone", ["", "UTC", "Europe/Lisbon", "Asia/Tokyo"])
def test_on_other_days_they_do_not(zone: str) -> None:
    assert clock_change(date(2027, 3, 27), zone) is None


def test_half_an_hour_is_told_as_such() -> None:
    """Lord Howe Island moves its clocks by half an hour, on the first Sunday of April."""
    change = clock_change(date(2027, 4, 4), "Australia/Lord_Howe")
    assert change is not None and change.minutes == -30
    (told,) = clock_faults(
        ShootDay(day=date(2027, 4, 4), starts="00:30", ends="05:00"), "Australia/Lord_Howe"
    )
    assert "30 minutes longer than the 4.5 hours" in told


def test_a_day_in_daytime_hours_is_told_nothing() -> None:
    assert clock_faults(ShootDay(day=SPRING), "Europe/Berlin") == ()


def test_a_night_over_the_change_has_an_hour_less_or_more() -> None:
    (less,) = clock_faults(ShootDay(day=SPRING, starts="00:30", ends="05:00"), "Europe/Berlin")
    assert less == (
        "On 28 March 2027 the clocks go forward at 02:00, to 03:00. The day from 00:30 to 05:00 "
        "is 1 hour shorter than the 4.5 hours that its times say. Its clock times are told without "
        "the missing ones."
    )
    (more,) = clock_faults(ShootDay(day=AUTUMN, starts="00:30", ends="05:00"), "Europe/Berlin")
    assert "1 hour longer than the 4.5 hours" in more
    assert more.endswith("from 03:00 on all comes 1 hour earlier by the clock.")


def test_a_time_that_is_missing_or_comes_twice_is_told_with_what_to_choose() -> None:
    (missing,) = clock_faults(ShootDay(day=SPRING, starts="02:30", ends="05:00"), "Europe/Berlin")
    assert missing.endswith(
        "It starts at 02:30, and that time is missing: choose a time before 02:00 or from 03:00 on."
    )
    night = ShootDay(
        day=AUTUMN, starts="00:30", ends="05:00", breaks=(Break(at="02:15", minutes=20),)
    )
    twice, hours = clock_faults(night, "Europe/Berlin")
    assert "1 hour longer" in hours
    assert faults_of_times(night, "Europe/Berlin") == {
        "break 0": "On this day that time comes twice: choose a time before 02:00 or from 03:00 on."
    }
    assert "The break of 20 minutes begins at 02:15, and that time comes twice" in twice


def test_only_clocks_put_forward_leave_times_out() -> None:
    assert missing_times(SPRING, "Europe/Lisbon") == (60, 120)
    assert missing_times(AUTUMN, "Europe/Lisbon") is missing_times(SPRING, "") is None


def test_a_name_that_is_no_time_zone_is_told_and_takes_no_harm() -> None:
    assert zone_fault("Europe/Lisbon") == zone_fault("") == ""
    assert "“Lisbon time” is no time zone" in zone_fault("Lisbon time")
    for name in ("../../etc/passwd", "/etc/passwd", "a\0b", "Europe"):
        assert zone_fault(name)
        assert clock_change(SPRING, name) is None
    assert minutes_ahead(SPRING, "nowhere") == 0


def test_the_zones_offered_are_places() -> None:
    assert "Europe/Lisbon" in time_zones()
    assert "UTC" in time_zones()
    assert all(zone_fault(zone) == "" for zone in time_zones())


def test_minutes_ahead_follow_the_summer_time() -> None:
    assert minutes_ahead(date(2027, 1, 4), "Europe/Berlin") == 60
    assert minutes_ahead(SPRING, "Europe/Berlin") == 120
