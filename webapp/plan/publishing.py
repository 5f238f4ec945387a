"""The publish date: what is left to film, to speak and to edit, and whether it is done in time.

Pure: `today` is passed in by whoever knows it; without it the days are taken as they are planned.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from statistics import fmean
from typing import Final

from webapp.build.work_time import Estimate, total
from webapp.draft.names import plural
from webapp.filming.every_rate import EDITING, VOICE_OVER
from webapp.filming.publishing import (
    Schedule,
    editing_minutes,
    left_of,
    voice_over_minutes,
)
from webapp.filming.running_time import clock
from webapp.filming.shoot_days import ShootDay, minutes_of, told_day
from webapp.plan.day_parts import parts_of
from webapp.plan.days import by_date, day_plans, planned_through
from webapp.plan.edits import changed
from webapp.plan.episode import AfterFilming
from webapp.plan.results import Place, Plan, ShotPlan
from webapp.plan.screen_time import extra, video

GOOD_CHANCE: Final = 0.895  # rounds to 9 times in 10
_FURTHEST_DAYS: Final = 120  # after the filming; no later date is looked for
_WORTH_TELLING: Final = 0.02  # of chance
_A_DAY: Final = ShootDay(day=date.min)


@dataclass(frozen=True, slots=True)
class FilmingDay:
    """A shoot day to come: how many shots are left on it, and the chance that it ends in time."""

    day: date
    shots: int
    in_time: float


@dataclass(frozen=True)
class FilmingLeft:
    """What is left to film. `unplanned` are on no day, or on one that is past."""

    days: tuple[FilmingDay, ...]
    unplanned: tuple[ShotPlan, ...]
    unplanned_minutes: Estimate  # with the work of their steps
    more_days: int  # that these likely take
    past: tuple[date, ...]  # days gone by with shots that are not marked as filmed

    @property
    def runs_over(self) -> float:
        """The chance that a day does not end in time: of the worst, for days run late together."""
        return max((1 - one.in_time for one in self.days), default=0.0)


@dataclass(frozen=True)
class AfterWork:
    """The voice-over or the editing: the whole of it, and what is left of it."""

    kind: AfterFilming
    whole: Estimate
    spent: float  # minutes she has logged
    done: bool
    times: int  # of hers that the whole rests on

    @property
    def left(self) -> Estimate:
        """Minutes that are left."""
        return Estimate() if self.done else left_of(self.whole, self.spent)


@dataclass(frozen=True)
class Outlook:
    """Whether the date is made. Without a schedule `lacks` says what it waits for."""

    filming: FilmingLeft
    voice_over: AfterWork
    editing: AfterWork
    begins: date | None  # when voice-over and editing can begin
    schedule: Schedule | None
    lacks: str = ""
    today: date | None = None  # as far as is known

    @property
    def needed(self) -> Estimate:
        """Minutes of voice-over and editing that are left."""
        return total([self.voice_over.left, self.editing.left])

    @property
    def is_done(self) -> bool:
        """True when nothing is left to film, to record or to edit."""
        filming = self.filming
        return not filming.days and not filming.unplanned and self.needed.high == 0

    @property
    def is_past(self) -> bool:
        """True when the date has gone by and something is left to do, as far as is known."""
        schedule, today = self.schedule, self.today
        return schedule is not None and today is not None and schedule.publish < today


@dataclass(frozen=True, slots=True)
class Help:
    """A change that makes it likelier, the chance it comes to, and where it is made."""

    words: str
    chance: float
    place: Place
    publish: date | None = None  # the date to set, where that is the change


def outlook(plan: Plan, today: date | None = None) -> Outlook:
    """What is left before the publish date, and the chance of making it."""
    filming = filming_left(plan, today)
    voice_over, editing = after_filming(plan)
    begins = _begins(plan, filming, today)
    found = Outlook(filming, voice_over, editing, begins, None, today=today)
    publish = plan.episode.brief.publish_date
    if not plan.shots:
        return replace(found, lacks="There is no shot yet, so nothing can be worked out.")
    if found.is_done:
        return replace(found, lacks="All is filmed, recorded and edited.")
    if publish is None:
        return replace(found, lacks="No publish date is set yet.")
    if begins is None:
        return replace(found, lacks="No shoot day is planned yet.")
    schedule = Schedule(
        publish,
        begins,
        plan.episode.brief.edit_hours_a_day,
        voice_over.left,
        editing.left,
        filming.more_days,
        filming.runs_over,
    )
    return replace(found, schedule=schedule)


def earliest(found: Outlook, hours_a_day: float) -> date | None:
    """The first publish date that is made 9 times in 10; None when nothing says when to begin."""
    if found.begins is None:
        return None
    filming = found.filming
    schedule = Schedule(
        found.begins,
        found.begins,
        hours_a_day,
        found.voice_over.left,
        found.editing.left,
        filming.more_days,
        filming.runs_over,
    )
    days = _days_until_good(schedule)
    return None if days is None else schedule.publish + timedelta(days=days)


def after_filming(plan: Plan) -> tuple[AfterWork, AfterWork]:
    """The voice-over and the editing of the video and the members' extra."""
    spoken = video(plan).voice_over_s + extra(plan).voice_over_s
    runs = plan.running_time_s + plan.extra_running_time_s
    return (
        _after(plan, "voice-over", voice_over_minutes(spoken, plan.rates[VOICE_OVER.key])),
        _after(plan, "editing", editing_minutes(runs, plan.rates[EDITING.key])),
    )


