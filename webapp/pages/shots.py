"""Shots: what is filmed, from where, what is said and shown, and how long the video runs."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, Final, Literal, get_args

from fastapi import APIRouter, Query, Request, Response

from webapp.draft.construction import Step
from webapp.filming.looks import Look
from webapp.filming.said import ChangedFigure, called, correction_card, retold
from webapp.filming.shots import USUAL_PLACES, Light, Pace, ShotKind
from webapp.pages.forms import (
    UNANSWERED,
    Answers,
    Field,
    needed,
    one_of,
    read_form,
    status_of,
    text,
    ticked,
    whole_number,
)
from webapp.pages.shell import House, InHouse, Sent, answered
from webapp.plan.edits import changed, changed_one, shifted, without
from webapp.plan.episode import Episode
from webapp.plan.filming_total import FilmingTotal, filming_total
from webapp.plan.new_shot import with_new_shot
from webapp.plan.results import ShotPlan
from webapp.plan.said_edits import cards, needless_cards
from webapp.units import System

router = APIRouter(prefix="/episodes/{episode_id}/shots")

KINDS: Final[Mapping[ShotKind, str]] = {
    "step": "A step of the build",
    "talking": "Talking to the camera",
    "styling": "The finished piece, styled",
    "cutaway": "A cutaway",
}
PACES: Final[tuple[Pace, ...]] = get_args(Pace)
LIGHTS: Final[Mapping[Light, str]] = {
    "daylight": "By daylight, so before dark",
    "lamps": "By lamps, so at any hour",
}


@dataclass(frozen=True)
class ShotsView:
    """The shots in shooting order; `editing` is the id of the shot whose form is open."""

    shots: tuple[ShotPlan, ...]
    steps: tuple[Step, ...]
    places: tuple[str, ...]
    looks: tuple[Look, ...]
    filming: FilmingTotal
    running_time_s: float
    target_s: int | None
    figures: Mapping[str, float]  # by the name to quote, mm
    first: System
    needless: Mapping[str, tuple[str, ...]]  # by shot, the figures whose card is not needed
    today: date
    new_for: str = ""  # the step a new shot is for
    editing: str = ""
    answers: Answers = UNANSWERED
    new_answers: Answers = UNANSWERED
    leaving: str = ""  # the shot that is to be left as it was said
    leave_answers: Answers = UNANSWERED
    ticked: tuple[str, ...] = ()  # of the shots to be marked as filmed
    several_answers: Answers = UNANSWERED

    @property
    def filmed(self) -> int:
        """How many shots are filmed."""
        return sum(plan.shot.filmed is not None for plan in self.shots)

    @property
    def to_film(self) -> tuple[ShotPlan, ...]:
        """The shots that are still to be filmed."""
        return tuple(plan for plan in self.shots if plan.shot.filmed is None)

    @property
    def stale(self) -> int:
        """How many filmed shots say what is no longer so, with nothing decided yet."""
        return sum(bool(plan.stale) for plan in self.shots)

    @property
    def first_stale(self) -> str:
        """The id of the first shot that says what is no longer so; empty without one."""
        return next((plan.shot.id for plan in self.shots if plan.stale), "")

    @property
    def correction_cards(self) -> tuple[tuple[int, str], ...]:
        """Every correction card: the number of its shot and its words."""
        return tuple((plan.number, words) for plan in self.shots for words in self.cards_of(plan))

    def cards_of(self, plan: ShotPlan) -> tuple[str, ...]:
        """The words of a shot's correction cards."""
        return tuple(correction_card(one, self.first) for one in cards(plan))

    def card_offered(self, plan: ShotPlan) -> tuple[str, ...]:
        """The words that a card would put what is stale in a shot right with."""
        return tuple(correction_card(one, self.first) for one in plan.stale if one.now)

    def accepted(self, plan: ShotPlan) -> tuple[ChangedFigure, ...]:
        """What is left in a shot as it was said."""
        return tuple(one for one in plan.changed if one.answer == "accepted")

    def retold(self, plan: ShotPlan) -> bool:
        """True when the words of a filmed shot were changed afterwards."""
        return plan.shot.filmed is not None and retold(plan.shot.filmed, plan.shot)

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

    @property
    def look_options(self) -> tuple[tuple[str, str], ...]:
        """What can be worn in a shot."""
        return (("", "What you sew in"), *((look.id, look.name) for look in self.looks))

    def look_name(self, look_id: str) -> str:
        """What a look is called; where it is not there, its id."""
        return next((look.name for look in self.looks if look.id == look_id), look_id)

    @property
    def step_options(self) -> tuple[tuple[str, str], ...]:
        """The steps a shot can belong to."""
        return (("", "No step"), *((step.id, step.name) for step in self.steps))

    @property
    def guessed(self) -> int:
        """How many shots have neither words nor seconds, so that their length is a guess."""
        return sum(
            not plan.narration.plain.strip() and plan.shot.screen_seconds is None
            for plan in self.shots
            if plan.shot.kind in ("step", "talking")
        )


