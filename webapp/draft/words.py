"""Sentences that carry lengths, so that words and geometry come from the same figures."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Final

from webapp.units import System, both

_SLOT: Final = re.compile(r"\{(fine )?([\w ]+)\}")


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence with `{slots}` for lengths in mm, shown in both units when it is read.

    `{fine radius}` is shown to 1 mm and 1/16 in at any size. `formulas` says, as an expression,
    how a slot is worked out, for those who draft it to their own measurements.
    """

    text: str
    lengths_mm: Mapping[str, float] = field(default_factory=dict)
    formulas: Mapping[str, str] = field(default_factory=dict)

    def show(self, first: System) -> str:
        """The sentence with every length in both units, `first` standing first."""

        return self.filled(lambda slot, fine: both(self.lengths_mm[slot], first, fine=fine))

    def filled(self, how: Callable[[str, bool], str]) -> str:
        """The sentence with every slot filled by `how`, from its name and whether it is fine."""
        return _SLOT.sub(lambda slot: how(slot[2], slot[1] is not None), self.text)
