"""What a drawing of a piece says: fold bracket, grain arrow, names, edge lengths, cut size."""

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final, NamedTuple

import shapely

from webapp.draft.allowances import NONE
from webapp.draft.evaluate import Piece
from webapp.draft.labels import Label, placed_beside, roomiest
from webapp.draft.mark_lines import mark_names, room_beside
from webapp.draft.outline import Edge, Point
from webapp.units import System, both_as_cut

_NARROWEST: Final = 0.8  # width over height of a drawing, so that a long piece fits a page
_MARGIN_EM: Final = 0.6


@dataclass
class Marks:
    """Everything drawn besides the piece's own lines, mm; `em` is the text size."""

    em: float
    labels: list[Label] = field(default_factory=list)
    lines: list[list[Point]] = field(default_factory=list)
    heads: list[list[Point]] = field(default_factory=list)  # filled arrowheads
    frame: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)  # x, y, width, height

    def arrow(self, start: Point, end: Point) -> None:
        """A head at the end of the line from `start`, small enough for a short line."""
        length = math.dist(start, end)
        size = min(0.7 * self.em, 0.4 * length)
        ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
        x, y = end[0] - size * ux, end[1] - size * uy
        wide = 0.3 * size
        self.heads.append([end, (x - wide * uy, y + wide * ux), (x + wide * uy, y - wide * ux)])


def marked(
    piece: Piece, first: System, em: float, *, lengths: bool = True, turned_over: bool = False
) -> Marks:
    """All marks of a piece at a text size, none on top of another; no figures unless `lengths`.

    Where its half is `turned_over` instead of laid on a fold, it says so.
    """
    marks = Marks(em)
    cut = shapely.Polygon(piece.cut_points)
    space = room_beside(piece, em)
    folded = shapely.Polygon()
    if piece.on_fold:
        folded = fold_marks(piece, marks, fits_in=cut, called="centre" if turned_over else "fold")
    space = shapely.difference(space, folded)
    cut_how = cut_words(piece, turned_over=turned_over).replace(" for its", "\nfor its").split("\n")
    name = Label((piece.name, *cut_how), em, bold_first=True)
    inside = roomiest(space, *(side + 0.6 * em for side in name.size))
    if inside:
        name = name.at(*inside)
        marks.labels.append(name)
        space = shapely.difference(space, name.box(0.3))
    shown = grain_marks(piece, marks, space, at_least=0.0 if inside else 1.5 * em)
    marks.labels += _mark_names(
        piece, em, (folded, *(label.box(0.3) for label in marks.labels), _around_lines(marks))
    )
    _edge_labels(piece, first, marks, cut, lengths)
    if lengths:
        _cut_size(piece, first, marks)
    if not inside:
        name = name.at(cut.centroid.x, _bounds(marks, cut)[1] - 0.5 * em - name.size[1] / 2)
        marks.labels.append(name)
        if not shown:
            beside = name.centre[0] + name.size[0] / 2 + 1.6 * em
            _grain_arrow(piece, marks, (beside, name.centre[1]), 2 * em)
    marks.frame = _frame(_bounds(marks, cut), em)
    return marks


class Inside(NamedTuple):
    """What is drawn and written inside a piece that is true to scale."""

    fold: Marks
    grain: Marks
    labels: list[Label]  # the piece's name, then those of its marks


def inside_marks(piece: Piece, largest_em: float) -> Inside:
    """Fold marks, grain marks and names, all inside the piece, in the largest text that fits."""
    cut = shapely.Polygon(piece.cut_points)
    for share in (1.0, 0.7, 0.5, 0.35, 0.25):
        em = share * largest_em
        fold, grain = Marks(em), Marks(em)
        folded = fold_marks(piece, fold, fits_in=cut) if piece.on_fold else shapely.Polygon()
        space = shapely.difference(room_beside(piece, em), folded)
        two = Label((piece.name, cut_words(piece)), em, bold_first=True)
        one = Label((f"{piece.name}, {cut_words(piece)}",), em)
        for label in (two, one):
            centre = roomiest(space, *(side + 0.4 * em for side in label.size))
            if centre:
                name = label.at(*centre)
                space = shapely.difference(space, name.box(0.3))
                grain_marks(piece, grain, space)
                taken = (folded, name.box(0.3), _around_lines(grain))
                others = _mark_names(piece, em, taken)
                return Inside(fold, grain, [name, *others])
    grain_marks(piece, grain, space)
    middle = cut.representative_point()
    return Inside(fold, grain, [one.at(middle.x, middle.y)])


