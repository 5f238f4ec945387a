"""What one look found."""

from dataclasses import dataclass
from typing import Literal

State = Literal["well", "to do", "cannot look"]


@dataclass(frozen=True)
class Finding:
    """What was looked at, whether it is well, and in words what is there and what to do."""

    about: str
    state: State
    words: str


def megabytes(size: float) -> str:
    """Bytes in words: 0.4 MB, 12 MB, 3.1 GB."""
    if size >= 1e9:
        return f"{size / 1e9:.1f} GB"
    return f"{size / 1e6:.0f} MB" if size >= 1e7 else f"{size / 1e6:.1f} MB"


def counted(count: int, one: str, more: str = "") -> str:
    """1 episode, 2 episodes."""
    return f"{count:,} {one if count == 1 else more or f'{one}s'}"


def some(names: list[str], most: int = 3) -> str:
    """The first names of a list, and how many more there are."""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more
