"""The companion's cover: the garments as they look once they are sewn, front and back, in line."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree.ElementTree import Element

from markupsafe import Markup

from webapp.draft import svg
from webapp.draft.garment_view import GarmentView, Seen, not_seen, views_of
from webapp.draft.names import listed
from webapp.draft.outline import Point
from webapp.draft.results import Draft
from webapp.handouts.drawings import INK, sized
from webapp.handouts.flat_pieces import flat_pieces
from webapp.plan.results import Plan
from webapp.units import both_as_cut

_WIDTH: Final = 174.0  # mm of paper
_HEIGHT: Final = 122.0
_GAP: Final = 6.0
_MARGIN: Final = 0.5  # half a pen line may lie outside a drawing
_LABEL: Final = 7.0  # under a row of drawings, for their names
_IN_A_ROW: Final = 4
_LARGEST: Final = 1 / 3  # of true scale: a hat need not fill the page
_PEN: Final = {"edge": 0.55, "seam": 0.25, "stitch": 0.18, "gather": 0.2, "fold": 0.2}  # mm
_DASHED: Final = "0.9 0.6"
_SHADE: Final = {False: 0.04, True: 0.16}  # of ink: the right side of the cloth, the inside
_SIDES: Final[dict[Seen, str]] = {
    "front": "Front",
    "back": "Back",
    "both": "Front and back alike",
    "flat": "Laid flat",
}


@dataclass(frozen=True, slots=True)
class Figure:
    """A view on the cover: what it is called, and what it says to those who cannot see it."""

    label: str
    words: str
    view: GarmentView

    @property
    def size_mm(self) -> Point:
        """How wide and how high it is, as large as life."""
        left, top, right, bottom = self.view.bounds_mm
        return right - left, bottom - top


def cover_of(plan: Plan) -> Markup:
    """Each garment from the front and from the back, all to one scale.

    The pieces side by side where the draft does not say how a garment goes together; empty without
    pieces.
    """
    figures: list[Figure] = []
    left_out: list[str] = []
    for draft in plan.drafts:
        views = views_of(draft, plan.episode.notions)
        figures += _figures(draft, views, plan)
        left_out += not_seen(draft, views)
    if not figures:
        return flat_pieces(plan.pieces)
    rows = [figures[at : at + _IN_A_ROW] for at in range(0, len(figures), _IN_A_ROW)]
    scale = _scale(rows)
    return Markup().join([*(_row(row, scale) for row in rows), _not_drawn(left_out, plan)])


def _figures(draft: Draft, views: Sequence[GarmentView], plan: Plan) -> Iterator[Figure]:
    """The views of a garment; its finished measures are told with the first."""
    called = draft.recipe.name if len(plan.drafts) > 1 else ""
    finished = [
        f"{name} {both_as_cut(mm, plan.episode.first_unit)}"
        for name, mm in draft.finished_mm.items()
    ]
    for view in views:
        side = _SIDES[view.side]
        of = f"{called}, {side[0].lower()}{side[1:]}" if called else side
        measures = f" Finished: {', '.join(finished)}." if finished and view is views[0] else ""
        label = called if called and view.side in {"both", "flat"} else of
        yield Figure(label, f"{of}: {listed(view.pieces)}.{measures}", view)


def _not_drawn(pieces: Sequence[str], plan: Plan) -> Markup:
    """Which pieces are missing from the drawing, and what tells their place: it is never made up.

    A patch pocket may be placed at the try-on: then a step names it, and no draft marks it.
    """
    if not pieces:
        return Markup()
    steps = " ".join(step.words.plain for step in plan.steps).lower()
    go = "it goes" if len(pieces) == 1 else "they go"
    by_steps = all(name.lower() in steps for name in pieces)
    told = f"the steps tell where {go}" if by_steps else f"the draft does not mark where {go}"
    return Markup('<p class="small quiet">Not in the drawing: {}; {}.</p>').format(
        listed(pieces), told
    )


def _scale(rows: Sequence[Sequence[Figure]]) -> float:
    """The largest at which every row fits the cover's width and all of them its height."""
    wide = (
        (_WIDTH - _GAP * len(row)) / max(sum(one.size_mm[0] for one in row), 1.0) for row in rows
    )
    high = sum(_high(row) for row in rows)
    room = _HEIGHT - (_LABEL + 2 * _MARGIN) * len(rows)
    return min(*wide, max(room, _LABEL) / max(high, 1.0), _LARGEST)


def _high(row: Sequence[Figure]) -> float:
    """From the highest to the lowest point of a row, whose origins lie level, mm of life."""
    boxes = [one.view.bounds_mm for one in row]
    return max(box[3] for box in boxes) - min(box[1] for box in boxes)


def _row(row: Sequence[Figure], scale: float) -> Markup:
    """Drawings side by side, and under each its name: that may be long, and then takes lines."""
    gap = (_WIDTH - scale * sum(one.size_mm[0] for one in row)) / len(row)
    cells = [one.size_mm[0] * scale + gap for one in row]
    drawing = svg.written(drawn(row, scale, cells, gap / 2))
    name = Markup('<div style="display: table-cell; width: {:.2f}mm">{}</div>')
    names = Markup().join(
        name.format(cell, one.label) for cell, one in zip(cells, row, strict=True)
    )
    return sized(drawing, _WIDTH, _HEIGHT) + Markup(
        '<div class="small" style="display: table; table-layout: fixed; width: {:.2f}mm; '
        'text-align: center; margin: 2pt 0 6pt">'
        "{}</div>"
    ).format(_WIDTH, names)


def drawn(row: Sequence[Figure], scale: float, cells: Sequence[float], inset: float) -> Element:
    """The figures of a row in their cells, so wide, mm of paper."""
    top = min(one.view.bounds_mm[1] for one in row)
    words = " ".join(one.words for one in row)
    box = (0, 0, _WIDTH, _high(row) * scale + 2 * _MARGIN)
    root = svg.figure(box, "The finished garment, to scale", words)
    x = inset
    for one, cell in zip(row, cells, strict=True):
        left, *_ = one.view.bounds_mm
        _draw(root, one.view, scale, (x - left * scale, _MARGIN - top * scale))
        x += cell
    return root


def _draw(root: Element, view: GarmentView, scale: float, shift: Point) -> None:
    def paper(points: Sequence[Point]) -> Iterator[Point]:
        return ((x * scale + shift[0], y * scale + shift[1]) for x, y in points)

    for shape in view.shapes:
        rings = " ".join(svg.through(paper(ring), closed=True) for ring in shape.rings)
        svg.add(
            root, "path", d=rings, fill=INK, fill_opacity=_SHADE[shape.inside], fill_rule="evenodd"
        )
    for stroke in view.strokes:
        if stroke.kind == "button":
            ((x, y),) = paper(stroke.points)
            svg.add(root, "circle", cx=x, cy=y, r=0.7, fill="none", stroke=INK, stroke_width=0.3)
            continue
        line = svg.add(
            root,
            "path",
            d=svg.through(paper(stroke.points)),
            fill="none",
            stroke=INK,
            stroke_width=_PEN[stroke.kind],
            stroke_linejoin="round",
            stroke_linecap="round",
        )
        if stroke.kind == "stitch":
            line.set("stroke-dasharray", _DASHED)
