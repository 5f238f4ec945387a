"""Lengths as shown: rounded from the exact value in each unit, paired, bought and added up."""

import math
import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp import units
from webapp.units import centimetres, inches, parse_length, shown_centimetres, shown_inches

lengths_mm = st.floats(min_value=-50_000, max_value=50_000)
inch_steps = st.sampled_from([1, 0.5, 1 / 4, 1 / 8, 1 / 16, 1 / 32])
FLOAT_MM = 1e-8  # far below any step, above what floats of this size lose

INCHES = {  # 1/16 in, 1.5875 mm, is half-way; 3 x 25.4 is 76.19999999999999 as a float
    723.9: "28 1/2 in", -12.7: "-1/2 in", -38.1: "-1 1/2 in", 0.0: "0 in", 1.5: "0 in",
    -1.5: "0 in", 1.5875: "1/8 in", -1.5875: "-1/8 in", 3 * 25.4: "3 in", 26.9875: "1 1/8 in",
}  # fmt: skip
CENTIMETRES = {  # 722.5 mm is half-way between 72 and 72.5 cm
    725.0: "72.5 cm", 723.9: "72.5 cm", 730.0: "73 cm", 100.0: "10 cm", 0.0: "0 cm",
    2.4: "0 cm", -2.4: "0 cm", 722.5: "72.5 cm", -722.5: "-72.5 cm",
}  # fmt: skip


@pytest.mark.parametrize(("mm", "text"), INCHES.items())
def test_inches_are_mixed_numbers_rounded_half_up(mm: float, text: str) -> None:
    assert inches(mm) == text


@pytest.mark.parametrize(("mm", "text"), CENTIMETRES.items())
def test_centimetres_have_no_trailing_nought_and_are_rounded_half_up(mm: float, text: str) -> None:
    assert centimetres(mm) == text


@given(lengths_mm, inch_steps)
def test_inches_read_back_within_half_a_step(mm: float, step: float) -> None:
    read = parse_length(inches(mm, step), None, may_be_negative=True).mm
    assert abs(read - mm) <= step * 25.4 / 2 + FLOAT_MM


@given(lengths_mm, st.sampled_from([1, 0.5, 0.1, 0.05]))
def test_centimetres_read_back_within_half_a_step(mm: float, step: float) -> None:
    read = parse_length(centimetres(mm, step), None, may_be_negative=True).mm
    assert abs(read - mm) <= step * 10 / 2 + FLOAT_MM


@given(st.integers(0, 20_000), st.sampled_from([2, 4, 8, 16]))
def test_a_whole_step_is_exact_and_half_a_step_goes_away_from_zero(count: int, parts: int) -> None:
    step_mm = 25.4 / parts
    assert figure(inches(count * step_mm, 1 / parts)) == Fraction(count, parts)
    assert figure(inches((count + 0.5) * step_mm, 1 / parts)) == Fraction(count + 1, parts)
    assert figure(inches((count + 0.5) * -step_mm, 1 / parts)) == -Fraction(count + 1, parts)


@given(lengths_mm, inch_steps)
def test_fractions_are_in_lowest_terms(mm: float, step: float) -> None:
    shown = re.fullmatch(r"-?(?:\d+|(?:[1-9]\d* )?(\d+)/(\d+)) in", inches(mm, step))
    assert shown
    if shown[1]:
        assert 0 < int(shown[1]) < int(shown[2])
        assert math.gcd(int(shown[1]), int(shown[2])) == 1


def figure(shown: str) -> Fraction:
    """The number printed in front of the unit, read without the code under test."""
    number = shown.rsplit(" ", 1)[0]
    total = sum((Fraction(word) for word in number.lstrip("-").split()), Fraction())
    return -total if number.startswith("-") else total


@pytest.mark.parametrize(
    ("mm", "inch", "cm"),
    [
        (50.0, "1 15/16 in", "5 cm"),  # the border itself: 31.496 sixteenths
        (50.00000000001, "1 15/16 in", "5 cm"),  # what a float adds does not count
        (50.1, "2 in", "5 cm"), (53.0, "2 1/8 in", "5.5 cm"), (723.9, "28 1/2 in", "72.5 cm"),
        (49.9, "1 15/16 in", "5 cm"), (14.2, "9/16 in", "1.4 cm"), (-14.2, "-9/16 in", "-1.4 cm"),
    ],
)  # fmt: skip
def test_lengths_up_to_5_cm_are_shown_in_finer_steps(mm: float, inch: str, cm: str) -> None:
    assert (shown_inches(mm), shown_centimetres(mm)) == (inch, cm)


