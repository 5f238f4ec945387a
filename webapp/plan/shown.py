"""A figure as a sheet shows it, in each unit: the texts that editions keep and compare."""

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import Final, Literal, NamedTuple

from webapp.units import System, both_as_cut, parse_length

Kind = Literal["", "cut", "lay"]  # of a piece as it is cut; only known once it is laid
By = Literal["all", "body", "size"]
LONGEST: Final = 4000  # characters of a text that an edition keeps

_NUMBER: Final = r"-?\d+(?:[.,]\d+)?(?: \d+)?(?:/\d+)?"
_METRIC: Final = rf"{_NUMBER} (?:mm|cm|m|g/m²)(?![\w²])"
_IMPERIAL: Final = rf"{_NUMBER} (?:in|yd|ft|oz/yd²)(?![\w²])"
_EACH_METRIC: Final = re.compile(f"({_METRIC})")
_EACH_IMPERIAL: Final = re.compile(f"({_IMPERIAL})")
_PAIR: Final = re.compile(
    rf"(?P<cm>{_METRIC}) \((?P<in>{_IMPERIAL})\)|(?P<in2>{_IMPERIAL}) \((?P<cm2>{_METRIC})\)"
)


class Shown(NamedTuple):
    """A text in centimetres (metres, grams) and in inches (yards, ounces).

    The second is empty for what is told in words, the same in both.
    """

    cm: str
    inch: str = ""

    def in_both(self, first: System) -> str:
        """Both, `first` standing first; within words each length beside its own pair."""
        if not self.inch:
            return self.cm
        cm, inch = _EACH_METRIC.split(self.cm), _EACH_IMPERIAL.split(self.inch)
        if cm[::2] != inch[::2]:
            return _beside(self.cm, self.inch, first)
        for at in range(1, len(cm), 2):
            cm[at] = _beside(cm[at], inch[at], first)
        return "".join(cm)


def _beside(cm: str, inch: str, first: System) -> str:
    return f"{inch} ({cm})" if first == "in" else f"{cm} ({inch})"


class Told(NamedTuple):
    """A figure of the sheet: for each size in turn, for the body on camera, or for all alike."""

    what: str
    kind: Kind
    by: By
    shown: tuple[Shown | None, ...]


def for_each(what: str, shown: Sequence[Shown | None], kind: Kind = "") -> Told:
    """A figure that every size has of its own."""
    return Told(what, kind, "size", tuple(shown))


def for_all(what: str, shown: Shown, kind: Kind = "") -> Told:
    """A figure that is the same for every size."""
    return Told(what, kind, "all", (shown,))


def for_body(what: str, shown: Shown, kind: Kind = "") -> Told:
    """A figure of the body on camera alone."""
    return Told(what, kind, "body", (shown,))


def in_each(text: str) -> Shown:
    """A text in which lengths are told in both units, in each of them: whichever stands first.

    >>> in_each("6 in (15 cm) of tape"), in_each("2 needles")
    (Shown(cm='15 cm of tape', inch='6 in of tape'), Shown(cm='2 needles', inch=''))
    """
    cm = _PAIR.sub(lambda found: found["cm"] or found["cm2"], text)
    inch = _PAIR.sub(lambda found: found["in"] or found["in2"], text)
    return Shown(cm[:LONGEST], inch[:LONGEST] if inch != cm else "")


@lru_cache(maxsize=8192)
def parted(text: str) -> Shown:
    """A single length in both units, centimetres first."""
    cm, inch = text.removesuffix(")").split(" (")
    return Shown(cm, inch)


def as_cut(mm: float) -> Shown:
    """A length that is drawn, cut or sewn to."""
    return parted(both_as_cut(mm, "cm"))


def typed_length(text: str) -> Shown | None:
    """A length as typed; None where there is none, or none that can be read."""
    try:
        return as_cut(parse_length(text, None).mm) if text else None
    except ValueError:
        return None
