"""The episode a starter recipe makes: its cloths, its notions, a shot for each step."""

from collections.abc import Sequence

from webapp.cloth.cloths import EpisodeCloth, Notion
from webapp.draft.recipe import Recipe
from webapp.filming.shots import Shot
from webapp.plan.edits import changed, free_id, without
from webapp.plan.episode import Episode

_PLACE_OF_WORK = {
    "machine": "At the machine",
    "overlock": "At the machine",
    "press": "At the ironing board",
    "try on": "Facing the window",
    "hand": "Facing the window",
}


def episode_from(recipe: Recipe | None, title: str, episode_id: str) -> Episode:
    """A new episode, with a starter's garment and a shot for each of its steps."""
    if recipe is None:
        return Episode(id=episode_id, title=title)
    cloths = tuple(
        EpisodeCloth(name=name) for name in dict.fromkeys(piece.cloth for piece in recipe.pieces)
    )
    thread = Notion(name="Thread to match", amount="1 spool")
    return Episode(
        id=episode_id,
        title=title,
        garments=(recipe,),
        cloths=cloths or (EpisodeCloth(),),
        notions=(thread,),
        shots=suggested_shots((recipe,)),
    )


def suggested_shots(recipes: Sequence[Recipe]) -> tuple[Shot, ...]:
    """One shot for each step that is not meant to happen off camera."""
    return tuple(
        Shot(
            id=f"shot-{step.id}"[:64],
            step=step.id,
            title=step.name,
            place=_place(step.work[0].kind if step.work else ""),
        )
        for recipe in recipes
        for step in recipe.steps
        if not step.off_camera
    )


def _place(kind: str) -> str:
    return _PLACE_OF_WORK.get(kind, "Over the table")


def with_garment_added(episode: Episode, recipe: Recipe | None) -> Episode:
    """The episode with one more garment: a starter's, with its shots, or an empty one."""
    if recipe is None:
        taken = {garment.id for garment in episode.garments}
        recipe = Recipe(id=free_id("garment", taken), name=episode.title)
    known = {cloth.name for cloth in episode.cloths}
    missing = dict.fromkeys(piece.cloth for piece in recipe.pieces if piece.cloth not in known)
    taken_shots = {shot.id for shot in episode.shots}
    return changed(
        episode,
        garments=(*episode.garments, recipe),
        cloths=(*episode.cloths, *(EpisodeCloth(name=name) for name in missing)),
        shots=(
            *episode.shots,
            *(shot for shot in suggested_shots((recipe,)) if shot.id not in taken_shots),
        ),
    )


def without_garment(episode: Episode, garment_id: str) -> Episode:
    """The episode without a garment and without the shots of its steps."""
    garments = without(episode.garments, "id", garment_id)
    gone = {
        step.id
        for garment in episode.garments
        if garment.id == garment_id
        for step in garment.steps
    }
    return changed(
        episode,
        garments=garments,
        shots=tuple(shot for shot in episode.shots if shot.step not in gone),
    )
