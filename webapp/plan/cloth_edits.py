"""Changes of a cloth, and of all that names it."""

from collections.abc import Mapping
from typing import Any

from webapp.cloth.cloths import MOST_WIDTHS, EpisodeCloth
from webapp.cloth.laid import WayOfLaying
from webapp.draft.names import name_key
from webapp.errors import NotThereError, RecipeError
from webapp.plan.edits import changed, shifted
from webapp.plan.episode import Episode
from webapp.plan.ways import WIDTHS, named_widths, width_among
from webapp.units import both, parse_length


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


def with_width(episode: Episode, place: int, typed: str) -> Episode:
    """The episode with one more width in the table of ways of the cloth at `place`.

    RecipeError when it is in the table already, or no more can be added.
    """
    cloth = shifted(episode.cloths, place, 0)[place]
    if _is_among(cloth, typed):
        told = both(parse_length(typed, episode.first_unit).mm, episode.first_unit)
        raise RecipeError(f"{told} is in the table already.")
    if len(cloth.more_widths) == MOST_WIDTHS:
        raise RecipeError(
            f"{MOST_WIDTHS} widths are added, and a sheet holds no more; take one out first."
        )
    return _with_widths(episode, place, (*cloth.more_widths, typed))


def without_width(episode: Episode, place: int, typed: str) -> Episode:
    """The episode with that width out of the table. NotThereError when it was not added."""
    widths = shifted(episode.cloths, place, 0)[place].more_widths
    if typed not in widths:
        raise NotThereError("That width is not in the table any more.")
    return _with_widths(episode, place, tuple(one for one in widths if one != typed))


def with_way(episode: Episode, place: int, laid: WayOfLaying, width: str) -> Episode:
    """The cloth at `place` of that width, laid so; what it was before stays in the table."""
    cloth = shifted(episode.cloths, place, 0)[place]
    after = changed(cloth, laid=laid, width=width)
    is_new = named_widths((cloth.width,)) and not _is_among(after, cloth.width)
    if is_new and len(cloth.more_widths) < MOST_WIDTHS:
        after = changed(after, more_widths=(*cloth.more_widths, cloth.width))
    cloths = (*episode.cloths[:place], after, *episode.cloths[place + 1 :])
    return changed(episode, cloths=cloths)


def _is_among(cloth: EpisodeCloth, typed: str) -> bool:
    """True for a width that the table of this cloth has, maybe under another name."""
    own = named_widths((cloth.width, *cloth.more_widths))
    return width_among((*WIDTHS, *own), typed) is not None


def _with_widths(episode: Episode, place: int, widths: tuple[str, ...]) -> Episode:
    cloths = list(episode.cloths)
    cloths[place] = changed(cloths[place], more_widths=widths)
    return changed(episode, cloths=tuple(cloths))
