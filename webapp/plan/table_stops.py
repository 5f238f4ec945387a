"""What is walked through at the cutting table: a stop for each step, and one for each other shot.

Figures are those a stop's words and shots quote, what is sewn, and what is cut to which size.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from typing import Final, Literal

from webapp.draft.construction import Work
from webapp.draft.evaluate import Draft, Piece
from webapp.draft.names import name_key
from webapp.draft.outline import ON_FOLD_MM
from webapp.draft.results import SeamFinding
from webapp.filming.figures import quoted
from webapp.filming.said import called, said
from webapp.filming.shoot_days import told_clock
from webapp.filming.shots import KINDS
from webapp.plan.results import Plan, ShotPlan, StepPlan
from webapp.plan.timetable import evening_of
from webapp.remembered import Remembered, Same
from webapp.units import System, both_as_cut

Use = Literal["Measure", "Say", "Sew", "Cut"]
_HALF: Final = "half, from the fold"
_SEWN: Final = frozenset({"machine", "overlock", "hand"})


@dataclass(frozen=True, slots=True)
class TableFigure:
    """A length to read at arm's length, in each unit as it is shown everywhere."""

    name: str
    cm: str
    inch: str
    note: str = ""

    def told(self, first: System) -> tuple[str, str]:
        """Both units, `first` first."""
        return (self.inch, self.cm) if first == "in" else (self.cm, self.inch)


_MOST_STOPS: Final = 1000  # of a dozen episodes


@dataclass(frozen=True)
class Stop:
    """A step with its shots, or a shot of no step."""

    key: str  # as its address names it
    title: str
    kind: str  # of a shot of no step: Talking to the camera; else empty
    step: StepPlan | None
    shots: tuple[ShotPlan, ...]
    figures: tuple[tuple[Use, tuple[TableFigure, ...]], ...] = ()
    rests: tuple[str, ...] = ()  # what must have rested before it, in sentences
    at: str = ""  # when it likely begins on a shoot day, or by when it is done in its evening
    days: tuple[date, ...] = ()  # that a shot of no step is still to be filmed on

    @property
    def left(self) -> int:
        """How many of its shots are still to film."""
        return sum(one.shot.filmed is None for one in self.shots)


_step_stops: Final[Remembered[Same, Stop]] = Remembered(_MOST_STOPS)
_shot_stops: Final[Remembered[tuple[Same, tuple[date, ...]], Stop]] = Remembered(_MOST_STOPS)


def stops_in_build_order(plan: Plan) -> tuple[Stop, ...]:
    """Every step in build order. A shot of no step stands before the step that follows it, but what
    opens the video before all steps, and styling after the last step of what it wears."""
    steps = {row.step.id for row in plan.steps}
    ahead: dict[str, list[ShotPlan]] = {}
    own: dict[str, list[ShotPlan]] = {}
    worn: dict[str, list[ShotPlan]] = {}
    opening: list[ShotPlan] = []
    waiting: list[ShotPlan] = []
    for one in plan.shots:
        if last := last_step_worn(plan, one):
            worn.setdefault(last, []).append(one)
            continue
        if one.shot.step not in steps:
            opens = one.shot.kind == "talking" and not (own or waiting)
            (opening if opens else waiting).append(one)
            continue
        ahead.setdefault(one.shot.step, []).extend(waiting)
        waiting = []
        own.setdefault(one.shot.step, []).append(one)
    found: list[Stop] = [_shot_stop(plan, one) for one in opening]
    for row in plan.steps:
        found += (_shot_stop(plan, one) for one in ahead.get(row.step.id, ()))
        found.append(_step_stop(plan, row, own.get(row.step.id, ())))
        found += (_shot_stop(plan, one) for one in worn.get(row.step.id, ()))
    return (*found, *(_shot_stop(plan, one) for one in waiting))