def filming_left(plan: Plan, today: date | None = None) -> FilmingLeft:
    """The shoot days with something left to film, and the shots that are on none of them."""
    days, past, planned = [], [], set()
    for row in day_plans(plan):
        left = [one.plan.shot.id for one in row.shots if one.plan.shot.filmed is None]
        if left and today is not None and row.day.day < today:
            past.append(row.day.day)
        elif left:
            in_time = row.ends.chance_of_at_most(row.day.ends_at)
            days.append(FilmingDay(row.day.day, len(left), in_time))
            planned.update(left)
    unplanned = tuple(
        one for one in plan.shots if one.shot.filmed is None and one.shot.id not in planned
    )
    minutes = _minutes_of(plan, unplanned)
    more = _more_days(plan, unplanned, minutes.likely, today) if unplanned else 0
    return FilmingLeft(tuple(days), unplanned, minutes, more, tuple(past))


def helps(plan: Plan, found: Outlook) -> tuple[Help, ...]:
    """What would make it likelier to make the date, the most first; nothing when it is made."""
    schedule = found.schedule
    if schedule is None or schedule.chance >= GOOD_CHANCE:
        return ()
    worth = [
        one
        for one in _helps(plan, found, schedule)
        if one.chance >= schedule.chance + _WORTH_TELLING
    ]
    return tuple(sorted(worth, key=lambda one: -one.chance))


def _helps(plan: Plan, found: Outlook, schedule: Schedule) -> Iterator[Help]:
    later = _days_until_good(schedule)
    if later is not None:
        moved = _published_in(schedule, later)
        by = "" if found.is_past else f" {plural(later, 'day')} later,"
        words = f"Publish{by} on {told_day(moved.publish)}"
        yield Help(words, moved.chance, Place("brief", item="publish_date"), moved.publish)
    over = video(plan).over_s
    if over > 0:
        share = 1 - over / (plan.running_time_s + plan.extra_running_time_s)
        shorter = replace(
            schedule,
            editing=schedule.editing.times(share),
            voice_over=schedule.voice_over.times(share),
        )
        words = f"Cut the {clock(over)} that the video runs over its target"
        yield Help(words, shorter.chance, Place("running-time"))
    if schedule.hours_a_day < 16:
        more = replace(schedule, hours_a_day=schedule.hours_a_day + 1)
        words = f"Edit {more.hours_a_day:g} hours a day in place of {schedule.hours_a_day:g}"
        yield Help(words, more.chance, Place("brief", item="edit_hours_a_day"))
    filming = found.filming
    if filming.days and _can_be_earlier(plan, filming.days[-1].day, found.today):
        earlier = replace(schedule, begins=schedule.begins - timedelta(days=1))
        last = filming.days[-1].day
        words = f"Film what is on {told_day(last)} a day earlier"
        yield Help(words, earlier.chance, Place("days", item=last.isoformat()))
    if filming.more_days and filming.days:
        placed = replace(schedule, more_days=0)
        words = f"Find room on the shoot days for {_shots(len(filming.unplanned))} on none of them"
        yield Help(words, placed.chance, Place("days"))
    if filming.runs_over:
        in_time = replace(schedule, runs_over=0.0)
        worst = min(filming.days, key=lambda one: one.in_time).day
        words = f"Make {told_day(worst)} end in time"
        yield Help(words, in_time.chance, Place("days", item=worst.isoformat()))