@given(st.floats(min_value=0, max_value=5_000))
def test_each_unit_is_rounded_from_the_exact_length(mm: float) -> None:
    """Neither shown figure is further from the exact length than half of its own step."""
    inch_step, cm_step = (1 / 16, 0.1) if mm <= 50 else (1 / 8, 0.5)
    assert abs(float(figure(shown_inches(mm))) * 25.4 - mm) <= inch_step * 25.4 / 2 + FLOAT_MM
    assert abs(float(figure(shown_centimetres(mm))) * 10 - mm) <= cm_step * 10 / 2 + FLOAT_MM


def test_a_figure_is_never_rounded_from_the_other_unit() -> None:
    assert units.both(727.0) == "28 5/8 in (72.5 cm)"
    assert inches(725.0) == "28 1/2 in"  # what 72.5 cm would have said
    assert units.both(732.0) == "28 7/8 in (73 cm)"
    assert centimetres(28.875 * 25.4) == "73.5 cm"  # what 28 7/8 in would have said


def test_the_first_unit_of_the_two_is_chosen() -> None:
    assert units.both(723.9) == units.both(723.9, "in") == "28 1/2 in (72.5 cm)"
    assert units.both(723.9, "cm") == "72.5 cm (28 1/2 in)"


@pytest.mark.parametrize("mm", [math.nan, math.inf, -math.inf])
def test_a_length_that_is_no_number_or_a_step_of_nought_is_refused(mm: float) -> None:
    for show in (inches, centimetres, units.both, units.yards_to_buy, units.metres_to_buy):
        with pytest.raises(ValueError, match="finite"):
            show(mm)
    with pytest.raises(ValueError, match="more than zero"):
        inches(10.0, step=0.0)


# --- Allowances, in the trade's pairs --------------------------------------------------------

PUBLISHED_PAIRS = [
    ("1/8 in", "0.3 cm"),  # this and the next two: wikisum.wiki/wiki/French_seam (read)
    ("1/4 in", "0.6 cm"),
    ("1/2 in", "1.3 cm"),
    ("5/8 in", "1.5 cm"),  # en.wikipedia.org/wiki/Seam_allowance (read)
]
COMMON_PAIRS = [  # common practice, no source: home patterns, from memory
    ("3/8 in", "1 cm"), ("3/4 in", "2 cm"), ("1 in", "2.5 cm"), ("1 1/4 in", "3.2 cm"),
    ("1 1/2 in", "3.8 cm"), ("2 in", "5 cm"), ("3 in", "7.5 cm"),
]  # fmt: skip
PAIRS = PUBLISHED_PAIRS + COMMON_PAIRS


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("off_mm", [-0.3, 0.0, 0.3])
def test_an_allowance_near_either_figure_of_a_pair_shows_the_pair(
    pair: tuple[str, str], off_mm: float
) -> None:
    for member in pair:
        assert units.allowance_pair(parse_length(member).mm + off_mm) == pair


@pytest.mark.parametrize("pair", PAIRS)
def test_both_figures_of_a_pair_are_the_same_length_for_sewing(pair: tuple[str, str]) -> None:
    """Within 6 %, by the exact inch: the widest is 5/8 in (15.875 mm) with 1.5 cm."""
    inch, cm = (parse_length(member).mm for member in pair)
    assert abs(inch - cm) / inch < 0.06


@given(st.floats(min_value=0, max_value=100))
def test_an_allowance_shows_the_nearest_pair_or_its_own_figures(mm: float) -> None:
    distance, pair = min(
        (abs(parse_length(member).mm - mm), pair) for pair in PAIRS for member in pair
    )
    if abs(distance - 0.3) > FLOAT_MM:  # which side of the tolerance is the next test's
        own = (inches(mm, 1 / 16), centimetres(mm, 0.1))
        assert units.allowance_pair(mm) == (pair if distance < 0.3 else own)


