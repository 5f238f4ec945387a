"""Forms for the changes of a fitting, and each change told in a plain sentence."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from pydantic import TypeAdapter
from starlette.datastructures import FormData

from webapp.draft.evaluate import NO_ALLOWANCE, Draft, finish_of, quotes_itself
from webapp.draft.expressions import Quantity
from webapp.draft.fittings import (
    ChoiceChange,
    FinishChange,
    FittingChange,
    MoveChange,
    Neatened,
    in_proportion,
)
from webapp.draft.moves import MOVES, Move
from webapp.draft.names import name_key
from webapp.draft.recipe import Body, Choice, Finish
from webapp.draft.words import Sentence
from webapp.errors import RecipeError
from webapp.pages.draft_view import edges_of, is_bare, piece_of
from webapp.pages.finish_forms import KINDS
from webapp.pages.forms import Answers, Field, Reader, figure, needed, one_of, read_form
from webapp.pages.move_forms import MoveForm, blank_form, move_fields
from webapp.pages.ranges import beyond_range
from webapp.pages.wording import allowance_in_both, figure_in_both
from webapp.plan.figures import as_written
from webapp.units import System

NEATENED: Final[Mapping[Neatened, str]] = {
    "": "As its steps say now",
    "overlock": "Neaten it by overlock",
    "machine": "Neaten it by zigzag",
}
_BY: Final[Mapping[Neatened, str]] = {"overlock": "overlock", "machine": "zigzag"}
_MOVE: Final[TypeAdapter[Move]] = TypeAdapter(Move)
_PLAIN_LENGTH: Final = re.compile(r"((?:\d+ )?\d+/[1-9]\d*|\d+(?:\.\d+)?) (cm|in)", re.ASCII)
# As typed, and as figures write them.
_SIGNS: Final[Mapping[str, str]] = {"+": "+", "-": "-", "−": "-", "–": "-"}
# What `in_proportion` writes of a plain figure, or of one with a fraction.
_GROWS: Final = re.compile(
    r"(?:[^+\-−*/()]+|\(\d[^+\-−*()]*\)) \* \((?P<measure>[^()/]+) / [^()/]+\)"
)


@dataclass(frozen=True)
class ChangeRow:
    """A change in a plain sentence, and what the draft would say of an added move."""

    sentence: str
    words: tuple[Sentence, ...] = ()
    beyond: str = ""  # a sentence when a figure leaves the range that makes sense


@dataclass(frozen=True)
class ChangeForms:
    """What the forms of an open fitting offer: choices, edges and pieces with their figures now."""

    choices: tuple[tuple[str, str], ...]
    measures: tuple[tuple[str, str], ...]
    edges: tuple[tuple[str, str], ...]
    pieces: tuple[tuple[str, str], ...]
    figures: Mapping[str, Quantity]  # what a figure may quote, and what it is now
    piece: str = ""  # of the move that is about to be added
    adding: MoveForm | None = None

    @property
    def moves(self) -> tuple[tuple[str, str], ...]:
        """The moves that can be added to a piece."""
        return tuple(_addable())

    @property
    def kinds(self) -> tuple[str, ...]:
        """The ways an edge can be finished."""
        return tuple(kind for kind in KINDS if kind != "fold")

    @property
    def neatened(self) -> tuple[tuple[str, str], ...]:
        """How the raw edge can be neatened."""
        return tuple(NEATENED.items())


def change_forms(
    now: Sequence[Draft], then: Sequence[Draft], body: Body, first: System, piece: str, kind: str
) -> ChangeForms:
    """The forms of an open fitting.

    `now` is the draft as it stands, `then` with the fitting's changes: a further move may start
    from an edge that an earlier one makes.
    """
    written = {name_key(name): name for name in as_written(now)}
    figures = {written.get(n, n): draft.names[n] for draft in now for n in sorted(draft.names)}
    measures = ((name, f"In proportion to the {name}") for name in body.measures)
    pieces = tuple(
        (f"{draft.recipe.id}/{one.name}", _called(now, draft, one.name))
        for draft in then
        for one in draft.recipe.pieces
        if one.moves
    )
    adding = None
    if piece in dict(pieces) and kind in dict(_addable()):
        adding = _blank(then, piece, kind)
    return ChangeForms(
        tuple(_choices(now, first)),
        (("", "The same in every size"), *measures),
        tuple(_edges(now, first)),
        pieces,
        figures,
        piece,
        adding,
    )


def _addable() -> list[tuple[str, str]]:
    return [(kind, move.title) for kind, move in MOVES.items() if not move.starts_a_piece]


def _blank(drafts: Sequence[Draft], piece: str, kind: str) -> MoveForm | None:
    garment, _, name = piece.partition("/")
    draft = next((one for one in drafts if one.recipe.id == garment), None)
    if draft is None:
        return None
    order = [one.name for one in draft.recipe.pieces]
    edges = tuple(edge.name for edge in edges_of(draft, name))
    return blank_form(kind, edges, order[: order.index(name)])


def _called(drafts: Sequence[Draft], draft: Draft, words: str) -> str:
    return f"{draft.recipe.name}: {words}" if len(drafts) > 1 else words[:1].upper() + words[1:]


def _choices(drafts: Sequence[Draft], first: System) -> list[tuple[str, str]]:
    found = []
    for draft in drafts:
        for choice in draft.recipe.choices:
            now = figure_in_both(choice.value, draft.names, first) or choice.value
            words = f"{_called(drafts, draft, choice.name)}, now {now}"
            found.append((f"{draft.recipe.id}/{choice.name}", words))
    return found


def _edges(drafts: Sequence[Draft], first: System) -> list[tuple[str, str]]:
    """Every edge that is not on the fold, with its finish now."""
    found = []
    for draft in drafts:
        for piece in draft.recipe.pieces:
            for edge in edges_of(draft, piece.name):
                finish = finish_of(piece, edge)
                if finish.kind == "fold":
                    continue
                called = _called(drafts, draft, f"{piece.name}, {edge.name}")
                told = f"{called}, now {_finish(finish, draft, first)}"
                found.append((f"{draft.recipe.id}/{piece.name}.{edge.name}", told))
    return found


# --- Reading them ----------------------------------------------------------------------------


def read_choice(
    sent: FormData, drafts: Sequence[Draft], body: Body, unit: System
) -> tuple[Answers, ChoiceChange | None]:
    """The change of a figure as sent, or what is wrong with it.

    It may leave the range that the recipe calls sensible: on the body that is for her to see.
    """
    offered = dict(_choices(drafts, unit))
    measure = Field("measure", one_of(("", *body.measures)))
    answers = read_form(sent, (Field("choice", _picked(offered, "figure"), needed=True), measure))
    if answers.errors:
        return _with_typed(answers, sent, "value"), None
    garment, _, name = answers.values["choice"].partition("/")
    draft = _draft(drafts, garment)
    choice = next(one for one in draft.recipe.choices if one.name == name)
    value = Field("value", _figure_of(choice, draft, unit), needed=True)
    answers = _both(answers, read_form(sent, (value,)))
    if answers.errors:
        return answers, None
    written, grows_with = answers.values["value"], answers.values.get("measure", "")
    try:
        if grows_with:
            written = in_proportion(written, grows_with, body)
    except RecipeError as error:
        return answers.failed(error.sentence, "measure"), None
    return answers, ChoiceChange(garment=garment, choice=name, value=written)


def _bracketed(figure: str) -> str:
    """The figure as a part of a sum."""
    return f"({figure})" if set(figure) & set("+-−*/") else figure


def plain_sum(one: str, sign: str, other: str) -> str:
    """What two plain lengths in one unit come to, in that unit; empty for any other figures.

    >>> plain_sum("64 cm", "-", "4 cm"), plain_sum("28 1/2 in", "+", "3/4 in")
    ('60 cm', '29 1/4 in')
    """
    found = [_PLAIN_LENGTH.fullmatch(part.strip()) for part in (one, other)]
    if not all(found) or len({part[2] for part in found if part}) != 1:
        return ""
    first, second = (sum(map(Fraction, part[1].split())) for part in found if part)
    value, unit = first + second * (-1 if sign == "-" else 1), other.rsplit(maxsplit=1)[-1]
    if value < 0:
        return ""
    if unit == "cm":
        return f"{float(value):g} cm"
    whole, rest = divmod(value, 1)
    return f"{whole} {rest} in" if whole and rest else f"{whole + rest} in"


def _figure_of(choice: Choice, draft: Draft, unit: System) -> Reader:
    """How a choice's new figure is read: with a sign before it, it is more or less than now."""
    inner = figure(unit, draft.names, share=is_bare(draft, choice))

    def reader(typed: str) -> str:
        sign = _SIGNS.get(typed[:1])
        written: str = inner(typed[1:].strip() if sign else typed)
        if sign:
            together = f"{_bracketed(choice.value)} {sign} {_bracketed(written)}"
            written = inner(plain_sum(choice.value, sign, written) or together)
        if why := quotes_itself(choice.name, written):
            raise ValueError(why)
        return written

    return reader


