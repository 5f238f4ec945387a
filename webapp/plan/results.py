"""What `plan.evaluate` returns: the episode with every figure computed. All values are frozen."""

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, Final, Literal

from webapp.build.learning import LearnedTimes
from webapp.build.rates import Rates
from webapp.build.work_time import Estimate, WorkPart
from webapp.cloth.notions import ToBuy
from webapp.cloth.yardage import Purchase
from webapp.draft.construction import Step
from webapp.draft.evaluate import Draft, Piece
from webapp.draft.recipe import Body, Notion
from webapp.filming.figures import LiveText
from webapp.filming.said import ChangedFigure
from webapp.filming.shots import Shot
from webapp.plan.episode import Episode
from webapp.plan.figures import own_first
from webapp.plan.lays import LayPlan
from webapp.remembered import Same
from webapp.units import System, both_called

if TYPE_CHECKING:
    from webapp.plan.day_parts import DayParts
    from webapp.plan.day_plan import DayPlan
    from webapp.plan.days import Clockwork
    from webapp.plan.screen_time import Video
    from webapp.plan.texts import EpisodeText

Severity = Literal["must", "should"]
PageName = Literal[
    "brief",
    "draft",
    "fittings",
    "sizes",
    "cloth",
    "other-cloths",
    "shopping",
    "build",
    "shots",
    "set-ups",
    "days",
    "running-time",
    "times",
    "companion",
]
PlacePart = Literal[
    "",
    "measure",
    "choice",
    "seam",
    "check",
    "finished",  # a finished measure
    "lay",  # of a cloth
    "ways",  # of laying it
    "cut",  # how a piece is cut and finished
    "new step",
    "new shot",
]
Act = Literal[
    "both units",
    "live figure",
    "other name",
    "film again",
    "correction card",
    "card out",
    "shots in order",
    "new shot",
    "off camera",
    "on camera",
    "wait no more",
    "off the day",
    "caution",
    "cut count",
    "left and right",
    "cut from",
    "ease in",
    "hem alike",
    "lay open",
    "speed up",
    "talk over",
    "to its words",
    "leave out",
    "publish on",
    "wear",
]


@dataclass(frozen=True, slots=True)
class Place:
    """Where in the plan something is: a page, and what on it. The pages know its address.

    `item` is the id or name of what the page lists: a step, a shot, a fitting, a cloth, a notion,
    a size, a day; on the brief, a field. Where a page lists several kinds of things, `part` says
    which: a choice, seam or check of the draft, a measure on the brief; a new shot's is its step.
    """

    page: PageName
    garment: str = ""  # id
    piece: str = ""
    move: int | None = None  # its place in the piece, from 0
    item: str = ""
    part: PlacePart = ""


@dataclass(frozen=True, slots=True)
class Mend:
    """A change that mends a loose thread at once: see `plan.mends`."""

    act: Act
    args: tuple[str, ...]
    words: str  # what the button says


@dataclass(frozen=True, slots=True)
class LongWork:
    """Work beside the pages that mends a loose thread when it is done."""

    what: Literal["ways"]  # of laying
    item: str  # the cloth's name
    words: str  # what the button says


@dataclass(frozen=True, slots=True)
class LooseThread:
    """Something in the plan that does not hold together, where it is, and what mends it."""

    severity: Severity
    place: Place
    sentence: str
    mends: tuple[Mend, ...] = ()
    work: LongWork | None = None

    @property
    def page(self) -> PageName:
        """The page that mends it."""
        return self.place.page


NO_TIME: Final = Estimate()


@dataclass(frozen=True)
class StepPlan:
    """A step in its place in the build order, minutes as three-point estimates."""

    number: int
    step: Step
    garment: str
    words: LiveText
    spare: LiveText  # what a one-way step falls back on
    waits_on: tuple[str, ...]  # names of the steps it must come after
    work: Estimate
    filming: Estimate  # what filming adds to the work
    shots: tuple[int, ...]  # numbers of its shots
    problem: str = ""  # why its time could not be computed
    waits: bool = False  # no time yet, only because something in the draft is lacking
    parts: tuple[WorkPart, ...] = ()  # what `work` is the total of
    unseen: Estimate = NO_TIME  # of the work, what no shot shows


