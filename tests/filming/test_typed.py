"""Measurements typed in one unit: their exact length, both units, the figures they may be."""

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.filming import typed
from webapp.filming.figures import single_unit_measurements
from webapp.filming.typed import TypedLength, matches, typed_lengths
from webapp.units import System, both_called

# The international inch is 25.4 mm, the yard 36 of them (agreement of 1 July 1959). By hand:
# what is typed, exact mm, the other unit rounded from that by the house's steps; below the line
# the trade's pairs, which test_units checks against its sources.
READ = [
    ("12 in", 304.8, "30.5 cm"),  # 30.48 cm, to the nearest 0.5
    ("12-inch", 304.8, "30.5 cm"),
    ("28½ in", 723.9, "72.5 cm"),  # 72.39
    ('28 1/2"', 723.9, "72.5 cm"),
    ("28 1/2″", 723.9, "72.5 cm"),
    ("1 yd 4 in", 1016.0, "101.5 cm"),  # 40 in, 101.6
    ("3 feet", 914.4, "91.5 cm"),  # 91.44
    ("2 1/4 yd", 2057.4, "205.5 cm"),  # 81 in, 205.74
    ("30 cm", 300.0, "11 3/4 in"),  # 11.81, to the nearest 1/8
    ("72,5 cm", 725.0, "28 1/2 in"),  # 28.54
    ("0.8 m", 800.0, "31 1/2 in"),  # 31.496
    ("11 cm", 110.0, "4 5/16 in"),  # 4.331, cut to: to the nearest 1/16
    # pairs
    ("5/8 in", 15.875, "1.5 cm"),
    ("1.5 cm", 15.0, "5/8 in"),
    ("15 mm", 15.0, "5/8 in"),
    ("3/4 in", 19.05, "2 cm"),
    ("5 cm", 50.0, "2 in"),
]
SEVERAL = [
    ("5-6 in", "12.7–15 cm"),  # 12.70 and 15.24
    ("1 to 2 in", "2.5 to 5 cm"),
    ("30 cm × 72.5 cm", "11 3/4 in × 28 1/2 in"),
    ("30 cm by 1 m", "11 3/4 in by 39 3/8 in"),  # 39.37
]


@pytest.mark.parametrize(("text", "mm", "other"), READ)
def test_one_length_is_read_exactly_and_told_in_the_other_unit(
    text: str, mm: float, other: str
) -> None:
    before, behind = "Mark ", ", then press."
    (length,) = typed_lengths(f"{before}{text}{behind}")
    assert (length.text, length.other) == (text, other)
    assert length.mm == pytest.approx(mm, abs=1e-9)
    assert (length.start, length.end) == (len(before), len(before) + len(text))
    assert length.in_both(length.unit) == f"{text} ({other})"
    assert length.in_both("in" if length.unit == "cm" else "cm") == f"{other} ({text})"


@pytest.mark.parametrize(("text", "other"), SEVERAL)
def test_a_range_or_two_lengths_are_no_single_one_and_have_both_units(
    text: str, other: str
) -> None:
    (length,) = typed_lengths(f"Mark {text}.")
    assert (length.text, length.mm, length.other) == (text, None, other)
    assert matches(length, {"front.hem": 304.8}) == ()
    assert single_unit_measurements(f"Mark {length.in_both('in')}.") == ()


@pytest.mark.parametrize("text", ["1,500 mm", "1/0 in", "900 m"])
def test_what_cannot_be_read_as_a_length_is_not_converted(text: str) -> None:
    (length,) = typed_lengths(f"Cut {text}.")
    assert (length.mm, length.in_both("cm"), matches(length, {"hem": 1.5})) == (None, "", ())


def test_live_figures_and_pairs_are_left_alone() -> None:
    assert typed_lengths("Turn 1.5 cm (5/8 in) up, match {Front.hem}.") == ()


def _typed(text: str) -> TypedLength:
    (length,) = typed_lengths(f"Cut {text}.")
    return length


def test_the_figures_shown_so_come_first_then_the_nearest() -> None:
    figures_mm = {"front.hem": 304.9, "hem width": 304.8, "back.hem": 306.0, "cowl.top": 303.3,
                  "far": 309.0}  # fmt: skip
    # 12 in is 304.8 mm: 306.0 is 12.05 in, shown 12 in; 303.3 is 11.94 in, shown 12 in.
    assert matches(_typed("12 in"), figures_mm) == (
        "front.hem",
        "back.hem",
        "cowl.top",
        "hem width",
    )
    assert matches(_typed("12 in"), figures_mm, own=("back.",))[0] == "back.hem"
    # 30.5 cm is 305 mm; 309.0 mm is shown 31 cm and lies more than 2.5 mm off.
    assert set(matches(_typed("30.5 cm"), figures_mm)) == {*figures_mm} - {"far"}
    assert matches(_typed("40 cm"), figures_mm) == ()


def test_an_allowance_is_met_by_either_figure_of_its_pair() -> None:
    figures_mm = {"seam allowance": 15.0}
    assert matches(_typed("5/8 in"), figures_mm) == ("seam allowance",)
    assert matches(_typed("1.5 cm"), figures_mm) == ("seam allowance",)
    assert matches(_typed("1/2 in"), figures_mm) == ()


NAMES = st.sampled_from(["front.hem", "bust", "hem allowance", "front.turn under", "neck.radius",
                         "front.notch at", "body ease"])  # fmt: skip
UNITS = st.sampled_from(["in", "cm"])


@given(NAMES, st.floats(0.6, 20_000), UNITS, st.booleans())
def test_a_figure_typed_as_it_is_shown_is_offered(
    name: str, mm: float, unit: System, broken: bool
) -> None:
    """In either unit and for every way of showing; `broken` puts it amid other words."""
    shown = both_called(name, mm, unit).partition(" (")[0]
    text = f"Mark {shown} from the edge, then press." if broken else f"It comes to {shown}"
    (length,) = typed_lengths(text)
    assert name in matches(length, {name: mm, "other": mm + 400})
    assert "other" not in matches(length, {name: mm, "other": mm + 400})


@given(st.floats(0.6, 20_000), UNITS, UNITS)
def test_both_units_keep_what_was_typed_and_leave_nothing_in_one_unit(
    mm: float, unit: System, first: System
) -> None:
    shown = both_called("", mm, unit).partition(" (")[0]
    text = f"Mark {shown} from the edge, then press."
    (length,) = typed_lengths(text)
    told = length.replaced(text, length.in_both(first))
    assert shown in told
    assert single_unit_measurements(told) == ()
    # The other unit is that of the length as typed, not of the figure it may come from.
    other = next(one for one in typed_lengths(f"Mark {length.other}.") if one.unit != unit)
    assert length.mm is not None and other.mm is not None
    assert abs(other.mm - length.mm) <= 2.5 + 1e-6  # half a centimetre's rounding at the most


def test_the_examples_in_the_docstrings_hold() -> None:
    failed, attempted = doctest.testmod(typed)
    assert failed == 0 < attempted
