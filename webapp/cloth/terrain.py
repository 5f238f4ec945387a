"""What lies on the cloth as a terrain of columns, and forms coming down on it.

A column is a strip along the cloth. Of a form only its least and greatest y in each column count,
so forms never overlap, though a gap of up to a column may stay between them.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from webapp.cloth.forms import Form

COLUMNS: Final = 120  # across the cloth, 12 mm on most; divides by 2, 3, 4, 5, 6 and 8

_NOISE_MM: Final = 1e-9

Heights = NDArray[np.float64]  # mm along the cloth, one a column


class Profile(NamedTuple):
    """A form's least and greatest y in each column it covers, from its nearest corner, mm."""

    foot: Heights
    head: Heights


class Spot(NamedTuple):
    """Where a form lies: its place among its piece's forms, and its nearest corner, mm."""

    form: int
    x_mm: float
    y_mm: float


class Fill(NamedTuple):
    """Length used, then the mean height (to tell equal lengths apart), then a spot for each."""

    length_mm: float
    mean_mm: float
    spots: tuple[Spot, ...]


class Plan(NamedTuple):
    """How to fill: the order, what shut-in cloth costs, and the forms that are prescribed."""

    order: Sequence[int]
    waste_weight: float
    forced: Mapping[int, int]


class Ground(NamedTuple):
    """The cloth to fill: its width, columns hanging over the far selvedge, and its repeats, mm.

    `phase_mm`: where along the repeat of the length every match point falls.
    """

    width_mm: float
    spare_columns: int = 0
    repeat_width_mm: float = 0.0
    repeat_length_mm: float = 0.0
    phase_mm: float = 0.0


class _Stamp(NamedTuple):
    """A profile with the stretch of ground under it at every place it can go.

    The first place has its left side at `x_mm` in column `first`; the others follow column by
    column. `rise` is where its nearest corner falls along the repeat of the length.
    """

    form: int
    profile: Profile
    under: Heights
    x_mm: float
    first: int
    top: float
    mean_foot: float
    rise: float
    at_start: bool


class Terrain:
    """The cloth's ground, filled afresh each time. `copies` names each copy's piece in `forms`."""

    def __init__(
        self, copies: Sequence[int], forms: Sequence[Sequence[Form]], cloth: Ground
    ) -> None:
        self.copies = copies
        self.cloth = cloth
        self.column_mm = cloth.width_mm / COLUMNS
        self.ground = np.zeros(COLUMNS + cloth.spare_columns)
        self.stamps = [
            [stamp for which, form in enumerate(turns) for stamp in self._stamps(which, form)]
            for turns in forms
        ]

    def fill(self, plan: Plan) -> Fill | None:
        """Set down every copy, each where its far end comes nearest to the start of the cloth.

        `waste_weight` adds the mean depth of the cloth it shuts in to that distance. None if a
        copy finds no place, as where another lies on its fold.
        """
        self.ground[:] = 0
        spots: dict[int, Spot] = {}
        for i in plan.order:
            only = plan.forced.get(i)
            cost, stamp, place, y = min(
                (
                    self._rest(stamp, plan.waste_weight)
                    for stamp in self.stamps[self.copies[i]]
                    if only is None or stamp.form == only
                ),
                key=lambda rest: rest[0],
            )
            if math.isinf(cost):
                return None
            head = stamp.profile.head
            column = stamp.first + place
            self.ground[column : column + len(head)] = y + head
            spots[i] = Spot(stamp.form, stamp.x_mm + place * self.column_mm, y)
        in_turn = tuple(spots[i] for i in range(len(self.copies)))
        return Fill(float(self.ground.max()), float(self.ground.mean()), in_turn)

    def _rest(self, stamp: _Stamp, weight: float) -> tuple[float, _Stamp, int, float]:
        """The cost of the best place, the stamp, the place and its y."""
        rest = (stamp.under - stamp.profile.foot).max(axis=1)
        if stamp.at_start:
            rest = np.where(rest <= _NOISE_MM, 0.0, np.inf)
        elif self.cloth.repeat_length_mm:
            repeat, rise = self.cloth.repeat_length_mm, stamp.rise
            rest = np.ceil((rest - rise) / repeat - _NOISE_MM) * repeat + rise
        cost = rest + stamp.top
        if weight:
            cost += weight * (rest + stamp.mean_foot - stamp.under.mean(axis=1))
        place = int(cost.argmin())
        return float(cost[place]), stamp, place, float(rest[place])

    def _stamps(self, which: int, form: Form) -> Iterator[_Stamp]:
        """One for all places, or one for each place that the repeat across allows."""
        repeat = self.cloth.repeat_width_mm
        if form.held == "left" or not repeat:
            places = 1 if form.held == "left" else None
            yield self._stamp(which, form, 0.0, places)
            return
        x = (form.corner[0] - form.match[0]) % repeat
        while x + form.size[0] <= self.cloth.width_mm + _NOISE_MM:
            yield self._stamp(which, form, x, 1)
            x += repeat

    def _stamp(self, which: int, form: Form, x_mm: float, places: int | None) -> _Stamp:
        first = int(x_mm / self.column_mm + _NOISE_MM)
        into, room = x_mm - first * self.column_mm, min(COLUMNS, len(self.ground) - first)
        profile = profile_of(form, self.column_mm, into, room)
        under = sliding_window_view(self.ground[first:], len(profile.foot))[:places]
        rise = 0.0
        if self.cloth.repeat_length_mm:
            ahead = form.match[1] - form.corner[1]
            rise = (self.cloth.phase_mm - ahead) % self.cloth.repeat_length_mm
        top, mean = float(profile.head.max()), float(profile.foot.mean())
        at_start = form.held == "start"
        return _Stamp(which, profile, under, x_mm, first, top, mean, rise, at_start)


def profile_of(form: Form, column_mm: float, into_mm: float, most: int) -> Profile:
    """The profile of a form whose left side is so far into its first column of at most so many."""
    start = form.points - form.corner + (into_mm, 0.0)
    end = np.roll(start, -1, axis=0)
    count = min(max(1, int(np.ceil((into_mm + form.size[0]) / column_mm - 1e-9))), most)
    edges = np.arange(count) * column_mm
    x0, y0, x1, y1 = (values[:, None] for values in (*start.T, *end.T))
    left, right = np.minimum(x0, x1), np.maximum(x0, x1)
    slope = (y1 - y0) / np.where(x0 == x1, np.inf, x1 - x0)
    enter = y0 + (np.clip(edges, left, right) - x0) * slope
    leave = np.where(x0 == x1, y1, y0 + (np.clip(edges + column_mm, left, right) - x0) * slope)
    crossed = (left <= edges + column_mm) & (right >= edges)
    return Profile(
        np.where(crossed, np.minimum(enter, leave), np.inf).min(axis=0),
        np.where(crossed, np.maximum(enter, leave), -np.inf).max(axis=0),
    )
