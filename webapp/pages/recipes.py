"""The recipes a garment can start from: the starters, and those the maker keeps."""

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from webapp.draft.recipe import Recipe
from webapp.errors import StoreError
from webapp.pages.forms import Answers, Field, one_of
from webapp.pages.house import House
from webapp.store.library import Entry, understood
from webapp.store.starters import starters

_BLANK: Final = "blank"


@dataclass(frozen=True)
class OwnRecipe:
    """A recipe of her own, or why it cannot be read."""

    id: str
    name: str
    recipe: Recipe | None
    state: str = ""  # as it is kept: see `store.library.Entry`
    trouble: str = ""

    @property
    def sent(self) -> str:
        """What a form sends for it; no starter's id holds a space."""
        return f"own {self.id}"

    @property
    def as_shown(self) -> str:
        """What a form sends to have another put in its place, as the page shows it."""
        return f"{self.id} {self.state}"

    @property
    def pieces(self) -> str:
        """The names of its pieces, for the list."""
        return ", ".join(piece.name for piece in self.recipe.pieces) if self.recipe else ""


@dataclass(frozen=True)
class Offered:
    """What a garment can start from."""

    starters: tuple[Recipe, ...]
    own: tuple[OwnRecipe, ...]

    @property
    def field(self) -> Field:
        """The form's field; an own recipe that cannot be read is no answer."""
        own = (one.sent for one in self.own if one.recipe)
        return Field("starter", one_of((_BLANK, *(r.id for r in self.starters), *own)), needed=True)

    @property
    def starter_choices(self) -> tuple[tuple[str, str, str], ...]:
        """The starters to choose from: what a form sends, the name, what it is in a few words."""
        return tuple((one.id, one.name, in_brief(one.summary)) for one in self.starters)

    @property
    def own_choices(self) -> tuple[tuple[str, str, str], ...]:
        """The same of the own recipes, as far as they can be read."""
        return tuple(
            (one.sent, one.name, in_brief(one.recipe.summary) or one.pieces)
            for one in self.own
            if one.recipe
        )

    @property
    def own_names(self) -> list[tuple[str, str]]:
        """The own recipes as a list to choose from."""
        return [(one.as_shown, one.name) for one in self.own]

    def picked(self, answers: Answers) -> Recipe | None:
        """The recipe that was chosen; None for an empty garment."""
        sent = answers.values.get("starter", _BLANK)
        recipes = {recipe.id: recipe for recipe in self.starters}
        own = {one.sent: one.recipe for one in self.own}
        return recipes.get(sent) or own.get(sent)


def in_brief(summary: str) -> str:
    """As much of a recipe's summary as stands before the first pause."""
    return re.split(r"[:;.](?:\s|$)", summary.strip(), maxsplit=1)[0]


def offered(house: House) -> Offered:
    """The starters, and the own recipes by name."""
    return Offered(starters(), own_recipes(house))


def own_recipes(house: House) -> tuple[OwnRecipe, ...]:
    """The own recipes by name; one that is damaged or outdated says so, and harms no other."""
    return tuple(_own(entry) for entry in house.library.entries("recipe"))


@lru_cache(maxsize=256)
def _own(entry: Entry) -> OwnRecipe:
    try:
        return OwnRecipe(entry.id, entry.name, understood(entry, Recipe), entry.state)
    except StoreError as error:
        return OwnRecipe(entry.id, entry.name, None, entry.state, error.sentence)
