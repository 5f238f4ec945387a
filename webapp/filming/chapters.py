"""Chapters of a video: where each begins and how long it lasts, in seconds; and good places."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from webapp.filming.running_time import clock, to_second
from webapp.filming.shots import Shot

BEGINNING: Final = "Beginning"  # a first chapter that was given no name
FINISHED: Final = "The finished piece"

# What sites that show chapters commonly ask for. Common practice, no source.
FEWEST: Final = 3
SHORTEST_S: Final = 10.0
# What is suggested is longer: half a minute and a sixteenth of the video, but for the styled piece
# at its end. Common practice, no source.
_SUGGESTED_S: Final = 30.0
_SUGGESTED_SHARE: Final = 1 / 16
_STYLED_S: Final = 15.0


_Way = tuple[float, int | None]  # what it is worth, and the place of the next chapter's first run


@dataclass(frozen=True, slots=True)
class Chapter:
    """A stretch of the video. Times are seconds; `first` is the id of the shot it begins with."""

    title: str
    first: str
    starts_s: float
    seconds: float
    shots: int
    named: bool = True  # False of a beginning before the first name

    @property
    def begins(self) -> str:
        """When it begins, on the clock."""
        return clock(self.starts_s)

    @property
    def lasts(self) -> str:
        """From the second it is said to begin in to that of the next."""
        return clock(to_second(self.starts_s + self.seconds) - to_second(self.starts_s))

    @property
    def line(self) -> str:
        """Its line in a video's description: `4:05 Cut the neck`."""
        return f"{self.begins} {self.title}"


def chapters(shots: Sequence[tuple[Shot, float]]) -> tuple[Chapter, ...]:
    """The chapters of shots in the order they are seen, each with its seconds on screen.

    A shot with a chapter's name opens it. The first chapter begins at nought whether its shot has
    a name or not; with no name at all there are no chapters.
    """
    if not any(shot.chapter for shot, _ in shots):
        return ()
    found: list[Chapter] = []
    starts = 0.0
    for own in _stretches(shots):
        first, seconds = own[0][0], sum(seconds for _, seconds in own)
        title = first.chapter or BEGINNING
        found.append(Chapter(title, first.id, starts, seconds, len(own), bool(first.chapter)))
        starts += seconds
    return tuple(found)


def _stretches(shots: Sequence[tuple[Shot, float]]) -> list[list[tuple[Shot, float]]]:
    """The shots from each that opens a chapter to the next."""
    found: list[list[tuple[Shot, float]]] = []
    for shot, seconds in shots:
        if shot.chapter or not found:
            found.append([])
        found[-1].append((shot, seconds))
    return found


def chapter_faults(found: Sequence[Chapter]) -> tuple[str, ...]:
    """What a site would not take of these chapters, a sentence each; none without chapters."""
    told = []
    if 0 < len(found) < FEWEST:
        told.append(
            f"Sites commonly show chapters from {FEWEST} on; there "
            f"{'is 1' if len(found) == 1 else f'are {len(found)}'}."
        )
    if found and not found[0].named:
        told.append("The first shot opens no chapter: give the beginning a name.")
    told += [
        f"“{one.title}” lasts {one.seconds:.0f} s; sites commonly ask for {SHORTEST_S:.0f} s."
        for one in found
        if one.seconds < SHORTEST_S
    ]
    return tuple(told)


def suggested(shots: Sequence[tuple[Shot, float]], steps: Mapping[str, str]) -> Mapping[str, str]:
    """Where chapters would begin by the build, and what they would be called: by a shot's id.

    `steps` are the steps' names by id. A chapter begins with the first shot of a step, of talking
    or of the styled piece, never with a cutaway; of all ways to leave each chapter long enough it
    is the one whose chapters open with the steps that are seen longest.
    """
    runs = _runs(shots, steps)
    if not runs:
        return {}
    whole = runs[-1].starts_s + runs[-1].seconds
    least = max(_SUGGESTED_S, _SUGGESTED_SHARE * whole)
    # From the end: what the chapters from here on are worth when one begins here, and the next.
    # A chapter named after what is seen for a moment only is worth less than none.
    best: list[_Way | None] = [None] * len(runs)
    for at in reversed(range(len(runs))):
        here = runs[at]
        if at and not here.may_open:
            continue
        enough = _STYLED_S if here.styled else least
        ways: list[_Way] = [
            (then[0], later)
            for later in range(at + 1, len(runs))
            if (then := best[later]) and runs[later].starts_s - here.starts_s >= enough
        ]
        if whole - here.starts_s >= enough or at == 0:
            ways.append((0.0, None))
        if ways:
            worth, next_one = max(ways, key=lambda way: way[0])
            best[at] = (worth + here.seconds - least / 3, next_one)
    return _opening(runs, best)


@dataclass(frozen=True, slots=True)
class _Run:
    """Shots of one step, or of one kind, that follow each other."""

    first: str
    title: str
    starts_s: float
    seconds: float
    styled: bool
    of_step: bool
    may_open: bool


def _runs(shots: Sequence[tuple[Shot, float]], steps: Mapping[str, str]) -> list[_Run]:
    found: list[_Run] = []
    seen: set[str] = set()
    starts = 0.0
    for part, run in groupby(shots, lambda one: one[0].step or one[0].kind):
        own = list(run)
        first, seconds = own[0][0], sum(seconds for _, seconds in own)
        styled = first.kind == "styling" and any(one.of_step for one in found)
        title = FINISHED if styled else steps.get(first.step, first.title)
        may_open = first.kind != "cutaway" and part not in seen
        of_step = bool(first.step)
        found.append(_Run(first.id, title, starts, seconds, styled, of_step, may_open))
        if of_step or styled:
            seen.add(part)
        starts += seconds
    return found


def _opening(runs: Sequence[_Run], best: Sequence[_Way | None]) -> dict[str, str]:
    found: dict[str, str] = {}
    at: int | None = 0
    while at is not None:
        found[runs[at].first] = runs[at].title
        way = best[at]
        at = way[1] if way else None
    return found
