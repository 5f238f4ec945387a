"""Drafting: a recipe on a body gives pieces, seam findings and body checks.

A piece that cannot be drawn is reported and kept as far as it got; the others are drawn all the
same, so that a page always has something to show.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

from webapp.draft.allowances import EdgeAllowance, crowded_edges, cut_outline
from webapp.draft.construction import EdgeUse
from webapp.draft.expressions import Names, Quantity, read
from webapp.draft.measures import MEASURES
from webapp.draft.moves import Workpiece
from webapp.draft.moves.soundness import refuse_unsound
from webapp.draft.outline import Edge, Outline, Point, bounds, unfolded
from webapp.draft.recipe import Body, Finish, PieceRecipe, Recipe
from webapp.draft.words import Sentence
from webapp.errors import FigureError, MoveError, SeamslateError
from webapp.units import both, parse_length

SEAM_TOLERANCE_MM: Final = 3.0  # less than this is taken up by the cloth as it is pinned
_WIDEST_ALLOWANCE_MM: Final = 500.0  # deeper than any hem is turned up
_NO_ALLOWANCE: Final = ("bound", "selvedge", "fold", "raw")


@dataclass(frozen=True, slots=True)
class Problem:
    """What keeps a figure or a piece from being drafted; `move` counts from 0."""

    piece: str  # empty when it is a measure, a choice or the whole recipe
    move: int | None
    sentence: str


@dataclass(frozen=True)
class Piece:
    """A pattern piece as evaluated, mm. On the fold it is the half to the right of x = 0."""

    name: str
    cut_count: int
    on_fold: bool
    cloth: str
    grain: str  # "along", "across" or "bias"
    outline: Outline
    allowances: Mapping[str, EdgeAllowance]
    finishes: Mapping[str, Finish]
    figures_mm: Mapping[str, float]
    words: tuple[Sentence, ...]
    note: str = ""

    @cached_property
    def seam_points(self) -> list[Point]:
        """The seam line as a polygon."""
        return self.outline.points()

    @cached_property
    def cut_points(self) -> list[Point]:
        """The cut line as a polygon."""
        return cut_outline(self.outline, self.allowances, on_fold=self.on_fold)

    @cached_property
    def whole_cut_points(self) -> list[Point]:
        """The cut line as the cloth sees it: a piece on the fold opened out."""
        return unfolded(self.cut_points) if self.on_fold else self.cut_points

    @cached_property
    def cut_size_mm(self) -> tuple[float, float]:
        """Width and length of the cut line's bounding box, as drawn."""
        left, top, right, bottom = bounds(self.cut_points)
        return right - left, bottom - top


@dataclass(frozen=True, slots=True)
class SeamFinding:
    """The two lengths a seam joins, mm, and whether they agree."""

    name: str
    one_mm: float
    other_mm: float
    eased_mm: float
    sewn: int
    stitch: str

    @property
    def difference_mm(self) -> float:
        """What no easing explains."""
        return self.one_mm - self.eased_mm - self.other_mm

    @property
    def agrees(self) -> bool:
        """True within the tolerance of pinned cloth."""
        return abs(self.difference_mm) <= SEAM_TOLERANCE_MM

    @property
    def sentence(self) -> str:
        """Why the lengths do not agree."""
        return (
            f"{self.name}: one side is {both(self.one_mm, 'cm')}, the other "
            f"{both(self.other_mm, 'cm')}."
        )


@dataclass(frozen=True, slots=True)
class CheckFinding:
    """A finished measurement against the least the body needs, mm."""

    name: str
    garment_mm: float
    at_least_mm: float
    why: str

    @property
    def holds(self) -> bool:
        """True when the garment reaches the least figure."""
        return self.garment_mm >= self.at_least_mm

    @property
    def sentence(self) -> str:
        """What is too small, both figures in both units."""
        return (
            f"{self.name} is {both(self.garment_mm, 'cm')}; it needs at least "
            f"{both(self.at_least_mm, 'cm')}. {self.why}".strip()
        )


