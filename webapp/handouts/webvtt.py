"""WebVTT (W3C): timed text as players and upload pages read it."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Cue:
    """Lines of text, none of them empty, from when to when, in seconds."""

    starts_s: float
    ends_s: float
    lines: Sequence[str]


def document(cues: Iterable[Cue]) -> bytes | None:
    """The cues as a file; None when there is none.

    Text is text: what could be read as markup or as an arrow is escaped (W3C WebVTT, 4.2.2).
    """
    blocks = ["\n".join([_times(cue), *map(_text, cue.lines)]) for cue in cues]
    return ("\n\n".join(["WEBVTT", *blocks]) + "\n").encode() if blocks else None


def _times(cue: Cue) -> str:
    return f"{timestamp(cue.starts_s)} --> {timestamp(cue.ends_s)}"


def timestamp(seconds: float) -> str:
    """Hours, minutes, seconds and thousandths; never later than the time itself.

    >>> timestamp(3725.4567)
    '01:02:05.456'
    """
    whole, thousandths = divmod(math.floor(seconds * 1000), 1000)
    minutes, rest = divmod(whole, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02}:{minutes:02}:{rest:02}.{thousandths:03}"


def _text(line: str) -> str:
    return line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
