"""An episode in which every text that can be typed asks the printer to read or link something."""

import inspect
import re
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from typing import Any, Final, get_args

from pydantic import BaseModel

from webapp.draft.moves.base import ShapingMove
from webapp.plan.episode import Episode

_AT_ONCE: Final = 3  # of the ways in one text: more of them only make more pages
_CLOSES: Final = "\"'></style></title></svg>-->"


def asking(file: str, port: int) -> tuple[str, ...]:
    """Ways to ask for a file of this machine and for an address that listens, one a text."""
    site = f"127.0.0.1:{port}"
    return (
        f'<img src="http://{site}/i">',
        f'<link rel=stylesheet href="file:{file}">',
        f"<style>@import url(http://{site}/s)</style>",
        f'<p style="background:url(file:{file})">',
        f'<iframe src="//{site}/f"></iframe>',
        f'<svg><image href="file:{file}"/><use href="http://{site}/u#a"/></svg>',
        f'<link rel=attachment href="file:{file}">',
        f'<a href="http://{site}/a" rel=attachment>x</a>',
        f'<object data="ftp://{site}/o"></object>',
        '<img src="data:image/svg+xml,<svg/>">',
        f'<embed src="file:{file}">',
        f'<base href="http://{site}/">',
        f"url(http://{site}/c)",
        f'<p style="content:url(file:{file});list-style:url(//{site}/l)">',
    )


def hostile_episode(episode: Episode, texts: Sequence[str]) -> tuple[Episode, set[str]]:
    """The episode with some of `texts` in each of its own, by turns; the fields that have some."""
    hostile = _Hostile(texts)
    return hostile.of(episode), hostile.fields


def text_fields(model: type[BaseModel] = Episode) -> set[str]:
    """Every field of an episode that holds a text, as `Shot.note`."""
    return {
        f"{one.__name__}.{name}"
        for one in _models(model)
        for name in one.model_fields
        if _TEXT.search(_written(one, name))
    }


_TEXT: Final = re.compile(r"\b(ShortText|LongText|Name|StringConstraints\(max_length)\b")


@cache
def _models(model: type[BaseModel]) -> frozenset[type[BaseModel]]:
    found, waiting = set(), [model]
    while waiting:
        one = waiting.pop()
        if one not in found and not issubclass(one, ShapingMove):
            found.add(one)
            for field in one.model_fields.values():
                waiting.extend(_models_in(field.annotation))
    return frozenset(found)


def _models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if inspect.isclass(annotation) and issubclass(annotation, BaseModel):
        yield annotation
    for one in get_args(annotation):
        yield from _models_in(one)


@cache
def _written(model: type[BaseModel], name: str) -> str:
    """How the type of a field is written; a text and a figure are the same to Python."""
    for one in model.__mro__:
        if name in vars(one).get("__annotations__", {}):
            found = re.search(rf"^    {name}: (.*?)(?: = |$)", inspect.getsource(one), re.M)
            return found[1] if found else ""
    return ""


class _Hostile:
    """The same text becomes the same, so that what quotes a name still finds it."""

    def __init__(self, texts: Sequence[str]) -> None:
        self.texts = texts
        self.known: dict[str, str] = {}
        self.fields: set[str] = set()
        self.turn = 0

    def of(self, model: Any) -> Any:
        """The model with every text in it changed that may be."""
        if isinstance(model, ShapingMove):
            return model
        values = {name: getattr(model, name) for name in type(model).model_fields}
        for name, value in values.items():
            values[name] = self._changed(model, values, name, value)
        return type(model).model_validate(values)

    def _changed(self, model: BaseModel, values: dict[str, Any], name: str, value: Any) -> Any:
        if isinstance(value, BaseModel):
            return self.of(value)
        if not isinstance(value, tuple):
            return self._text(model, values, name, value, lambda new: new)
        found = list(value)
        for place, one in enumerate(value):
            if isinstance(one, BaseModel):
                found[place] = self.of(one)
                continue

            def put(new: Any, place: int = place) -> tuple[Any, ...]:
                return (*found[:place], new, *found[place + 1 :])

            found[place] = self._text(model, values, name, one, put)
        return tuple(found)

    def _text(
        self,
        model: BaseModel,
        values: dict[str, Any],
        name: str,
        old: Any,
        put: Callable[[str], Any],
    ) -> Any:
        if not isinstance(old, str) or not _TEXT.search(_written(type(model), name)):
            return old
        for new in self._tries(old):
            try:
                type(model).model_validate({**values, name: put(new)})
            except ValueError:
                continue
            if old:
                self.known[old] = new
            self.fields.add(f"{type(model).__name__}.{name}")
            return new
        return old  # a name of letters alone, an id, a word of a list

    def _tries(self, old: str) -> Iterator[str]:
        if old in self.known:
            yield self.known[old]
        self.turn += 1
        for many in range(_AT_ONCE, 0, -1):
            picked = [self.texts[(self.turn + one) % len(self.texts)] for one in range(many)]
            yield f"{self.turn}{_CLOSES}{''.join(picked)}"
        for one in range(len(self.texts)):
            yield f"{self.turn}{self.texts[(self.turn + one) % len(self.texts)]}"