@dataclass(frozen=True)
class Draft:
    """A recipe evaluated on a body."""

    recipe: Recipe
    body: Body
    pieces: tuple[Piece, ...]
    unfinished: tuple[Piece, ...]  # drawn as far as they got; never cut
    problems: tuple[Problem, ...]
    names: Names = field(repr=False)
    seams: tuple[SeamFinding, ...]
    checks: tuple[CheckFinding, ...]
    finished_mm: Mapping[str, float]

    def piece(self, name: str) -> Piece:
        """The piece of that name. KeyError if it is missing or unfinished."""
        for piece in self.pieces:
            if piece.name == name:
                return piece
        raise KeyError(name)

    def seam(self, name: str) -> SeamFinding:
        """The seam of that name. KeyError if it is missing or could not be measured."""
        for seam in self.seams:
            if seam.name == name:
                return seam
        raise KeyError(name)

    def edge_mm(self, use: EdgeUse) -> float:
        """The length of an edge as used, mm. FigureError if there is no such edge."""
        return read(use.edge).length_mm(self.names) * use.times


def evaluate(recipe: Recipe, body: Body, known: Names | None = None) -> Draft:
    """Draft a recipe on a body; `known` holds figures of garments drafted before it."""
    return _Drafting(recipe, body, dict(known or {})).run()


