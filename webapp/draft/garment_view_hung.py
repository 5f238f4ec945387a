"""How each piece hangs: what bends it, told by its seams, its markings and the elastic in it."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Final

import numpy as np
import shapely

from webapp.draft.garment_view_parts import Garment, is_half, is_strip, strip_mm
from webapp.draft.garment_view_sewn import (
    FAR,
    Bend,
    Drawn,
    Flare,
    LegsApart,
    Points,
    Sewn,
    TakenUp,
    dart_closed,
    dart_mm,
    darts_of,
    flare_of,
    lines_on,
    mirrored,
    straightened,
)
from webapp.draft.outline import Edge, Point, bounds
from webapp.draft.results import Piece

Pulled = Mapping[tuple[str, str], float]  # by piece and edge: the share elastic draws it up to

_TAKEN: Final = 0.985  # a share nearer to 1 shows nothing
_FORK_MM: Final = 5.0  # a crotch reaches further past the centre line
_LEGS_APART: Final = 0.035  # half the gap between the hems, of the inside leg; by eye
_BOUND_MM: Final = 8.0  # how wide a binding is seen where the draft has no piece for it


def hung(garment: Garment, piece: Piece, pulled: Pulled, hangs: float | None = None) -> Sewn:
    """The piece as it hangs; `hangs` is the slant of the sides where front and back share one."""
    sewn = Sewn(piece, is_half(piece), own_lines=tuple(lines_on(piece, _bound_mm(garment, piece))))
    bends: list[Bend] = []
    lines: list[Drawn] = list(sewn.own_lines)
    _, _, right, _ = bounds(piece.seam_points)
    if _turned_over(garment, piece):
        bends.append(mirrored(right))
    trimmed = None
    centre = _sewn_centre(garment, piece)
    if centre is not None:
        bends.append(straightened(np.asarray(centre.points())))
        trimmed = shapely.box(0, -FAR, FAR, FAR)
        legs = _legs(piece, centre)
        if legs is not None:
            bends.append(legs)
            trimmed = legs.seen
    kept, narrowed = _boxed(garment, piece)
    bends += narrowed
    for edge in piece.outline:
        bends += [dart_closed(mark, _pivot(sewn, edge)[0]) for mark in darts_of(piece, edge)]
    flare = _flare(garment, sewn, pulled, hangs)
    if flare:
        bends.append(flare)
        lines += flare.strokes()
    for taken in _taken_up(replace(sewn, bends=tuple(bends)), pulled, centre):
        if not flare:
            bends.append(taken)
        lines += taken.strokes()
    return replace(sewn, bends=tuple(bends), own_lines=tuple(lines), kept=kept, trimmed=trimmed)


def top_edges(garment: Garment, piece: Piece) -> list[Edge]:
    """What of a body piece is open at its top: from the centre to the first seam of its side."""
    edges = list(piece.outline.edges)
    joined = {
        join.one.edge
        for join in garment.of(piece.name)
        if _goes_on(garment, piece, join.other.piece)
    }
    centre = set(garment.centre_edges(piece))
    if not is_half(piece):
        return [min(edges, key=lambda edge: (edge.start[1] + edge.end[1], -edge.length_mm))]
    start = next((place for place, edge in enumerate(edges) if edge.name in centre), None)
    if start is None:
        start = next(
            (place for place, edge in enumerate(edges) if _is_hem(piece, edge)), len(edges) - 1
        )
    around = edges[start + 1 :] + edges[:start]
    found: list[Edge] = []
    for edge in around:
        if edge.name in joined or (_is_hem(piece, edge) and found):
            break
        found.append(edge)
    return found


def side_edge(garment: Garment, piece: Piece) -> Edge | None:
    """The first edge, clockwise from the centre, that is sewn to the other side of the body."""
    tops = top_edges(garment, piece)
    if not tops:
        return None
    edge = piece.outline.after(tops[-1].name)
    return None if edge.name in garment.centre_edges(piece) else edge


def _goes_on(garment: Garment, piece: Piece, other: str) -> bool:
    """True when a seam leads to another part of the body, and not to a band along an edge."""
    return other != piece.name and not is_strip(garment.piece(other))


def _is_hem(piece: Piece, edge: Edge) -> bool:
    return piece.finishes[edge.name].kind.endswith("hem") if edge.name in piece.finishes else False


def _turned_over(garment: Garment, piece: Piece) -> bool:
    """True for a half that is drawn with its centre on the right."""
    if piece.on_fold or not is_half(piece):
        return False
    left, _, right, _ = bounds(piece.seam_points)
    named = garment.centre_edges(piece) or tuple(
        edge.name for edge in piece.outline if {"centre", "center"} & set(edge.name.lower().split())
    )
    if not named:
        return False
    xs = [x for name in named for x, _ in piece.outline.edge(name).points()]
    return sum(xs) / len(xs) > (left + right) / 2


def _sewn_centre(garment: Garment, piece: Piece) -> Edge | None:
    """The edge of a left or right half that is sewn to the other half."""
    if piece.on_fold or _turned_over(garment, piece):
        return None
    names = garment.centre_edges(piece)
    return piece.outline.edge(names[0]) if names else None


def _pivot(sewn: Sewn, edge: Edge) -> Point:
    """What stays in its place when an edge is drawn up: the centre of the body."""
    (x0, y0), (x1, y1) = edge.start, edge.end
    if not sewn.half:
        return ((x0 + x1) / 2, (y0 + y1) / 2)
    return edge.start if x0 <= x1 else edge.end


def _taken_up(sewn: Sewn, pulled: Pulled, centre: Edge | None) -> Iterator[TakenUp]:
    """The edges that are gathered, pleated or drawn up on elastic."""
    _, top, _, bottom = bounds(sewn.piece.seam_points)
    for edge in sewn.piece.outline:
        darts = sum(dart_mm(edge, mark) for mark in darts_of(sewn.piece, edge))
        share = (edge.length_mm - edge.taken_mm) / max(edge.length_mm - darts, 1.0)
        share = min(share, 1.0) * pulled.get((sewn.piece.name, edge.name), 1.0)
        if not 0 < share < _TAKEN:
            continue
        depth = bottom - top
        if centre is not None:
            ys = [y for _, y in centre.points()]
            depth = max(ys) - min(ys)
        x, y = sewn.bent([_pivot(sewn, edge)])[0]
        yield TakenUp(edge, share, (x, y), _along(sewn, edge), max(depth, 1.0))


def _along(sewn: Sewn, edge: Edge) -> Points:
    """Which way an edge is drawn up: level for the top of a half, so that its centre stays."""
    start, end = sewn.bent([edge.start, edge.end])
    way = (end - start) / (np.hypot(*(end - start)) or 1.0)
    level = sewn.half and abs(way[0]) > abs(way[1])
    return np.array((math.copysign(1.0, way[0]), 0.0)) if level else way


def _legs(piece: Piece, centre: Edge) -> LegsApart | None:
    """Trouser legs: a centre seam that runs out into a fork, and below it an inside leg."""
    fork = min(centre.points())
    inside = piece.outline.before(centre.name)
    foot = inside.start
    if fork[0] > -_FORK_MM or math.dist(fork, centre.start) > 1 or foot[1] <= fork[1]:
        return None
    return LegsApart(fork[1], foot[1], foot[0], _LEGS_APART * (foot[1] - fork[1]))


def _flare(garment: Garment, sewn: Sewn, pulled: Pulled, hangs: float | None) -> Flare | None:
    """The flare of half a skirt, whose waist may be drawn up too."""
    if not sewn.piece.on_fold:
        return None
    tops, side = top_edges(garment, sewn.piece), side_edge(garment, sewn.piece)
    if len(tops) != 1 or side is None or not side.is_straight:
        return None
    top = tops[0]
    _, _, _, bottom = bounds(sewn.piece.seam_points)
    share = (top.sewn_mm / top.length_mm) * pulled.get((sewn.piece.name, top.name), 1.0)
    return flare_of(side, np.asarray(top.points()), bottom, share, hangs)


def _boxed(garment: Garment, piece: Piece) -> tuple[shapely.Geometry | None, list[Bend]]:
    """The corner of a bag: a square cut out, its two edges sewn together, so that it stands.

    What lies below is the base, which a view from the front does not show; above it the sides lean
    in to the width of the base.
    """
    for join in garment.sewn_to_itself(piece):
        names = (join.one.edge, join.other.edge)
        for first, second in (names, names[::-1]):
            one, two = piece.outline.edge(first), piece.outline.edge(second)
            if first != second and piece.outline.after(first) is two and _turns_in(one, two):
                return _above(one.end, max(one.start[0], two.end[0]), piece)
    return None, []


def _turns_in(one: Edge, two: Edge) -> bool:
    """True where the outline, clockwise with y down, turns left."""
    (x0, y0), (x1, y1), (x2, y2) = one.start, one.end, two.end
    return (x1 - x0) * (y2 - y1) - (y1 - y0) * (x2 - x1) < 0


def _above(
    corner: Point, widest: float, piece: Piece
) -> tuple[shapely.Geometry | None, list[Bend]]:
    (x, y), (_, top, _, _) = corner, bounds(piece.seam_points)
    if not 0 < x < widest or y <= top:
        return None, []

    def leaning(at: np.ndarray) -> np.ndarray:
        share = np.clip((at[:, 1] - top) / (y - top), 0.0, 1.0)
        return np.column_stack((at[:, 0] * (1 - share * (1 - x / widest)), at[:, 1]))

    return shapely.box(-FAR, -FAR, FAR, y), [leaning]


def _bound_mm(garment: Garment, piece: Piece) -> dict[str, float]:
    """How wide the binding of each bound edge is seen."""
    widths = [strip_mm(binding) for binding in garment.bindings if is_strip(binding)]
    wide = min(max(min(widths, default=_BOUND_MM), 3.0), 30.0)
    return {edge.name: wide for edge in piece.outline if piece.finishes[edge.name].kind == "bound"}
