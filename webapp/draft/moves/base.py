"""What every shaping move shares: its form fields, its workpiece, its result."""

import math
from abc import abstractmethod
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Annotated, Any, ClassVar, Final, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from webapp.draft.expressions import LONGEST_TEXT, Names, read
from webapp.draft.markings import Marking
from webapp.draft.names import Figures, piece_key
from webapp.draft.outline import Outline
from webapp.draft.words import Sentence
from webapp.errors import FigureError, MoveError, WaitingError
from webapp.units import both_as_cut

FigureText = Annotated[str, StringConstraints(max_length=LONGEST_TEXT)]
# An edge is quoted as `Piece.edge` in expressions and as `{Piece.edge}` in texts.
EDGE_PATTERN: Final = r"^[^.{}\x00-\x1f]*$"
EdgeName = Annotated[str, StringConstraints(max_length=40, pattern=EDGE_PATTERN)]

SMALLEST_MM: Final = 0.5  # shorter than a chalk line is wide
LARGEST_MM: Final = 20_000.0  # no piece of a garment is longer than 20 m


def figure_field(title: str, help_text: str, default: Any = ...) -> Any:
    """A field that takes an expression coming to a length; with "" as default it may stay empty."""
    return Field(default, title=title, description=help_text, json_schema_extra={"ask": "figure"})


def share_field(title: str, help_text: str, default: Any = ...) -> Any:
    """A field that takes an expression coming to a bare number."""
    return Field(default, title=title, description=help_text, json_schema_extra={"ask": "share"})


def edge_field(title: str, help_text: str, default: Any = ...) -> Any:
    """A field that names an edge of the piece as it stands."""
    return Field(default, title=title, description=help_text, json_schema_extra={"ask": "edge"})


def edges_field(title: str, help_text: str, default: Any = ...) -> Any:
    """A field that names several edges of the piece as it stands."""
    return Field(default, title=title, description=help_text, json_schema_extra={"ask": "edges"})


def piece_field(title: str, help_text: str, default: Any = ...) -> Any:
    """A field that names an earlier piece of the garment."""
    return Field(default, title=title, description=help_text, json_schema_extra={"ask": "piece"})


def count_field(title: str, help_text: str, default: Any = ..., *, most: int = 60) -> Any:
    """A field that takes a whole number from 1."""
    return Field(
        default,
        title=title,
        description=help_text,
        ge=1,
        le=most,
        json_schema_extra={"ask": "count", "most": most},
    )


def switch_field(title: str, help_text: str, default: bool) -> Any:
    """A field that is ticked or not."""
    return Field(default, title=title, description=help_text, json_schema_extra={"ask": "switch"})


def name_field(title: str, help_text: str, default: Any = ...) -> Any:
    """A field that gives a new edge, or several, a name."""
    return Field(default, title=title, description=help_text, json_schema_extra={"ask": "name"})


def option_field(title: str, help_text: str, default: Any) -> Any:
    """A field with a fixed list of answers."""
    return Field(default, title=title, description=help_text, json_schema_extra={"ask": "option"})


@dataclass(frozen=True, eq=False)
class Drafted:
    """What a later piece may take from an earlier one; `parts` were split off it, by name.

    Compared by identity, as what depends on it is remembered by it.
    """

    outline: Outline
    markings: tuple[Marking, ...] = ()
    on_fold: bool = False
    parts: "Mapping[str, Drafted]" = field(default_factory=dict)


