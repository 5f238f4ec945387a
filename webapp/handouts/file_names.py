"""An episode's title as it stands in the names of its files."""

import unicodedata
from typing import Final

from webapp.plan.episode import Episode

_LONGEST: Final = 60


def slug(episode: Episode) -> str:
    """The title as it can stand in a file's name; the episode's id when nothing is left of it."""
    words = slugged(episode.title)
    return words.removeprefix("the-") or episode.id


def slugged(text: str) -> str:
    """Letters, with their marks, and digits of any script, joined by hyphens."""
    spaced = "".join(c if unicodedata.category(c)[0] in "LMN" else " " for c in text.lower())
    return "-".join(spaced.split())[:_LONGEST].strip("-")
