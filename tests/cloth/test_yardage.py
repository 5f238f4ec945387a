"""The length to buy: the lay, squared up, before the cloth shrinks."""

import pytest

from webapp.cloth.lay import Cloth, Lay, LayPiece, first_lay
from webapp.cloth.yardage import SQUARING_MM, Purchase, to_buy


def lay_of(lay_mm: float, shrinks: float) -> Lay:
    piece = LayPiece("Panel", [(0, 0), (500, 0), (500, lay_mm), (0, lay_mm)], 1)
    return first_lay([piece], Cloth(1400, shrink_length=shrinks))


def bought(lay_mm: float, shrinks: float) -> Purchase:
    return to_buy(lay_of(lay_mm, shrinks))


def test_shrinkage_divides_what_is_needed() -> None:
    """2 m of cloth that shrinks by 5 % is 2 / 0.95 = 2.105 m before, not 2.10 m."""
    purchase = bought(2000 - SQUARING_MM, 0.05)
    assert purchase.total_mm == pytest.approx(2105.263, abs=1e-3)
    assert purchase.shrinkage_mm == pytest.approx(105.263, abs=1e-3)
    assert purchase.lay_mm + purchase.squaring_mm == pytest.approx(2000)


def test_what_is_bought_is_long_enough_after_the_wash() -> None:
    """Shrinkage is (before - after) / before; 20 to 17 is 15 % (kembrel.com, read)."""
    purchase = bought(1700 - SQUARING_MM, 0.15)
    assert purchase.total_mm * (1 - 0.15) == pytest.approx(1700)
    assert purchase.total_mm == pytest.approx(2000)


@pytest.mark.parametrize(
    ("lay_mm", "yards", "metres"),
    [
        (912 - SQUARING_MM, "1 yd", "1 m"),  # 0.912 m, 0.997 yd
        (1000 - SQUARING_MM, "1 1/8 yd", "1 m"),  # 1.0936 yd
        (1160, "1 3/8 yd", "1.2 m"),  # 1.18 m, 1.290 yd
        (2282 - SQUARING_MM, "2 1/2 yd", "2.3 m"),  # 2.4956 yd
    ],
)
def test_each_unit_is_rounded_up_from_the_exact_length(
    lay_mm: float, yards: str, metres: str
) -> None:
    purchase = bought(lay_mm, 0.0)
    assert (purchase.yards, purchase.metres) == (yards, metres)
    assert purchase.shrinkage_mm == 0


def test_what_is_bought_covers_the_sum_as_printed_in_each_unit_by_itself() -> None:
    """35 1/4 + 13/16 in is 36 1/16 in, over a yard; 108 + 2 + 10.5 cm is 120.5 cm, over 1.2 m."""
    yard = bought(914.4 - SQUARING_MM, 0.0)
    assert yard.total_mm == pytest.approx(914.4)
    assert (yard.yards, yard.metres) == ("1 1/8 yd", "1 m")
    metric = Purchase(1077.5, 0.0, 20.0, 102.5, 1200.0)
    assert (metric.yards, metric.metres) == ("1 3/8 yd", "1.3 m")


def test_a_printed_sum_below_the_exact_total_changes_nothing() -> None:
    """198.24 + 2 cm print as 198 + 2 cm, 2 m; the exact 200.24 cm are bought."""
    assert Purchase(1982.4, 0.0, 20.0, 0.0, 2002.4).metres == "2.1 m"


def test_each_line_of_the_sum_is_its_own_and_all_of_them_shrink() -> None:
    """1500 + 300 + 100 mm are left of 2000 mm that shrink by 5 %."""
    purchase = to_buy(lay_of(1500, 0.05), squaring_mm=100, spare_mm=300)
    assert purchase.parts_mm == pytest.approx((1500, 300, 100, 100))
    assert purchase.total_mm == pytest.approx(2000) == pytest.approx(sum(purchase.parts_mm))


def test_a_printed_spare_counts_in_what_is_bought() -> None:
    """As above: 108 + 10.5 + 2 cm as printed are over the exact 1.2 m."""
    assert Purchase(1077.5, 102.5, 20.0, 0.0, 1200.0).metres == "1.3 m"
    assert Purchase(1080.0, 100.0, 20.0, 0.0, 1200.0).metres == "1.2 m"


@pytest.mark.parametrize(("squaring_mm", "spare_mm"), [(-1, 0), (0, -1)])
def test_neither_squaring_up_nor_the_spare_can_be_less_than_nothing(
    squaring_mm: float, spare_mm: float
) -> None:
    with pytest.raises(ValueError, match="less than zero"):
        to_buy(lay_of(500, 0.0), squaring_mm=squaring_mm, spare_mm=spare_mm)
