"""A cloth's weight: read as typed, shown in both units."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.cloth.weight import both_weights, read_weight

OUNCE_PER_SQUARE_YARD = 28.349523125 / (0.9144 * 0.9144)  # g/m2; agreement of 1 July 1959


@pytest.mark.parametrize(
    ("typed", "g_per_m2"),
    [
        ("185 g/m2", 185),
        ("185 g/m²", 185),
        (" 185gsm", 185),
        ("185 G / sq m", 185),
        ("5.5 oz/yd2", 5.5 * OUNCE_PER_SQUARE_YARD),
        ("5,5 oz/yd²", 5.5 * OUNCE_PER_SQUARE_YARD),
        ("5½ oz / sq. yd", 5.5 * OUNCE_PER_SQUARE_YARD),
        ("12 oz", 12 * OUNCE_PER_SQUARE_YARD),
        ("310 grams", 310),
        ("310 gram", 310),
        ("310 g", 310),
        ("310", 310),
        ("30", 30),
        ("310 grams per square metre", 310),
        ("310grammes / sq. meter", 310),
        ("9 ounces", 9 * OUNCE_PER_SQUARE_YARD),
        ("9 oz", 9 * OUNCE_PER_SQUARE_YARD),
        ("9 ounces per square yard", 9 * OUNCE_PER_SQUARE_YARD),
        ("1 ounce/sq yd", OUNCE_PER_SQUARE_YARD),
    ],
)
def test_a_weight_is_read_as_it_is_typed(typed: str, g_per_m2: float) -> None:
    assert read_weight(typed) == pytest.approx(g_per_m2)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "A blank cannot be read"),
        ("29", "has no unit"),
        ("9.5", "has no unit"),
        ("3100", "is no weight of cloth"),
        ("310 grains", "has a unit that is not"),
        ("310 grams per yard", "has a unit that is not"),
        ("5 1/2 oz per", "has a unit that is not a cloth's weight"),
        ("185 kg", "has a unit that is not a cloth's weight"),
        ("heavy", "“heavy” cannot be read"),
        ("1/0 oz", "cannot be read"),
        ("1,500 g/m2", "cannot be read"),  # 1.5 or 1500
        ("0 g/m2", "is no weight of cloth"),
        ("4000 g/m2", "is no weight of cloth"),
    ],
)
def test_what_is_no_weight_is_refused_in_a_sentence(typed: str, sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        read_weight(typed)


def test_both_units_are_rounded_from_the_exact_weight() -> None:
    """185 g/m2 is 5.456 oz/yd2."""
    assert both_weights(185, "cm") == "185 g/m² (5.5 oz/yd²)"
    assert both_weights(read_weight("5.5 oz/yd2"), "in") == "5.5 oz/yd² (186 g/m²)"


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(typed: str) -> None:
    try:
        assert 0 < read_weight(typed) <= 3000
    except ValueError as error:
        assert str(error).endswith(".")
