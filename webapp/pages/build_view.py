"""What the build order page shows: a row for each step, the chain, and what can be left."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any, Final, get_args

from webapp.build.extents import SHOWN_MM
from webapp.build.graph import Graph, Idle, Node, OneByOne, build_graph, one_by_one
from webapp.build.steps import free_places
from webapp.build.time_kinds import KIND_WORDS
from webapp.build.work_time import Estimate, WorkPart, minutes, total
from webapp.draft.construction import Caution, Minutes, Step, WorkKind
from webapp.pages.build_drawing import BuildDrawing, DrawnRow, drawing_of
from webapp.pages.forms import UNANSWERED, Answers
from webapp.pages.step_work import WorkView
from webapp.pages.wording import both_unbroken, unbroken
from webapp.plan.filming_total import FilmingTotal, filming_total
from webapp.plan.off_camera import HandWork, Shown, hand_work_off_camera
from webapp.plan.results import Plan, ShotPlan, StepPlan
from webapp.plan.sittings import wholes
from webapp.plan.step_edits import Refused
from webapp.remembered import Remembered, Same
from webapp.units import System, both

CAUTIONS: Final[tuple[Caution, ...]] = get_args(Caution)
_MARKS: Final = (1, 2, 5, 10, 15, 30, 60, 120, 240, 600, 1440)  # minutes between figures
_MOST_MARKS: Final = 6
_WHOLE_TOLD_MM: Final = 2000.0  # a longer one is of several, and nobody counts it
BAR: Final = 360.0  # width of a time bar, in its units


@dataclass(frozen=True, slots=True)
class TimeScale:
    """The tape that every time bar lies on: BAR units for so many minutes."""

    minutes: float
    mark: float  # minutes from one figure to the next

    def at(self, minutes: float) -> float:
        """Where a number of minutes stands."""
        return BAR * minutes / self.minutes

    @property
    def marks(self) -> tuple[tuple[float, str], ...]:
        """Where the figures stand, and what they say; the last names the unit."""
        count = round(self.minutes / self.mark)
        in_hours = self.mark % 60 == 0
        unit = 60 if in_hours else 1
        told = [f"{n * self.mark / unit:g}" for n in range(count + 1)]
        told[-1] += " h" if in_hours else " min"
        return tuple((self.at(n * self.mark), words) for n, words in enumerate(told))

    @property
    def ticks(self) -> tuple[float, ...]:
        """The small ticks: five to a mark."""
        count = round(5 * self.minutes / self.mark)
        return tuple(BAR * n / count for n in range(count + 1))


@dataclass(frozen=True, slots=True)
class KindOfWork:
    """The minutes of one kind of work in a step: by its rates, and as her own times move these."""

    kind: WorkKind
    rated: Estimate
    shown: Estimate
    typed: bool  # by hand: from no rate

    @property
    def words(self) -> str:
        """What the kind is called."""
        return KIND_WORDS[self.kind]

    @property
    def rates(self) -> str:
        """Where its rates stand on their page; empty for minutes that were typed."""
        return "" if self.typed else self.kind.replace(" ", "-")

    @property
    def is_moved(self) -> bool:
        """True where her own times tell another likely figure than the rates."""
        return minutes(self.shown.likely) != minutes(self.rated.likely)


@dataclass(frozen=True, slots=True)
class StepRow:
    """A step with what ties it to the others; places are from 1."""

    plan: StepPlan
    node: Node
    first: int  # the first place where it can stand
    last: int
    waits_on: tuple[str, ...]  # names, without what one of these waits on anyway
    holds_up: int  # how many steps cannot be done before it
    drawn: DrawnRow
    taken: float = 0.0  # minutes that she took for it; 0 while there is no time of it
    idle: tuple[Idle, ...] = ()  # the waits before it with nothing to do, in this order

    @property
    def has_problem(self) -> bool:
        """True when it has no time, or not all of it."""
        return bool(self.plan.problem or self.plan.waits or not self.step.work)

    @property
    def step(self) -> Step:
        """The step itself."""
        return self.plan.step

    @property
    def kinds(self) -> tuple[KindOfWork, ...]:
        """The kinds of work that its minutes are made of."""
        return kinds_of_work(self.plan.parts)

    @property
    def is_sum(self) -> bool:
        """True where minutes are added: of several kinds, or of one that has several rates."""
        return len(self.kinds) > 1 or any(len(part.rates) > 1 for part in self.plan.parts)


@dataclass(frozen=True, slots=True)
class OfNoStep:
    """The shots that belong to no step, and what filming them adds."""

    filming: Estimate
    shots: tuple[int, ...]  # numbers
    kinds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Run:
    """Steps of one garment that follow each other in the build order."""

    garment: str
    begins: int
    rows: tuple[StepRow, ...]


@dataclass(frozen=True, slots=True)
class Ties:
    """What a step is asked to come after, and what else it could be asked to."""

    direct: tuple[Step, ...]
    through: tuple[Step, ...]  # it comes after these anyway
    offered: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]  # by garment: ids and names


@dataclass(frozen=True)
class BuildView:
    """The steps in build order; `editing` is the id of the step whose form is open."""

    rows: tuple[StepRow, ...]
    graph: Graph
    in_order: OneByOne
    drawing: BuildDrawing
    scale: TimeScale
    work: Estimate
    filming: FilmingTotal
    chain_work: Estimate
    unseen: Estimate  # of the work, what no shot shows
    hand_work: tuple[HandWork, ...]
    first_unit: System
    garments: tuple[tuple[str, str], ...]  # id and name
    base: str  # the address of the episode
    of_no_step: OfNoStep | None = None
    editing: str = ""
    ties: Ties | None = None  # of the step whose form is open
    work_on: WorkView | None = None  # of the step whose form is open
    refused: Refused | None = None
    answers: Answers = UNANSWERED
    work_answers: Answers = UNANSWERED
    new_answers: Answers = UNANSWERED
    move_answers: Answers = UNANSWERED
    by_id: Mapping[str, StepRow] = field(default_factory=dict, repr=False)

    @property
    def steps(self) -> tuple[StepPlan, ...]:
        """The steps in build order."""
        return tuple(row.plan for row in self.rows)

    @property
    def runs(self) -> tuple[Run, ...]:
        """The steps garment by garment, as far as the order allows."""
        runs: list[Run] = []
        for row in self.rows:
            if runs and runs[-1].garment == row.plan.garment:
                runs[-1] = Run(row.plan.garment, runs[-1].begins, (*runs[-1].rows, row))
            else:
                runs.append(Run(row.plan.garment, row.plan.number, (row,)))
        return tuple(runs)

    @property
    def idle(self) -> tuple[Idle, ...]:
        """The waits with nothing to do, in this order."""
        return self.in_order.idle

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """The cautions a step can carry."""
        return CAUTIONS

    @property
    def chain_names(self) -> tuple[str, ...]:
        """The longest chain, step by step."""
        return tuple(self.by_id[one].step.name for one in self.graph.chain)

    @property
    def added(self) -> str:
        """The steps' likely minutes one after another: less than is likely of the whole."""
        return minutes(sum(row.plan.work.likely for row in self.rows))

    @property
    def steps_kept_by(self) -> tuple[Hashable, ...] | None:
        """All that the list of the steps shows: see `kept_parts`. None where one stands open, or
        was refused another place."""
        if self.editing or self.refused:
            return None
        return "all steps", self.base, Same((self.rows,)), (self.drawing.width, self.scale)

    def kept_by(self, row: StepRow) -> tuple[Hashable, ...] | None:
        """All that the row of a step shows: see `kept_parts`. None for one that stands open, or was
        refused another place."""
        step = row.step.id
        if step == self.editing or (self.refused and step == self.refused.step.id):
            return None
        return (
            "row of a step",
            self.base,
            Same((row,)),
            (self.drawing.width, self.scale),
        )

    def shown_of(self, work: HandWork) -> str:
        """What of long hand work to film: `the first line`, `the first 10 cm (4 in) of 60 cm`."""
        return " and ".join(dict.fromkeys(_first_of(one, self.first_unit) for one in work.shown))

    def typed_minutes(self, step: Step) -> Minutes | None:
        """The minutes typed by hand for a step, if any."""
        return typed_minutes(step)


