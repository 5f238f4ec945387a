"""Under which conditions a length to buy holds, in words: how it is laid, what it allows for."""

from collections.abc import Mapping
from typing import Final

from webapp.cloth.cloths import EpisodeCloth, Spare
from webapp.cloth.laid import WayOfLaying

LAID: Final[Mapping[WayOfLaying, str]] = {
    "open": "opened out",
    "folded": "folded lengthwise",
    "folded across": "folded across",
}
_SPARE: Final[dict[Spare, str]] = {
    "none": "no spare",
    "smallest": "the smallest piece once more",
    "all": "every piece once more",
}


def conditions(cloth: EpisodeCloth) -> str:
    """`folded lengthwise, every piece the same way up, 3 % for shrinking, no spare`."""
    up = "every piece the same way up" if cloth.one_way else "pieces either way up"
    shrinks = f"{cloth.shrinks_along:g} %" if cloth.shrinks_along else "nothing"
    return f"{LAID[cloth.laid]}, {up}, {shrinks} for shrinking, {_SPARE[cloth.spare]}"
