"""Running text in short lines, and in parts of two such lines, for reading on a screen.

A measurement, with its pair in brackets, stays on one line. Nothing is left out: a word longer than
a line goes on in the next.
"""

import re
import unicodedata
from collections.abc import Iterator, Sequence
from typing import Final

from webapp.filming.figures import NUMBER
from webapp.filming.running_time import spoken_words

# Two lines of 42 characters at most: common practice, no source.
LONGEST_LINE: Final = 42
_MOST: Final = 2 * LONGEST_LINE + 1  # characters of two lines and the space between them

_UNIT: Final = (
    r"(?:mm|cm|m|in|inch(?:es)?|yards?|yds?|feet|ft|(?:milli|centi)?met(?:er|re)s?)\b|[\"″]"
)
_ONE: Final = rf"{NUMBER}(?: ?(?:-|–|×|x|to|or) ?{NUMBER})?[ -]?(?:{_UNIT})"
_RUN: Final = rf"{_ONE}(?: ?(?:×|x|by|and) {_ONE})*"
_PAIR: Final = re.compile(
    rf"(?<![\w.,/])\(?{_RUN}(?:\.? ?\( ?(?:about |approx\.? |[=≈~] ?)?{_RUN} ?\))?",
    re.IGNORECASE,
)
_SINGLE: Final = re.compile(_ONE, re.IGNORECASE)
_KEPT: Final = "\u00a0"  # where a space must not become the end of a line

_ENDS_SENTENCE: Final = re.compile(r"[.!?…。！？؟]['’”\")\]]*$")
_ENDS_CLAUSE: Final = re.compile(r"[,;:·–—،、]['’”\")\]]*$")
# What a part costs, so that the cheapest way through a text reads best. From memory of captions
# that read well: sentences whole, else to a comma; few parts, none of them very short.
_PART, _INSIDE, _SHORT, _AT_CLAUSE, _AT_WORD = 6.0, 1.0, 5.0, 3.0, 9.0
_SHORT_CHARS, _FEW_WORDS = 15, 3  # fewer words are spoken in a second and a little: a flash
_MANY_WORDS, _ONE_MORE = 17, 0.8  # spoken in some 7 seconds; figures are many words


def plain(text: str) -> str:
    """The text on one line: spaces and ends of lines as one space, nothing that cannot be seen."""
    seen = "".join(" " if unicodedata.category(one) == "Cc" else one for one in text)
    return " ".join(seen.split())


def lines(text: str) -> list[str]:
    """The text in as few lines as it takes, parted after a comma rather than elsewhere."""
    words = _words(text)
    if words and _fits(words, len(" ".join(words))):
        return _shown(_two_lines(words))
    # best[i]: the fewest lines of the words from i on, what they cost, and where the first ends.
    best: list[tuple[int, float, int]] = [(0, 0.0, len(words))] * (len(words) + 1)
    for first in range(len(words) - 1, -1, -1):
        best[first] = min(
            (best[end][0] + 1, cost + best[end][1], end) for end, cost in _ends(words, first)
        )
    found, at = [], 0
    while at < len(words):
        found.append(" ".join(words[at : best[at][2]]))
        at = best[at][2]
    return _shown(found)


def _ends(words: Sequence[str], first: int) -> Iterator[tuple[int, float]]:
    """Where a line that begins with a word may end, and what it costs: much of it left empty too.

    A word alone always fits.
    """
    length = -1
    for end in range(first + 1, len(words) + 1):
        length += 1 + len(words[end - 1])
        if length > LONGEST_LINE:
            return
        empty = (LONGEST_LINE - length) / LONGEST_LINE
        yield end, 9 * empty * empty + (_break_after(words[end - 1]) if end < len(words) else 0.0)


def parts(text: str) -> list[list[str]]:
    """The text in parts of one line or two, each ending with a sentence where it can."""
    words = _words(text)
    # best[i]: the least cost of the words from i on, and where the part that begins there ends.
    best: list[tuple[float, int]] = [(0.0, len(words))] * (len(words) + 1)
    for first in range(len(words) - 1, -1, -1):
        best[first] = min(
            (cost + best[end][0], end) for end, cost in _ways(words, first)
        )  # a word alone always fits
    found, at = [], 0
    while at < len(words):
        end = best[at][1]
        found.append(_shown(_two_lines(words[at:end])))
        at = end
    return found