def _mark_names(piece: Piece, em: float, taken: Iterable[shapely.Geometry]) -> list[Label]:
    if not piece.markings:
        return []
    room = room_beside(piece, em, inside_marks=True)
    return list(mark_names(piece, em, shapely.difference(room, shapely.union_all([*taken]))))


def _around_lines(marks: Marks) -> shapely.Geometry:
    return shapely.buffer(shapely.MultiLineString(marks.lines), 0.5 * marks.em, quad_segs=2)


def cut_words(piece: Piece, *, turned_over: bool = False) -> str:
    """How many to cut, and whether on the bias: else the arrow says how the piece lies."""
    how = how_cut(piece, turned_over=turned_over)
    bias = " on the bias" if piece.grain == "bias" else ""
    return f"cut {piece.cut_count}{how}{',' if how and bias else ''}{bias}"


def how_cut(piece: Piece, *, turned_over: bool = False) -> str:
    """What follows the number to cut: on the fold, or a left and a right.

    A half is `turned_over` along its centre line where it does not lie on a fold of the cloth.
    """
    if piece.pair:
        each = piece.cut_count // 2
        return ", a left and a right" if each == 1 else f", {each} left and {each} right"
    if not piece.on_fold:
        return ""
    return ", turned over for its other half" if turned_over else " on the fold"


def fold_marks(
    piece: Piece, marks: Marks, *, fits_in: shapely.Polygon, called: str = "fold"
) -> shapely.Geometry:
    """The bent bracket whose two heads point at the fold, and the word; returns their area."""
    em = marks.em
    fold = next((edge for edge in piece.outline if edge.on_fold), None)
    if fold is None:
        return shapely.Polygon()
    low, high = sorted((fold.start[1], fold.end[1]))
    middle, half = (low + high) / 2, min(0.3 * (high - low), 8 * em)
    x = min(1.2 * em, piece.cut_size_mm[0] / 4)
    top, bottom = (x, middle - half), (x, middle + half)
    tips = [(0.0, middle - half), (0.0, middle + half)]
    marks.lines.append([tips[0], top, bottom, tips[1]])
    marks.arrow(top, tips[0])
    marks.arrow(bottom, tips[1])
    word = Label((called,), em, upright=True)
    word = word.at(x + 0.7 * em, middle)
    if shapely.covers(fits_in, word.box(0.1)):
        marks.labels.append(word)
    reach = x + 1.5 * em
    return shapely.box(0, middle - half - 0.4 * em, reach, middle + half + 0.4 * em)


def grain_marks(
    piece: Piece, marks: Marks, space: shapely.Geometry, *, at_least: float = 0.0
) -> bool:
    """The double arrow along the grain where the piece has most room; False if it has none."""
    dx, dy = _grain_way(piece)
    length = 0.5 * max(piece.cut_size_mm)
    while length >= max(at_least, 1.0):
        wide = min(0.6 * marks.em, 0.3 * length)
        centre = roomiest(space, length * dx + wide, length * dy + wide)
        if centre:
            _grain_arrow(piece, marks, centre, length)
            return True
        length *= 0.75
    return False


def _grain_way(piece: Piece) -> Point:
    turn = math.radians({"along": 90.0, "across": 0.0, "bias": 45.0}[piece.grain])
    return math.cos(turn), math.sin(turn)


def _grain_arrow(piece: Piece, marks: Marks, centre: Point, length: float) -> None:
    (x, y), (dx, dy) = centre, _grain_way(piece)
    low = (x - length / 2 * dx, y + length / 2 * dy)
    high = (x + length / 2 * dx, y - length / 2 * dy)
    marks.lines.append([low, high])
    marks.arrow(low, high)
    marks.arrow(high, low)


