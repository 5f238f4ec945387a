"""How few minutes of changing over there can be at the least, however the shots are divided.

Every order that is worked out for a bound is a plan to try as well.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Final

from webapp.filming.day_order import DayOrder, order_in_days
from webapp.filming.sequence import SequenceError
from webapp.filming.shoot_days import ShootDay, minutes_of
from webapp.plan.day_search import DaySearch
from webapp.plan.shot_order import Pair, nights_between

_SHORTEST_S: Final = 0.05
_PRICES: Final = 6  # of a night that may be tried, besides none


class DayBounds:
    """Bounds for the shots `listed`, which are to be filmed on the days of a search.

    `before`: which shots come before which; `listed` keeps them.
    """

    def __init__(
        self, trial: DaySearch, listed: Sequence[str], before: set[Pair], seed: int
    ) -> None:
        self._trial, self._names, self._seed = trial, tuple(listed), seed
        place = {name: at for at, name in enumerate(listed)}
        self._pairs = [(place[a], place[b]) for a, b in before if a in place and b in place]
        longest_day = max(day.ends_at - day.goes_on for day in trial.days)
        beforehand = _shown_beforehand(trial)
        self._done = {*trial.built.ready, *beforehand}
        self._worked = {*(trial.built.ready.keys() - trial.built.left.keys()), *beforehand}
        nights = nights_between(trial.parts, listed, before, longest_day, self._done)
        self._nights = tuple([own[name] for name in listed] for own in nights)
        self._stands = [shot for at in range(len(trial.days)) if (shot := trial.stands(at))]
        self._start = [self._least_link(name, 0) for name in listed]
        self._morning = [self._least_link(name, 1) for name in listed]
        self._orders: dict[float, tuple[DayOrder, float]] = {}  # by the price of a night
        self._over_nights: dict[int, float] = {}
        self.make_up = self._least_make_up()

    @property
    def least(self) -> float:
        """No division takes fewer minutes, as far as is proven."""
        return min(self._least_costs().values(), default=0.0)

    def first(self, seconds: float) -> Iterator[DayOrder]:
        """The orders that a first bound comes from, within about so many seconds.

        The best price is the one at which an order has as many nights as there are between the
        days; a higher one brings more of them.
        """
        prices = self._prices()
        low, high = 0, len(prices) - 1
        for _ in range(len(prices).bit_length()):
            if low > high:
                return
            middle = (low + high) // 2
            order = self._priced(prices[middle], seconds / len(prices).bit_length())
            yield order
            costs = self._least_costs()
            if self._nights_in(order, prices[middle]) >= min(costs, key=lambda n: costs[n]):
                high = middle - 1
            else:
                low = middle + 1

    def _nights_in(self, order: DayOrder, price: float) -> int:
        """How many changes of an order cost less over night."""
        if len(self._trial.days) == 1:
            return 0
        tasks, link = [task for day in order.days for task in day], self._trial.link
        return sum(
            self._morning[b] - price < link(self._names[a], self._names[b])
            for a, b in pairwise(tasks)
        )

    def raised(self, seconds: float) -> DayOrder | None:
        """An order from which a better bound may come; None where nothing is left to try."""
        open_ones = [
            (tried, price)
            for price, (order, tried) in self._orders.items()
            if order.bound < order.cost
        ]
        if open_ones:
            tried, price = min(open_ones)
            return self._priced(price, min(2 * tried, seconds))
        while True:
            costs = self._least_costs()
            days = min(costs, key=lambda number: costs[number])
            if days in self._over_nights:
                return None
            try:
                order = self._order(days, seconds / 2)
            except SequenceError:  # one of so many days would be empty
                self._over_nights[days] = float("inf")
                continue
            self._over_nights[days] = order.bound + self.make_up
            return order

    def _prices(self) -> list[float]:
        """Minutes that a night may be thought to cost: what a morning takes more than a change."""
        names, link = self._names, self._trial.link
        more = {round(link(None, b) - link(a, b), 2) for a in names for b in names if a != b}
        above = sorted(price for price in more if 0 < price <= min(self._morning))
        every = max(1, len(above) // _PRICES)
        return [0.0, *above[: every * _PRICES : every]]

    def _priced(self, price: float, seconds: float) -> DayOrder:
        order = self._order(1, seconds, price)
        if price in self._orders and self._orders[price][0].bound > order.bound:
            order = DayOrder(order.days, order.cost, self._orders[price][0].bound)
        self._orders[price] = order, max(seconds, _SHORTEST_S)
        return order

    def _least_costs(self) -> Mapping[int, float]:
        """What a division into so many days costs at the least, for each number there can be.

        By the price of a night there is the least that one order of all shots costs where each
        change may be a night instead and costs no more than a morning less that price; so a
        division costs that order's minutes and the prices of its nights at the least (a Lagrangian
        bound). So many days are needed as have room for the work, the filming and these minutes,
        and a night between for each rest that is longer than a day. Make-up is done once.
        """
        days = self._trial.days
        need, longest = self._need()
        rooms = sorted((_room(day, longest) for day in days), reverse=True)
        costs: dict[int, float] = {}
        for count in range(1, len(days) + 1):
            cost = self.make_up + max(
                (order.bound + price * (count - 1) for price, (order, _) in self._orders.items()),
                default=0.0,
            )
            cost = max(cost, self._over_nights.get(count, 0.0))
            has_room = sum(rooms[:count]) >= need + cost and count > max(self._nights[0])
            if has_room or (count == len(days) and not costs):
                costs[count] = cost
        return costs

    def _need(self) -> tuple[float, float]:
        """Minutes of work and filming that fall on the days at the least, and the longest task."""
        parts = self._trial.parts
        each = [parts.rest(name) for name in self._names]
        steps = (parts.shots[name].shot.step for name in self._names)
        each += [parts.share(s) for s in steps if s in parts.steps and s not in self._worked]
        return sum(min(one.likely, one.mean) for one in each), max(one.likely for one in each)

    def _order(self, days: int, seconds: float, price: float = 0.0) -> DayOrder:
        """The shots in the order that takes least to change over, through so many days.

        On one day of several that there are, a change costs no more than setting up in the morning
        less the price: a night might lie between.
        """
        names, link, morning = self._names, self._trial.link, self._morning
        table = [[link(a, b) for b in names] for a in names]
        if days == 1 < len(self._trial.days):
            at_night = [minutes - price for minutes in morning]
            table = [[min(pair) for pair in zip(row, at_night, strict=True)] for row in table]
        apart = days > max(self._nights[0])
        return order_in_days(
            self._start,
            morning,
            table,
            self._pairs,
            days,
            nights_before=self._nights[0] if apart else (),
            nights_after=self._nights[1] if apart else (),
            seconds=max(_SHORTEST_S, seconds),
            seed=self._seed,
        )

    def _least_make_up(self) -> float:
        """Minutes of make-up at the least: none where no shot left needs it, or it may be done."""
        parts, names = self._trial.parts, self._names
        made_up = [shot for shot in names if parts.is_made_up(shot)]
        empty = self._trial.plans(((),) * len(self._trial.days))
        if not made_up or any(parts.is_made_up(shot) for day in empty for shot in day.stands):
            return 0.0
        return min(
            parts.set_up(a, b).likely - parts.set_up(a, b, made_up=True).likely
            for b in made_up
            for a in (None, *self._stands, *(s for s in names if not parts.is_made_up(s)))
        )

    def _least_link(self, shot: str, since: int) -> float:
        """Minutes to set up for a shot as the first of a day, from the one of that number on.

        A day that goes on may have the camera standing.
        """
        link, trial = self._trial.link, self._trial
        stands = [trial.stands(at) for at in range(since, len(trial.days))]
        return min(link(stand, shot) for stand in (None, *stands))


def _shown_beforehand(trial: DaySearch) -> set[str]:
    """What shots show and is done before a day all the same, as typed: nothing waits for it."""
    return {
        name
        for day in trial.days
        for name in day.beforehand
        if name in trial.parts.steps and trial.parts.steps[name].shots
    }


def _room(day: ShootDay, longest: float) -> float:
    """Minutes of a day, less the breaks that are surely taken however long the longest task is."""
    room = float(day.ends_at - day.goes_on)
    for one in day.breaks:
        at = minutes_of(one.at)
        if at >= day.goes_on and at + longest + one.minutes <= day.ends_at:
            room -= one.minutes
    return max(0.0, room)