def _shown(found: Sequence[str]) -> list[str]:
    return [line.replace(_KEPT, " ") for line in found]


def _ways(words: Sequence[str], first: int) -> Iterator[tuple[int, float]]:
    """Where a part that begins with a word may end, and what it costs to end there."""
    length, inside, spoken = -1, 0.0, 0
    for end in range(first + 1, len(words) + 1):
        word = words[end - 1]
        length += 1 + len(word)
        spoken += spoken_words(word.replace(_KEPT, " "))
        if length > _MOST or not _fits(words[first:end], length):
            return
        cost = _PART + inside + _ONE_MORE * max(0, spoken - _MANY_WORDS)
        cost += _SHORT if length < _SHORT_CHARS or spoken < _FEW_WORDS else 0.0
        yield end, cost + (_break_after(word) if end < len(words) else 0.0)
        inside += _INSIDE if _ENDS_SENTENCE.search(word) else 0.0


def _break_after(word: str) -> float:
    """What it costs to go on in the next part, or line, after a word."""
    if _ENDS_SENTENCE.search(word):
        return 0.0
    return _AT_CLAUSE if _ENDS_CLAUSE.search(word) else _AT_WORD


def _fits(words: Sequence[str], length: int) -> bool:
    """Whether words of that length together go into two lines."""
    if length <= LONGEST_LINE:
        return True
    ahead = -1
    for word in words:
        if ahead + 1 + len(word) > LONGEST_LINE:
            break
        ahead += 1 + len(word)
    return length - ahead - 1 <= LONGEST_LINE


def _two_lines(words: Sequence[str]) -> list[str]:
    """One line, or two as alike in length as can be, parted after a comma rather than elsewhere."""
    whole = " ".join(words)
    if len(whole) <= LONGEST_LINE:
        return [whole]
    both = [(" ".join(words[:at]), " ".join(words[at:])) for at in range(1, len(words))]
    fitting = [pair for pair in both if max(map(len, pair)) <= LONGEST_LINE]
    return list(min(fitting, key=lambda pair: _unlike(*pair)))


def _unlike(upper: str, lower: str) -> float:
    return abs(len(upper) - len(lower)) + 1.5 * _break_after(upper.rpartition(" ")[2])


def _words(text: str) -> list[str]:
    """The words, none longer than a line; a measurement is one word."""
    kept = _PAIR.sub(_unbroken, plain(text))
    return [part for word in kept.split(" ") if word for part in _no_longer(word)]


def _unbroken(found: re.Match[str]) -> str:
    if len(found[0]) <= LONGEST_LINE:
        return found[0].replace(" ", _KEPT)
    return _SINGLE.sub(lambda one: one[0].replace(" ", _KEPT), found[0])


def _no_longer(word: str) -> Iterator[str]:
    """The word in parts that fit a line, no sign parted from what is joined to it."""
    if len(word) <= LONGEST_LINE:
        yield word
        return
    line = ""
    for sign in _signs(word):
        if line and len(line) + len(sign) > LONGEST_LINE:
            yield line
            line = ""
        line += sign
    yield line


def _signs(word: str) -> Iterator[str]:
    """The characters with the accents, selectors and joined emoji that belong to them."""
    sign = ""
    for one in word:
        if sign and not _belongs(one, sign):
            yield sign
            sign = ""
        sign += one
    yield sign


def _belongs(one: str, sign: str) -> bool:
    """Whether a character goes on with a sign: most of Unicode's rules for grapheme clusters."""
    if len(sign) >= LONGEST_LINE:
        return False  # accents piled up for mischief
    joined = one == "\u200d" or sign.endswith("\u200d") or "\U0001f3fb" <= one <= "\U0001f3ff"
    flag = len(sign) == 1 and all("\U0001f1e6" <= half <= "\U0001f1ff" for half in (sign, one))
    tag = "\U000e0020" <= one <= "\U000e007f"
    return joined or flag or tag or unicodedata.category(one) in ("Mn", "Mc", "Me")
