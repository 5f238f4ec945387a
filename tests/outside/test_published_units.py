"""Lengths against standards and published conversions; each source stands beside its check."""

from webapp import units
from webapp.units import centimetres, parse_length


def test_yard_and_inch_are_those_of_the_1959_agreement() -> None:
    """International yard and pound agreement, Fed. Reg. 1 July 1959: 0.9144 m, so 25.4 mm."""
    assert parse_length("1 yd").mm == 914.4
    assert parse_length("1 in").mm == units.MM_PER_INCH == 25.4


def test_rounding_agrees_with_nist_lc_1137() -> None:
    """NIST style guide LC 1137, as quoted: 36 in is 91 cm, 40.1 in is 101.9 cm."""
    assert centimetres(parse_length("36 in").mm, 1) == "91 cm"
    assert centimetres(parse_length("40.1 in").mm, 0.1) == "101.9 cm"


def test_conversion_agrees_with_nist_sp_811() -> None:
    """NIST SP 811, B.7.2: 36 ft is 10.9728 m exactly."""
    assert parse_length("36 ft").mm == 10_972.8


def test_paper_sizes_agree_with_their_standards() -> None:
    """ISO 216 A4 is 210 x 297 mm; Letter is 8 1/2 x 11 in, published as 215.9 x 279.4 mm.

    The same page: A4 is 6 mm narrower and 18 mm longer than Letter, to the millimetre.
    """
    width, height = parse_length("8 1/2 in"), parse_length("11 in")
    assert (width.mm, height.mm) == (215.9, 279.4)
    assert round((width - parse_length("210 mm")).mm) == 6
    assert round((parse_length("29.7 cm") - height).mm) == 18


def test_published_ease_converts_as_printed() -> None:
    """Ease of semi-fitted and loose dresses, lovesewing.com/magazine/?p=3873."""
    for inch, cm in (("3 in", "7.62"), ("4 in", "10.16"), ("5 in", "12.7"), ("8 in", "20.32")):
        assert centimetres(parse_length(inch).mm, 0.01) == f"{cm} cm"


def test_yardage_agrees_with_published_worked_examples() -> None:
    # virginiassewblesseddaughter.blogspot.com/2014/02, from a worked area: 54 in is 1 1/2 yd
    # quiltersquestiontime.com, bias binding: 19 in is 0.52 yd, so 5/8 is the next eighth
    assert units.yards_to_buy(parse_length("54 in").mm) == "1 1/2 yd"
    assert units.yards_to_buy(parse_length("19 in").mm) == "5/8 yd"
