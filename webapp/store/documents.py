"""An episode as it is stored: its text, checked whenever it is written or read."""

import zlib
from functools import lru_cache
from typing import Final

from isal import isal_zlib
from pydantic import ValidationError

from webapp.draft.limits import Beyond
from webapp.errors import StoreError
from webapp.plan.episode import Episode
from webapp.remembered import Remembered
from webapp.store.episode_file import from_text, to_text
from webapp.store.faults import sentence_of_text
from webapp.store.older import from_kept
from webapp.store.settling import settled

_LARGEST: Final = 64 * 1024**2  # bytes; a plan takes some hundred thousand
_DAMAGED: Final = "A stored plan cannot be read: it is damaged, and not what was written."
_SPOILT: Final = "An earlier state of this plan is damaged. Your plan is as it was."

# By their text: episodes are never changed in place, and one just stored is read next.
_known: Final[Remembered[str, Episode]] = Remembered(32)
_texts: Final[Remembered[bytes, str]] = Remembered(16)  # by how they were packed


def read(text: str) -> Episode:
    """The episode of a stored document, also of one that an earlier version wrote."""
    try:
        return _known.get(text, lambda: from_kept(text, Episode))
    except ValidationError as error:
        if error.errors(include_url=False)[0]["type"] == "json_invalid":
            raise StoreError(_DAMAGED) from error
        raise StoreError(sentence_of_text(error, text, "A stored plan cannot be read")) from error


def settle(episode: Episode, before: Episode | None = None) -> tuple[Episode, str]:
    """The episode as it will be read back, and its text. StoreError if it could not be.

    A pydantic copy with updated fields has not been checked, so it is here; all of it, unless it is
    told what was read `before` the change. More than the limit of anything is kept, not added.
    """
    try:
        found = settled(episode, before) if before is not None else _from_own_text(episode, episode)
    except ValidationError:
        found = _from_own_text(episode, before or episode)  # tells the place
    text = to_text(found)
    _known.put(text, found)
    return found, text


def _from_own_text(episode: Episode, before: Episode) -> Episode:
    text, now, was = to_text(episode), Beyond(), Beyond()
    try:
        found = from_text(text, now)
        if now.found and before is not episode:
            from_text(to_text(before), was)
            return found if now.is_no_more_than(was) else from_text(text)  # which tells it
    except ValidationError as error:
        raise StoreError(
            sentence_of_text(error, text, "The change does not fit the plan")
        ) from error
    return found


@lru_cache(maxsize=16)
def packed(text: str) -> bytes:
    """A text as the history keeps it; what is after one change is before the next."""
    kept = isal_zlib.compress(text.encode(), 2)  # as small as by zlib, in a third of the time
    _texts.put(kept, text)  # the answer to an edit tells what it moved since then
    return kept


def unpacked(kept: bytes) -> str:
    """What was packed. StoreError when that is damaged, or grows without end."""
    return _texts.get(kept, lambda: _unpacked(kept))


def _unpacked(kept: bytes) -> str:
    reading = zlib.decompressobj()
    try:
        text = reading.decompress(kept, _LARGEST).decode()
    except (zlib.error, UnicodeDecodeError) as error:
        raise StoreError(_SPOILT) from error
    if not reading.eof:
        raise StoreError(_SPOILT)
    return text
