"""Lengths: read as people type them, kept in exact millimetres, shown in inches and centimetres.

Every shown figure is rounded from the exact length in its own unit, never from the other unit.
"""

import math
import operator
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Literal, overload

Unit = Literal["mm", "cm", "m", "in", "ft", "yd"]
System = Literal["in", "cm"]

MM_PER_INCH = 25.4  # exact: 1 yd = 0.9144 m, international yard and pound agreement, 1 July 1959
STRIP_MM = 150.0  # what is drawn, cut or sewn to is shown in the finer steps up to this length
SMALL_MM = 50.0  # lengths up to and including this one are shown in the finer steps
LONGEST_TEXT, LONGEST_QUOTE, LONGEST_MM = 80, 40, 100_000
ALLOWANCE_TOLERANCE_MM = Fraction("0.3")
BUYING_TOLERANCE_MM = Fraction("1e-6")

_NOISE_DECIMALS = 9  # digits of a millimetre; what a float holds beyond them is arithmetic noise
_INCH_MM = Fraction(str(MM_PER_INCH))
_UNIT_MM = {
    word: size
    for size, words in (
        (Fraction(1), "mm mms millimetre millimetres millimeter millimeters"),
        (Fraction(10), "cm cms centimetre centimetres centimeter centimeters"),
        (Fraction(1000), "m metre metres meter meters"),
        (_INCH_MM, '" in ins inch inches'),
        (12 * _INCH_MM, "' ft foot feet"),
        (36 * _INCH_MM, "yd yds yard yards"),
    )
    for word in words.split()
}

