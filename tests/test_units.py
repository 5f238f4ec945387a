"""Lengths: what people type is understood or refused in a sentence; lengths add and compare."""

import doctest
import operator
import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from webapp import units
from webapp.units import Length, parse_length

# --- Reading ---------------------------------------------------------------------------------

UNDERSTOOD = {  # millimetres: the ways to type them
    723.9: ["28 1/2 in", "28 ½ in", "28½in", '28½"', "28 1/2″", "28 1⁄2 in", "28 1 / 2 in",
        "28.5 in", "28 1/2 in.", "28 1/2 INCHES", "  28\u00a01/2\u2009in\t", "28\u202f1/2\u3000in",
        "28\u200b1/2\u200bin"],
    38.1: ["1-1/2 in", "1-½ in", "1\u20111/2 in", "3/2 in"],
    12.7: [".5 in", "+1/2 in"], 3.175: ["0,125 in", "⅛ in"], 9.525: ["⅜ in"], 15.875: ["⅝ in"],
    22.225: ["⅞ in"], 304.8: ["⅓ yd", "1 foot"], 609.6: ["⅔ yd", "2 feet", "2 ft."],
    6.35: ["¼ in"], 19.05: ["¾ in"], 200.0: ["⅕ m"], 50.8: ["⅙ ft"],
    725.0: ["725mm", "725 millimetres", "72,5 cm", "72.5 CM", "72.5 centimetres", "７２．５ｃｍ",
        "72.5㎝"],
    0.0: ["0 cm", "-0 cm"], 1.0: ["1 millimeter"], 10.0: ["1 centimeter"], 25.4: ["1 inch"],
    50.0: ["5 cm".ljust(80)], 800.0: ["0.8 m"], 1000.0: ["1 metre"], 2000.0: ["2 Meters"],
    914.4: ["1 yard"], 1143.0: ["1 1/4 yd"], 1828.8: ["2 yds"],
    1689.1: ['5\' 6 1/2"', "5'6½\"", "5’ 6 1/2”", "5′ 6 1/2″", "5' 6.5''", "5 ft. 6 1/2 in."],
    1536.7: ["5'.5\""], 1676.4: ["5 ft 6 in"], 1016.0: ["1 yd 4 in"], 1205.0: ["1 m 20 cm 5 mm"],
    1244.6: ["1 yd 1 ft 1 in"], 1250.0: ["1250 mm"], 1250.5: ["1250,5 mm"], 100_000.0: ["100 m"],
}  # fmt: skip


@pytest.mark.parametrize(
    ("text", "mm"), [(text, mm) for mm, texts in UNDERSTOOD.items() for text in texts]
)
def test_what_people_type_is_understood(text: str, mm: float) -> None:
    assert parse_length(text, None).mm == mm


@pytest.mark.parametrize(
    ("unit", "mm"),
    [("mm", 28.5), ("cm", 285.0), ("m", 28_500.0), ("in", 723.9), ("ft", 8686.8), ("yd", 26_060.4)],
)
def test_a_number_without_a_unit_takes_the_unit_of_the_field(unit: units.Unit, mm: float) -> None:
    assert parse_length("28 1/2", unit).mm == parse_length("28½", unit).mm == mm


def test_a_typed_unit_wins_over_the_unit_of_the_field_which_is_else_centimetres() -> None:
    assert parse_length("1 in", "cm") == parse_length("1", "in") == Length(25.4)
    assert parse_length("72.5") == Length(725.0)


@pytest.mark.parametrize("text", ["-1 yd 4 in", "−1⅑ yd", "- 40 in", "–3' 4\""])
def test_a_length_may_be_negative_only_where_that_makes_sense(text: str) -> None:
    assert parse_length(text, may_be_negative=True).mm == -1016.0
    with pytest.raises(ValueError, match=r"is less than zero; .*\.$"):
        parse_length(text)


