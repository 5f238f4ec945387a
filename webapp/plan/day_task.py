"""The search for a plan of the shoot days: an order, how it fits the days, how good it can be."""

from collections.abc import Callable, Mapping
from datetime import date
from itertools import pairwise
from typing import Final

from webapp.filming.day_order import DayOrder, order_in_days
from webapp.filming.filming_time import same_place
from webapp.filming.shoot_days import ShootDay, minutes_of
from webapp.plan.day_parts import Built, DayParts, parts_of
from webapp.plan.day_plan import DayPlan
from webapp.plan.day_search import DaySearch, Division, fits
from webapp.plan.days import by_date, day_plan, open_days
from webapp.plan.planned import HAIR, PlannedDays
from webapp.plan.planned_keys import hours_key, shots_key, steps_key
from webapp.plan.planning_faults import why_unplaced
from webapp.plan.results import Plan
from webapp.plan.shot_order import filmed_first, in_build_order, nights_between

_FOR_ORDER: Final = 0.4  # of the time goes to orders at the most, the rest to fitting them in
_SHORTEST_S: Final = 0.05
_PRICES: Final = 4


class DayTask:
    """What is to be planned: the days that are open and the shots that are not filmed."""

    def __init__(self, plan: Plan, first_day: date | None, surely: bool) -> None:
        self.parts = parts_of(plan)
        self.shots = tuple(shot for shot in plan.shots if shot.shot.filmed is None)
        self.before = filmed_first(self.parts, self.shots)
        self.listed = in_build_order(self.parts, self.shots)
        open_dates = {day.day for day in open_days(plan, first_day)}
        self.closed = tuple(
            _only_filmed(self.parts, day) for day in by_date(plan) if day.day not in open_dates
        )
        self.open = tuple(
            _only_filmed(self.parts, day) for day in by_date(plan) if day.day in open_dates
        )
        self.trial = DaySearch(
            self.parts, self.open, self._built(first_day), self.before, surely=surely
        )
        self.nights_before, self.nights_after = nights_between(
            self.parts,
            self.listed,
            self.before,
            max(day.ends_at - day.goes_on for day in self.open),
        )
        self.make_up = self._least_make_up()
        self.as_is = self._as_is(plan)
        self.bound = 0.0
        self.keys = (shots_key(plan), steps_key(plan), hours_key(plan))

    def _built(self, first_day: date | None) -> Built:
        """What is done before the first open day; from `first_day` on there are evenings."""
        built = self.parts.begun()
        for day in self.closed:
            if day.day < self.open[0].day:
                built = day_plan(self.parts, day, built)[1]
        if first_day is not None and (built.after is None or built.after[0] < first_day):
            built = Built(built.ready, (first_day, 0.0))
        return built

    def _as_is(self, plan: Plan) -> Division | None:
        """The division there is, where it is one: each shot once, in an order that can be built."""
        wanted = {shot.shot.id for shot in self.shots}
        seen: set[str] = set()
        days = []
        for day in by_date(plan):
            if any(day.day == one.day for one in self.open):
                own = tuple(shot for shot in day.shots if shot in wanted and shot not in seen)
                seen |= set(own)
                days.append(own)
        found = tuple(days)
        left = tuple(shot for shot in self.listed if shot not in seen)
        waits_on_none_left = not any(a in left and b in seen for a, b in self.before)
        if not (waits_on_none_left and self.trial.keeps_order(found)):
            return None
        return self.trial.division(found, left)

    # --- Searching -------------------------------------------------------------------------

    def search(
        self, seconds: float, left_s: Callable[[], float], seed: int, tell: Callable[..., None]
    ) -> Division:
        """The best division found."""
        trial = self.trial
        found = trial.fill(self.listed)
        if self.as_is is not None and trial.fits(self.as_is.days):
            found = min(found, self.as_is, key=lambda one: one.rank)
        tell(found)
        prices = self._prices()
        in_one_day = {}
        for price in prices:
            order = self._order(
                1, max(_SHORTEST_S, seconds * _FOR_ORDER / len(prices)), seed, price
            )
            in_one_day[price] = order.bound
            found = min(found, *self._laid_out(order), key=lambda one: one.rank)
        least = self._least_costs(in_one_day)
        self.bound = min(least.values())
        found = self._improved(found, lambda: left_s() - seconds / 4, seed, tell)
        for _ in range(len(self.open)):
            days = min(least, key=lambda number: least[number])
            if self.bound >= found.lost - HAIR or left_s() <= 0:
                break
            order = self._order(days, max(_SHORTEST_S, seconds * _FOR_ORDER / 4), seed)
            known, least[days] = least[days], max(least[days], order.bound + self.make_up)
            self.bound = min(least.values())
            found = min(found, *self._laid_out(order), key=lambda one: one.rank)
            if least[days] == known:
                break
        return self._better(self._improved(found, left_s, seed + 1, tell))

    def _improved(
        self, found: Division, left_s: Callable[[], float], seed: int, tell: Callable[..., None]
    ) -> Division:
        return self.trial.improved(found, goal=self.bound, left_s=left_s, seed=seed, progress=tell)

    def _prices(self) -> list[float]:
        """Minutes that a night may be thought to cost: what a morning takes more than a change."""
        names, link = self.listed, self.trial.link
        more = {round(link(None, b) - link(a, b), 2) for a in names for b in names if a != b}
        above = sorted(price for price in more if price > 0)
        every = max(1, len(above) // _PRICES)
        return [0.0, *above[: every * _PRICES : every]]

    def _least_costs(self, in_one_day: Mapping[float, float]) -> dict[int, float]:
        """What a division into so many days costs at the least, for each number there can be.

        `in_one_day`: the least that one order of all shots costs, by the price of a night, where
        each change may be a night instead and costs no more than a morning less that price: so
        many nights cost that order's minutes and their prices at the least (a Lagrangian bound).
        So many days are needed as have room for the work, the filming and these minutes, and a
        night between for each rest that is longer than a day. Make-up is done once.
        """
        parts = self.parts
        done = set(parts.begun().ready)
        shown = {s.shot.step for s in self.shots if s.shot.step in parts.steps} - done
        each = [parts.rest(shot.shot.id) for shot in self.shots]
        each += [parts.steps[step].work for step in shown]
        need = sum(min(one.likely, one.mean) for one in each)
        longest = max(one.likely for one in each)
        rooms = sorted((_room(day, longest) for day in self.open), reverse=True)
        costs = {
            days: self.make_up
            + max(least + price * (days - 1) for price, least in in_one_day.items())
            for days in range(1, len(rooms) + 1)
        }
        enough = {
            days: cost
            for days, cost in costs.items()
            if sum(rooms[:days]) >= need + cost and days > max(self.nights_before.values())
        }
        return enough or {len(rooms): costs[len(rooms)]}

    def _least_make_up(self) -> float:
        """Minutes of make-up at the least: none where no shot left needs it, or it may be done."""
        parts = self.parts
        made_up = [shot for shot in self.listed if parts.is_made_up(shot)]
        if not made_up or any(parts.is_made_up(s) for day in self._empty() for s in day.stands):
            return 0.0
        return min(
            parts.set_up(a, b).likely - parts.set_up(a, b, made_up=True).likely
            for b in made_up
            for a in (None, *(name for name in self.listed if not parts.is_made_up(name)))
        )

    def _empty(self) -> tuple[DayPlan, ...]:
        """The open days with only what is filmed on them."""
        return self.trial.plans(((),) * len(self.open))

    def _better(self, found: Division) -> Division:
        """The division there is, where it leaves out and overruns less than what was found."""
        if self.as_is is None:
            return found
        now, new = self._trouble(self.as_is), self._trouble(found)
        if (now, self.as_is.lost) <= (new, found.lost + HAIR):
            return self.as_is
        return found

    def _trouble(self, found: Division) -> float:
        """Minutes of what is on no day, too late, in the dark or too soon."""
        minutes = sum(self.parts.rest(shot).likely for shot in found.left)
        surely = self.trial.surely
        for day in self.trial.plans(found.days):
            if not fits(day, surely=surely):
                dark = day.perhaps_in_the_dark if surely else day.in_the_dark
                minutes += day.over.high if surely else day.over.likely
                minutes += sum(shot.filming.likely for shot in dark)
                minutes += sum(shot.filming.likely for shot in day.shots if shot.too_soon)
        return round(minutes, 3)

    def _order(self, days: int, seconds: float, seed: int, price: float = 0.0) -> DayOrder:
        """The shots in the order that takes least to change over, through so many days.

        On one day of several that there are, a change costs no more than setting up in the morning
        less the price: a night might lie between.
        """
        names, link = self.listed, self.trial.link
        place = {name: at for at, name in enumerate(names)}
        morning = [link(None, name) for name in names]
        first = [min(link(None, b), self.trial.changing(0, (b,))) for b in names]
        table = [[link(a, b) for b in names] for a in names]
        if days == 1 < len(self.open):
            at_night = [max(0.0, minutes - price) for minutes in morning]
            table = [[min(pair) for pair in zip(row, at_night, strict=True)] for row in table]
        pairs = [(place[a], place[b]) for a, b in self.before if a in place and b in place]
        apart = days > max(self.nights_before.values())
        return order_in_days(
            first,
            morning,
            table,
            pairs,
            days,
            nights_before=[self.nights_before[name] for name in names] if apart else (),
            nights_after=[self.nights_after[name] for name in names] if apart else (),
            seconds=seconds,
            seed=seed,
        )

    def _laid_out(self, order: DayOrder) -> list[Division]:
        """The order on the days: as divided where that fits, and filled up day by day."""
        groups = [tuple(self.listed[task] for task in group) for group in order.days]
        found = [self.trial.fill([shot for group in groups for shot in group])]
        if len(groups) <= len(self.open):
            empty = ((),) * (len(self.open) - len(groups))
            days = (*groups, *empty)
            if self.trial.fits(days):
                found.append(self.trial.division(days, ()))
        return found

    # --- What it came to -------------------------------------------------------------------

    def result(self, found: Division) -> PlannedDays:
        """The plan as the page shows it."""
        plans = self.trial.plans(found.days)
        changes, minutes = self._in_build_order(found)
        return PlannedDays(
            tuple(sorted((*self.closed, *(plan.day for plan in plans)), key=lambda day: day.day)),
            tuple(why_unplaced(self.trial, found, shot) for shot in found.left),
            sum(plan.changes for plan in plans),
            found.changing,
            min(self.bound, found.changing),
            changes,
            minutes,
            found.idle,
            kept=found is self.as_is,
            keys=self.keys,
        )

    def _in_build_order(self, found: Division) -> tuple[int, float]:
        """Changes of place and minutes of the same shots in build order, on as many days.

        The nights fall where they save most, and make-up is done once.
        """
        left = set(found.left)
        names = [name for name in self.listed if name not in left]
        if not names:
            return 0, 0.0
        nights = sum(bool(day) for day in found.days) - 1
        parts, link = self.parts, self.trial.link
        changes = [
            (
                link(a, b),
                link(None, b),
                not same_place(parts.shots[a].shot, parts.shots[b].shot),
            )
            for a, b in pairwise(names)
        ]
        changes.sort(key=lambda one: (one[0] - one[1], one[2]), reverse=True)
        at_night, by_day = changes[:nights], changes[nights:]
        first = next(at for at, day in enumerate(found.days) if day)
        start = self.trial.changing(first, names[:1])
        make_up = self.make_up if not parts.is_made_up(names[0]) else 0.0
        minutes = start + sum(one[1] for one in at_night) + sum(one[0] for one in by_day)
        return sum(one[2] for one in by_day), minutes + make_up


def _only_filmed(parts: DayParts, day: ShootDay) -> ShootDay:
    """The day with what was filmed on it, or nobody knows when."""

    def stays(shot: str) -> bool:
        known = parts.shots.get(shot)
        filmed = known.shot.filmed if known else None
        return filmed is not None and filmed.day in (None, day.day)

    return day.model_copy(update={"shots": tuple(shot for shot in day.shots if stays(shot))})


def _room(day: ShootDay, longest: float) -> float:
    """Minutes of a day, less the breaks that are surely taken however long the longest task is."""
    room = float(day.ends_at - day.goes_on)
    for one in day.breaks:
        at = minutes_of(one.at)
        if at >= day.goes_on and at + longest + one.minutes <= day.ends_at:
            room -= one.minutes
    return max(0.0, room)
