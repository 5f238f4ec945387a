"""Edits of the other cloths of an episode: each returns a new episode, or raises RecipeError."""

from typing import Final

from webapp.cloth.cloths import ChoiceOnCloth, OtherCloth
from webapp.draft.names import name_key
from webapp.errors import RecipeError
from webapp.plan.cloth_changes import undrawn
from webapp.plan.edits import changed, shifted
from webapp.plan.episode import Episode
from webapp.plan.evaluate import draft_all
from webapp.plan.other_cloths import key_of, made_of

_ALIKE: Final = ("laid", "edge_margin", "squaring", "spare", "shrinks_along", "shrinks_across")


def with_other_cloth(episode: Episode, place: int | None, cloth: OtherCloth) -> Episode:
    """The episode with one more other cloth, or with the one at `place` so.

    RecipeError when a cloth is called so already.
    """
    others = list(episode.other_cloths)
    if place is None:
        place = len(others)
    else:
        shifted(episode.other_cloths, place, 0)  # refuses a place that is not there
    others[place : place + 1] = []
    if name_key(cloth.name) in (name_key(one.name) for one in (*episode.cloths, *others)):
        raise RecipeError(f"There is a cloth called “{cloth.name}” already; choose another name.")
    others.insert(place, cloth)
    return changed(episode, other_cloths=tuple(others))


def laid_alike(episode: Episode, cloth: OtherCloth) -> OtherCloth:
    """The cloth laid, trimmed, shrinking and bought with a spare as the one it stands in for.

    Until its own shrinkage is measured, no less of it is bought for that than of the other.
    """
    for base in episode.cloths:
        if base.name == cloth.instead_of:
            alike = {name: getattr(base, name) for name in _ALIKE}
            return changed(cloth, **alike)
    return cloth


def without_other_cloth(episode: Episode, place: int) -> Episode:
    """The episode without the other cloth at `place`."""
    others = shifted(episode.other_cloths, place, len(episode.other_cloths))
    return changed(episode, other_cloths=others[:-1])


def with_choice_on_cloth(
    episode: Episode, place: int, garment: str, choice: str, value: str
) -> Episode:
    """The episode with a choice that has another value on the other cloth at `place`.

    RecipeError when something could not be drafted with it.
    """
    before = shifted(episode.other_cloths, place, 0)[place]
    after = _with_choice(before, ChoiceOnCloth(garment=garment, choice=choice, value=value))
    drafted = (draft_all(made_of(episode, one), episode.body) for one in (before, after))
    for sentence in undrawn(*drafted):
        raise RecipeError(sentence)
    return with_other_cloth(episode, place, after)


def _with_choice(cloth: OtherCloth, new: ChoiceOnCloth) -> OtherCloth:
    values = {key_of(one): one for one in cloth.choices}
    return changed(cloth, choices=tuple({**values, key_of(new): new}.values()))


def without_choice_on_cloth(episode: Episode, place: int, garment: str, choice: str) -> Episode:
    """The episode with a choice as it is drafted on the other cloth at `place`."""
    cloth = shifted(episode.other_cloths, place, 0)[place]
    kept = tuple(one for one in cloth.choices if key_of(one) != (garment, name_key(choice)))
    return with_other_cloth(episode, place, changed(cloth, choices=kept))
