"""What a figure's text was read as: a small tree whose nodes compute themselves.

Two texts that mean the same sum are equal trees, whatever their spaces, brackets and capitals.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from webapp.draft.names import Names, Quantity
from webapp.errors import FigureError


@dataclass(frozen=True, slots=True)
class Constant:
    """A number with or without a unit, or pi."""

    quantity: Quantity

    def __call__(self, names: Names) -> Quantity:  # noqa: ARG002 - as the other nodes
        return self.quantity


@dataclass(frozen=True, slots=True)
class Name:
    """A measure, a choice or a piece's figure, by its name in lower case."""

    key: str

    def __call__(self, names: Names) -> Quantity:
        return names[self.key]


@dataclass(frozen=True, slots=True)
class Negative:
    """What stands behind a minus sign."""

    of: "Node"

    def __call__(self, names: Names) -> Quantity:
        value = self.of(names)
        return Quantity(-1.0 * value.value, value.dimension)


@dataclass(frozen=True, slots=True)
class Sum:
    """Two figures added, or the second taken off the first when `sign` is -1."""

    left: "Node"
    right: "Node"
    sign: int
    text: str = field(compare=False, repr=False)  # the whole figure, for its error

    def __call__(self, names: Names) -> Quantity:
        one, other = self.left(names), self.right(names)
        if one.dimension != other.dimension:
            raise FigureError(_unlike(self.text, {one.dimension, other.dimension}))
        return Quantity(one.value + self.sign * other.value, one.dimension)


@dataclass(frozen=True, slots=True)
class Product:
    """Two figures multiplied."""

    left: "Node"
    right: "Node"

    def __call__(self, names: Names) -> Quantity:
        one, other = self.left(names), self.right(names)
        return Quantity(one.value * other.value, one.dimension + other.dimension)


@dataclass(frozen=True, slots=True)
class Quotient:
    """The first figure divided by the second."""

    left: "Node"
    right: "Node"
    text: str = field(compare=False, repr=False)

    def __call__(self, names: Names) -> Quantity:
        one, other = self.left(names), self.right(names)
        if other.value == 0:
            raise FigureError(f"“{self.text}” divides by zero.")
        return Quantity(one.value / other.value, one.dimension - other.dimension)


@dataclass(frozen=True, slots=True)
class Call:
    """A function of one or more figures: min, max, abs or sqrt."""

    function: str
    arguments: tuple["Node", ...]

    def __call__(self, names: Names) -> Quantity:
        return FUNCTIONS[self.function]([argument(names) for argument in self.arguments])


Node = Constant | Name | Negative | Sum | Product | Quotient | Call


def _unlike(text: str, dimensions: set[int]) -> str:
    if dimensions == {0, 1}:
        return f"“{text}” adds a length to a bare number. Give the number a unit, like cm or in."
    return f"“{text}” adds figures of different kinds, such as a length and an area."


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


FUNCTIONS: Final[dict[str, Callable[[list[Quantity]], Quantity]]] = {
    "min": _extreme(min),
    "max": _extreme(max),
    "abs": lambda arguments: Quantity(abs(arguments[0].value), arguments[0].dimension),
    "sqrt": _square_root,
}
