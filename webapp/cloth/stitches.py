"""ISO 4915 stitch types and the thread they take: one table, each ratio with its source.

A ratio is a length of thread for the same length of seam. The commonly tabulated guide states it
for 7 stitches a centimetre. Published ratios disagree; the other figure stands beside the one that
is taken, and `edited` puts a maker's own in its place.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

COMMON: Final = "common practice, no source"
GUIDE_STITCH_MM: Final = 10 / 7
# The guide states no thickness. At this one, two thin layers, the formula for 301 gives the
# published 2.5, the ratio on which all its sources agree: (2.5 - 2) / 2 of a stitch.
GUIDE_THICKNESS_MM: Final = GUIDE_STITCH_MM / 4
# Nor a width. At this one, a narrow overlock seam, the formula for 504 gives the published 14.
_OVEREDGE_MM: Final = 11 / 4 * GUIDE_STITCH_MM - GUIDE_THICKNESS_MM

_GUIDE: Final = "a thread guide for 7 stitches/cm (18 to the inch)"
_GUIDE_MEMORY: Final = f"{_GUIDE}, from memory"
_SPLIT_MEMORY: Final = f"{_GUIDE}; the split from memory"
_TYPES: Final = "a public document on stitch types"
_APPAREL: Final = "apparelscience.com, ISO stitch types 300 and 400"
_GEOMETRY: Final = "textilecalculations.com, calculate amount of sewing thread consumption"


@dataclass(frozen=True, slots=True)
class Formula:
    """Thread for a unit of seam: along + 4 W S if it has a width + through × T S.

    T is the thickness of the seam, W its width, S stitches a unit of length, in any one unit.
    """

    along: float
    through: float
    width_mm: float = 0.0
    source: str = _GEOMETRY
    conflict: str = ""

    def ratio(self, stitch_length_mm: float, thickness_mm: float) -> float:
        """Millimetres of thread for a millimetre of seam."""
        sideways = 4 * self.width_mm + self.through * thickness_mm
        return self.along + sideways / stitch_length_mm

    @property
    def words(self) -> str:
        """As a sentence quotes it: `2 + 2 × thickness ÷ stitch length`."""
        across = "(width + thickness)" if self.width_mm else "thickness"
        return f"{self.along:g} + {self.through:g} × {across} ÷ stitch length"


@dataclass(frozen=True, slots=True)
class StitchType:
    """A stitch type: its ratio, the part of it that is needle thread, how many threads it has.

    `other` is a ratio that another source gives; `doubt` says what else is not certain.
    """

    number: str
    name: str
    ratio: float
    needle_share: float
    needles: int
    loopers: int  # thread that comes off spools of its own below or over the needles
    source: str
    other: float | None = None
    other_source: str = ""
    formula: Formula | None = None
    doubt: str = ""

    @property
    def called(self) -> str:
        """301 lockstitch."""
        return f"{self.number} {self.name}"

    @property
    def in_words(self) -> str:
        """What its number stands for."""
        return IN_WORDS[self.number]

    @property
    def has_bobbin(self) -> bool:
        """True for the lockstitches, whose under thread is wound from the spool of the needle."""
        return self.number.startswith("3")

    @property
    def note(self) -> str:
        """Where the ratio comes from, and what speaks against it, in sentences."""
        said = [f"{self.ratio:g} times the seam: {self.source}."]
        if self.other is not None:
            found = "Published" if self.source == TYPED else "Sources conflict"
            said.append(f"{found}: {self.other:g} in {self.other_source}.")
        if self.doubt:
            said.append(f"{self.doubt}.")
        if self.formula is None:
            said.append("No formula is published: the same at any stitch length and thickness.")
        else:
            said.append(
                "That is at 7 stitches/cm (18 to the inch) in thin cloth; a formula, "
                f"{self.formula.words} ({self.formula.source}), says what your stitch length and "
                "layers change."
            )
            if self.formula.conflict:
                said.append(f"{self.formula.conflict}.")
        return " ".join(said)


Stitches = Mapping[str, StitchType]

_F101: Final = Formula(3, 2)
_F301: Final = Formula(2, 2)
_F401: Final = Formula(4, 2)
_F504: Final = Formula(
    3,
    4,
    _OVEREDGE_MM,
    # 5 + 4S(W + T); the width that makes it 14 is less then, and so is what a longer stitch saves.
    conflict="Another page prints 5 in place of its 3: a tenth more at a stitch of 2.5 mm "
    "(10 to the inch)",
)
TYPED: Final = "your own figure"
# What each is, in a dressmaker's words: common practice, no source.
IN_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "101": "one thread that is looped through itself, and pulls out from its end",
        "103": "the blind hem: one thread, and the needle only nicks the outside",
        "301": "the straight stitch of a sewing machine, a needle thread and a bobbin thread",
        "304": "the zigzag of a sewing machine, a needle thread and a bobbin thread",
        "401": "a straight stitch above and a chain below; it stretches with the cloth",
        "406": "two rows above and loops between them below, as on the hem of a T-shirt",
        "503": "an overlocker’s stitch of two threads: it neatens an edge and joins nothing",
        "504": "an overlocker’s stitch: a needle thread and two looper threads wrap the cut edge",
        "512": "an overlocker’s stitch of four threads: it joins and neatens at once",
        "514": "an overlocker’s stitch of four threads: it joins and neatens at once",
        "516": "an overlocker’s stitch of five threads: a chain seam beside the edge it wraps",
        "602": "two rows joined by loops above and below, to cover a seam flat",
        "605": "three rows joined by loops above and below, to cover a seam flat",
        "607": "four rows that join two edges flat, one just over the other",
    }
)

STITCHES: Final[Stitches] = MappingProxyType(
    {
        stitch.number: stitch
        for stitch in (
            StitchType("101", "single-thread chain stitch", 5, 1, 1, 0, _TYPES,
                       4, _GUIDE, _F101),
            StitchType("103", "blind stitch", 4.5, 1, 1, 0, _TYPES),
            StitchType("301", "lockstitch", 2.5, 0.5, 1, 0, f"{_APPAREL}; {_TYPES}; {_GUIDE}",
                       formula=_F301),
            StitchType("304", "zigzag", 5.5, 0.5, 1, 0, f"{_APPAREL}; {_TYPES}",
                       7, _GUIDE_MEMORY),
            StitchType("401", "two-thread chain stitch", 5.5, 0.25, 1, 1, _GUIDE, formula=_F401,
                       doubt="Unpicked seams took 5.4 and 5.7, but 24 and 53 % of it at the "
                             "needle"),
            StitchType("406", "two-needle cover stitch", 18, 0.3, 2, 1, _GUIDE),
            StitchType("503", "two-thread overedge", 12, 0.55, 1, 1, _GUIDE_MEMORY),
            StitchType("504", "three-thread overedge", 14, 0.2, 1, 2, _SPLIT_MEMORY,
                       formula=_F504),
            StitchType("512", "four-thread mock safety stitch", 18, 0.25, 2, 2, _GUIDE_MEMORY),
            StitchType("514", "four-thread overedge", 18, 0.25, 2, 2,
                       "thread handbooks, from memory", 17, "the same handbooks"),
            StitchType("516", "five-thread safety stitch", 20, 0.2, 2, 3, _SPLIT_MEMORY),
            StitchType("602", "two-needle covering stitch", 25, 0.2, 2, 2, _GUIDE),
            StitchType("605", "three-needle covering stitch", 28, 0.3, 3, 2, _GUIDE),
            StitchType("607", "flat seam", 32, 0.3, 4, 2,
                       "NIMI (Government of India), Sewing Technology trade practical 2, p. 176",
                       doubt="No split is published: that of 605 is taken"),
        )
    }
)  # fmt: skip


def edited(ratios: Mapping[str, float], stitches: Stitches = STITCHES) -> Stitches:
    """The table with a maker's own ratios, by stitch number.

    ValueError, in a sentence, for a stitch it does not hold and for a ratio that is not above 0
    and up to 100.
    """
    table = dict(stitches)
    for number, ratio in ratios.items():
        if number not in table:
            raise ValueError(f"“{number}” is none of the stitch types {', '.join(table)}.")
        if not (math.isfinite(ratio) and 0 < ratio <= 100):
            raise ValueError(
                f"{table[number].called} takes more than 0 and at most 100 times its seam's length."
            )
        table[number] = _with_own(table[number], ratio)
    return MappingProxyType(table)


def _with_own(stitch: StitchType, ratio: float) -> StitchType:
    """The stitch at a maker's own ratio; what was published stays in sight beside it."""
    if stitch.source == TYPED:
        return replace(stitch, ratio=ratio)
    where = stitch.source
    if stitch.other is not None:
        where = f"{where}; {stitch.other:g} in {stitch.other_source}"
    return replace(stitch, ratio=ratio, source=TYPED, other=stitch.ratio, other_source=where)


