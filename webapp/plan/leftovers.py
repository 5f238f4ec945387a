"""What else the offcuts of a cloth give: recipes that can be cut from them, and in which sizes.

A fit is only told when every piece has been laid: by the boxes about the pieces if that is enough,
else by laying the pieces themselves. That none is found is no proof that there is none.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np

from webapp.cloth.forms import turned
from webapp.cloth.laid import Cloth, Lay, LayPiece, Placement, laid
from webapp.cloth.lay import first_lay, lay_pieces
from webapp.cloth.offcuts import Offcut
from webapp.draft.recipe import Body, Recipe
from webapp.draft.results import Draft
from webapp.errors import LayError
from webapp.plan.evaluate import draft_all

_NOISE_MM: Final = 1e-6
_FULLEST: Final = (
    0.95  # of a rectangle; pieces that fill more are not laid if their boxes do not fit
)
_TRIES: Final = 2  # how often one more piece is laid in vain before a rectangle counts as full

_Failed = list[tuple[float, float, float]]  # least width, least length and area of each copy


@dataclass(frozen=True)
class Cut:
    """Pieces laid on one layer of an offcut, or on both opened out; offcuts count from 1.

    x and y of the lay count from the corner of that rectangle, which is as wide as its cloth. The
    second hand of a pair is a piece of its own there, drawn mirrored.
    """

    offcut: int
    lay: Lay


@dataclass(frozen=True)
class Fit:
    """A size that can be cut, and how."""

    size: str
    cuts: tuple[Cut, ...]

    @property
    def offcuts(self) -> tuple[int, ...]:
        """The offcuts it takes, counted from 1."""
        return tuple(sorted({cut.offcut for cut in self.cuts}))


@dataclass(frozen=True)
class Extra:
    """A recipe that can be cut from the offcuts, with the sizes that can, in the order asked.

    It is `sized` when it takes measures: one that takes none comes out alike in every size.
    `other_cloths` are those that it needs besides, of which nothing has been looked at.
    """

    recipe_id: str
    name: str
    fits: tuple[Fit, ...]
    sized: bool = True
    other_cloths: tuple[str, ...] = ()

    @property
    def sizes(self) -> tuple[str, ...]:
        """The sizes that fit."""
        return tuple(fit.size for fit in self.fits)

    @property
    def offcuts(self) -> tuple[int, ...]:
        """The offcuts that one size or another takes, counted from 1."""
        return tuple(sorted({number for fit in self.fits for number in fit.offcuts}))


class _Rectangle(NamedTuple):
    offcut: int
    width_mm: float
    length_mm: float

    @property
    def area_mm2(self) -> float:
        return self.width_mm * self.length_mm


class _Box(NamedTuple):
    """The box about a piece in one of its turns."""

    turn: float
    left: float
    top: float
    width: float
    length: float


class _Copy(NamedTuple):
    """One copy of one hand of a piece, with its boxes."""

    piece: LayPiece
    boxes: tuple[_Box, ...]

    def fits(self, width_mm: float, length_mm: float) -> bool:
        """True when some turn's box fits."""
        return any(
            box.width <= width_mm + _NOISE_MM and box.length <= length_mm + _NOISE_MM
            for box in self.boxes
        )

    @property
    def least(self) -> tuple[float, float, float]:
        """Least width, least length and area."""
        return (
            min(box.width for box in self.boxes),
            min(box.length for box in self.boxes),
            self.piece.area_mm2,
        )


class _Spot(NamedTuple):
    copy: _Copy
    box: _Box
    x_mm: float
    y_mm: float


def extras_that_fit(
    offcuts: Sequence[Offcut],
    recipes: Iterable[Recipe],
    bodies: Sequence[Body],
    cloth: Cloth,
    report: Callable[[str], None] | None = None,
) -> tuple[Extra, ...]:
    """The recipes of which some size can be cut from these offcuts of a cloth, as they come.

    Left out are sizes that cannot be drafted (for want of a measure, say) or whose checks fail. Of
    a recipe that is cut from several cloths, only the pieces of its first piece's cloth are to come
    from the offcuts; the others are named. Of `cloth` only counts whether pieces lie one way: the
    offcuts are washed and have no margins, and a repeat is not matched. `report` hears which
    recipe is being tried.
    """
    rectangles = [
        _Rectangle(number, *sides)
        for number, offcut in enumerate(offcuts, start=1)
        for sides in offcut.rectangles_mm
    ]
    rectangles.sort(key=lambda one: -one.area_mm2)
    extras = []
    for recipe in recipes:
        if report:
            report(f"Trying {recipe.name}")
        if rectangles and recipe.pieces:
            fits = tuple(_fits(rectangles, recipe, bodies, one_way=cloth.one_way))
            if fits:
                extras.append(_extra(recipe, fits))
    return tuple(extras)


