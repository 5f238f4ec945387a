"""The search for a plan of the shoot days: an order, how it fits the days, how good it can be."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from itertools import pairwise
from typing import Final

from webapp.filming.day_order import DayOrder
from webapp.filming.filming_time import same_place
from webapp.filming.shoot_days import ShootDay
from webapp.plan.day_bounds import DayBounds
from webapp.plan.day_improving import DayImproving
from webapp.plan.day_parts import Built, DayParts, parts_of
from webapp.plan.day_plan import DayPlan
from webapp.plan.day_search import DaySearch, Division, fits
from webapp.plan.days import by_date, day_plan, open_days, planned_through
from webapp.plan.edits import changed
from webapp.plan.planned import HAIR, PlannedDays
from webapp.plan.planned_keys import keys_of
from webapp.plan.results import Plan
from webapp.plan.shot_order import filmed_first, in_build_order
from webapp.plan.unplaced import why_unplaced

_FOR_ORDER: Final = 0.4  # of the time goes to orders at the most, the rest to fitting them in
_FOR_LEFT: Final = 0.2  # of the time, twice, to shots that fit on no day
_FOR_SETTLING: Final = 0.06  # of the time, at the end
_SAME_RISK, _SAME_LATE = 0.02, 60.0  # of the days: less is not worth planning them anew


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
        self.better = DayImproving(self.trial)
        self.make_up = 0.0
        self.as_is = self._as_is(plan)
        self.bound = 0.0
        self.keys = keys_of(plan)

    def _built(self, first_day: date | None) -> Built:
        """What is done before the first open day; from `first_day` on there are evenings."""
        built = self.parts.begun()
        for day in self.closed:
            if day.day < self.open[0].day:
                built = day_plan(self.parts, day, built)[1]
        if first_day is not None and (built.after is None or built.after[0] < first_day):
            built = replace(built, after=(first_day, 0.0))
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
        found = trial.filled(self.listed)
        if self.as_is is not None and trial.fits(self.as_is.days):
            found = min(found, self.as_is, key=lambda one: one.rank)
        bounds = DayBounds(trial, self.listed, self.before, seed)
        self.make_up = bounds.make_up
        tell(found)
        for order in bounds.first(seconds * _FOR_ORDER):
            found = min(found, *self._laid_out(order), key=lambda one: one.rank)
        self.bound = bounds.least
        settling = seconds * _FOR_SETTLING
        found = self._improved(found, lambda: left_s() - seconds / 4, seed, tell)
        while not found.left and self.bound < found.lost - HAIR and left_s() > settling:
            another = bounds.raised(left_s() - settling)
            if another is None:
                break
            self.bound = bounds.least
            found = min(found, *self._laid_out(another), key=lambda one: one.rank)
        found = self._improved(found, lambda: left_s() - settling, seed + 1, tell)
        return self._better(self.better.settled(found, left_s=left_s, seed=seed))

    def _improved(
        self, found: Division, left_s: Callable[[], float], seed: int, tell: Callable[..., None]
    ) -> Division:
        """The division with fewer shots left where there are some, and less time lost."""
        if found.left:
            until = left_s() * (1 - _FOR_LEFT)
            found = self.better.with_fewer_left(found, left_s=lambda: left_s() - until, seed=seed)
        return self.better.improved(found, goal=self.bound, left_s=left_s, seed=seed, progress=tell)

    def _better(self, found: Division) -> Division:
        """The division there is, where it leaves out and overruns less than what was found, and
        ends in time as often."""
        if self.as_is is None:
            return found
        now, new = self._trouble(self.as_is), self._trouble(found)
        if (now, self.as_is.lost) > (new, found.lost + HAIR):
            return found
        if now < new or self.as_is.lost < found.lost - HAIR:
            return self.as_is
        risk, late = self.trial.spread(self.as_is)
        new_risk, new_late = self.trial.spread(found)
        settled = risk > new_risk + _SAME_RISK or (
            risk >= new_risk and late > new_late + _SAME_LATE
        )
        return found if settled else self.as_is

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

    def _laid_out(self, order: DayOrder) -> list[Division]:
        """The order on the days: as divided where that fits, and filled up day by day."""
        groups = [tuple(self.listed[task] for task in group) for group in order.days]
        found = [self.trial.filled([shot for group in groups for shot in group])]
        if len(groups) <= len(self.open):
            empty = ((),) * (len(self.open) - len(groups))
            days = (*groups, *empty)
            if self.trial.fits(days):
                found.append(self.trial.division(days, ()))
        return found

    # --- What it came to -------------------------------------------------------------------

    def result(self, found: Division) -> PlannedDays:
        """The plan as the page shows it."""
        kept, plans = self._as_shown(found)
        holds = not found.left and self.trial.fits(found.days)
        changes, minutes = self._in_build_order(found)
        return PlannedDays(
            tuple(sorted((*self.closed, *(plan.day for plan in plans)), key=lambda day: day.day)),
            why_unplaced(self.trial, found),
            sum(plan.changes for plan in plans),
            found.changing,
            self.bound if holds else 0.0,
            changes,
            minutes,
            sum(plan.idle for plan in plans),
            kept=kept,
            keys=self.keys,
        )

    def _as_shown(self, found: Division) -> tuple[bool, tuple[DayPlan, ...]]:
        """Whether the days stay as they are, and the days; they keep the work typed before them
        unless other work there is better."""
        plans = self.trial.plans(found.days)
        if found is not self.as_is:
            return False, plans
        typed = tuple(
            changed(day, shots=(*(s for s in day.shots if s not in shots), *shots))
            for day, shots in zip(self.open, found.days, strict=True)
        )
        as_typed = tuple(planned_through(self.parts, typed, self.trial.built))
        surely = self.trial.surely
        worse = sum(day.idle for day in as_typed) > sum(day.idle for day in plans) + HAIR or any(
            fits(new, surely=surely) and not fits(old, surely=surely)
            for old, new in zip(as_typed, plans, strict=True)
        )
        return (False, plans) if worse else (True, as_typed)

    def _in_build_order(self, found: Division) -> tuple[int, float]:
        """Changes of place and minutes of the same shots in build order, on as many days.

        The nights fall where they save most, and make-up is done once. A camera that stands from
        what was filmed on the first of the days counts as it does in the plan.
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
        stand, begins = self.trial.stands(first), parts.shots[names[0]].shot
        moves = stand is not None and not same_place(parts.shots[stand].shot, begins)
        return moves + sum(one[2] for one in by_day), minutes + make_up


def _only_filmed(parts: DayParts, day: ShootDay) -> ShootDay:
    """The day with what was filmed on it, or nobody knows when."""

    def stays(shot: str) -> bool:
        known = parts.shots.get(shot)
        filmed = known.shot.filmed if known else None
        return filmed is not None and filmed.day in (None, day.day)

    return day.model_copy(update={"shots": tuple(shot for shot in day.shots if stays(shot))})