def _edge_labels(
    piece: Piece, first: System, marks: Marks, cut: shapely.Polygon, lengths: bool
) -> None:
    """Each edge's name, and its length if wanted, outside the cut line."""
    requests = [
        (
            Label(
                _edge_words(piece, edge, first) if lengths else (edge.name,),
                marks.em,
                italic_first=True,
            ),
            edge,
            piece.allowances.get(edge.name, NONE).total_mm,
        )
        for edge in piece.outline
    ]
    marks.labels += placed_beside(cut, requests)


def edge_lengths(piece: Piece, edge: Edge, first: System) -> tuple[str, ...]:
    """The length of an edge; where darts, pleats or gathers take it up, as drawn and as sewn."""
    sewn = both_as_cut(piece.shown_mm.get(edge.name, edge.sewn_mm), first)
    if not edge.taken_mm:
        return (sewn,)
    return both_as_cut(edge.length_mm, first), f"sewn to {sewn}"


def _edge_words(piece: Piece, edge: Edge, first: System) -> tuple[str, ...]:
    """Name and length: on two lines above and below a piece, on three beside it."""
    lengths = edge_lengths(piece, edge, first)
    (x0, y0), (x1, y1) = edge.start, edge.end
    if abs(x1 - x0) > abs(y1 - y0):
        return (edge.name, *lengths)
    parts = [shown.replace(" (", "\n(").split("\n") for shown in lengths]
    return (edge.name, *itertools.chain.from_iterable(parts))


def _cut_size(piece: Piece, first: System, marks: Marks) -> None:
    """The overall length on the left and the overall width below, with ticks at their ends."""
    em, (width, height) = marks.em, piece.cut_size_mm
    left, _, _, bottom = _bounds(marks, shapely.Polygon(piece.cut_points))
    x, y = left - 1.1 * em, bottom + 1.1 * em
    points = [(round(x, 3), round(y, 3)) for x, y in piece.cut_points]
    past, gap, tick = 0.4 * em, 0.3 * em, 0.3 * em
    # Of several outermost points the one nearest to the dimension line.
    ends = [min(points, key=lambda p: (p[1], p[0])), min(points, key=lambda p: (-p[1], p[0]))]
    for px, py in ends:
        _extension(marks, (px - gap, py), (x - past, py))
    sides = [min(points, key=lambda p: (p[0], -p[1])), min(points, key=lambda p: (-p[0], -p[1]))]
    for px, py in sides:
        _extension(marks, (px, py + gap), (px, y + past))
    upright, level = [(x, py) for _, py in ends], [(px, y) for px, _ in sides]
    marks.lines += [upright, level]
    for px, py in (*upright, *level):
        marks.lines.append([(px - tick, py + tick), (px + tick, py - tick)])
    length = Label((f"cut size {both_as_cut(height, first)}",), em, upright=True)
    if length.size[1] > height:
        one, other = both_as_cut(height, first).split(" (")
        length = Label(("cut size", one, f"({other}"), em)
    middle = (upright[0][1] + upright[1][1]) / 2
    marks.labels.append(length.at(x - 0.4 * em - length.size[0] / 2, middle))
    across = Label((f"cut size {both_as_cut(width, first)}",), em)
    middle = (level[0][0] + level[1][0]) / 2
    marks.labels.append(across.at(middle, y + 0.4 * em + across.size[1] / 2))


def _extension(marks: Marks, start: Point, end: Point) -> None:
    """A line from the piece out to a dimension line, broken where a label stands."""
    labels = shapely.union_all([label.box(0.3) for label in marks.labels])
    for part in shapely.get_parts(shapely.LineString([start, end]) - labels):
        marks.lines.append([(float(x), float(y)) for x, y in part.coords])


def _bounds(marks: Marks, cut: shapely.Polygon) -> tuple[float, float, float, float]:
    boxes = [label.box() for label in marks.labels]
    points = itertools.chain.from_iterable(marks.lines)
    left, top, right, bottom = shapely.total_bounds([cut, *boxes, shapely.MultiPoint([*points])])
    return float(left), float(top), float(right), float(bottom)


def _frame(
    around: tuple[float, float, float, float], em: float
) -> tuple[float, float, float, float]:
    left, top, right, bottom = around
    margin = _MARGIN_EM * em
    height = bottom - top + 2 * margin
    width = max(right - left + 2 * margin, _NARROWEST * height)
    return ((left + right - width) / 2, top - margin, width, height)
