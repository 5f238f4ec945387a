"""The episode a starter recipe makes: its cloths, its notions, the shots it suggests."""

from collections.abc import Collection, Sequence
from typing import Final

from webapp.cloth.cloths import EpisodeCloth
from webapp.draft.recipe import Notion, Recipe
from webapp.filming.shots import Shot, usual_place
from webapp.plan.edits import changed, free_id, in_step, without
from webapp.plan.episode import Episode
from webapp.plan.renaming import beside

_OPENING: Final = Shot(
    id="opening",
    kind="styling",  # it wears the finished work, so it is filmed once that is done
    title="Welcome, and what is made today",
    place="Facing the window",
    quiet=True,
    note="With the finished work on or at hand: say what it is, whom it is for, what it takes.",
)
_CLOSING: Final = Shot(
    id="closing",
    kind="styling",
    title="The finished work, worn or in use",
    place="Facing the window",
    pace="talked over",
    note="Film it after the last press: from afar, close to, and in movement.",
)


def episode_from(recipe: Recipe | None, title: str, episode_id: str) -> Episode:
    """A new episode, with a starter's garment and the shots it suggests."""
    if recipe is None:
        return Episode(id=episode_id, title=title)
    cloths = tuple(
        EpisodeCloth(name=name) for name in dict.fromkeys(piece.cloth for piece in recipe.pieces)
    )
    return Episode(
        id=episode_id,
        title=title,
        garments=(recipe,),
        cloths=cloths or (EpisodeCloth(),),
        notions=recipe.notions,
        shots=_framed(suggested_shots((recipe,))),
    )


def suggested_shots(recipes: Sequence[Recipe], taken: Collection[str] = ()) -> tuple[Shot, ...]:
    """One shot for each step that is not meant to happen off camera; its id is none of `taken`."""
    shots: list[Shot] = []
    for step in (step for recipe in recipes for step in recipe.steps if not step.off_camera):
        known = {*taken, *(shot.id for shot in shots)}
        shots.append(
            Shot(
                id=free_id(f"shot-{step.id}", known),
                step=step.id,
                title=step.name,
                place=usual_place(step),
            )
        )
    return tuple(shots)


def _framed(shots: tuple[Shot, ...]) -> tuple[Shot, ...]:
    """Shots of steps between a word of welcome and a look at the finished work."""
    return (_OPENING, *shots, _CLOSING) if shots else ()


def with_garment_added(episode: Episode, recipe: Recipe | None) -> Episode:
    """The episode with one more garment: an empty one, or a recipe's with shots and notions.

    What the recipe calls by a name that is taken in the episode gets another name.
    """
    recipe = beside(recipe or Recipe(id="garment", name=episode.title), episode)
    known = {cloth.name for cloth in episode.cloths}
    missing = dict.fromkeys(piece.cloth for piece in recipe.pieces if piece.cloth not in known)
    at_hand = {notion.name.lower() for notion in episode.notions}
    suggested = suggested_shots((recipe,), {shot.id for shot in episode.shots})
    return changed(
        episode,
        garments=(*episode.garments, recipe),
        cloths=(*episode.cloths, *(EpisodeCloth(name=name) for name in missing)),
        notions=(
            *episode.notions,
            *(notion for notion in recipe.notions if notion.name.lower() not in at_hand),
        ),
        shots=(*episode.shots, *suggested) if episode.shots else _framed(suggested),
    )


def as_recipe(episode: Episode, garment_id: str, name: str) -> Recipe:
    """A garment as a recipe of that name, for other episodes.

    With what is to be had at hand now, but for what only another garment brought; what a step
    comes after is only among its own. NotThereError when the garment is not there.
    """
    others = without(episode.garments, "id", garment_id)
    (garment,) = (one for one in episode.garments if one.id == garment_id)
    own = {notion.name.lower() for notion in garment.notions}
    brought = {notion.name.lower() for one in others for notion in one.notions} - own
    notions: dict[str, Notion] = {}
    for notion in episode.notions:
        if notion.name.lower() not in brought:
            notions.setdefault(notion.name.lower(), notion)
    steps = {step.id for step in garment.steps}
    return changed(
        garment,
        name=name,
        notions=tuple(notions.values()),
        steps=tuple(
            changed(step, after=tuple(one for one in step.after if one in steps))
            for step in garment.steps
        ),
    )


def without_garment(episode: Episode, garment_id: str) -> Episode:
    """The episode without a garment, the shots of its steps and the notions only it brought.

    A notion that another garment brings too is told in that one's words from now on.
    """
    garments = without(episode.garments, "id", garment_id)
    (garment,) = (one for one in episode.garments if one.id == garment_id)
    gone = {step.id for step in garment.steps}
    wanted = {n.name.lower(): n for one in reversed(garments) for n in one.notions}
    return changed(
        episode,
        garments=garments,
        other_cloths=in_step(episode, garments),
        notions=tuple(
            wanted.get(notion.name.lower(), notion) if notion in garment.notions else notion
            for notion in episode.notions
            if notion not in garment.notions or notion.name.lower() in wanted
        ),
        shots=tuple(shot for shot in episode.shots if shot.step not in gone),
    )
