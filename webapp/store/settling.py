"""A changed episode is checked anew only where it was changed: the rest was checked before."""

from typing import Any, TypeVar

from pydantic import BaseModel

from webapp.plan.episode import Episode

_Model = TypeVar("_Model", bound=BaseModel)


def settled(episode: Episode, before: Episode) -> Episode:
    """The episode as it would be read back from its text, where `before` was read from one.

    pydantic's ValidationError, which tells no place in the document, if it does not hold together.
    """
    parts = {
        name: _settled(getattr(episode, name), getattr(before, name))
        for name in Episode.model_fields
    }
    return Episode.model_validate(parts, strict=True)  # parts that are checked are taken as such


def _settled(part: Any, before: Any) -> Any:
    if part is before:
        return part
    if isinstance(part, tuple):
        known = {id(one) for one in before}
        return tuple(one if id(one) in known else _settled(one, None) for one in part)
    return _read_back(part) if isinstance(part, BaseModel) else part


def _read_back(part: _Model) -> _Model:
    return type(part).model_validate_json(part.model_dump_json(warnings=False), strict=True)
