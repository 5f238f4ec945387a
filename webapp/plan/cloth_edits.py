"""Changes of a cloth, and of all that names it."""

from collections.abc import Mapping
from typing import Any

from webapp.draft.names import name_key
from webapp.plan.edits import changed, shifted
from webapp.plan.episode import Episode


def with_cloth(episode: Episode, place: int, values: Mapping[str, Any]) -> Episode:
    """The cloth edited; what is cut from it, kept or bought of it follows a new name."""
    cloths = list(shifted(episode.cloths, place, 0))
    old = cloths[place]
    cloths[place] = changed(old, **values)
    name = cloths[place].name
    garments = tuple(
        changed(
            garment,
            pieces=tuple(
                changed(piece, cloth=name) if piece.cloth == old.name else piece
                for piece in garment.pieces
            ),
        )
        for garment in episode.garments
    )
    kept = tuple(
        changed(lay, cloth=name) if lay.cloth == old.name else lay for lay in episode.kept_lays
    )
    ways = tuple(
        changed(table, cloth=name) if table.cloth == old.name else table
        for table in episode.kept_ways
    )
    others = tuple(
        changed(other, instead_of=name) if other.instead_of == old.name else other
        for other in episode.other_cloths
    )
    ticks = {f"cloth {name_key(old.name)}": f"cloth {name_key(name)}"}
    return changed(
        episode,
        cloths=tuple(cloths),
        garments=garments,
        kept_lays=kept,
        kept_ways=ways,
        other_cloths=others,
        bought=tuple(ticks.get(key, key) for key in episode.bought),
    )


def without_cloth(episode: Episode, place: int) -> Episode:
    """The episode without the cloth and those that would do in its place."""
    *kept, gone = shifted(episode.cloths, place, len(episode.cloths))
    lays = tuple(lay for lay in episode.kept_lays if lay.cloth != gone.name)
    ways = tuple(table for table in episode.kept_ways if table.cloth != gone.name)
    others = tuple(one for one in episode.other_cloths if one.instead_of != gone.name)
    return changed(episode, cloths=tuple(kept), kept_lays=lays, kept_ways=ways, other_cloths=others)
