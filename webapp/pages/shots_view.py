"""What the shots page shows: its rows, which of them are asked for, and which are as they were."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Final, Literal, get_args
from urllib.parse import parse_qs, urlencode

from webapp.draft.construction import Step
from webapp.filming.looks import Look
from webapp.filming.said import ChangedFigure, called, correction_card, retold
from webapp.filming.shots import KINDS, Light, Pace, ShotKind
from webapp.pages.forms import UNANSWERED, Answers
from webapp.pages.house import PLANS_KEPT
from webapp.plan.filming_total import FilmingTotal
from webapp.plan.results import Plan, ShotPlan
from webapp.plan.said_edits import cards, needless_cards
from webapp.plan.shortening import Shortening, leaving_out
from webapp.remembered import Remembered, Same
from webapp.units import System

PACES: Final[tuple[Pace, ...]] = get_args(Pace)
LIGHTS: Final[Mapping[Light, str]] = {
    "daylight": "By daylight, so before dark",
    "lamps": "By lamps, so at any hour",
}


@dataclass(frozen=True)
class ShotRow:
    """A line of the list. Two that are equal look the same."""

    plan: ShotPlan
    step: tuple[int, str] | None  # number and name, where shots of another step begin
    look: str  # what is worn in it, by name
    needless: tuple[str, ...]  # the figures whose correction card is not needed

    @property
    def id(self) -> str:
        """The shot's id."""
        return self.plan.shot.id

    @property
    def retold(self) -> bool:
        """True when the words of a filmed shot were changed afterwards."""
        shot = self.plan.shot
        return shot.filmed is not None and retold(shot.filmed, shot)

    @property
    def to_decide(self) -> str:
        """What waits for a decision about what was said; empty when nothing does."""
        if self.plan.stale:
            return "says what is no longer so"
        if self.retold:
            return "its words were changed since"
        return "its card is not needed" if self.needless else ""


Only = Literal["", "to-film", "filmed", "decide"]


@dataclass(frozen=True)
class Asked:
    """Which shots are to be shown, as the page's address says."""

    only: Only = ""
    place: str = ""
    of: str = ""  # a step's id; - for shots of no step
    words: bool = False  # with what is said under each line

    @classmethod
    def in_query(cls, query: str) -> "Asked":
        """What an address asks for; what it cannot ask for is left out."""
        told = {name: values[-1] for name, values in parse_qs(query).items()}
        only: Only = next((one for one in get_args(Only) if one == told.get("only")), "")
        words = told.get("words") == "yes"
        return cls(only, told.get("place", ""), told.get("of", ""), words)

    def __bool__(self) -> bool:
        return bool(self.only or self.place or self.of)

    def query(self, **other: str) -> str:
        """The query of an address that asks for this, some of it changed; with its `?`."""
        own = {"only": self.only, "place": self.place, "of": self.of}
        told = {**own, "words": "yes" if self.words else "", **other}
        return "?" + urlencode({name: value for name, value in told.items() if value})

    def holds(self, row: ShotRow) -> bool:
        """True for a shot that is to be shown."""
        shot = row.plan.shot
        return (
            (not self.place or shot.place == self.place)
            and (not self.of or (shot.step or "-") == self.of)
            and (self.only != "to-film" or shot.filmed is None)
            and (self.only != "filmed" or shot.filmed is not None)
            and (self.only != "decide" or bool(row.to_decide))
        )


_rows: Final[Remembered[Hashable, tuple[ShotRow, ...]]] = Remembered(PLANS_KEPT)


def rows_of(plan: Plan, asked: Asked) -> tuple[ShotRow, ...]:
    """The rows that are asked for, in shooting order, with the step where it becomes another.
    Remembered: the answer to an edit compares them with those from before it."""
    return _rows.get((Same((plan,)), asked), lambda: _rows_of(plan, asked))


def _rows_of(plan: Plan, asked: Asked) -> tuple[ShotRow, ...]:
    looks = {look.id: look.name for look in plan.episode.looks}
    numbers = {step.step.id: step.number for step in plan.steps}
    rows: list[ShotRow] = []
    before = ""
    for one in plan.shots:
        shot = one.shot
        of = shot.step or "-"
        begun = (numbers.get(shot.step, 0), one.step_name) if of != before else None
        needless = tuple(called(name) for name in needless_cards(plan, one))
        row = ShotRow(one, begun, looks.get(shot.look, shot.look), needless)
        if asked.holds(row):
            rows.append(row)
            before = of
    return tuple(rows)


