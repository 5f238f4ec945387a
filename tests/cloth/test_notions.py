"""Elastic, zips, buttons and binding: what to buy, in both units, and why."""

import math
from collections.abc import Callable

import pytest

from webapp.cloth.notions import (
    JOIN_MM,
    ToBuy,
    bias_strips,
    binding,
    buttons,
    elastic,
    next_zip,
    straight_strips,
    zip_fastener,
)
from webapp.units import parse_length


def test_elastic_is_bought_with_its_ends() -> None:
    bought = elastic(355, 25, 30, 1, "cm")  # 38.5 cm
    assert bought.amount == "0.4 m (1/2 yd), 2.5 cm (1 in) wide"
    assert bought.why[0].startswith("Cut 38.5 cm (15 1/8 in), its ends included")
    assert bought.why[0].endswith("once it is sewn in it is 35.5 cm (14 in).")


def test_what_is_not_said_of_the_ends_is_what_is_usual() -> None:
    assert elastic(200, 0, None, 1, "cm") == elastic(200, 0, 25, 1, "cm")


def test_two_cuffs_take_twice_as_much() -> None:
    """(20 + 2.5) x 2 = 45 cm, 0.492 yd."""
    bought = elastic(200, 6, None, 2, "in")
    assert (bought.metres, bought.yards) == ("0.5 m", "1/2 yd")
    assert "2 times" in bought.why[0]


@pytest.mark.parametrize("mm", [1, 38.2, 99.9, 100.2, 355, 1219.3])
@pytest.mark.parametrize("count", [1, 2, 5])
def test_what_is_bought_covers_what_is_cut_as_it_is_printed(mm: float, count: int) -> None:
    bought = elastic(mm, 0, 25, count, "cm")
    cut = bought.why[0].removeprefix("Cut ").partition(")")[0].split(" (")
    for typed, roll in zip(cut, (bought.metres, bought.yards), strict=True):
        assert parse_length(roll, None).mm >= parse_length(typed, None).mm * count - 1e-6
        assert parse_length(roll, None).mm >= (mm + 25) * count - 1e-6


def test_the_rules_for_a_waist_are_said_to_be_at_odds() -> None:
    assert any("at odds" in why for why in elastic(355, 25, None, 1, "cm").why)


def test_a_zip_is_the_next_usual_length_in_each_unit() -> None:
    """17.9 cm is 7.05 in: 18 cm will do, 7 in will not."""
    assert (next_zip(179, "cm"), next_zip(179, "in")) == (18, 8)
    assert (next_zip(180, "cm"), next_zip(177.8, "in")) == (18, 7)  # exactly as long
    assert zip_fastener(179, 1, "in").amount == "1, 8 in long (or 18 cm, as they are sold)"


def test_an_opening_longer_than_zips_is_said_to_be() -> None:
    bought = zip_fastener(2000, 1, "cm")
    assert "200 cm (78 3/4 in)" in bought.amount
    assert "off the roll" in bought.why[0]


def test_buttons_bring_their_buttonhole() -> None:
    bought = buttons(18, 4, 7, "cm")
    assert bought.amount == "7, 1.8 cm (11/16 in) across"
    assert bought.why[0].startswith("Buttonholes are 2.2 cm (7/8 in) long")
    assert "0.3 cm (1/8 in)" in bought.why[0]


def test_buttons_of_unknown_thickness_take_the_rule_of_3_mm() -> None:
    assert buttons(18, 0, 7, "cm").why[0].startswith("Buttonholes are 2.1 cm (13/16 in) long")


def test_binding_says_the_square_and_warns_of_it() -> None:
    why = " ".join(binding(2500, 40, 0, 1, [("Lawn", 1080.0)], "cm").why)
    assert "a square of 32 cm (13 in)" in why  # root of 2500 x 40 = 316 mm
    assert "83 to 89 %" in why
    assert "One of 35 cm (14 in) is safe" in why  # 316 / root 0.83 = 347 mm
    assert "From Lawn: 2 strips on the bias" in why


def test_one_short_strip_takes_a_corner_of_the_cloth() -> None:
    strips = bias_strips(600, 42, 1080)
    assert strips.count == 1
    assert strips.cloth_mm == pytest.approx((600 + 2 * 42) / math.sqrt(2))


@pytest.mark.parametrize("length", [1600, 3000, 9000])
def test_strips_on_the_bias_are_as_long_as_they_must_be_and_no_more(length: float) -> None:
    """So many diagonals of the cloth's width, less the joins, reach; one fewer does not."""
    across = 1080.0
    count = bias_strips(length, 42, across).count

    def reach(strips: int) -> float:
        return strips * across * math.sqrt(2) - (strips - 1) * 2 * JOIN_MM * math.sqrt(2)

    assert reach(count - 1) < length <= reach(count)


def test_nothing_is_cut_from_a_cloth_narrower_than_a_join() -> None:
    with pytest.raises(ValueError, match="too narrow"):
        straight_strips(100, 20, 10)


@pytest.mark.parametrize(
    "worked_out",
    [
        lambda: elastic(0, 25, None, 1, "cm"),
        lambda: elastic(-5, 25, None, 1, "cm"),
        lambda: elastic(300, 25, -10, 1, "cm"),
        lambda: zip_fastener(0, 1, "cm"),
        lambda: buttons(-1, 0, 1, "cm"),
        lambda: binding(100, 0, None, 1, [], "cm"),
    ],
)
def test_what_has_no_size_is_refused_in_a_sentence(worked_out: Callable[[], ToBuy]) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        worked_out()
