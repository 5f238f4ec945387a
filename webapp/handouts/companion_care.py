"""How a cloth is washed and pressed, by what it is called and by what its card says.

Common practice, no source. Where a fibre is not named, only what is so of any cloth is said.
"""

import re
from typing import Final

from webapp.cloth.cloths import EpisodeCloth

# What finds the fibre in a cloth's name and description, and how it is pressed. Of a mixture
# named by several, the one that stands the least heat comes first.
_BY_FIBRE: Final[tuple[tuple[str, str], ...]] = (
    (
        r"velvet|velveteen|corduroy|needlecord|fleece|pile",
        "Press it from the wrong side over a towel, with steam and without weight, so that the "
        "pile stands.",
    ),
    (
        r"polyester|polyamide|nylon|acrylic|acetate",
        "Press it with a cool iron and a cloth between: it melts before it scorches.",
    ),
    (
        r"silk|satin|chiffon|viscose|rayon|lyocell",
        "Press it dry with a cool iron from the wrong side; drops of water can leave marks.",
    ),
    (
        r"wool|woollen|flannel|tweed|felt",
        "Wash it by hand in cool water without wringing, dry it flat, and press it with steam "
        "through a damp cloth.",
    ),
    (r"linen|hemp", "Press it hot while it is still damp, dark colours from the wrong side."),
    (
        r"cotton|denim|canvas|calico|poplin|lawn|chambray|muslin|gingham|jersey|interlock",
        "Press it hot with steam, dark colours from the wrong side.",
    ),
)
_KNIT_PER_CENT: Final = 10.0  # a cloth that gives this much is mostly a knit: see `cloth.needles`
_WASH: Final = "Wash it as it was washed before it was cut, no hotter and no rougher."
_FLAT: Final = "Dry it flat: a knit grows on the line."


def care_of(cloth: EpisodeCloth) -> str:
    """How to wash and press what is made of this cloth, in a few sentences."""
    called = f"{cloth.name} {cloth.description}"
    pressing = next(
        (words for found, words in _BY_FIBRE if re.search(rf"\b(?:{found})", called, re.I)), ""
    )
    washing = "" if pressing.startswith("Wash") else _WASH
    flat = _FLAT if cloth.stretch >= _KNIT_PER_CENT and "flat" not in pressing else ""
    return " ".join(part for part in (washing, flat, pressing) if part)
