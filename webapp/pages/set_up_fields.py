"""Minutes typed as one figure or as three."""

import re
from typing import Final

from webapp.build.rates import Rate
from webapp.build.work_time import Estimate
from webapp.draft.construction import Minutes
from webapp.pages.forms import Reader
from webapp.pages.forms import minutes as one_figure

_ASIDE: Final = re.compile(r"\s*(?:;|–|—|,(?=\s)|\bto\b|(?<=\d)-|\s)\s*")
_EACH: Final = "Write the likely minutes, like 4, or the least, likely and most, like 2, 4, 9."


def minutes_like(usual: Rate) -> Reader:
    """The likely minutes, with a range in proportion to the usual one; or all three.

    Empty gives None.
    """

    def reader(typed: str) -> Minutes | None:
        if not typed:
            return None
        found = [_read(part) for part in _parts(typed)]
        if len(found) == 1:
            low, high = (found[0] * end / usual.likely for end in (usual.low, usual.high))
            return Minutes(low=low, likely=found[0], high=min(6000.0, high))
        if len(found) != 3:
            raise ValueError(_EACH)
        if found != sorted(found):
            raise ValueError("The three should rise: the least, the likely, the most minutes.")
        return Minutes(low=found[0], likely=found[1], high=found[2])

    return reader


def minutes_shown(minutes: Estimate) -> str:
    """The three as they can be typed again."""
    return ", ".join(f"{figure:g}" for figure in (minutes.low, minutes.likely, minutes.high))


def _parts(typed: str) -> list[str]:
    plain = typed.removesuffix("min").strip()
    # 2,4,9 are three figures; 2,5 is two and a half.
    return plain.split(",") if re.fullmatch(r"\d+,\d+,\d+", plain) else _ASIDE.split(plain)


def _read(part: str) -> float:
    try:
        figure = one_figure(part)
    except ValueError:
        raise ValueError(_EACH) from None
    if figure is None:
        raise ValueError(_EACH)
    return figure