def read_finish(
    sent: FormData, drafts: Sequence[Draft], unit: System
) -> tuple[Answers, FinishChange | None]:
    """The change of a finish as sent, or what is wrong with it."""
    offered = dict(_edges(drafts, unit))
    fields = (
        Field("edge", _picked(offered, "edge"), needed=True),
        Field("finish", one_of(kind for kind in KINDS if kind != "fold"), needed=True),
        Field("neatened", one_of(NEATENED)),
    )
    answers = read_form(sent, fields)
    garment = str(sent.get("edge", "")).partition("/")[0]
    draft = next((one for one in drafts if one.recipe.id == garment), drafts[0] if drafts else None)
    if draft is None:
        return answers.failed("There is no garment to change yet."), None
    depth = figure(unit, draft.names, required=False)
    answers = _both(answers, read_form(sent, (Field("allowance", depth), Field("under", depth))))
    if answers.errors:
        return answers, None
    values = answers.values
    piece, _, edge = values["edge"].partition("/")[2].partition(".")
    finish = Finish(
        kind=values["finish"],
        allowance=values.get("allowance", ""),
        turn_under=values.get("under", "") if values["finish"] == "double fold hem" else "",
    )
    return answers, FinishChange(
        garment=draft.recipe.id,
        piece=piece,
        edge=edge,
        finish=finish,
        neatened=values.get("neatened", ""),
    )


