"""Forms for shaping moves, made from the moves' own fields: a new move needs no new template."""

from dataclasses import dataclass, replace
from typing import Any, get_args

from webapp.draft.expressions import Names
from webapp.draft.moves import MOVES, ShapingMove
from webapp.pages.forms import Field, Reader, edge_name, figure, one_of, ticked
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


def filled_form(
    move: ShapingMove, place: int, problem: str, names: Names, first: System
) -> MoveForm:
    """The form of a move that is part of a piece, each figure with what it comes to."""
    kind = type(move).model_fields["kind"].default
    fields = tuple(
        replace(field, now=figure_in_both(field.value, names, first))
        if field.ask == "figure"
        else field
        for field in _fields(type(move), move)
    )
    return MoveForm(kind, move.title, move.purpose, fields, place, move.off, problem)


def blank_form(kind: str) -> MoveForm:
    """The form of a move that is to be added."""
    move = MOVES[kind]
    return MoveForm(kind, move.title, move.purpose, _fields(move, None))


def move_fields(kind: str, unit: System, names: Names) -> tuple[Field, ...]:
    """How each field of such a move is read."""
    return tuple(
        Field(field.name, _reader(field, unit, names)) for field in _fields(MOVES[kind], None)
    )


def _fields(move: type[ShapingMove], filled: ShapingMove | None) -> tuple[MoveField, ...]:
    fields = []
    for name, info in move.model_fields.items():
        extra = info.json_schema_extra
        if not isinstance(extra, dict):
            continue
        default = "" if info.is_required() else info.default
        value = getattr(filled, name) if filled is not None else default
        fields.append(
            MoveField(
                name,
                info.title or name,
                info.description or "",
                str(extra["ask"]),
                ", ".join(value) if isinstance(value, tuple) else value,
                tuple(get_args(info.annotation)) if extra["ask"] == "option" else (),
            )
        )
    return tuple(fields)


def _reader(field: MoveField, unit: System, names: Names) -> Reader:
    match field.ask:
        case "figure":
            return figure(unit, names)
        case "share":
            return figure(unit, names, share=True)
        case "option":
            return one_of(field.options)
        case "switch":
            return ticked
        case "name" if field.name == "edges":
            return _names
        case _:
            return edge_name


def _names(typed: str) -> tuple[str, ...]:
    """Edge names parted by commas; none at all gives the usual ones."""
    return tuple(edge_name(name.strip()) for name in typed.split(",") if name.strip())