def typed_minutes(step: Step) -> Minutes | None:
    """The minutes typed by hand for a step, if any."""
    return next((w.minutes for w in step.work if w.kind == "other" and w.minutes), None)


@dataclass(frozen=True, slots=True)
class _InOrder:
    """The steps in build order and how they hang together."""

    rows: tuple[StepRow, ...]
    graph: Graph
    in_order: OneByOne
    drawing: BuildDrawing


_ordered: Final[Remembered[Hashable, _InOrder]] = Remembered(20)


def _in_order(plan: Plan) -> _InOrder:
    steps = [row.step for row in plan.steps]
    graph = build_graph(steps, {row.step.id: row.work.likely for row in plan.steps})
    ends: dict[str, tuple[int, int]] = {}  # of each garment: the places of its first and last step
    for row in plan.steps:
        ends[row.garment] = (ends.get(row.garment, (row.number,))[0], row.number)
    in_order, drawing, taken = one_by_one(graph), drawing_of(graph), _taken(plan)
    rows = tuple(
        StepRow(
            row,
            graph.nodes[row.step.id],
            *_places(row, steps, ends[row.garment]),
            tuple(graph.nodes[one].step.name for one in graph.nodes[row.step.id].waits_on),
            len(graph.nodes[row.step.id].behind),
            drawn,
            taken.get(row.step.id, 0.0),
            tuple(one for one in in_order.idle if one.step.id == row.step.id),
        )
        for row, drawn in zip(plan.steps, drawing.rows, strict=True)
    )
    return _InOrder(rows, graph, in_order, drawing)


