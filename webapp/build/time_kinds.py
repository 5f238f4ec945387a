"""Which rates each kind of work is timed by, and whether they are as they were."""

import hashlib
from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Final

from webapp.build.rates import Rate, Rates
from webapp.build.time_log import TIME_KINDS, KindShare, TimeKind

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


class RatePrints:
    """Whether what was worked out once would be worked out by the same rates now."""

    def __init__(self, rates: Rates) -> None:
        self._rates = rates
        self._of_kind = {
            kind: tuple(rate.key for rate in own) for kind, own in rates_by_kind(rates).items()
        }
        for key, kinds in _ALSO.items():
            for kind in kinds:
                self._of_kind[kind] += (key,) if key in rates else ()
        self._prints: dict[tuple[str, ...], str] = {}

    def keys(self, kind: TimeKind) -> tuple[str, ...]:
        """Every rate that times a kind."""
        return self._of_kind[kind]

    def of(self, keys: tuple[str, ...]) -> str:
        """The fingerprint of these rates: the same as long as none of their figures changes. A
        rate that is no more has none."""
        if keys not in self._prints:
            self._prints[keys] = _print_of(self._rates[key] for key in keys if key in self._rates)
        return self._prints[keys]

    def hold(self, share: KindShare) -> bool:
        """Whether the rates that a share was worked out by are as they were then. Of a share that
        does not name them these are all of its kind."""
        return share.rates == self.of(share.by or self.keys(share.kind))


def _print_of(rates: Iterable[Rate]) -> str:
    figures = sorted((rate.key, rate.low, rate.likely, rate.high) for rate in rates)
    return hashlib.sha256(repr(figures).encode()).hexdigest()[:16]
