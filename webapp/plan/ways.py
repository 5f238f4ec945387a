"""Which way is best: the length to buy by width of cloth, way of laying and size.

Every length comes from a lay of its own, worked out as the cloth's own length to buy is: with the
spare, squared up, before it shrinks. Nothing is laid before a row is asked for.
"""

import hashlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final, NamedTuple, Protocol

from webapp.cloth.cloths import EpisodeCloth, KeptLay
from webapp.cloth.laid import WayOfLaying
from webapp.cloth.lay import LayPiece, lay_pieces
from webapp.cloth.yardage import Purchase
from webapp.errors import LayError
from webapp.plan.conditions import LAID
from webapp.plan.lays import LayPlan, lays_on, risked_pieces
from webapp.plan.results import Plan
from webapp.plan.why_folded import why_folding_costs
from webapp.units import System, both, parse_length

_SAME_WIDTH_MM: Final = 0.5
_SAME_LENGTH_MM: Final = 0.5


class ClothWidth(NamedTuple):
    """A width cloth is sold in, in both units as the trade calls it; `mm` is laid on."""

    cm: str
    inch: str
    mm: float

    @property
    def all_mm(self) -> tuple[float, ...]:
        """What is laid on, then what each of its names says."""
        inches = self.inch.removesuffix(" in").split("–")
        return self.mm, *map(_width_mm, (self.cm, *(f"{one} in" for one in inches)))


# The two names of a width are not one width. The narrower is laid on, so that the length is
# enough for whichever is bought. The pairs are common practice, no source.
WIDTHS: Final = (
    ClothWidth("90 cm", "36 in", 900.0),  # 36 in is 914.4 mm
    ClothWidth("115 cm", "45 in", 1143.0),  # 45 in, against 1150 mm
    ClothWidth("140 cm", "54–56 in", 1371.6),  # 54 in, against 1400 mm
    ClothWidth("150 cm", "60 in", 1500.0),  # 60 in is 1524 mm
)


def width_among(widths: Sequence[ClothWidth], typed: str) -> ClothWidth | None:
    """The width that has this one for its own or for one of its two names; None when none has."""
    mm = _width_mm(typed)
    return next(
        (one for one in widths if any(abs(mm - own) < _SAME_WIDTH_MM for own in one.all_mm)), None
    )


def named_widths(typed: Sequence[str]) -> tuple[ClothWidth, ...]:
    """Widths as typed, named in both units; what cannot be read is left out."""
    return tuple(_named_width(mm) for one in typed if (mm := _width_mm(one)))


def _named_width(mm: float) -> ClothWidth:
    cm, inch = both(mm, "cm").removesuffix(")").split(" (")
    return ClothWidth(cm, inch, mm)


def _width_mm(typed: str) -> float:
    """Zero for what cannot be read, as in a file edited by hand."""
    try:
        return parse_length(typed, None).mm
    except ValueError:
        return 0.0


def _narrowest_first(width: ClothWidth) -> float:
    return width.mm


class Way(NamedTuple):
    """A way of laying, on cloth that runs one way or on any."""

    laid: WayOfLaying
    one_way: bool


# Of ways that buy the same length the earlier is easier: two layers are cut at once, and a fold
# along the cloth is soonest laid true. Common practice, no source.
_EASIEST_FIRST: Final[tuple[WayOfLaying, ...]] = ("folded", "folded across", "open")


class SizeOnCloth(NamedTuple):
    """The pieces of a size that are cut from the cloth."""

    size: str
    pieces: tuple[LayPiece, ...]


