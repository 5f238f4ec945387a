"""What a change of times or rates moved: what is likely for this episode, before and after."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from webapp.build.time_kinds import KIND_WORDS
from webapp.build.time_log import TIME_KINDS, TimeKind
from webapp.build.work_time import Estimate, total
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.publishing import after_filming
from webapp.plan.results import Plan
from webapp.plan.time_rows import spelled

_WORDS: Final = {**KIND_WORDS, "filming": "Filming, in the order listed"}
_NOTHING: Final = 0.005  # what moves by less is not told: 27 h 48 min to 27 h 47 min


@dataclass(frozen=True, slots=True)
class MovedMinutes:
    """The likely minutes of a kind of work in the whole episode, before a change and after."""

    what: str
    before: float
    after: float

    @property
    def shown(self) -> tuple[str, str]:
        """Both to the minute."""
        return spelled(round(self.before)), spelled(round(self.after))

    @property
    def by(self) -> float:
        """How far it moved either way: the logarithm of its factor."""
        return abs(math.log(max(self.after, 1.0) / max(self.before, 1.0)))


def moved_minutes(before: Episode, plan: Plan) -> tuple[MovedMinutes, ...] | None:
    """The work of the garment in all, and then the kinds of work, the most moved first, whose
    likely minutes are others now; None when the change was none of times or rates."""
    if _of_pace(before) == _of_pace(plan.episode):
        return None
    planned = evaluate(before)
    was, now = _by_kind(planned), _by_kind(plan)
    kinds = (MovedMinutes(_WORDS[k], was[k].likely, now[k].likely) for k in TIME_KINDS)
    work = MovedMinutes("All the work", planned.work.likely, plan.work.likely)
    rows = (work, *sorted(kinds, key=lambda one: -one.by))
    return tuple(one for one in rows if one.shown[0] != one.shown[1] and one.by > _NOTHING)


def _of_pace(episode: Episode) -> tuple[object, ...]:
    """All that the minutes of a piece of work follow."""
    return episode.time_log, episode.earlier_times, episode.rates, episode.brief.done


def _by_kind(plan: Plan) -> Mapping[TimeKind, Estimate]:
    found: dict[TimeKind, Estimate] = {"filming": plan.filming}
    found.update((one.kind, one.whole) for one in after_filming(plan))
    worked = [part for step in plan.steps for part in step.parts]
    for kind in TIME_KINDS:
        found.setdefault(kind, total([part.shown for part in worked if part.kind == kind]))
    return found
