"""Filling cloth from its start, holes too: where two forms bar each other, by columns.

A column is a strip along the cloth. Of a form only its least and greatest y in each column count,
so what is filled never overlaps. How far apart along the cloth two forms must stay depends only on
their columns' distance: a no-fit polygon cut into columns, worked out once for every two forms.
"""

import math
from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from webapp.cloth.forms import Form
from webapp.cloth.terrain import Fill, Ground, Plan, Profile, Spot, profile_of

COLUMNS: Final = 180  # across the cloth as it lies: 4 mm on most folded cloth
_NOISE_MM: Final = 1e-9

Heights = NDArray[np.float64]


class _Bars(NamedTuple):
    """From where to where along y a form is barred by another, by the distance of their columns."""

    low: Heights  # (forms of the one coming down, distances)
    high: Heights


class NoFitColumns:
    """Cloth without a repeat, filled afresh each time. `copies` names each copy's stock."""

    def __init__(
        self, copies: Sequence[int], forms: Sequence[Sequence[Form]], cloth: Ground
    ) -> None:
        self.copies = copies
        self.forms = forms
        self.column_mm = cloth.width_mm / COLUMNS
        self.columns = COLUMNS + cloth.spare_columns
        self._profiles = [
            [profile_of(form, self.column_mm, 0.0, COLUMNS) for form in turns] for turns in forms
        ]
        self._tops = [
            np.array([[profile.head.max()] for profile in profiles]) for profiles in self._profiles
        ]
        self._shut = [self._no_places(stock) for stock in range(len(forms))]
        self._bars: dict[tuple[int, int, int], _Bars] = {}
        self._rightness = np.arange(self.columns) * 1e-6  # equal places: the one nearest x = 0

    def fill(self, plan: Plan) -> Fill | None:
        """Set down every copy where its cost is least; None if a copy finds no place.

        The cost is where the form ends along the cloth; `waste_weight` from 0 to 1 says how much
        of it is where the form begins instead.
        """
        spots: dict[int, Spot] = {}
        laid: list[tuple[int, int, int, float]] = []  # stock, form, column, y
        ends: list[float] = []
        for i in plan.order:
            stock = self.copies[i]
            y = self._lowest(stock, laid)
            cost = y + (1 - plan.waste_weight) * self._tops[stock] + self._rightness
            only = plan.forced.get(i)
            if only is not None:
                cost = cost + np.where(np.arange(len(cost)) == only, 0.0, np.inf)[:, None]
            form, column = divmod(int(cost.argmin()), self.columns)
            if math.isinf(cost[form, column]):
                return None
            at = float(y[form, column])
            laid.append((stock, form, column, at))
            ends.append(at + float(self._tops[stock][form, 0]))
            spots[i] = Spot(form, column * self.column_mm, at)
        in_turn = tuple(spots[i] for i in range(len(self.copies)))
        return Fill(max(ends), sum(ends) / len(ends), in_turn)

    def _lowest(self, stock: int, laid: Sequence[tuple[int, int, int, float]]) -> Heights:
        """The least y free of all that is laid, for each form and column; infinite for no place."""
        y = self._shut[stock].copy()
        if not laid:
            return y
        low = np.empty((len(laid), *y.shape))
        high = np.empty_like(low)
        for k, (other, form, column, at) in enumerate(laid):
            bars = self._barred(stock, other, form)
            here = slice(self.columns - column, 2 * self.columns - column)
            np.add(bars.low[:, here], at + _NOISE_MM, out=low[k])
            np.add(bars.high[:, here], at - _NOISE_MM, out=high[k])
        start = np.array([form.held == "start" for form in self.forms[stock]])
        while True:
            barred = (low < y) & (y < high)
            if not barred.any():
                break
            y = np.where(barred, high + _NOISE_MM, y).max(axis=0)
        if start.any():
            y[start[:, None] & (y > _NOISE_MM)] = np.inf
        return y

    def _no_places(self, stock: int) -> Heights:
        """Zero where a form has room across the cloth, infinite where it has none."""
        shut = np.full((len(self.forms[stock]), self.columns), np.inf)
        for which, form in enumerate(self.forms[stock]):
            room = self.columns - len(self._profiles[stock][which].foot) + 1
            shut[which, : 1 if form.held == "left" else room] = 0.0
        return shut

    def _barred(self, stock: int, other: int, form: int) -> _Bars:
        key = (stock, other, form)
        if key not in self._bars:
            still = self._profiles[other][form]
            bars = [_between(moving, still, self.columns) for moving in self._profiles[stock]]
            self._bars[key] = _Bars(
                np.array([low for low, _ in bars]), np.array([high for _, high in bars])
            )
        return self._bars[key]


def _between(moving: Profile, still: Profile, columns: int) -> tuple[Heights, Heights]:
    """Where a form may not begin along y, by how many columns it lies right of another, from
    `-columns` to `columns`; nothing is barred where they share no column."""
    wide, count = len(moving.foot), len(still.foot)
    low, high = np.full(2 * columns + 1, np.inf), np.full(2 * columns + 1, -np.inf)
    foot = np.pad(still.foot, wide - 1, constant_values=np.inf)
    head = np.pad(still.head, wide - 1, constant_values=-np.inf)
    shared = slice(columns - wide + 1, columns + count)
    low[shared] = (sliding_window_view(foot, wide) - moving.head).min(axis=1)
    high[shared] = (sliding_window_view(head, wide) - moving.foot).max(axis=1)
    return low, high
