"""What a later version of the program made of a document."""

from collections.abc import Iterator
from typing import Any


def lost(old: Any, new: Any, way: str = "") -> list[str]:
    """The places in the old document whose value is not in the new one; it may say more."""
    return list(_lost(old, new, way))


def _lost(old: Any, new: Any, way: str) -> Iterator[str]:
    if isinstance(old, dict) and isinstance(new, dict):
        for name, value in old.items():
            yield from _lost(value, new.get(name, ...), f"{way}/{name}")
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        for index, (one, other) in enumerate(zip(old, new, strict=True)):
            yield from _lost(one, other, f"{way}/{index}")
    elif old != new:
        yield way
