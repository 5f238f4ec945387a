"""Voice-over and editing are done in several sittings: what they took is known once they are done.

A sitting by itself would say that the whole goes as fast as that.
"""

from collections.abc import Iterable, Iterator

from webapp.build.time_log import TimeEntry
from webapp.plan.episode import Episode

_IN_SITTINGS = ("voice-over", "editing")


def whole_times(episode: Episode) -> tuple[TimeEntry, ...]:
    """The times that the rates can be learned from, this episode's and those of others.

    The sittings of a voice-over or of an editing count as one time, against what was reckoned for
    it at the first; this episode's only once it is said to be done.
    """
    done = episode.brief.done
    own = (one for one in episode.time_log if one.timed not in _IN_SITTINGS or one.timed in done)
    return (*_joined(own), *_joined(episode.earlier_times))


def _joined(entries: Iterable[TimeEntry]) -> Iterator[TimeEntry]:
    sittings: dict[tuple[str, str], TimeEntry] = {}
    for one in entries:
        if one.timed not in _IN_SITTINGS:
            yield one
            continue
        first = sittings.setdefault((one.episode, one.timed), one)
        if first is not one:
            minutes = first.minutes + one.minutes
            # Not checked again: together they may be longer than one time that is typed.
            sittings[one.episode, one.timed] = first.model_copy(update={"minutes": minutes})
    yield from sittings.values()
