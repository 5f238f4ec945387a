"""Filling cloth from its start, holes too: where two forms bar each other, column by column.

A column is a strip along the cloth. Of a form only its least and greatest y in each column count,
so what is filled never overlaps, though a gap of up to a column may stay beside a slanting side.
How far apart along the cloth two forms must stay depends only on the distance of their columns: a
no-fit polygon cut into columns, worked out once for every two forms.
"""

import math
from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from webapp.cloth.forms import Form

COLUMNS: Final = 180  # across the cloth as it lies: 8 mm on most; divides by 2, 3, 4, 5 and 6
_WIDEST_COLUMN: Final = 1 / 120  # of the width, where columns have to divide a repeat
_NOISE_MM: Final = 1e-9
_GRAZE_MM: Final = (
    1e-6  # bars are this much shorter at either end, so that a jump past one clears it
)
_SAME_REPEAT: Final = 1e-10  # of a repeat: less than a graze of the longest there is
_FEW_LAID: Final = 14  # up to this many, looking at every place is quicker than at those struck

Numbers = NDArray[np.float64]


class Ground(NamedTuple):
    """The cloth to fill: its width, columns hanging over the far selvedge, and its repeats, mm.

    Every match point falls `across_mm` and `phase_mm` into the repeats across and along.
    """

    width_mm: float
    spare_columns: int = 0
    repeat_width_mm: float = 0.0
    repeat_length_mm: float = 0.0
    across_mm: float = 0.0
    phase_mm: float = 0.0

    @property
    def column_mm(self) -> float:
        """Width of a column; a whole number of them makes a repeat across."""
        if not self.repeat_width_mm:
            return self.width_mm / COLUMNS
        widest = self.width_mm * _WIDEST_COLUMN
        return self.repeat_width_mm / math.ceil(self.repeat_width_mm / widest)


class Spot(NamedTuple):
    """Where a form lies: its place among its stock's forms, and its nearest corner, mm."""

    form: int
    x_mm: float
    y_mm: float


class Plan(NamedTuple):
    """How to fill: the order, and the forms that are prescribed.

    A piece goes where it costs least: where it ends along the cloth, `early` from 0 to 1 says how
    much where it begins counts instead.
    """

    order: Sequence[int]
    early: float
    forced: Mapping[int, int]


class _Profile(NamedTuple):
    """A form by columns: least and greatest y in each it covers, from its nearest corner, mm.

    Its left side is `into_mm` into its first column; it may begin in the columns that are `open`.
    """

    foot: Numbers
    head: Numbers
    into_mm: float
    open: NDArray[np.bool_]


class _Laid(NamedTuple):
    stock: int
    form: int
    column: int
    y_mm: float


class Fill(NamedTuple):
    """Length used, then the mean end (to tell equal lengths apart), then a spot for each.

    `laid` is what was set down, in its order.
    """

    length_mm: float
    mean_mm: float
    spots: tuple[Spot, ...]
    laid: tuple[_Laid, ...]


class _Bars(NamedTuple):
    """From where to where along y each form of a stock is barred by one laid, by how many columns
    it lies right of that, from `-columns` to `columns`."""

    low: Numbers
    high: Numbers


class _Front:
    """How far the cloth is filled for the forms of a stock, and by which bars.

    `starts` is the least y that the repeat allows each form, `held` where a fold holds it at 0.
    """

    def __init__(
        self,
        begun: Numbers,
        copies: int,
        starts: Numbers,
        held: NDArray[np.bool_],
        repeat_mm: float,
    ) -> None:
        self._begun, self.starts, self.held, self.repeat_mm = begun, starts, held, repeat_mm
        self.holds = bool(held.any())
        self.y, self.seen = begun.copy(), 0
        self.low, self.high = (np.empty((copies, *begun.shape)) for _ in range(2))
        self.barring: list[_Laid | None] = [None] * copies  # whose bars `low` and `high` hold

    def begin(self) -> None:
        """Forget how far it was filled."""
        self.y, self.seen = self._begun.copy(), 0


