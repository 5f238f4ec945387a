"""New names: what gets one is called by it wherever it is quoted, in figures, texts and steps.

Pieces, seams, steps and the garment's id must differ within an episode, or a text, a step or a
figure would mean the wrong one; what clashes in a recipe that joins an episode gets another name.
Choices need not: each garment means its own.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import chain, count
from operator import is_
from string import ascii_uppercase
from typing import Any, Final, Literal

from pydantic import BaseModel

from webapp.cloth.cloths import ChoiceOnCloth, EpisodeCloth, KeptPlacement, OtherCloth
from webapp.draft.construction import EdgeUse, Step, Work
from webapp.draft.expressions import LONGEST_TEXT, read
from webapp.draft.fittings import ChoiceChange, FinishChange, MoveChange
from webapp.draft.moves import ShapingMove
from webapp.draft.names import name_key
from webapp.draft.reading import short
from webapp.draft.recipe import (
    BodyCheck,
    Choice,
    Finish,
    FinishedMeasure,
    Notion,
    PieceRecipe,
    Recipe,
    Seam,
    SeamNotch,
    Way,
)
from webapp.errors import FigureError, RecipeError
from webapp.filming.shoot_days import ShootDay
from webapp.filming.shots import AcceptedFigure, Filmed, SaidFigure, Shot
from webapp.plan.edits import changed
from webapp.plan.episode import Brief, Episode, PrintedFigure

Quote = Literal["piece", "choice", "seam", "step", "figure", "text", "told"]

# What each field names or quotes; a field that is not here does neither. "piece" is a piece or
# something of it (`Front.hem`), "figure" an expression, "text" holds live figures, "told" is the
# name of one.
QUOTES: Final[Mapping[type[BaseModel], Mapping[str, Quote]]] = {
    Recipe: {"summary": "text", "seam_allowance": "figure"},
    Choice: {
        "name": "choice",
        "value": "figure",
        "least": "figure",
        "most": "figure",
        "reason": "text",
    },
    Way: {"figure": "figure", "how": "text"},
    PieceRecipe: {"name": "piece", "note": "text"},
    Finish: {"allowance": "figure", "turn_under": "figure"},
    Seam: {"name": "seam", "eased_in": "figure"},
    SeamNotch: {"at": "figure"},
    EdgeUse: {"edge": "piece"},
    BodyCheck: {"garment": "figure", "at_least": "figure", "why": "text"},
    FinishedMeasure: {"figure": "figure"},
    Notion: {
        "amount": "text",
        "why": "text",
        "length": "figure",
        "width": "figure",
        "ends": "figure",
    },
    Step: {"id": "step", "after": "step", "words": "text", "spare": "text"},
    Work: {"pieces": "piece", "seams": "seam"},
    Shot: {"step": "step", "narration": "text", "card": "text"},
    KeptPlacement: {"name": "piece"},
    ShootDay: {"beforehand": "step"},
    Brief: {"promise": "text"},
    EpisodeCloth: {"description": "text"},
    OtherCloth: {"description": "text", "effect": "text"},
    ChoiceOnCloth: {"choice": "choice", "value": "figure"},
    ChoiceChange: {"choice": "choice", "value": "figure"},
    FinishChange: {"piece": "piece"},
    MoveChange: {"piece": "piece"},
    SaidFigure: {"name": "told"},
    AcceptedFigure: {"name": "told"},
    # A figure that was missing as it was filmed still stands in braces.
    Filmed: {"narration": "text", "card": "text", "corrected": "told"},
    PrintedFigure: {"what": "told"},
}
_OF_MOVES: Final[Mapping[str, Quote]] = {"figure": "figure", "share": "figure", "piece": "piece"}
_LIVE: Final = re.compile(r"\{([^{}]*)\}")
_LONGEST_PIECE: Final = 40  # characters; see the recipe's models for these three
_LONGEST_NAME: Final = 80
_LONGEST_ID: Final = 64

Endings = Callable[[str], Iterator[str]]


@dataclass(frozen=True)
class Renaming:
    """New names by the old ones, whose keys are `name_key`s.

    RecipeError when a figure that quotes a new name could not be read, or would mean another.
    """

    pieces: Mapping[str, str] = field(default_factory=dict)
    seams: Mapping[str, str] = field(default_factory=dict)
    steps: Mapping[str, str] = field(default_factory=dict)
    choices: Mapping[str, str] = field(default_factory=dict)  # of the garment that is renamed
    told: Mapping[str, str] = field(default_factory=dict)  # figures of no piece, in texts only
    figures: Mapping[str, str] = field(default_factory=dict)  # of pieces, whole: `front.neck`

    def of(self, value: Any, quote: Quote | None = None) -> Any:
        """The value with every name and quote in it renamed; `quote` says what a text is.

        A part in which nothing is renamed is the part itself.
        """
        if isinstance(value, str):
            return value if quote is None else self._text(value, quote)
        if isinstance(value, BaseModel):
            quotes = quotes_of(type(value))
            fields = {name: (inner, self.of(inner, quotes.get(name))) for name, inner in value}
            new = {name: after for name, (inner, after) in fields.items() if after is not inner}
            return changed(value, **new) if new else value
        if isinstance(value, tuple):
            parts = tuple(self.of(inner, quote) for inner in value)
            return value if all(map(is_, parts, value)) else parts
        if isinstance(value, dict):
            after = {key: self.of(inner, quote) for key, inner in value.items()}
            return after if after != value else value
        return value

    def _text(self, text: str, quote: Quote) -> str:
        new = self._renamed(text, quote)
        return text if new == text else new

    def _renamed(self, text: str, quote: Quote) -> str:
        if quote == "piece":
            return self._edge_or_piece(text)
        if quote == "figure":
            return self._figure(text)
        if quote == "text":
            return _LIVE.sub(lambda live: f"{{{self._told(live[1])}}}", text)
        if quote == "told":
            return self._told(text)
        names = {"choice": self.choices, "seam": self.seams, "step": self.steps}[quote]
        return names.get(name_key(text), text)

    def _edge_or_piece(self, text: str) -> str:
        new = self._piece(text)
        if new != text and "." in new and _reads_as(new) != {name_key(new)}:
            raise _unreadable(text)
        return new

    def _piece(self, text: str) -> str:
        """A piece, or something of it: a figure is looked up as a whole, then its piece."""
        name, dot, rest = text.partition(".")
        whole, new = self.figures.get(name_key(text)), self.pieces.get(name_key(name))
        return whole or (f"{new}{dot}{rest}" if new else text)

    def _told(self, name: str) -> str:
        """A live figure's name; one without a full stop is no piece's, whatever it says."""
        if "." in name:
            return self._piece(name)
        return self.choices.get(name_key(name)) or self.told.get(name_key(name), name)

    def _quoted(self, name: str) -> str:
        return self._piece(name) if "." in name else self.choices.get(name_key(name), name)

    def _figure(self, text: str) -> str:
        try:
            quoted = read(text).quoted
        except FigureError:  # empty, or an imported figure that cannot be read by anyone
            return text
        new = {name: self._quoted(name) for name in quoted}
        if all(name == old for old, name in new.items()):
            return text
        longest_first = sorted(quoted, key=len, reverse=True)  # `Front.neck width`, `Front.neck`
        names = "|".join(re.escape(name) for name in longest_first)
        renamed = re.sub(rf"(?<![\w.])(?:{names})(?![\w.])", lambda name: new[name[0]], text)
        if len(renamed) > LONGEST_TEXT:
            raise RecipeError(
                f"It is quoted, as in “{short(text)}”, which would be too long with this name; "
                "choose a shorter one."
            )
        if _reads_as(renamed) != {name_key(name) for name in new.values()}:
            raise _unreadable(text)
        return renamed


def live_names(value: Any, quote: Quote | None = None) -> Iterator[str]:
    """The names that the texts of a value quote as live figures, as typed."""
    if isinstance(value, str):
        if quote == "text":
            yield from _LIVE.findall(value)
    elif isinstance(value, BaseModel):
        quotes = quotes_of(type(value))
        for name, inner in value:
            if isinstance(inner, BaseModel | tuple | dict) or name in quotes:
                yield from live_names(inner, quotes.get(name))
    elif isinstance(value, tuple | dict):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from live_names(inner, quote)


def _unreadable(figure: str) -> RecipeError:
    return RecipeError(
        f"It is quoted, as in “{short(figure)}”, which could not be read with this name; choose "
        "plain words, each starting with a letter."
    )


def _reads_as(figure: str) -> set[str]:
    """The names that a figure quotes, as keys; none when it cannot be read."""
    try:
        return {name_key(name) for name in read(figure).quoted}
    except FigureError:
        return set()


@cache
def quotes_of(model: type[BaseModel]) -> Mapping[str, Quote]:
    """What each field of a recipe's part quotes; a move's fields say what they ask for."""
    if not issubclass(model, ShapingMove):
        return QUOTES.get(model, {})
    asked = {
        name: info.json_schema_extra["ask"]
        for name, info in model.model_fields.items()
        if isinstance(info.json_schema_extra, dict)
    }
    return {name: _OF_MOVES[str(ask)] for name, ask in asked.items() if ask in _OF_MOVES}


def beside(recipe: Recipe, episode: Episode) -> Recipe:
    """The recipe as it can join the episode: what has a name that is taken there gets another."""
    there = episode.garments
    pieces = [piece.name for one in there for piece in one.pieces]
    seams = [seam.name for one in there for seam in one.seams]
    steps = [step.id for one in there for step in one.steps]
    renaming = Renaming(
        _apart([piece.name for piece in recipe.pieces], pieces, _lettered),
        _apart([seam.name for seam in recipe.seams], seams, _numbered),
        _apart([step.id for step in recipe.steps], steps, _ids),
    )
    renamed: Recipe = renaming.of(recipe)
    return changed(
        renamed,
        id=_apart([recipe.id], [one.id for one in there], _ids).get(recipe.id, recipe.id),
        name=_apart([recipe.name], [one.name for one in there], _numbered).get(
            name_key(recipe.name), recipe.name
        ),
        notions=_notions(recipe, renamed, episode),
    )


def _notions(recipe: Recipe, renamed: Recipe, episode: Episode) -> tuple[Notion, ...]:
    """What is as long as a renamed piece is wanted again, beside what is at hand by its name."""
    again = [
        notion.name
        for notion, new in zip(recipe.notions, renamed.notions, strict=True)
        if (notion.amount, notion.length) != (new.amount, new.length)
    ]
    names = _apart(again, [notion.name for notion in episode.notions], _numbered)
    return tuple(
        changed(notion, name=names.get(name_key(notion.name), notion.name))
        for notion in renamed.notions
    )


def _apart(own: Sequence[str], theirs: Iterable[str], endings: Endings) -> dict[str, str]:
    """New names for those of `own` that are among `theirs`, by the old ones' keys."""
    known = {name_key(name) for name in theirs}
    taken = known | {name_key(name) for name in own}
    found: dict[str, str] = {}
    for name in own:
        if name_key(name) in known:
            new = next(other for other in endings(name) if name_key(other) not in taken)
            found[name_key(name)] = new
            taken.add(name_key(new))
    return found


def _lettered(name: str) -> Iterator[str]:
    """Front B, Front C …: a piece is quoted in figures, where no word of a name is a number."""
    base = re.sub(r" [A-Z]\d*$", "", name)
    letters = chain(ascii_uppercase[1:], (f"Z{number}" for number in count(2)))
    return (_ended(base, f" {letter}", _LONGEST_PIECE) for letter in letters)


def _numbered(name: str) -> Iterator[str]:
    """Side seams 2, side seams 3 …"""
    base = re.sub(r" \d+$", "", name)
    return (_ended(base, f" {number}", _LONGEST_NAME) for number in count(2))


def _ids(name: str) -> Iterator[str]:
    base = re.sub(r"-\d+$", "", name)
    return (_ended(base, f"-{number}", _LONGEST_ID) for number in count(2))


def _ended(base: str, ending: str, longest: int) -> str:
    return base[: longest - len(ending)].rstrip(" -") + ending
