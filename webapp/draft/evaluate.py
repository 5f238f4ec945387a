"""Drafting: a recipe on a body gives pieces, seam findings and body checks.

A piece that cannot be drawn is reported and kept as far as it got; the others are drawn all the
same, so that a page always has something to show. What only waits for something that is missing,
and that has been reported, is not reported again.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Final

from webapp.draft.allowances import EdgeAllowance, allowance_figures, crowded_edges
from webapp.draft.expressions import read
from webapp.draft.markings import Marking
from webapp.draft.measures import MEASURES
from webapp.draft.moves import Drafted, Shaped, ShapingMove, Workpiece
from webapp.draft.moves.soundness import refuse_lost_markings, refuse_unsound
from webapp.draft.names import Figures, Names, Quantity, gathered, name_key, piece_key
from webapp.draft.outline import Edge, Outline
from webapp.draft.recipe import Body, Finish, PieceRecipe, Recipe
from webapp.draft.results import (
    About,
    CheckFinding,
    Draft,
    Piece,
    Problem,
    SeamFinding,
    Stage,
    shown_edges,
)
from webapp.draft.seams import Seaming
from webapp.draft.sewn import edge_figures
from webapp.draft.stripes import with_match_points
from webapp.draft.words import Sentence
from webapp.errors import FigureError, MoveError, WaitingError
from webapp.units import both, parse_length

__all__ = [
    "NO_ALLOWANCE",
    "CheckFinding",
    "Draft",
    "Piece",
    "Problem",
    "SeamFinding",
    "evaluate",
    "finish_of",
    "quotes_itself",
]

_WIDEST_ALLOWANCE_MM: Final = 500.0  # deeper than any hem is turned up
_SEAM_ALLOWANCE: Final = "seam allowance"  # a figure of every garment
NO_ALLOWANCE: Final = ("bound", "selvedge", "fold", "raw")


def evaluate(recipe: Recipe, body: Body, known: Names | None = None) -> Draft:
    """Draft a recipe on a body; `known` holds figures of garments drafted before it."""
    return _Drafting(recipe, body, Figures(known)).run()


def quotes_itself(choice: str, figure: str) -> str:
    """Why a choice's figure may not quote the choice; empty when it does not.

    FigureError when the figure cannot be read.
    """
    if name_key(choice) not in read(figure).names:
        return ""
    return f"“{choice}” cannot be worked out from itself; write the new figure, like 69 cm."


class _Drafting:
    """One drafting run: figures gather in `names` in the order the recipe gives them."""

    def __init__(self, recipe: Recipe, body: Body, names: Figures) -> None:
        self.recipe, self.body, self.names = recipe, body, names
        self.problems: list[Problem] = []
        self.pieces: list[Piece] = []
        self.unfinished: list[Piece] = []
        self.drafted: dict[str, Drafted] = {}
        self.stages: dict[str, tuple[Stage, ...]] = {}

    def run(self) -> Draft:
        """Everything in the order in which one may quote the other."""
        self._measures()
        self._seam_allowance()
        self._choices()
        for piece in self.recipe.pieces:
            self._piece(piece)
        seaming = Seaming(self.pieces, self.names, partial(self._problem, about="seam"))
        seams = seaming.findings(self.recipe.seams)
        pieces = with_match_points(seaming.finished(), self.recipe.seams)
        checks, finished = self._checks(), self._finished(shown_edges(pieces))
        return Draft(
            self.recipe,
            self.body,
            pieces,
            tuple(self.unfinished),
            tuple(self.problems),  # once everything has told its own
            self.names,
            seams,
            checks,
            finished,
            self.stages,
        )

    def _problem(
        self, sentence: str, piece: str = "", move: int | None = None, about: About = "piece"
    ) -> None:
        self.problems.append(Problem(piece, move, sentence, about))

    def _measures(self) -> None:
        for name, text in self.body.measures.items():
            try:
                self.names[name.lower()] = Quantity(parse_length(text, None).mm)
            except ValueError as error:
                self._problem(f"{name}: {error}", about="measure")
                self.names.lacking.add(name.lower())
        for name in self.recipe.measures:
            if name not in self.body.measures:
                how = MEASURES[name].how if name in MEASURES else ""
                sentence = f"This garment asks for the measure “{name}”. {how}".strip()
                self._problem(sentence, about="measure")
                self.names.lacking.add(name.lower())

    def _seam_allowance(self) -> None:
        try:
            value = read(self.recipe.seam_allowance).length_mm(self.names)
        except FigureError:
            self.names.lacking.add(_SEAM_ALLOWANCE)  # told at the edges that use it
        else:
            self.names[_SEAM_ALLOWANCE] = Quantity(value)

    def _choices(self) -> None:
        for choice in self.recipe.choices:
            key = choice.name.lower()
            value, why = None, ""
            try:
                why = quotes_itself(choice.name, choice.value)
                value = None if why else read(choice.value).quantity(self.names)
            except WaitingError:
                pass  # what it waits for has been told
            except FigureError as error:
                why = f"{choice.name}: {error.sentence}"
            if why:
                self._problem(why, about="choice")
            if value is None:
                self.names.lacking.add(key)
            else:
                self.names[key] = value

    def _piece(self, recipe: PieceRecipe) -> None:
        drawn = self._moved(recipe)
        self.stages[recipe.name] = tuple(drawn.stages)
        outline, told = drawn.outline, len(self.problems)
        if outline is None:
            self.names.lacking.add(piece_key(recipe.name))
            return
        marked = frozenset(drawn.figures_mm) - set(outline.names)
        drawn.figures_mm.update(edge_figures(outline))
        allowances = self._allowances(recipe, outline)
        drawn.figures_mm.update(allowance_figures(allowances))
        piece = Piece(
            recipe.name,
            recipe.cut_count,
            recipe.on_fold,
            recipe.cloth,
            recipe.grain,
            outline,
            allowances,
            {edge.name: finish_of(recipe, edge) for edge in outline},
            drawn.figures_mm,
            tuple(drawn.words),
            recipe.note,
            recipe.pair and not recipe.on_fold,
            drawn.markings,
            marked,
            tilt=recipe.tilt,
        )
        if drawn.stopped:
            del self.problems[told:]  # its later edges are missing because the move failed
            self.names.lacking.add(piece_key(recipe.name))
            self.unfinished.append(piece)
            return
        for name in crowded_edges(outline, allowances, piece.whole_cut_points):
            why = "has no room for its allowance; widen it there, or finish it without one"
            self._problem(f"{recipe.name}, {name}: this edge {why}.", recipe.name)
        self.pieces.append(piece)
        self.drafted[recipe.name] = Drafted(outline, drawn.markings, recipe.on_fold, drawn.parts)
        for name, value in drawn.figures_mm.items():
            self.names[f"{recipe.name}.{name}".lower()] = Quantity(value)

    def _moved(self, recipe: PieceRecipe) -> "_Drawn":
        """The piece's moves one after the other, up to the first that cannot be done."""
        drawn = _Drawn()
        for place, move in enumerate(recipe.moves):
            drawn.stages.append(Stage(drawn.outline.names if drawn.outline else ()))
            if move.off:
                continue
            title = move.title.lower()
            work = Workpiece(
                recipe.name,
                title,
                recipe.on_fold,
                drawn.outline,
                self.names,
                drawn.markings,
                self.drafted,
            )
            try:
                shaped = _shaped(move, work)
                for part in shaped.parts.keys() & drawn.parts.keys():
                    raise work.refusal(f"a part called “{part}” was split off already")
            except MoveError as error:
                self._problem(error.sentence, recipe.name, place)
            except WaitingError:
                pass  # what it waits for has been told
            else:
                drawn.take(shaped)
                continue
            drawn.stopped = True
            return drawn
        if drawn.outline is None:
            about: About = "piece" if recipe.moves else "blank"
            self._problem(f"{recipe.name} has no shape yet.", recipe.name, about=about)
        return drawn

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
            except WaitingError:
                continue
            except FigureError as error:
                self._problem(f"{recipe.name}, {edge.name}: {error.sentence}", recipe.name)
        return allowances

    def _allowance(self, finish: Finish) -> EdgeAllowance:
        if finish.kind in NO_ALLOWANCE:
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
        value = self._mm(text)
        if not 0 <= value <= _WIDEST_ALLOWANCE_MM:
            raise FigureError(
                f"The allowance comes to {both(value, 'cm')}; it must be from 0 cm to "
                f"{both(_WIDEST_ALLOWANCE_MM, 'cm')}."
            )
        return value

    def _checks(self) -> tuple[CheckFinding, ...]:
        found = []
        for check in self.recipe.checks:
            figures = self._computed(
                f"Check “{check.name}”",
                partial(self._mm, check.garment),
                partial(self._mm, check.at_least),
            )
            if figures:
                garment, least = figures
                found.append(CheckFinding(check.name, garment, least, check.why))
        return tuple(found)

    def _finished(self, shown_mm: Mapping[str, float]) -> dict[str, float]:
        """The finished measurements; one that is an edge is as long as that edge is shown."""
        found: dict[str, float] = {}
        for measure in self.recipe.finished:
            figures = self._computed(f"Finished {measure.name}", partial(self._mm, measure.figure))
            if figures:
                found[measure.name] = shown_mm.get(name_key(measure.figure), figures[0])
            elif (key := name_key(measure.name)) not in self.names:
                self.names.lacking.add(key)
        return found

    def _computed(self, what: str, *figures: Callable[[], float]) -> list[float]:
        """The figures; none when one of them has trouble, which is told unless it only waits."""
        try:
            return gathered(figures)
        except WaitingError:
            return []
        except FigureError as error:
            self._problem(f"{what}: {error.sentence}", about="body")
            return []

    def _mm(self, text: str) -> float:
        return read(text).length_mm(self.names)