class NoFitColumns:
    """The cloth filled afresh each time. `copies` names each copy's stock in `forms`."""

    def __init__(
        self, copies: Sequence[int], forms: Sequence[Sequence[Form]], cloth: Ground
    ) -> None:
        self.copies = copies
        self.forms = forms
        self.cloth = cloth
        self.columns = math.ceil(cloth.width_mm / cloth.column_mm - 1e-6) + cloth.spare_columns
        self._profiles = [[self._profile(form) for form in turns] for turns in forms]
        self._tops = [np.array([[form.size[1]] for form in turns]) for turns in forms]
        self._fronts = [
            self._front(profiles, turns)
            for profiles, turns in zip(self._profiles, forms, strict=True)
        ]
        self._bars: dict[tuple[int, int, int], _Bars] = {}
        self._between: dict[tuple[tuple[int, int], tuple[int, int]], tuple[Numbers, Numbers]] = {}
        self._near = np.arange(self.columns) * 1e-6  # of equal places the nearest to x = 0

    def fill(
        self, plan: Plan, *, like: tuple[Plan, Fill] | None = None, longest_mm: float = math.inf
    ) -> Fill | None:
        """Set down every copy where it costs least; None if one finds no place or ends beyond
        `longest_mm`.

        `like` is another plan and its fill: as far as both plans are alike, so are their fills.
        """
        laid = list(like[1].laid[: self._alike(plan, like[0])]) if like else []
        ends = [each.y_mm + float(self._tops[each.stock][each.form, 0]) for each in laid]
        for front in self._fronts:
            front.begin()
        for i in plan.order[len(laid) :]:
            stock = self.copies[i]
            y = self._lowest(stock, laid)
            cost = y + (1 - plan.early) * self._tops[stock] + self._near
            only = plan.forced.get(i)
            if only is None:
                form, column = divmod(int(cost.argmin()), self.columns)
            else:
                form, column = only, int(cost[only].argmin())
            at = float(y[form, column])
            if math.isinf(at):
                return None
            laid.append(_Laid(stock, form, column, at))
            ends.append(at + float(self._tops[stock][form, 0]))
            if ends[-1] > longest_mm:
                return None
        spots = dict(zip(plan.order, map(self._spot, laid), strict=True))
        in_turn = tuple(spots[i] for i in range(len(self.copies)))
        return Fill(max(ends), sum(ends) / len(ends), in_turn, tuple(laid))

    def _alike(self, one: Plan, other: Plan) -> int:
        """How many copies two plans set down alike before they differ; copies of a stock are."""
        if one.early != other.early:
            return 0
        for at, (i, j) in enumerate(zip(one.order, other.order, strict=True)):
            if self.copies[i] != self.copies[j] or one.forced.get(i) != other.forced.get(j):
                return at
        return len(one.order)

    def _spot(self, laid: _Laid) -> Spot:
        into = self._profiles[laid.stock][laid.form].into_mm
        return Spot(laid.form, laid.column * self.cloth.column_mm + into, laid.y_mm)

    def _lowest(self, stock: int, laid: Sequence[_Laid]) -> Numbers:
        """The least y free of all that is laid, for each form and column; infinite for no place.

        It only ever rises: places that nothing laid since the last look bars are left alone.
        """
        front = self._fronts[stock]
        y, low, high = front.y, front.low, front.high
        new = slice(front.seen, len(laid))
        front.seen = len(laid)
        for k in range(new.start, new.stop):
            other = laid[k]
            if front.barring[k] == other:
                continue
            front.barring[k] = other
            bars = self._barred(stock, other.stock, other.form)
            here = slice(self.columns - other.column, 2 * self.columns - other.column)
            np.add(bars.low[:, here], other.y_mm + _GRAZE_MM, out=low[k])
            np.add(bars.high[:, here], other.y_mm - _GRAZE_MM, out=high[k])
        every = slice(0, new.stop)
        if new.stop <= _FEW_LAID:
            y[:] = _clear(y, low[every], high[every], front)
            return y
        struck = ((low[new] < y) & (y < high[new])).any(axis=0)
        at = forms, columns = np.nonzero(struck)
        if len(forms):
            y[at] = _clear(
                y[at], low[every, forms, columns], high[every, forms, columns], front, forms
            )
        return y

    def _repeat_of(self, forms: Sequence[Form]) -> float:
        """The repeat of the length that these forms have to meet; zero if they need not."""
        return self.cloth.repeat_length_mm if forms[0].match else 0.0

    def _front(self, profiles: Sequence[_Profile], forms: Sequence[Form]) -> _Front:
        starts = self._starts(forms)
        begun = np.where([profile.open for profile in profiles], starts, np.inf)
        held = np.array([[form.held == "start"] for form in forms])
        return _Front(begun, len(self.copies), starts, held, self._repeat_of(forms))

    def _starts(self, forms: Sequence[Form]) -> Numbers:
        """The least y at which the match point of each form falls on the repeat."""
        repeat = self._repeat_of(forms)
        if not repeat:
            return np.zeros((len(forms), 1))
        ahead = [(form.match or form.corner)[1] - form.corner[1] for form in forms]
        return np.array([[_into(self.cloth.phase_mm - each, repeat)] for each in ahead])

    def _profile(self, form: Form) -> _Profile:
        column, repeat = self.cloth.column_mm, self.cloth.repeat_width_mm
        x, every = 0.0, 1
        if repeat and form.match and form.held != "left":
            x = _into(self.cloth.across_mm + form.corner[0] - form.match[0], repeat)
            every = round(repeat / column)
        first = int(x / column + _NOISE_MM)
        into = max(x - first * column, 0.0)
        foot, head = _by_columns(form, column, into, self.columns)
        over = self.cloth.width_mm + self.cloth.spare_columns * column + 1e-6 - form.size[0]
        begins = np.arange(self.columns)
        fits = (begins >= first) & ((begins - first) % every == 0)
        fits &= (begins * column + into <= over) & (begins + len(foot) <= self.columns)
        return _Profile(foot, head, into, fits & (begins == 0) if form.held == "left" else fits)

    def _barred(self, stock: int, other: int, form: int) -> _Bars:
        key = (stock, other, form)
        if key not in self._bars:
            turns = range(len(self._profiles[stock]))
            bars = [self._beside((stock, turn), (other, form)) for turn in turns]
            low, high = zip(*bars, strict=True)
            self._bars[key] = _Bars(np.array(low), np.array(high))
        return self._bars[key]

    def _beside(self, moving: tuple[int, int], still: tuple[int, int]) -> tuple[Numbers, Numbers]:
        """Where the moving form may not begin beside the still one; each by its stock and place."""
        if (still, moving) in self._between:  # the same seen from the other form
            low, high = self._between[still, moving]
            return -high[::-1], -low[::-1]
        one, other = (self._profiles[stock][form] for stock, form in (moving, still))
        self._between[moving, still] = _between(one, other, self.columns)
        return self._between[moving, still]


