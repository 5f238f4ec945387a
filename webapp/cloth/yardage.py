"""The length of cloth to buy for a lay."""

from dataclasses import dataclass
from typing import Final

from webapp.cloth.laid import Lay
from webapp.units import System, metres_to_buy, printed_sum_mm, yards_to_buy

SQUARING_MM: Final = 20.0  # cut off to bring the ends square; common practice, no source


@dataclass(frozen=True)
class Purchase:
    """A length to buy and what it is made of, mm.

    The parts are printed rounded, so that their sum as printed may pass the exact total; what is
    bought covers the greater of the two, in each unit by itself.
    """

    lay_mm: float
    squaring_mm: float
    shrinkage_mm: float
    total_mm: float

    @property
    def yards(self) -> str:
        """The total up to the next 1/8 yd."""
        return yards_to_buy(self._covered_mm("in"))

    @property
    def metres(self) -> str:
        """The total up to the next 0.1 m."""
        return metres_to_buy(self._covered_mm("cm"))

    def _covered_mm(self, unit: System) -> float:
        parts = (self.lay_mm, self.squaring_mm, self.shrinkage_mm)
        return max(self.total_mm, printed_sum_mm(parts, unit))


def to_buy(lay: Lay) -> Purchase:
    """What to buy so that the lay and the squaring-up are left after the first wash.

    A length L that is to be left after shrinking by the part s is L / (1 - s) before.
    """
    needed = lay.length_mm + SQUARING_MM
    total = needed / (1 - lay.cloth.shrink_length)
    return Purchase(lay.length_mm, SQUARING_MM, total - needed, total)
