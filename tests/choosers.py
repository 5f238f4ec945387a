"""Who decides what an edit leaves open: hypothesis, which can shrink a sequence, or a seed."""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from typing import Protocol, TypeVar

from hypothesis import strategies as st

T = TypeVar("T")


class Chooser(Protocol):
    """What an edit leaves open."""

    def one_of(self, options: Sequence[T]) -> T: ...

    def number(self, low: int, high: int) -> int: ...


@dataclass
class BySeed:
    """Choices that a seed gives."""

    random: Random

    def one_of(self, options: Sequence[T]) -> T:
        return self.random.choice(options)

    def number(self, low: int, high: int) -> int:
        return self.random.randint(low, high)


@dataclass
class ByHypothesis:
    """Choices that hypothesis gives, and can shrink."""

    data: st.DataObject

    def one_of(self, options: Sequence[T]) -> T:
        return options[self.number(0, len(options) - 1)]

    def number(self, low: int, high: int) -> int:
        return self.data.draw(st.integers(low, high))