@dataclass(frozen=True)
class ShotPlan:
    """A shot in shooting order."""

    number: int
    shot: Shot
    step_name: str
    one_way: bool
    narration: LiveText
    card: LiveText
    screen_seconds: float
    filming: Estimate
    ready: Estimate = NO_TIME  # of the filming: to its place, changed and made up
    changed: tuple[ChangedFigure, ...] = ()  # what was said when it was filmed and is no longer so

    @property
    def stale(self) -> tuple[ChangedFigure, ...]:
        """The changed figures about which nothing was decided yet."""
        return tuple(one for one in self.changed if not one.answer)


@dataclass(frozen=True)
class NotionPlan:
    """A notion with its live texts, and what to buy where that is worked out from its figures."""

    notion: Notion
    amount: LiveText
    why: LiveText
    buy: ToBuy | None = None
    problem: str = ""  # why it could not be worked out
    waits: bool = False  # not yet, only because something in the draft is lacking


@dataclass(frozen=True)
class SizePlan:
    """The garments in one size: finished measurements (mm) and lays."""

    body: Body
    drafts: tuple[Draft, ...] = field(repr=False)
    finished_mm: Mapping[str, float]
    lays: tuple[LayPlan, ...]
    problems: tuple[str, ...]

    @cached_property
    def purchases(self) -> Mapping[str, Purchase]:
        """What to buy, by cloth, where the pieces can be laid on it."""
        return {lay.cloth.name: lay.purchase for lay in self.lays if lay.purchase}


@dataclass(frozen=True)
class CuttingRow:
    """One dimension of a piece in every size, mm; None where the piece is not drawn."""

    name: str
    kind: Literal["cut size", "marked", "edge"]
    lengths_mm: tuple[float | None, ...]

    def texts(self, first: System) -> tuple[str, ...]:
        """Each length in both units as the drawing of the piece shows it; empty for None."""
        return tuple("" if mm is None else self._shown(mm, first) for mm in self.lengths_mm)

    def _shown(self, mm: float, first: System) -> str:
        return both_called(self.name if self.kind == "marked" else "", mm, first)


@dataclass(frozen=True)
class CuttingTable:
    """Every dimension that a piece is cut by, in every size."""

    garment: str
    piece: str
    on_fold: bool
    rows: tuple[CuttingRow, ...]


_OF_SHOTS: Final = frozenset({"shots", "shoot_days", "planned_days"})
_BY_VALUE: Final = (
    "id", "title", "channel", "series", "number", "first_unit", "currency", "bought"
)  # fmt: skip
_BY_WHICH: Final = tuple(
    name for name in Episode.model_fields if name not in {*_OF_SHOTS, *_BY_VALUE, "version"}
)


