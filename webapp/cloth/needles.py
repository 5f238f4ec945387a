"""The machine needle for a cloth, by what it weighs and how far it stretches.

Sizes are paired as published: Nm is a hundred times the blade's diameter in mm (DIN 5325), and a
US size n below 19 is Nm (n - 8) x 5 + 60. Which size and point a weight asks for: common practice,
no source.
"""

import re
from dataclasses import dataclass
from typing import Final

# US size by the weight it goes up to, g/m²; common practice, no source.
_UP_TO: Final = ((70.0, 8), (130.0, 10), (200.0, 12), (300.0, 14), (400.0, 16))
_HEAVIEST: Final = 18
_DENSE_G_PER_M2: Final = 350.0  # from here on a cloth that does not give takes a sharp point
_KNIT_PER_CENT: Final = 10.0  # a cloth that gives this much is mostly a knit
_ELASTIC_PER_CENT: Final = 50.0
# Names of cloths that stretch, in the trade's words: common practice, no source. One of the others
# in the same name says that it is woven, as a corduroy is that has a rib.
_STRETCHY: Final = re.compile(
    r"\b(jerseys?|knits?|knitted|interlock|rib|ribbed|ribbing|sweatshirt|sweatshirting|elastane"
    r"|spandex)\b"
)
_NOT_STRETCHY: Final = re.compile(r"\b(woven|weave|corduroy|needlecord|twill)\b")


@dataclass(frozen=True, slots=True)
class Needle:
    """A machine needle: its point, its US size (None when the weight is not known), and why."""

    point: str
    us: int | None
    why: str

    @property
    def words(self) -> str:
        """As it is asked for in a shop: `80/12, universal`."""
        return f"{nm(self.us)}/{self.us}, {self.point}" if self.us else f"{self.point} point"


def nm(us: int) -> int:
    """The Nm size that is sold with a US size from 8 to 18. ValueError for any other."""
    if not 8 <= us <= 18:
        raise ValueError("The rule holds for US sizes from 8 to 18.")
    return (us - 8) * 5 + 60


def seems_to_stretch(called: str) -> str:
    """The word in a cloth's name or description by which it probably stretches; else empty."""
    words = called.lower()
    found = None if _NOT_STRETCHY.search(words) else _STRETCHY.search(words)
    return found[0] if found else ""


def needle_for(g_per_m2: float | None, stretch_per_cent: float, called: str = "") -> Needle:
    """The needle for a cloth of this weight that stretches so far by hand.

    `called` is its name and what it is: they may say that it stretches where its card does not.
    """
    point, because = _point(g_per_m2, stretch_per_cent)
    if stretch_per_cent == 0 and (word := seems_to_stretch(called)):
        because += (
            f" But “{word}” probably stretches: give its stretch on the Cloth page, and the point "
            "follows."
        )
    if g_per_m2 is None:
        return Needle(point, None, f"{because} Its size goes by the weight of the cloth.")
    us = next((us for most, us in _UP_TO if g_per_m2 <= most), _HEAVIEST)
    size = (
        "A blade thicker than the cloth needs leaves holes; a thinner one bends and breaks."
        if us < _HEAVIEST
        else "So heavy a cloth bends a thinner blade."
    )
    return Needle(point, us, f"{because} {size}")


def _point(g_per_m2: float | None, stretch_per_cent: float) -> tuple[str, str]:
    if stretch_per_cent >= _ELASTIC_PER_CENT:
        return "stretch", "The cloth is elastic: a stretch needle skips no stitches in it."
    if stretch_per_cent >= _KNIT_PER_CENT:
        return (
            "ballpoint",
            "The cloth stretches: a round point parts its threads, a sharp one cuts.",
        )
    if g_per_m2 is not None and g_per_m2 >= _DENSE_G_PER_M2:
        return (
            "sharp, for jeans",
            "The cloth is dense: a sharp, stiff blade goes straight through.",
        )
    hardly = f"hardly stretches ({stretch_per_cent:g} %)"
    does = hardly if stretch_per_cent else "does not stretch"
    return "universal", f"As long as the cloth {does}, an all-round point will do."
