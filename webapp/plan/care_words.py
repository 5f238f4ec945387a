"""What the words of a plan name that can hurt: cords, small parts, blades, irons, needles.

Words are found whole and in English; what is said not to be there is not found.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from webapp.draft.construction import Caution
from webapp.plan.results import Place, Plan


@dataclass(frozen=True)
class Said:
    """A piece, step or notion by its name, with the words about it."""

    name: str
    words: str
    place: Place
    step: str = ""  # the id of the step, of a step
    kind: str = ""  # of a notion

    @property
    def called(self) -> str:
        """Its name in a sentence: that of a step in quotation marks."""
        return f"“{self.name}”" if self.step else self.name

    @property
    def sentences(self) -> tuple[str, ...]:
        """Its name, and each sentence about it by itself."""
        return (self.name, *re.split(r"[.!?;:]\s+", self.words))


# A tie is a noun where it is somebody's or somewhere's; else it is what hands do with a thread.
_OF_WHAT: Final = (
    "a|an|the|each|every|both|two|four|these|those|your|neck|waist|halter|hood|head|chin|shoulder|"
    "side|back|front|apron|bow|cloth|fabric|matching|long|short|free"
)
_CORD: Final = re.compile(
    r"(?<!piping )(?<!filler )\b(?:draw ?|shoe)?(?:cord|string|lace)s?\b"
    r"(?! (?:trim|trims|trimming|edging|edgings|fabric|cloth|insert|inserts|yoke|collar|panel)\b)"
    rf"|\bribbons?\b|\b(?:{_OF_WHAT}) ties?\b(?! (?:the|it|them|off|up|a|an|together)\b)",
    re.IGNORECASE,
)
_TIE_BY_NAME: Final = re.compile(r"\bties?$", re.IGNORECASE)  # a piece or a notion is a noun
_AT_THE_NECK: Final = re.compile(
    r"\b(?:hood|hoods|hooded|neck|necks|neckline|neckband|head|heads|throat|halter)\b",
    re.IGNORECASE,
)
_SMALL: Final = re.compile(
    r"(?<!yarn )(?<!wool )(?<!thread )(?<!felt )(?<!paper )(?<!crochet )(?<!crocheted )"
    r"(?<!knitted )(?<!elastic )(?<!string )"
    r"\b(?:buttons?|snaps|snap fasteners?|press studs?|poppers?|studs?|rivets?|beads?|sequins?|"
    r"pom-?poms?|toggles?|cord (?:stops?|locks?|ends?)|zip(?:per)? (?:pulls?|pullers?|tabs?)|"
    r"zips?|zippers?|bells?|charms?|buckles?|rhinestones?|"
    r"hooks?(?: and (?:eyes?|bars?))?)\b"
    r"(?!-| bands?\b| thread\b| foot\b| feet\b)",
    re.IGNORECASE,
)
_NAMED: Final[Mapping[Caution, re.Pattern[str]]] = {
    "blades": re.compile(
        r"\b(?:rotary cutters?|scissors|shears|snips|seam rippers?|craft kni(?:fe|ves)|"
        r"(?<!shoulder )blades?)\b",
        re.IGNORECASE,
    ),
    "iron": re.compile(
        r"\b(?<!cast )iron(?:s|ed|ing)?\b"
        r"|(?<!finger )(?<!finger-)\bpress(?:ed|es|ing)?\b(?! (?:studs?|snaps?|buttons?)\b)",
        re.IGNORECASE,
    ),
    "needles": re.compile(
        r"(?<!rolling )\bpin(?:s|ned|ning)?\b(?![ -](?:tucks?|stripes?|tucked|striped)\b)"
        r"|\bneedles?\b(?! ?cord\b)",
        re.IGNORECASE,
    ),
}
_HOOKS: Final = ("hook", "hooks")
_TAPE: Final = re.compile(r"\bhooks?[ -]and[ -]loops?\b", re.IGNORECASE)
# Right before what is named: then it is not there.
_NOT: Final = re.compile(
    r"\b(?:no|not|without|never|nor|instead of|rather than)(?: a| an| any| the)?"
    r"(?: \w+(?:,| or| nor))*(?: \w+)?\s*$",
    re.IGNORECASE,
)


def said(plan: Plan) -> Iterator[Said]:
    """Every piece, step and notion of the episode, with its words, figures filled in."""
    for draft in plan.drafts:
        for piece in draft.recipe.pieces:
            yield Said(piece.name, piece.note, Place("draft", draft.recipe.id, piece.name))
    for row in plan.steps:
        place = Place("build", item=row.step.id)
        yield Said(row.step.name, row.words.plain, place, step=row.step.id)
    for one in plan.notions:
        words = f"{one.amount.plain}. {one.why.plain}"
        place = Place("shopping", item=one.notion.name)
        yield Said(one.notion.name, words, place, kind=one.notion.kind)


def cord_in(one: Said) -> str:
    """The cord, drawstring, tie, ribbon, string or lace it names; else empty."""
    if not one.step and (tie := _TIE_BY_NAME.search(one.name)):
        return tie[0].lower()
    return next((word for _, word in _cords(one)), "")


def cord_at_neck(one: Said) -> bool:
    """Whether it names a cord together with hood, neck or head, in its name or in a sentence."""
    if not cord_in(one):
        return False
    by_name = bool(_AT_THE_NECK.search(one.name))
    return by_name or any(_AT_THE_NECK.search(sentence) for sentence, _ in _cords(one))


def _cords(one: Said) -> Iterator[tuple[str, str]]:
    for sentence in one.sentences:
        if word := _found(_CORD, sentence):
            # A tie was found with what it belongs to.
            yield sentence, word.split()[-1] if word.endswith(("tie", "ties")) else word


def small_parts_in(text: str) -> tuple[str, ...]:
    """The buttons, snaps, beads, toggles and the like that a text names, as it names them.

    What is made of paper, yarn, felt, elastic or string throughout is none, nor is hook and loop
    tape.
    """
    tape = bool(_TAPE.search(text))  # its hooks are a tape's
    return tuple(word for word in _all_found(_SMALL, text) if not (tape and word in _HOOKS))


def named_in(text: str, caution: Caution) -> str:
    """The blade, iron or needle that a text names, by its caution; else empty."""
    pattern = _NAMED.get(caution)
    return _found(pattern, text) if pattern else ""


def _found(pattern: re.Pattern[str], text: str) -> str:
    return next(_all_found(pattern, text), "")


def _all_found(pattern: re.Pattern[str], text: str) -> Iterator[str]:
    plain = " ".join(text.split())
    for match in pattern.finditer(plain):
        if not _NOT.search(plain[: match.start()]):
            yield match[0].lower()