@dataclass(frozen=True)
class Workpiece:
    """The piece as it stands before a move, and the figures the move may quote.

    A figure that quotes what is lacking raises WaitingError, whatever the move.
    """

    piece: str
    move: str
    on_fold: bool
    drawn: Outline | None
    names: Names
    markings: tuple[Marking, ...] = ()  # made by the moves before
    earlier: Mapping[str, Drafted] = field(default_factory=dict)  # finished pieces, as spelled

    @property
    def outline(self) -> Outline:
        """The outline so far. MoveError if no shape has been drawn yet."""
        if self.drawn is None:
            raise self.refusal("draw a shape first, such as a rectangle")
        return self.drawn

    def earlier_piece(self, name: str) -> Drafted:
        """The finished piece of that name. MoveError if there is none before this one.

        WaitingError when it cannot be drawn for now.
        """
        for known, piece in self.earlier.items():
            if known.lower() == name.lower():
                return piece
        if isinstance(self.names, Figures) and piece_key(name) in self.names.lacking:
            raise WaitingError(f"{name} is not drawn yet; see to that first.")
        known_names = ", ".join(self.earlier) or "none"
        raise self.refusal(
            f"there is no piece called “{name}” before this one; those before it: {known_names}"
        )

    def refuse_second_shape(self) -> None:
        """MoveError if something has been drawn before this shape."""
        if self.drawn is not None:
            raise self.refusal("a shape starts a piece, so it must be the first move")

    def refusal(self, why: str) -> MoveError:
        """The error for a move that cannot be done: the piece, the move, why."""
        end = "" if why.endswith((".", "?")) else "."
        return MoveError(f"{self.piece}, {self.move}: {why}{end}")

    def signed_mm(self, field: str, text: str) -> float:
        """The figure in mm, of either sign. MoveError names the field."""
        try:
            value = read(text).length_mm(self.names)
        except WaitingError:
            raise  # no trouble of this move
        except FigureError as error:
            raise self.refusal(f"{field}: {error.sentence}") from error
        if abs(value) > LARGEST_MM:
            raise self.refusal(f"{field}: {_cm(value)} is more than any garment needs")
        return value

    def length_mm(self, field: str, text: str, *, or_zero: bool = False) -> float:
        """The figure in mm, greater than zero (or zero too). MoveError names the field."""
        value = self.signed_mm(field, text)
        if or_zero and abs(value) < SMALLEST_MM:
            return 0.0
        if value < SMALLEST_MM:
            raise self.refusal(f"{field} comes to {_cm(value)}; it must be greater than zero")
        return value

    def share(self, field: str, text: str, least: float, most: float) -> float:
        """The figure as a bare number between two limits. MoveError names the field."""
        try:
            value = read(text).number(self.names)
        except WaitingError:
            raise
        except FigureError as error:
            raise self.refusal(f"{field}: {error.sentence}") from error
        if not least <= value <= most:
            raise self.refusal(f"{field} is {value:g}; it must be from {least:g} to {most:g}")
        return value

    def limit(self, what: str, value_mm: float, than: str, limit_mm: float) -> MoveError:
        """The error for a figure past its limit, both shown in both units."""
        return self.refusal(f"{what} {_cm(value_mm)} is {than}, {_cm(limit_mm)}".strip())


def _cm(mm: float) -> str:
    return both_as_cut(mm, "cm")


@dataclass(frozen=True)
class Shaped:
    """What a move returns: the new outline, the figures it makes (mm), and its words.

    `markings` are all there are afterwards; None when those before stay where they were.
    `parts` are what it split off, by name.
    """

    outline: Outline
    figures_mm: Mapping[str, float]
    words: tuple[Sentence, ...]
    markings: tuple[Marking, ...] | None = None
    parts: Mapping[str, Drafted] = field(default_factory=dict)


class ShapingMove(BaseModel):
    """One shaping act. A subclass adds `kind`, its fields and `apply`."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    title: ClassVar[str]  # what the page calls the move
    purpose: ClassVar[str]  # one line under the title
    starts_a_piece: ClassVar[bool] = False
    family: ClassVar[Literal["line", "cloth", "mark"]] = "line"  # where the page offers it

    off: bool = Field(False, title="Switched off")

    @classmethod
    def takes_a_piece(cls) -> bool:
        """True for a move that takes something from an earlier piece."""
        asks = (info.json_schema_extra for info in cls.model_fields.values())
        return any(isinstance(ask, dict) and ask["ask"] == "piece" for ask in asks)

    def refuse_misread(self, work: Workpiece) -> None:
        """MoveError for a figure that could not be read even if nothing were lacking."""
        for name, info in type(self).model_fields.items():
            asks = info.json_schema_extra
            if not isinstance(asks, dict) or asks["ask"] not in ("figure", "share"):
                continue
            text, title = getattr(self, name), str(info.title).lower()
            if not text:
                continue
            with suppress(WaitingError):
                if asks["ask"] == "figure":
                    work.signed_mm(title, text)
                else:
                    work.share(title, text, -math.inf, math.inf)

    @abstractmethod
    def apply(self, work: Workpiece) -> Shaped:
        """The piece after this move. MoveError when it cannot be done."""
