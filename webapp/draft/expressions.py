"""Figures as people write them: `bust / 2 + body ease`, `Front.neck * 2`, `max(bust, hip) / 4`.

Names are plain words and may hold spaces; a piece's figure is `Piece.figure`. A number may carry
a unit (`4 3/4 in`, `12,5 cm`, `3/8"`). Every value knows its dimension, so a length plus a bare
number is refused. Text is parsed into a tree, never run as code, and its size is bounded.

Grammar:  sum     := product (("+" | "-") product)*
          product := signed (("*" | "×" | "/") signed)*
          signed  := ("+" | "-") signed | atom
          atom    := number [unit] | name | function "(" sum ("," sum)* ")" | "(" sum ")"
"""

import math
import re
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from typing import Final

from webapp.draft.names import Figures, Names, Quantity
from webapp.draft.reading import DEEPEST_NESTING, VULGAR, short, tree_of
from webapp.draft.tree import Node
from webapp.errors import FigureError, WaitingError
from webapp.units import PLAIN_SIGNS

__all__ = [
    "DEEPEST_NESTING",
    "LONGEST_TEXT",
    "Expression",
    "Names",
    "Quantity",
    "length_of",
    "read",
]

LONGEST_TEXT: Final = 200  # characters; a draftable figure fits on one line
_MOST_COMPOSED: Final = 4  # typed figures, and brackets round each, in what a move composes

_PLAIN_NUMBER: Final = re.compile(
    rf"[+-]?(?:(?:\d+ +)?\d+/\d+|(?:\d+ ?)?[{''.join(VULGAR)}]|\d*[.,]?\d+)"
)


@dataclass(frozen=True, slots=True)
class Expression:
    """A figure's text, read once: the names it quotes and how to compute it."""

    text: str
    quoted: tuple[str, ...]  # as typed
    compute: Node  # the tree it was read as; called with names it gives the value

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
        if not unknown:
            return
        lacking = [n for n in unknown if isinstance(names, Figures) and names.lacks(n)]
        for name in unknown:
            if name not in lacking:
                near = get_close_matches(name.lower(), names, n=1)
                hint = f" Did you mean “{near[0]}”?" if near else ""
                raise FigureError(f"There is no figure called “{short(name)}”.{hint}")
        if lacking:
            raise WaitingError(f"“{short(lacking[0])}” has no figure yet; see to that first.")


def _not_a_length(text: str, quantity: Quantity) -> str:
    if quantity.dimension != 0:
        return f"“{text}” does not come to a length."
    if _PLAIN_NUMBER.fullmatch(text.translate(PLAIN_SIGNS)):
        hint = f"Write {text} cm or {text} in."
    elif any(char.isnumeric() for char in text):
        hint = "Give each figure a unit, like 64 cm + 5 cm."
    else:
        hint = "A length has a unit."
    return f"“{text}” is a number without a unit. {hint}"


@lru_cache(maxsize=4096)
def read(text: str, *, composed: bool = False) -> Expression:
    """Read a figure's text. FigureError with a sentence when it cannot be read.

    A text `composed` from typed ones may be longer and nested deeper than they may.
    """
    if not text.strip():
        raise FigureError("There is no figure here. Write one, like 12 cm or bust / 2.")
    longest, deepest = LONGEST_TEXT, DEEPEST_NESTING
    if composed:
        longest, deepest = _MOST_COMPOSED * longest, deepest + _MOST_COMPOSED
    if len(text) > longest:
        raise FigureError(f"A figure can be {longest} characters long at most.")
    node, quoted = tree_of(text, deepest)
    return Expression(text.strip(), quoted, node)


def length_of(text: str, names: Names) -> float:
    """What a figure's text comes to with the figures there are, mm. FigureError as for `read`, and
    where it comes to no length."""
    return read(text).length_mm(names)
