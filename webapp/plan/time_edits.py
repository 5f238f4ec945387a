"""Changes of the times and rates: each takes the episode and returns a new one.

What is worked out is kept with a time as it stands when it is written down, and never changed.
`now` is always passed in, with its time zone. A ValueError carries the sentence for the form.
"""

from collections import Counter
from collections.abc import Iterable
from datetime import UTC, date, datetime
from typing import Any, Final

from webapp.build.rates import OwnRate, can_be_used
from webapp.build.time_log import Timed, TimeEntry, TimeKind, Timer
from webapp.build.work_time import Estimate
from webapp.errors import NotThereError
from webapp.filming.every_rate import EVERY_RATE
from webapp.plan.edits import changed, changed_one, without
from webapp.plan.episode import Episode
from webapp.plan.results import Plan
from webapp.plan.sittings import takes_over
from webapp.plan.time_rows import spelled_about
from webapp.plan.to_time import ToTime, to_time, worked_out

_LEAST_SECONDS: Final = 1.0
_MOST_EARLIER: Final = 5000


def with_time(
    episode: Episode,
    plan: Plan,
    *,
    timed: Timed,
    item: str = "",
    kind: TimeKind | None = None,
    minutes: float,
    day: date | None = None,
    note: str = "",
    goes_on: bool = False,
    again: bool = False,
) -> Episode:
    """The episode with a time written down, with what is worked out for it now. One that `goes_on`
    is a sitting of what is not done yet; with times of the same before it, it is the rest of that
    unless it was done `again`.

    NotThereError for a step, a day or a kind of work that is not there.
    """
    what = to_time(plan, timed, item, kind)
    return _with_entry(episode, what, minutes, day, note, goes_on=goes_on, again=again)


def with_time_changed(episode: Episode, entry: str, **values: Any) -> Episode:
    """The episode with the minutes, the day, the note of a time changed, or whether it goes on or
    was done again.

    Other minutes that are far from what was worked out must be said to be right anew.
    """
    if not values.keys() <= {"minutes", "day", "note", "goes_on", "again"}:
        raise TypeError("What was timed and what was worked out for it never change.")

    def edit(one: TimeEntry) -> TimeEntry:
        same = values.get("minutes", one.minutes) == one.minutes
        return changed(one, **values, all_work=one.all_work and same)

    return changed(episode, time_log=changed_one(episode.time_log, "id", entry, edit))


def with_time_right(episode: Episode, entry: str) -> Episode:
    """The episode with a time that counts however far it is from what was worked out."""
    log = changed_one(episode.time_log, "id", entry, lambda one: changed(one, all_work=True))
    return changed(episode, time_log=log)


def without_time(episode: Episode, entry: str) -> Episode:
    """The episode without that time."""
    return changed(episode, time_log=without(episode.time_log, "id", entry))


# --- The timer ---------------------------------------------------------------------------------


def with_timer(
    episode: Episode,
    plan: Plan,
    timed: Timed,
    item: str,
    kind: TimeKind | None,
    now: datetime,
) -> Episode:
    """The episode with a time begun. ValueError while another is being taken."""
    if episode.timer is not None:
        raise ValueError(f"“{episode.timer.title}” is being timed: stop it or throw it away first.")
    title = to_time(plan, timed, item, kind).title
    timer = Timer(timed=timed, item=item, title=title, kind=kind, started=now.astimezone(UTC))
    return changed(episode, timer=timer)


def with_same_timer(episode: Episode, timed: Timed, item: str, kind: TimeKind | None) -> Episode:
    """The episode as it is, while that is what is being timed.

    ValueError with what became of it when it was ended elsewhere, as in another tab.
    """
    what, timer = (timed, item, kind), episode.timer
    if timer is not None and (timer.timed, timer.item, timer.kind) == what:
        return episode
    same = (e for e in reversed(episode.time_log) if (e.timed, e.item, e.kind) == what)
    kept = next(same, None)
    told = "This clock was thrown away, in another tab or window: there is no time of it."
    if kept is not None:
        told = (
            f"This clock was ended already, in another tab or window: of “{kept.title}” "
            f"{spelled_about(kept.minutes)} were kept."
        )
    raise ValueError(f"{told} “{timer.title}” is being timed now." if timer else told)


def timer_seconds(timer: Timer, now: datetime) -> float:
    """Seconds the timer has run; a clock that was set back counts none."""
    running = (now - timer.started).total_seconds() if timer.started else 0.0
    return timer.seconds_before + max(0.0, running)


def with_timer_paused(episode: Episode, now: datetime) -> Episode:
    """The episode with the timer standing."""
    timer = _timer(episode)
    seconds = timer_seconds(timer, now)
    return changed(episode, timer=changed(timer, started=None, seconds_before=seconds))


