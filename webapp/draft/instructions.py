"""Draft it yourself: the words of every piece with letters for figures, and how each is had.

What is the same for everybody is told as the length it is. What follows the body has a letter,
the same one wherever it is worked out alike; a choice that follows the body has a line by its name.
What several lines need, or would make one too long, has a line and a letter of its own before them.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from webapp.draft.evaluate import Draft, Piece
from webapp.draft.expressions import read
from webapp.draft.figure_sources import Sources
from webapp.draft.in_words import Teller, Told, follows_no_body
from webapp.draft.names import listed
from webapp.draft.recipe import Choice
from webapp.draft.sewn import TakenUp, taken_up_in
from webapp.draft.tree import Name, Node
from webapp.draft.words import Sentence, Slot
from webapp.draft.working import Named, broken_up, is_group, parts, shared_parts
from webapp.errors import FigureError
from webapp.units import System, both_as_cut, both_called, is_allowance

# I and O are left out: they are read as 1 and 0 (common practice on drawings, no source).
_LETTERS: Final = "ABCDEFGHJKLMNPQRSTUVWXYZ"
_SAME_MM: Final = 0.01  # a formula that is out by more does not say what is drawn
_SOME_LETTER: Final = "A"  # stands for any while lines are told to see how long they are


@dataclass(frozen=True, slots=True)
class Part:
    """A run of a sentence: text, the letter of a figure, a length for everybody, or one that is
    known for the size shown only."""

    text: str
    kind: Literal["text", "letter", "length", "this size"] = "text"


@dataclass(frozen=True)
class WorkedFigure:
    """A line of the table of figures: what it is, how it is had, what it comes to here."""

    name: str  # its letter; of a choice that no sentence asks for, its name
    is_letter: bool
    what: str  # Front, Back: width; or for which other lines it is needed
    formula: str  # in words
    how: str  # more about that, in sentences; may be empty
    shown: str  # in both units; a bare number as it is
    is_length: bool


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

    figures: tuple[WorkedFigure, ...]  # in the order they are worked out
    pieces: tuple[PieceInstructions, ...]


def instructions(draft: Draft, first: System) -> Instructions:
    """Every finished piece in words; a figure worked out in one way has one letter throughout."""
    sheet = _Sheet(draft, first)
    sheet.lay_out()
    return Instructions(tuple(sheet.figures()), tuple(map(sheet.piece, draft.pieces)))


def letter(number: int) -> str:
    """A, B … Z without I and O, then AA, AB …; the first is number 0."""
    high, low = divmod(number, len(_LETTERS))
    return (letter(high - 1) if high else "") + _LETTERS[low]


@dataclass
class _Line:
    """A line of the table before it has its letter: a choice, a figure of a sentence, or a step
    on the way to others."""

    node: Node
    choice: Choice | None = None
    name: str = ""
    fine: bool = False
    uses: dict[str, list[str]] = field(default_factory=dict)  # pieces by slot
    whys: dict[str, None] = field(default_factory=dict)

    def use(self, piece: Piece, slot: Slot, why: str) -> None:
        """Note one more place; once it is shown fine it is fine everywhere."""
        pieces = self.uses.setdefault(slot.name, [])
        if piece.name not in pieces:
            pieces.append(piece.name)
        if why:
            self.whys[why] = None
        self.fine |= slot.fine

    @property
    def is_lettered(self) -> bool:
        """True unless it is only called by the choice's name."""
        return bool(self.uses) or self.choice is None

    @property
    def called(self) -> str:
        """How other lines call it."""
        return f"the {self.choice.name}" if self.choice else self.name


