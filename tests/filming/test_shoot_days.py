"""A shoot day as it is typed, and clock times in words."""

from datetime import date

import pytest
from pydantic import ValidationError

from webapp.filming.shoot_days import ShootDay, clock_of, minutes_of, told_clock, told_day

DAY = date(2027, 1, 15)


@pytest.mark.parametrize(
    ("minutes", "clock", "told"),
    [
        (0, "00:00", "00:00"),
        (570.4, "09:30", "09:30"),
        (599.6, "10:00", "10:00"),
        (1439, "23:59", "23:59"),
        (1440, "24:00", "00:00 the next day"),
        (1510, "25:10", "01:10 the next day"),
        (3000, "50:00", "02:00 2 days later"),
    ],
)
def test_minutes_from_midnight_as_a_clock_shows_them(minutes: float, clock: str, told: str) -> None:
    assert (clock_of(minutes), told_clock(minutes)) == (clock, told)


@pytest.mark.parametrize("time", ["00:00", "09:05", "23:59"])
def test_a_clock_time_is_read_back(time: str) -> None:
    assert clock_of(minutes_of(time)) == time


def test_a_day_is_told_in_words() -> None:
    assert told_day(DAY) == "15 January 2027"


@pytest.mark.parametrize("time", ["24:00", "9:30", "09:60", "nine", ""])
def test_a_time_that_no_clock_shows_is_refused(time: str) -> None:
    with pytest.raises(ValidationError):
        ShootDay.model_validate({"day": DAY, "starts": time})


@pytest.mark.parametrize(("starts", "ends"), [("10:00", "10:00"), ("17:00", "09:00")])
def test_a_day_that_ends_before_it_starts_is_refused(starts: str, ends: str) -> None:
    with pytest.raises(ValidationError, match="which is not after"):
        ShootDay(day=DAY, starts=starts, ends=ends)


def test_a_shot_is_on_a_day_once() -> None:
    with pytest.raises(ValidationError, match="A shot is on 15 January 2027 twice"):
        ShootDay(day=DAY, shots=("intro", "outro", "intro"))
