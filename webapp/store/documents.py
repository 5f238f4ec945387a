"""An episode as it is stored: its text, checked whenever it is written or read."""

import zlib
from functools import lru_cache

from pydantic import ValidationError

from webapp.errors import StoreError
from webapp.plan.episode import Episode
from webapp.store.episode_file import from_text, to_text
from webapp.store.faults import sentence_of_text
from webapp.store.older import from_kept


@lru_cache(maxsize=32)
def _from_text(text: str) -> Episode:
    """Kept by its text: episodes are never changed in place, and one just stored is read next."""
    return from_text(text)


@lru_cache(maxsize=8)
def _from_older(text: str) -> Episode:
    return from_kept(text, Episode)


def read(text: str) -> Episode:
    """The episode of a stored document, also of one that an earlier version wrote."""
    try:
        try:
            return _from_text(text)
        except ValidationError:
            return _from_older(text)
    except ValidationError as error:
        raise StoreError(sentence_of_text(error, text, "A stored plan cannot be read")) from error


def settle(episode: Episode) -> tuple[Episode, str]:
    """The episode as it will be read back, and its text. StoreError if it could not be.

    A pydantic copy with updated fields has not been checked, so it is here.
    """
    text = to_text(episode)
    try:
        settled = _from_text(text)
    except ValidationError as error:
        raise StoreError(
            sentence_of_text(error, text, "The change does not fit the plan")
        ) from error
    return settled, to_text(settled)


@lru_cache(maxsize=4)
def packed(text: str) -> bytes:
    """A text as the history keeps it; what is after one change is before the next."""
    return zlib.compress(text.encode(), level=1)  # written with every edit, read by an undo


def unpacked(kept: bytes) -> str:
    """What was packed."""
    return zlib.decompress(kept).decode()
