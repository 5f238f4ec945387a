"""Lengths typed out in one unit: read, matched with the live figures, told in both units."""

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Final

from webapp.draft.names import piece_key
from webapp.filming.figures import NUMBER, is_metric, single_unit_runs
from webapp.units import (
    MM_PER_INCH,
    STRIP_MM,
    System,
    allowance_pair,
    both_called,
    parse_length,
)

_NUMBER: Final = re.compile(NUMBER)
_NEAR_MM: Final = 6.0  # more than the coarsest step; what lies farther off is not looked at
_HAIR_MM: Final = 1e-6
# Half of what the shown lengths are rounded to, mm: fine, coarse.
_HALF_STEP_MM: Final[Mapping[System, tuple[float, float]]] = {
    "cm": (0.5, 2.5),
    "in": (MM_PER_INCH / 32, MM_PER_INCH / 16),
}


@dataclass(frozen=True, slots=True)
class TypedLength:
    """A measurement as typed in a text, from `start` to `end`.

    `mm` is its exact length, None where it is no single one: a range, two lengths of one cloth,
    or digits that can be read in two ways. `other` is what it comes to in the other unit, rounded
    from the exact length; empty where it cannot be read.
    """

    start: int
    end: int
    text: str
    unit: System
    mm: float | None
    other: str

    def in_both(self, first: System) -> str:
        """In both units, in its own as it was typed; empty where it cannot be read."""
        if not self.other:
            return ""
        pair = (self.text, self.other)
        one, behind = pair if self.unit == first else pair[::-1]
        return f"{one} ({behind})"

    def replaced(self, text: str, by: str) -> str:
        """The text it was found in, with something else in its place."""
        return text[: self.start] + by + text[self.end :]


@lru_cache(maxsize=4096)
def typed_lengths(text: str) -> tuple[TypedLength, ...]:
    """What `single_unit_measurements` finds, read.

    >>> [(one.text, one.mm, one.other) for one in typed_lengths("Cut 12 in, fold 5-6 cm up.")]
    [('12 in', 304.8, '30.5 cm'), ('5-6 cm', None, '2–2 3/8 in')]
    """
    return tuple(_read(run, text) for run in single_unit_runs(text))


def matches(
    length: TypedLength, figures_mm: Mapping[str, float], own: Collection[str] = ()
) -> tuple[str, ...]:
    """The figures that the typed length may be meant to be, the best first.

    Those shown in its unit as it was typed, or as it would be shown itself, or no farther off
    than half of what is rounded away. `own` are the pieces (as `piece_key` has them) whose figures
    come first; those of other pieces stand before measures and choices.
    """
    if length.mm is None:
        return ()
    found = []
    for name, mm in figures_mm.items():
        off = abs(mm - length.mm)
        if off > _NEAR_MM:
            continue
        shown = _in_unit(name, mm, length.unit)
        is_exact = abs(parse_length(shown, may_be_negative=True).mm - length.mm) < _HAIR_MM
        is_same = shown == _in_unit(name, length.mm, length.unit)
        if is_exact or is_same or off <= _half_step(name, mm, length.unit) + _HAIR_MM:
            of = 0 if piece_key(name) in own and "." in name else 1 if "." in name else 2
            found.append((not is_exact, of, round(off, 6), name))
    return tuple(name for *_, name in sorted(found))


def _in_unit(name: str, mm: float, unit: System) -> str:
    return both_called(name, mm, unit).partition(" (")[0]


def _half_step(name: str, mm: float, unit: System) -> float:
    fine, coarse = _HALF_STEP_MM[unit]
    return fine if abs(mm) <= STRIP_MM or name.lower().endswith(("radius", " at")) else coarse


def _read(run: tuple[re.Match[str], ...], text: str) -> TypedLength:
    start, end = run[0].start(), run[-1].end()
    metric = is_metric(run[0])
    unit: System = "cm" if metric else "in"
    try:
        mm, other = _meaning(run, text, metric=metric)
    except ValueError:  # 1,500 mm could be one and a half or fifteen hundred
        mm, other = None, ""
    return TypedLength(start, end, text[start:end], unit, mm, other)


def _meaning(
    run: tuple[re.Match[str], ...], text: str, *, metric: bool
) -> tuple[float | None, str]:
    """The exact length if it is one, and the whole in the other unit. ValueError: unreadable."""
    numbers = [_NUMBER.findall(match["number"]) for match in run]
    gaps = [text[one.end() : two.start()] for one, two in pairwise(run)]
    if all(len(each) == 1 for each in numbers) and not any(gap.strip() for gap in gaps):
        parts = [f"{each[0]} {match['unit']}" for each, match in zip(numbers, run, strict=True)]
        mm = _sum_mm(parts)
        if mm is not None:
            return mm, _other(mm, metric=metric)
    told = [_told(match, metric=metric) for match in run]
    return None, "".join(word for pair in zip(told, [*gaps, ""], strict=True) for word in pair)


def _sum_mm(parts: list[str]) -> float | None:
    """1 yd 4 in is one length, 5 cm 10 cm are two. ValueError for what is no length at all."""
    if len(parts) == 1:
        return parse_length(parts[0]).mm
    try:
        return parse_length(" ".join(parts)).mm
    except ValueError:
        return None


def _told(match: re.Match[str], *, metric: bool) -> str:
    """One number or a range in the other unit, which is said once."""
    number, end, words = match["number"], 0, []
    for one in _NUMBER.finditer(number):
        mm = parse_length(f"{one[0]} {match['unit']}").mm
        figure, _, unit = _other(mm, metric=metric).rpartition(" ")
        # Behind a hyphen a fraction would be read on: 2-1/2.
        words += [number[end : one.start()].replace("-", "–"), figure]
        end = one.end()
    return f"{''.join(words)} {unit}"


def _other(mm: float, *, metric: bool) -> str:
    inch, cm = allowance_pair(mm)
    return inch if metric else cm