def stitch_called(text: str, stitches: Stitches = STITCHES) -> StitchType | None:
    """The type whose number stands in the text, as in `301` or `ISO 301 lockstitch`."""
    return next((stitches[word] for word in text.split() if word in stitches), None)


@dataclass(frozen=True, slots=True)
class HandStitch:
    """Thread for a length of seam sewn by hand in single thread."""

    name: str
    ratio: float
    source: str = COMMON
    other: float | None = None  # what is common, beside a maker's own

    @property
    def called(self) -> str:
        """As a list of stitches calls it."""
        return f"{self.name}, by hand"

    @property
    def note(self) -> str:
        """Where its figure comes from, in a sentence."""
        said = f"{self.ratio:g} times the seam, and the tails: {self.source}."
        return said if self.other is None else f"{said} Else {self.other:g}: {COMMON}."


PLAIN: Final = HandStitch("plain", 1.5)
HandStitches = Mapping[str, HandStitch]
HAND_STITCHES: Final[HandStitches] = MappingProxyType(
    {
        stitch.name: stitch
        for stitch in (
            PLAIN,
            HandStitch("running stitch", 1.3),
            HandStitch("tacking", 1.1),
            HandStitch("backstitch", 3.2),  # once along the top, twice below
            HandStitch("slip stitch", 1.3),
            HandStitch("hemming stitch", 2),
            HandStitch("overcast", 3),
            HandStitch("buttonhole stitch", 10),
        )
    }
)


def edited_by_hand(ratios: Mapping[str, float]) -> HandStitches:
    """The hand stitches with a maker's own ratios, by name. ValueError for an unknown name."""
    table = dict(HAND_STITCHES)
    for name, ratio in ratios.items():
        if name not in table:
            raise ValueError(f"“{name}” is none of the hand stitches {', '.join(table)}.")
        table[name] = replace(table[name], ratio=ratio, source=TYPED, other=table[name].ratio)
    return MappingProxyType(table)
