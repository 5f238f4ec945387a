"""The length of cloth to buy for a lay."""

from dataclasses import dataclass
from typing import Final

from webapp.cloth.laid import Lay
from webapp.units import metres_to_buy, yards_to_buy

SQUARING_MM: Final = 20.0  # cut off to bring the ends square; common practice, no source


@dataclass(frozen=True)
class Purchase:
    """A length to buy and what it is made of, mm."""

    lay_mm: float
    squaring_mm: float
    shrinkage_mm: float
    total_mm: float

    @property
    def yards(self) -> str:
        """The total up to the next 1/8 yd."""
        return yards_to_buy(self.total_mm)

    @property
    def metres(self) -> str:
        """The total up to the next 0.1 m."""
        return metres_to_buy(self.total_mm)


def to_buy(lay: Lay) -> Purchase:
    """What to buy so that the lay and the squaring-up are left after the first wash.

    A length L that is to be left after shrinking by the part s is L / (1 - s) before.
    """
    needed = lay.length_mm + SQUARING_MM
    total = needed / (1 - lay.cloth.shrink_length)
    return Purchase(lay.length_mm, SQUARING_MM, total - needed, total)
