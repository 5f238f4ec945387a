"""What every page of an episode shows around its own content."""

from collections.abc import Hashable, Iterator
from dataclasses import dataclass
from typing import Literal

from webapp.draft.results import Problem
from webapp.jobs import Job
from webapp.pages.places import PAGES, address
from webapp.pages.series_shared import SeriesHere, here
from webapp.plan.draft_threads import place_of
from webapp.plan.episode import Episode
from webapp.plan.missing import missing
from webapp.plan.moved import NOTHING_MOVED, Moved
from webapp.plan.results import Place, Plan
from webapp.store.history import Change
from webapp.store.library import Library
from webapp.store.photos import Photos
from webapp.units import System, in_order


@dataclass(frozen=True)
class ToMend:
    """Something to see to, and the address and name of the place where it is done."""

    what: str
    address: str
    where: str


@dataclass(frozen=True)
class CopyOf:
    """The episode that this one was copied from just now, and what stayed with it, in words."""

    id: str
    title: str
    left: tuple[str, ...]


@dataclass(frozen=True)
class Shell:
    """What every page of an episode shows around its own content."""

    plan: Plan  # as it is shown to her: the unit she reads by stands first
    own: Plan  # as it is: what forms read by and what edits start from
    revision: int  # of the plan
    active: str  # the page's name in the navigation
    to_undo: Change | None
    to_redo: Change | None
    edition: int
    photos: Photos
    library: Library
    moved: Moved = NOTHING_MOVED  # by the change that can be undone
    copy_of: CopyOf | None = None  # on arrival at a copy
    at_work: tuple[Job, ...] = ()  # on this episode, on whatever page it was started
    not_done: Literal["", "undo", "redo"] = ""  # asked for on a page that was out of date
    is_outrun: bool = False  # the plan was changed once more before it was read: it is a later one
    # Words of what was changed elsewhere since the page was shown that this answers; None: nothing.
    elsewhere: tuple[str, ...] | None = None
    browser: str = ""  # that the page is for

    @property
    def undo_told(self) -> str:
        """What the button for undo says it takes back."""
        return self.to_undo.told_in(self.browser) if self.to_undo else ""

    @property
    def redo_told(self) -> str:
        """The same of redo."""
        return self.to_redo.told_in(self.browser) if self.to_redo else ""

    @property
    def undo(self) -> str | None:
        """Words of the change that can be undone."""
        return self.to_undo.words if self.to_undo else None

    @property
    def redo(self) -> str | None:
        """Words of the change that can be made again."""
        return self.to_redo.words if self.to_redo else None

    @property
    def undo_address(self) -> str:
        """Where undo is asked for: that of the change that is shown, and of no other."""
        return f"{self.base}/undo{_named(self.to_undo)}"

    @property
    def redo_address(self) -> str:
        """The same of redo."""
        return f"{self.base}/redo{_named(self.to_redo)}"

    @property
    def episode(self) -> Episode:
        """The episode shown."""
        return self.own.episode

    def link(self, place: Place) -> str:
        """The address of a place of the plan."""
        return address(self.plan, place)[0]

    @property
    def first_unit(self) -> System:
        """The unit that stands first on this screen: hers, else the episode's."""
        return self.plan.episode.first_unit

    @property
    def but_shots(self) -> tuple[Hashable, ...]:
        """All that a part of a page shows which tells of no shot and no day: see `kept_parts`."""
        return self.own.but_shots, self.first_unit

    @property
    def bare_unit(self) -> str:
        """The unit a bare number is taken in; both where she is asked for it."""
        own = self.episode.first_unit
        return own if own == self.first_unit else f"{own} or {self.first_unit}"

    @property
    def series(self) -> SeriesHere | None:
        """What its series shares with the episode; None for one of no series."""
        return here(self.library, self.episode, self.first_unit)

    @property
    def example(self) -> str:
        """A live figure of this episode, to show how one is written."""
        for piece in self.plan.pieces:
            return f"{{{piece.name}.{piece.outline.names[-1]}}}"
        return "{bust}"

    @property
    def problems(self) -> tuple[ToMend, ...]:
        """What keeps the draft from being whole; a piece that is not begun is no problem."""
        told = (one for one in self._all_problems() if one[1].about != "blank")
        found = (
            ToMend(in_order(one.sentence, self.first_unit), *self._where(garment, one))
            for garment, one in told
        )
        return tuple(dict.fromkeys(found))  # two garments may ask for the same measure

    @property
    def lacks(self) -> ToMend | None:
        """What is not planned at all yet of this page or of those before it: the first of it."""
        pages = tuple(PAGES)
        so_far = pages[: pages.index(self.active) + 1] if self.active in PAGES else pages
        found = (one for one in missing(self.own) if one.place.page in so_far)
        return next((ToMend(one.sentence, *address(self.own, one.place)) for one in found), None)

    @property
    def blank(self) -> tuple[ToMend, ...]:
        """The pieces that wait for their first shape, by name."""
        waiting = (one for one in self._all_problems() if one[1].about == "blank")
        return tuple(ToMend(one.piece, *self._where(garment, one)) for garment, one in waiting)

    def _all_problems(self) -> Iterator[tuple[str, Problem]]:
        for draft in self.plan.drafts:
            yield from ((draft.recipe.id, problem) for problem in draft.problems)

    def _where(self, garment: str, problem: Problem) -> tuple[str, str]:
        """The address that mends a problem, and what is found there."""
        return address(self.plan, place_of(garment, problem))

    @property
    def base(self) -> str:
        """The address of the episode."""
        return f"/episodes/{self.plan.episode.id}"


def _named(change: Change | None) -> str:
    return f"?change={change.id}" if change else ""