@dataclass
class _Drawn:
    """A piece while its moves are done; `stopped` when one of them could not be."""

    outline: Outline | None = None
    figures_mm: dict[str, float] = field(default_factory=dict)
    words: list[Sentence] = field(default_factory=list)
    markings: tuple[Marking, ...] = ()
    parts: dict[str, Drafted] = field(default_factory=dict)
    stages: list[Stage] = field(default_factory=list)
    stopped: bool = False

    def take(self, shaped: Shaped) -> None:
        """Go on from what a move returned."""
        self.outline = shaped.outline
        self.figures_mm.update(shaped.figures_mm)
        self.words.extend(shaped.words)
        self.stages[-1] = replace(self.stages[-1], words=shaped.words)
        if shaped.markings is not None:
            self.markings = shaped.markings
        self.parts.update(shaped.parts)


def _shaped(move: ShapingMove, work: Workpiece) -> Shaped:
    """The move done. WaitingError when that is all its trouble, else MoveError."""
    try:
        shaped = move.apply(work)
    except WaitingError:
        move.refuse_misread(work)
        raise
    refuse_unsound(work, shaped.outline)
    markings = work.markings if shaped.markings is None else shaped.markings
    if markings:
        refuse_lost_markings(work, shaped.outline, markings)
    return shaped


def finish_of(recipe: PieceRecipe, edge: Edge) -> Finish:
    """An edge's finish: the fold for one that lies on it, else as stated, else a seam."""
    if recipe.on_fold and edge.on_fold:
        return Finish(kind="fold")
    return recipe.finishes.get(edge.name, Finish())
