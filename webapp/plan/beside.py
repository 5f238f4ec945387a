"""Whether an edit that was meant for an earlier state of the plan may be made of the one there is.

It may where it does to this one just what it did to the one she saw: the same things, from the same
values to the same values. Then nothing is written over that was changed meanwhile, and nothing is
done to another thing than was meant.
"""

from collections.abc import Iterable, Iterator
from typing import Any, Final

from pydantic import BaseModel

from webapp.build.time_log import TimeEntry
from webapp.plan.episode import Episode, Picture

_NAMES: Final = "id", "key", "name", "number", "day"  # by what a thing of several is known
# Each part is about the others: words of another picture, "this is right" of other minutes.
_WHOLE: Final = Picture, TimeEntry
_ABSENT, _ORDER, _AFTER = object(), object(), object()

_Path = tuple[Any, ...]


def stands_beside(seen: Episode, meant: Episode, now: Episode, made: Episode) -> bool:
    """True where an edit makes `made` of `now` just as it made `meant` of what was `seen`.

    So it does where somebody made just that already, and it alters nothing any more.
    """
    if _read_by(seen) != _read_by(now):
        return False
    wanted = differences(seen, meant)
    if made == now:
        return wanted.items() <= differences(seen, now).items()
    return wanted == differences(now, made)


def but_for_others(seen: Episode, meant: Episode, now: Episode, made: Episode) -> Episode | None:
    """What is `made` of `now`, with what somebody changed since it was `seen` as it is now.

    So it is with a form that sends all its fields, as without script: those that were not altered
    stand as they were seen. None where it does anything else than it did to what was seen.
    """
    wanted, done, others = differences(seen, meant), differences(now, made), differences(seen, now)
    for path in done.keys() - wanted.keys():
        was, is_now = others.get(path, (_ABSENT, _ABSENT))
        if done[path] != (is_now, was) or _ABSENT in (was, is_now) or path[-1] is _ORDER:
            return None
        made = _with(made, path, is_now)
    return made if stands_beside(seen, meant, now, made) else None


def told_apart(
    seen: Episode, meant: Episode, now: Episode
) -> tuple[dict[_Path, Any], dict[_Path, Any]]:
    """What an edit makes of what was `seen`, and what was there of what others altered since."""
    hers, others = differences(seen, meant), differences(seen, now)
    was = {path: None if before is _ABSENT else before for path, (before, _) in others.items()}
    return {path: new for path, (_, new) in hers.items()}, was


def is_of_another(seen: Episode, meant: Episode, now: Episode, made: Episode) -> bool:
    """True where an edit does nothing of what was meant, but something to another thing.

    What it was meant for was taken out, moved or given another name: the other stands in its place.
    """
    wanted, done = differences(seen, meant), differences(now, made)
    if not wanted or not done or wanted.keys() & done.keys():
        return False
    return not {path[:-1] for path in done} <= {path[:-1] for path in wanted}


def makes_again(seen: Episode, meant: Episode, undone: Iterable[tuple[Episode, Episode]]) -> bool:
    """True where the edit makes anything again that was taken back.

    Each change that was is told by the plan before and after it.
    """
    wanted = differences(seen, meant)
    return any(
        path in wanted and wanted[path][1] == new
        for before, after in undone
        for path, (_, new) in differences(before, after).items()
    )


def _with(part: Any, path: _Path, value: Any) -> Any:
    """The part with the value in place of what stands there."""
    if not path:
        return value
    name, *rest = path
    if isinstance(part, BaseModel):
        return part.model_copy(update={name: _with(getattr(part, name), tuple(rest), value)})
    there = part if isinstance(part, dict) else _by_name(part) or {}
    put = {**there, name: _with(there[name], tuple(rest), value)}
    return put if isinstance(part, dict) else tuple(put.values())


def were_there(seen: Episode, meant: Episode, between: Iterable[Episode]) -> bool:
    """True where what the edit alters was there in all the states `between` what was seen and now.

    Else it may be another thing of that name: one that was taken out, and one added.
    """
    altered = [path for path, (was, _) in differences(seen, meant).items() if was is not _ABSENT]
    return all(_is_there(episode, path) for episode in between for path in altered)


def _is_there(part: Any, path: _Path) -> bool:
    for name in path:
        if isinstance(part, BaseModel):
            part = getattr(part, name)
        elif named := _by_name(part):
            if name in named:
                part = named[name]
            else:
                return name is _ORDER
        else:
            return isinstance(part, dict)
    return True


def _read_by(episode: Episode) -> tuple[str, ...]:
    """What a bare number that is typed is taken in."""
    return episode.first_unit, episode.print_choices.first_unit, episode.currency


def differences(before: object, after: object) -> dict[_Path, tuple[Any, Any]]:
    """What was changed, by the way there: what it was and what it is.

    A thing of several is known by its name, where each has one of its own; others are told whole,
    and so is the order where it changed. What is added is told with what it follows.
    """
    return dict(_differences((), before, after))


def _differences(path: _Path, before: Any, after: Any) -> Iterator[tuple[_Path, tuple[Any, Any]]]:
    if before is after or before == after:
        return
    if type(before) is type(after) and isinstance(before, BaseModel) and type(before) not in _WHOLE:
        for name in type(before).model_fields:
            yield from _differences((*path, name), getattr(before, name), getattr(after, name))
    elif isinstance(before, dict) and isinstance(after, dict):
        yield from _of_several(path, before, after)
    elif (was := _by_name(before)) is not None and (now := _by_name(after)) is not None:
        yield from _of_several(path, was, now)
        yield from _of_order(path, list(was), list(now))
    else:
        yield path, (before, after)


def _of_several(
    path: _Path, before: dict[Any, Any], after: dict[Any, Any]
) -> Iterator[tuple[_Path, tuple[Any, Any]]]:
    for name in {**before, **after}:
        own = *path, name
        yield from _differences(own, before.get(name, _ABSENT), after.get(name, _ABSENT))


def _of_order(
    path: _Path, before: list[Any], after: list[Any]
) -> Iterator[tuple[_Path, tuple[Any, Any]]]:
    stayed = [name for name in after if name in set(before)]
    if stayed != [name for name in before if name in set(after)]:
        yield (*path, _ORDER), (tuple(before), tuple(after))
    last = after.index(stayed[-1]) if stayed else -1
    for place, name in enumerate(after[:last]):
        if name not in before:
            yield (*path, name, _AFTER), (_ABSENT, after[place - 1] if place else None)


def _by_name(things: object) -> dict[Any, Any] | None:
    """The things by their names; None where they are of another kind, or two share a name."""
    if not isinstance(things, tuple) or not all(isinstance(one, BaseModel) for one in things):
        return None
    if not things:
        return {}
    known = next((name for name in _NAMES if name in type(things[0]).model_fields), None)
    if known is None or len({type(one) for one in things}) > 1:
        return None
    named = {getattr(one, known): one for one in things}
    return named if len(named) == len(things) else None