# The trade's paired figures in inches and centimetres. Published: 1/8, 1/4, 1/2 and 5/8 in;
# the others are common practice on home patterns, from memory.
_ALLOWANCE_PAIRS = [
    (Fraction(inch), Fraction(cm))
    for inch, cm in zip(
        ["1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "1", "5/4", "3/2", "2", "3"],
        ["0.3", "0.6", "1", "1.3", "1.5", "2", "2.5", "3.2", "3.8", "5", "7.5"],
        strict=True,
    )
]


@dataclass(frozen=True, order=True)
class Length:
    """A length in millimetres, with the arithmetic that keeps it a length."""

    mm: float

    def __add__(self, other: "Length") -> "Length":
        return Length(self.mm + other.mm) if isinstance(other, Length) else NotImplemented

    def __sub__(self, other: "Length") -> "Length":
        return Length(self.mm - other.mm) if isinstance(other, Length) else NotImplemented

    def __neg__(self) -> "Length":
        return Length(-self.mm)

    def __mul__(self, factor: float) -> "Length":
        return Length(self.mm * factor) if isinstance(factor, (int, float)) else NotImplemented

    __rmul__ = __mul__

    @overload
    def __truediv__(self, divisor: "Length") -> float: ...
    @overload
    def __truediv__(self, divisor: float) -> "Length": ...
    def __truediv__(self, divisor: "Length | float") -> "Length | float":
        if isinstance(divisor, Length):
            return self.mm / divisor.mm
        return Length(self.mm / divisor) if isinstance(divisor, (int, float)) else NotImplemented


# --- Reading ---------------------------------------------------------------------------------

_HOW_TO_TYPE = "type a number and a unit, such as 28 1/2 in or 72.5 cm"
_SPELLED_OUT = {"<compat>", "<fraction>", "<narrow>", "<noBreak>", "<square>", "<wide>"}
PLAIN_SIGNS = str.maketrans(  # as a phone or a word processor writes them
    "′’‘`”“‐\u2011‒–—−⁄∕\u200b\u200c\u200d\u200e\u200f\u2060\ufeff",
    "''''\"\"------//       ",  # invisible characters part the digits beside them, as spaces do
)
_PART = re.compile(
    r"""
    (?: (?: (?P<whole>\d+) (?:[ ]|-[ ]?) )? (?P<top>\d+) [ ]?/[ ]? (?P<bottom>\d+)
      | (?P<decimal> \d+(?:[.,]\d+)? | [.,]\d+ )
    )
    (?![\d.,/])
    [ ]? (?: (?P<unit> ["'] | [a-z]+(?!\.\d) ) (?:\.(?!\d))? )? [ ]?
    """,
    re.ASCII | re.VERBOSE,
)


@lru_cache(maxsize=4096)
def parse_length(
    text: str, default_unit: Unit | None = "cm", *, may_be_negative: bool = False
) -> Length:
    """Read a typed length; a number without a unit is in `default_unit`.

    Several parts are added, the larger unit first. ValueError, with one sentence for the person
    who typed it, for anything else, for less than zero (unless allowed) and for over 100 m.

    >>> parse_length("28½").mm, parse_length('5\\' 6 1/2"').mm, parse_length("72,5 cm").mm
    (285.0, 1689.1, 725.0)
    """
    try:
        mm = _read_mm(text, default_unit)
        if mm < 0 and not may_be_negative:
            raise ValueError("is less than zero; type a length of zero or more")
        if abs(mm) > LONGEST_MM:
            raise ValueError("is longer than 100 m (109 yd); check the number and its unit")
    except ValueError as why:
        raise ValueError(f"{_quoted(text)} {why}.") from None
    return Length(float(mm))


def _read_mm(text: str, default_unit: Unit | None) -> Fraction:
    """Add up the parts of `text`; a refusal is worded to follow the quoted text."""
    if len(text) > LONGEST_TEXT:
        raise ValueError(f"is too long for a length; {_HOW_TO_TYPE}")
    plain = _plain(text)
    sign = -1 if plain.startswith("-") else 1
    parts = _parts(plain[1:].lstrip() if plain.startswith(("-", "+")) else plain)
    numbers = [_number(part) for part in parts]
    words = [part["unit"] for part in parts]
    if words == [None]:
        if default_unit is None:
            raise ValueError("has no unit; type one after the number, such as in or cm")
        words = [default_unit]
    if None in words:
        raise ValueError("has more numbers than units; type it like 28 1/2 in or 5 ft 6 in")
    if not _UNIT_MM.keys() >= set(words):
        raise ValueError("has a unit that is not known here; use mm, cm, m, in, ft or yd")
    sizes = [_UNIT_MM[word] for word in words]
    if sizes != sorted(set(sizes), reverse=True):
        raise ValueError("does not go from larger to smaller units; type it like 1 yd 4 in")
    return sign * sum(map(operator.mul, numbers, sizes), Fraction())


def _plain(text: str) -> str:
    """Spell fractions, wide characters, odd spaces, quotes and dashes in ASCII, in lower case.

    Raised and lowered digits stay as they are, so that 5² is refused instead of read as 52.
    """
    spelled = []
    for char in text:
        kind, *codes = unicodedata.decomposition(char).split() or [""]
        if kind in _SPELLED_OUT:
            letters = "".join(chr(int(code, 16)) for code in codes)
            spelled.append(f" {letters} " if kind == "<fraction>" else letters)
        else:
            spelled.append(char)
    plain = "".join(spelled).translate(PLAIN_SIGNS).replace("''", '"')
    return " ".join(plain.casefold().split())


def _parts(plain: str) -> list[re.Match[str]]:
    """Split into numbers, each with the unit after it, if any."""
    parts: list[re.Match[str]] = []
    end = 0
    while end < len(plain) or not parts:
        part = _PART.match(plain, end)
        if part is None:
            raise ValueError(f"cannot be read as a length; {_HOW_TO_TYPE}")
        parts.append(part)
        end = part.end()
    return parts


def _number(part: re.Match[str]) -> Fraction:
    if part["decimal"] is not None:
        return _decimal_number(part["decimal"])
    whole, top, bottom = (int(part[name] or 0) for name in ("whole", "top", "bottom"))
    if bottom == 0:
        raise ValueError("divides by zero; type a fraction such as 1/2")
    if part["whole"] is not None and top >= bottom:
        raise ValueError("has a fraction of one or more after a whole number; type it like 28 1/2")
    return whole + Fraction(top, bottom)


def _decimal_number(digits: str) -> Fraction:
    """Take a comma as the decimal sign, unless it could as well part the thousands."""
    value = Fraction(digits.replace(",", "."))
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", digits):
        meanings = f"{digits.replace(',', '')} or {_decimal(value)}"
        raise ValueError(f"could mean {meanings}; type the one you mean, without the comma")
    return value


def _quoted(text: str) -> str:
    """The typed text as the subject of a refusal, shortened and fit to print."""
    shown = " ".join("".join(char if char.isprintable() else " " for char in text).split())
    if len(shown) > LONGEST_QUOTE:
        shown = shown[: LONGEST_QUOTE - 1] + "…"
    return f"“{shown}”" if shown else "A blank"


# --- Showing ---------------------------------------------------------------------------------


@lru_cache(maxsize=4096)
def inches(mm: float, step: float = 1 / 8) -> str:
    """Inches to the nearest `step` (inches), half-way away from zero, as a mixed number.

    >>> inches(723.9)
    '28 1/2 in'
    """
    return f"{_mixed(_rounded(mm, _INCH_MM, step))} in"


@lru_cache(maxsize=4096)
def centimetres(mm: float, step: float = 0.5) -> str:
    """Centimetres to the nearest `step` (centimetres), half-way away from zero.

    >>> centimetres(723.9)
    '72.5 cm'
    """
    return f"{_decimal(_rounded(mm, _UNIT_MM['cm'], step))} cm"


def shown_inches(mm: float) -> str:
    """Inches to the nearest 1/8 over 5 cm, to the nearest 1/16 otherwise.

    The exact length decides, for both units alike: 50 mm itself takes the finer step
    (1 15/16 in), anything longer the coarser (2 in is 50.8 mm).
    """
    return f"{_mixed(_shown(mm, 'in'))} in"


def shown_centimetres(mm: float) -> str:
    """Centimetres to the nearest 0.5 over 5 cm, to the nearest 0.1 otherwise.

    The exact length decides, for both units alike: 50 mm itself takes the finer step.
    """
    return f"{_decimal(_shown(mm, 'cm'))} cm"


@lru_cache(maxsize=4096)
def both(mm: float, first: System = "in", *, allowance: bool = False, fine: bool = False) -> str:
    """The length in both units; an allowance takes the trade's paired figures.

    `fine` shows 1 mm and 1/16 in at any size, where half a centimetre would be felt: a radius,
    whose error grows sixfold around the circle, or the place of a mark that another meets.

    >>> both(723.9), both(15.0, "cm", allowance=True)
    ('28 1/2 in (72.5 cm)', '1.5 cm (5/8 in)')
    """
    if allowance:
        inch, cm = allowance_pair(mm)
    elif fine:
        inch, cm = inches(mm, 1 / 16), centimetres(mm, 0.1)
    else:
        inch, cm = shown_inches(mm), shown_centimetres(mm)
    return f"{inch} ({cm})" if first == "in" else f"{cm} ({inch})"


_METRIC = r"-?\d[\d.]* (?:mm|cm|m)"
_IMPERIAL = r"-?\d+(?: \d+/\d+|/\d+)? (?:in|yd)"
_OTHERWISE = {
    "in": re.compile(rf"({_METRIC}) \(({_IMPERIAL})\)"),
    "cm": re.compile(rf"({_IMPERIAL}) \(({_METRIC})\)"),
}


def in_order(sentence: str, first: System) -> str:
    """A sentence that shows a unit first, such as an error's, in the order of an episode.

    >>> in_order("Front is 60 cm (23 5/8 in) wide.", "in")
    'Front is 23 5/8 in (60 cm) wide.'
    """
    return _OTHERWISE[first].sub(r"\2 (\1)", sentence)


def both_as_cut(mm: float, first: System, *, fine: bool = False) -> str:
    """A length that is drawn, cut or sewn to, in both units: fine up to 15 cm, and if `fine`.

    Sentences, drawings and tables all show such a length with this one, so that it is the same
    everywhere; `both` is for what is not drawn, such as a girth of the body or a width of cloth.
    """
    return both(mm, first, fine=fine or abs(mm) <= STRIP_MM)


def is_allowance(name: str) -> bool:
    """True for a figure that its name says is an allowance, or the part of one turned under."""
    return name.lower().endswith(("allowance", "turn under"))


def both_called(name: str, mm: float, first: System) -> str:
    """A named figure in both units: allowances as the trade's pairs, radii and marks fine."""
    key = name.lower()
    if is_allowance(key):
        return both(mm, first, allowance=True)
    return both_as_cut(mm, first, fine=key.endswith(("radius", " at")))


@lru_cache(maxsize=4096)
def allowance_pair(mm: float) -> tuple[str, str]:
    """Inches and centimetres of the trade's pair nearest to `mm`.

    A pair counts when either of its figures is within 0.3 mm; otherwise as `both_as_cut`.
    """
    exact = _exact(mm)
    distance, inch, cm = min(
        (min(abs(exact - inch * _INCH_MM), abs(exact - cm * _UNIT_MM["cm"])), inch, cm)
        for inch, cm in _ALLOWANCE_PAIRS
    )
    if distance <= ALLOWANCE_TOLERANCE_MM:
        return f"{_mixed(inch)} in", f"{_decimal(cm)} cm"
    shown = both_as_cut(mm, "in").removesuffix(")").split(" (")
    return shown[0], shown[1]


def yards_to_buy(mm: float) -> str:
    """Yards, up to the next 1/8. ValueError below zero."""
    return f"{_mixed(_up(mm, _UNIT_MM['yd'], Fraction(1, 8)))} yd"


def metres_to_buy(mm: float) -> str:
    """Metres, up to the next 0.1. ValueError below zero."""
    return f"{_decimal(_up(mm, _UNIT_MM['m'], Fraction(1, 10)))} m"


def sum_as_printed(parts_mm: Sequence[float], unit: System) -> tuple[list[str], str]:
    """Each part as shown, and the total of the figures as printed, not of the exact lengths.

    >>> sum_as_printed([102.4, 102.4], "cm")
    (['10 cm', '10 cm'], '20 cm')
    """
    write = _mixed if unit == "in" else _decimal
    parts = [_shown(mm, unit) for mm in parts_mm]
    return [f"{write(part)} {unit}" for part in parts], f"{write(sum(parts, Fraction()))} {unit}"


def printed_sum_mm(parts_mm: Sequence[float], unit: System) -> float:
    """The total that `sum_as_printed` prints in that unit, in mm."""
    return float(sum((_shown(mm, unit) for mm in parts_mm), Fraction()) * _UNIT_MM[unit])


def _exact(mm: float) -> Fraction:
    """The decimal number that `mm` stands for: 3 * 25.4 is 76.2, not 76.19999999999999."""
    if not math.isfinite(mm):
        raise ValueError("A length must be a finite number of millimetres.")
    return Fraction(str(round(float(mm), _NOISE_DECIMALS)))


def _rounded(mm: float, unit_mm: Fraction, step: float) -> Fraction:
    """`mm` in the unit, to the nearest step, half-way away from zero."""
    exact_step = Fraction(step).limit_denominator(1000)  # 0.1 and 1/3 as they were meant
    if exact_step <= 0:
        raise ValueError("A rounding step must be more than zero.")
    steps = _exact(mm) / unit_mm / exact_step
    return math.floor(abs(steps) + Fraction(1, 2)) * exact_step * (-1 if steps < 0 else 1)


@lru_cache(maxsize=4096)
def _shown(mm: float, unit: System) -> Fraction:
    small = abs(_exact(mm)) <= SMALL_MM
    fine, coarse = (1 / 16, 1 / 8) if unit == "in" else (0.1, 0.5)
    return _rounded(mm, _UNIT_MM[unit], fine if small else coarse)


def _up(mm: float, unit_mm: Fraction, step: Fraction) -> Fraction:
    exact = _exact(mm)
    if exact < -BUYING_TOLERANCE_MM:
        raise ValueError("A length to buy cannot be less than zero.")
    return math.ceil((exact - BUYING_TOLERANCE_MM) / unit_mm / step) * step


def _mixed(value: Fraction) -> str:
    """28 1/2, 3/8, 0 or -1 1/4."""
    whole, rest = divmod(abs(value), 1)
    figures = [str(whole)] if whole or not rest else []
    if rest:
        figures.append(f"{rest.numerator}/{rest.denominator}")
    return ("-" if value < 0 else "") + " ".join(figures)


def _decimal(value: Fraction) -> str:
    """72.5 or 73: up to three decimals, without trailing zeros."""
    return f"{float(value):.3f}".rstrip("0").rstrip(".")