@pytest.mark.parametrize(
    ("mm", "shown"),
    [
        (15.3, "5/8 in (1.5 cm)"),  # 0.3 from 1.5 cm
        (15.4, "5/8 in (1.5 cm)"),  # near neither figure: 9.7 sixteenths, 1.54 cm
        (15.55, "5/8 in (1.6 cm)"),  # near neither figure: 9.8 sixteenths, 1.555 cm
        (15.6, "5/8 in (1.5 cm)"),  # 0.275 from 5/8 in
        (11.0, "7/16 in (1.1 cm)"),
        (0.0, "0 in (0 cm)"),
    ],
)
def test_an_allowance_is_paired_only_within_0_3_mm(mm: float, shown: str) -> None:
    assert units.both(mm, allowance=True) == shown


@given(st.floats(min_value=80, max_value=300))
def test_an_allowance_without_a_pair_is_shown_as_any_length_that_is_cut(mm: float) -> None:
    for first in ("in", "cm"):
        assert units.both_called("hem allowance", mm, first) == units.both_as_cut(mm, first)


def test_only_allowances_are_paired() -> None:
    assert units.both(15.875) == "5/8 in (1.6 cm)"
    assert units.both(15.875, "cm", allowance=True) == "1.5 cm (5/8 in)"


# --- Buying and adding up --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mm", "yards", "metres"),
    [
        (0.0, "0 yd", "0 m"), (0.1, "1/8 yd", "0.1 m"), (914.4, "1 yd", "1 m"),
        (2171.7, "2 3/8 yd", "2.2 m"), (2171.7 + 5e-7, "2 3/8 yd", "2.2 m"),
        (2171.8, "2 1/2 yd", "2.2 m"), (2200.0, "2 1/2 yd", "2.2 m"),
        (2200.0 + 5e-7, "2 1/2 yd", "2.2 m"), (2200.01, "2 1/2 yd", "2.3 m"),
    ],
)  # fmt: skip
def test_cloth_is_bought_up_to_the_next_cut(mm: float, yards: str, metres: str) -> None:
    assert (units.yards_to_buy(mm), units.metres_to_buy(mm)) == (yards, metres)


@given(st.floats(min_value=0, max_value=50_000))
def test_bought_cloth_is_enough_and_less_than_a_cut_too_much(mm: float) -> None:
    for buy, cut_mm in ((units.yards_to_buy, 114.3), (units.metres_to_buy, 100.0)):
        spare_mm = parse_length(buy(mm), None).mm - mm
        assert -1.1e-6 <= spare_mm < cut_mm


def test_less_than_no_cloth_cannot_be_bought() -> None:
    for buy in (units.yards_to_buy, units.metres_to_buy):
        with pytest.raises(ValueError, match="cannot be less than zero"):
            buy(-1.0)


@given(st.lists(lengths_mm, max_size=8), st.sampled_from(["in", "cm"]))
def test_a_sum_is_true_as_printed(parts_mm: list[float], unit: units.System) -> None:
    parts, total = units.sum_as_printed(parts_mm, unit)
    show = shown_inches if unit == "in" else shown_centimetres
    assert parts == [show(mm) for mm in parts_mm]
    assert figure(total) == sum(map(figure, parts))
    assert total.endswith(f" {unit}")


def test_a_sum_may_differ_from_the_rounded_exact_total() -> None:
    """102.4 + 102.4 = 204.8 mm is 20.5 cm, but 10 + 10 printed above it make 20."""
    assert units.sum_as_printed([102.4, 102.4], "cm") == (["10 cm", "10 cm"], "20 cm")
    assert shown_centimetres(204.8) == "20.5 cm"
    assert units.sum_as_printed([14.2, 723.9], "in") == (["9/16 in", "28 1/2 in"], "29 1/16 in")
    assert units.sum_as_printed([], "in") == ([], "0 in")


def test_a_printed_sum_in_millimetres_is_the_figure_that_is_printed() -> None:
    """20 cm; 29 1/16 in × 25.4."""
    assert units.printed_sum_mm([102.4, 102.4], "cm") == 200
    assert units.printed_sum_mm([14.2, 723.9], "in") == pytest.approx(29.0625 * 25.4)
    assert units.printed_sum_mm([], "cm") == 0
