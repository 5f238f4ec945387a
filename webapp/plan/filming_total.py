"""What filming adds in all: as the shoot days go, and with the shots in the order listed."""

from dataclasses import dataclass
from itertools import pairwise

from webapp.build.work_time import Estimate, total
from webapp.filming.filming_time import same_place
from webapp.plan.days import on_no_day
from webapp.plan.results import Plan


@dataclass(frozen=True)
class FilmingWay:
    """One way through shots: how many, the minutes that filming them adds, setting up and all, and
    how often the camera changes its place."""

    shots: int
    minutes: Estimate
    moves: int


@dataclass(frozen=True)
class FilmingTotal:
    """Both ways through the shots."""

    listed: FilmingWay  # every shot, filmed or not, one after another as they are listed
    by_day: FilmingWay | None  # what is to film; None unless all of that is on the shoot days

    @property
    def first(self) -> FilmingWay:
        """The one to count on."""
        return self.by_day or self.listed

    @property
    def part_filmed(self) -> bool:
        """True when the days have fewer shots to film than are listed."""
        return self.by_day is not None and self.by_day.shots < self.listed.shots


def filming_total(plan: Plan) -> FilmingTotal:
    """What filming adds; the days are counted only when none of the shots to film is missing."""
    listed = [one.shot for one in plan.shots]
    moves = sum(not same_place(before, after) for before, after in pairwise(listed))
    return FilmingTotal(FilmingWay(len(listed), plan.filming, moves), _by_day(plan))


def _by_day(plan: Plan) -> FilmingWay | None:
    if on_no_day(plan):
        return None
    timed = [shot for day in plan.days for shot in day.to_film]
    if not timed:
        return None
    moves = sum(day.changes for day in plan.days)
    return FilmingWay(len(timed), total([shot.filming for shot in timed]), moves)