def stops_of_day(plan: Plan, day: date) -> tuple[Stop, ...]:
    """The shots of a shoot day in its order, those of one step that follow each other together.

    A step that is worked off camera in between stands where its work is done, what is done in the
    evening after all else. Empty when there is no such day.
    """
    rows = {row.step.id: row for row in plan.steps}
    planned = next((one for one in plan.days if one.day.day == day), None)
    found: list[Stop] = []
    worked: set[str] = set()
    for timed in planned.shots if planned else ():
        own = timed.plan.shot.step
        begins = told_clock(timed.begins.likely) if not timed.filmed else ""
        for name in timed.worked_ids:
            if name != own and name in rows and name not in worked:
                found.append(replace(_step_stop(plan, rows[name], ()), at=begins))
            worked.add(name)
        starts = told_clock(timed.starts.likely) if not timed.filmed else ""
        last = found[-1] if found else None
        if last and last.step and last.step.step.id == own:
            joined = _step_stop(plan, rows[own], (*last.shots, timed.plan))
            found[-1] = replace(joined, at=last.at or starts)
        elif own in rows:
            worked.add(own)
            found.append(replace(_step_stop(plan, rows[own], (timed.plan,)), at=starts))
        else:
            found.append(replace(_shot_stop(plan, timed.plan), at=starts))
    for one in evening_of(plan, day):
        by = f", by {told_clock(one.done_by)}" if one.done_by is not None else ""
        found.append(replace(_step_stop(plan, one.step, ()), at=f"Evening{by}"))
    return tuple(_keyed_apart(found))


def last_step_worn(plan: Plan, shot: ShotPlan) -> str:
    """The last step, in build order, of what a styling shot of no step wears; "" of other shots.

    It wears the first garment, and each other whose shots are all listed before it.
    """
    if shot.shot.kind != "styling" or any(row.step.id == shot.shot.step for row in plan.steps):
        return ""
    worn: set[str] = set()
    for number, garment in enumerate(plan.episode.garments):
        own = {step.id for step in garment.steps}
        if number == 0 or all(s.number < shot.number for s in plan.shots if s.shot.step in own):
            worn |= own
    return next((row.step.id for row in reversed(plan.steps) if row.step.id in worn), "")


def days_with_shots(plan: Plan) -> tuple[date, ...]:
    """The shoot days that can be walked through, by date."""
    return tuple(one.day.day for one in plan.days if one.shots)


def _keyed_apart(stops: Iterable[Stop]) -> Iterator[Stop]:
    """Stops of one step that other shots stand between have keys of their own."""
    had: dict[str, int] = {}
    for stop in stops:
        had[stop.key] = had.get(stop.key, 0) + 1
        again = f"_{had[stop.key]}" if had[stop.key] > 1 else ""  # no id holds a low line
        yield replace(stop, key=stop.key + again)


def _step_stop(plan: Plan, row: StepPlan, shots: Sequence[ShotPlan]) -> Stop:
    """Remembered by all it is made of: most edits leave most stops as they are."""
    of = Same((row, tuple(shots), plan.drafts, plan.episode.garments))
    return _step_stops.get(of, lambda: _stop_of_step(plan, row, shots))


def _stop_of_step(plan: Plan, row: StepPlan, shots: Sequence[ShotPlan]) -> Stop:
    return Stop(
        key=f"step-{row.step.id}",
        title=row.step.name,
        kind="",
        step=row,
        shots=tuple(shots),
        figures=tuple(_figures(plan, row, shots)),
        rests=tuple(_rests(plan, row)),
    )


def _shot_stop(plan: Plan, one: ShotPlan) -> Stop:
    days = plan.dates_of_shots.get(one.shot.id, ()) if one.shot.filmed is None else ()
    of = Same((one, plan.drafts))
    return _shot_stops.get((of, days), lambda: _stop_of_shot(plan, one, days))


def _stop_of_shot(plan: Plan, one: ShotPlan, days: tuple[date, ...]) -> Stop:
    figures = _quoted(plan, one.shot.step, (one.shot.narration, one.shot.card), set())
    return Stop(
        key=f"shot-{one.shot.id}",
        title=one.shot.title,
        kind=KINDS[one.shot.kind],
        step=None,
        shots=(one,),
        figures=(("Say", figures),) if figures else (),
        days=days,
    )


def _rests(plan: Plan, row: StepPlan) -> Iterator[str]:
    for other in plan.steps:
        if other.step.id in row.step.after and other.step.rest_hours:
            hours = f"{other.step.rest_hours:g} hour{'s' if other.step.rest_hours != 1 else ''}"
            yield f"Before this: {hours} of rest after “{other.step.name}”."