class _Drafting:
    """One drafting run: figures gather in `names` in the order the recipe gives them."""

    def __init__(self, recipe: Recipe, body: Body, names: dict[str, Quantity]) -> None:
        self.recipe, self.body, self.names = recipe, body, names
        self.problems: list[Problem] = []
        self.pieces: list[Piece] = []
        self.unfinished: list[Piece] = []

    def run(self) -> Draft:
        self._measures()
        self._choices()
        for piece in self.recipe.pieces:
            self._piece(piece)
        seams, checks, finished = self._seams(), self._checks(), self._finished()
        return Draft(
            self.recipe,
            self.body,
            tuple(self.pieces),
            tuple(self.unfinished),
            tuple(self.problems),  # once everything has told its own
            self.names,
            seams,
            checks,
            finished,
        )

    def _problem(self, sentence: str, piece: str = "", move: int | None = None) -> None:
        self.problems.append(Problem(piece, move, sentence))

    def _measures(self) -> None:
        for name, text in self.body.measures.items():
            try:
                self.names[name.lower()] = Quantity(parse_length(text, None).mm)
            except ValueError as error:
                self._problem(f"{name}: {error}")
        for name in self.recipe.measures:
            if name not in self.body.measures:
                how = MEASURES[name].how if name in MEASURES else ""
                self._problem(f"This garment asks for the measure “{name}”. {how}".strip())

    def _choices(self) -> None:
        for choice in self.recipe.choices:
            try:
                value = read(choice.value).quantity(self.names)
            except FigureError as error:
                self._problem(f"{choice.name}: {error.sentence}")
                continue
            self.names[choice.name.lower()] = value

    def _piece(self, recipe: PieceRecipe) -> None:
        outline: Outline | None = None
        figures: dict[str, float] = {}
        words: list[Sentence] = []
        failed = False
        for place, move in enumerate(recipe.moves):
            if move.off:
                continue
            work = Workpiece(recipe.name, move.title.lower(), recipe.on_fold, outline, self.names)
            try:
                shaped = move.apply(work)
                refuse_unsound(work, shaped.outline)
            except MoveError as error:
                self._problem(error.sentence, recipe.name, place)
                failed = True
                break
            outline = shaped.outline
            figures.update(shaped.figures_mm)
            words.extend(shaped.words)
        if outline is None:
            if not failed:
                self._problem(f"{recipe.name} has no shape yet.", recipe.name)
            return
        figures.update({edge.name: edge.length_mm for edge in outline})
        told = len(self.problems)
        allowances = self._allowances(recipe, outline)
        piece = Piece(
            recipe.name,
            recipe.cut_count,
            recipe.on_fold,
            recipe.cloth,
            recipe.grain,
            outline,
            allowances,
            {edge.name: finish_of(recipe, edge) for edge in outline},
            figures,
            tuple(words),
            recipe.note,
        )
        if failed:
            del self.problems[told:]  # its later edges are missing because the move failed
            self.unfinished.append(piece)
            return
        for name in crowded_edges(outline, allowances, piece.whole_cut_points):
            why = "has no room for its allowance; widen it there, or finish it without one"
            self._problem(f"{recipe.name}, {name}: this edge {why}.", recipe.name)
        self.pieces.append(piece)
        for name, value in figures.items():
            self.names[f"{recipe.name}.{name}".lower()] = Quantity(value)

    def _allowances(self, recipe: PieceRecipe, outline: Outline) -> dict[str, EdgeAllowance]:
        for name, stated in recipe.finishes.items():
            if name not in outline.names:
                self._problem(f"{recipe.name} has no edge “{name}” to finish.", recipe.name)
            elif finish_of(recipe, outline.edge(name)) != stated:
                why = "lies on the fold, so it is neither cut nor finished"
                self._problem(f"{recipe.name}, {name}: this edge {why}.", recipe.name)
        allowances: dict[str, EdgeAllowance] = {}
        for edge in outline:
            try:
                allowances[edge.name] = self._allowance(finish_of(recipe, edge))
            except FigureError as error:
                self._problem(f"{recipe.name}, {edge.name}: {error.sentence}", recipe.name)
        return allowances

    def _allowance(self, finish: Finish) -> EdgeAllowance:
        if finish.kind in _NO_ALLOWANCE:
            return EdgeAllowance()
        width = self._allowance_mm(finish.allowance or self.recipe.seam_allowance)
        if not finish.kind.endswith("hem"):
            return EdgeAllowance(width)
        if finish.kind == "single fold hem":
            return EdgeAllowance(width, folds_up=True)
        under = self._allowance_mm(finish.turn_under) if finish.turn_under else width
        if under > width:
            raise FigureError(
                f"The turn-under, {both(under, 'cm')}, is deeper than the hem, {both(width, 'cm')}."
            )
        return EdgeAllowance(width, folds_up=True, turn_under_mm=under)

    def _allowance_mm(self, text: str) -> float:
        value = read(text).length_mm(self.names)
        if not 0 <= value <= _WIDEST_ALLOWANCE_MM:
            raise FigureError(
                f"The allowance comes to {both(value, 'cm')}; it must be from 0 cm to "
                f"{both(_WIDEST_ALLOWANCE_MM, 'cm')}."
            )
        return value

    def _seams(self) -> tuple[SeamFinding, ...]:
        found = []
        for seam in self.recipe.seams:
            try:
                one, other = self._side(seam.one), self._side(seam.other)
                eased = read(seam.eased_in).length_mm(self.names) if seam.eased_in else 0.0
            except FigureError as error:
                uses = [use.edge for use in (*seam.one, *seam.other)]
                self._not_found(f"Seam “{seam.name}”: {error.sentence}", *uses)
                continue
            found.append(SeamFinding(seam.name, one, other, eased, seam.sewn, seam.stitch))
        return tuple(found)

    def _not_found(self, sentence: str, *texts: str) -> None:
        """Report it, unless it only waits for a piece that has told its own problem."""
        undrawn = {piece.name.lower() for piece in self.recipe.pieces}
        undrawn -= {piece.name.lower() for piece in self.pieces}
        try:
            quoted = {name.partition(".")[0] for text in texts for name in read(text).names}
        except FigureError:
            quoted = set()
        if undrawn.isdisjoint(quoted):
            self._problem(sentence)

    def _side(self, uses: tuple[EdgeUse, ...]) -> float:
        return sum(read(use.edge).length_mm(self.names) * use.times for use in uses)

    def _checks(self) -> tuple[CheckFinding, ...]:
        found = []
        for check in self.recipe.checks:
            try:
                garment = read(check.garment).length_mm(self.names)
                least = read(check.at_least).length_mm(self.names)
            except SeamslateError as error:
                sentence = f"Check “{check.name}”: {error.sentence}"
                self._not_found(sentence, check.garment, check.at_least)
                continue
            found.append(CheckFinding(check.name, garment, least, check.why))
        return tuple(found)

    def _finished(self) -> dict[str, float]:
        found: dict[str, float] = {}
        for measure in self.recipe.finished:
            try:
                found[measure.name] = read(measure.figure).length_mm(self.names)
            except FigureError as error:
                self._not_found(f"Finished {measure.name}: {error.sentence}", measure.figure)
        return found


def finish_of(recipe: PieceRecipe, edge: Edge) -> Finish:
    """An edge's finish: the fold for one that lies on it, else as stated, else a seam."""
    if recipe.on_fold and edge.on_fold:
        return Finish(kind="fold")
    return recipe.finishes.get(edge.name, Finish())
