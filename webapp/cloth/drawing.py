"""Drawing a lay as a ruled plan, in millimetres, its length running across the page.

The cloth is turned by a quarter, never mirrored: a point (x, y) of the cloth is drawn at
(y, width as it lies - x), so that the grain runs from left to right and the lay starts on the left.
A fold along the cloth is its lower side then, a fold across its left one.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple
from xml.etree.ElementTree import Element

import shapely
from shapely import affinity

from webapp.cloth.laid import Lay, Placement
from webapp.cloth.lay_checks import matched_points
from webapp.cloth.offcuts import Offcut
from webapp.draft import svg
from webapp.draft.labels import LINE, text_width
from webapp.draft.outline import Point
from webapp.units import System, both

_TEXT: Final = 1 / 44  # of the longer side of the cloth
_LEAST_EM: Final = 26  # the page is at least this wide
_UPRIGHT: Final = 1.1  # so much higher than wide, its letters can be read as wide as a telephone
_LEFT_EM, _RIGHT_EM, _ABOVE_EM, _BELOW_EM = 3.4, 1.4, 3.0, 4.8
_NOTE_EM: Final = 1.4  # above all that
_PEN, _FINE = 0.09, 0.05  # em
_WASH: Final = {"cloth": 0.03, "piece": 0.1, "repeat": 0.35}  # how much of the ink tints them
_HATCH: Final = 0.35  # and how much of it the hatching of an offcut takes
_SIZES: Final = (1.0, 0.8, 0.65)  # em, the largest that fits its piece is written
_BASELINE_EM: Final = 0.36
_DRAWN_WITHIN_MM: Final = 0.3  # far finer than a pen line at any scale the drawing is shown at
# Named here too: the PDF renderer does not hand the page's fonts down to a drawing.
_FONT: Final = "'Source Sans 3', sans-serif"


@dataclass(frozen=True)
class _Words:
    """Lines of text around a centre, turned by some degrees."""

    lines: tuple[str, ...]
    em: float
    centre: Point
    turn: float = 0.0

    def box(self) -> shapely.Polygon:
        (x, y), across = self.centre, max(map(text_width, self.lines)) / 2 + 0.3
        down = len(self.lines) * LINE / 2
        box = shapely.box(
            x - across * self.em, y - down * self.em, x + across * self.em, y + down * self.em
        )
        return affinity.rotate(box, self.turn, origin=self.centre)


def draw_lay(
    lay: Lay,
    first: System,
    title: str,
    *,
    ink: str = "currentColor",
    offcuts: Sequence[Offcut] = (),
    lettering: float = _TEXT,
    note: str = "",
) -> str:
    """The lay as SVG: every piece named, cloth measured in both units, `first` leading.

    The root has a view box in millimetres and no size: the page decides how wide it stands, and
    knows by its class one that is `upright`.
    Offcuts are outlined with dashes and numbered from 1; those past the lay lengthen the cloth.
    `lettering` is the size of the letters, as a share of the longer side of the cloth. A `note`
    stands above it, and before its title and its words.
    """
    ground = _Ground.of(lay)
    far = max((ground.length, *(one.y_mm + one.length_mm for one in offcuts)))
    em = max(far, ground.bottom - ground.top) * lettering
    keys: list[str] = []
    pieces = [(_shape(lay, place), _said(lay, place)) for place in lay.placements]
    words = [_named(shape, name, em, keys) for shape, name in pieces]
    width = max(far + (_LEFT_EM + _RIGHT_EM) * em, _LEAST_EM * em)
    key_em = 1.3 * len(keys) + 0.6 * bool(keys)
    above_em = _ABOVE_EM + _NOTE_EM * bool(note)
    height = ground.bottom - ground.top + (above_em + _BELOW_EM + key_em) * em
    box = (-_LEFT_EM * em, ground.top - above_em * em, width, height)
    noted = (f"{note} · ", f"{note}. ") if note else ("", "")
    told = described(lay, first) + _marked(offcuts)
    root = svg.figure(box, noted[0] + title, noted[1] + told)
    if height > _UPRIGHT * width:
        root.set("class", "upright")
    _cloth(root, ground, em, ink)
    _repeats(root, lay, ground, em, ink)
    _grain(root, em, ground.top - 1.9 * em, ink, both_ways=not lay.cloth.one_way)
    _pieces(root, pieces, em, ink)
    if offcuts:
        _offcuts(root, ground, offcuts, em, ink)
    text = svg.add(root, "g", fill=ink, font_family=_FONT, text_anchor="middle")
    for label in (*words, *_cloth_words(lay, ground, first, em)):
        _write(text, label)
    if note:
        y = ground.top - _ABOVE_EM * em
        svg.add(root, "text", note, x=0.0, y=y, fill=ink, font_family=_FONT, font_weight="600",
                font_size=em)  # fmt: skip
    listed = svg.add(root, "g", fill=ink, font_family=_FONT, font_size=0.8 * em)
    for place, line in enumerate(keys):
        y = ground.bottom + (_BELOW_EM + 1.3 * place) * em
        svg.add(listed, "text", line, x=0.0, y=y)
    return svg.written(root)


def described(lay: Lay, first: System) -> str:
    """The drawing in words: the cloth, then the pieces in the order they lie along it."""
    in_order = sorted(lay.placements, key=lambda place: _shape(lay, place).bounds[0])
    names = ", ".join(_said(lay, place) for place in in_order)
    how = {
        "open": "Cloth laid open",
        "folded": "Cloth folded lengthwise, the fold below",
        "folded across": "Cloth folded across, the fold on the left",
    }[lay.cloth.laid]
    return (
        f"{how}, {both(lay.cloth.washed_width_mm, first)} from selvedge to selvedge; "
        f"the lay is {both(lay.length_mm, first)} of it long "
        f"and uses {lay.density * 100:.0f} % of it. "
        f"The grain runs from left to right. From the start on the left: {names}."
    )


class _Ground(NamedTuple):
    """The cloth as it is drawn: its length, its sides with the margins, and where its folds are."""

    length: float
    width: float
    top: float
    bottom: float
    free: tuple[float, ...]  # where a margin ends
    folded: str  # the side that is a fold: "", "bottom" or "left"

    @classmethod
    def of(cls, lay: Lay) -> "_Ground":
        width, margin = lay.cloth.laid_width_mm, lay.cloth.edge_margin_mm
        folded = {"open": "", "folded": "bottom", "folded across": "left"}[lay.cloth.laid]
        below = 0.0 if folded == "bottom" else margin
        free = (0.0, width)[: 1 if folded == "bottom" else 2] if margin else ()
        return cls(lay.laid_length_mm, width, -margin, width + below, free, folded)


def _shape(lay: Lay, place: Placement) -> shapely.Polygon:
    """The placed piece as it is drawn."""
    width = lay.cloth.laid_width_mm
    return shapely.Polygon([(y, width - x) for x, y in lay.placed_points(place)])


def _pieces(
    root: Element, pieces: Sequence[tuple[shapely.Polygon, str]], em: float, ink: str
) -> None:
    drawn = svg.add(
        root,
        "g",
        fill=ink,
        fill_opacity=_WASH["piece"],
        stroke=ink,
        stroke_width=_PEN * em,
        stroke_linejoin="round",
    )
    for shape, name in pieces:
        corners = shapely.get_coordinates(shape.simplify(_DRAWN_WITHIN_MM))[:-1].tolist()
        outline = svg.add(drawn, "path", d=svg.through(corners, closed=True))
        svg.add(outline, "title", name)


def _offcuts(
    root: Element, ground: _Ground, offcuts: Sequence[Offcut], em: float, ink: str
) -> None:
    """The offcuts, dashed and numbered, and the cloth they lie on past the end of the lay."""
    width = ground.width
    far = max(one.y_mm + one.length_mm for one in offcuts)
    drawn = svg.add(root, "g", fill="none", stroke=ink, stroke_width=_PEN * em)
    if far > ground.length:
        for edge in (ground.top, ground.bottom):
            side = svg.through(((ground.length, edge), (far + 0.9 * em, edge)))
            svg.add(drawn, "path", d=side, stroke_width=1.6 * _PEN * em)
        svg.add(drawn, "path", d=svg.through(((far, ground.top), (far, ground.bottom))))
    dashes = f"{svg.number(0.7 * em)} {svg.number(0.3 * em)}"
    text = svg.add(root, "g", fill=ink, font_family=_FONT, text_anchor="middle")
    for number, one in enumerate(offcuts, start=1):
        x, y = one.y_mm, width - one.x_mm - one.width_mm
        box = shapely.box(x, y, x + one.length_mm, y + one.width_mm)
        across, along = one.width_mm, one.length_mm
        svg.add(drawn, "rect", x=x, y=y, width=along, height=across, stroke_dasharray=dashes)
        hatch = " ".join(svg.through(line) for line in _hatched(box, 1.2 * em))
        svg.add(drawn, "path", d=hatch, stroke_width=_FINE * em, stroke_opacity=_HATCH)
        label = next(
            (way for way in _ways(box, f"Offcut {number}", em) if box.contains(way.box())), None
        )
        if label is None:  # a bare number would be taken for that of a piece in the key
            middle = (x + along / 2, y + across / 2)
            label = _Words((str(number),), _SIZES[-1] * em, middle)
            svg.add(drawn, "circle", cx=middle[0], cy=middle[1], r=0.9 * label.em)
        _write(text, label)


def _hatched(box: shapely.Polygon, apart: float) -> Iterator[tuple[Point, Point]]:
    """Lines that rise to the right across the box, as on a plan where nothing stands."""
    left, top, right, bottom = box.bounds
    first, last = math.ceil((left + top) / apart), math.floor((right + bottom) / apart)
    for place in range(first, last + 1):
        total = place * apart  # x + y is the same all along the line
        low, high = max(left, total - bottom), min(right, total - top)
        if low < high:
            yield (low, total - low), (high, total - high)


def _marked(offcuts: Sequence[Offcut]) -> str:
    if not offcuts:
        return ""
    if len(offcuts) == 1:
        return " One offcut is outlined with dashes."
    return f" {len(offcuts)} offcuts are outlined with dashes and numbered."


def _said(lay: Lay, place: Placement) -> str:
    """The copy by name; of two layers both that are cut, or that only one is wanted."""
    piece = next(piece for piece in lay.pieces if piece.name == place.name)
    which = f" {place.copy + 1} of {piece.count}" if piece.count > 1 else ""
    if lay.cloth.on_fold(piece):
        return f"{place.name}{which}, on the fold"
    if lay.cloth.layers == 2:
        if place.copy + 1 == piece.count:
            return f"{place.name}{which}, only one"
        return f"{place.name} {place.copy + 1} and {place.copy + 2} of {piece.count}"
    over = ", other hand" if piece.pair else ", face down"
    return f"{place.name}{which}{over if place.flipped else ''}"


def _named(shape: shapely.Polygon, name: str, em: float, keys: list[str]) -> _Words:
    """The name where it fits inside the piece, else a number, with the name in the key."""
    shapely.prepare(shape)
    for label in _ways(shape, name, em):
        if shape.contains(label.box()):
            return label
    number = str(len(keys) + 1)
    keys.append(f"{number}  {name}")
    return _Words((number,), _SIZES[-1] * em, _middles(shape)[1])


def _ways(shape: shapely.Polygon, name: str, em: float) -> Iterator[_Words]:
    middles = _middles(shape)
    for size in _SIZES:
        for lines in _broken(name):
            for turn in (0.0, -90.0, _lie(shape)):
                for middle in middles:
                    yield _Words(lines, size * em, middle, turn)


def _broken(name: str) -> list[tuple[str, ...]]:
    """The name on one line, and on two broken nearest to its middle."""
    spaces = [i for i, char in enumerate(name) if char == " "]
    if not spaces:
        return [(name,)]
    at = min(spaces, key=lambda i: abs(2 * i + 1 - len(name)))
    return [(name,), (name[:at], name[at + 1 :])]


def _middles(shape: shapely.Polygon) -> list[Point]:
    """The centre of gravity, and the middle of the widest place."""
    widest = shapely.maximum_inscribed_circle(shape, tolerance=1.0).coords[0]
    return [(shape.centroid.x, shape.centroid.y), (widest[0], widest[1])]


def _lie(shape: shapely.Polygon) -> float:
    """The slope of the piece's longer side, in degrees from -90 to 90."""
    corners = shapely.get_coordinates(shape.minimum_rotated_rectangle)
    sides = [complex(*(corners[i + 1] - corners[i])) for i in (0, 1)]
    longer = max(sides, key=abs)
    return math.degrees(math.atan(longer.imag / longer.real)) if longer.real else -90.0


