"""The lengths that texts may quote, mm, by their names in lower case."""

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

from webapp.draft.evaluate import Draft
from webapp.draft.names import name_key, piece_key
from webapp.remembered import Same


def lengths_of(drafts: Sequence[Draft]) -> Mapping[str, float]:
    """Every length of these garments; edges that are sewn to each other have one length.

    Where two garments have a choice of the same name, the first garment's is meant; a choice or
    a piece's figure comes before a finished measure of the same name.
    """
    return _lengths_of(Same(tuple(drafts)))


@lru_cache(maxsize=200)
def _lengths_of(of: Same) -> Mapping[str, float]:
    drafts: tuple[Draft, ...] = of.values
    lengths: dict[str, float] = {}
    for draft in drafts:
        for name, quantity in draft.names.items():
            if quantity.dimension == 1:
                lengths.setdefault(name, draft.shown_mm.get(name, quantity.value))
    for draft in drafts:
        for name, mm in draft.finished_mm.items():
            lengths.setdefault(name_key(name), mm)
    return lengths


def as_written(drafts: Sequence[Draft]) -> tuple[str, ...]:
    """The names of `lengths_of`, with the capitals they were given."""
    return _as_written(Same(tuple(drafts)))


@lru_cache(maxsize=200)
def _as_written(of: Same) -> tuple[str, ...]:
    drafts: tuple[Draft, ...] = of.values
    lengths = lengths_of(drafts)
    return tuple(name for draft in drafts for name in _names(draft) if name_key(name) in lengths)


def _names(draft: Draft) -> Iterator[str]:
    yield from draft.body.measures
    yield from (choice.name for choice in draft.recipe.choices)
    for piece in draft.pieces:
        yield from (f"{piece.name}.{figure}" for figure in piece.figures_mm)
    yield from draft.finished_mm


def own_first(draft: Draft, figures_mm: Mapping[str, float]) -> Mapping[str, float]:
    """What a text of one garment may quote: its own lengths, then all others.

    A length that the garment lacks for now is not taken from another.
    """
    return _own_first(Same((draft, figures_mm)))


@lru_cache(maxsize=200)
def _own_first(of: Same) -> Mapping[str, float]:
    draft: Draft
    figures_mm: Mapping[str, float]
    draft, figures_mm = of.values
    others = {name: mm for name, mm in figures_mm.items() if not draft.lacks(name)}
    pieces = {piece_key(piece.name) for piece in draft.recipe.pieces}
    own = {
        name: mm
        for name, mm in lengths_of((draft,)).items()
        if "." not in name or piece_key(name) in pieces or name not in others
    }
    return {**others, **own}
