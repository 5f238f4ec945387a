"""Which of her times say something of her pace: those of whole things, each once, and no slips.

What is done in several sittings took as long as they all: one alone would say it goes faster. A
voice-over and an editing are whole once they are said to be done, anything else unless it is said
to go on. What is done again is another whole.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from itertools import chain
from typing import Literal

from webapp.build.calibration import far_off
from webapp.build.time_log import TimeEntry, TimeKind
from webapp.plan.episode import Brief, Episode

IN_SITTINGS = ("voice-over", "editing")
Standing = Literal["counts", "not done", "far off", "in another"]
What = tuple[str, str, str, TimeKind | None]


@dataclass(frozen=True, slots=True)
class Whole:
    """All the sittings of one thing as one time, against what was worked out at the first."""

    entry: TimeEntry
    sittings: tuple[TimeEntry, ...]
    standing: Standing
    within: str = ""  # the title of the time that it is part of


def whole_times(episode: Episode) -> tuple[TimeEntry, ...]:
    """The times that the rates are learned from and that are compared: see `wholes`."""
    return tuple(one.entry for one in wholes(episode) if one.standing == "counts")


def wholes(episode: Episode) -> tuple[Whole, ...]:
    """All the times as wholes, this episode's and then those of others, with how each stands.

    All the times of one step, shoot day, voice-over or editing (or of one kind of its work) are
    one. It does not count while it is not done; while it is so far from what was worked out that
    it is likelier a slip, until she says that it was all work; or when a longer time holds it:
    that of the whole step, or of the shoot day on which the step was worked.
    """
    own = list(_joined(episode.time_log, episode.brief))
    others = list(_joined(episode.earlier_times, None))
    return tuple(_each_once([*own, *others]))


def takes_over(entry: TimeEntry, brief: Brief) -> bool:
    """Whether another episode can learn from a time of the episode with this brief."""
    return entry.timed not in IN_SITTINGS or entry.timed in brief.done


def what_of(entry: TimeEntry) -> What:
    """What was timed: the same for all its sittings, and for what is done again."""
    return entry.episode, entry.timed, entry.item, entry.kind


def _joined(entries: Iterable[TimeEntry], brief: Brief | None) -> Iterator[Whole]:
    """`brief` tells what of this episode is done; of others only that was taken over."""
    sittings: dict[What, list[list[TimeEntry]]] = {}
    for one in entries:
        found = sittings.setdefault(what_of(one), [])
        if not found or (one.again and one.timed not in IN_SITTINGS):
            found.append([])
        found[-1].append(one)
    for same in chain.from_iterable(sittings.values()):
        whole = same[0]
        if len(same) > 1:
            # Not checked again: together they may be longer than one time that is typed.
            minutes = sum(one.minutes for one in same)
            right = any(one.all_work for one in same)
            whole = whole.model_copy(update={"minutes": minutes, "all_work": right})
        in_sittings = whole.timed in IN_SITTINGS
        done = (brief is None or takes_over(whole, brief)) if in_sittings else not same[-1].goes_on
        standing: Standing = "counts" if done else "not done"
        if done and far_off(whole) and not whole.all_work:
            standing = "far off"
        yield Whole(whole, tuple(same), standing)


def _each_once(found: list[Whole]) -> Iterator[Whole]:
    counted = [one.entry for one in found if one.standing == "counts"]
    steps: dict[tuple[str, str], list[TimeEntry]] = {}
    for one in counted:
        if _is_whole(one, "step"):
            steps.setdefault((one.episode, one.item), []).append(one)
    days = [one for one in counted if one.timed == "shoot day"]
    for each in found:
        part = each.entry
        near = steps.get((part.episode, part.item), [])
        held = (whole for whole in (*near, *days) if _is_part(part, whole))
        whole = next(held, None) if each.standing == "counts" else None
        yield each if whole is None else Whole(part, each.sittings, "in another", whole.title)


def _is_whole(entry: TimeEntry, timed: str) -> bool:
    return entry.timed == timed and entry.kind is None


def _is_part(part: TimeEntry, whole: TimeEntry) -> bool:
    """Whether the minutes of one are among those of the other."""
    if part.episode != whole.episode or part.minutes > whole.minutes:
        return False
    same_kind = whole.kind is None or part.kind == whole.kind
    if (part.timed, part.item) == (whole.timed, whole.item):
        return same_kind and part.kind != whole.kind
    on_the_day = part.day is None or whole.item == date.isoformat(part.day)
    return part.timed == "step" and part.item in whole.holds and same_kind and on_the_day
