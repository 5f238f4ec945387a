"""Costs: prices as typed times what is bought, to the smallest coin."""

from decimal import Decimal

import pytest

from webapp.cloth.costs import (
    cost_of_length,
    cost_of_pieces,
    offered_currencies,
    price_by_length,
    read_currency,
    read_price,
    shown,
    total_of,
)


def test_a_length_is_paid_as_it_is_bought_in_the_unit_of_its_price() -> None:
    assert cost_of_length("12.50", "m", "1.6 m", "EUR") == Decimal("20.00")
    assert cost_of_length("14.90", "yd", "1 3/4 yd", "GBP") == Decimal("26.08")  # 26.075


def test_so_many_cost_so_many_times_the_price_of_one() -> None:
    assert cost_of_pieces("0.35", 7, "EUR") == Decimal("2.45")


def test_a_currency_without_small_coins_has_none() -> None:
    """ISO 4217 gives the yen no minor unit."""
    assert cost_of_length("990", "m", "1.3 m", "JPY") == Decimal(1287)
    assert shown(Decimal(1287), "JPY") == "¥1,287"


def test_amounts_are_shown_with_their_currency() -> None:
    assert shown(Decimal("12.5"), "EUR") == "€12.50"
    assert shown(Decimal("12.5"), "USD") == "$12.50"


def test_the_total_is_that_of_the_costs_as_shown() -> None:
    third = cost_of_length("1", "m", "0.333 m", "EUR")
    assert total_of([third] * 3) == Decimal("0.99")


@pytest.mark.parametrize(
    ("typed", "kept"), [("", ""), ("14", "14"), ("12.50", "12.50"), ("12,5", "12.5")]
)
def test_a_price_is_read_with_either_decimal_sign(typed: str, kept: str) -> None:
    assert read_price(typed) == kept


@pytest.mark.parametrize("typed", ["€12", "12.", "-3", "1,234.50", "a lot", "1e5", "12345678"])
def test_what_is_no_price_is_refused(typed: str) -> None:
    with pytest.raises(ValueError, match="Write the price as a number"):
        read_price(typed)


def test_a_currency_is_an_iso_4217_code() -> None:
    assert read_currency(" gbp ") == "GBP"
    for typed in ("", "euro", "EU", "QQQ", "€", "12A"):
        with pytest.raises(ValueError, match="three letters"):
            read_currency(typed)


def test_every_currency_offered_can_be_chosen() -> None:
    assert [read_currency(code) for code, _ in offered_currencies()] == [
        code for code, _ in offered_currencies()
    ]
    assert dict(offered_currencies())["EUR"] == "Euro"


def test_a_price_is_told_for_her_length_too_worked_out_from_the_exact_one() -> None:
    """A yard is 0.9144 m exactly (international yard and pound, 1959): 24 x 0.9144 = 21.9456."""
    assert price_by_length("24", "m", "EUR", "cm") == "€24.00 a metre"
    assert price_by_length("24", "m", "EUR", "in") == "€21.95 a yard (€24.00 a metre)"
    assert price_by_length("24", "yd", "USD", "in") == "$24.00 a yard"
    # 24 / 0.9144 = 26.2467; from the price to the coin, not from one that was rounded before.
    assert price_by_length("24", "yd", "USD", "cm") == "$26.25 a metre ($24.00 a yard)"
    assert price_by_length("12.3456", "m", "EUR", "in") == "€11.29 a yard (€12.35 a metre)"