@dataclass(frozen=True)
class ShotsView:
    """The shots in shooting order.

    `rows` are those asked for; `same` are ids of rows that the page which asks shows as they are
    already, so that they need not be sent again; `opened` are ids of rows whose form is open.
    """

    plan: Plan
    shots: tuple[ShotPlan, ...]
    every_row: tuple[ShotRow, ...]
    rows: tuple[ShotRow, ...]
    asked: Asked
    same: frozenset[str]
    steps: tuple[Step, ...]
    places: tuple[str, ...]
    looks: tuple[Look, ...]
    filming: FilmingTotal
    running_time_s: float
    target_s: int | None
    figures: Mapping[str, float]  # by the name to quote, mm
    first: System  # on this screen
    of_video: System  # in the video, so on its cards
    today: date
    new_for: str = ""  # the step a new shot is for
    opened: frozenset[str] = frozenset()
    editing: str = ""  # the shot that the answers are of
    answers: Answers = UNANSWERED
    new_answers: Answers = UNANSWERED
    leaving: str = ""  # the shot that is to be left as it was said
    leave_answers: Answers = UNANSWERED
    acted_on: str = ""  # the shot that was ticked, or about which something was decided
    act_answers: Answers = UNANSWERED
    ticked: tuple[str, ...] = ()  # of the shots to be marked as filmed
    several_answers: Answers = UNANSWERED

    def kept_by(self, row: ShotRow) -> tuple[Hashable, ...] | None:
        """All that the line of a shot shows, and what opens under it: see `kept_parts`. None where
        something of its form is to be mended."""
        if row.id in self.same:
            return "shot as it is", row.id
        if row.id == self.acted_on and self.act_answers.errors:
            return None
        line = (self._address, row.step, row.look, row.needless)
        if row.id not in self.opened:
            return "line of a shot", Same((row.plan,)), *line
        if row.id in (self.editing, self.leaving) and (
            self.answers.errors or self.leave_answers.errors
        ):
            return None
        quoted, out = self.plan.figures_of_step(row.plan.shot.step), self.leaving_out(row.plan)
        return (
            "open shot",
            Same((row.plan, quoted, self.plan.figures_mm)),
            *line,
            self.step_options,
            self.look_options,
            (out.words, out.loses) if out else None,
            self.first,
            self.of_video,
        )

    def figures_kept_by(self, example: str) -> tuple[Hashable, ...]:
        """The same of the figures to quote."""
        return "figures to quote", Same((self.plan.figures_mm,)), self.of_video, example

    @cached_property
    def _address(self) -> str:
        return self.base + self.asked.query()

    @cached_property
    def base(self) -> str:
        """The address of the episode."""
        return f"/episodes/{self.plan.episode.id}"

    @cached_property
    def filmed(self) -> int:
        """How many shots are filmed."""
        return sum(plan.shot.filmed is not None for plan in self.shots)

    @cached_property
    def to_film(self) -> tuple[ShotPlan, ...]:
        """The shots that are still to be filmed."""
        return tuple(plan for plan in self.shots if plan.shot.filmed is None)

    @cached_property
    def to_decide(self) -> int:
        """About how many shots something is to be decided."""
        return sum(bool(row.to_decide) for row in self.every_row)

    @property
    def first_to_film(self) -> str:
        """The id of the first shown shot that is still to be filmed; empty without one."""
        return next((row.id for row in self.rows if row.plan.shot.filmed is None), "")

    @cached_property
    def correction_cards(self) -> tuple[tuple[int, str], ...]:
        """Every correction card: the number of its shot and its words."""
        return tuple((plan.number, words) for plan in self.shots for words in self.cards_of(plan))

    def cards_of(self, plan: ShotPlan) -> tuple[str, ...]:
        """The words of a shot's correction cards."""
        return tuple(correction_card(one, self.of_video) for one in cards(plan))

    def card_offered(self, plan: ShotPlan) -> tuple[str, ...]:
        """The words that a card would put what is stale in a shot right with."""
        return tuple(correction_card(one, self.of_video) for one in plan.stale if one.now)

    def accepted(self, plan: ShotPlan) -> tuple[ChangedFigure, ...]:
        """What is left in a shot as it was said."""
        return tuple(one for one in plan.changed if one.answer == "accepted")

    def leaving_out(self, plan: ShotPlan) -> Shortening | None:
        """The act that leaves a shot out of the video, where it can be."""
        return leaving_out(self.plan, plan.shot.id)

    @property
    def kinds(self) -> tuple[tuple[ShotKind, str], ...]:
        """The kinds of shot with their words."""
        return tuple(KINDS.items())

    @property
    def paces(self) -> tuple[tuple[Pace, str], ...]:
        """The paces with their words."""
        return tuple((pace, pace.capitalize()) for pace in PACES)

    @property
    def lights(self) -> tuple[tuple[Light, str], ...]:
        """The kinds of light with their words."""
        return tuple(LIGHTS.items())

    @cached_property
    def look_options(self) -> tuple[tuple[str, str], ...]:
        """What can be worn in a shot."""
        return (("", "What you sew in"), *((look.id, look.name) for look in self.looks))

    @cached_property
    def step_options(self) -> tuple[tuple[str, str], ...]:
        """The steps a shot can belong to."""
        return (("", "No step"), *((step.id, step.name) for step in self.steps))

    @property
    def places_used(self) -> tuple[str, ...]:
        """The places that shots are filmed from, as they come."""
        return tuple(dict.fromkeys(plan.shot.place for plan in self.shots))

    @property
    def steps_with_shots(self) -> tuple[tuple[str, str], ...]:
        """The steps that have shots, to ask for those of one."""
        own = {plan.shot.step for plan in self.shots}
        of_none = (("-", "No step"),) if "" in own else ()
        return (*of_none, *((step.id, step.name) for step in self.steps if step.id in own))

    @property
    def guessed(self) -> int:
        """How many shots have neither words nor seconds, so that their length is a guess."""
        return sum(
            not plan.narration.plain.strip() and plan.shot.screen_seconds is None
            for plan in self.shots
            if plan.shot.kind in ("step", "talking")
        )
