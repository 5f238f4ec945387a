"""A figure in plain words, for those who work it out from their own measurements.

`max(bust, hip) / 2 + body ease` is “half of the larger of your bust and your hip, plus 26 cm /
10 1/4 in”: measures are the reader's own, choices that stand fixed are told as what they come to.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from webapp.draft.expressions import read
from webapp.draft.results import Draft
from webapp.draft.tree import Call, Constant, Name, Negative, Node, Product, Quotient, Sum
from webapp.units import System, both_called

_PARTS: Final = {2: "half", 3: "a third of", 4: "a quarter of", 8: "an eighth of"}
_TIMES: Final = {2: "twice", 3: "three times", 4: "four times"}
# What “half” does not stand before alone: half the neck, but half of the larger of two.
_NEED_OF: Final = ("(", "half", "a ", "the larger", "the largest", "the small", "the square")
_SEAM_ALLOWANCE: Final = "seam allowance"
_NEAR: Final = 1e-9


def in_words(formula: str, draft: Draft, first: System) -> str:
    """The formula in words, its fixed lengths in both units. FigureError if it cannot be read."""
    return _Telling(draft, first, _spelt(draft)).told(read(formula).compute)


def follows_the_body(formula: str, draft: Draft) -> bool:
    """True for a figure that is another on another body. FigureError if it cannot be read."""
    choices = {choice.name.lower(): choice.value for choice in draft.recipe.choices}

    def varies(text: str, depth: int) -> bool:
        for name in read(text).names:
            if name in choices:
                if depth and varies(choices[name], depth - 1):
                    return True
            elif name != _SEAM_ALLOWANCE:
                return True
        return False

    return varies(formula, len(choices))


def _spelt(draft: Draft) -> dict[str, tuple[str, str]]:
    """Pieces' figures by their names in lower case: piece and figure as they are written."""
    return {
        f"{piece.name}.{figure}".lower(): (piece.name, figure)
        for piece in draft.pieces
        for figure in piece.figures_mm
    }


@dataclass(frozen=True)
class _Telling:
    draft: Draft
    first: System
    spelt: dict[str, tuple[str, str]]

    def told(self, node: Node) -> str:
        """The tree in words."""
        if not any(follows_the_body(key, self.draft) for key in _names(node)):
            return self._fixed(node)
        told = ""
        match node:
            case Name(key):
                told = self._name(key)
            case Negative(of):
                told = f"less {self._within(of)}"
            case Sum(left, right, sign):
                word = "plus" if sign > 0 else "less"
                told = f"{self.told(left)}, {word} {self._within(right)}"
            case Quotient(left, right):
                told = self._divided(left, right)
            case Product(left, right):
                told = self._multiplied(left, right)
            case Call("abs", (Sum(left, right, -1),)):
                told = f"the difference of {self.told(left)} and {self.told(right)}"
            case Call(function, arguments):
                told = self._call(function, [self.told(argument) for argument in arguments])
        return told

    def _fixed(self, node: Node) -> str:
        found = node(self.draft.names)
        if found.dimension != 1:
            return f"{found.value:.4g}"
        name = node.key if isinstance(node, Name) else ""
        return both_called(name, found.value, self.first).replace(" (", " / ").rstrip(")")

    def _name(self, key: str) -> str:
        if key in self.spelt:
            piece, figure = self.spelt[key]
            return f"the {figure} of your {piece}"
        choices = {choice.name.lower(): choice.name for choice in self.draft.recipe.choices}
        return f"the {choices[key]}" if key in choices else f"your {key}"

    def _within(self, node: Node) -> str:
        """The part of a larger figure, in brackets when it is a sum of its own."""
        told = self.told(node)
        return f"({told})" if ", plus " in told or ", less " in told else told

    def _divided(self, left: Node, right: Node) -> str:
        by = right(self.draft.names) if isinstance(right, Constant) else None
        part = _PARTS.get(int(by.value)) if by and by.value == int(by.value) else None
        if part is None:
            return f"{self._within(left)} divided by {self._within(right)}"
        told = self._within(left)
        of = (
            " of"
            if part == "half" and told.startswith(("(", "half", "a ", "the l", "the s"))
            else ""
        )
        return f"{part}{of} {told}"

    def _multiplied(self, left: Node, right: Node) -> str:
        number, other = (left, right) if isinstance(left, Constant) else (right, left)
        if not isinstance(number, Constant) or number.quantity.dimension:
            return f"{self._within(left)} times {self._within(right)}"
        value = number.quantity.value
        if value == 1:
            return self.told(other)
        for parts, words in _PARTS.items():
            if abs(value * parts - 1) < _NEAR:
                return f"{words} {self._within(other)}"
        times = _TIMES.get(int(value)) if value == int(value) else None
        return f"{times or f'{value:.4g} times'} {self._within(other)}"

    def _call(self, function: str, arguments: list[str]) -> str:
        if function == "sqrt":
            return f"the square root of {arguments[0]}"
        if function == "abs" or len(arguments) == 1:
            return arguments[0].removeprefix("less ") if function == "abs" else arguments[0]
        many = len(arguments) > 2
        which = {"max": ("larger", "largest"), "min": ("smaller", "smallest")}[function][many]
        listed = " and ".join((", ".join(arguments[:-1]), arguments[-1]))
        if any(" plus " in a or " less " in a for a in arguments):
            listed = " and ".join(f"({argument})" for argument in arguments)
        return f"the {which} of {listed}"


def _names(node: Node) -> Iterator[str]:
    match node:
        case Name(key):
            yield key
        case Negative(of):
            yield from _names(of)
        case Sum(left, right) | Product(left, right) | Quotient(left, right):
            yield from _names(left)
            yield from _names(right)
        case Call(_, arguments):
            for argument in arguments:
                yield from _names(argument)
