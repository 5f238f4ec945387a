"""Figures as people write them: `bust / 2 + body ease`, `Front.neck * 2`, `max(bust, hip) / 4`.

Names are plain words and may hold spaces; a piece's figure is `Piece.figure`. A number may carry
a unit (`4 3/4 in`, `12,5 cm`, `3/8"`). Every value knows its dimension, so a length plus a bare
number is refused. Text is parsed into a tree, never run as code, and its size is bounded.

Grammar:  sum     := product (("+" | "-") product)*
          product := signed (("*" | "×" | "/") signed)*
          signed  := "-" signed | atom
          atom    := number [unit] | name | function "(" sum ("," sum)* ")" | "(" sum ")"
"""

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from typing import Final

from webapp.draft.names import Figures, Names, Quantity
from webapp.errors import FigureError, WaitingError

__all__ = ["DEEPEST_NESTING", "LONGEST_TEXT", "Expression", "Names", "Quantity", "read"]

LONGEST_TEXT: Final = 200  # characters; a draftable figure fits on one line
DEEPEST_NESTING: Final = 20

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
_VULGAR: Final = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3",
    "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
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
_PLAIN_NUMBER: Final = re.compile(
    rf"-?(?:(?:\d+ +)?\d+/\d+|(?:\d+ ?)?[{''.join(_VULGAR)}]|\d*[.,]?\d+)"
)


_Node = Callable[[Names], Quantity]
_NONE: Final = Quantity(0.0, 0)


@dataclass(frozen=True, slots=True)
class Expression:
    """A figure's text, read once: the names it quotes and how to compute it."""

    text: str
    quoted: tuple[str, ...]  # as typed
    compute: _Node

    @property
    def names(self) -> frozenset[str]:
        """The names it quotes, in lower case."""
        return frozenset(name.lower() for name in self.quoted)

    def length_mm(self, names: Names) -> float:
        """The value in mm. FigureError if it is not a length or a name is unknown."""
        quantity = self._finite(names)
        if quantity.dimension != 1:
            raise FigureError(_not_a_length(self.text, quantity))
        return quantity.value

    def number(self, names: Names) -> float:
        """The value as a bare number. FigureError if it has a dimension."""
        quantity = self._finite(names)
        if quantity.dimension != 0:
            raise FigureError(f"“{self.text}” should be a plain number, without a unit.")
        return quantity.value

    def quantity(self, names: Names) -> Quantity:
        """The value with its dimension."""
        return self._finite(names)

    def _finite(self, names: Names) -> Quantity:
        self._refuse_unknown(names)
        quantity = self.compute(names)
        if not math.isfinite(quantity.value):
            raise FigureError(f"“{self.text}” does not come to a usable figure.")
        return quantity

    def _refuse_unknown(self, names: Names) -> None:
        """A misspelt name is told before one that is only lacking."""
        unknown = [name for name in self.quoted if name.lower() not in names]
        lacking = [n for n in unknown if isinstance(names, Figures) and names.lacks(n)]
        for name in unknown:
            if name not in lacking:
                near = get_close_matches(name.lower(), names, n=1)
                hint = f" Did you mean “{near[0]}”?" if near else ""
                raise FigureError(f"There is no figure called “{_short(name)}”.{hint}")
        if lacking:
            raise WaitingError(f"“{_short(lacking[0])}” has no figure yet; see to that first.")


def _not_a_length(text: str, quantity: Quantity) -> str:
    if quantity.dimension != 0:
        return f"“{text}” does not come to a length."
    if _PLAIN_NUMBER.fullmatch(text):
        hint = f"Write {text} cm or {text} in."
    elif any(char.isnumeric() for char in text):
        hint = "Give each figure a unit, like 64 cm + 5 cm."
    else:
        hint = "A length has a unit."
    return f"“{text}” is a number without a unit. {hint}"


@lru_cache(maxsize=4096)
def read(text: str) -> Expression:
    """Read a figure's text. FigureError with a sentence when it cannot be read."""
    if not text.strip():
        raise FigureError("There is no figure here. Write one, like 12 cm or bust / 2.")
    if len(text) > LONGEST_TEXT:
        raise FigureError(f"A figure can be {LONGEST_TEXT} characters long at most.")
    reader = _Reader(text)
    node = reader.sum(0)
    reader.expect_end()
    return Expression(text.strip(), tuple(reader.names), node)


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str  # "number", "name", "sign", "end"
    text: str
    quantity: Quantity = _NONE


