"""What the page at the table shows: its stops, what is filmed and timed, the orders there are."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import lru_cache
from math import fsum
from typing import Any, Final

from markupsafe import Markup

from webapp.draft.names import plural
from webapp.filming.figures import LiveText
from webapp.filming.said import as_filmed
from webapp.filming.shoot_days import told_day
from webapp.filming.shots import Shot
from webapp.handouts.cautions import CautionText, cautions_for
from webapp.handouts.step_diagrams import step_drawing
from webapp.pages.shell import Shell
from webapp.pages.time_fields import time_key
from webapp.plan.at_table import plan_print
from webapp.plan.episode import Episode
from webapp.plan.results import Plan, ShotPlan
from webapp.plan.table_stops import Stop, days_with_shots, stops_in_build_order, stops_of_day
from webapp.plan.time_edits import timer_seconds
from webapp.plan.time_rows import spelled_about
from webapp.remembered import Remembered, Same
from webapp.store.history import Change
from webapp.units import System

_PACES: Final = ("sped up", "talked over")
_NOTHING: Final = Markup()
_drawings: Final[Remembered[Hashable, Mapping[str, Markup]]] = Remembered(16)


@dataclass(frozen=True)
class StopView:
    """A stop with what is drawn and told of it."""

    stop: Stop
    drawing: Markup
    cautions: tuple[CautionText, ...]
    time: str  # how the clock names it; empty for a shot of no step
    spent: str  # the time taken so far; may be empty

    @property
    def place(self) -> str:
        """Where its address points to."""
        return self.stop.key

    @property
    def words(self) -> LiveText | None:
        """What to do, for a step that says it."""
        step = self.stop.step
        return step.words if step and step.words.parts else None


@dataclass(frozen=True)
class TableView:
    """The whole page."""

    shell: Shell
    stops: tuple[StopView, ...]
    day: date | None  # whose shoot order it is; None for the build order
    days: tuple[tuple[date, str], ...]  # those that can be walked through, as they are called
    shown: str  # the stop that stands open at first
    state: Mapping[str, Any]
    steps: int
    today: date | None = None  # when it is a shoot day
    told: str = ""  # why what was pressed was not kept
    said: Mapping[str, tuple[tuple[str, str, str], ...]] = field(default_factory=dict)

    @property
    def first(self) -> System:
        """The unit that stands first."""
        return self.shell.first_unit

    @property
    def order(self) -> str:
        """The order, as an address asks for it."""
        return self.day.isoformat() if self.day else ""

    @property
    def order_told(self) -> str:
        """The order in words."""
        called = next((words for day, words in self.days if day == self.day), "")
        return f"Shoot order, {called}" if called else "Build order"

    def kept_by(self, one: StopView) -> tuple[Hashable, ...]:
        """All that a stop shows: see `kept_parts`."""
        stop, timer, episode = one.stop, self.state["timer"], self.shell.episode
        said = tuple(self.said[shot.shot.id] for shot in stop.shots)
        return (
            "stop at the table",
            self.shell.base,
            Same((stop, one.drawing, episode.looks, said)),
            (one.spent, one.place == self.shown),
            (self.order, self.steps, len(episode.garments), self.first),
            tuple((name, timer[name]) for name in timer if name != "seconds") if timer else None,
        )

    @property
    def list_kept_by(self) -> tuple[Hashable, ...]:
        """All that the list of stops shows."""
        return "stops to jump to", Same((tuple(one.stop for one in self.stops),))

    def facts(self, one: ShotPlan) -> tuple[str, ...]:
        """What is to be known before a shot is set up."""
        shot = one.shot
        looks = {look.id: look.name for look in self.shell.episode.looks}
        found = [shot.place, plural(shot.takes, "take")]
        found += [shot.pace] if shot.pace in _PACES else []
        found += ["quiet"] if shot.quiet else []
        found += ["by lamps"] if shot.light == "lamps" else []
        found += [f"worn: {looks[shot.look]}"] if shot.look in looks else []
        return tuple(found)


def table_view(
    plan: Plan, shell: Shell, day: date | None, now: datetime, state: Mapping[str, Any]
) -> TableView:
    """The page of a plan: in build order, or in the order of a shoot day that there is."""
    days = days_with_shots(plan)
    day = day if day in days else None
    stops = stops_of_day(plan, day) if day else stops_in_build_order(plan)
    drawings = _drawings_of(plan)
    shown = tuple(_stop_view(stop, drawings, state) for stop in stops)
    return TableView(
        shell=shell,
        stops=shown,
        day=day,
        days=tuple((one, _called(one, now.date())) for one in days),
        shown=_first_shown(shown, state),
        state=state,
        steps=len(plan.steps),
        today=now.date() if now.date() in days else None,
        said={one.shot.id: _said(plan, one) for one in plan.shots},
    )


def _drawings_of(plan: Plan) -> Mapping[str, Markup]:
    """The drawing of each step, by its id."""
    order = tuple(row.step.id for row in plan.steps)
    return _drawings.get(
        (Same((plan.drafts,)), order),
        lambda: {row.step.id: step_drawing(plan, row) for row in plan.steps},
    )


def state_of(
    episode: Episode, now: datetime, undo: Change | None, redo: Change | None, browser: str = ""
) -> dict[str, Any]:
    """How it stands with what is entered at the table; the changes that can be undone and made
    again, as told in that browser."""
    timer = episode.timer
    clock = None
    if timer is not None:
        clock = {
            "timed": timer.timed,
            "item": timer.item,
            "kind": timer.kind or "",
            "title": timer.title,
            "runs": timer.started is not None,
            "seconds": round(timer_seconds(timer, now), 1),
        }
    return {
        "filmed": {
            shot.id: told_day(shot.filmed.day) if shot.filmed.day else ""
            for shot in episode.shots
            if shot.filmed is not None
        },
        "timer": clock,
        "spent": _spent(episode),
        "undo": undo.told_in(browser) if undo else "",
        "redo": redo.told_in(browser) if redo else "",
        "undo_change": undo.id if undo else "",
        "redo_change": redo.id if redo else "",
        "print": plan_print(episode),
    }


def _spent(episode: Episode) -> dict[str, str]:
    taken: dict[str, list[float]] = {}
    for one in episode.time_log:
        if one.timed == "step":
            taken.setdefault(one.item, []).append(one.minutes)
    return {step: spelled_about(fsum(minutes)) for step, minutes in taken.items()}


def _stop_view(stop: Stop, drawings: Mapping[str, Markup], state: Mapping[str, Any]) -> StopView:
    row = stop.step
    if row is None:
        return StopView(stop, _NOTHING, (), "", "")
    return StopView(
        stop,
        drawings[row.step.id],
        cautions_for((row.step,)),
        time_key("step", row.step.id),
        state["spent"].get(row.step.id, ""),
    )


def _said(plan: Plan, one: ShotPlan) -> tuple[tuple[str, str, str], ...]:
    """The figures that are said in a shot filmed now, as a tick sends them back."""
    return _said_in(Same((one.shot, plan.figures_of_step(one.shot.step))))


@lru_cache(maxsize=1000)  # of some dozen episodes
def _said_in(of: Same) -> tuple[tuple[str, str, str], ...]:
    shot: Shot
    figures: Mapping[str, float]
    shot, figures = of.values
    told = as_filmed(shot, figures, "cm").said  # each in both units, whichever stands first
    return tuple((figure.name, figure.cm, figure.inch) for figure in told)


def _first_shown(stops: tuple[StopView, ...], state: Mapping[str, Any]) -> str:
    """What is timed, else the first stop with a shot to film, else the first."""
    timer = state["timer"]
    timed = time_key(timer["timed"], timer["item"]) if timer else ""
    for one in stops:
        if one.time and one.time == timed:
            return one.place
    left = (one.place for one in stops if one.stop.left)
    return next(left, stops[0].place if stops else "")


def _called(day: date, today: date) -> str:
    return f"today, {told_day(day)}" if day == today else f"{day:%a} {told_day(day)}"
