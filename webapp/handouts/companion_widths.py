"""The companion's table of other widths: what to buy and how to lay it, by width and size."""

from collections.abc import Iterator

from webapp.draft.names import listed
from webapp.handouts.companion_sizes import places_of
from webapp.handouts.companion_view import Length, OtherWidths, WidthCell
from webapp.plan.conditions import LAID
from webapp.plan.kept_ways import table_asked, table_kept
from webapp.plan.lays import LayPlan
from webapp.plan.results import Plan
from webapp.plan.ways import WIDTHS, ClothWidth, WaysTable
from webapp.units import System, both


def other_widths(laid: LayPlan, plan: Plan) -> OtherWidths | None:
    """The kept table of this cloth; None when there is none of the draft as it stands."""
    asked = table_asked(plan, laid.cloth)
    table = table_kept(plan.episode, asked)
    if table is None or not table.rows:  # none is left once a width of her own is taken out
        return None
    first = plan.episode.first_unit
    unsound = {s.body.name for s in plan.sizes if any(draft.problems for draft in s.drafts)}
    alike: dict[tuple[WidthCell, ...], list[str]] = {}
    for size in places_of(plan):
        if size not in unsound and size in table.sizes:
            place = table.sizes.index(size)
            alike.setdefault(tuple(_cells(table, place)), []).append(size)
    return OtherWidths(
        widths=tuple(_called(row.width, first) for row in table.rows),
        rows=tuple((", ".join(sizes), cells) for cells, sizes in alike.items()),
        holds=_holds(laid, first),
    )


def _cells(table: WaysTable, size: int) -> Iterator[WidthCell]:
    for row in table.rows:
        ways = zip(table.ways, row.cells[size], strict=True)
        best = ((way, cell) for way, cell in ways if cell.best and cell.purchase)
        way, cell = next(best, (None, None))
        bought = (
            Length(cell.purchase.metres, cell.purchase.yards) if cell and cell.purchase else None
        )
        yield WidthCell(bought, LAID[way.laid] if way else "")


def _called(width: ClothWidth, first: System) -> tuple[str, str]:
    """The trade's two names of a width are not one length, so they are parted by a word."""
    one, other = (width.cm, width.inch) if first == "cm" else (width.inch, width.cm)
    return one, f"or {other}" if width in WIDTHS else f"({other})"


def _holds(laid: LayPlan, first: System) -> str:
    parts = []
    repeat_mm = laid.as_cut.repeat_length_mm if laid.as_cut else 0.0
    if laid.squaring_mm > repeat_mm:
        parts.append(f"{both(laid.squaring_mm - repeat_mm, first)} to square the ends")
    if repeat_mm:
        parts.append(f"up to {both(repeat_mm, first)} to begin at the right place of the stripe")
    if laid.cloth.shrinks_along:
        parts.append("what the first wash takes")
    if laid.spare_pieces:
        parts.append(f"enough to cut {listed(laid.spare_pieces)} once more")
    return f"Each length holds {listed(parts)}." if parts else ""
