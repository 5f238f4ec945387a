"""Forms for shaping moves, made from the moves' own fields: a new move needs no new template."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, get_args

from webapp.draft.expressions import Names
from webapp.draft.moves import MOVES, ShapingMove
from webapp.draft.recipe import Choice
from webapp.pages.forms import (
    Field,
    Reader,
    edge_name,
    figure,
    one_of,
    plain_words,
    ticked,
    whole_number,
)
from webapp.pages.ranges import beyond_its_choice
from webapp.pages.wording import figure_in_both
from webapp.units import System


@dataclass(frozen=True)
class MoveField:
    """One field of a move: what it asks for and what stands in it."""

    name: str
    title: str
    help: str
    ask: str  # "figure", "share", "edge", "name", "option" or "switch"
    value: Any
    options: tuple[str, ...] = ()
    now: str = ""  # what a figure comes to, in both units
    beyond: str = ""  # a sentence when that is outside the range of the choice it quotes
    most: int = 0  # of a count
    may_be_empty: bool = False


@dataclass(frozen=True)
class MoveForm:
    """A move as a form: filled when `place` is known, blank when it is to be added."""

    kind: str
    title: str
    purpose: str
    fields: tuple[MoveField, ...]
    place: int | None = None
    off: bool = False
    problem: str = ""


def chosen(field: MoveField, invitation: str) -> list[tuple[str, str]]:
    """A list to choose from; it opens with an invitation while nothing of it stands chosen."""
    options = [(option, option) for option in field.options]
    return options if field.value in field.options else [("", invitation), *options]


def filled_form(
    move: ShapingMove,
    place: int,
    problem: str,
    names: Names,
    first: System,
    edges: Sequence[str],
    pieces: Sequence[str],
    choices: Sequence[Choice] = (),
) -> MoveForm:
    """The form of a move that is part of a piece, each figure with what it comes to.

    `edges` are those of the piece before the move, `pieces` those drawn before this one, `choices`
    those whose range a figure may leave.
    """
    kind = type(move).model_fields["kind"].default
    fields = tuple(
        replace(
            field,
            now=figure_in_both(field.value, names, first),
            beyond=beyond_its_choice(field.value, choices, names, first),
        )
        if field.ask == "figure"
        else field
        for field in _fields(type(move), move, edges, pieces)
    )
    return MoveForm(kind, move.title, move.purpose, fields, place, move.off, problem)


def blank_form(kind: str, edges: Sequence[str], pieces: Sequence[str]) -> MoveForm:
    """The form of a move that is to be added."""
    move = MOVES[kind]
    return MoveForm(kind, move.title, move.purpose, _fields(move, None, edges, pieces))


def move_fields(kind: str, unit: System, names: Names) -> tuple[Field, ...]:
    """How each field of such a move is read."""
    return tuple(
        Field(field.name, _reader(field, unit, names))
        for field in _fields(MOVES[kind], None, (), ())
    )


def _fields(
    move: type[ShapingMove],
    filled: ShapingMove | None,
    edges: Sequence[str],
    pieces: Sequence[str],
) -> tuple[MoveField, ...]:
    fields = []
    for name, info in move.model_fields.items():
        extra = info.json_schema_extra
        if not isinstance(extra, dict):
            continue
        default = "" if info.is_required() else info.default
        value = getattr(filled, name) if filled is not None else default
        ask = str(extra["ask"])
        options = {
            "option": tuple(get_args(info.annotation)),
            "edge": tuple(edges),
            "edges": tuple(edges),
            "piece": tuple(pieces),
        }.get(ask, ())
        if ask in ("edge", "piece") and value and value not in options and filled is not None:
            options = (*options, value)  # it stands there, though it cannot be found now
        fields.append(
            MoveField(
                name,
                info.title or name,
                info.description or "",
                ask,
                ", ".join(value) if isinstance(value, tuple) else value,
                options,
                most=int(str(extra.get("most", 0))),
                may_be_empty=default == "",
            )
        )
    return tuple(fields)


def _reader(field: MoveField, unit: System, names: Names) -> Reader:
    if field.ask in ("figure", "share"):
        share, required = field.ask == "share", not field.may_be_empty
        return figure(unit, names, share=share, required=required)
    if field.name == "edges":
        return _names
    readers: dict[str, Reader] = {
        "option": one_of(field.options),
        "switch": ticked,
        "count": whole_number(1, field.most, required=True),
        "piece": plain_words,
    }
    return readers.get(field.ask, edge_name)


def _names(typed: str) -> tuple[str, ...]:
    """Edge names parted by commas; none at all gives the usual ones."""
    return tuple(edge_name(name.strip()) for name in typed.split(",") if name.strip())
