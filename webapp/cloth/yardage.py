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
    spare_mm: float  # for pieces that could be cut once more
    squaring_mm: float
    shrinkage_mm: float
    total_mm: float

    @property
    def parts_mm(self) -> tuple[float, float, float, float]:
        """Lay, spare, squaring-up and shrinkage, each a line of its own; together the total."""
        return self.lay_mm, self.spare_mm, self.squaring_mm, self.shrinkage_mm

    @property
    def yards(self) -> str:
        """The total up to the next 1/8 yd."""
        return yards_to_buy(self._covered_mm("in"))

    @property
    def metres(self) -> str:
        """The total up to the next 0.1 m."""
        return metres_to_buy(self._covered_mm("cm"))

    def _covered_mm(self, unit: System) -> float:
        return max(self.total_mm, printed_sum_mm(self.parts_mm, unit))


def to_buy(lay: Lay, *, squaring_mm: float = SQUARING_MM, spare_mm: float = 0.0) -> Purchase:
    """What to buy so that lay, spare and squaring-up are left after the first wash.

    A length L that is to be left after shrinking by the part s is L / (1 - s) before. ValueError
    if squaring-up or spare are less than zero.
    """
    if min(squaring_mm, spare_mm) < 0:
        raise ValueError("Squaring-up and spare cannot be less than zero.")
    needed = lay.length_mm + spare_mm + squaring_mm
    total = needed / (1 - lay.cloth.shrink_length)
    return Purchase(lay.length_mm, spare_mm, squaring_mm, total - needed, total)