# --- Figures -----------------------------------------------------------------------------------


def _figures(
    plan: Plan, row: StepPlan, shots: Sequence[ShotPlan]
) -> Iterator[tuple[Use, tuple[TableFigure, ...]]]:
    """By what they are for; each stands once, where it is first needed."""
    had: set[str] = set()
    step = row.step
    spoken = [text for one in shots for text in (one.shot.narration, one.shot.card)]
    draft = next((one for one in plan.drafts if step in one.recipe.steps), None)
    groups: tuple[tuple[Use, tuple[TableFigure, ...]], ...] = (
        ("Measure", _quoted(plan, step.id, (step.words, step.spare), had)),
        ("Cut", tuple(_cut(draft, step.work)) if draft else ()),
        ("Sew", tuple(_sewn(plan, draft, step.work, had)) if draft else ()),
        ("Say", _quoted(plan, step.id, spoken, had)),
    )
    yield from (group for group in groups if group[1])


def _quoted(plan: Plan, step: str, texts: Iterable[str], had: set[str]) -> tuple[TableFigure, ...]:
    figures, halves = plan.figures_of_step(step), _halves(plan)
    names = {name_key(name): name for text in texts for name in quoted(text)}
    found = []
    for key, name in names.items():
        if key in figures and key not in had:
            had.add(key)
            found.append(_named(name, figures[key], _HALF if key in halves else ""))
    return tuple(found)


def _named(name: str, mm: float, note: str = "") -> TableFigure:
    shown = said(name, mm)
    return TableFigure(called(name), shown.cm, shown.inch, note)


def _plain(name: str, mm: float, note: str = "") -> TableFigure:
    cm, inch = both_as_cut(mm, "cm").removesuffix(")").split(" (")
    return TableFigure(name, cm, inch, note)


def _cut(draft: Draft, work: Sequence[Work]) -> Iterator[TableFigure]:
    """How wide and how long each piece is that is cut out; a half is told as half."""
    named = {name_key(name) for one in work if one.kind == "cut" for name in one.pieces}
    for piece in draft.pieces:
        if name_key(piece.name) in named:
            width, length = piece.cut_size_mm
            yield _plain(f"{piece.name}, across", width, _HALF if piece.on_fold else "")
            yield _plain(f"{piece.name}, along", length)


def _sewn(plan: Plan, draft: Draft, work: Sequence[Work], had: set[str]) -> Iterator[TableFigure]:
    """The length of each seam and edge that is sewn, once, and how often."""
    figures, halves = plan.figures_for(draft), _halves(plan)
    seams = {name_key(one.name): one for one in draft.seams}
    for one in (one for one in work if one.kind in _SEWN):
        for seam in one.seams:
            key = name_key(seam)
            if key in seams and f"seam {key}" not in had:
                had.add(f"seam {key}")
                yield _plain(seam[:1].upper() + seam[1:], seams[key].other_mm, _how(seams[key]))
        for use in one.edges:
            key = name_key(use.edge)
            if key in figures and key not in had:
                had.add(key)
                notes = (_HALF if key in halves else "", _times(use.times))
                yield _named(use.edge, figures[key], ", ".join(one for one in notes if one))


def _halves(plan: Plan) -> frozenset[str]:
    """The edges that go on over the fold, of which only the half is drawn."""
    return _halves_of(Same((plan.pieces,)))


@lru_cache(maxsize=50)
def _halves_of(of: Same) -> frozenset[str]:
    pieces: tuple[Piece, ...]
    (pieces,) = of.values
    return frozenset(
        name_key(f"{piece.name}.{edge.name}")
        for piece in pieces
        if piece.on_fold
        for edge in piece.outline
        if not edge.on_fold and min(abs(edge.start[0]), abs(edge.end[0])) <= ON_FOLD_MM
    )


def _times(count: int) -> str:
    return f"sewn {count} times" if count > 2 else "sewn twice" if count == 2 else ""


def _how(seam: SeamFinding) -> str:
    eased = "the longer side eased or gathered in" if seam.eased_mm > 0 else ""
    return ", ".join(part for part in (_times(seam.sewn), eased) if part)