def _cloth(root: Element, ground: _Ground, em: float, ink: str) -> None:
    """The cloth, its sides and ends, the margin at each selvedge, and the measuring lines."""
    length, top, bottom = ground.length, ground.top, ground.bottom
    svg.add(
        root,
        "rect",
        x=0.0,
        y=top,
        width=length,
        height=bottom - top,
        fill=ink,
        fill_opacity=_WASH["cloth"],
    )
    pen = svg.add(root, "g", fill="none", stroke=ink, stroke_linecap="round")
    for edge in (top, bottom):
        line = ((-0.4 * em, edge), (length + 0.9 * em, edge))
        svg.add(pen, "path", d=svg.through(line), stroke_width=1.6 * _PEN * em)
    if ground.folded:  # a second line inside, where the layer below turns up
        inside = 0.35 * em
        line = ((-0.4 * em, bottom + inside), (length + 0.9 * em, bottom + inside))
        if ground.folded == "left":
            line = ((-inside, top), (-inside, bottom))
        svg.add(pen, "path", d=svg.through(line), stroke_width=_PEN * em)
    fine = svg.add(pen, "g", stroke_width=_FINE * em)
    svg.add(fine, "path", d=svg.through(((0, top), (0, bottom))))
    dashes = f"{svg.number(0.5 * em)} {svg.number(0.35 * em)}"
    far = [((length, top), (length, bottom))]
    free = [((0, edge), (length, edge)) for edge in ground.free]
    for dashed in far + free:
        svg.add(fine, "path", d=svg.through(dashed), stroke_dasharray=dashes)
    below, left = bottom + 2.4 * em, -1.0 * em
    for line in (((0, below), (length, below)), ((left, top), (left, bottom))):
        svg.add(fine, "path", d=_measured(line[0], line[1], em))


