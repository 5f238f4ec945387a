"""How the markings of a piece are drawn: notch ticks, drill holes, lines, and their names."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

import shapely

from webapp.draft.allowances import NONE
from webapp.draft.labels import Label
from webapp.draft.markings import DrillHole, MarkedLine, Marking, Notch
from webapp.draft.outline import Point
from webapp.draft.results import Piece
from webapp.draft.sewn import along_mm

Line = tuple[Point, ...]

_ROOM_EM: Final = 0.35  # between a mark and words
_COARSE: Final = 2  # corners of a quarter circle: enough to keep words off a mark
_PLACES: Final = (0.5, 0.3, 0.7, 0.1, 0.9)  # shares of a mark's side
_LOST_MM: Final = 0.1  # a tick along the cut line itself, as at a fold, may seem to leave it
_CROSS: Final = 1.6  # how far the arms of a hole's cross reach, in its radii


@dataclass(frozen=True)
class MarkSizes:
    """How large marks without a size of their own are drawn, mm."""

    inwards_mm: float  # a notch on an edge without an allowance
    apart_mm: float  # the two ticks of a double notch
    radius_mm: float  # a drill hole

    @classmethod
    def beside_text(cls, em: float) -> "MarkSizes":
        """Sizes that can be seen beside text of that size."""
        return cls(0.7 * em, 0.5 * em, 0.25 * em)


# Snips of 6 mm, 6 mm apart (1/4 in): common practice, no source.
TRUE_TO_SCALE: Final = MarkSizes(6.0, 6.0, 2.5)


def notch_ticks(piece: Piece, notch: Notch, sizes: MarkSizes) -> Iterator[tuple[Point, Point]]:
    """From the seam line out to the cut line, or inwards from an edge without an allowance.

    One tick, or two for a double notch.
    """
    edge = piece.outline.edge(notch.edge)
    added = piece.allowances.get(edge.name, NONE).total_mm
    reach = added or -sizes.inwards_mm
    half = min(sizes.apart_mm, edge.length_mm) / 2 if notch.double else 0.0
    middle = min(max(along_mm(edge, notch.at), half), edge.length_mm - half)
    cloth = shapely.Polygon(piece.cut_points)
    for along in (middle - half, middle + half) if notch.double else (middle,):
        (x, y), (ux, uy) = edge.at(along)
        end = (x + reach * uy, y - reach * ux)
        # The cut line may be nearer: beside a corner that turns in.
        on_cloth = shapely.intersection(cloth, shapely.LineString([(x, y), end]))
        met = [(px, py) for px, py in shapely.get_coordinates(on_cloth).tolist()]
        far = max(met, key=partial(math.dist, (x, y)), default=end)
        yield (x, y), far if math.dist((x, y), far) > _LOST_MM else end


def hole_cross(hole: DrillHole, radius_mm: float) -> tuple[Line, Line]:
    """The cross through a drill hole's circle."""
    (x, y), arm = hole.at, _CROSS * radius_mm
    return ((x - arm, y), (x + arm, y)), ((x, y - arm), (x, y + arm))


def room_beside(piece: Piece, em: float, *, inside_marks: bool = False) -> shapely.Geometry:
    """The piece inside its seam line without what words would lie on.

    That is the surroundings of every mark; and, unless `inside_marks`, what pockets and darts hold.
    """
    whole = shapely.Polygon(piece.seam_points)
    if not piece.markings:
        return whole
    areas: list[shapely.Geometry] = []
    for mark in piece.markings:
        if isinstance(mark, Notch):
            ticks = notch_ticks(piece, mark, MarkSizes.beside_text(em))
            areas += [shapely.LineString(tick) for tick in ticks]
        else:
            area = _area(mark, em)
            hollow = inside_marks and isinstance(area, shapely.Polygon)
            areas.append(shapely.boundary(area) if hollow else area)
    marks = shapely.buffer(shapely.union_all(areas), _ROOM_EM * em, quad_segs=_COARSE)
    return shapely.difference(whole, marks)


def mark_names(piece: Piece, em: float, space: shapely.Geometry) -> Iterator[Label]:
    """The names of lines and holes, each once, in the space that is left; none without room."""
    for name, marks in grouped(piece.markings).items():
        label = Label((name,), em)
        area = shapely.union_all([_area(mark, em) for mark in marks])
        places = _beside(area, label, inside=len(marks) == 1)
        boxes = [label.at(*place).box() for place in places]
        fits = shapely.contains_properly(space, boxes)
        if fits.any():
            placed = label.at(*places[int(fits.argmax())])  # the first
            space = shapely.difference(space, placed.box(0.3))
            yield placed


def grouped(markings: Sequence[Marking]) -> dict[str, list[MarkedLine | DrillHole]]:
    """Lines and holes by name: a row counts as one, a hole belongs to the line it is named for."""
    groups: dict[str, list[MarkedLine | DrillHole]] = {}
    for mark in markings:
        if isinstance(mark, MarkedLine):
            groups.setdefault(mark.name.rstrip(" 0123456789") or mark.name, []).append(mark)
    lines = tuple(f"{name} " for name in groups)
    for mark in markings:
        if isinstance(mark, DrillHole) and not mark.name.startswith(lines):
            groups.setdefault(mark.name, []).append(mark)
    return groups


def marked_words(markings: Iterable[Marking]) -> str:
    """The markings as a list in words; nothing when there are none."""
    every = list(markings)
    notches = [mark for mark in every if isinstance(mark, Notch)]
    told = [
        f"{mark.name}, a {'double ' if mark.double else ''}notch on the {mark.edge}"
        for mark in notches
    ]
    return "; ".join((*told, *grouped(every)))


def _area(mark: MarkedLine | DrillHole, em: float) -> shapely.Geometry:
    if isinstance(mark, DrillHole):
        reach = _CROSS * MarkSizes.beside_text(em).radius_mm
        return shapely.buffer(shapely.Point(mark.at), reach, quad_segs=_COARSE)
    if mark.kind in ("dart", "pocket"):
        return shapely.Polygon(mark.points)
    return shapely.LineString(mark.points)


def _beside(area: shapely.Geometry, label: Label, *, inside: bool) -> list[Point]:
    """Centres for the label: in the middle, then on each side, from the middle outwards."""
    left, top, right, bottom = (float(side) for side in shapely.bounds(area))
    (wide, high), gap = label.size, 2 * _ROOM_EM * label.em
    across, down = wide / 2 + gap, high / 2 + gap
    places = [((left + right) / 2, (top + bottom) / 2)] if inside else []
    for share in _PLACES:
        x, y = left + share * (right - left), top + share * (bottom - top)
        places += [(right + across, y), (left - across, y), (x, bottom + down), (x, top - down)]
    return places
