"""The table of rates is whole, ordered and says where each figure comes from."""

import re

import pytest

from webapp.build.rates import COMMON, RATES, OwnRate, Rate, can_be_used, with_own
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


@pytest.mark.parametrize("rate", RATES.values(), ids=lambda rate: rate.key)
def test_own_figures_are_within_a_hundredth_and_a_hundred_times_the_tables(rate: Rate) -> None:
    least, most = rate.limits
    assert least == pytest.approx(rate.likely / 100, rel=0.05)
    assert most == (1 if rate.unit == "share" else pytest.approx(100 * rate.likely, rel=0.05))
    assert least <= rate.low
    assert rate.high <= most
    for low, high, used in ((least, most, True), (least / 1.01, most, False),
                            (least, most * 1.01, False), (1e-320, most, False)):  # fmt: skip
        own = OwnRate(key=rate.key, low=low, likely=high, high=high)
        assert can_be_used(own, RATES) == used
        assert (with_own(RATES, [own])[rate.key].high == high) == used