def _repeats(root: Element, lay: Lay, ground: _Ground, em: float, ink: str) -> None:
    """Where the match points fall on the repeats, as faint lines over the whole cloth."""
    points = matched_points(lay)
    if not points:
        return
    (x, y), width = points[0], lay.cloth.laid_width_mm
    pen = svg.add(root, "g", stroke=ink, stroke_width=_FINE * em, stroke_opacity=_WASH["repeat"])
    for at in _every(lay.cloth.repeat_length_mm, y, ground.length):
        svg.add(pen, "path", d=svg.through(((at, ground.top), (at, ground.bottom))))
    for at in _every(lay.cloth.repeat_width_mm, x, width):
        svg.add(pen, "path", d=svg.through(((0.0, width - at), (ground.length, width - at))))


def _every(repeat: float, through: float, length: float) -> Iterator[float]:
    """Places a repeat apart from 0 to a length, one of them at that place."""
    at = through % repeat if repeat else math.inf
    while at <= length:
        yield at
        at += repeat


def _measured(start: Point, end: Point, em: float) -> str:
    """A measuring line with a slanted tick at each end, as on a building plan."""
    tick = 0.3 * em
    ticks = (svg.through(((x - tick, y + tick), (x + tick, y - tick))) for x, y in (start, end))
    return " ".join((svg.through((start, end)), *ticks))


