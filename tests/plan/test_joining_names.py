"""A garment that joins an episode gets other names where its own are taken."""

import pytest

from webapp.draft.construction import Step
from webapp.draft.expressions import read
from webapp.draft.recipe import PieceRecipe, Recipe, Seam
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.renaming import beside
from webapp.plan.starters import with_garment_added
from webapp.store.starters import starters

each_starter = pytest.mark.parametrize("starter", starters(), ids=lambda starter: starter.id)


def _with(recipe: Recipe) -> Episode:
    return Episode(id="e", title="E", garments=(recipe,))


def _pieces(*names: str) -> Recipe:
    return Recipe(id="g", name="G", pieces=tuple(PieceRecipe(name=name) for name in names))


def _named(recipe: Recipe, there: Recipe) -> list[str]:
    return [piece.name for piece in beside(recipe, _with(there)).pieces]


NEW_NAMES = [
    (["Front", "Yoke"], ["front", "Back"], ["Front B", "Yoke"]),
    (["Front"], ["Front", "Front B"], ["Front C"]),
    (["Front", "Front B"], ["Front"], ["Front C", "Front B"]),  # its own names are taken, too
    (["Front B", "Back B"], ["Front", "Front B", "Back B"], ["Front C", "Back C"]),
    (["Panel A", "Panel B"], ["Panel A", "Panel B"], ["Panel C", "Panel D"]),
    (["a" * 40, "a" * 39 + "b"], ["a" * 40, "a" * 39 + "b"], ["a" * 38 + " B", "a" * 38 + " C"]),
]


@pytest.mark.parametrize(("own", "there", "names"), NEW_NAMES)
def test_a_piece_whose_name_is_taken_gets_the_next_free_letter(
    own: list[str], there: list[str], names: list[str]
) -> None:
    assert _named(_pieces(*own), _pieces(*there)) == names


def test_there_is_always_another_letter() -> None:
    episode = Episode(id="e", title="E")
    for _ in range(28):
        episode = with_garment_added(episode, _pieces("Sash"))
    names = [garment.pieces[0].name for garment in episode.garments]
    assert names[:3] == ["Sash", "Sash B", "Sash C"]
    assert names[25:] == ["Sash Z", "Sash Z2", "Sash Z3"]
    assert [garment.name for garment in episode.garments][::27] == ["G", "G 28"]
    read(" + ".join(f"{name}.top" for name in names[20:]))  # all of them can be quoted


def test_steps_seams_the_garment_and_its_title_are_numbered() -> None:
    recipe = Recipe(
        id="cowl-2",
        name="Cowl",
        seams=(Seam(name="Long seam", one=(), other=()), Seam(name="end", one=(), other=())),
        steps=(Step(id="cut", name="Cut"), Step(id="x" * 64, name="X", after=("cut",))),
    )
    there = changed(recipe, seams=(Seam(name="long SEAM", one=(), other=()),))
    new = beside(recipe, _with(there))
    assert (new.id, new.name) == ("cowl-3", "Cowl 2")
    assert [seam.name for seam in new.seams] == ["Long seam 2", "end"]
    assert [(step.id, step.after) for step in new.steps] == [
        ("cut-2", ()),
        ("x" * 62 + "-2", ("cut-2",)),
    ]


@each_starter
def test_a_recipe_that_clashes_with_nothing_stays_as_it_is(starter: Recipe) -> None:
    assert beside(starter, Episode(id="e", title="E")) == starter