def _into(place_mm: float, repeat_mm: float) -> float:
    """How far a place lies into a repeat; a graze before its end is its start."""
    return max((place_mm + _GRAZE_MM) % repeat_mm - _GRAZE_MM, 0.0)


def _clear(
    y: Numbers, low: Numbers, high: Numbers, front: _Front, forms: NDArray[np.intp] | None = None
) -> Numbers:
    """Each y, or the next above that is in none of its bars and that the repeat allows.

    With `forms` each y stands alone and is of that form; else they stand as in the front.
    """
    starts = front.starts if forms is None else front.starts[forms, 0]
    held = front.held if forms is None else front.held[forms, 0]
    while True:
        barred = (low < y) & (y < high)
        if not barred.any():
            return y
        y = np.where(barred, high + _GRAZE_MM, y).max(axis=0)
        if front.repeat_mm:
            steps = np.ceil((y - starts) / front.repeat_mm - _SAME_REPEAT)
            y = steps * front.repeat_mm + starts
        if front.holds:
            y = np.where(held & (y > _NOISE_MM), np.inf, y)


def _between(moving: _Profile, still: _Profile, columns: int) -> tuple[Numbers, Numbers]:
    """Where a form may not begin along y beside one at y = 0, as in `_Bars`."""
    wide, count = len(moving.foot), len(still.foot)
    low, high = np.full(2 * columns + 1, np.inf), np.full(2 * columns + 1, -np.inf)
    foot, head = np.full((2, count + 2 * wide - 2), np.inf)
    np.negative(head, out=head)
    foot[wide - 1 : wide - 1 + count], head[wide - 1 : wide - 1 + count] = still.foot, still.head
    shared = slice(columns - wide + 1, columns + count)
    low[shared] = (_windows(foot, wide) - moving.head).min(axis=1)
    high[shared] = (_windows(head, wide) - moving.foot).max(axis=1)
    return low, high


def _windows(row: Numbers, wide: int) -> Numbers:
    """The row seen through a window at each of its places, without a copy.

    What numpy's own `sliding_window_view` gives, which spends longer on looking at its arguments
    than the sums on it take here.
    """
    (step,) = row.strides
    return np.ndarray((len(row) - wide + 1, wide), row.dtype, row, 0, (step, step))


def _by_columns(form: Form, column_mm: float, into_mm: float, most: int) -> tuple[Numbers, Numbers]:
    """Least and greatest y in each column of a form that begins so far into the first.

    Of one that is too wide, and so never laid, only so many as the cloth has.
    """
    start = form.points - form.corner + (into_mm, 0.0)
    end = np.roll(start, -1, axis=0)
    count = min(max(1, math.ceil((into_mm + form.size[0]) / column_mm - 1e-6)), most)
    edges = np.arange(count) * column_mm
    x0, y0, x1, y1 = (values[:, None] for values in (*start.T, *end.T))
    left, right = np.minimum(x0, x1), np.maximum(x0, x1)
    slope = (y1 - y0) / np.where(x0 == x1, np.inf, x1 - x0)
    enter = y0 + (np.clip(edges, left, right) - x0) * slope
    leave = np.where(x0 == x1, y1, y0 + (np.clip(edges + column_mm, left, right) - x0) * slope)
    crossed = (left <= edges + column_mm) & (right >= edges)
    return (
        np.where(crossed, np.minimum(enter, leave), np.inf).min(axis=0),
        np.where(crossed, np.maximum(enter, leave), -np.inf).max(axis=0),
    )
