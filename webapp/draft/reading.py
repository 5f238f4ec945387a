"""From a figure's text to its tree: tokens, then recursive descent over them."""

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from webapp.draft.names import Quantity
from webapp.draft.tree import (
    FUNCTIONS,
    Call,
    Constant,
    Name,
    Negative,
    Node,
    Product,
    Quotient,
    Sum,
)
from webapp.errors import FigureError
from webapp.units import PLAIN_SIGNS

DEEPEST_NESTING: Final = 20
VULGAR: Final = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3",
    "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip

_UNIT_MM: Final = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": 25.4,
    "inch": 25.4,
    "inches": 25.4,
    '"': 25.4,
    "″": 25.4,
    "ft": 304.8,
    "yd": 914.4,
}
_UNIT: Final = r'(?:(?:mm|cm|m|inches|inch|in|ft|yd)(?![\w])|"|″)'
_TOKEN: Final = re.compile(
    rf"""\s*(?:
      (?P<mixed>\d+\s+\d+/\d+)(?:\s*(?P<mixed_unit>{_UNIT}))?
    | (?P<fraction>\d+/\d+)\s*(?P<fraction_unit>{_UNIT})
    | (?P<number>\d+(?:[.,]\d+)?|\.\d+)(?:\s*(?P<unit>{_UNIT}))?
    | (?P<name>[^\W\d]\w*(?:\ [^\W\d]\w*)*(?:\.[^\W\d]\w*(?:\ [^\W\d]\w*)*)?)
    | (?P<sign>[-+*/×(),])
    )""",
    re.VERBOSE,
)
_THOUSANDS: Final = re.compile(r"[1-9]\d{0,2},\d{3}")
_NONE: Final = Quantity(0.0, 0)
_PI: Final = Constant(Quantity(math.pi, 0))


def tree_of(text: str, deepest: int = DEEPEST_NESTING) -> tuple[Node, tuple[str, ...]]:
    """The tree of a text and the names it quotes, as typed. FigureError if it cannot be read."""
    reader = _Reader(text, deepest)
    node = reader.sum(0)
    reader.expect_end()
    return node, tuple(reader.names)


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str  # "number", "name", "sign", "end"
    text: str
    quantity: Quantity = _NONE


def _tokens(text: str) -> Iterator[_Token]:
    spelled = text.translate(PLAIN_SIGNS)
    for mark, digits in VULGAR.items():
        spelled = spelled.replace(mark, f" {digits}")
    spelled = spelled.strip()
    position = 0
    while position < len(spelled):
        match = _TOKEN.match(spelled, position)
        if match is None:
            raise FigureError(f"“{short(spelled[position:].strip())}” cannot be read in a figure.")
        position = match.end()
        yield _token(match)
    yield _Token("end", "")


def _token(match: re.Match[str]) -> _Token:
    part = match.groupdict()
    if part["mixed"]:
        whole, fraction = part["mixed"].split()
        return _number(int(whole) + _ratio(fraction), part["mixed_unit"], match.group())
    if part["fraction"]:
        return _number(_ratio(part["fraction"]), part["fraction_unit"], match.group())
    if part["number"]:
        return _number(_decimal(part["number"]), part["unit"], match.group())
    if part["name"]:
        return _Token("name", part["name"])
    return _Token("sign", part["sign"])


def _number(value: float, unit: str | None, text: str) -> _Token:
    quantity = Quantity(value * _UNIT_MM[unit], 1) if unit else Quantity(value, 0)
    return _Token("number", text.strip(), quantity)


def _decimal(digits: str) -> float:
    """Take a comma as the decimal sign, unless it could as well part the thousands."""
    if _THOUSANDS.fullmatch(digits):
        raise FigureError(f"“{digits}” could mean two figures; write it without the comma.")
    return float(digits.replace(",", "."))


def _ratio(fraction: str) -> float:
    top, bottom = fraction.split("/")
    if int(bottom) == 0:
        raise FigureError(f"“{fraction}” divides by zero.")
    return int(top) / int(bottom)


def short(text: str) -> str:
    """A text as an error quotes it."""
    return text if len(text) <= 40 else text[:39] + "…"


class _Reader:
    """Recursive descent over the tokens of one figure."""

    def __init__(self, text: str, deepest: int) -> None:
        self._deepest = deepest
        self._text = short(text.strip())
        self._tokens = list(_tokens(text))
        self._at = 0
        self.names: dict[str, None] = {}  # in the order they are quoted

    def expect_end(self) -> None:
        if self._now.kind != "end":
            raise FigureError(
                f"“{self._text}” cannot be read at “{self._now.text}”: an operator (+ - * /) is "
                "missing before it."
            )

    def sum(self, depth: int) -> Node:
        node = self._product(depth)
        while self._now.text in ("+", "-"):
            sign = self._take().text
            node = Sum(node, self._product(depth), 1 if sign == "+" else -1, self._text)
        return node

    def _product(self, depth: int) -> Node:
        node = self._signed(depth)
        while self._now.text in ("*", "×", "/"):
            sign = self._take().text
            other = self._signed(depth)
            node = Quotient(node, other, self._text) if sign == "/" else Product(node, other)
        return node

    def _signed(self, depth: int) -> Node:
        minus = False
        while self._now.text in ("+", "-"):
            minus ^= self._take().text == "-"
        node = self._atom(depth)
        return Negative(node) if minus else node

    def _atom(self, depth: int) -> Node:
        if depth > self._deepest:
            raise FigureError(f"“{self._text}” has too many brackets inside each other.")
        token = self._take()
        if token.kind == "number":
            return Constant(token.quantity)
        if token.kind == "name":
            return self._name(token.text, depth)
        if token.text == "(":
            node = self.sum(depth + 1)
            self._close()
            return node
        where = f"before “{token.text}”" if token.text else "at the end"
        raise FigureError(f"“{self._text}” lacks a figure {where}.")

    def _name(self, name: str, depth: int) -> Node:
        if self._now.text == "(" and name.lower() in FUNCTIONS:
            return self._call(name.lower(), depth)
        key = name.lower()
        if key == "pi":
            return _PI
        self.names[name] = None
        return Name(key)

    def _call(self, function: str, depth: int) -> Node:
        opened = self._at
        self._take()
        arguments = [self.sum(depth + 1)]
        while self._now.text == ",":
            self._take()
            arguments.append(self.sum(depth + 1))
        self._close()
        for token in self._tokens[opened : self._at]:
            if token.kind == "number" and "," in token.text:
                raise FigureError(
                    f"“{token.text}” could be one number or two figures here: write a point in "
                    "the number, or a space after the comma."
                )
        if function in ("abs", "sqrt") and len(arguments) != 1:
            raise FigureError(f"{function} takes one figure, as in {function}(bust).")
        return Call(function, tuple(arguments))

    def _close(self) -> None:
        if self._take().text != ")":
            raise FigureError(f"“{self._text}” lacks a closing bracket.")

    @property
    def _now(self) -> _Token:
        return self._tokens[self._at]

    def _take(self) -> _Token:
        token = self._now
        self._at = min(self._at + 1, len(self._tokens) - 1)
        return token