def _tokens(text: str) -> Iterator[_Token]:
    spelled = text
    for mark, digits in _VULGAR.items():
        spelled = spelled.replace(mark, f" {digits}")
    spelled = spelled.strip()
    position = 0
    while position < len(spelled):
        match = _TOKEN.match(spelled, position)
        if match is None:
            raise FigureError(f"“{_short(spelled[position:].strip())}” cannot be read in a figure.")
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


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:39] + "…"


class _Reader:
    """Recursive descent over the tokens of one figure."""

    def __init__(self, text: str) -> None:
        self._text = _short(text.strip())
        self._tokens = list(_tokens(text))
        self._at = 0
        self.names: dict[str, None] = {}  # in the order they are quoted

    def expect_end(self) -> None:
        if self._now.kind != "end":
            raise FigureError(
                f"“{self._text}” cannot be read at “{self._now.text}”: an operator (+ - * /) is "
                "missing before it."
            )

    def sum(self, depth: int) -> _Node:
        node = self._product(depth)
        while self._now.text in ("+", "-"):
            sign = self._take().text
            node = _added(self._text, node, self._product(depth), 1 if sign == "+" else -1)
        return node

    def _product(self, depth: int) -> _Node:
        node = self._signed(depth)
        while self._now.text in ("*", "×", "/"):
            sign = self._take().text
            other = self._signed(depth)
            node = _divided(self._text, node, other) if sign == "/" else _times(node, other)
        return node

    def _signed(self, depth: int) -> _Node:
        minus = False
        while self._now.text == "-":
            self._take()
            minus = not minus
        node = self._atom(depth)
        return _times(lambda _: Quantity(-1.0, 0), node) if minus else node

    def _atom(self, depth: int) -> _Node:
        if depth > DEEPEST_NESTING:
            raise FigureError(f"“{self._text}” has too many brackets inside each other.")
        token = self._take()
        if token.kind == "number":
            quantity = token.quantity
            return lambda _: quantity
        if token.kind == "name":
            return self._name(token.text, depth)
        if token.text == "(":
            node = self.sum(depth + 1)
            self._close()
            return node
        where = f"before “{token.text}”" if token.text else "at the end"
        raise FigureError(f"“{self._text}” lacks a figure {where}.")

    def _name(self, name: str, depth: int) -> _Node:
        if self._now.text == "(" and name.lower() in _FUNCTIONS:
            return self._call(name.lower(), depth)
        key = name.lower()
        if key == "pi":
            return lambda _: Quantity(math.pi, 0)
        self.names[name] = None
        return lambda names: names[key]

    def _call(self, function: str, depth: int) -> _Node:
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
        apply = _FUNCTIONS[function]
        return lambda names: apply([argument(names) for argument in arguments])

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


def _added(text: str, left: _Node, right: _Node, sign: int) -> _Node:
    def node(names: Names) -> Quantity:
        one, other = left(names), right(names)
        if one.dimension != other.dimension:
            raise FigureError(_unlike(text, {one.dimension, other.dimension}))
        return Quantity(one.value + sign * other.value, one.dimension)

    return node


def _unlike(text: str, dimensions: set[int]) -> str:
    if dimensions == {0, 1}:
        return f"“{text}” adds a length to a bare number. Give the number a unit, like cm or in."
    return f"“{text}” adds figures of different kinds, such as a length and an area."


def _times(left: _Node, right: _Node) -> _Node:
    def node(names: Names) -> Quantity:
        one, other = left(names), right(names)
        return Quantity(one.value * other.value, one.dimension + other.dimension)

    return node


def _divided(text: str, left: _Node, right: _Node) -> _Node:
    def node(names: Names) -> Quantity:
        one, other = left(names), right(names)
        if other.value == 0:
            raise FigureError(f"“{text}” divides by zero.")
        return Quantity(one.value / other.value, one.dimension - other.dimension)

    return node


def _extreme(choose: Callable[[list[float]], float]) -> Callable[[list[Quantity]], Quantity]:
    def function(arguments: list[Quantity]) -> Quantity:
        if len({argument.dimension for argument in arguments}) != 1:
            raise FigureError("min and max compare lengths with lengths; give every figure a unit.")
        return Quantity(choose([a.value for a in arguments]), arguments[0].dimension)

    return function


def _square_root(arguments: list[Quantity]) -> Quantity:
    (argument,) = arguments
    if argument.value < 0 or argument.dimension % 2:
        raise FigureError("sqrt needs an area or a plain number that is not negative.")
    return Quantity(math.sqrt(argument.value), argument.dimension // 2)


_FUNCTIONS: Final[dict[str, Callable[[list[Quantity]], Quantity]]] = {
    "min": _extreme(min),
    "max": _extreme(max),
    "abs": lambda arguments: Quantity(abs(arguments[0].value), arguments[0].dimension),
    "sqrt": _square_root,
}
