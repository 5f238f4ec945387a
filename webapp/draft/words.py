"""Sentences that carry lengths, so that words and geometry come from the same figures."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from webapp.units import System, both_as_cut, both_called, is_allowance

_SLOT: Final = re.compile(r"\{(\.)?([^{}]+)\}")  # no name holds a full stop
_NAME: Final = re.compile(r"[\w .]+")


@dataclass(frozen=True, slots=True)
class Slot:
    """Where a length goes in a sentence; `fine` when it is shown to 1 mm and 1/16 in."""

    name: str
    fine: bool


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence with `{slots}` for lengths in mm, shown in both units when it is read.

    A slot is called what its length is; `{.radius}` is shown to 1 mm and 1/16 in at any size.
    The rest is for those who draft it to their own measurements: `formulas` says, as an
    expression, how a slot or a figure of the piece is worked out, `whys` adds to that in a
    sentence, and `own` is the text to use when a length of `text` can only be had by drawing.
    """

    text: str
    lengths_mm: Mapping[str, float] = field(default_factory=dict)
    formulas: Mapping[str, str] = field(default_factory=dict)
    own: str = ""
    whys: Mapping[str, str] = field(default_factory=dict)

    def in_own_text(self) -> "Sentence":
        """The same for those who draft it to their own measurements."""
        return replace(self, text=self.own or self.text)

    def show(self, first: System) -> str:
        """The sentence with every length in both units, `first` standing first."""
        return self.filled(lambda slot: self.shown(slot, first))

    def shown(self, slot: Slot, first: System) -> str:
        """The length of one slot in both units; one that is an allowance by name as its pair."""
        mm, formula = self.lengths_mm[slot.name], self.formulas.get(slot.name, "")
        if _NAME.fullmatch(formula) and is_allowance(formula):
            return both_called(formula, mm, first)
        return both_as_cut(mm, first, fine=slot.fine)

    def filled(self, how: Callable[[Slot], str]) -> str:
        """The sentence with every slot filled by `how`."""
        return "".join(part if isinstance(part, str) else how(part) for part in self.parts())

    def parts(self) -> Iterator[str | Slot]:
        """The sentence as runs of text and the slots between them."""
        end = 0
        for match in _SLOT.finditer(self.text):
            if match.start() > end:
                yield self.text[end : match.start()]
            yield Slot(match[2], match[1] is not None)
            end = match.end()
        if end < len(self.text):
            yield self.text[end:]
