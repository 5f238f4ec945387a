"""What a fitting on the body changes in a recipe: choices, finishes, added moves."""

from collections.abc import Sequence
from typing import Annotated, Final, Literal

from pydantic import Field

from webapp.draft.construction import EdgeUse, Id, Step, Work, WorkKind
from webapp.draft.expressions import LONGEST_TEXT, read
from webapp.draft.moves import Move
from webapp.draft.names import Figures, Quantity, name_key
from webapp.draft.recipe import Body, Figure, Finish, FinishKind, Frozen, PieceRecipe, Recipe, Words
from webapp.errors import FigureError, RecipeError
from webapp.units import parse_length

Neatened = Literal["", "overlock", "machine"]


class ChoiceChange(Frozen):
    """A choice gets another figure. One that quotes a measure changes every size in proportion."""

    kind: Literal["choice"] = "choice"
    garment: Id
    choice: Words
    value: Figure


class FinishChange(Frozen):
    """An edge is finished otherwise: its allowance, thread and time follow."""

    kind: Literal["finish"] = "finish"
    garment: Id
    piece: Words
    edge: Words
    finish: Finish
    # How the raw edge is neatened before it is turned: the work a single fold asks for.
    neatened: Neatened = ""


class MoveChange(Frozen):
    """A move is added to a piece: before the one at that place (from 0), else at the end."""

    kind: Literal["move"] = "move"
    garment: Id
    piece: Words
    move: Move
    before: int | None = Field(None, ge=0, le=200)


FittingChange = Annotated[ChoiceChange | FinishChange | MoveChange, Field(discriminator="kind")]

# Cloth that is neatened before it is turned: three threads over the edge, or a zigzag (ISO 4915).
_NEATENING: Final[dict[str, tuple[WorkKind, str]]] = {
    "overlock": ("overlock", "504"),
    "machine": ("machine", "304"),
}
# Finishes that leave no raw edge to neaten: it is folded in, covered, or does not fray.
_ENCLOSED: Final[frozenset[FinishKind]] = frozenset(
    ("double fold hem", "bound", "faced", "selvedge", "fold")
)
_SEWN: Final = ("machine", "hand")


def with_change(recipe: Recipe, change: FittingChange) -> Recipe:
    """The recipe with one change of a fitting made, and the work on an edge that it asks for.

    RecipeError when the recipe has no such choice or piece.
    """
    if isinstance(change, ChoiceChange):
        return _with_choice(recipe, change)
    piece = _piece(recipe, change.piece)
    if isinstance(change, MoveChange):
        moves = list(piece.moves)
        moves.insert(len(moves) if change.before is None else change.before, change.move)
        return _with_piece(recipe, piece.model_copy(update={"moves": tuple(moves)}))
    stated = {name: one for name, one in piece.finishes.items() if not _same(name, change.edge)}
    edge = next((name for name in piece.finishes if _same(name, change.edge)), change.edge)
    finishes = {**stated, edge: change.finish}
    steps = _neatened(recipe.steps, f"{piece.name}.{edge}", change)
    recipe = _with_piece(recipe, piece.model_copy(update={"finishes": finishes}))
    return recipe.model_copy(update={"steps": steps})


def in_proportion(value: str, measure: str, body: Body) -> str:
    """The figure written so that it grows with a measure; on this body it is the same to the bit.

    RecipeError when it cannot be read or is too long then, or the body lacks the measure.

    >>> in_proportion("9 cm", "bust", Body(name="As filmed", measures={"bust": "92 cm"}))
    '9 cm * (bust / 92 cm)'
    """
    try:
        figure = read(value)
    except FigureError as error:
        raise RecipeError(error.sentence) from None
    typed = next((text for name, text in body.measures.items() if _same(name, measure)), "")
    if not typed:
        raise RecipeError(f"The body has no measure “{measure}” to go by; type it there first.")
    try:
        mm = parse_length(typed, None).mm
    except ValueError as error:
        raise RecipeError(f"{measure}: {error}") from None
    if mm <= 0:
        raise RecipeError(f"The measure “{measure}” is nothing; a figure cannot grow with it.")
    whole = value.strip() if not figure.quoted and _is_plain(value) else f"({value.strip()})"
    # Bracketed, so that it is exactly one on this body and the figure is not touched by rounding.
    found = f"{whole} * ({measure} / {_as_figure(typed, mm)})"
    if len(found) > LONGEST_TEXT:
        raise RecipeError("This figure is too long to be written in proportion; make it a choice.")
    return found