def _can_be_earlier(plan: Plan, last: date, today: date | None) -> bool:
    """Whether the last day can be the day before: that is not past, nothing is to be filmed on it,
    and what has to rest has rested by then."""
    if last == date.min:
        return False
    before = last - timedelta(days=1)
    days = [day for day in by_date(plan) if day.shots]
    if (today is not None and before < today) or any(day.day == before for day in days):
        return False
    moved = [changed(day, day=before) if day.day == last else day for day in days]
    return not any(
        any(one.too_soon for one in row.shots) or any(one.too_soon for one in row.beforehand)
        for row in planned_through(parts_of(plan), moved)
    )


def _days_until_good(schedule: Schedule) -> int | None:
    """By how many days later than its date it is made 9 times in 10: looked for from the day on
    which what follows the filming can begin."""
    first = max(0, (schedule.begins - schedule.publish).days)
    furthest = min(first + _FURTHEST_DAYS, (date.max - schedule.publish).days)
    return next(
        (
            days
            for days in range(first, furthest + 1)
            if _published_in(schedule, days).chance >= GOOD_CHANCE
        ),
        None,
    )


def _published_in(schedule: Schedule, days: int) -> Schedule:
    return replace(schedule, publish=schedule.publish + timedelta(days=days))


def _after(plan: Plan, kind: AfterFilming, whole: Estimate) -> AfterWork:
    done = plan.episode.brief.done
    learned = plan.learned[kind]
    spent = math.fsum(one.minutes for one in plan.episode.time_log if one.timed == kind)
    is_done = kind in done or "editing" in done
    return AfterWork(kind, learned.moved(whole), spent, is_done, learned.times)


def _begins(plan: Plan, filming: FilmingLeft, today: date | None) -> date | None:
    """The day after the last shots; the first that is not past."""
    planned = [one.day for one in filming.days]
    if not planned and today is None:  # all is filmed: on the last of the days, as far as is known
        planned = [day.day for day in plan.episode.shoot_days if day.shots]
    after = _next(max(planned)) if planned else today
    return max(after, today) if after and today else after


def _next(day: date) -> date:
    return date.fromordinal(min(day.toordinal() + 1, date.max.toordinal()))


def _minutes_of(plan: Plan, shots: tuple[ShotPlan, ...]) -> Estimate:
    """The filming of these shots, and the part of its step's work that goes on from each."""
    parts = parts_of(plan)
    work = [parts.share(one.shot.step) for one in shots if one.shot.step in parts.steps]
    return total([*(one.filming for one in shots), *work])


def _more_days(plan: Plan, shots: tuple[ShotPlan, ...], minutes: float, today: date | None) -> int:
    """The days that so many minutes take, where the camera is set up first of all on each.

    They are as long as the shoot days to come on average, without their breaks; where there are
    none, or all are too short to set up on, as long as a day as it is first offered.
    """
    rate = plan.rates["first place"]
    first_place = Estimate(rate.low, rate.likely, rate.high)
    set_up = plan.learned["filming"].moved(first_place).likely
    to_come = [day for day in plan.episode.shoot_days if today is None or day.day >= today]
    long_enough = [m for m in map(_room_on, to_come or plan.episode.shoot_days) if m > set_up]
    day = fmean(long_enough or [_room_on(_A_DAY)])
    if day <= set_up:  # nothing fits on any day, which is told with the shoot days
        return math.ceil(minutes / day)
    counted = set_up if plan.shots[0] in shots else 0.0  # with the first shot there is
    return max(1, math.ceil((minutes - counted) / (day - set_up)))


def _room_on(day: ShootDay) -> float:
    """The minutes of a day without those of its breaks."""
    rests = 0
    for one in day.breaks:
        at = max(day.starts_at, minutes_of(one.at))
        rests += max(0, min(day.ends_at, at + one.minutes) - at)
    return max(0, day.ends_at - day.starts_at - rests)


def _shots(count: int) -> str:
    return "the shot that is" if count == 1 else f"the {count} shots that are"
