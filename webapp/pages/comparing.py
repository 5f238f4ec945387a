"""Two revisions of the draft beside each other: words, outlines, every figure that changed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Annotated, Final

from fastapi import APIRouter, Query, Request, Response
from markupsafe import Markup

from webapp.draft.nested import NESTED_LETTERING, draw_nested, what_is_drawn
from webapp.errors import NotThereError
from webapp.pages.house import House, InHouse
from webapp.pages.shell import Shell
from webapp.pages.wording import unbroken
from webapp.plan.cloth_moved import ClothMoved, cloths_moved
from webapp.plan.comparing import ComparedPiece, Comparison, MovedFigure, compare
from webapp.plan.edits import changed
from webapp.plan.episode import Episode, Revision
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.plan.revisions import NOW, all_revisions, revision_now
from webapp.remembered import Remembered
from webapp.units import System

router = APIRouter(prefix="/episodes/{episode_id}/fittings/compare")

_drawings: Final[Remembered[tuple[object, ...], Markup]] = Remembered(100)


@dataclass(frozen=True)
class ComparedView:
    """What changed from `old` to `new`, as the columns and outlines are called."""

    comparison: Comparison
    old: str
    new: str
    newer: str  # the one of the two that is drawn heavier
    first: System

    @property
    def groups(self) -> list[tuple[str, list[tuple[str, str, str]]]]:
        """The figures that changed: group, then name, before and after; empty where not there."""
        return [
            (group, [self._row(one) for one in figures])
            for group, figures in groupby(self.comparison.figures, key=lambda one: one.group)
        ]

    def _row(self, figure: MovedFigure) -> tuple[str, str, str]:
        old, new = figure.shown(self.first)
        return figure.name, unbroken(old), unbroken(new)

    @property
    def changed(self) -> tuple[ComparedPiece, ...]:
        """The pieces whose lines changed, or that only one of the two has."""
        return tuple(piece for piece in self.comparison.pieces if piece.changed)

    @property
    def unchanged(self) -> tuple[str, ...]:
        """The pieces that are drawn and cut as before, by name."""
        return tuple(piece.name for piece in self.comparison.pieces if not piece.changed)

    def drawn(self, piece: ComparedPiece) -> Markup:
        """Both outlines over each other; draw_nested escapes every text in it."""
        both = [(name, one) for name, one in ((self.old, piece.old), (self.new, piece.new)) if one]
        key = (*((name, *what_is_drawn(one)) for name, one in both), self.newer, self.first)
        return _drawings.get(
            key,
            lambda: Markup(
                draw_nested(
                    both, self.first, filmed=self.newer, of="revisions", lettering=NESTED_LETTERING
                )
            ),
        )


@dataclass(frozen=True)
class ComparePage:
    """The compare page: what to choose from, and the comparison if the two can be compared."""

    options: tuple[tuple[str, str], ...]  # number and name, the newest first
    one: str  # as chosen
    other: str
    compared: ComparedView | None = None
    problem: str = ""
    cloths: tuple[ClothMoved, ...] | None = None  # None until it is laid


@router.get("/cloth")
def cloth(
    request: Request,
    episode_id: str,
    house: InHouse,
    one: Annotated[str, Query()] = "",
    other: Annotated[str, Query()] = "",
) -> Response:
    """The cloth to buy in both, asked for by the page: the pieces are laid for it."""
    shell = house.shell(episode_id, "fittings")
    there = {str(revision.number): revision for revision in all_revisions(shell.episode)}
    if problem := _problem(there, one, other):
        raise NotThereError(problem)
    cloths = _cloths(house, shell, there[one], there[other])
    return house.show(request, "fittings/cloth.html", cloths, shell=shell)


def _cloths(house: House, shell: Shell, one: Revision, other: Revision) -> tuple[ClothMoved, ...]:
    """What is to be bought otherwise, of the episode's cloths as they are."""
    old, new = (_plan_of(house, shell, revision).lays for revision in (one, other))
    return cloths_moved(old, new)


def _plan_of(house: House, shell: Shell, revision: Revision) -> Plan:
    """The episode as it would be with that draft."""
    key = (shell.episode.id, shell.revision, f"REVISION {revision.number}")
    then = changed(shell.episode, body=revision.body, garments=revision.garments)
    return house.plans.get(key, lambda: evaluate(then))


@router.get("")
def compare_revisions(
    request: Request,
    episode_id: str,
    house: InHouse,
    one: Annotated[str, Query()] = "",
    other: Annotated[str, Query()] = "",
    laid: Annotated[str, Query()] = "",
) -> Response:
    shell = house.shell(episode_id, "fittings")
    there = {str(revision.number): revision for revision in all_revisions(shell.episode)}
    numbers = [*there]
    one, other = one or numbers[-2 if len(numbers) > 1 else -1], other or numbers[-1]
    problem, compared, cloths = _problem(there, one, other), None, None
    if not problem:
        compared = compared_view(shell.plan.episode, there[one], there[other])
        if laid:
            cloths = _cloths(house, shell, there[one], there[other])
    view = ComparePage(revision_options(shell.episode), one, other, compared, problem, cloths)
    return house.show(
        request, "fittings/compare.html", view, shell=shell, status=404 if problem else 200
    )


def _problem(there: Mapping[str, Revision], one: str, other: str) -> str:
    """Why the two cannot be compared."""
    if len(there) < 2:
        return "There is only one revision so far; make a fitting the draft to have another."
    unknown = [number for number in (one, other) if number not in there]
    if unknown:
        return f"There is no revision “{unknown[0][:20]}”; choose two from the lists."
    if one == other:
        return "That is one revision twice; choose two different ones."
    return ""


def compared_view(episode: Episode, one: Revision, other: Revision) -> ComparedView:
    """The comparison of two revisions."""
    newer = max(one, other, key=lambda revision: revision.number)
    return ComparedView(
        compare(one, other, episode),
        revision_called(one),
        revision_called(other),
        revision_called(newer),
        episode.first_unit,
    )


def as_it_stands(episode: Episode) -> Revision:
    """The draft now: the last revision where that is the same."""
    return all_revisions(episode)[-1]


def revision_called(revision: Revision) -> str:
    """A revision's name on the pages: `First draft`, `2: Second fitting`."""
    if revision.number == 0 or revision.title == NOW:
        return revision.title
    return f"{revision.number}: {revision.title}"


def revision_options(episode: Episode) -> tuple[tuple[str, str], ...]:
    """The revisions to choose from, the newest first."""
    found: Sequence[Revision] = all_revisions(episode)
    return tuple((str(one.number), revision_called(one)) for one in reversed(found))


def is_now(episode: Episode, revision: Revision) -> bool:
    """True for the recorded revision that the draft is the same as."""
    return revision_now(episode) is None and revision == as_it_stands(episode)
