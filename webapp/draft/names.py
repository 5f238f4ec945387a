"""Figures by name: what an expression or a text may quote, and what is missing for now."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar

from webapp.errors import WaitingError


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in mm to the power of its dimension: 0 a bare number, 1 a length, 2 an area."""

    value: float
    dimension: int = 1


Names = Mapping[str, Quantity]  # keys in lower case
_Found = TypeVar("_Found")


class Figures(dict[str, Quantity]):
    """Figures by name in lower case, and the names `lacking`: missing, their trouble told.

    In `lacking`, "front." stands for every figure of the piece Front.
    """

    def __init__(self, known: Names | None = None) -> None:
        super().__init__(known or {})
        self.lacking: set[str] = set(known.lacking) if isinstance(known, Figures) else set()

    def lacks(self, name: str) -> bool:
        """True for a name that would be here if what is lacking were mended."""
        key = name_key(name)
        return key not in self and not self.lacking.isdisjoint({key, piece_key(key)})

    def of_pieces(self) -> "Figures":
        """The figures of pieces only, which another garment may quote."""
        found = Figures({name: value for name, value in self.items() if "." in name})
        found.lacking = {name for name in self.lacking if name.endswith(".")}
        return found


@lru_cache(maxsize=8192)
def name_key(name: str) -> str:
    """A typed name as figures are looked up by it: in lower case, with single spaces."""
    words = (" ".join(word.split()) for word in name.split("."))
    return ".".join(words).lower()


def piece_key(name: str) -> str:
    """What stands in `Figures.lacking` for all figures of the piece of a name or a figure."""
    return f"{name_key(name.partition('.')[0])}."


def as_listed(name: str) -> str:
    """A figure or edge as a list for people names it: `Front: hem` for `Front.hem`."""
    return name.replace(".", ": ", 1)


def edge_called(name: str) -> str:
    """An edge as a sentence calls it: `hem edge`, but `front edge` as it is."""
    return name if _is_edge(name) else f"{name} edge"


def edges_called(names: Sequence[str]) -> str:
    """Several edges as a sentence calls them: `top and side edges`, `hem edge and front edge`."""
    if len(names) == 1:
        return edge_called(names[0])
    if any(map(_is_edge, names)):
        return listed([edge_called(name) for name in names])
    return f"{listed(names)} edges"


def listed(names: Sequence[str]) -> str:
    """`neck, top and side`."""
    return " and ".join(part for part in (", ".join(names[:-1]), *names[-1:]) if part)


def plural(count: int, one: str, many: str = "") -> str:
    """`1 shot`, `3 shots`."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def _is_edge(name: str) -> bool:
    return name.lower().split()[-1:] == ["edge"]


def gathered(calls: Iterable[Callable[[], _Found]]) -> list[_Found]:
    """What the calls return. One that only waits is told after any other trouble."""
    found: list[_Found] = []
    waiting: WaitingError | None = None
    for call in calls:
        try:
            found.append(call())
        except WaitingError as error:
            waiting = waiting or error
    if waiting:
        raise waiting
    return found