@dataclass(frozen=True)
class Plan:
    """The whole episode, computed."""

    episode: Episode
    drafts: tuple[Draft, ...]
    figures_mm: Mapping[str, float] = field(repr=False)
    steps: tuple[StepPlan, ...]
    order_problem: str  # why the steps could not be put in order; empty when they could
    shots: tuple[ShotPlan, ...]
    lays: tuple[LayPlan, ...]
    notions: tuple[NotionPlan, ...]
    rates: Rates = field(repr=False)  # every rate, hers in the place of the table's
    learned: LearnedTimes = field(repr=False)  # how her times move what the rates give
    work: Estimate
    filming: Estimate
    running_time_s: float  # of the video: the shots of its garment and those of no step
    extra_running_time_s: float  # of the members' extra: the shots of the other garments' steps

    def figures_of_step(self, step_id: str) -> Mapping[str, float]:
        """The lengths a text of that step, or of a shot of it, may quote."""
        return self._figures_by_step.get(step_id, self.figures_mm)

    @cached_property
    def _figures_by_step(self) -> Mapping[str, Mapping[str, float]]:
        found: dict[str, Mapping[str, float]] = {}
        for draft in self.drafts:
            own = self.figures_for(draft)
            found |= {step.id: own for step in draft.recipe.steps}
        return found

    def figures_for(self, draft: Draft) -> Mapping[str, float]:
        """The lengths a text of that garment may quote, its own before those of the others."""
        return own_first(draft, self.figures_mm)

    @cached_property
    def but_shots(self) -> Hashable:
        """All of the plan but its shots and days, to know by what stays as it is when they change.
        How the steps stand with their shots is in it."""
        episode = self.episode
        parts = (getattr(episode, name) for name in _BY_WHICH)
        of = Same((*parts, self.steps, self.lays, self.rates, self.learned))
        return of, *(getattr(episode, name) for name in _BY_VALUE), self.order_problem

    @cached_property
    def texts(self) -> "tuple[EpisodeText, ...]":
        """Every text that may hold live figures."""
        from webapp.plan.texts import texts_of  # noqa: PLC0415 - it reads a Plan

        return tuple(texts_of(self))

    @cached_property
    def day_parts(self) -> "DayParts":
        """What its shoot days are made of."""
        from webapp.plan.day_parts import made_of  # noqa: PLC0415 - it reads a Plan

        return made_of(self)

    def lacks(self, name: str) -> bool:
        """True for a name, as typed, that only waits for a problem some draft has told."""
        return any(draft.lacks(name) for draft in self.drafts)

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """Every finished piece of every garment."""
        return tuple(piece for draft in self.drafts for piece in draft.pieces)

    @cached_property
    def loose_threads(self) -> tuple[LooseThread, ...]:
        """Everything that does not hold together, the gravest first."""
        from webapp.plan.loose_threads import find  # noqa: PLC0415 - its rules read a Plan

        return find(self)

    @cached_property
    def found_by_rule(self) -> "dict[Callable[[Plan], object], tuple[LooseThread, ...]]":
        """What the rules of loose threads have found so far: see `plan.loose_threads`."""
        return {}

    @property
    def threads_are_known(self) -> bool:
        """True once the loose threads have been looked for: that takes longer than all else."""
        return "loose_threads" in vars(self)

    @cached_property
    def days(self) -> "tuple[DayPlan, ...]":
        """The shoot days, by date, with their clock times."""
        from webapp.plan.days import with_clock_times  # noqa: PLC0415 - it reads a Plan

        return with_clock_times(self)

    @cached_property
    def clockwork(self) -> "Clockwork":
        """The same for all plans whose shoot days have the same clock times."""
        from webapp.plan.days import clockwork_of  # noqa: PLC0415 - it reads a Plan

        return clockwork_of(self)

    @cached_property
    def speeds(self) -> Mapping[str, float]:
        """How many times as fast as the work the sped-up shots of each step are, by its id."""
        from webapp.plan.screen_time import speeds_of  # noqa: PLC0415 - it reads a Plan

        return speeds_of(self)

    @cached_property
    def video(self) -> "Video":
        """The video itself: the shots of its garment and those of no step."""
        from webapp.plan.screen_time import video_of  # noqa: PLC0415 - it reads a Plan

        return video_of(self)

    @cached_property
    def extra(self) -> "Video":
        """The members' extra: the shots of the other garments' steps."""
        from webapp.plan.screen_time import extra_of  # noqa: PLC0415 - it reads a Plan

        return extra_of(self)

    @cached_property
    def dates_of_shots(self) -> Mapping[str, tuple[date, ...]]:
        """The dates each shot is on, by its id."""
        from webapp.plan.days import days_of_shots  # noqa: PLC0415 - it reads a Plan

        return days_of_shots(self)

    @cached_property
    def in_other_unit(self) -> "Plan":
        """The plan as one reads it who has the other unit first: see `plan.on_screen`."""
        from webapp.plan.on_screen import turned  # noqa: PLC0415 - it is a Plan

        return turned(self)

    @cached_property
    def sizes(self) -> tuple[SizePlan, ...]:
        """The size table: the body first, then the further sizes."""
        from webapp.plan.sizes import size_table  # noqa: PLC0415 - it evaluates other bodies

        return size_table(self.episode)

    @cached_property
    def cutting(self) -> tuple[CuttingTable, ...]:
        """The cutting dimensions of each piece by size, in the order of `sizes`."""
        from webapp.plan.sizes import cutting_tables  # noqa: PLC0415 - it evaluates other bodies

        return cutting_tables(self.sizes)
