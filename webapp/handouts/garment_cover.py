"""The companion's cover: the garments as they look once they are sewn, front and back, in line."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree.ElementTree import Element

from markupsafe import Markup

from webapp.draft import svg
from webapp.draft.garment_view import GarmentView, Seen, not_seen, views_of
from webapp.draft.names import listed
from webapp.handouts.drawings import FACE, INK, sized
from webapp.handouts.flat_pieces import flat_pieces
from webapp.plan.results import Plan
from webapp.units import System, both_as_cut

_WIDTH: Final = 174.0  # mm of paper
_HEIGHT: Final = 122.0
_GAP: Final = 9.0
_MARGIN: Final = 0.5  # half a pen line may lie outside a drawing
_LABEL: Final = 7.0  # under the drawings, for their names
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


def cover_of(plan: Plan) -> Markup:
    """Each garment from the front and from the back, all to one scale.

    The pieces side by side where the draft does not say how a garment goes together; empty without
    pieces.
    """
    called = [draft.recipe.name if len(plan.drafts) > 1 else "" for draft in plan.drafts]
    seen = [views_of(draft, plan.episode.notions) for draft in plan.drafts]
    figures = [
        Figure(_label(view, name), _words(view, name, plan.episode.first_unit), view)
        for name, views in zip(called, seen, strict=True)
        for view in views
    ]
    if not figures:
        return flat_pieces(plan.pieces)
    left_out = [
        name
        for draft, views in zip(plan.drafts, seen, strict=True)
        for name in not_seen(draft, views)
    ]
    drawing = sized(svg.written(drawn(figures)), _WIDTH, _HEIGHT)
    return drawing + _not_drawn(left_out)


def _not_drawn(pieces: Sequence[str]) -> Markup:
    """Which pieces are missing from the drawing; a place is never made up."""
    if not pieces:
        return Markup()
    return Markup('<p class="small quiet">Not drawn, for the draft marks no place: {}.</p>').format(
        listed(pieces)
    )


def _label(view: GarmentView, called: str) -> str:
    """Under a view: which garment, where there are several, and which side."""
    side = _SIDES[view.side]
    if not called:
        return side
    return called if view.side in {"both", "flat"} else f"{called}, {side.lower()}"


def _words(view: GarmentView, called: str, first: System) -> str:
    """The view for those who cannot see it."""
    of = f"{called}, {_SIDES[view.side].lower()}" if called else _SIDES[view.side]
    wide, long = (both_as_cut(mm, first) for mm in view.body_mm)
    return f"{of}: {listed(view.pieces)}; the body is {wide} wide and {long} long."


def drawn(figures: Sequence[Figure]) -> Element:
    """The figures in a row, to one scale, their origins level."""
    boxes = [figure.view.bounds_mm for figure in figures]
    top, bottom = min(box[1] for box in boxes), max(box[3] for box in boxes)
    wide, high = sum(box[2] - box[0] for box in boxes), bottom - top
    room = (_WIDTH - _GAP * len(boxes), _HEIGHT - _LABEL - 2 * _MARGIN)
    scale = min(room[0] / max(wide, 1.0), room[1] / max(high, 1.0), _LARGEST)
    height = high * scale + _LABEL + 2 * _MARGIN
    words = " ".join(figure.words for figure in figures)
    root = svg.figure((0, 0, _WIDTH, height), "The finished garment, to scale", words)
    gap = (_WIDTH - wide * scale) / len(boxes)
    x = gap / 2
    for figure, (left, _, right, _) in zip(figures, boxes, strict=True):
        _draw(root, figure.view, scale, (x - left * scale, _MARGIN - top * scale))
        middle = x + (right - left) * scale / 2
        _name(root, figure.label, middle, height - 1.5)
        x += (right - left) * scale + gap
    return root


def _draw(root: Element, view: GarmentView, scale: float, shift: tuple[float, float]) -> None:
    def paper(points: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
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


def _name(root: Element, name: str, x: float, y: float) -> None:
    svg.add(
        root,
        "text",
        name,
        x=x,
        y=y,
        text_anchor="middle",
        font_size=3.4,
        font_family=FACE,
        fill=INK,
    )
