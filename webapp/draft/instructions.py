"""Draft it yourself: the words of every piece with letters for figures, and how each is had.

What is the same for everybody is told as the length it is. What follows the body has a letter,
the same one wherever it is worked out alike; a choice that follows the body has a line by its name.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final, Literal

from webapp.draft.evaluate import Draft, Piece
from webapp.draft.expressions import read
from webapp.draft.in_words import Teller, Told, follows_the_body
from webapp.draft.tree import Name, Node
from webapp.draft.words import Sentence, Slot
from webapp.errors import FigureError
from webapp.units import System, both

# I and O are left out: they are read as 1 and 0 (common practice on drawings, no source).
_LETTERS: Final = "ABCDEFGHJKLMNPQRSTUVWXYZ"
_SAME_MM: Final = 0.01  # a formula that is out by more does not say what is drawn
_SLOTS: Final = {
    "by": "amount",
    "at": "distance",
    "drawn": "length",
    "flat": "flat width",
    "half": "half width",
    "kept": "inner arc",
}


@dataclass(frozen=True, slots=True)
class Part:
    """A run of a sentence: text, the letter of a figure, a length for everybody, or one that is
    known for the size shown only."""

    text: str
    kind: Literal["text", "letter", "length", "this size"] = "text"


@dataclass(frozen=True)
class LetteredFigure:
    """A figure to work out: its letter, what it is, how it is had, what it comes to here."""

    letter: str
    what: str  # Front, Back: width
    formula: str  # in words
    measured: str  # on which drawn pieces it is measured, a sentence; may be empty
    shown: str  # in both units


@dataclass(frozen=True)
class WorkedChoice:
    """A choice that follows the reader's own measurements, or that was come by in a picked way."""

    name: str
    formula: str
    how: str  # the way that was picked, in a sentence; may be empty
    shown: str


@dataclass(frozen=True)
class PieceInstructions:
    """One piece: its sentences with letters in them."""

    piece: Piece
    lines: tuple[tuple[Part, ...], ...]
    letters: tuple[str, ...]  # those its sentences use, in order

    @property
    def sentences(self) -> tuple[str, ...]:
        """The lines as plain text."""
        return tuple("".join(part.text for part in line) for line in self.lines)


@dataclass(frozen=True)
class Instructions:
    """A garment, for those who draft it to their own measurements."""

    choices: tuple[WorkedChoice, ...]
    figures: tuple[LetteredFigure, ...]
    pieces: tuple[PieceInstructions, ...]


def instructions(draft: Draft, first: System) -> Instructions:
    """Every finished piece in words; a figure worked out in one way has one letter throughout."""
    lettering = _Lettering(draft, first)
    pieces = tuple(lettering.piece(piece) for piece in draft.pieces)
    return Instructions(
        tuple(_choices(draft, first)),
        tuple(entry.figure(first) for entry in lettering.entries.values()),
        pieces,
    )


def letter(number: int) -> str:
    """A, B … Z without I and O, then AA, AB …; the first is number 0."""
    high, low = divmod(number, len(_LETTERS))
    return (letter(high - 1) if high else "") + _LETTERS[low]


def _choices(draft: Draft, first: System) -> Iterator[WorkedChoice]:
    teller = Teller(draft, first)
    for choice in draft.recipe.choices:
        known = draft.names.get(choice.name.lower())
        how = choice.way.how if choice.way else ""
        if known is None or known.dimension != 1:
            continue
        if how or follows_the_body(choice.value, draft):
            words = teller.told(read(choice.value).compute).words
            yield WorkedChoice(choice.name, words, how, both(known.value, first))


@dataclass
class _Entry:
    """A letter, and where it has been used so far."""

    letter: str
    words: str
    measured: str
    mm: float
    fine: bool = False
    uses: dict[str, list[str]] = field(default_factory=dict)  # pieces by slot

    def use(self, piece: Piece, slot: Slot) -> None:
        """Note one more place; once it is shown fine it is fine everywhere."""
        pieces = self.uses.setdefault(_SLOTS.get(slot.name, slot.name), [])
        if piece.name not in pieces:
            pieces.append(piece.name)
        self.fine |= slot.fine

    def figure(self, first: System) -> LetteredFigure:
        """The finished line of the worksheet."""
        what = "; ".join(f"{', '.join(pieces)}: {slot}" for slot, pieces in self.uses.items())
        shown = both(self.mm, first, fine=self.fine)
        return LetteredFigure(self.letter, what, self.words, self.measured, shown)


def _measured(told: Told, taken: bool) -> str:
    """That edges are measured on the drawn pieces; `taken` when some of one is sewn away."""
    if not told.edges:
        return ""
    *others, last = dict.fromkeys(piece for piece, _ in told.edges)
    pieces = f"{', '.join(others)} and {last}" if others else last
    closed = ", with its darts, pleats or gathers closed" if taken else ""
    return f"Measured along the seam line of the drawn {pieces}{closed}."


@dataclass
class _Lettering:
    draft: Draft
    first: System
    entries: dict[Node, _Entry] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.teller = Teller(self.draft, self.first)
        formulas = [
            formula
            for piece in self.draft.pieces
            for sentence in piece.words
            for formula in sentence.formulas.values()
        ]
        self.follows = any(self._follows(formula) for formula in formulas)

    def _follows(self, formula: str) -> bool:
        try:
            return follows_the_body(formula, self.draft)
        except FigureError:
            return True

    def piece(self, piece: Piece) -> PieceInstructions:
        """The piece's sentences, letters given as figures come up."""
        lines = tuple(tuple(self._line(piece, sentence)) for sentence in piece.words)
        letters = [part.text for line in lines for part in line if part.kind == "letter"]
        return PieceInstructions(piece, lines, tuple(dict.fromkeys(letters)))

    def _line(self, piece: Piece, sentence: Sentence) -> Iterator[Part]:
        for part in sentence.parts():
            yield Part(part) if isinstance(part, str) else self._slot(piece, sentence, part)

    def _slot(self, piece: Piece, sentence: Sentence, slot: Slot) -> Part:
        shown = sentence.shown(slot, self.first)
        formula = sentence.formulas.get(slot.name, "")
        mm = self._worked_out(formula)
        if mm is None or abs(mm - sentence.lengths_mm[slot.name]) > _SAME_MM:
            if not self.follows:
                return Part(shown, "length")
            return Part(f"{shown} [size {self.draft.body.name}]", "this size")
        if not self._follows(formula):
            return Part(shown, "length")
        node = read(formula).compute
        if node not in self.entries:
            self.entries[node] = self._entry(node, mm)
        self.entries[node].use(piece, slot)
        return Part(self.entries[node].letter, "letter")

    def _entry(self, node: Node, mm: float) -> _Entry:
        """A new letter. A figure that has one already is called by it in the words of another."""
        called: dict[Node, str] = {
            known: entry.letter
            for known, entry in self.entries.items()
            if not isinstance(known, Name)
        }
        told = self.teller.told(node, called)
        taken = any(self.draft.piece(p).outline.edge(e).taken_mm for p, e in told.edges)
        return _Entry(letter(len(self.entries)), told.words, _measured(told, taken), mm)

    def _worked_out(self, formula: str) -> float | None:
        try:
            return read(formula).length_mm(self.draft.names)
        except FigureError:
            return None
