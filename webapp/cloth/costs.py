"""What things cost: prices as typed times what is bought, shown in their currency.

Babel knows the currencies and how they are written; it is imported when it is first needed.
"""

import re
from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from webapp.units import System, parse_length

_PRICE: Final = re.compile(r"\d{1,7}(\.\d{1,4})?")
_METRE_MM: Final = Decimal(1000)
_YARD_MM: Final = Decimal("914.4")
_CALLED: Final = {"m": "metre", "yd": "yard"}
# Offered on the page; every other ISO 4217 code can be typed.
_OFFERED: Final = ("EUR", "GBP", "USD", "AUD", "CAD", "CHF", "CZK", "DKK", "INR", "JPY", "NOK",
                   "NZD", "PLN", "SEK", "ZAR")  # fmt: skip


def read_price(typed: str) -> str:
    """A price as it is kept: digits and a full stop; empty stays empty.

    ValueError with a sentence for anything else.

    >>> read_price("12,5"), read_price("14")
    ('12.5', '14')
    """
    plain = typed.strip().replace(",", ".")
    if plain and not _PRICE.fullmatch(plain):
        raise ValueError("Write the price as a number, like 12.50, without a sign of the currency.")
    return plain


def read_currency(typed: str) -> str:
    """The ISO 4217 code of a currency, in capitals. ValueError with a sentence if there is none."""
    from babel.numbers import is_currency  # noqa: PLC0415

    code = typed.strip().upper()
    if not re.fullmatch("[A-Z]{3}", code) or not is_currency(code, "en"):
        raise ValueError("Write a currency by its three letters, like EUR, GBP or USD.")
    return code


def offered_currencies() -> tuple[tuple[str, str], ...]:
    """Currencies to choose from, each with its name."""
    from babel.numbers import get_currency_name  # noqa: PLC0415

    return tuple((code, get_currency_name(code, locale="en")) for code in _OFFERED)


def cost_of_length(price: str, per: str, bought: str, currency: str) -> Decimal:
    """The cost of a length as bought (`1.6 m`, `1 3/4 yd`) at a price per `m` or `yd`."""
    unit_mm = _METRE_MM if per == "m" else _YARD_MM
    return in_coins(
        Decimal(price) * Decimal(str(parse_length(bought, None).mm)) / unit_mm, currency
    )


def cost_of_pieces(price: str, count: int, currency: str) -> Decimal:
    """The cost of so many at the price of one."""
    return in_coins(Decimal(price) * count, currency)


def in_coins(amount: Decimal, currency: str) -> Decimal:
    """An amount to the smallest coin of its currency, half of it away from zero."""
    from babel.numbers import get_currency_precision  # noqa: PLC0415

    return amount.quantize(Decimal(1).scaleb(-get_currency_precision(currency)), ROUND_HALF_UP)


def total_of(costs: Iterable[Decimal]) -> Decimal:
    """The sum of costs as they are shown, so that it is true as printed."""
    return sum(costs, Decimal(0))


def price_by_length(price: str, per: str, currency: str, first: System) -> str:
    """The price of an `m` or `yd`, also by hers where that is the other: `€24.00 a metre`.

    What is worked out is of the exact price, to the smallest coin, and stands first:
    `€21.95 a yard (€24.00 a metre)`.
    """
    typed = f"{shown(in_coins(Decimal(price), currency), currency)} a {_CALLED[per]}"
    other = "m" if first == "cm" else "yd"
    if per == other:
        return typed
    hers = cost_of_length(price, per, f"1 {other}", currency)
    return f"{shown(hers, currency)} a {_CALLED[other]} ({typed})"


def shown(amount: Decimal, currency: str) -> str:
    """An amount with its currency, as English writes it: `€12.50`."""
    from babel.numbers import format_currency  # noqa: PLC0415

    return str(format_currency(amount, currency, locale="en"))
