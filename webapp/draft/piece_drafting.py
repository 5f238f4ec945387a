"""Drafting one piece: its moves one after the other, and the allowances of its edges.

A piece that comes without any problem is drafted once for the same recipe and the same figures:
a change of one choice drafts only the pieces that read it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from webapp.draft.allowances import EdgeAllowance, allowance_figures, crowded_edges
from webapp.draft.expressions import length_of
from webapp.draft.markings import Marking
from webapp.draft.moves import Drafted, Shaped, ShapingMove, Workpiece
from webapp.draft.moves.soundness import refuse_lost_markings, refuse_unsound
from webapp.draft.names import Figures
from webapp.draft.outline import Edge, Outline
from webapp.draft.recipe import Finish, PieceRecipe
from webapp.draft.results import About, Piece, Problem, Stage
from webapp.draft.reuse import Reuse
from webapp.draft.sewn import edge_figures
from webapp.draft.words import Sentence
from webapp.errors import FigureError, MoveError, WaitingError
from webapp.units import both

_WIDEST_ALLOWANCE_MM: Final = 500.0  # deeper than any hem is turned up
NO_ALLOWANCE: Final = ("bound", "selvedge", "fold", "raw")
_PIECES_KEPT: Final = 600  # some dozen sizes of some garments before and after an edit; 15 kB each


@dataclass(frozen=True)
class PieceDraft:
    """A piece as far as it is drawn, what is in its way, and what a later piece may take of it.

    `piece` is None while there is no shape, `drafted` while it is not finished.
    """

    piece: Piece | None
    stages: tuple[Stage, ...]
    problems: tuple[Problem, ...]
    drafted: Drafted | None = None


_pieces: Final[Reuse[PieceDraft]] = Reuse(_PIECES_KEPT)


def draft_piece(
    recipe: PieceRecipe, seam_allowance: str, names: Figures, earlier: Mapping[str, Drafted]
) -> PieceDraft:
    """Draft a piece with the figures there are and the finished pieces `earlier`.

    `seam_allowance` is the garment's, as typed, for the edges that state none.
    """
    takes = any(move.takes_a_piece() for move in recipe.moves)
    of = (recipe.model_dump_json(), seam_allowance, tuple(earlier.items()) if takes else ())
    return _pieces.get(
        of,
        names,
        lambda figures: _PieceDrafting(recipe, seam_allowance, figures, earlier).run(),
        keep=lambda found: not found.problems and found.drafted is not None,
    )


class _PieceDrafting:
    """One piece being drafted."""

    def __init__(
        self,
        recipe: PieceRecipe,
        seam_allowance: str,
        names: Figures,
        earlier: Mapping[str, Drafted],
    ) -> None:
        self.recipe, self.seam_allowance = recipe, seam_allowance
        self.names, self.earlier = names, earlier
        self.problems: list[Problem] = []

    def _problem(self, sentence: str, move: int | None = None, about: About = "piece") -> None:
        self.problems.append(Problem(self.recipe.name, move, sentence, about))

    def run(self) -> PieceDraft:
        """Its moves, then its edges."""
        recipe, drawn = self.recipe, self._moved(self.recipe)
        stages = tuple(drawn.stages)
        outline, told = drawn.outline, len(self.problems)
        if outline is None:
            return PieceDraft(None, stages, tuple(self.problems))
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
            return PieceDraft(piece, stages, tuple(self.problems))
        for name in crowded_edges(outline, allowances, piece.whole_cut_points):
            why = "has no room for its allowance; widen it there, or finish it without one"
            self._problem(f"{recipe.name}, {name}: this edge {why}.")
        drafted = Drafted(outline, drawn.markings, recipe.on_fold, drawn.parts)
        return PieceDraft(piece, stages, tuple(self.problems), drafted)

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
                self.earlier,
            )
            try:
                shaped = _shaped(move, work)
                for part in shaped.parts.keys() & drawn.parts.keys():
                    raise work.refusal(f"a part called “{part}” was split off already")
            except MoveError as error:
                self._problem(error.sentence, place)
            except WaitingError:
                pass  # what it waits for has been told
            else:
                drawn.take(shaped)
                continue
            drawn.stopped = True
            return drawn
        if drawn.outline is None:
            about: About = "piece" if recipe.moves else "blank"
            self._problem(f"{recipe.name} has no shape yet.", about=about)
        return drawn

    def _allowances(self, recipe: PieceRecipe, outline: Outline) -> dict[str, EdgeAllowance]:
        for name, stated in recipe.finishes.items():
            if name not in outline.names:
                self._problem(f"{recipe.name} has no edge “{name}” to finish.")
            elif finish_of(recipe, outline.edge(name)) != stated:
                why = "lies on the fold, so it is neither cut nor finished"
                self._problem(f"{recipe.name}, {name}: this edge {why}.")
        allowances: dict[str, EdgeAllowance] = {}
        for edge in outline:
            try:
                allowances[edge.name] = self._allowance(finish_of(recipe, edge))
            except WaitingError:
                continue
            except FigureError as error:
                self._problem(f"{recipe.name}, {edge.name}: {error.sentence}")
        return allowances

    def _allowance(self, finish: Finish) -> EdgeAllowance:
        if finish.kind in NO_ALLOWANCE:
            return EdgeAllowance()
        width = self._allowance_mm(finish.allowance or self.seam_allowance)
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
        value = length_of(text, self.names)
        if not 0 <= value <= _WIDEST_ALLOWANCE_MM:
            raise FigureError(
                f"The allowance comes to {both(value, 'cm')}; it must be from 0 cm to "
                f"{both(_WIDEST_ALLOWANCE_MM, 'cm')}."
            )
        return value


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