def _extra(recipe: Recipe, fits: tuple[Fit, ...]) -> Extra:
    _, *others = dict.fromkeys(piece.cloth for piece in recipe.pieces)
    return Extra(recipe.id, recipe.name, fits, bool(recipe.measures), tuple(others))


def _fits(
    rectangles: Sequence[_Rectangle], recipe: Recipe, bodies: Sequence[Body], *, one_way: bool
) -> Iterator[Fit]:
    known: dict[tuple[LayPiece, ...], tuple[Cut, ...]] = {}
    failed: list[_Failed] = []
    for body in bodies:
        (draft,) = draft_all((recipe,), body)
        pieces = main_pieces(draft)
        if pieces and pieces not in known:
            copies = _copies(pieces, Cloth(1.0, one_way=one_way))
            least = [copy.least for copy in copies]
            if any(_no_smaller(least, before) for before in failed):
                continue
            known[pieces] = _cut_from(copies, rectangles, one_way=one_way)
            if not known[pieces]:
                failed.append(least)
        if cuts := known.get(pieces, ()):
            yield Fit(body.name, cuts)


def main_pieces(draft: Draft) -> tuple[LayPiece, ...]:
    """The pieces of the recipe's first cloth; none when the draft does not hold."""
    if draft.problems or not all(check.holds for check in draft.checks):
        return ()
    main = draft.recipe.pieces[0].cloth
    return lay_pieces(piece for piece in draft.pieces if piece.cloth == main)


def _no_smaller(least: _Failed, before: _Failed) -> bool:
    """True when each copy is at least as large as its like that was laid in vain."""
    return len(least) == len(before) and all(
        now >= then - _NOISE_MM
        for one, other in zip(least, before, strict=True)
        for now, then in zip(one, other, strict=True)
    )


def _copies(pieces: Iterable[LayPiece], cloth: Cloth) -> list[_Copy]:
    """Every copy of every piece."""
    copies = []
    for piece in pieces:
        hands = [_hand(piece, cloth, flipped=flipped) for flipped in (False, True)]
        copies += [hands[piece.flips(copy)] for copy in range(piece.count)]
    return copies


def _hand(piece: LayPiece, cloth: Cloth, *, flipped: bool) -> _Copy:
    """One hand of a piece as a piece by itself, in the turns it may take on that cloth."""
    outline = tuple((-x, y) for x, y in reversed(piece.whole_mm)) if flipped else piece.whole_mm
    name = f"{piece.name}, mirrored" if flipped else piece.name
    hand = LayPiece(name, outline, 1, cloth.turns_of(piece))
    boxes = []
    for turn in hand.turns:
        points = turned(outline, turn)
        left, top = points.min(axis=0).tolist()
        width, length = np.ptp(points, axis=0).tolist()
        boxes.append(_Box(turn, left, top, width, length))
    return _Copy(hand, tuple(boxes))


def _cut_from(
    copies: Sequence[_Copy], rectangles: Sequence[_Rectangle], *, one_way: bool
) -> tuple[Cut, ...]:
    """The copies laid on the rectangles, largest of both first; nothing when that fails.

    One rectangle that holds them all goes before several, the smallest first.
    """
    area = sum(copy.piece.area_mm2 for copy in copies)
    if area > sum(one.area_mm2 for one in rectangles) or not all(
        any(copy.fits(one.width_mm, one.length_mm) for one in rectangles) for copy in copies
    ):
        return ()
    ordered = sorted(copies, key=lambda copy: -copy.piece.area_mm2)
    single = [[one] for one in reversed(rectangles) if one.area_mm2 >= area]
    for some in (*single, rectangles):
        if cuts := _by_boxes(ordered, some, one_way=one_way):
            return cuts
    for (one,) in single:
        if cut := _laid_in(ordered, one, one_way=one_way):
            return (cut,)
    return _filled(ordered, rectangles, one_way=one_way)


