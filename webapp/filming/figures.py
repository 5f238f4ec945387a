"""Live figures: `{Front.hem}` in a text becomes the drafted length, in both units."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cached_property, lru_cache
from itertools import islice, pairwise
from typing import Final, Literal

from webapp.draft.names import name_key
from webapp.units import System, both_called

# A brace without its partner, and braces around nothing, are plain text.
_FIGURE: Final = re.compile(r"\{(\s*[^{}\s][^{}]*)\}")
_MOST_STRAY: Final = 5
_STRAY: Final = re.compile(r"\{\s*\}|\{[^{}]*|[^{}]*\}")
_LONGEST_STRAY: Final = 24  # characters, enough to find it again


@dataclass(frozen=True, slots=True)
class Part:
    """A run of a text; a missing figure keeps its braces."""

    text: str
    kind: Literal["text", "figure", "missing"] = "text"


@dataclass(frozen=True)
class LiveText:
    """A text with its figures filled in."""

    parts: tuple[Part, ...]

    @cached_property
    def plain(self) -> str:
        """The whole text as it is read."""
        return "".join(part.text for part in self.parts)

    @cached_property
    def missing(self) -> tuple[str, ...]:
        """The names that no figure has, as typed, each once."""
        names = (part.text[1:-1].strip() for part in self.parts if part.kind == "missing")
        return tuple(dict.fromkeys(names))

    @cached_property
    def stray(self) -> tuple[str, ...]:
        """Where a brace has no partner, or two stand around nothing, each with words beside it;
        the first few of a text, which are enough to find its others by."""
        texts = (
            p.text for p in self.parts if p.kind == "text" and ("{" in p.text or "}" in p.text)
        )
        found = (match[0] for text in texts for match in _STRAY.finditer(text))
        return tuple(map(_excerpt, islice(found, _MOST_STRAY)))


def _excerpt(stray: str) -> str:
    words = " ".join(stray.split())
    if len(words) <= _LONGEST_STRAY:
        return words
    if words.startswith("{"):
        return f"{words[:_LONGEST_STRAY].rstrip()}…"
    return f"…{words[-_LONGEST_STRAY:].lstrip()}"


def render(text: str, figures_mm: Mapping[str, float], first: System) -> LiveText:
    """The text with every figure in both units, `first` standing first.

    `figures_mm` has lower-case names: "bust", "body ease", "front.hem".
    """
    if "{" not in text:  # as most are
        return LiveText((Part(text),) if text else ())
    return LiveText(tuple(_parts(text, figures_mm, first)))


def filled(text: str, shown: Mapping[str, str]) -> str:
    """The text with every live figure as `shown` has it, by names in lower case."""
    return _FIGURE.sub(lambda live: shown.get(name_key(live[1]), live[0]), text)


def quoted(text: str) -> tuple[str, ...]:
    """The names of the live figures in a text, as typed, each once."""
    return tuple(dict.fromkeys(match[1].strip() for match in _FIGURE.finditer(text)))


def near(name: str, names: Iterable[str], *, alike: float = 0.6) -> str | None:
    """The name most like this one, in any case, as it stands in `names`; None if none is.

    `alike` is the least likeness, from 0 to 1 (difflib's ratio).
    """
    by_key = {name_key(each): each for each in names}
    found = get_close_matches(name_key(name), by_key, n=1, cutoff=alike)
    return by_key[found[0]] if found else None


def _parts(text: str, figures_mm: Mapping[str, float], first: System) -> Iterator[Part]:
    end = 0
    for match in _FIGURE.finditer(text):
        if match.start() > end:
            yield Part(text[end : match.start()])
        key = name_key(match[1])
        mm = figures_mm.get(key)
        if mm is None:
            yield Part(match[0], "missing")
        else:
            yield Part(both_called(key, mm, first), "figure")
        end = match.end()
    if end < len(text):
        yield Part(text[end:])


# --- Lengths typed in one unit only ----------------------------------------------------------

NUMBER: Final = r"(?:\d+[ -]\d+/\d+|\d+/\d+|\d+[.,]\d+|\d+[ ]?[½¼¾⅓⅔⅛⅜⅝⅞]|\d+|[½¼¾⅓⅔⅛⅜⅝⅞])"
_LENGTH: Final = re.compile(
    rf"""
    (?<![\w.,/½¼¾⅓⅔⅛⅜⅝⅞])
    (?P<number>{NUMBER}(?:\ ?(?:-|–|x|×|to|or)\ ?{NUMBER})?)
    (?P<gap>[ \u00a0-]?)
    (?P<unit>(?i:mm|cm|millimet(?:er|re)s?|centimet(?:er|re)s?|met(?:er|re)s?
        |inch(?:es)?|ins?|yards?|yds?|feet|ft)(?![\w²³])|m(?![\w²³])|["″])
    """,
    re.VERBOSE,
)
_METRIC: Final = ("mm", "cm", "m")
_BROKEN: Final = re.compile(r"[/.,½¼¾⅓⅔⅛⅜⅝⅞]")
_OPENS_PAIR: Final = re.compile(r"\.?\s?\(\s?(?:about\s|approx\.?\s|[=≈~]\s?)?")
_JOINS: Final = re.compile(r"\s?(?:(?:x|×|by|to|and|-|–)\s?)?")

# Behind a whole number "in" may be the preposition ("cut 2 in lining"): it is taken for the unit
# only where the text ends or pauses, or where one of these follows.
_AFTER_INCHES: Final = re.compile(
    r"""\s*(?:$|[.,;:!?()\[\]…–—×"”’&+\n{])
    |\s(?i:wide|long|deep|high|tall|thick|apart|from|of|down|up|along|across|around|round|above
        |below|beyond|past|inside|outside|into|on|off|before|after|for|to|more|less|longer|wider
        |shorter|each|all|and|or|at|x|hems?|seams?|allowances?|squares?|strips?)\b""",
    re.VERBOSE,
)
# Machines are set in millimetres wherever they are sold.
_STITCH_BEFORE: Final = re.compile(r"(?i:stitch(?:es)?(?: length)?(?: (?:of|to|at|is))?:?\s?)$")
_STITCH_AFTER: Final = re.compile(r"[\s-]?(?:long\s)?(?i:stitch)")


@lru_cache(maxsize=4096)
def single_unit_measurements(text: str) -> tuple[str, ...]:
    """The lengths typed out in inches or centimetres alone: no live figure, no pair in brackets.

    >>> single_unit_measurements("Cut 12 in of tape, turn 1.5 cm (5/8 in), match {Front.hem}.")
    ('12 in',)
    """
    return tuple(text[run[0].start() : run[-1].end()] for run in single_unit_runs(text))


def single_unit_runs(text: str) -> tuple[tuple[re.Match[str], ...], ...]:
    """The same with their places: for each, the matches that read as one, `number` and `unit`."""
    typed = _FIGURE.sub(lambda figure: "\0" * len(figure[0]), text)  # kept as long as it was
    found = [match for match in _LENGTH.finditer(typed) if _is_length(match, typed)]
    runs = _runs(found, typed)
    paired: set[int] = set()
    for at, (one, other) in enumerate(pairwise(runs)):
        between = typed[one[-1].end() : other[0].start()]
        if _OPENS_PAIR.fullmatch(between) and is_metric(one[0]) != is_metric(other[0]):
            paired |= {at, at + 1}
    return tuple(tuple(run) for at, run in enumerate(runs) if at not in paired)


def _runs(found: list[re.Match[str]], typed: str) -> list[list[re.Match[str]]]:
    """Lengths of one system side by side are one: 1 yd 4 in, 5 cm × 10 cm."""
    runs: list[list[re.Match[str]]] = []
    for match in found:
        last = runs[-1][-1] if runs else None
        if (
            last
            and _JOINS.fullmatch(typed[last.end() : match.start()])
            and is_metric(last) == is_metric(match)
        ):
            runs[-1].append(match)
        else:
            runs.append([match])
    return runs


def is_metric(match: re.Match[str]) -> bool:
    """True for a match of `single_unit_runs` in millimetres, centimetres or metres."""
    unit = match["unit"].lower()
    return unit in _METRIC or "met" in unit


def _is_length(match: re.Match[str], typed: str) -> bool:
    if match["unit"].lower() == "in" and not _BROKEN.search(match["number"]):
        return match["gap"] != " " or _AFTER_INCHES.match(typed, match.end()) is not None
    stitch = _STITCH_BEFORE.search(typed, max(0, match.start() - 30), match.start())
    return not (stitch or _STITCH_AFTER.match(typed, match.end()))