REFUSED = {  # part of the sentence: what it answers
    "A blank cannot be read as a length": ["", " \t\u00a0\u200b "],
    "“1,250 mm” could mean 1250 or 1.25;": ["1,250 mm"], "999125 or 999.125;": ["999,125"],
    "has no unit": ["5", "9" * 70], "“<b>5 cm</b>” cannot be read": ["<b>5 cm</b>"],
    "cannot be read": ["1,250,000 mm", "1.250,5 mm", "nan", "inf cm", "-Infinity", "1e-3 cm",
        "1/2/3 in", "1.5/2 in", "1 - 1/2 in", "5-6 cm", "--5 cm", "5 cm -3 mm", "-", "28. in",
        "1.2.3 cm", "1 yd.5 in", "in", "inch 5", "5²", "5² cm", "5 ㎡ 2 in", "٥ cm",
        "5 cm; drop table", "🧵 5 cm", "5 🧵", "5\x00cm", "\ud800"],
    "unit that is not known": ["1e3 cm", "5 furlongs"],
    "more numbers than units": ["1E3", "5 6 cm", "1 250 mm", "½8 in", "2½½ in", "28.5 1/2 in",
        "5 ft 6", "5' 6", "5 m2"],
    "larger to smaller": ["4 in 1 yd", "5 cm 5 cm", "5 ft 12 in 1 ft"],
    "divides by zero": ["1/0 in", "3 0/0 in"], "fraction of one": ["1 3/2 in", "3 2/2 in"],
    "less than zero": ["-5 cm"], "longer than 100 m (109 yd)": ["100.001 m", "9" * 70 + " m"],
    "“5 cm” is too long": ["5 cm" + " " * 77], "too long": ["1" * 81, "1/" * 5_120],
}  # fmt: skip


@pytest.mark.parametrize(
    ("text", "part"), [(text, part) for part, texts in REFUSED.items() for text in texts]
)
def test_nonsense_is_refused_in_one_sentence(text: str, part: str) -> None:
    with pytest.raises(ValueError, match=re.escape(part)) as refusal:
        parse_length(text, None)
    assert_is_a_sentence(str(refusal.value))


def assert_is_a_sentence(message: str) -> None:
    assert message.startswith(("“", "A "))
    assert message.endswith(".")
    assert message.isprintable()
    subject, _, predicate = message.rpartition("”")
    assert len(subject.removeprefix("“")) <= 40
    assert ". " not in predicate
    assert len(message) < 160


def test_a_long_text_is_quoted_by_its_first_39_characters() -> None:
    with pytest.raises(ValueError, match=f"^“{'x' * 39}…” is too long"):
        parse_length("x" * 10_000)


typed_signs = st.text("0123456789 ./,-+'\"½¼⅛⁄′″cminftydeE²\u00a0<>&", max_size=24)


@given(st.one_of(st.text(max_size=100), typed_signs), st.sampled_from(["cm", "in", None]))
@example("1" * 80, "in")
def test_any_text_is_a_length_or_a_sentence(text: str, unit: units.Unit | None) -> None:
    try:
        length = parse_length(text, unit)
    except ValueError as refusal:
        assert_is_a_sentence(str(refusal))
    else:
        assert 0 <= length.mm <= 100_000


# --- Length ----------------------------------------------------------------------------------


def test_lengths_add_scale_compare_and_divide() -> None:
    hem, side = Length(20.0), Length(500.0)
    assert (side + hem, side - hem, -hem) == (Length(520.0), Length(480.0), Length(-20.0))
    assert (hem * 2, 2 * hem, side / 2) == (Length(40.0), Length(40.0), Length(250.0))
    assert (side / hem, hem < side) == (25.0, True)


def test_a_length_and_a_bare_number_do_not_add() -> None:
    hem = Length(20.0)
    for act, left, right in (
        (operator.add, hem, 1), (operator.add, 1, hem), (operator.sub, hem, 1),
        (operator.mul, hem, hem), (operator.truediv, 1, hem), (operator.lt, hem, 1),
    ):  # fmt: skip
        with pytest.raises(TypeError):
            act(left, right)


def test_the_examples_in_the_docstrings_hold() -> None:
    failed, attempted = doctest.testmod(units)
    assert failed == 0 < attempted
