"""What is done in several sittings took as long as they all: one alone would say it goes faster.

A voice-over and an editing are known to be whole once they are said to be done.
"""

from collections.abc import Iterable, Iterator

from webapp.build.time_log import TimeEntry
from webapp.plan.episode import Episode

_IN_SITTINGS = ("voice-over", "editing")


def whole_times(episode: Episode) -> tuple[TimeEntry, ...]:
    """The times that the rates can be learned from, this episode's and those of others.

    All the times of one step, shoot day, voice-over or editing (or of one kind of its work) count
    as one, against what was reckoned at the first; this episode's voice-over and editing only
    once they are said to be done.
    """
    done = episode.brief.done
    own = (one for one in episode.time_log if one.timed not in _IN_SITTINGS or one.timed in done)
    return (*_joined(own), *_joined(episode.earlier_times))


def _joined(entries: Iterable[TimeEntry]) -> Iterator[TimeEntry]:
    sittings: dict[tuple[object, ...], TimeEntry] = {}
    for one in entries:
        what = (one.episode, one.timed, one.item, one.kind)
        first = sittings.setdefault(what, one)
        if first is not one:
            minutes = first.minutes + one.minutes
            # Not checked again: together they may be longer than one time that is typed.
            sittings[what] = first.model_copy(update={"minutes": minutes})
    yield from sittings.values()