def read_move(
    sent: FormData, drafts: Sequence[Draft], unit: System
) -> tuple[Answers, MoveChange | None]:
    """The added move as sent, or what is wrong with it."""
    kind = str(sent.get("kind", ""))
    garment, _, piece = str(sent.get("piece", "")).partition("/")
    draft = next((one for one in drafts if one.recipe.id == garment), None)
    if kind not in MOVES or draft is None or not any(piece == p.name for p in draft.recipe.pieces):
        return Answers().failed("Choose a piece and a move from the lists."), None
    required = [name for name, info in MOVES[kind].model_fields.items() if info.is_required()]
    answers = read_form(sent, needed(move_fields(kind, unit, draft.names), *required))
    if answers.errors:
        return answers, None
    move = _MOVE.validate_python({"kind": kind, **answers.values})
    return answers, MoveChange(garment=garment, piece=piece, move=move)


def _picked(offered: Mapping[str, str], what: str) -> Reader:
    def reader(typed: str) -> str:
        if typed not in offered:
            raise ValueError(f"Choose the {what} that changes.")
        return typed

    return reader


def _draft(drafts: Sequence[Draft], garment: str) -> Draft:
    return next(draft for draft in drafts if draft.recipe.id == garment)


def _both(one: Answers, other: Answers) -> Answers:
    return Answers(
        {**one.typed, **other.typed},
        {**one.values, **other.values},
        {**one.errors, **other.errors},
    )


