"""Finding in an episode: everything that has a name, a figure or words, by all the words asked for.

Capitals and accents make no difference. A number is met only by the same number: 12 finds neither
12 1/4 nor 112. What bears the words as its name comes before what only tells them.
"""

import difflib
import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from webapp.plan.find_in import SAID_KINDS, Candidate, candidates
from webapp.plan.results import Place, Plan

LONGEST_ASKED: Final = 200
MOST_WORDS: Final = 12
_AROUND: Final = 90  # characters of a passage before and after what was found in it
_NEAR: Final = 6
_LIKE: Final = 0.72  # of difflib: one or two letters of a word otherwise

_NUMBER: Final = r"\d+(?:[.,]\d+)?(?: \d+/\d+|/\d+)?"
_UNIT: Final = r" ?(?:mm|cm|m|in|ft|yd)(?!\w)"
_ASKED: Final = re.compile(rf"{_NUMBER}(?:{_UNIT})?|[^\s\d“”\"(){{}},;:]+")
_VULGAR: Final = re.compile(r"(?<=\d)(?=[¼-¾⅐-⅞])")

Marked = tuple[tuple[str, bool], ...]  # parts of a text in turn, and whether each was asked for


@dataclass(frozen=True, slots=True)
class Hit:
    """Something found: its kind, its name and a passage of it with what was found marked."""

    kind: str
    name: Marked
    passage: Marked
    place: Place


@dataclass(frozen=True, slots=True)
class _Term:
    """A word or number (with its unit) asked for, folded; how near a text is to it."""

    pattern: re.Pattern[str]
    whole: re.Pattern[str]

    def nearness(self, folded: str) -> int:
        """3 for the very word, 2 for its beginning, 0 for none."""
        if self.whole.search(folded):
            return 3
        return 2 if self.pattern.search(folded) else 0


def find(plan: Plan, asked: str, *, only_said: bool = False) -> tuple[Hit, ...]:
    """What holds every word asked for at a word's beginning, the nearest first; each thing once.
    Nothing for nothing asked. `only_said`: only what viewers hear or read, narration and cards."""
    terms, phrase = _terms(asked), fold(" ".join(asked.split()))[0]
    if not terms:
        return ()
    found: list[tuple[int, int, Hit]] = []
    for at, one in enumerate(candidates(plan)):
        if only_said and one.kind not in SAID_KINDS:
            continue
        name, passage = fold(one.name)[0], fold(one.passage)[0]
        score = 0
        for term in terms:
            tells = term.nearness(passage) * (4 if one.is_figure else 1)
            nearness = max(4 * term.nearness(name), tells)
            if not nearness:
                break
            score += nearness
        else:
            score += 20 * (name == phrase) + 6 * (phrase in name) + 3 * (phrase in passage)
            hit = Hit(
                one.kind, marked(_told_name(one), terms), _excerpt(one.passage, terms), one.place
            )
            found.append((-score, at, hit))
    once: dict[tuple[str, Place], Hit] = {}
    for _, _, hit in sorted(found, key=lambda row: row[:2]):
        once.setdefault(("".join(text for text, _ in hit.name).casefold(), hit.place), hit)
    return tuple(once.values())


def _told_name(one: Candidate) -> str:
    """A piece's figure as it is read: `Skirt front: hem turn under`."""
    return one.name.replace(".", ": ", 1) if one.is_figure else one.name


def near(plan: Plan, asked: str) -> tuple[str, ...]:
    """Words of the episode that are like those asked for, where nothing has them all."""
    words: dict[str, str] = {}
    for one in candidates(plan):
        for word in re.findall(r"[^\W\d_]{3,}", f"{one.name} {one.passage}"):
            words.setdefault(fold(word)[0], word)
    offered: list[str] = []
    for asked_word in re.findall(r"[^\W\d_]{3,}", fold(asked)[0]):
        offered += difflib.get_close_matches(asked_word, words, n=_NEAR, cutoff=_LIKE)
    return tuple(dict.fromkeys(words[key] for key in offered))[:_NEAR]


@lru_cache(maxsize=8192)
def fold(text: str) -> tuple[str, tuple[int, ...] | None]:
    """The text without capitals and accents, and where each character stood; None: in its place.

    >>> fold("Näht 28½")[0]
    'naht 28 1/2'
    """
    if text.isascii():
        return text.lower(), None
    folded: list[str] = []
    stood: list[int] = []
    spaces = {match.start() for match in _VULGAR.finditer(text)}
    for at, character in enumerate(text):
        plain = _fold_one(character)
        if at in spaces:
            plain = " " + plain
        folded.append(plain)
        stood.extend([at] * len(plain))
    return "".join(folded), tuple(stood)


@lru_cache(maxsize=2048)
def _fold_one(character: str) -> str:
    parts = unicodedata.normalize("NFKD", character.casefold())
    plain = "".join(one for one in parts if not unicodedata.combining(one))
    return plain.replace("⁄", "/").replace("’", "'")


def _terms(asked: str) -> tuple[_Term, ...]:
    folded = fold(" ".join(asked[:LONGEST_ASKED].split()))[0]
    return tuple(_term(one) for one in _ASKED.findall(folded)[:MOST_WORDS])


@lru_cache(maxsize=256)
def _term(word: str) -> _Term:
    if word[0].isdigit():
        unit = re.search(r"[a-z]+$", word)
        digits = word[: unit.start()].strip() if unit else word
        number = re.escape(digits.replace(",", ".")).replace("\\.", "[.,]")
        after = rf" ?{unit[0]}(?!\w)" if unit else r"(?! \d+/\d)(?![/\d]|[.,]\d)"
        alone = re.compile(rf"(?<![\d./,]){number}{after}")
        return _Term(alone, alone)
    plain = re.escape(word)
    begins = r"(?<![^\W\d])"  # also behind a digit: the asked-for 2XL is the terms 2 and XL
    return _Term(re.compile(begins + plain), re.compile(rf"{begins}{plain}(?!\w)"))


def marked(text: str, terms: Iterable[_Term]) -> Marked:
    """The text in parts, those that were asked for marked."""
    folded, stood = fold(text)
    held = [False] * len(text)
    for term in terms:
        for match in term.pattern.finditer(folded):
            for i in range(match.start(), match.end()):
                held[i if stood is None else stood[i]] = True
    return tuple(_parts(text, held))


def _parts(text: str, held: list[bool]) -> Iterator[tuple[str, bool]]:
    start = 0
    for i in range(1, len(text) + 1):
        if i == len(text) or held[i] != held[start]:
            yield text[start:i], held[start]
            start = i


def _excerpt(text: str, terms: tuple[_Term, ...]) -> Marked:
    """The passage around what of the words is rarest in it; its beginning where none is."""
    folded, stood = fold(text)
    found = [[m.start() for m in term.pattern.finditer(folded)] for term in terms]
    at = min((places for places in found if places), key=len, default=[0])[0]
    at = at if stood is None or not stood else stood[at]
    start, end = max(0, at - _AROUND), at + 2 * _AROUND
    start = 0 if start < 20 else text.find(" ", start, at) + 1 or start
    if end < len(text):
        end = text.rfind(" ", at, end)
        end = at + 2 * _AROUND if end <= at else end
    parts = marked(text[start:end], terms)
    before: Marked = (("… ", False),) if start else ()
    after: Marked = ((" …", False),) if end < len(text) else ()
    return (*before, *parts, *after)
