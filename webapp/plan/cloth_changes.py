"""What is different between two drafts of a garment, and what is wrong only in the second."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.draft.allowances import NONE, EdgeAllowance
from webapp.draft.recipe import FinishKind
from webapp.draft.results import Draft, Piece
from webapp.units import System

_SAME_MM: Final = 1e-6  # arithmetic noise


@dataclass(frozen=True, slots=True)
class ChoiceChange:
    """A choice as drafted and on the cloth: as typed, and mm where it is a length."""

    garment: str
    choice: str
    old: str
    new: str
    old_mm: float | None
    new_mm: float | None


@dataclass(frozen=True, slots=True)
class MeasureChange:
    """A finished measure as drafted and on the cloth, mm; None where it cannot be had."""

    garment: str
    name: str
    old_mm: float | None
    new_mm: float | None


@dataclass(frozen=True, slots=True)
class EdgeChange:
    """What is added outside an edge as drafted and on the cloth."""

    garment: str
    piece: str
    edge: str
    old_kind: FinishKind
    new_kind: FinishKind
    old: EdgeAllowance
    new: EdgeAllowance


def choice_changes(before: Sequence[Draft], after: Sequence[Draft]) -> Iterator[ChoiceChange]:
    for old, new in zip(before, after, strict=True):
        for one, other in zip(old.recipe.choices, new.recipe.choices, strict=True):
            if one.value != other.value:
                mm = (_length_mm(draft, one.name) for draft in (old, new))
                yield ChoiceChange(old.recipe.name, one.name, one.value, other.value, *mm)


def _length_mm(draft: Draft, name: str) -> float | None:
    found = draft.names.get(name.lower())
    return found.value if found and found.dimension == 1 else None


def measure_changes(before: Sequence[Draft], after: Sequence[Draft]) -> Iterator[MeasureChange]:
    for old, new in zip(before, after, strict=True):
        for measure in old.recipe.finished:
            mm = tuple(draft.finished_mm.get(measure.name) for draft in (old, new))
            if not _same(*mm):
                yield MeasureChange(old.recipe.name, measure.name, *mm)


def _same(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) <= _SAME_MM


def edge_changes(before: Sequence[Draft], after: Sequence[Draft]) -> Iterator[EdgeChange]:
    for old, new in zip(before, after, strict=True):
        drawn = {piece.name: piece for piece in new.pieces}
        for piece in old.pieces:
            if other := drawn.get(piece.name):
                yield from _edges_of(old.recipe.name, piece, other)


def _edges_of(garment: str, old: Piece, new: Piece) -> Iterator[EdgeChange]:
    for edge in old.outline.names:
        if edge not in new.outline.names:
            continue
        kinds = old.finishes[edge].kind, new.finishes[edge].kind
        added = old.allowances.get(edge, NONE), new.allowances.get(edge, NONE)
        widths = [(each.width_mm, each.turn_under_mm) for each in added]
        if kinds[0] != kinds[1] or not all(map(_same, *widths)):
            yield EdgeChange(garment, old.name, edge, *kinds, *added)


def undrawn(before: Sequence[Draft], after: Sequence[Draft]) -> Iterator[str]:
    """What cannot be drafted any more."""
    known = {problem.sentence for draft in before for problem in draft.problems}
    told = dict.fromkeys(problem.sentence for draft in after for problem in draft.problems)
    return (sentence for sentence in told if sentence not in known)


def unsound(before: Sequence[Draft], after: Sequence[Draft], first: System) -> Iterator[str]:
    """Seams that do not agree any more, and what has become too small for the body."""

    def failing(draft: Draft) -> dict[str, str]:
        seams = {f"seam {one.name}": one.told(first) for one in draft.seams if not one.agrees}
        return seams | {one.name: one.told(first) for one in draft.checks if not one.holds}

    for old, new in zip(before, after, strict=True):
        known = failing(old)
        yield from (told for name, told in failing(new).items() if name not in known)