def _with_typed(answers: Answers, sent: FormData, name: str) -> Answers:
    """The answers with what was typed in a field that could not be read yet."""
    typed: Any = sent.get(name, "")
    kept = typed if isinstance(typed, str) else ""
    return Answers({**answers.typed, name: kept}, answers.values, answers.errors)


# --- In words --------------------------------------------------------------------------------


def change_row(
    change: FittingChange, before: Sequence[Draft], after: Sequence[Draft], first: System
) -> ChangeRow:
    """A change as a sentence: the figure or finish before it, and after it."""
    was = next((one for one in before if one.recipe.id == change.garment), None)
    now = next((one for one in after if one.recipe.id == change.garment), was)
    if was is None or now is None:
        return ChangeRow("A change of a garment that is not in the episode any more.")
    if isinstance(change, ChoiceChange):
        choices = (c for c in now.recipe.choices if name_key(c.name) == name_key(change.choice))
        beyond = (beyond_range(change.value, one, now.names, first) for one in choices)
        return ChangeRow(_of_choice(change, was, now, first), beyond=next(beyond, ""))
    if isinstance(change, FinishChange):
        return ChangeRow(_of_finish(change, was, now, first))
    added = f"{change.piece}: {change.move.title.lower()} added"
    return ChangeRow(added, _words_of(change, now))


def _of_choice(change: ChoiceChange, was: Draft, now: Draft, first: System) -> str:
    called = change.choice[:1].upper() + change.choice[1:]
    new = figure_in_both(change.value, now.names, first) or change.value
    old = next((c for c in was.recipe.choices if name_key(c.name) == name_key(change.choice)), None)
    grows = _GROWS.fullmatch(change.value)
    more = f", in proportion to the {grows['measure']} in every other size" if grows else ""
    if not grows and set(change.value[1:]) & set("+-−*/()"):
        more = f", worked out as {change.value}"
    if old is None:
        return f"{called}: becomes {new}{more}"
    return f"{called}: {figure_in_both(old.value, was.names, first)} becomes {new}{more}"


def _of_finish(change: FinishChange, was: Draft, now: Draft, first: System) -> str:
    more = f", neatened by {_BY[change.neatened]}" if change.neatened else ""
    new = _finish(change.finish, now, first)
    where = f"{change.piece} {change.edge}"
    pieces = (p for p in was.recipe.pieces if name_key(p.name) == name_key(change.piece))
    piece = next(pieces, None)
    if piece is None:
        return f"{where}: becomes {new}{more}"
    old = {name_key(edge): finish for edge, finish in piece.finishes.items()}
    before = old.get(name_key(change.edge), Finish())
    return f"{where}: {_finish(before, was, first)} becomes {new}{more}"


def _finish(finish: Finish, draft: Draft, first: System) -> str:
    """A finish with its depth: `double fold hem, 2.5 cm (1 in)`."""
    if finish.kind in NO_ALLOWANCE:
        return finish.kind
    typed = finish.allowance or draft.recipe.seam_allowance
    depth = allowance_in_both(typed, draft.names, first)
    return f"{finish.kind} of {depth}" if depth else finish.kind


def _words_of(change: MoveChange, draft: Draft) -> tuple[Sentence, ...]:
    """What the draft says of an added move, when it was come to."""
    names = {name_key(piece.name): piece.name for piece in draft.recipe.pieces}
    written = names.get(name_key(change.piece))
    if written is None:
        return ()
    moves, stages = piece_of(draft.recipe, written).moves, draft.stages.get(written, ())
    for at in range(min(len(moves), len(stages)) - 1, -1, -1):
        if moves[at] == change.move:
            return stages[at].words
    return ()
