"""Narration takes the time it takes to say; a shot stays at least long enough to be seen."""

import doctest
import math
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.filming import running_time
from webapp.filming.running_time import (
    LEAST_SECONDS,
    LEAST_SHARE,
    clock,
    screen_seconds,
    spoken_seconds,
    spoken_words,
)
from webapp.filming.shots import Pace, Shot, ShotKind


def shot(**fields: Any) -> Shot:
    return Shot.model_validate({"id": "a", "title": "Bind the neck"} | fields)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", 0), ("  –, (…) ", 0), ("Fold the hem up.", 4), ("drop-shoulder smock", 2),
        ("don’t pull it", 3),
        ("61 cm", 3),  # sixty-one centimetres
        ("61 cm (24 in)", 6),  # … twenty-four inches
        ("28 1/2 in", 6),  # twenty-eight and a half inches
        ("28½ in", 6), ("28 ½ in", 6), ("5/8 in", 3), ("½ in", 3), ("1.5 cm", 4), ("72,5 cm", 5),
        ("15", 1), ("115", 2), ("10", 1), ("20", 1), ("0", 1), ("100", 1), ('12" wide', 3),
        ("5 %", 2), ("60°", 2),
    ],
)  # fmt: skip
def test_words_are_counted_as_they_are_said(text: str, words: int) -> None:
    assert spoken_words(text) == words


def test_a_hundred_and_forty_words_take_a_minute() -> None:
    assert spoken_seconds("stitch " * 140) == pytest.approx(60)
    assert spoken_seconds("") == 0


@given(st.lists(st.sampled_from(["hem", "61 cm", "(24 in)", "1 1/2 in", "½", "–"]), max_size=20))
def test_a_text_takes_as_long_as_its_parts(parts: list[str]) -> None:
    """Parted by a full stop, as no number runs over into the next."""
    assert spoken_words(". ".join(parts)) == sum(map(spoken_words, parts))


def test_a_shot_lasts_as_long_as_its_narration() -> None:
    assert screen_seconds(shot(), "stitch " * 140) == pytest.approx(60)


def test_a_typed_time_on_screen_wins() -> None:
    assert screen_seconds(shot(screen_seconds=3), "stitch " * 140) == 3
    assert screen_seconds(shot(screen_seconds=90), "") == 90


@pytest.mark.parametrize("kind", get_args(ShotKind))
@pytest.mark.parametrize("pace", get_args(Pace))
def test_a_silent_shot_stays_long_enough_to_be_seen(kind: ShotKind, pace: Pace) -> None:
    seconds = screen_seconds(shot(kind=kind, pace=pace), "")
    assert seconds == LEAST_SECONDS[kind] * LEAST_SHARE[pace]
    assert 1 < seconds <= 10


def test_a_sped_up_act_is_over_sooner() -> None:
    paces: list[Pace] = ["sped up", "talked over", "real time"]
    silent = [screen_seconds(shot(pace=pace), "") for pace in paces]
    assert silent == sorted(set(silent))


@pytest.mark.parametrize(
    ("seconds", "shown"),
    [(0, "0:00"), (7.4, "0:07"), (7.5, "0:08"), (59.6, "1:00"), (725, "12:05"), (3599.4, "59:59"),
     (3599.5, "1:00:00"), (3725, "1:02:05")],
)  # fmt: skip
def test_a_clock_shows_minutes_and_seconds_and_hours_when_there_are_any(
    seconds: float, shown: str
) -> None:
    assert clock(seconds) == shown


@pytest.mark.parametrize("seconds", [-1, math.nan, math.inf])
def test_no_clock_shows_less_than_nothing(seconds: float) -> None:
    with pytest.raises(ValueError, match="zero or more"):
        clock(seconds)


def test_the_examples_in_the_docstrings_hold() -> None:
    failed, attempted = doctest.testmod(running_time)
    assert failed == 0 < attempted
