"""Sentences that carry lengths, so that words and geometry come from the same figures."""

import re
from collections.abc import Mapping
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

        def shown(slot: re.Match[str]) -> str:
            mm = self.lengths_mm[slot[2]]
            return both(mm, first, fine=slot[1] is not None)

        return _SLOT.sub(shown, self.text)
