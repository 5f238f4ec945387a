"""The episode a starter recipe makes: its cloths, its notions, a shot for each step."""

from collections.abc import Sequence

from webapp.cloth.cloths import EpisodeCloth
from webapp.draft.recipe import Recipe
from webapp.filming.shots import Shot, usual_place
from webapp.plan.edits import changed, free_id, without
from webapp.plan.episode import Episode


def episode_from(recipe: Recipe | None, title: str, episode_id: str) -> Episode:
    """A new episode, with a starter's garment and a shot for each of its steps."""
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
        shots=suggested_shots((recipe,)),
    )


def suggested_shots(recipes: Sequence[Recipe]) -> tuple[Shot, ...]:
    """One shot for each step that is not meant to happen off camera."""
    return tuple(
        Shot(
            id=f"shot-{step.id}"[:64],
            step=step.id,
            title=step.name,
            place=usual_place(step),
        )
        for recipe in recipes
        for step in recipe.steps
        if not step.off_camera
    )


def with_garment_added(episode: Episode, recipe: Recipe | None) -> Episode:
    """The episode with one more garment: an empty one, or a starter's with shots and notions."""
    if recipe is None:
        taken = {garment.id for garment in episode.garments}
        recipe = Recipe(id=free_id("garment", taken), name=episode.title)
    known = {cloth.name for cloth in episode.cloths}
    missing = dict.fromkeys(piece.cloth for piece in recipe.pieces if piece.cloth not in known)
    taken_shots = {shot.id for shot in episode.shots}
    at_hand = {notion.name.lower() for notion in episode.notions}
    return changed(
        episode,
        garments=(*episode.garments, recipe),
        cloths=(*episode.cloths, *(EpisodeCloth(name=name) for name in missing)),
        notions=(
            *episode.notions,
            *(notion for notion in recipe.notions if notion.name.lower() not in at_hand),
        ),
        shots=(
            *episode.shots,
            *(shot for shot in suggested_shots((recipe,)) if shot.id not in taken_shots),
        ),
    )


def without_garment(episode: Episode, garment_id: str) -> Episode:
    """The episode without a garment, the shots of its steps and the notions only it brought."""
    garments = without(episode.garments, "id", garment_id)
    (garment,) = (one for one in episode.garments if one.id == garment_id)
    gone = {step.id for step in garment.steps}
    wanted = {notion.name.lower() for one in garments for notion in one.notions}
    return changed(
        episode,
        garments=garments,
        notions=tuple(
            notion
            for notion in episode.notions
            if notion not in garment.notions or notion.name.lower() in wanted
        ),
        shots=tuple(shot for shot in episode.shots if shot.step not in gone),
    )
