"""Documents of earlier versions, changed so that this one reads them. Pure: a document in, one out.

Earlier versions let pass what is refused now. It is mended here as little as it needs, and only in
what is read: what is saved has to hold together. `tests/store/test_older.py` has an example of
each.
"""

import json
import re
from collections.abc import Iterator, Sequence
from copy import deepcopy
from typing import Any, Final, TypeVar

from pydantic import BaseModel, ValidationError

from webapp.cloth.cloths import MOST_WIDTHS
from webapp.draft.limits import Beyond
from webapp.draft.moves.base import EDGE_PATTERN
from webapp.draft.recipe import RESERVED, Recipe
from webapp.plan.episode import Episode

_LONGEST_NAME: Final = 80
_LONGEST_EDGE: Final = 40
_Model = TypeVar("_Model", bound=BaseModel)


def from_kept(text: str, model: type[_Model], beyond: Beyond | None = None) -> _Model:
    """The episode or recipe that this or an earlier version wrote as JSON.

    It may have more of anything than can be added today, which is noted in `beyond`.
    pydantic's ValidationError of the text as it stands, if it does not hold together.
    """
    beyond = beyond or Beyond()
    try:
        return model.model_validate_json(text, strict=True, context=beyond)
    except ValidationError as error:
        try:
            document = json.loads(text)
            mended = json.dumps(_brought_up(document, error, model))
            return model.model_validate_json(mended, strict=True, context=beyond)
        except (ValueError, RecursionError):  # it is no JSON, or there is more to it
            raise error from None


def _brought_up(document: Any, error: ValidationError, model: type[BaseModel]) -> Any:
    """`document` without what only earlier versions let pass; `error` is what ours has with it."""
    new = deepcopy(document)
    if isinstance(new, dict):
        if model is Episode:
            _mend_episode(new)
        elif model is Recipe:
            _mend_recipe(new)
        _mend_edges(new, error)
    return new


def _mend_episode(episode: dict[str, Any]) -> None:
    """The second size of a name (until dd85b3d), and what its recipes and cloths hold."""
    recipes = [episode, *_dicts(episode.get("revisions"))]
    for garment in (one for each in recipes for one in _dicts(each.get("garments"))):
        _mend_recipe(garment)
    body = episode.get("body")
    _tell_apart([*([body] if isinstance(body, dict) else []), *_dicts(episode.get("sizes"))])
    # For an hour (5fee0c7) a cloth had room for a fourth width to compare.
    for cloth in (*_dicts(episode.get("cloths")), *_dicts(episode.get("other_cloths"))):
        if isinstance(widths := cloth.get("more_widths"), list):
            cloth["more_widths"] = widths[:MOST_WIDTHS]


def _dicts(found: Any) -> Iterator[dict[str, Any]]:
    if isinstance(found, list):
        yield from (one for one in found if isinstance(one, dict))


def _mend_recipe(recipe: dict[str, Any]) -> None:
    """Two of one name (until 5659e1f), and choices named like a function or unit (c4117c8)."""
    for listed in ("finished", "notions"):
        _tell_apart(list(_dicts(recipe.get(listed))))
    for choice in _dicts(recipe.get("choices")):
        name = choice.get("name")
        if isinstance(name, str) and name.lower() in RESERVED:
            choice["name"] = f"own {name}"  # formulas read the name as what it is reserved for


def _tell_apart(named: Sequence[dict[str, Any]]) -> None:
    """The second of a name gets a number, as one that is added today would."""
    names = [one["name"] for one in named if isinstance(one.get("name"), str)]
    taken, seen = {name.lower() for name in names}, set()
    for one in named:
        name, number = one.get("name"), 2
        if not isinstance(name, str):
            continue
        if name.lower() in seen:
            while (free := _numbered(name, number)).lower() in taken:
                number += 1
            one["name"] = free
        seen.add(one["name"].lower())
        taken.add(one["name"].lower())


def _numbered(name: str, number: int) -> str:
    ending = f" {number}"
    return name[: _LONGEST_NAME - len(ending)] + ending


def _mend_edges(document: Any, error: ValidationError) -> None:
    """Names of edges held dots, braces and line breaks, or were longer (until c4117c8)."""
    for found in error.errors(include_url=False):
        is_edge = found.get("ctx", {}).get("pattern") == EDGE_PATTERN
        if is_edge or (found["type"] == "string_too_long" and "moves" in found["loc"]):
            _put(document, found["loc"])


def _put(document: Any, steps: Sequence[int | str]) -> None:
    here, holder, at = document, None, None
    for step in steps:  # what is not in the document is the kind of a move, which pydantic puts in
        is_index = isinstance(here, list) and isinstance(step, int) and step < len(here)
        if is_index or (isinstance(here, dict) and step in here):
            holder, at, here = here, step, here[step]
    if holder is not None and isinstance(here, str):
        holder[at] = re.sub(r"[.{}\x00-\x1f]+", " ", here)[:_LONGEST_EDGE].strip()
