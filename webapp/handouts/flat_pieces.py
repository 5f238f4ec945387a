"""The pieces side by side: what stands on the cover where no garment can be put together."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree

from markupsafe import Markup

from webapp.draft import svg
from webapp.draft.evaluate import Piece
from webapp.draft.outline import Point, bounds
from webapp.handouts.drawings import FACE, INK, sized

_COVER: Final = (174.0, 122.0)  # mm of paper
_GAP: Final = 8.0
_LABEL: Final = 6.0  # under each row, for the names
_LARGEST: Final = 1 / 3  # of true scale: a lone pocket need not fill the page
_TRIES: Final = 24  # halvings of the scale: far finer than a pen line


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a drawing stands and how large, mm of paper."""

    x: float
    y: float
    width: float
    height: float


def flat_pieces(pieces: Sequence[Piece]) -> Markup:
    """Every piece to one scale, opened out, standing in rows by name; empty without pieces."""
    if not pieces:
        return Markup()
    boxes = {piece.name: bounds(piece.whole_cut_points) for piece in pieces}
    tallest_first = sorted(pieces, key=lambda piece: _size(boxes[piece.name])[1], reverse=True)
    spots = in_rows([_size(boxes[piece.name]) for piece in tallest_first])
    height = max(spot.y + spot.height for spot in spots) + _LABEL
    names = ", ".join(piece.name for piece in pieces)
    root = svg.figure((0, 0, _COVER[0], height), "The pieces, all to one scale", names)
    for piece, spot in zip(tallest_first, spots, strict=True):
        left, top, right, _ = boxes[piece.name]
        scale = spot.width / (right - left)
        points = [
            (spot.x + (x - left) * scale, spot.y + (y - top) * scale)
            for x, y in piece.whole_cut_points
        ]
        _outline(root, points)
        _name(root, piece.name, spot)
    return sized(svg.written(root), _COVER[0], height)


def _size(box: tuple[float, float, float, float]) -> tuple[float, float]:
    left, top, right, bottom = box
    return right - left, bottom - top


def _outline(root: ElementTree.Element, points: Sequence[Point]) -> None:
    svg.add(
        root,
        "path",
        d=svg.through(points, closed=True),
        fill=INK,
        fill_opacity=0.05,
        stroke=INK,
        stroke_width=0.45,
        stroke_linejoin="round",
    )


def _name(root: ElementTree.Element, name: str, spot: Spot) -> None:
    svg.add(
        root,
        "text",
        name,
        x=spot.x + spot.width / 2,
        y=spot.y + spot.height + 4.0,
        text_anchor="middle",
        font_size=3.2,
        font_family=FACE,
        fill=INK,
    )


def in_rows(sizes: Sequence[tuple[float, float]]) -> list[Spot]:
    """Boxes in rows, each row on one ground line and centred, at the largest scale that fits."""
    width, height = _COVER
    high = min(width / max(w for w, _ in sizes), (height - _LABEL) / max(h for _, h in sizes))
    high = min(high, _LARGEST)
    if (spots := _rows(sizes, high)) is not None:
        return spots
    low = 0.0
    for _ in range(_TRIES):
        middle = (low + high) / 2
        low, high = (low, middle) if _rows(sizes, middle) is None else (middle, high)
    return _rows(sizes, low) or []


def _rows(sizes: Sequence[tuple[float, float]], scale: float) -> list[Spot] | None:
    """The rows at this scale, or None when they are too many for the cover."""
    rows: list[list[tuple[float, float]]] = [[]]
    used = 0.0
    for width, height in ((w * scale, h * scale) for w, h in sizes):
        if rows[-1] and used + _GAP + width > _COVER[0]:
            rows.append([])
            used = 0.0
        used += width + (_GAP if rows[-1] else 0.0)
        rows[-1].append((width, height))
    spots, top = [], 0.0
    for row in rows:
        ground = top + max(height for _, height in row)
        x = (_COVER[0] - sum(width for width, _ in row) - _GAP * (len(row) - 1)) / 2
        for width, height in row:
            spots.append(Spot(x, ground - height, width, height))
            x += width + _GAP
        top = ground + _LABEL + _GAP
    return spots if top - _GAP <= _COVER[1] + 1e-9 else None