def _filled(
    copies: Sequence[_Copy], rectangles: Sequence[_Rectangle], *, one_way: bool
) -> tuple[Cut, ...]:
    """One rectangle filled after the other, each with as many copies as it is found to hold."""
    cuts: list[Cut] = []
    left = list(copies)
    for one in rectangles:
        inside: list[_Copy] = []
        cut, in_vain = None, 0
        for copy in left:
            if in_vain < _TRIES and copy.fits(one.width_mm, one.length_mm):
                more = [*inside, copy]
                by_boxes = _by_boxes(more, [one], one_way=one_way)
                now = by_boxes[0] if by_boxes else _laid_in(more, one, one_way=one_way)
                if now:
                    inside, cut = more, now
                else:
                    in_vain += 1
        if cut:
            cuts.append(cut)
            for copy in inside:
                left.remove(copy)
    return () if left else tuple(cuts)


def _laid_in(copies: Sequence[_Copy], one: _Rectangle, *, one_way: bool) -> Cut | None:
    """The copies laid on one rectangle; None when they are not found to fit."""
    area = sum(copy.piece.area_mm2 for copy in copies)
    if area > _FULLEST * one.area_mm2:
        return None
    if not all(copy.fits(one.width_mm, one.length_mm) for copy in copies):
        return None
    try:
        lay = first_lay(_grouped(copies), Cloth(one.width_mm, one_way=one_way))
    except LayError:
        return None
    return Cut(one.offcut, lay) if lay.length_mm <= one.length_mm + _NOISE_MM else None


def _grouped(copies: Sequence[_Copy]) -> tuple[LayPiece, ...]:
    """Each hand once, with how many there are of it."""
    pieces = {copy.piece.name: copy.piece for copy in copies}
    counts = Counter(copy.piece.name for copy in copies)
    return tuple(
        LayPiece(name, piece.outline_mm, counts[name], piece.turns)
        for name, piece in pieces.items()
    )


def _by_boxes(
    copies: Iterable[_Copy], rectangles: Sequence[_Rectangle], *, one_way: bool
) -> tuple[Cut, ...]:
    """The copies set down by their boxes, each in the first rectangle with room; else nothing.

    Own working: the room left is kept as all the largest free boxes, which may overlap; a box goes
    where its tighter side leaves the least.
    """
    rooms = [[(0.0, 0.0, one.width_mm, one.length_mm)] for one in rectangles]
    spots: list[list[_Spot]] = [[] for _ in rectangles]
    for copy in copies:
        for room, held in zip(rooms, spots, strict=True):
            spot = _tightest(copy, room)
            if spot is not None:
                held.append(spot)
                room[:] = _less(room, spot)
                break
        else:
            return ()
    return tuple(
        Cut(one.offcut, _lay_of(held, Cloth(one.width_mm, one_way=one_way)))
        for one, held in zip(rectangles, spots, strict=True)
        if held
    )


_Room = tuple[float, float, float, float]  # left, top, right, bottom


def _tightest(copy: _Copy, room: Iterable[_Room]) -> _Spot | None:
    found = [
        (min(across, along), max(across, along), top, left, place)
        for left, top, right, bottom in room
        for place, box in enumerate(copy.boxes)
        for across, along in [(right - left - box.width, bottom - top - box.length)]
        if min(across, along) >= -_NOISE_MM
    ]
    if not found:
        return None
    *_, top, left, place = min(found)
    return _Spot(copy, copy.boxes[place], left, top)


def _less(room: Iterable[_Room], spot: _Spot) -> list[_Room]:
    """The largest free boxes once a box is set down."""
    x, y = spot.x_mm, spot.y_mm
    end_x, end_y = x + spot.box.width, y + spot.box.length
    cut: list[_Room] = []
    for left, top, right, bottom in room:
        if x >= right or end_x <= left or y >= bottom or end_y <= top:
            cut.append((left, top, right, bottom))
            continue
        beside = [
            (left, top, x, bottom),
            (end_x, top, right, bottom),
            (left, top, right, y),
            (left, end_y, right, bottom),
        ]
        cut += [one for one in beside if min(one[2] - one[0], one[3] - one[1]) > _NOISE_MM]
    cut = list(dict.fromkeys(cut))
    return [one for one in cut if not any(_within(one, other) for other in cut if other != one)]


def _within(one: _Room, other: _Room) -> bool:
    return other[0] <= one[0] and other[1] <= one[1] and one[2] <= other[2] and one[3] <= other[3]


def _lay_of(spots: Sequence[_Spot], cloth: Cloth) -> Lay:
    numbers: Counter[str] = Counter()
    placements = []
    for copy, box, x_mm, y_mm in spots:
        name = copy.piece.name
        placements.append(
            Placement(name, numbers[name], box.turn, False, x_mm - box.left, y_mm - box.top)
        )
        numbers[name] += 1
    return laid(_grouped([spot.copy for spot in spots]), cloth, placements)
