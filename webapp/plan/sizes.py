"""The tables by size: the same garments on every body of the episode."""

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Final

from webapp.draft.recipe import Body
from webapp.draft.results import Draft, Piece
from webapp.plan.episode import Episode
from webapp.plan.evaluate import draft_all, laid_by
from webapp.plan.lays import LayPlan, lays_by_size
from webapp.plan.results import CuttingRow, CuttingTable, SizePlan
from webapp.remembered import Remembered, Same
from webapp.units import System

_tables: Final[Remembered[tuple[Same, System], tuple[SizePlan, ...]]] = Remembered(50)


def size_table(episode: Episode) -> tuple[SizePlan, ...]:
    """A row for the episode's body and for each further size; a larger one's lay may serve it."""
    asked = (laid_by(episode), episode.first_unit)
    return _tables.get(asked, partial(_size_table, episode))


def _size_table(episode: Episode) -> tuple[SizePlan, ...]:
    bodies = (episode.body, *episode.sizes)
    drafts = [draft_all(episode.garments, body) for body in bodies]
    steps = (step for garment in episode.garments for step in garment.steps)
    pieces = [[piece for draft in own for piece in draft.pieces] for own in drafts]
    names = [body.name for body in bodies]
    lays = lays_by_size(
        list(zip(names, pieces, strict=True)), episode.cloths, episode.kept_lays, steps
    )
    size = partial(_size, episode.first_unit)
    return tuple(map(size, bodies, drafts, lays))


def cutting_tables(sizes: Sequence[SizePlan]) -> tuple[CuttingTable, ...]:
    """A table for each piece that is drawn in some size, in the order of the recipes."""
    return tuple(
        CuttingTable(garment, name, any(p.on_fold for p in drawn if p), tuple(_rows(drawn)))
        for garment, name in _piece_names(sizes)
        if any(drawn := in_sizes(sizes, name))
    )


def in_sizes(sizes: Sequence[SizePlan], piece: str) -> tuple[Piece | None, ...]:
    """The piece as drafted in each size; None where it cannot be drawn."""
    return tuple(
        next((p for draft in size.drafts for p in draft.pieces if p.name == piece), None)
        for size in sizes
    )


def _size(
    first: System, body: Body, drafts: tuple[Draft, ...], lays: tuple[LayPlan, ...]
) -> SizePlan:
    return SizePlan(
        body=body,
        drafts=drafts,
        finished_mm={name: value for draft in drafts for name, value in draft.finished_mm.items()},
        lays=lays,
        problems=(
            *(p.sentence for draft in drafts for p in draft.problems if p.about != "blank"),
            *(check.told(first) for draft in drafts for check in draft.checks if not check.holds),
            *(lay.problem for lay in lays if lay.problem),
        ),
    )


def _piece_names(sizes: Sequence[SizePlan]) -> Iterator[tuple[str, str]]:
    """Garment and piece, by the recipes, which are the same in every size."""
    for draft in sizes[0].drafts if sizes else ():
        yield from ((draft.recipe.name, piece.name) for piece in draft.recipe.pieces)


def _rows(drawn: Sequence[Piece | None]) -> Iterator[CuttingRow]:
    """Cut size, what the moves marked, the edges; a size may lack what another has."""
    for place, name in enumerate(("width", "length")):
        sides = (piece.cut_size_mm[place] if piece else None for piece in drawn)
        yield CuttingRow(name, "cut size", tuple(sides))
    some = [piece for piece in drawn if piece]
    marked = dict.fromkeys(
        name for piece in some for name in piece.figures_mm if name in piece.marked
    )
    for name in marked:
        found = (piece.figures_mm.get(name) if piece else None for piece in drawn)
        yield CuttingRow(name, "marked", tuple(found))
    for name in dict.fromkeys(edge.name for piece in some for edge in piece.outline):
        yield CuttingRow(name, "edge", tuple(_sewn(piece, name) for piece in drawn))
        lengths = tuple(_drawn_longer(piece, name) for piece in drawn)
        if any(lengths):
            yield CuttingRow(f"{name}, as drawn", "edge", lengths)


def _sewn(piece: Piece | None, name: str) -> float | None:
    """The edge as it is sewn, and shown: as long as the one it is sewn to."""
    if piece is None or name not in piece.outline.names:
        return None
    return piece.shown_mm.get(name, piece.outline.edge(name).sewn_mm)


def _drawn_longer(piece: Piece | None, name: str) -> float | None:
    """The edge's drawn length where darts, pleats or gathers take some of it."""
    if piece is None or name not in piece.outline.names:
        return None
    edge = piece.outline.edge(name)
    return edge.length_mm if edge.taken_mm else None
