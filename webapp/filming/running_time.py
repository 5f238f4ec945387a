"""Running time: how long narration takes to speak and a shot stays on the screen, in seconds."""

import math
import re
from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from webapp.build.rates import Rate, Rates, table
from webapp.filming.shots import Pace, Shot, ShotKind

SPEAKING: Final = Rate(
    "speaking", "narration at an easy pace", 125, 140, 150, "words a minute",
    "Lucas, The Art of Public Speaking, 8th ed., p. 300: 125 to 150; likely: within that range",
)  # fmt: skip
_RATES: Final = table(SPEAKING)

# Shorter than this a viewer cannot take a shot in. Common practice, no source.
LEAST_SECONDS: Final[Mapping[ShotKind, float]] = MappingProxyType(
    {"step": 8.0, "talking": 4.0, "styling": 4.0, "cutaway": 3.0}
)
# A sped-up act is understood in half of that. Common practice, no source.
LEAST_SHARE: Final[Mapping[Pace, float]] = MappingProxyType(
    {"real time": 1.0, "sped up": 0.5, "talked over": 0.75}
)

_SAID: Final = re.compile(
    r"""
      (?P<whole>\d+)[ -](?P<part>\d+/\d+)
    | (?P<fraction>\d+/\d+)
    | (?P<units>\d+)[.,](?P<decimals>\d+)
    | (?P<number>\d+)
    | (?P<vulgar>[¼-¾⅐-⅞])
    | (?P<word>[^\W\d_¼-¾⅐-⅞]+(?:['’-][^\W\d_¼-¾⅐-⅞]+)*)
    | (?P<sign>[%°×″&+=]|(?<=\d)")
    """,
    re.VERBOSE,
)


@lru_cache(maxsize=4096)
def spoken_words(text: str) -> int:
    """The words of a text read aloud, both units of a length included.

    A whole number is a word for each digit that is not nought (61: sixty-one), a fraction two
    words and, after a whole number, a third (“and a half”), a point and each decimal one, a unit
    or sign one. A word with a hyphen counts once, as in a manuscript.
    """
    return sum(_words_of(match) for match in _SAID.finditer(text))


def spoken_seconds(text: str, rates: Rates = _RATES) -> float:
    """Seconds to speak a text at the likely rate of `speaking`."""
    return spoken_words(text) * 60 / rates[SPEAKING.key].likely


def screen_seconds(shot: Shot, narration_text: str, rates: Rates = _RATES) -> float:
    """Seconds on screen: as typed, else the narration's (figures filled in) or the least."""
    if shot.screen_seconds is not None:
        return float(shot.screen_seconds)
    least = LEAST_SECONDS[shot.kind] * LEAST_SHARE[shot.pace]
    return max(spoken_seconds(narration_text, rates), least)


def clock(seconds: float) -> str:
    """Minutes and seconds, with hours from an hour on, to the nearest second.

    >>> clock(725), clock(3725)
    ('12:05', '1:02:05')
    """
    if not 0 <= seconds < math.inf:
        raise ValueError("A running time must be zero or more.")
    minutes, rest = divmod(to_second(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


def to_second(seconds: float) -> int:
    """To the nearest second, a half up."""
    return math.floor(seconds + 0.5)


def _words_of(match: re.Match[str]) -> int:
    if match["whole"]:
        return _number_words(match["whole"]) + 1 + 2
    if match["fraction"]:
        return 2
    if match["vulgar"]:
        after_number = match.string[: match.start()].rstrip()[-1:].isdigit()
        return 3 if after_number else 2
    if match["units"]:
        return _number_words(match["units"]) + 1 + len(match["decimals"])
    return _number_words(match["number"]) if match["number"] else 1


def _number_words(digits: str) -> int:
    said = sum(digit != "0" for digit in digits)
    teen = len(digits) > 1 and digits[-2] == "1" and digits[-1] != "0"
    return max(1, said - teen)
