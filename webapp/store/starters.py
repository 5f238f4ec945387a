"""The starter recipes that come with Seamslate, read from their files."""

from functools import cache
from importlib.resources import files

from webapp.draft.recipe import Recipe


@cache
def starters() -> tuple[Recipe, ...]:
    """Every recipe file of `draft/starters`, by name."""
    folder = files("webapp.draft") / "starters"
    recipes = [
        Recipe.model_validate_json(file.read_text(encoding="utf-8"))
        for file in folder.iterdir()
        if file.name.endswith(".json")
    ]
    return tuple(sorted(recipes, key=lambda recipe: recipe.name))
