"""Edits of where and how filming is done: camera places, minutes between them, and looks."""

from collections.abc import Mapping
from typing import Any, Final

from webapp.draft.construction import Minutes
from webapp.filming.looks import Look, PlaceChange, plain_place
from webapp.filming.shots import Shot
from webapp.plan.edits import changed, changed_one, free_id, without
from webapp.plan.episode import Episode

# A form says of a shot that it wears a look by a field of this name and the shot's id.
WORN_IN: Final = "shot "


def with_minutes_between(episode: Episode, one: str, other: str, minutes: Minutes) -> Episode:
    """The camera takes so long from one of the places to the other, either way.

    ValueError (pydantic's) for two names of one place, or minutes that fall.
    """
    new = PlaceChange(one=one, other=other, minutes=minutes)
    others = without_minutes_between(episode, one, other).place_changes
    return changed(episode, place_changes=(*others, new))


def without_minutes_between(episode: Episode, one: str, other: str) -> Episode:
    """Between the two places the camera takes what the rates say."""
    kept = tuple(change for change in episode.place_changes if not change.joins(one, other))
    return changed(episode, place_changes=kept)


def with_place_called(episode: Episode, place: str, name: str) -> Episode:
    """Every shot from a place is from one of this name, in its minutes too.

    Where that is the name of another place, the two become one, and its minutes stay.
    """

    def called(typed: str) -> str:
        return name if plain_place(typed) == plain_place(place) else typed

    renamed: list[PlaceChange] = []
    stay_first = sorted(episode.place_changes, key=lambda one: _is_of(one, place))
    for change in stay_first:
        one, other = called(change.one), called(change.other)
        known = any(kept.joins(one, other) for kept in renamed)
        if plain_place(one) != plain_place(other) and not known:
            renamed.append(changed(change, one=one, other=other))
    shots = tuple(changed(shot, place=called(shot.place)) for shot in episode.shots)
    return changed(episode, shots=shots, place_changes=tuple(renamed))


def with_new_look(episode: Episode, values: Mapping[str, Any]) -> Episode:
    """One more look, of the fields given, worn in the shots that say so: see `with_look`."""
    look = Look(id=free_id(values["name"], {look.id for look in episode.looks}), **_fields(values))
    grown = changed(episode, looks=(*episode.looks, look))
    return _worn(grown, look.id, values)


def with_look(episode: Episode, look_id: str, values: Mapping[str, Any]) -> Episode:
    """A look with other fields; `shot ` and a shot's id say whether that shot wears it.

    NotThereError when the look is not there any more.
    """
    looks = changed_one(episode.looks, "id", look_id, lambda look: changed(look, **_fields(values)))
    return _worn(changed(episode, looks=looks), look_id, values)


def without_look(episode: Episode, look_id: str) -> Episode:
    """No such look; the shots that wore it are filmed in what she sews in."""
    looks = without(episode.looks, "id", look_id)
    return _worn(
        changed(episode, looks=looks),
        look_id,
        {WORN_IN + shot.id: False for shot in episode.shots},
    )


def with_shot_in(episode: Episode, shot_id: str, look_id: str) -> Episode:
    """The shot wears that look; with an empty id, what she sews in."""
    shots = changed_one(episode.shots, "id", shot_id, lambda shot: changed(shot, look=look_id))
    return changed(episode, shots=shots)


def _is_of(change: PlaceChange, place: str) -> bool:
    return plain_place(place) in (plain_place(change.one), plain_place(change.other))


def _fields(values: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in values.items() if not name.startswith(WORN_IN)}


def _worn(episode: Episode, look_id: str, values: Mapping[str, Any]) -> Episode:
    def dressed(shot: Shot) -> Shot:
        wears = values.get(WORN_IN + shot.id)
        if wears and shot.look != look_id:
            return changed(shot, look=look_id)
        return changed(shot, look="") if wears is False and shot.look == look_id else shot

    return changed(episode, shots=tuple(dressed(shot) for shot in episode.shots))
