"""Drafting: a recipe on a body gives pieces, seam findings and body checks.

A piece that cannot be drawn is reported and kept as far as it got; the others are drawn all the
same, so that a page always has something to show. What only waits for something that is missing,
and that has been reported, is not reported again.
"""

from collections.abc import Callable, Mapping
from functools import partial
from typing import Final

from webapp.draft.expressions import length_of, read
from webapp.draft.measures import MEASURES
from webapp.draft.moves import Drafted
from webapp.draft.names import Figures, Names, Quantity, gathered, name_key, piece_key
from webapp.draft.piece_drafting import NO_ALLOWANCE, draft_piece, finish_of
from webapp.draft.recipe import Body, PieceRecipe, Recipe
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
from webapp.draft.stripes import with_match_points
from webapp.errors import FigureError, WaitingError
from webapp.units import parse_length

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

_SEAM_ALLOWANCE: Final = "seam allowance"  # a figure of every garment


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

    def _problem(self, item: str, sentence: str, about: About = "piece") -> None:
        self.problems.append(Problem("", None, sentence, about, item))

    def _measures(self) -> None:
        for name, text in self.body.measures.items():
            try:
                self.names[name.lower()] = Quantity(parse_length(text, None).mm)
            except ValueError as error:
                self._problem(name, f"{name}: {error}", about="measure")
                self.names.lacking.add(name.lower())
        for name in self.recipe.measures:
            if name not in self.body.measures:
                how = MEASURES[name].how if name in MEASURES else ""
                sentence = f"This garment asks for the measure “{name}”. {how}".strip()
                self._problem(name, sentence, about="measure")
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
                self._problem(choice.name, why, about="choice")
            if value is None:
                self.names.lacking.add(key)
            else:
                self.names[key] = value

    def _piece(self, recipe: PieceRecipe) -> None:
        made = draft_piece(recipe, self.recipe.seam_allowance, self.names, self.drafted)
        self.stages[recipe.name] = made.stages
        self.problems += made.problems
        if made.drafted is None:
            self.names.lacking.add(piece_key(recipe.name))
            if made.piece is not None:
                self.unfinished.append(made.piece)
            return
        assert made.piece is not None
        self.pieces.append(made.piece)
        self.drafted[recipe.name] = made.drafted
        for name, value in made.piece.figures_mm.items():
            self.names[f"{recipe.name}.{name}".lower()] = Quantity(value)

    def _checks(self) -> tuple[CheckFinding, ...]:
        found = []
        for check in self.recipe.checks:
            figures = self._computed(
                partial(self._problem, check.name, about="check"),
                f"Check “{check.name}”",
                partial(length_of, check.garment, self.names),
                partial(length_of, check.at_least, self.names),
            )
            if figures:
                garment, least = figures
                found.append(CheckFinding(check.name, garment, least, check.why))
        return tuple(found)

    def _finished(self, shown_mm: Mapping[str, float]) -> dict[str, float]:
        """The finished measurements; one that is an edge is as long as that edge is shown."""
        found: dict[str, float] = {}
        for measure in self.recipe.finished:
            figures = self._computed(
                partial(self._problem, measure.name, about="finished"),
                f"Finished {measure.name}",
                partial(length_of, measure.figure, self.names),
            )
            if figures:
                found[measure.name] = shown_mm.get(name_key(measure.figure), figures[0])
            elif (key := name_key(measure.name)) not in self.names:
                self.names.lacking.add(key)
        return found

    def _computed(
        self, tell: Callable[[str], None], what: str, *figures: Callable[[], float]
    ) -> list[float]:
        """The figures; none when one of them has trouble, which is told unless it only waits."""
        try:
            return gathered(figures)
        except WaitingError:
            return []
        except FigureError as error:
            tell(f"{what}: {error.sentence}")
            return []