def build_view(plan: Plan, work_on: WorkView | None, **told: Any) -> BuildView:
    """The page of this plan; `told` are its forms' answers."""
    ordered = _ordered.get(plan.but_shots, partial(_in_order, plan))
    rows, graph = ordered.rows, ordered.graph
    editing: str = told.get("editing", "")
    return BuildView(
        rows,
        graph,
        ordered.in_order,
        ordered.drawing,
        time_scale(max((_longest(row) for row in rows), default=0.0)),
        plan.work,
        filming_total(plan),
        total([row.work for row in plan.steps if row.step.id in graph.chain]),
        total([row.unseen for row in plan.steps]),
        hand_work_off_camera(plan),
        plan.episode.first_unit,
        tuple((garment.id, garment.name) for garment in plan.episode.garments),
        f"/episodes/{plan.episode.id}",
        of_no_step=_of_no_step(plan),
        ties=_ties(editing, plan, graph) if editing in graph.nodes else None,
        work_on=work_on,
        by_id={row.step.id: row for row in rows},
        **told,
    )


def _first_of(shown: Shown, first: System) -> str:
    if shown.one:
        return f"the first {shown.one}"
    words = f"the first {unbroken(both(SHOWN_MM, first))}"
    of_it = shown.length_mm < _WHOLE_TOLD_MM
    return f"{words} of {both_unbroken(shown.length_mm, first)}" if of_it else words


def kinds_of_work(parts: Sequence[WorkPart]) -> tuple[KindOfWork, ...]:
    """The parts of a step by kind, in the order listed, those typed by hand apart."""
    found: dict[tuple[WorkKind, bool], list[WorkPart]] = {}
    for part in parts:
        found.setdefault((part.kind, part.typed), []).append(part)
    return tuple(
        KindOfWork(kind, total([p.table for p in own]), total([p.shown for p in own]), typed)
        for (kind, typed), own in found.items()
    )


def time_scale(longest: float) -> TimeScale:
    """A tape that the longest of the times fits on, with at most _MOST_MARKS figures after 0."""
    fitting = (mark for mark in _MARKS if longest <= mark * _MOST_MARKS)
    mark = next(fitting, _MARKS[-1])
    return TimeScale(mark * max(1, -(-longest // mark)), mark)


def _places(row: StepPlan, steps: Sequence[Step], within: tuple[int, int]) -> tuple[int, int]:
    """The first and the last place where a step can stand among those of its garment."""
    first, last = free_places(steps, row.step.id)
    return max(first + 1, within[0]), min(last + 1, within[1])


def _longest(row: StepRow) -> float:
    """How far its bar reaches, in minutes."""
    return max(row.plan.work.high, row.plan.work.likely + row.plan.filming.likely, row.taken)


def _taken(plan: Plan) -> Mapping[str, float]:
    """The minutes that she took for whole steps of this episode, by their ids."""
    return {
        one.entry.item: one.entry.minutes
        for one in wholes(plan.episode)
        if one.entry.timed == "step" and not one.entry.kind and not one.entry.episode
    }


def _of_no_step(plan: Plan) -> OfNoStep | None:
    steps = {row.step.id for row in plan.steps}
    found = [one for one in plan.shots if one.shot.step not in steps]
    if not found:
        return None
    kinds = dict.fromkeys(_kind_of_shot(one) for one in found)
    filming = total([one.filming for one in found])
    return OfNoStep(filming, tuple(one.number for one in found), tuple(kinds))


def _kind_of_shot(one: ShotPlan) -> str:
    return {"cutaway": "cutaways", "step": "others"}.get(one.shot.kind, one.shot.kind)


def _ties(editing: str, plan: Plan, graph: Graph) -> Ties:
    """What the step waits on; offered is what does not wait on it and is not tied to it yet."""
    node = graph.nodes[editing]
    direct = tuple(graph.nodes[one].step for one in node.step.after if one in graph.nodes)
    known = {step.id for step in direct} | {editing} | set(node.before) | set(node.behind)
    through = tuple(
        graph.nodes[one].step for one in node.before if one not in {s.id for s in direct}
    )
    offered: dict[str, list[tuple[str, str]]] = {}
    for row in plan.steps:
        if row.step.id not in known:
            offered.setdefault(row.garment, []).append((row.step.id, row.step.name))
    return Ties(direct, through, tuple((name, tuple(own)) for name, own in offered.items()))
