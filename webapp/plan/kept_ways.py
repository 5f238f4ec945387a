"""Tables of ways of laying that are kept in the episode, and whether they fit the draft still."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache, partial
from typing import Any, Final

from webapp.cloth.cloths import EpisodeCloth, KeptWay, KeptWays, KeptWidth
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.results import Plan
from webapp.plan.ways import (
    WIDTHS,
    ClothWidth,
    Way,
    WayCell,
    WaysAsked,
    WaysRow,
    WaysTable,
    named_widths,
    ways_asked,
)
from webapp.remembered import Remembered, Same
from webapp.units import System

# No length in the table depends on these; how the cloth is laid now is one of the ways tried.
_OF_NO_ACCOUNT: Final[dict[str, Any]] = {
    "laid": "open",
    "description": "",
    "weight": "",
    "stretch": 0.0,
    "price": "",
    "price_per": "m",
    "have": "",
}
_ANY_NAME: Final = "-"
_asked: Final[Remembered[tuple[Same, System], WaysAsked]] = Remembered(100)


def table_asked(plan: Plan, cloth: EpisodeCloth) -> WaysAsked:
    """What the table of a cloth depends on, and nothing else of the plan."""
    steps = (row.step for row in plan.steps)
    of = Same((plan.sizes, *steps, plan.episode.kept_lays, cloth))
    return _asked.get((of, plan.episode.first_unit), partial(_table_asked, plan, cloth))


def _table_asked(plan: Plan, cloth: EpisodeCloth) -> WaysAsked:
    asked = ways_asked(plan, changed(cloth, **_OF_NO_ACCOUNT))
    return asked if cloth.spare != "none" else replace(asked, risked=())


def draft_key(asked: WaysAsked) -> str:
    """SHA-256, in hex, of all that the lengths of the table depend on.

    Left out are the cloth's own width, which adds a row and leaves the others as they are, its
    name, and the order of the sizes.
    """
    return _draft_key(Same((asked,)))


@lru_cache(maxsize=100)
def _draft_key(of: Same) -> str:
    asked: WaysAsked
    (asked,) = of.values
    cloth = changed(asked.cloth, width=WIDTHS[0].cm, name=_ANY_NAME)
    kept = tuple(changed(lay, cloth=_ANY_NAME) for lay in asked.kept)
    return replace(asked, cloth=cloth, kept=kept, sizes=tuple(sorted(asked.sizes, key=_name))).key


def with_kept_ways(episode: Episode, asked: WaysAsked, table: WaysTable) -> Episode:
    """The episode with the table kept for the cloth that was asked for.

    Rows that were kept for the same draft stay beside the new ones; a table of another draft goes.
    Nothing is kept of widths that were all taken out meanwhile.
    """
    before = table_kept(episode, asked)
    alike = [found for found in (before, table) if found and found.sizes == table.sizes]
    known = {row.width.mm: row for found in alike for row in found.rows}
    widths = tuple(_kept_width(known[w.mm]) for w in asked.widths if w.mm in known)
    if not widths:
        return episode
    kept = KeptWays(
        cloth=asked.cloth.name,
        key=draft_key(asked),
        sizes=table.sizes,
        ways=table.ways,
        widths=widths,
    )
    others = {cloth.name for cloth in episode.cloths} - {asked.cloth.name}
    ways = (*(one for one in episode.kept_ways if one.cloth in others), kept)
    return changed(episode, kept_ways=ways)


def table_kept(episode: Episode, asked: WaysAsked) -> WaysTable | None:
    """The table kept for this draft, the sizes in its order; None when there is none.

    Of the rows that are asked for it has those that are known.
    """
    key = draft_key(asked)
    kept = next((one for one in episode.kept_ways if one.key == key), None)
    sizes = tuple(size.size for size in asked.sizes)
    if kept is None or sorted(kept.sizes) != sorted(sizes):  # as in a file edited by hand
        return None
    return as_asked(_table(kept, sizes), asked) if kept.ways == asked.ways else None


def as_asked(table: WaysTable, asked: WaysAsked) -> WaysTable:
    """The table without widths that were taken out, or that the cloth has no longer."""
    wanted = {width.mm for width in asked.widths}
    return replace(table, rows=tuple(row for row in table.rows if row.width.mm in wanted))


def lacking_widths(table: WaysTable | None, asked: WaysAsked) -> tuple[ClothWidth, ...]:
    """The widths that are asked for and are not in the table."""
    there = {row.width.mm for row in table.rows} if table else set()
    return tuple(width for width in asked.widths if width.mm not in there)


def outdated_ways(plan: Plan) -> tuple[str, ...]:
    """The cloths whose table is kept, and is of an older draft."""
    return tuple(name for name, lacking in lacking_ways(plan) if not lacking)


def lacking_ways(plan: Plan) -> Iterator[tuple[str, tuple[ClothWidth, ...]]]:
    """The cloths whose table is of an older draft, or lacks widths that were added, with these."""
    for cloth in plan.episode.cloths:
        is_there = older_table(plan.episode, cloth.name) is not None
        if not is_there and not cloth.more_widths:
            continue
        asked = table_asked(plan, cloth)
        if not any(size.pieces for size in asked.sizes):
            continue
        table = table_kept(plan.episode, asked)
        added = named_widths(cloth.more_widths)
        lacking = tuple(one for one in lacking_widths(table, asked) if one in added)
        if is_there and table is None:
            yield cloth.name, ()
        elif lacking:
            yield cloth.name, lacking


def older_table(episode: Episode, cloth: str) -> WaysTable | None:
    """The table kept for a cloth, whatever has changed since."""
    kept = next((one for one in episode.kept_ways if one.cloth == cloth), None)
    return _table(kept, kept.sizes) if kept else None


def _table(kept: KeptWays, sizes: Sequence[str]) -> WaysTable:
    order = [kept.sizes.index(size) for size in sizes]
    ways = tuple(Way(*way) for way in kept.ways)
    return WaysTable(kept.cloth, tuple(sizes), ways, tuple(_rows(kept, order)))


def _rows(kept: KeptWays, order: Sequence[int]) -> Iterator[WaysRow]:
    for width in kept.widths:
        cells = tuple(tuple(_cell(way) for way in width.sizes[i]) for i in order)
        yield WaysRow(ClothWidth(width.cm, width.inch, width.mm), cells)


def _cell(way: KeptWay) -> WayCell:
    return WayCell(way if way.metres else None, way.problem, way.best, way.why_more)


def _kept_width(row: WaysRow) -> KeptWidth:
    cm, inch, mm = row.width
    sizes = tuple(
        tuple(_kept_way(cell, reasons=place == 0) for cell in cells)
        for place, cells in enumerate(row.cells)
    )
    return KeptWidth(cm=cm, inch=inch, mm=mm, sizes=sizes)


def _kept_way(cell: WayCell, *, reasons: bool) -> KeptWay:
    """The reasons are told for the size on camera alone; those of all would double the document."""
    return KeptWay(
        metres=cell.purchase.metres if cell.purchase else "",
        yards=cell.purchase.yards if cell.purchase else "",
        problem=cell.problem,
        best=cell.best,
        why_more=cell.why_more if reasons else (),
    )


def _name(size: tuple[str, object]) -> str:
    return size[0]
