"""What lies on the cloth as a terrain of columns, and forms coming down on it.

A column is a strip along the cloth. Of a form only its least and greatest y in each column count,
so forms never overlap, though a gap of up to a column may stay between them.
"""

from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from webapp.cloth.forms import Form

COLUMNS: Final = 120  # across the cloth, 12 mm on most; divides by 2, 3, 4, 5, 6 and 8

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


class _Stamp(NamedTuple):
    """A profile with the stretch of ground under it at every place it can go."""

    profile: Profile
    under: Heights
    top: float
    mean_foot: float


class Terrain:
    """The ground, filled afresh each time. `copies` names each copy's piece in `forms`."""

    def __init__(
        self,
        copies: Sequence[int],
        forms: Sequence[Sequence[Form]],
        width_mm: float,
        spare_columns: int,
    ) -> None:
        self.copies = copies
        self.column_mm = width_mm / COLUMNS
        self.ground = np.zeros(COLUMNS + spare_columns)
        self.profiles = [[_profile(form, self.column_mm) for form in turns] for turns in forms]
        self.stamps = [[self._stamp(each) for each in turns] for turns in self.profiles]

    def fill(self, plan: Plan) -> Fill:
        """Set down every copy, each where its far end comes nearest to the start of the cloth.

        `waste_weight` adds the mean depth of the cloth it shuts in to that distance.
        """
        self.ground[:] = 0
        spots: dict[int, Spot] = {}
        for i in plan.order:
            stamps = self.stamps[self.copies[i]]
            only = plan.forced.get(i)
            _, which, place, y = min(
                self._rest(stamp, which, plan.waste_weight)
                for which, stamp in enumerate(stamps)
                if only is None or which == only
            )
            head = stamps[which].profile.head
            self.ground[place : place + len(head)] = y + head
            spots[i] = Spot(which, place * self.column_mm, y)
        in_turn = tuple(spots[i] for i in range(len(self.copies)))
        return Fill(float(self.ground.max()), float(self.ground.mean()), in_turn)

    def _rest(self, stamp: _Stamp, which: int, weight: float) -> tuple[float, int, int, float]:
        """The cost of the best place, the form, the column and the y of that place."""
        rest = (stamp.under - stamp.profile.foot).max(axis=1)
        cost = rest + stamp.top
        if weight:
            cost += weight * (rest + stamp.mean_foot - stamp.under.mean(axis=1))
        place = int(cost.argmin())
        return float(cost[place]), which, place, float(rest[place])

    def _stamp(self, profile: Profile) -> _Stamp:
        under = sliding_window_view(self.ground, len(profile.foot))
        return _Stamp(profile, under, float(profile.head.max()), float(profile.foot.mean()))


def _profile(form: Form, column_mm: float) -> Profile:
    """The profile of a form set down with its left side on a column's edge."""
    start = form.points - form.corner
    end = np.roll(start, -1, axis=0)
    count = min(max(1, int(np.ceil(form.size[0] / column_mm - 1e-9))), COLUMNS)
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
