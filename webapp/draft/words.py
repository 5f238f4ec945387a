"""Sentences that carry lengths, so that words and geometry come from the same figures."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from webapp.units import System, both, sum_as_printed

_SLOT: Final = re.compile(r"\{(2 \* |fine )?([\w ]+)\}")


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence with `{slots}` for lengths in mm, shown in both units when it is read.

    `{2 * width}` is, in each unit, twice what `{width}` shows; `{fine radius}` is to 1 mm and
    1/16 in at any size.
    """

    text: str
    lengths_mm: Mapping[str, float] = field(default_factory=dict)

    def show(self, first: System) -> str:
        """The sentence with every length in both units, `first` standing first."""

        def shown(slot: re.Match[str]) -> str:
            mm = self.lengths_mm[slot[2]]
            if slot[1] == "2 * ":
                return _doubled(mm, first)
            return both(mm, first, fine=slot[1] == "fine ")

        return _SLOT.sub(shown, self.text)


def _doubled(mm: float, first: System) -> str:
    inch, cm = (sum_as_printed([mm, mm], unit)[1] for unit in ("in", "cm"))
    return f"{inch} ({cm})" if first == "in" else f"{cm} ({inch})"
