"""The table of rates is whole, ordered and says where each figure comes from."""

import re

import pytest

from webapp.build.rates import COMMON, RATES, Rate
from webapp.filming.every_rate import EVERY_RATE
from webapp.filming.running_time import SPEAKING

A_PLACE_TO_LOOK = re.compile(r"\w\.(com|net|org|gov)\b|\(\d{4}\)|\bp\. \d+")  # site, year or page


@pytest.mark.parametrize("rate", EVERY_RATE.values(), ids=lambda rate: rate.key)
def test_every_rate_says_what_it_is_its_unit_and_its_source(rate: Rate) -> None:
    assert rate.what
    assert rate.unit
    assert rate.source == COMMON or A_PLACE_TO_LOOK.search(rate.source)


def test_a_rate_that_does_not_rise_is_refused() -> None:
    with pytest.raises(ValueError, match="“cut” must rise"):
        Rate("cut", "cut along a line", 2, 1, 3, "mm a minute")
    with pytest.raises(ValueError, match="above zero"):
        Rate("cut", "cut along a line", 0, 1, 3, "mm a minute")


def test_the_table_cannot_be_changed_in_place() -> None:
    with pytest.raises(TypeError):
        RATES["other"] = SPEAKING  # type: ignore[index]


def test_every_hand_stitch_has_a_speed_and_a_usual_length() -> None:
    lengths = {key: rate for key, rate in RATES.items() if key.startswith("hand length: ")}
    assert "hand length: slip stitch" in lengths
    assert {key.replace("hand length", "hand") for key in lengths} | {"hand: handling"} == {
        key for key in RATES if key.startswith("hand: ")
    }
    assert {rate.unit for rate in lengths.values()} == {"mm"}


def test_a_rotary_cutter_is_quicker_and_an_overlocker_no_slower() -> None:
    """Common practice, no source."""
    pairs = [("cut: rotary cutter", "cut: scissors"), ("overlock: speed", "machine: speed")]
    for quick, slow in pairs:
        assert RATES[quick].low >= RATES[slow].low
        assert RATES[quick].high >= RATES[slow].high
