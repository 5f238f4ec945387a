"""What the page of times shows: the clock, what can be timed, and each time against its range."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final

from webapp.build.calibration import Side, side_of
from webapp.build.time_kinds import KIND_WORDS
from webapp.build.time_log import TimeEntry, TimeKind, Timer, WorkedOut
from webapp.build.work_time import Estimate
from webapp.errors import NotThereError
from webapp.filming.shoot_days import told_day
from webapp.pages.forms import UNANSWERED, Answers
from webapp.pages.time_fields import clock_key, read_time_key, time_key
from webapp.plan.episode import Episode
from webapp.plan.moved_minutes import MovedMinutes
from webapp.plan.publishing import after_filming
from webapp.plan.results import Plan
from webapp.plan.sittings import IN_SITTINGS, what_of, wholes
from webapp.plan.time_edits import timer_seconds
from webapp.plan.time_rows import KindRow, spelled, spelled_about
from webapp.plan.times import OtherTimes, TimesReport, other_times, times_report
from webapp.plan.to_time import ToTime, to_time

_WIDEST: Final = math.log(4.0)  # a range bar goes from a quarter to four times what was likely
_BAR: Final = 150.0  # its length, px
_PACE_WIDEST: Final = math.log(2.0)  # a pace bar goes from half as long to twice as long
_PACE_BAR: Final = 300.0
_AFTER: Final = {"voice-over": "Voice-over", "editing": "Editing"}


@dataclass(frozen=True)
class Offer:
    """Something that can be timed, as a row of the list."""

    key: str
    title: str
    shown: Estimate | None = None  # as the plan works it out; None where that is a page of its own
    spent: float = 0.0  # minutes already taken for it
    times: int = 0


@dataclass(frozen=True)
class Chosen:
    """What the clock is set to, with what is worked out for it."""

    key: str
    what: ToTime

    @property
    def kinds(self) -> tuple[TimeKind, ...]:
        """The kinds of work in it when there is more than one: each can be timed alone."""
        kinds = tuple(dict.fromkeys(share.kind for share in self.what.shares))
        return kinds if len(kinds) > 1 else ()


@dataclass(frozen=True)
class Clock:
    """A time that is being taken, as it stands at the moment of the page."""

    timer: Timer
    seconds: float
    now: datetime
    what: ToTime | None  # None when it was taken out of the plan meanwhile
    before: float = 0.0  # minutes that were taken before, if it is the rest of the same

    @property
    def runs(self) -> bool:
        """False while it is paused."""
        return self.timer.started is not None

    @property
    def stamp(self) -> str:
        """Of the moment of the page; another page has another."""
        return self.now.isoformat()

    @property
    def done_told(self) -> str:
        """When it is likely done by the clock on the wall; empty while it is paused."""
        if not self.runs or self.what is None:
            return ""
        begun = self.now - timedelta(seconds=self.seconds)
        shown = self.what.shown
        likely, latest = (begun + timedelta(minutes=m) for m in (shown.likely, shown.high))
        if self.now > latest:
            return "It has taken longer than that already."
        if self.now > likely:
            return f"Longer than likely already; 9 times in 10 done by {latest:%H:%M}."
        return f"Likely done at {likely:%H:%M}; 9 times in 10 by {latest:%H:%M}."

    @property
    def told(self) -> str:
        """Hours, minutes and seconds: `0:05:12`."""
        minutes, seconds = divmod(int(self.seconds), 60)
        return f"{minutes // 60}:{minutes % 60:02}:{seconds:02}"

    @property
    def key(self) -> str:
        """What is timed, for the forms of the clock: another tab may have ended it."""
        return clock_key(self.timer.timed, self.timer.item, self.timer.kind)

    @property
    def title(self) -> str:
        """What is timed, with the one kind of its work if it is one."""
        kind = self.timer.kind
        return f"{self.timer.title}: {KIND_WORDS[kind].lower()}" if kind else self.timer.title


@dataclass(frozen=True, slots=True)
class Running:
    """A clock of another episode."""

    episode_id: str
    title: str  # of the episode
    what: str


@dataclass(frozen=True, slots=True)
class RangeBar:
    """A range and a time on one scale, in px; the middle is what was likely."""

    low: float
    high: float
    at: float
    length: float = _BAR


@dataclass(frozen=True, slots=True)
class PaceBar:
    """Her pace at a kind of work and that of the estimates on one scale, in px; the middle is as
    the rates say."""

    shown: float
    own: float | None
    length: float = _PACE_BAR


@dataclass(frozen=True)
class TimesView:
    """The page of times."""

    report: TimesReport
    clock: Clock | None
    chosen: Chosen | None  # what Start starts, and what a time is written down for
    steps: tuple[Offer, ...]  # in the build order
    others: tuple[Offer, ...]  # shoot days, voice-over and editing
    next_up: Offer | None  # what can be started in the same press that stops the clock
    today: date
    others_timed: OtherTimes | None  # what could be taken in; None without other episodes
    others_running: tuple[Running, ...]  # clocks that run there meanwhile
    moved: tuple[MovedMinutes, ...] | None = None  # by the last change, if it was one of times
    added: bool = False  # … namely of a new one
    stopped: bool = False  # the clock, just now
    edit: str = ""  # the time that is being changed
    form: str = ""  # clock, written, earlier or a time's id: whose answers these are
    answers: Answers = UNANSWERED

    def answers_for(self, form: str) -> Answers | None:
        """The answers if they belong to this form."""
        return self.answers if form == self.form else None

    @property
    def kind_words(self) -> Mapping[TimeKind, str]:
        """What each kind of work is called."""
        return KIND_WORDS

    @property
    def seen(self) -> tuple[KindRow, ...]:
        """The kinds of work that times were taken of."""
        return tuple(row for row in self.report.kinds if row.own_pace or row.learned.set_aside)

    @property
    def unseen(self) -> str:
        """The kinds without a time, in words."""
        seen = self.seen
        return ", ".join(
            KIND_WORDS[row.kind].lower() for row in self.report.kinds if row not in seen
        )

    @property
    def why_unmoved(self) -> str:
        """Why a new time moved nothing, as far as it does not count, in a sentence."""
        return self.report.rows[0].told.removesuffix("Counts.") if self.added else ""

    @property
    def can_be_again(self) -> bool:
        """Whether a step or a shoot day has a time, so that it may be done again."""
        return any(row.entry.timed not in IN_SITTINGS for row in self.report.rows)

    def is_later(self, entry: TimeEntry) -> bool:
        """Whether a time of the same was written down before it."""
        same = (row.entry for row in self.report.rows if what_of(row.entry) == what_of(entry))
        *_, first = same
        return entry != first and entry.timed not in IN_SITTINGS

    def bar(self, entry: TimeEntry) -> RangeBar | None:
        """A time against the range shown then, to be drawn."""
        return range_bar(entry.shown, entry.minutes)

    def pace(self, row: KindRow) -> PaceBar:
        """How a kind of work stands against its rates, to be drawn."""
        own = None if row.own_pace is None else _on_scale(row.own_pace, _PACE_WIDEST, _PACE_BAR)
        return PaceBar(_on_scale(row.learned.factor, _PACE_WIDEST, _PACE_BAR), own)

    def estimate(self, shown: WorkedOut) -> Estimate:
        """What was worked out, as an estimate."""
        return Estimate(shown.low, shown.likely, shown.high)

    def exactly(self, minutes: float) -> str:
        """A time that was taken: to the second below ten minutes, else to the minute."""
        return spelled_about(minutes)

    def typed(self, minutes: float) -> str:
        """A time as it could have been typed, to the second."""
        return spelled(minutes)

    def side(self, entry: TimeEntry) -> Side | None:
        """Where a time fell in the range shown then."""
        return side_of(entry.minutes, entry.shown) if entry.shown.likely > 0 else None

    @property
    def gone(self) -> Answers | None:
        """The answers to an act on a time whose own form is not shown."""
        return self.answers_for("taken") or (
            self.answers if self.form.startswith("time-") and self.edit != self.form else None
        )


def range_bar(shown: WorkedOut, minutes: float) -> RangeBar | None:
    """The range shown then and the time, on a scale that doubles evenly; None without a range."""
    if shown.likely <= 0:
        return None
    low, high, at = (_place(one / shown.likely) for one in (shown.low, shown.high, minutes))
    return RangeBar(low, high, at)


def _place(ratio: float) -> float:
    return _on_scale(ratio, _WIDEST, _BAR)


def _on_scale(ratio: float, widest: float, length: float) -> float:
    """Where a ratio stands, 1 in the middle, on a scale that ends so far (its log) from that."""
    off = math.log(ratio) if ratio > 0 else -widest
    return length / 2 * (1 + max(-1.0, min(1.0, off / widest)))


def times_view(
    plan: Plan, now: datetime, others: Sequence[Episode] = (), *, wanted: str = "", **told: Any
) -> TimesView:
    """The page of a plan at this moment. `wanted` is what the address asks to time."""
    steps, more = _steps(plan), _others(plan)
    timer = plan.episode.timer
    running = time_key(timer.timed, timer.item) if timer else ""
    next_up = _next_up(steps, running)
    if not wanted and not running and next_up:
        wanted = next_up.key
    chosen = _chosen(plan, wanted)
    if running and chosen and wanted != running:
        next_up = Offer(wanted, chosen.what.title)
    return TimesView(
        times_report(plan),
        _clock(plan, timer, now) if timer else None,
        chosen,
        steps,
        more,
        next_up,
        now.date(),
        other_times(plan.episode, others) if others else None,
        tuple(_running(others)),
        **told,
    )


def _running(others: Iterable[Episode]) -> Iterator[Running]:
    for one in others:
        if one.timer is not None and one.timer.started is not None:
            yield Running(one.id, one.title, one.timer.title)


def _clock(plan: Plan, timer: Timer, now: datetime) -> Clock:
    try:
        what = to_time(plan, timer.timed, timer.item, timer.kind)
    except NotThereError:
        what = None
    same = ("", timer.timed, timer.item, timer.kind)
    before = [one.entry.minutes for one in wholes(plan.episode) if what_of(one.entry) == same]
    return Clock(timer, timer_seconds(timer, now), now, what, before[-1] if before else 0.0)


def _chosen(plan: Plan, wanted: str) -> Chosen | None:
    """What is asked for; nothing when it is not there."""
    try:
        return Chosen(wanted, to_time(plan, *read_time_key(wanted)))
    except (ValueError, NotThereError):
        return None


def _next_up(steps: tuple[Offer, ...], running: str) -> Offer | None:
    """The first step without a time after the running one, or else from the start."""
    keys = [one.key for one in steps]
    after = keys.index(running) + 1 if running in keys else 0
    left = [one for one in (*steps[after:], *steps[:after]) if not one.times and one.key != running]
    return left[0] if left else None


def _steps(plan: Plan) -> tuple[Offer, ...]:
    return tuple(
        _offer(plan, time_key("step", row.step.id), f"{row.number}. {row.step.name}", row.work)
        for row in plan.steps
    )


def _others(plan: Plan) -> tuple[Offer, ...]:
    days = (
        _offer(plan, time_key("shoot day", one.day.isoformat()), f"Shoot day {told_day(one.day)}")
        for one in sorted(plan.episode.shoot_days, key=lambda day: day.day)
    )
    after = (_offer(plan, one.kind, _AFTER[one.kind], one.whole) for one in after_filming(plan))
    return (*days, *after)


def _offer(plan: Plan, key: str, title: str, shown: Estimate | None = None) -> Offer:
    taken = [e.minutes for e in plan.episode.time_log if time_key(e.timed, e.item) == key]
    return Offer(key, title, shown, math.fsum(taken), len(taken))