@dataclass(frozen=True)
class WaysAsked:
    """All that a table depends on; can be sent to another process."""

    cloth: EpisodeCloth
    sizes: tuple[SizeOnCloth, ...]
    risked: tuple[str, ...] = ()  # pieces that steps cut which cannot be taken back
    kept: tuple[KeptLay, ...] = ()
    first: System = (
        "cm"  # leads in the reasons; both units are always told, so no table is outdated by it
    )

    @property
    def key(self) -> str:
        """SHA-256, in hex, of all the table depends on."""
        drawn = [(size, [_drawn(piece) for piece in pieces]) for size, pieces in self.sizes]
        kept = [lay.model_dump_json() for lay in self.kept]
        cloth = self.cloth.model_dump_json(exclude={"have", "more_widths"})
        told = repr((cloth, drawn, self.risked, kept))
        return hashlib.sha256(told.encode()).hexdigest()

    @property
    def widths(self) -> tuple[ClothWidth, ...]:
        """The widths that are tried, the narrowest first.

        Beside those that cloth is sold in they are this cloth's own and those that were added.
        """
        found = list(WIDTHS)
        for one in named_widths((self.cloth.width, *self.cloth.more_widths)):
            if not any(abs(width.mm - one.mm) < _SAME_WIDTH_MM for width in found):
                found.append(one)
        return tuple(sorted(found, key=_narrowest_first))

    @property
    def ways(self) -> tuple[Way, ...]:
        """The ways that are tried; of cloth that does not run one way, also as if it did."""
        own = [Way(laid, self.cloth.one_way) for laid in ("open", "folded", "folded across")]
        as_if = [] if self.cloth.one_way else [Way("open", True), Way("folded", True)]
        return (*own, *as_if)


class Bought(Protocol):
    """A length as it is bought."""

    @property
    def metres(self) -> str:
        """Up to the next 0.1 m."""

    @property
    def yards(self) -> str:
        """Up to the next 1/8 yd."""


@dataclass(frozen=True)
class WayCell:
    """What to buy for one size, laid one way on one width; or a sentence why it cannot be laid."""

    purchase: Bought | None
    problem: str = ""
    best: bool = False  # the shortest of this cloth's ways in this width
    why_more: tuple[str, ...] = ()  # sentences, where folding costs more than opening out


@dataclass(frozen=True)
class WaysRow:
    """The cells of one width: for each size, in order, one for each way."""

    width: ClothWidth
    cells: tuple[tuple[WayCell, ...], ...]

    def said(self, asked: WaysAsked) -> str:
        """The row in a sentence, for the first size."""
        named = f"{self.width.cm} ({self.width.inch}) wide"
        size = asked.sizes[0].size if asked.sizes else ""
        for way, cell in zip(asked.ways, self.cells[0] if self.cells else (), strict=False):
            if cell.best and cell.purchase:
                bought = f"{cell.purchase.metres} ({cell.purchase.yards})"
                return f"{named}: {bought} for {size}, {LAID[way.laid]}"
        return f"{named}: cannot be laid for {size}"


@dataclass(frozen=True)
class WaysTable:
    """Rows by width, in each for every size a cell by way."""

    cloth: str
    sizes: tuple[str, ...]
    ways: tuple[Way, ...]
    rows: tuple[WaysRow, ...]


def ways_asked(plan: Plan, cloth: EpisodeCloth) -> WaysAsked:
    """What the table of a cloth of this plan depends on. Drafts all sizes; lays nothing."""
    return WaysAsked(
        cloth,
        tuple(
            SizeOnCloth(
                size.body.name,
                lay_pieces(p for d in size.drafts for p in d.pieces if p.cloth == cloth.name),
            )
            for size in plan.sizes
        ),
        risked_pieces(step.step for step in plan.steps),
        tuple(lay for lay in plan.episode.kept_lays if lay.cloth == cloth.name),
        plan.episode.first_unit,
    )


def ways_table(
    report: Callable[[str, WaysTable], None], asked: WaysAsked, known: Sequence[WaysRow] = ()
) -> WaysTable:
    """The whole table. Each row is reported as it is done, in words and with the table so far.

    What is `known` for the draft as it stands is not laid again. Runs in a job's process.
    """
    sizes = tuple(size.size for size in asked.sizes)
    table = WaysTable(asked.cloth.name, sizes, asked.ways, ())
    for row in ways_rows(asked, known):
        rows = sorted((*table.rows, row), key=lambda row: row.width.mm)
        table = replace(table, rows=tuple(rows))
        report(f"{len(table.rows)} of {len(asked.widths)} widths laid. {row.said(asked)}", table)
    return table


