"""Sentences show their lengths in both units, and sums that are true as printed."""

import re
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from webapp.draft.words import Sentence
from webapp.units import System

WIDTHS = st.floats(1, 1500)
SYSTEMS = st.sampled_from(("cm", "in"))


def _figures(words: str) -> dict[str, Fraction]:
    """`6.2 cm (2 3/8 in)` as a number for each unit."""
    found = re.findall(r"([\d./ ]*[\d]) (cm|in)\b", words)
    return {unit: sum(map(Fraction, number.split()), Fraction()) for number, unit in found}


def test_a_length_is_shown_in_both_units_the_first_one_first() -> None:
    words = Sentence("Mark {depth} down.", {"depth": 75.0})
    assert words.show("cm") == "Mark 7.5 cm (3 in) down."
    assert words.show("in") == "Mark 3 in (7.5 cm) down."


def test_twice_a_width_is_twice_what_is_printed() -> None:
    """24 mm is shown as 15/16 in, twice which is 1 7/8; 62 mm alone would be shown as 6 cm."""
    for width, shown in ((31.0, "6.2 cm (2 1/2 in)"), (24.0, "4.8 cm (1 7/8 in)")):
        assert Sentence("{2 * width}", {"width": width}).show("cm") == shown
    assert Sentence("{flat}", {"flat": 62.0}).show("cm") == "6 cm (2 1/2 in)"


@given(WIDTHS, SYSTEMS)
def test_the_printed_double_is_always_exactly_twice_in_each_unit(mm: float, first: System) -> None:
    one = _figures(Sentence("{width}", {"width": mm}).show(first))
    double = _figures(Sentence("{2 * width}", {"width": mm}).show(first))
    assert double == {unit: 2 * number for unit, number in one.items()}
    assert list(double) == [first, "in" if first == "cm" else "cm"]