def _grain(root: Element, em: float, y: float, ink: str, *, both_ways: bool) -> None:
    """The grain arrow above the cloth; one head when all pieces must lie the same way up."""
    start, end, head = 3.4 * em, 7.4 * em, 0.6 * em
    svg.add(
        root,
        "path",
        d=svg.through(((start, y), (end, y))),
        fill="none",
        stroke=ink,
        stroke_width=_FINE * em,
    )
    tips = [(end, end - head), (start, start + head)][: 2 if both_ways else 1]
    heads = [((tip, y), (back, y - 0.35 * head), (back, y + 0.35 * head)) for tip, back in tips]
    svg.add(root, "path", d=" ".join(svg.through(h, closed=True) for h in heads), fill=ink)


def _cloth_words(lay: Lay, ground: _Ground, first: System, em: float) -> Iterator[_Words]:
    """The names of the sides, and both measures; of two layers those of the cloth opened out."""
    length, cloth = ground.length, lay.cloth
    washed = " after washing" if cloth.shrink_width or cloth.shrink_length else ""
    selvedge = max(min(length / 2, length - 2.6 * em), 2.2 * em)
    sides = ["two selvedges", "fold"] if ground.folded == "bottom" else ["selvedge", "selvedge"]
    yield _Words(("grain",), 0.8 * em, (1.6 * em, ground.top - 1.9 * em))
    yield _Words((sides[0],), 0.8 * em, (selvedge, ground.top - 0.6 * em))
    yield _Words((sides[1],), 0.8 * em, (selvedge, ground.bottom + 0.9 * em))
    if ground.folded == "left":
        yield _Words(("fold",), 0.8 * em, (1.6 * em, ground.bottom + 0.9 * em))
    middle = max(length / 2, 0.5 * (_LEAST_EM - _LEFT_EM - _RIGHT_EM) * em)
    along = both(length, first) + (
        " folded, " + both(lay.length_mm, first) + " in all" if ground.folded == "left" else ""
    )
    yield _Words((along + washed,), em, (middle, ground.bottom + 3.3 * em))
    across = both(cloth.washed_width_mm, first)
    if ground.folded == "bottom":
        across = f"{both(cloth.washed_width_mm / 2, first)} folded"
    yield _Words((across + washed,), em, (-2.0 * em, (ground.top + ground.bottom) / 2), -90.0)


def _write(parent: Element, words: _Words) -> None:
    x, y = words.centre
    for place, line in enumerate(words.lines):
        down = ((place - (len(words.lines) - 1) / 2) * LINE + _BASELINE_EM) * words.em
        text = svg.add(parent, "text", line, x=x, y=y + down, font_size=words.em)
        if words.turn:
            turn = " ".join(map(svg.number, (words.turn, x, y)))
            text.set("transform", f"rotate({turn})")
