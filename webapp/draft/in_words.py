"""A figure in plain words, for those who work it out from their own measurements.

`max(bust, hip) / 2 + body ease` is “half of the larger of your bust and your hip, plus 26 cm or
10 1/4 in”: measures are the reader's own, choices that stand fixed are told as what they come to.
Brackets stand in the words wherever leaving them out could be read another way.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from webapp.draft.expressions import read
from webapp.draft.measures import MEASURES
from webapp.draft.results import Draft
from webapp.draft.tree import Call, Name, Negative, Node, Product, Quotient, Sum
from webapp.errors import FigureError
from webapp.units import System, both_as_cut, both_called

_SHARES: Final = {
    1 / 2: "half",
    1 / 3: "a third of",
    1 / 4: "a quarter of",
    1 / 8: "an eighth of",
    2 / 3: "two thirds of",
    3 / 4: "three quarters of",
    2.0: "twice",
    3.0: "three times",
    4.0: "four times",
}
_EXTREMES: Final = {"max": ("larger", "largest"), "min": ("smaller", "smallest")}
_LIMITS: Final = {"max": "no less than", "min": "no more than"}
_DRAWN: Final = " drawn"  # an edge's figure as it is drawn: `webapp.draft.sewn.edge_figures`
_SEAM_ALLOWANCE: Final = "seam allowance"
_NEAR: Final = 1e-9


def follows_no_body(draft: Draft) -> bool:
    """True when neither a choice nor a sentence of the pieces quotes a measure."""
    sentences = (sentence for piece in draft.pieces for sentence in piece.words)
    formulas = (text for sentence in sentences for text in sentence.formulas.values())
    for text in (*(choice.value for choice in draft.recipe.choices), *formulas):
        try:
            if not read(text, composed=True).names.isdisjoint(MEASURES):
                return False
        except FigureError:
            continue
    return True


def _fixed_names(draft: Draft) -> frozenset[str]:
    """Choices, and the seam allowance, that are the same for everybody.

    What follows no body, such as a bag, is drafted to its choices: those are its maker's own.
    """
    fixed: set[str] = set()
    own = {c.name.lower() for c in draft.recipe.choices} if follows_no_body(draft) else set()
    values = [(choice.name, choice.value) for choice in draft.recipe.choices]
    for name, value in ((_SEAM_ALLOWANCE, draft.recipe.seam_allowance), *values):
        try:
            quoted = read(value).names
        except FigureError:
            continue
        if quoted <= fixed and name.lower() in draft.names and name.lower() not in own:
            fixed.add(name.lower())
    return frozenset(fixed)


@dataclass(frozen=True, slots=True)
class Told:
    """A formula in words, the edges it has measured, as (piece, edge), and the bare numbers in it
    that come from choices, with what they come from."""

    words: str
    edges: tuple[tuple[str, str], ...]
    numbers: tuple[tuple[str, str], ...] = ()


Kind = Literal["atom", "letter", "part", "list", "product", "sum", "limited"]


@dataclass(frozen=True, slots=True)
class _Phrase:
    text: str
    kind: Kind = "atom"

    def unless(self, *kinds: Kind) -> str:
        """The text, in brackets unless it is of one of these kinds."""
        return self.text if self.kind in kinds else f"({self.text})"


@dataclass
class _Factors:
    """A product taken apart: numbers above and below the line, figures above and below it."""

    times: float = 1.0
    parts: float = 1.0
    over: list[Node] = field(default_factory=list)
    under: list[Node] = field(default_factory=list)


class Teller:
    """Tells the formulas of one draft, lengths in both units with `first` leading."""

    def __init__(self, draft: Draft, first: System) -> None:
        self._draft, self._first = draft, first
        self._fixed = _fixed_names(draft)
        self._choices = {choice.name.lower(): choice.name for choice in draft.recipe.choices}
        self._spelt = {
            f"{piece.name}.{figure}".lower(): (piece.name, figure)
            for piece in draft.pieces
            for figure in piece.figures_mm
        }
        self._edges = {(piece.name, name) for piece in draft.pieces for name in piece.outline.names}
        self._called: Mapping[Node, str] = {}
        self._measured: dict[tuple[str, str], None] = {}
        self._numbers: dict[str, Node] = {}
        self._names_choices = False

    def is_fixed(self, node: Node) -> bool:
        """True for a figure that is the same on every body."""
        return _names(node) <= self._fixed

    def is_number(self, node: Node) -> bool:
        """True for a bare number that is the same on every body."""
        return self.is_fixed(node) and node(self._draft.names).dimension == 0

    def is_measured(self, node: Node) -> bool:
        """True for an edge, which is measured on its piece."""
        return isinstance(node, Name) and self._spelt.get(node.key) in self._edges

    def told(self, node: Node, called: Mapping[Node, str] | None = None) -> Told:
        """The tree in words; a part that is `called` something has its own line, and is not told
        again."""
        self._called, self._measured, self._numbers = called or {}, {}, {}
        words = self._phrase(node).text
        said = [(n, self._by_name(of)) for n, of in self._numbers.items() if n in words.split()]
        return Told(words, tuple(self._measured), tuple(said))

    def _phrase(self, node: Node) -> _Phrase:
        if node in self._called:
            return _Phrase(self._called[node], "letter")
        if self._is_whole(node):
            return _Phrase(self._shown(node))
        match node:
            case Name(key):
                return _Phrase(self._name(key))
            case Sum():
                return self._sum(node)
            case Call(function, arguments):
                return self._function(function, arguments)
        return self._product(node)

    def _is_whole(self, node: Node) -> bool:
        """True for a fixed length or number. A fixed area is told by what it is made of."""
        if self._names_choices:
            return not _names(node)
        return self.is_fixed(node) and node(self._draft.names).dimension in (0, 1)

    def _shown(self, node: Node) -> str:
        found = node(self._draft.names)
        if found.dimension != 1:
            return f"{found.value:.4g}"
        return self._paired(found.value, node.key if isinstance(node, Name) else "")

    def _paired(self, mm: float, name: str = "") -> str:
        shown = both_called(name, mm, self._first) if name else both_as_cut(mm, self._first)
        return shown.replace(" (", " or ").removesuffix(")")

    def _by_name(self, number: Node) -> str:
        """A number in words, with the choices it comes from called by their names."""
        self._names_choices = True
        words = self._phrase(number).text
        self._names_choices = False
        return words

    def plain(self, node: Node) -> Node:
        """The figure itself where it stands once, such as for twice its half."""
        found = _Factors()
        self._take_apart(node, found, above=True)
        once = abs(found.times / found.parts - 1) < _NEAR
        return found.over[0] if once and len(found.over) == 1 and not found.under else node

    def _name(self, key: str) -> str:
        if key in self._choices:
            return f"the {self._choices[key]}"
        piece, _, figure = key.partition(".")
        if not figure:
            return f"your {key}"
        piece, figure = self._spelt.get(key, (piece.capitalize(), figure))
        if (piece, figure) in self._edges:
            self._measured[piece, figure] = None
        elif (piece, figure.removesuffix(_DRAWN)) in self._edges:
            return f"the {figure.removesuffix(_DRAWN)} of your {piece} as it is drawn"
        return f"the {figure} of your {piece}"

    # --- Sums --------------------------------------------------------------------------------

    def _sum(self, node: Sum) -> _Phrase:
        """What is added, then what is taken off, then what is the same for everybody."""
        terms = [_unsigned(*term) for term in self._terms(node)]
        fixed = [term for term in terms if self._is_whole(term[1])]
        moving = sorted((t for t in terms if t not in fixed), key=lambda term: -term[0])
        said = [(sign, self._phrase(part)) for sign, part in moving]
        if fixed:
            total = self._total(fixed)
            if total is not None:
                first_of_all = total[0] > 0 and said[0][0] < 0
                said.insert(0 if first_of_all else len(said), total)
        if len(said) == 1 and said[0][0] > 0:
            return said[0][1]
        (sign, opening), *others = said
        words = ("" if sign > 0 else "minus ") + self._in_sum(opening)
        for sign, phrase in others:
            words += f", {'plus' if sign > 0 else 'less'} {self._in_sum(phrase)}"
        return _Phrase(words, "sum")

    def _terms(self, node: Node) -> list[tuple[int, Node]]:
        if isinstance(node, Sum) and node not in self._called:
            return [*self._terms(node.left), (node.sign, node.right)]
        return [(1, node)]

    def _total(self, fixed: list[tuple[int, Node]]) -> tuple[int, _Phrase] | None:
        """The fixed terms as one; none when they cancel out."""
        if len(fixed) == 1:
            ((sign, node),) = fixed
            found = node(self._draft.names).value
            if found > 0:
                return sign, _Phrase(self._shown(node))
        values = [(sign, node(self._draft.names)) for sign, node in fixed]
        total = sum(sign * value.value for sign, value in values)
        if abs(total) < _NEAR:
            return None
        is_length = values[0][1].dimension == 1
        shown = self._paired(abs(total)) if is_length else f"{abs(total):.4g}"
        return (1 if total > 0 else -1), _Phrase(shown)

    def _in_sum(self, phrase: _Phrase) -> str:
        return phrase.unless("atom", "letter", "part", "list", "product")

    # --- Products ----------------------------------------------------------------------------

    def _product(self, node: Node) -> _Phrase:
        found = _Factors()
        self._take_apart(node, found, above=True)
        if found.times < 0 and len(found.over) == 1 and not found.under:
            match found.over[0]:
                case Sum(left, right, -1, text):  # the other way round it needs no minus sign
                    found.over, found.times = [Sum(right, left, -1, text)], -found.times
        return _scaled(found.times, found.parts, self._base(found))

    def _take_apart(self, node: Node, found: _Factors, *, above: bool) -> None:
        is_whole = node in self._called or self._is_whole(node)
        if not is_whole:
            match node:
                case Negative(of):
                    found.times = -found.times
                    self._take_apart(of, found, above=above)
                    return
                case Product(left, right):
                    self._take_apart(left, found, above=above)
                    self._take_apart(right, found, above=above)
                    return
                case Quotient(left, right):
                    self._take_apart(left, found, above=above)
                    self._take_apart(right, found, above=not above)
                    return
        elif self._is_whole(node) and (value := node(self._draft.names)).dimension == 0:
            if _names(node):
                self._numbers[f"{value.value:.4g}"] = node
            if above:
                found.times *= value.value
            else:
                found.parts *= value.value
            return
        (found.over if above else found.under).append(node)

    def _base(self, found: _Factors) -> _Phrase:
        if len(found.over) == 1 and not found.under:
            return self._phrase(found.over[0])
        words = " times ".join(self._operand(node) for node in found.over) or "1"
        return _Phrase(
            words + "".join(f" divided by {self._operand(node)}" for node in found.under), "product"
        )

    def _operand(self, node: Node) -> str:
        return self._phrase(node).unless("atom", "letter")

    # --- Functions ---------------------------------------------------------------------------

    def _function(self, function: str, arguments: tuple[Node, ...]) -> _Phrase:
        if function == "abs":
            return self._apart(arguments[0])
        if function == "sqrt":
            return _Phrase(f"the square root of {self._operand(arguments[0])}", "list")
        if len(arguments) == 1:
            return self._phrase(arguments[0])
        whole = [argument for argument in arguments if self._is_whole(argument)]
        if len(arguments) == 2 and len(whole) == 1:
            (moving,) = (argument for argument in arguments if argument not in whole)
            return self._limited(function, moving, whole[0])
        phrases = [self._phrase(argument) for argument in arguments]
        which = _EXTREMES[function][len(phrases) > 2]
        return _Phrase(f"the {which} of {self._listed(phrases)}", "list")

    def _limited(self, function: str, of: Node, limit: Node) -> _Phrase:
        """The larger of a figure and a fixed one: the figure, but no less than the fixed one."""
        said, phrase = f"{_LIMITS[function]} {self._shown(limit)}", self._phrase(of)
        if phrase.kind == "limited" and isinstance(of, Call) and of.function != function:
            inner = next(a for a in of.arguments if self._is_whole(a))
            least, most = (limit, inner) if function == "max" else (inner, limit)
            if least(self._draft.names).value <= most(self._draft.names).value:
                return _Phrase(f"{phrase.text}, and {said}", "limited")
        figure = phrase.unless("atom", "letter", "part", "list", "product")
        return _Phrase(f"{figure}, but {said}", "limited")

    def _apart(self, of: Node) -> _Phrase:
        """A figure without its sign: how far two figures are apart, if it is their difference."""
        found = _Factors()
        self._take_apart(of, found, above=True)
        base = self._base(found)
        (inner, *more) = found.over or [of]
        if all(map(self._has_no_minus, (*found.over, *found.under))):
            pass
        elif isinstance(inner, Sum) and base.kind == "sum" and not more and not found.under:
            if inner.sign < 0:
                told = self._listed([self._phrase(inner.left), self._phrase(inner.right)])
                base = _Phrase(f"the difference between {told}", "list")
            else:
                base = _Phrase(f"({base.text}) without any minus sign", "list")
        else:
            base = _Phrase(f"{base.unless('atom', 'letter')} without any minus sign", "list")
        return _scaled(abs(found.times), abs(found.parts), base)

    def _has_no_minus(self, factor: Node) -> bool:
        """True for a measure; what is worked out from others may have a minus sign."""
        if self._is_whole(factor):
            return factor(self._draft.names).value >= 0
        if not isinstance(factor, Name):
            return False
        return "." not in factor.key and factor.key not in self._choices

    def _listed(self, phrases: list[_Phrase]) -> str:
        told = [phrase.unless("atom", "letter", "part") for phrase in phrases]
        return f"{', '.join(told[:-1])} and {told[-1]}"


def _unsigned(sign: int, node: Node) -> tuple[int, Node]:
    """A term with the minus sign at its front, if any, taken into its own."""
    match node:
        case Negative(of):
            return _unsigned(-sign, of)
        case Quotient(Negative(of), right, text):
            return -sign, Quotient(of, right, text)
        case Product(Negative(of), right):
            return -sign, Product(of, right)
    return sign, node


def _scaled(times: float, parts: float, base: _Phrase) -> _Phrase:
    """So many times, or such a part of, what `base` says."""
    share = times / parts
    if abs(share - 1) < _NEAR:
        return base
    if share < 0:
        told = _scaled(-times, parts, base).unless("atom", "letter", "part", "list")
        return _Phrase(f"minus {told}", "sum")
    for known, words in _SHARES.items():
        if abs(share - known) < _NEAR:
            of = " of" if words == "half" and base.kind != "atom" else ""
            kind: Kind = "part" if base.kind in ("atom", "letter") else "product"
            return _Phrase(f"{words}{of} {base.unless('atom', 'letter', 'part', 'list')}", kind)
    operand = base.unless("atom", "letter")
    if times != 1 and parts != 1 and not _is_short(share) and _is_short(times) and _is_short(parts):
        return _Phrase(f"{times:.4g} times {operand} divided by {parts:.4g}", "product")
    if times == 1 or (not _is_short(share) and _is_short(1 / share)):
        return _Phrase(f"{operand} divided by {1 / share:.4g}", "product")
    return _Phrase(f"{share:.4g} times {operand}", "product")


def _is_short(value: float) -> bool:
    return abs(value - float(f"{value:.4g}")) < _NEAR


def _names(node: Node) -> frozenset[str]:
    match node:
        case Name(key):
            return frozenset((key,))
        case Negative(of):
            return _names(of)
        case Sum(left, right) | Product(left, right) | Quotient(left, right):
            return _names(left) | _names(right)
        case Call(_, arguments):
            return frozenset().union(*map(_names, arguments))
    return frozenset()
