"""Draft it yourself: the words of every piece with letters for figures, and how each is had."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import partial

from webapp.draft.evaluate import Draft, Piece
from webapp.draft.expressions import read
from webapp.draft.in_words import follows_the_body, in_words
from webapp.draft.tree import Node
from webapp.draft.words import Sentence
from webapp.errors import FigureError
from webapp.units import System, both


@dataclass(frozen=True)
class LetteredFigure:
    """A figure to work out: its letter, how it is had, and what it comes to on the body shown."""

    letter: str
    formula: str  # in words
    shown: str  # in both units


@dataclass(frozen=True)
class WorkedChoice:
    """A choice that follows the reader's own measurements."""

    name: str
    formula: str
    how: str  # the way that was picked, in a sentence; may be empty
    shown: str


@dataclass(frozen=True)
class PieceInstructions:
    """One piece: its sentences with letters in them."""

    piece: Piece
    sentences: tuple[str, ...]
    letters: tuple[str, ...]  # those its sentences use, in order


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
    return Instructions(tuple(_choices(draft, first)), tuple(lettering.figures), pieces)


def _choices(draft: Draft, first: System) -> Iterator[WorkedChoice]:
    for choice in draft.recipe.choices:
        known = draft.names.get(choice.name.lower())
        if known is None or known.dimension != 1 or not follows_the_body(choice.value, draft):
            continue
        how = choice.way.how if choice.way else ""
        formula = in_words(choice.value, draft, first)
        yield WorkedChoice(choice.name, formula, how, both(known.value, first))


@dataclass
class _Lettering:
    draft: Draft
    first: System
    figures: list[LetteredFigure] = field(default_factory=list)
    known: dict[tuple[Node, bool], str] = field(default_factory=dict)

    def piece(self, piece: Piece) -> PieceInstructions:
        """The piece's sentences, letters given as figures come up."""
        used: dict[str, None] = {}
        sentences = [
            sentence.filled(partial(self._slot, sentence, used)) for sentence in piece.words
        ]
        return PieceInstructions(piece, tuple(sentences), tuple(used))

    def _slot(self, sentence: Sentence, used: dict[str, None], slot: str, fine: bool) -> str:
        """The letter of a slot; its length where it is the same for everybody, or no formula says
        how it is had."""
        shown = both(sentence.lengths_mm[slot], self.first, fine=fine)
        formula = sentence.formulas.get(slot)
        if formula is None:
            return shown
        try:
            if not follows_the_body(formula, self.draft):
                return shown
            node = read(formula).compute
            told = in_words(formula, self.draft, self.first)
        except FigureError:
            return shown
        letter = self.known.get((node, fine))
        if letter is None:
            letter = self.known[node, fine] = _letter(len(self.figures))
            self.figures.append(LetteredFigure(letter, told, shown))
        used[letter] = None
        return letter


def _letter(number: int) -> str:
    """A, B … Z, AA, AB …"""
    high, low = divmod(number, 26)
    return (_letter(high - 1) if high else "") + chr(ord("A") + low)