@dataclass
class _Sheet:
    draft: Draft
    first: System
    lines: dict[Node, _Line] = field(default_factory=dict)  # by what they come to
    by_choice: dict[Node, _Line] = field(default_factory=dict)  # by the choice's name

    def __post_init__(self) -> None:
        self.teller = Teller(self.draft, self.first)
        self.sources = Sources(self.draft)
        self.choices_are_own = follows_no_body(self.draft)
        self.follows = any(
            formula and not self.teller.is_fixed(node)
            for piece in self.draft.pieces
            for sentence in piece.words
            for slot, formula in sentence.formulas.items()
            if (node := self._worked_out(sentence, slot)) is not None
        )

    # --- What has a line -------------------------------------------------------------------------

    def lay_out(self) -> None:
        """Give every figure its line, in the order they are worked out, and its letter."""
        self._choices()
        for piece in self.draft.pieces:
            for sentence in piece.words:
                for part in self._text(sentence).parts():
                    if isinstance(part, Slot) and (line := self._line_of(sentence, part)):
                        line.use(piece, part, sentence.whys.get(part.name, ""))
        self._steps()
        self._in_order()

    def _choices(self) -> None:
        for choice in self.draft.recipe.choices:
            known = self.draft.names.get(choice.name.lower())
            if known is None or known.dimension not in (0, 1):
                continue
            node = self._plain(read(choice.value).compute)
            follows = not self.teller.is_fixed(Name(choice.name.lower()))
            if follows or (choice.way and choice.way.how and known.dimension == 1):
                line = _Line(node, choice)
                self.by_choice[Name(choice.name.lower())] = line
                if not self.teller.is_fixed(node) or choice.way:
                    self.lines.setdefault(node, line)
                self.follows |= follows

    def _line_of(self, sentence: Sentence, slot: Slot) -> _Line | None:
        """The line of what a slot comes to; None where it is told as a length."""
        node = self._worked_out(sentence, slot.name)
        if node is None or self.teller.is_fixed(node):
            return None
        return self.by_choice.get(node) or self.lines.setdefault(node, _Line(node))

    def _steps(self) -> None:
        """A line for what several lines need, and for what would make a line too long."""
        roots = dict.fromkeys(line.node for line in self._all())
        for step in shared_parts(roots, self._may_be_named, self._named()):
            self.lines[step] = _Line(step)
        named = {*self._named()}
        for node in list(self.lines):
            for step in broken_up(node, self._told_alone, self._may_be_named, named):
                self.lines[step] = _Line(step)
                named.add(step)
        self.named = frozenset(named)
        self.needed = {id(line): self._needed(line) for line in self._all()}

    def _named(self) -> Named:
        """What other lines call by its letter. A measure or a choice they call by its name."""
        return {
            node
            for node in self.lines
            if not isinstance(node, Name) or self.teller.is_measured(node)
        }

    def _may_be_named(self, node: Node) -> bool:
        if self.teller.is_fixed(node) or node(self.draft.names).dimension not in (0, 1):
            return False
        return self.teller.is_measured(node) or is_group(node, self.teller.is_number)

    def _told_alone(self, node: Node, named: Named) -> str:
        return self.teller.told(node, dict.fromkeys(named, _SOME_LETTER)).words

    def _all(self) -> list[_Line]:
        """Every line once; two choices may come to the same."""
        return list({id(line): line for line in (*self.by_choice.values(), *self.lines.values())}
                    .values())  # fmt: skip

    def _needed(self, line: _Line) -> list[_Line]:
        """The lines that this one is worked out from."""
        named = self.named - {line.node}
        found = [self.by_choice.get(part) or (self.lines[part] if part in named else None)
                 for part in parts(line.node, named)]  # fmt: skip
        return list({id(one): one for one in found if one and one is not line}.values())

    def _in_order(self) -> None:
        """Sort the lines so that what a line needs stands before it, and give out the letters."""
        ordered: dict[int, _Line] = {}

        def put(line: _Line) -> None:
            if id(line) not in ordered:
                for needed in self.needed[id(line)]:
                    put(needed)
                ordered[id(line)] = line

        for line in self._all():
            if line.choice or line.uses:
                put(line)
        self.ordered = list(ordered.values())
        lettered = (line for line in self.ordered if line.is_lettered)
        for number, line in enumerate(lettered):
            line.name = letter(number)

    # --- The table -------------------------------------------------------------------------------

    def figures(self) -> Iterator[WorkedFigure]:
        """The lines of the table."""
        for line in self.ordered:
            told = self._told(line)
            choice = line.choice.name if line.choice else ""
            found = line.node(self.draft.names)
            is_length = found.dimension == 1
            yield WorkedFigure(
                name=line.name or choice,
                is_letter=line.is_lettered,
                what=self._what(line),
                formula=f"your own, or {told.words}" if self._is_own(line) else told.words,
                how=" ".join(filter(None, self._how(line, told))),
                shown=self._shown(line, found.value) if is_length else f"{found.value:.4g}",
                is_length=is_length,
            )

    def _told(self, line: _Line) -> Told:
        if self._is_own(line):
            return self.teller.told(line.node)
        if line.choice and self.teller.is_fixed(line.node):
            return self.teller.told(Name(line.choice.name.lower()))
        return self.teller.told(line.node, self._called(line))

    def _shown(self, line: _Line, mm: float) -> str:
        """As sentences show the letter; a choice that they do not ask for as its name says."""
        if line.choice and (is_allowance(line.choice.name) or not line.uses):
            return both_called(line.choice.name, mm, self.first)
        return both_as_cut(mm, self.first, fine=line.fine)

    def _is_own(self, line: _Line) -> bool:
        """True for a choice of a garment for no body, which a figure is only proposed for."""
        return bool(line.choice) and self.choices_are_own and self.teller.is_fixed(line.node)

    def _called(self, line: _Line) -> Mapping[Node, str]:
        return {
            node: self.lines[node].called for node in self.named if self.lines[node] is not line
        }

    def _what(self, line: _Line) -> str:
        slots: dict[str, list[str]] = {}
        for slot, pieces in line.uses.items():
            slots.setdefault(", ".join(pieces), []).append(slot)
        places = [f"{pieces}: {', '.join(names)}" for pieces, names in slots.items()]
        if line.choice and places:
            name = line.choice.name
            return "; ".join((name[0].upper() + name[1:], *places))
        if line.choice or places:
            return "; ".join(places)
        names = [other.name or other.called for other in self.ordered
                 if any(one is line for one in self.needed[id(other)])]  # fmt: skip
        return f"Used in {listed(names)}"

    def _how(self, line: _Line, told: Told) -> Iterator[str]:
        yield self._measured(told)
        yield from line.whys
        yield from (f"{number} is {words}." for number, words in told.numbers)
        if line.node(self.draft.names).dimension == 0:
            yield "A plain number, the same in both units."
        if line.choice:
            yield (line.choice.way.how if line.choice.way else "") or line.choice.reason

    def _measured(self, told: Told) -> str:
        """That edges are measured on the drawn pieces, and how, where some of one is sewn away."""
        if not told.edges:
            return ""
        pieces = listed(list(dict.fromkeys(piece for piece, _ in told.edges)))
        ways = dict.fromkeys(
            way
            for name, edge in told.edges
            if (piece := self.draft.piece(name)).outline.edge(edge).taken_mm
            for way in taken_up_in(piece.outline.edge(edge), piece.markings)
        )
        closed = "".join(f", {_CLOSED[way]}" for way in ways)
        return f"Measured along the seam line of the drawn {pieces}{closed}."

    # --- The sentences ---------------------------------------------------------------------------

    def piece(self, piece: Piece) -> PieceInstructions:
        """The piece's sentences with the letters in them."""
        lines = tuple(tuple(self._parts(sentence)) for sentence in piece.words)
        letters = [part.text for line in lines for part in line if part.kind == "letter"]
        return PieceInstructions(piece, lines, tuple(dict.fromkeys(letters)))

    def _parts(self, sentence: Sentence) -> Iterator[Part]:
        for part in self._text(sentence).parts():
            if isinstance(part, str):
                yield Part(part)
            elif line := self._line_of(sentence, part):
                yield Part(line.name, "letter")
            else:
                shown = sentence.shown(part, self.first)
                if self.follows and self._worked_out(sentence, part.name) is None:
                    yield Part(f"{shown} [size {self.draft.body.name}]", "this size")
                else:
                    yield Part(shown, "length")

    def _text(self, sentence: Sentence) -> Sentence:
        """The sentence, in its own text if a length of it can only be had by drawing."""
        slots = [part.name for part in sentence.parts() if isinstance(part, Slot)]
        if not sentence.own or all(self._worked_out(sentence, slot) is not None for slot in slots):
            return sentence
        return sentence.in_own_text()

    def _worked_out(self, sentence: Sentence, slot: str) -> Node | None:
        """What a slot is worked out from; None when nothing says what is drawn."""
        try:
            found = read(sentence.formulas.get(slot, ""), composed=True)
            mm = found.length_mm(self.draft.names)
        except FigureError:
            return None
        if abs(mm - sentence.lengths_mm[slot]) > _SAME_MM:
            return None
        return self._plain(found.compute)

    def _plain(self, node: Node) -> Node:
        return self.teller.plain(self.sources.told_by(node))


_CLOSED: Final[Mapping[TakenUp, str]] = {
    "dart": "with its darts folded shut",
    "pleat": "with its pleats folded",
    "tuck": "with its tucks folded",
    "gathers": "as it was before the paper was cut for the gathers",
}
