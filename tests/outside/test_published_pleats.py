"""Pleats, gathers and frills against published examples; each source stands beside its check."""

from typing import Any

import pytest

from tests.specimens import piece_of

INCH_MM = 25.4


def _let_in(width: str, by: str, how: str, count: int = 1) -> dict[str, float]:
    """A flat piece so wide, with so much cloth let in along its top."""
    rectangle: dict[str, Any] = {"kind": "rectangle", "width": width, "length": "40 cm"}
    fullness = {"kind": "fullness", "edge": "top", "how": how, "by": by, "count": count}
    return dict(piece_of(rectangle, fullness).figures_mm)


# NIMI (Government of India), Dress Making Trade Practical volume 2, page 204 (read):
# nimi.co.in/cits_ebooks/Dress_Making/Dress_Making_Trade_Practical_(Volume_2)/files/basic-html/
# page204.html
@pytest.mark.parametrize("count", [20, 10, 4])
def test_knife_pleats_that_abut_take_three_times_the_width_whatever_their_depth(count: int) -> None:
    """50 cm / 2.5 cm = 20 pleats; 50 x 3 = 150 cm."""
    figures = _let_in("50 cm", "100 cm", "knife pleats", count)
    assert figures["top drawn"] == pytest.approx(1500)
    assert figures["top"] == pytest.approx(500)
    assert figures["pleat depth"] == pytest.approx(500 / count), "as deep as they stand apart"


# The same page: box pleat, depth 12 cm: 12 x 2 = 24, x 2 = 48, + 60 = 108 cm.
def test_a_box_pleat_12_cm_deep_in_60_cm_takes_108_cm() -> None:
    figures = _let_in("60 cm", "4 * 12 cm", "box pleats")
    assert figures["top drawn"] == pytest.approx(1080)
    assert figures["pleat depth"] == pytest.approx(120)
    assert figures["hem"] == pytest.approx(1080)


# The same page, exercise: inverted pleat, depth 6.5 cm, 66 cm flat (question read); the answer by
# the rule for box pleats: 66 + 4 x 6.5 = 92 cm. An inverted pleat is a box pleat seen from inside.
def test_an_inverted_pleat_6_5_cm_deep_in_66_cm_takes_92_cm() -> None:
    figures = _let_in("66 cm", "4 * 6.5 cm", "box pleats")
    assert figures["top drawn"] == pytest.approx(920)
    assert figures["pleat depth"] == pytest.approx(65)


# The same volume, page 212 (read): frilled width 1.80 m x 3 = 5.40 m.
def test_a_frill_three_times_as_full_as_1_80_m_takes_5_40_m() -> None:
    figures = _let_in("1.80 m", "2 * 1.80 m", "gathers")
    assert figures["top drawn"] == pytest.approx(5400)
    assert figures["top"] == pytest.approx(1800)


# The same page, exercise 3 (question read): reduced "to 2/5", 1.60 m frilled; 1.60 / 0.4 = 4.00 m.
def test_a_strip_gathered_to_two_fifths_is_4_m_for_1_60_m() -> None:
    figures = _let_in("1.60 m", "1.60 m / 0.4 - 1.60 m", "gathers")
    assert figures["top drawn"] == pytest.approx(4000)
    assert figures["top"] / figures["top drawn"] == pytest.approx(2 / 5)


# 15 in x 2.5 = 37.5 in, without the inches added for its start and its seams (read):
# stitchcoach.blogspot.com/2017/01/how-to-estimate-ruffles-and-gathers.html
def test_a_ruffle_two_and_a_half_times_as_full_as_15_in_takes_37_5_in() -> None:
    figures = _let_in("15 in", "1.5 * 15 in", "gathers")
    assert figures["top drawn"] / INCH_MM == pytest.approx(37.5)


# Half material 44 in, half waist 14 in: 30 in to take up (read):
# A Complete Course in Dressmaking, volume 5, page 63, en.m.wikisource.org
def test_a_pleated_skirt_of_44_in_takes_up_30_in_for_a_half_waist_of_14_in() -> None:
    figures = _let_in("14 in", "44 in - 14 in", "knife pleats", 8)
    assert figures["top"] / INCH_MM == pytest.approx(14)
    assert figures["hem"] / INCH_MM == pytest.approx(44)
    assert figures["top added"] / INCH_MM == pytest.approx(30)
    assert figures["pleat depth"] / INCH_MM == pytest.approx(30 / 8 / 2)
