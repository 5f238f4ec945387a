"""Numbers typed without a unit, or with the other one than was meant: asked about, not guessed."""

import re
from collections.abc import Callable, Iterator
from typing import Any, Final

from starlette.datastructures import FormData

from webapp.errors import FigureError
from webapp.units import PLAIN_SIGNS, System

Reader = Callable[[str], Any]

_UNITS: Final[tuple[System, ...]] = ("cm", "in")
_NUMBER: Final = r"[+-]?\s*[\d½⅓⅔¼¾⅛⅜⅝⅞][\d ./,½⅓⅔¼¾⅛⅜⅝⅞-]*"
_BARE: Final = re.compile(rf"({_NUMBER}?)(\s+double)?", re.IGNORECASE)  # a notch may be double
_WITH_UNIT: Final = re.compile(rf"({_NUMBER}?)\s*(?:cm|mm|in|inch|inches|\")?", re.IGNORECASE)
_BETWEEN: Final = re.compile(r",\s+|\s*;\s*")  # several lengths in one field


class SentForm(FormData):
    """A form as it was sent, by someone who reads by `preferred`, if she said so."""

    preferred: System | None = None


def asked(read: Reader, typed: str, preferred: System | None) -> str:
    """The question about a number that `read` takes in another unit than she reads by; else "".

    What `read` takes in a unit of its own comes to the same with that unit written out.
    """
    if preferred is None:
        return ""
    for part in _BETWEEN.split(typed):
        found = _BARE.fullmatch(part.strip())
        if not found or not any(digit in part for digit in "123456789½⅓⅔¼¾⅛⅜⅝⅞"):
            continue
        number, more = found[1].strip(), found[2] or ""
        as_read = _read(read, number + more)
        same = [
            one for one in _UNITS if as_read and _read(read, f"{number} {one}{more}") == as_read
        ]
        if len(same) == 1 and same[0] != preferred:
            return f"{number} cm or {number} in? Write which."
    return ""


def other_unit(read: Reader, typed: str) -> str:
    """A refused figure that would do in the other unit: that it would; else ""."""
    found = _WITH_UNIT.fullmatch(typed.translate(PLAIN_SIGNS).strip())
    if not found:
        return ""
    number = found[1].strip()
    does = [f"{number} {one}" for one in _UNITS if _read(read, f"{number} {one}")]
    return f" {does[0]} would do: write {does[0]}." if len(does) == 1 else ""


def _read(read: Reader, typed: str) -> tuple[Any, ...]:
    """What it reads, alone in a tuple; empty where it refuses."""
    return tuple(_tried(read, typed))


def _tried(read: Reader, typed: str) -> Iterator[Any]:
    try:
        yield read(typed)
    except (ValueError, FigureError):
        return