def _is_plain(value: str) -> bool:
    """True for a number with its unit, which needs no brackets."""
    return not set(value.strip()) & set("+-−*/()")


def _as_figure(typed: str, mm: float) -> str:
    """A measure as typed where a figure reads it as the same length, else in millimetres."""
    try:
        if _is_plain(typed) and read(typed).quantity(Figures()) == Quantity(mm):
            return typed.strip()
    except FigureError:
        pass
    return f"{mm!r} mm"


def _same(one: str, other: str) -> bool:
    return name_key(one) == name_key(other)


def _with_choice(recipe: Recipe, change: ChoiceChange) -> Recipe:
    if not any(_same(choice.name, change.choice) for choice in recipe.choices):
        raise RecipeError(f"{recipe.name} has no choice “{change.choice}” any more.")
    choices = tuple(
        choice.model_copy(update={"value": change.value})
        if _same(choice.name, change.choice)
        else choice
        for choice in recipe.choices
    )
    return recipe.model_copy(update={"choices": choices})


def _piece(recipe: Recipe, name: str) -> PieceRecipe:
    for piece in recipe.pieces:
        if _same(piece.name, name):
            return piece
    raise RecipeError(f"{recipe.name} has no piece “{name}” any more.")


def _with_piece(recipe: Recipe, new: PieceRecipe) -> Recipe:
    pieces = tuple(new if piece.name == new.name else piece for piece in recipe.pieces)
    return recipe.model_copy(update={"pieces": pieces})


# --- The work on the edge --------------------------------------------------------------------


def _neatened(steps: Sequence[Step], edge: str, change: FinishChange) -> tuple[Step, ...]:
    """The steps with the edge neatened where it is first sewn, or no more where it is enclosed."""
    enclosed = change.finish.kind in _ENCLOSED
    if not enclosed and not change.neatened:
        return tuple(steps)
    found = [_without_neatening(step, edge) for step in steps]
    if not enclosed:
        for at, step in enumerate(found):
            if any(_sews(work, edge) for work in step.work):
                found[at] = _with_neatening(step, edge, change.neatened)
                break
    return tuple(found)


def _sews(work: Work, edge: str) -> bool:
    return work.kind in _SEWN and any(_same(use.edge, edge) for use in work.edges)


def _neatens(work: Work) -> bool:
    """True for work that may be neatening; a zigzag may also hold elastic, or a hem."""
    return work.kind == "overlock" or (work.kind == "machine" and work.stitch.strip() == "304")


def _without_neatening(step: Step, edge: str) -> Step:
    """The step without the edge's neatening, when something else in the step sews the edge."""
    if not any(_sews(work, edge) and not _neatens(work) for work in step.work):
        return step
    kept = []
    for work in step.work:
        edges = tuple(use for use in work.edges if not _same(use.edge, edge))
        if not _neatens(work) or len(edges) == len(work.edges):
            kept.append(work)
        elif edges or work.pieces or work.seams:
            kept.append(work.model_copy(update={"edges": edges}))
    return step.model_copy(update={"work": tuple(kept)})


def _with_neatening(step: Step, edge: str, how: Neatened) -> Step:
    """The step with the edge neatened before it is sewn, pressed or pinned there."""
    kind, stitch = _NEATENING[how]
    times = max(
        use.times
        for work in step.work
        if work.kind in _SEWN
        for use in work.edges
        if _same(use.edge, edge)
    )
    use = EdgeUse(edge=edge, times=times)
    new = Work(kind=kind, stitch=stitch, edges=(use,))
    first = next(
        at for at, work in enumerate(step.work) if any(_same(use.edge, edge) for use in work.edges)
    )
    for at, work in enumerate(step.work[: first + 1]):
        if work.edges and new.model_copy(update={"edges": work.edges}) == work:
            together = work.model_copy(update={"edges": (*work.edges, use)})
            return step.model_copy(
                update={"work": (*step.work[:at], together, *step.work[at + 1 :])}
            )
    return step.model_copy(update={"work": (*step.work[:first], new, *step.work[first:])})
