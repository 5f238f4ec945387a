"""Figures outside the range that makes sense for a choice: told, never refused, where she asks."""

from collections.abc import Iterable
from typing import Final

from webapp.draft.expressions import Names, Quantity, read
from webapp.draft.names import name_key
from webapp.draft.recipe import Choice
from webapp.errors import FigureError
from webapp.pages.wording import figure_in_both
from webapp.units import System

_STEP: Final = 16.0  # mm; a figure that grows by as much as its choice is that choice, moved


def beyond_its_choice(figure: str, choices: Iterable[Choice], names: Names, first: System) -> str:
    """A sentence when a figure is one choice and a little more or less, and outside its range.

    Empty for all other figures: half of an ease is no ease, and has no range of its own.
    """
    try:
        expression = read(figure)
        quoted = [one for one in choices if name_key(one.name) in expression.names]
        if len(quoted) != 1 or len(expression.names) != 1:
            return ""
        key = name_key(quoted[0].name)
        now = names[key]
        moved = {**names, key: Quantity(now.value + _STEP, now.dimension)}
        grows = expression.quantity(moved).value - expression.quantity(names).value
    except (FigureError, KeyError):
        return ""
    return beyond_range(figure, quoted[0], names, first) if abs(grows - _STEP) < 1e-6 else ""


def beyond_range(figure: str, choice: Choice, names: Names, first: System) -> str:
    """A sentence when a figure is less or more than makes sense for the choice; else empty."""
    try:
        value = read(figure).quantity(names).value
        least = read(choice.least).quantity(names).value if choice.least else value
        most = read(choice.most).quantity(names).value if choice.most else value
    except FigureError:
        return ""
    if least <= value <= most:
        return ""
    shown = figure_in_both(figure, names, first)
    limit = choice.least if value < least else choice.most
    than, word = ("less", "least") if value < least else ("more", "most")
    told = figure_in_both(limit, names, first)
    return f"{shown} is {than} than makes sense: {choice.name} is at {word} {told}."