@router.get("")
def shots(
    request: Request,
    episode_id: str,
    house: InHouse,
    edit: Annotated[str, Query()] = "",
    step: Annotated[str, Query()] = "",
) -> Response:
    return _show(request, house, episode_id, editing=edit, new_for=step)


@router.post("")
def add_shot(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    asked = ("title", "step", "narration", "card")
    fields = [field for field in _fields(house, episode_id) if field.name in asked]
    answers = read_form(sent, needed(fields, "title"))
    if not answers.errors:
        answers = house.save(
            episode_id,
            f"new shot {answers.values['title']}",
            answers,
            lambda e: with_new_shot(e, answers.values),
        )
    return done(request, house, episode_id, new_answers=answers)


@router.post("/{shot_id}")
def save_shot(
    request: Request, episode_id: str, shot_id: str, sent: Sent, house: InHouse
) -> Response:
    answers = read_form(sent, _fields(house, episode_id))
    answers = house.save(
        episode_id,
        f"the shot {answers.values.get('title', '')}".strip(),
        answers,
        lambda e: changed(
            e, shots=changed_one(e.shots, "id", shot_id, lambda s: changed(s, **answers.values))
        ),
    )
    return done(request, house, episode_id, editing=shot_id, answers=answers)


@router.post("/{shot_id}/delete")
def delete_shot(request: Request, episode_id: str, shot_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "a shot taken out",
        UNANSWERED,
        lambda e: changed(e, shots=without(e.shots, "id", shot_id)),
    )
    return done(request, house, episode_id, new_answers=answers)


@router.post("/{shot_id}/{way}")
def move_shot(
    request: Request,
    episode_id: str,
    shot_id: str,
    way: Literal["earlier", "later"],
    house: InHouse,
) -> Response:
    by = -1 if way == "earlier" else 1
    answers = house.save(
        episode_id, f"a shot {way}", UNANSWERED, lambda e: _with_shot_moved(e, shot_id, by)
    )
    return done(request, house, episode_id, new_answers=answers)


def _fields(house: House, episode_id: str) -> tuple[Field, ...]:
    episode = house.store.get(episode_id)
    steps = [step.id for garment in episode.garments for step in garment.steps]
    return (
        Field("title", text(80, required=True)),
        Field("kind", one_of(KINDS)),
        Field("step", one_of(("", *steps))),
        Field("place", text(80, required=True)),
        Field("takes", whole_number(1, 50, required=True)),
        Field("light", one_of(LIGHTS)),
        Field("quiet", ticked),
        Field("look", one_of(("", *(look.id for look in episode.looks)))),
        Field("chapter", text(200)),
        Field("narration", text(4000)),
        Field("card", text(200)),
        Field("pace", one_of(PACES)),
        Field("screen_seconds", whole_number(1, 3600)),
        Field("note", text(4000)),
    )


def _with_shot_moved(episode: Episode, shot_id: str, by: int) -> Episode:
    place = next((i for i, shot in enumerate(episode.shots) if shot.id == shot_id), -1)
    return changed(episode, shots=shifted(episode.shots, place, by))


def done(request: Request, house: House, episode_id: str, *, at: str = "", **told: Any) -> Response:
    """The page after a form, at the shot `at` if one is named."""
    return answered(
        request,
        f"/episodes/{episode_id}/shots" + (f"#shot-{at}" if at else ""),
        told.values(),
        lambda: _show(request, house, episode_id, **told),
    )


def _show(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    shell = house.shell(episode_id, "shots")
    plan = shell.plan
    used = dict.fromkeys([*USUAL_PLACES, *(shot.shot.place for shot in plan.shots)])
    view = ShotsView(
        plan.shots,
        tuple(step.step for step in plan.steps),
        tuple(used),
        plan.episode.looks,
        filming_total(plan),
        plan.running_time_s,
        plan.episode.brief.target_seconds,
        dict(sorted(plan.figures_mm.items())),
        plan.episode.first_unit,
        {
            row.shot.id: tuple(called(name) for name in names)
            for row in plan.shots
            if (names := needless_cards(plan, row))
        },
        date.today(),
        **told,
    )
    return house.show(request, "shots/shots.html", view, shell=shell, status=status_of(view))