def ways_rows(asked: WaysAsked, known: Sequence[WaysRow] = ()) -> Iterator[WaysRow]:
    """The rows one by one: those that are `known`, then the others, the narrowest first."""
    there = {row.width.mm: row for row in known}
    yield from (there[width.mm] for width in asked.widths if width.mm in there)
    yield from (_row(asked, width) for width in asked.widths if width.mm not in there)


@lru_cache(maxsize=64)
def _row(asked: WaysAsked, width: ClothWidth) -> WaysRow:
    by_way = [_size_plans(asked, width, way) for way in asked.ways]
    by_size = zip(*by_way, strict=True)
    return WaysRow(width, tuple(_cells(asked, plans) for plans in by_size))


def _size_plans(asked: WaysAsked, width: ClothWidth, way: Way) -> list[LayPlan]:
    """The pieces of every size laid this way; the lay of one may serve another."""
    told = {"width": f"{width.mm:g} mm", "laid": way.laid, "one_way": way.one_way}
    cloth = asked.cloth.model_copy(update=told)
    return lays_on(cloth, asked.sizes, asked.kept, asked.risked)


class _Laid(NamedTuple):
    """What to buy for one size laid one way, or why it cannot be laid."""

    purchase: Purchase | None
    problem: str = ""


def _cells(asked: WaysAsked, plans: Sequence[LayPlan]) -> tuple[WayCell, ...]:
    """The cells of one size on one width."""
    laid = [_laid(plan) for plan in plans]
    for i, way in enumerate(asked.ways):
        if way.one_way and not asked.cloth.one_way:
            free = asked.ways.index(Way(way.laid, False))
            laid[free] = _no_dearer(laid[free], laid[i])
    own = [i for i, way in enumerate(asked.ways) if way.one_way == asked.cloth.one_way]
    best = _best([(i, laid[i].purchase, asked.ways[i].laid) for i in own])
    opened = {way.one_way: i for i, way in enumerate(asked.ways) if way.laid == "open"}
    return tuple(
        WayCell(
            laid[i].purchase,
            laid[i].problem,
            i == best,
            _why_more(laid, plans, i, opened[way.one_way], asked.first),
        )
        for i, way in enumerate(asked.ways)
    )


def _laid(plan: LayPlan) -> _Laid:
    if plan.problem:
        return _Laid(None, plan.problem.removeprefix(f"{plan.cloth.name}: "))
    try:
        return _Laid(plan.purchase)
    except LayError as error:
        return _Laid(None, error.sentence)


def _no_dearer(free: _Laid, one_way: _Laid) -> _Laid:
    """A lay for one-way cloth holds on any; now and then it is the shorter."""
    if free.purchase and one_way.purchase and one_way.purchase.total_mm < free.purchase.total_mm:
        return one_way
    return free


def _why_more(
    laid: Sequence[_Laid], plans: Sequence[LayPlan], folded: int, opened: int, first: System
) -> tuple[str, ...]:
    """Why folding costs more than opening out; empty when it does not."""
    one, other = laid[folded].purchase, laid[opened].purchase
    if one is None or other is None or one.total_mm <= other.total_mm + _SAME_LENGTH_MM:
        return ()
    lays = plans[folded].lay, plans[opened].lay
    return why_folding_costs(lays[0], lays[1], first) if lays[0] and lays[1] else ()


def _best(ways: Sequence[tuple[int, Purchase | None, WayOfLaying]]) -> int | None:
    """The way that buys the least; of those that buy the same in both units, the easiest."""
    laid = [(i, bought, way) for i, bought, way in ways if bought]
    if not laid:
        return None
    least = min((bought for _, bought, _ in laid), key=lambda bought: bought.total_mm)
    same = [
        (_EASIEST_FIRST.index(way), i)
        for i, bought, way in laid
        if (bought.metres, bought.yards) == (least.metres, least.yards)
    ]
    return min(same)[1]


def _drawn(piece: LayPiece) -> tuple[object, ...]:
    points = [(round(x, 3), round(y, 3)) for x, y in piece.outline_mm]
    rest = (piece.count, tuple(piece.turns), piece.on_fold, piece.pair, piece.match_mm)
    return piece.name, points, *rest
