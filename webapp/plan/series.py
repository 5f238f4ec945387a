"""A series: the episodes that bear its name, and what they share."""

from collections.abc import Iterable
from typing import Protocol


class Listed(Protocol):
    """What is known of an episode without reading its plan."""

    @property
    def series(self) -> str: ...
    @property
    def number(self) -> int | None: ...


def series_key(name: str) -> str:
    """A series as it is told from others: capitals and further spaces make none of their own."""
    return " ".join(name.casefold().split())


def next_number(episodes: Iterable[Listed], series: str) -> int | None:
    """The number after the highest of that series; None where none of its episodes has one."""
    own = [one.number for one in episodes if series_key(one.series) == series_key(series)]
    numbers = [number for number in own if number is not None]
    return max(numbers) + 1 if numbers else None
