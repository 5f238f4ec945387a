"""When pieces cannot be laid on a cloth, and when a lay does not hold: told in a sentence."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import Final, get_args

import numpy as np
import shapely

from webapp.cloth.forms import turned
from webapp.cloth.laid import Cloth, Lay, LayPiece, Lie, Placement, WayOfLaying, width_mm
from webapp.draft.outline import Point
from webapp.errors import LayError
from webapp.units import both

MOST_COPIES: Final = 500
MOST_SHRINKAGE: Final = 0.5
TOO_WIDE_MM: Final = 1e-6  # arithmetic noise, when a piece is just as wide as the cloth
_LEAST_REPEAT_MM: Final = 5.0
OVERLAP_MM2: Final = 0.05  # what two placed pieces may share: a hair's width of arithmetic
_OUTSIDE_MM: Final = 1e-3  # placements may have been rounded to this
_SAME_TURN: Final = 1e-6  # degrees


def check(pieces: Sequence[LayPiece], cloth: Cloth) -> None:
    """LayError, in a sentence, if these pieces cannot be laid on this cloth."""
    _check_cloth(cloth)
    if not pieces:
        raise LayError("There are no pieces to lay.")
    twins = [name for name, times in Counter(piece.name for piece in pieces).items() if times > 1]
    if twins:
        raise LayError(f"Two pieces are called “{twins[0]}”; give one another name.")
    for piece in pieces:
        _check_piece(piece)
    if sum(piece.count for piece in pieces) > MOST_COPIES:
        raise LayError(f"A lay holds up to {MOST_COPIES} pieces; lay fewer copies at a time.")
    for piece in pieces:
        _check_width(piece, cloth)
    _check_beside_fold(pieces, cloth)


def fault(lay: Lay, overlap_mm2: float) -> str:
    """Why the pieces cannot lie as placed; empty if they can.

    One is over the edge, off its fold or off the repeat, or two share more than `overlap_mm2`.
    """
    shapes = [shapely.Polygon(lay.placed_points(place)) for place in lay.placements]
    names = [f"{place.name} ({place.copy + 1})" for place in lay.placements]
    known = {piece.name: piece for piece in lay.pieces}
    for place, name, shape in zip(lay.placements, names, shapes, strict=True):
        left, top, right, _ = shape.bounds
        if min(left, top, lay.cloth.laid_width_mm - right) < -_OUTSIDE_MM:
            return f"{name} lies over the edge of the cloth."
        from_fold = top if lay.cloth.laid == "folded across" else left
        if lay.cloth.on_fold(known[place.name]) and from_fold > _OUTSIDE_MM:
            return f"{name} does not lie on the fold."
    if not _repeats_meet(lay):
        return "The pieces do not lie on the same place of the cloth's repeat."
    one, other = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    pairs = np.array((one, other))[:, one < other].T
    for i, j in pairs.tolist():
        if shapes[i].intersection(shapes[j]).area > overlap_mm2:
            return f"{names[i]} and {names[j]} lie on top of each other."
    return ""


def matched_points(lay: Lay) -> list[Point]:
    """Where the match points lie on a cloth with a repeat; none if nothing is to meet."""
    if not lay.cloth.repeats:
        return []
    matches = {piece.name: piece.match_mm for piece in lay.pieces}
    return [_matched(at, place) for place in lay.placements if (at := matches[place.name])]


def _matched(match_mm: Point, place: Placement) -> Point:
    """Where a match point lies on the cloth."""
    ((x, y),) = turned([match_mm], place.turn_degrees, flipped=place.flipped).tolist()
    return x + place.x_mm, y + place.y_mm


def _repeats_meet(lay: Lay) -> bool:
    """True if all match points fall on the same place of each repeat.

    A piece on the fold has its middle there, so its repeat across is the fold's.
    """
    found = matched_points(lay)
    if not found:
        return True
    points = np.array(found)
    for axis, repeat in enumerate((lay.cloth.repeat_width_mm, lay.cloth.repeat_length_mm)):
        if repeat:
            away = np.abs((points[:, axis] - points[0, axis] + repeat / 2) % repeat - repeat / 2)
            if away.max() > 2 * _OUTSIDE_MM:
                return False
    return True


def check_kept(place: Placement, piece: LayPiece, cloth: Cloth) -> None:
    """LayError if a placement that was kept is none that this piece may have on this cloth."""
    if not all(math.isfinite(n) for n in (place.turn_degrees, place.x_mm, place.y_mm)):
        raise LayError(f"The kept lay gives no place for {piece.name}.")
    if not 0 <= place.copy < piece.count:
        raise LayError(f"The kept lay holds more copies of {piece.name} than are cut.")
    lies = [
        lie
        for lie in cloth.lies_of(piece, place.copy)
        if abs((place.turn_degrees - lie.turn + 180) % 360 - 180) <= _SAME_TURN
    ]
    if not lies:
        raise LayError(f"The kept lay turns {piece.name} off its grain.")
    brought = cloth.layers == 1 and piece.may_flip and not piece.pair
    if brought or place.flipped in {lie.flipped for lie in lies}:
        return
    if cloth.layers == 1 and piece.pair:
        raise LayError(f"The kept lay does not hold a left and a right of {piece.name} in turn.")
    raise LayError(f"The kept lay turns {piece.name} over, which it may not be.")


def _check_cloth(cloth: Cloth) -> None:
    if cloth.laid not in get_args(WayOfLaying):
        raise LayError("Cloth is laid open, folded lengthwise or folded across.")
    numbers = (cloth.width_mm, cloth.edge_margin_mm, cloth.shrink_width, cloth.shrink_length)
    if not all(math.isfinite(number) for number in numbers) or cloth.width_mm <= 0:
        raise LayError("The cloth's width must be more than zero.")
    for shrinks in (cloth.shrink_width, cloth.shrink_length):
        if not 0 <= shrinks < MOST_SHRINKAGE:
            raise LayError("Cloth shrinks by 0 % or more, and by less than 50 %.")
    if cloth.edge_margin_mm < 0:
        raise LayError("The margin left at the selvedges cannot be less than zero.")
    if cloth.usable_width_mm <= 0:
        raise LayError("The margins at the selvedges leave no cloth between them.")
    repeats = (cloth.repeat_length_mm, cloth.repeat_width_mm)
    if not all(repeat == 0 or _LEAST_REPEAT_MM <= repeat < math.inf for repeat in repeats):
        raise LayError(f"Stripes finer than {both(_LEAST_REPEAT_MM, 'cm')} are not matched.")
    if cloth.one_way and cloth.laid == "folded across":
        raise LayError(
            "One-way cloth cannot be folded across: on the layer below, nap or print would run "
            "the other way. Lay it open, or fold it lengthwise."
        )


def _check_piece(piece: LayPiece) -> None:
    if piece.count != piece.count // 1 or piece.count < 1:
        raise LayError(f"{piece.name} must be cut at least once, and a whole number of times.")
    if not piece.turns or not all(math.isfinite(turn) for turn in piece.turns):
        raise LayError(f"{piece.name} has no turn in which it may lie on the cloth.")
    if not _is_drawn(piece):
        raise LayError(f"{piece.name} has no outline to lay.")
    if len(piece.whole_mm) < 3 or not shapely.Polygon(piece.whole_mm).is_valid:
        raise LayError(f"The cut line of {piece.name} crosses itself.")


def _is_drawn(piece: LayPiece) -> bool:
    """True if outline and match point are numbers, and the outline holds some cloth."""
    try:
        points = np.asarray([*piece.outline_mm, piece.match_mm or (0.0, 0.0)], dtype=np.float64)
    except (TypeError, ValueError):
        return False
    if points.shape != (len(piece.outline_mm) + 1, 2) or len(points) < 4:
        return False
    return bool(np.isfinite(points).all()) and shapely.MultiPoint(points[:-1]).convex_hull.area > 0


def _check_width(piece: LayPiece, cloth: Cloth) -> None:
    room = cloth.laid_width_mm + TOO_WIDE_MM
    width = least_width_mm(piece, cloth)
    if width <= room:
        return
    half = " from the fold" if cloth.on_fold(piece) else ""
    folded = " folded" if cloth.layers == 2 else ""
    raise LayError(
        f"{piece.name} is {both(width, 'cm')} wide{half} on the{folded} cloth, which has "
        f"{both(cloth.laid_width_mm, 'cm')} to lay on. {_advice(piece, cloth)}"
    )


def _advice(piece: LayPiece, cloth: Cloth) -> str:
    """What would make room for a piece that is too wide for the cloth."""
    other = "choose a wider cloth, or split the piece with a seam."
    opened = replace(cloth, laid="open")
    if cloth.layers == 2 and least_width_mm(piece, opened) <= cloth.usable_width_mm + TOO_WIDE_MM:
        return f"It would fit on the cloth opened out; otherwise {other}"
    upright = replace(piece, turns=(0, 90))
    if least_width_mm(upright, opened) <= cloth.usable_width_mm + TOO_WIDE_MM:
        return f"It would fit turned to the other grain, if the cloth allows it; otherwise {other}"
    return other.capitalize()


def least_width_mm(piece: LayPiece, cloth: Cloth) -> float:
    """Width of the piece in its narrowest lie; of a pair, that of its wider hand."""
    hands: set[tuple[Lie, ...]] = {
        cloth.lies_of(piece, copy) for copy in range(min(piece.count, 2))
    }
    return max(min(width_mm(piece, cloth, lie) for lie in lies) for lies in hands)


def _check_beside_fold(pieces: Sequence[LayPiece], cloth: Cloth) -> None:
    """Pieces on a fold across lie side by side along it, and have to find room so."""
    if cloth.laid != "folded across":
        return
    along = [piece for piece in pieces if cloth.on_fold(piece)]
    width = sum(least_width_mm(piece, cloth) * piece.count for piece in along)
    if width > cloth.laid_width_mm + TOO_WIDE_MM:
        names = " and ".join(piece.name for piece in along)
        raise LayError(
            f"On cloth folded across, {names} lie side by side along the fold and need "
            f"{both(width, 'cm')}; there is {both(cloth.laid_width_mm, 'cm')}. "
            "Open the cloth out, or choose a wider one."
        )