def with_timer_resumed(episode: Episode, now: datetime) -> Episode:
    """The episode with the timer going on; one that runs goes on as it was."""
    timer = _timer(episode)
    if timer.started is not None:
        return episode
    return changed(episode, timer=changed(timer, started=now.astimezone(UTC)))


def with_timer_dropped(episode: Episode) -> Episode:
    """The episode without the timer; nothing is written down."""
    _timer(episode)
    return changed(episode, timer=None)


def with_timer_stopped(
    episode: Episode,
    plan: Plan,
    now: datetime,
    *,
    note: str = "",
    goes_on: bool = False,
    again: bool = False,
) -> Episode:
    """The episode with the time written down on the day of `now`, and no timer.

    ValueError when it has not run for a second. What was taken out meanwhile is kept by its
    name, with nothing worked out for it.
    """
    timer = _timer(episode)
    seconds = timer_seconds(timer, now)
    if seconds < _LEAST_SECONDS:
        raise ValueError("The clock has only just been started: let it run, or throw it away.")
    try:
        what = to_time(plan, timer.timed, timer.item, timer.kind)
    except NotThereError:
        none = Estimate()
        what = ToTime(timer.timed, timer.item, timer.kind, timer.title, none, none, ())
    stopped = changed(episode, timer=None)
    return _with_entry(stopped, what, seconds / 60, now.date(), note, goes_on=goes_on, again=again)


def _timer(episode: Episode) -> Timer:
    if episode.timer is None:
        raise NotThereError("No time is being taken any more.")
    return episode.timer


def _with_entry(
    episode: Episode, what: ToTime, minutes: float, day: date | None, note: str, **ticked: bool
) -> Episode:
    """`ticked`: whether it `goes_on`, and whether it was done `again`."""
    taken = {entry.id for entry in episode.time_log}
    number = next(n for n in range(len(taken) + 1, 0, -1) if f"time-{n}" not in taken)
    entry = TimeEntry(
        id=f"time-{number}",
        timed=what.timed,
        item=what.item,
        title=what.title,
        kind=what.kind,
        day=day,
        minutes=minutes,
        table=worked_out(what.table),
        shown=worked_out(what.shown),
        shares=what.shares,
        holds=what.holds,
        note=note,
        **ticked,
    )
    return changed(episode, time_log=(*episode.time_log, entry))


# --- Times of other episodes -------------------------------------------------------------------


def with_earlier_times(episode: Episode, others: Iterable[Episode]) -> Episode:
    """The episode with the times of the others as they are now, each once; those of a voice-over
    or an editing once they are done there.

    What was taken over before stays when its episode is not among the others any more. Of more
    than 5,000 the last are taken.
    """
    new: list[TimeEntry] = []
    called = Counter[str]()
    titles, known = set[str](), set[TimeEntry]()
    for other in others:
        if other.id != episode.id and other.time_log:
            called[other.title] += 1
            again = f" ({called[other.title]})" if called[other.title] > 1 else ""
            title = other.title + again  # so that two of one title are not taken for one
            titles.add(title)
            whole = (entry for entry in other.time_log if takes_over(entry, other.brief))
            new += [changed(entry, episode=title) for entry in whole]
            known |= {_content(entry) for entry in other.time_log}
    kept = [
        entry
        for entry in episode.earlier_times
        if entry.episode not in titles and _content(entry) not in known
    ]
    return changed(episode, earlier_times=(*kept, *new)[-_MOST_EARLIER:])


def _content(entry: TimeEntry) -> TimeEntry:
    """The time whatever its episode is called."""
    return entry.model_copy(update={"episode": ""})


# --- Rates -------------------------------------------------------------------------------------


def with_own_rate(
    episode: Episode, key: str, *, low: float, likely: float, high: float, note: str = ""
) -> Episode:
    """The episode with her rate in the place of the table's.

    ValueError unless it rises and is within the limits of the table's (`Rate.limits`).
    """
    if key not in EVERY_RATE:
        raise NotThereError(f"There is no rate “{key}” in the table.")
    rate = OwnRate(key=key, low=low, likely=likely, high=high, note=note)
    if not can_be_used(rate, EVERY_RATE):
        least, most = EVERY_RATE[key].limits
        raise ValueError(f"The figures of “{key}” are from {least:g} to {most:g}.")
    others = tuple(one for one in episode.rates if one.key != key)
    return changed(episode, rates=(*others, rate))


def without_own_rate(episode: Episode, key: str) -> Episode:
    """The episode with the table's rate again; also for one that no table has."""
    return changed(episode, rates=without(episode.rates, "key", key))
