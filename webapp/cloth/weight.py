"""The weight of an area of cloth: read as it is typed, shown in both units.

1 oz = 28.349523125 g exactly (international yard and pound agreement, 1 July 1959), 1 yd =
0.9144 m exactly.
"""

import re
from typing import Final, Literal

from webapp.units import System, parse_length

GRAMS_PER_OUNCE: Final = 28.349523125
SQUARE_METRES_PER_SQUARE_YARD: Final = 0.9144 * 0.9144
HEAVIEST_G_PER_M2: Final = 3000.0  # a felt; more is a slip of the pen

LIGHTEST_BARE: Final = 30.0  # a number without a unit is g/m² from here on: no cloth has as many oz

_GSM: Final = ("g/m2", "gsm", "gm2", "g")
_OUNCES: Final = ("oz/yd2", "oz")
_SPELLED: Final = (  # how a unit is written out, and what is read
    (r"gram(me)?s?\b", "g"),
    (r"ounces?\b", "oz"),
    (r"\bper\b", "/"),
    (r"\bsq(uare)?\.? ?(m|met(re|er)s?)\b", "m2"),
    (r"\bsq(uare)?\.? ?(yd|yards?)\b", "yd2"),
    (r"²", "2"),
    (r"[ .]", ""),
)
_HOW: Final = "type it like 185 g/m2 or 5.5 oz/yd2"
_NUMBER: Final = r"(?P<number>[\d.,/½¼¾⅓⅔⅛⅜⅝⅞ ]*\d?[\d½¼¾⅓⅔⅛⅜⅝⅞])"
_WEIGHT: Final = re.compile(rf"{_NUMBER}\s*(?P<unit>[a-z/²2. ]*)")


def read_weight(typed: str) -> float:
    """Grams per square metre of a weight as typed; a number from `LIGHTEST_BARE` on is in g/m².

    ValueError with a sentence for the maker when it cannot be read or is no cloth's.

    >>> read_weight("185 g/m²"), round(read_weight("5.5 oz/yd2"), 2)
    (185.0, 186.48)
    """
    said = f"“{' '.join(typed.split())[:40]}”" if typed.strip() else "A blank"
    match = _WEIGHT.fullmatch(typed.strip().lower())
    if match is None:
        raise ValueError(f"{said} cannot be read as a weight of cloth; {_HOW}.")
    number = _number(match["number"], said)
    unit = _unit(match["unit"])
    if unit in _GSM or (not unit and number >= LIGHTEST_BARE):
        weight = number
    elif unit in _OUNCES:
        weight = number * GRAMS_PER_OUNCE / SQUARE_METRES_PER_SQUARE_YARD
    elif unit:
        raise ValueError(f"{said} has a unit that is not a cloth's weight; {_HOW}.")
    else:
        raise ValueError(f"{said} has no unit; {_HOW}.")
    if not 0 < weight <= HEAVIEST_G_PER_M2:
        raise ValueError(f"{said} is no weight of cloth: {_HOW}.")
    return weight


def both_weights(g_per_m2: float, first: System) -> str:
    """The weight in both units, each rounded from the exact value.

    >>> both_weights(185, "cm")
    '185 g/m² (5.5 oz/yd²)'
    """
    ounces = g_per_m2 * SQUARE_METRES_PER_SQUARE_YARD / GRAMS_PER_OUNCE
    pair = (f"{g_per_m2:.0f} g/m²", f"{ounces:.1f} oz/yd²")
    one, other = pair if first == "cm" else pair[::-1]
    return f"{one} ({other})"


def _unit(typed: str) -> str:
    for written, read in _SPELLED:
        typed = re.sub(written, read, typed)
    return typed


def _number(typed: str, said: str) -> float:
    """A number as lengths are read: 5.5, 5,5, 5 1/2."""
    unit: Literal["mm"] = "mm"
    try:
        return parse_length(typed.strip(), unit).mm
    except ValueError:
        raise ValueError(f"{said} cannot be read as a weight of cloth; {_HOW}.") from None
