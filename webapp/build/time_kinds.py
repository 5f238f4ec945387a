"""Which rates each kind of work is timed by."""

import hashlib
from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Final

from webapp.build.rates import Rate, Rates
from webapp.build.time_log import TIME_KINDS, TimeKind

_KINDS: Final[Mapping[str, TimeKind]] = MappingProxyType({kind: kind for kind in TIME_KINDS})
KIND_WORDS: Final[Mapping[TimeKind, str]] = {
    "draw": "Drawing and marking",
    "cut": "Cutting out",
    "pin": "Pinning",
    "machine": "Sewing by machine",
    "overlock": "Overlocking",
    "hand": "Sewing by hand",
    "press": "Pressing",
    "turn": "Turning",
    "try on": "Trying on",
    "other": "Other work",
    "filming": "Filming",
    "voice-over": "Voice-over",
    "editing": "Editing",
}  # what each is called
TYPED: Final = "typed"  # stands for the fingerprint of minutes that come from no rate
_ALSO: Final[Mapping[str, tuple[TimeKind, ...]]] = MappingProxyType(
    {"machine: share": ("overlock",), "speaking": ("voice-over",)}
)


def kind_of_rate(key: str) -> TimeKind:
    """The kind a rate is listed under: what its key begins with; of filming if of no other."""
    begins = key.partition(":")[0].removesuffix(" length")
    return _KINDS.get(begins, "filming")


def rates_by_kind(rates: Rates) -> Mapping[TimeKind, tuple[Rate, ...]]:
    """Every rate under its kind, in the order of the table."""
    found: dict[TimeKind, tuple[Rate, ...]] = dict.fromkeys(TIME_KINDS, ())
    for key, rate in rates.items():
        found[kind_of_rate(key)] += (rate,)
    return MappingProxyType(found)


def fingerprints(rates: Rates) -> Mapping[TimeKind, str]:
    """Of each kind, the same as long as every rate that times it is the same."""
    timing = {kind: list(own) for kind, own in rates_by_kind(rates).items()}
    for key, kinds in _ALSO.items():
        for kind in kinds:
            timing[kind] += [rates[key]] if key in rates else []
    return MappingProxyType({kind: _print_of(own) for kind, own in timing.items()})


def _print_of(rates: Iterable[Rate]) -> str:
    figures = sorted((rate.key, rate.low, rate.likely, rate.high) for rate in rates)
    return hashlib.sha256(repr(figures).encode()).hexdigest()[:16]
