"""Places and looks: where the camera stands, how long moving takes, what is worn, what it needs."""

from dataclasses import dataclass
from typing import Any, Final

from fastapi import APIRouter, Request, Response

from webapp.build.rates import Rate
from webapp.build.work_time import Estimate
from webapp.pages.forms import (
    UNANSWERED,
    Answers,
    Field,
    needed,
    read_form,
    refuse_gone,
    status_of,
    text,
    ticked,
)
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.rate_words import rate_name
from webapp.pages.rates import rate_id
from webapp.pages.set_up_fields import minutes_like, minutes_shown
from webapp.plan.episode import Episode
from webapp.plan.filming_edits import (
    WORN_IN,
    with_look,
    with_minutes_between,
    with_new_look,
    with_place_called,
    without_look,
    without_minutes_between,
)
from webapp.plan.looks_used import (
    BetweenPlaces,
    ChangeTime,
    GettingReady,
    LookUse,
    PlaceUse,
    Rolling,
    between_places,
    change_times,
    getting_ready,
    in_what_she_sews_in,
    looks_used,
    places_used,
    rolling,
)
from webapp.plan.results import Plan, ShotPlan

router = APIRouter(prefix="/episodes/{episode_id}/set-ups")

_PLACES: Final = (
    Field("one", text(80, required=True), needed=True),
    Field("other", text(80, required=True), needed=True),
)
_CALLED: Final = (
    Field("place", text(80, required=True), needed=True),
    Field("name", text(80, required=True), needed=True),
)
_RATES: Final = ("first place", "other place", "same place", "other clothes", "made up")


@dataclass(frozen=True)
class SetUpsView:
    """The places in use with the minutes between them, the looks, and what they come to."""

    ready: GettingReady
    places: tuple[PlaceUse, ...]
    pairs: tuple[BetweenPlaces, ...]
    looks: tuple[LookUse, ...]
    plain: tuple[ShotPlan, ...]  # in what she sews in
    shots: tuple[ShotPlan, ...]
    changes: tuple[ChangeTime, ...]
    rolling: tuple[Rolling, ...]
    editing: str = ""  # the id of the look whose form is open
    place: str = ""  # the place whose form was sent
    pair: tuple[str, str] = ("", "")  # the places whose form was sent
    answers: Answers = UNANSWERED  # of the look that is open
    new_answers: Answers = UNANSWERED
    place_answers: Answers = UNANSWERED
    pair_answers: Answers = UNANSWERED
    act_answers: Answers = UNANSWERED

    @property
    def moved(self) -> tuple[BetweenPlaces, ...]:
        """The pairs between which the camera is moved, or whose minutes are hers."""
        return tuple(pair for pair in self.pairs if pair.moves or pair.own)

    @property
    def not_moved(self) -> tuple[BetweenPlaces, ...]:
        """The other pairs."""
        return tuple(pair for pair in self.pairs if not (pair.moves or pair.own))

    @property
    def by_rate(self) -> str:
        """The minutes between two places by the rates, as they can be typed."""
        rate = next(one.rate for one in self.changes if one.rate.key == "other place")
        return minutes_shown(Estimate(rate.low, rate.likely, rate.high))

    def place_of(self, use: PlaceUse) -> Answers | None:
        """The answers if they belong to the form of this place."""
        return self.place_answers if self.place == use.name else None

    def pair_of(self, pair: BetweenPlaces) -> Answers | None:
        """The answers if they belong to the form of this pair."""
        return self.pair_answers if self.pair == (pair.one, pair.other) else None

    def shown(self, pair: BetweenPlaces) -> str:
        """Her own minutes as they can be typed again; empty where the rates say them."""
        return minutes_shown(pair.minutes) if pair.own else ""

    @property
    def battery_id(self) -> str:
        """The element, on the page of rates, of how long a battery lasts."""
        return rate_id("battery: lasts")

    def rate_id(self, rate: Rate) -> str:
        """The element of a rate on the page of rates."""
        return rate_id(rate.key)

    def rate_name(self, rate: Rate) -> str:
        """What a rate is called."""
        return rate_name(rate.key)

    def figures(self, taken: Estimate) -> tuple[str, str, str]:
        """The least, the likely and the most minutes of a change as they are told."""
        if not self.are_moved:
            return f"{taken.low:g}", f"{taken.likely:g}", f"{taken.high:g}"
        return _figures(taken)

    @property
    def are_moved(self) -> bool:
        """True where her times make other figures of a change than its rate."""
        return any(_figures(one.taken) != _figures(one.rate) for one in self.changes)


@router.get("")
def set_ups(request: Request, episode_id: str, house: InHouse, edit: str = "") -> Response:
    return _show(request, house, episode_id, editing=edit)


@router.post("/places")
def call_place(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, _CALLED)
    place = str(answers.values.get("place", ""))
    if not answers.errors:
        name = answers.values["name"]
        answers = house.save(
            episode_id,
            f"the place {name}",
            answers,
            lambda e: with_place_called(e, place, name),
        )
    return _done(request, house, episode_id, at="camera-places", place=place, place_answers=answers)


@router.post("/between")
def save_minutes(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    usual = house.plan(episode_id).rates["other place"]
    answers = read_form(sent, (*_PLACES, Field("minutes", minutes_like(usual), needed=True)))
    one, other = (str(answers.values.get(name, "")) for name in ("one", "other"))
    if not answers.errors:
        minutes = answers.values["minutes"]
        answers = house.save(
            episode_id,
            f"the minutes from {one} to {other}",
            answers,
            lambda e: (
                without_minutes_between(e, one, other)
                if minutes is None
                else with_minutes_between(e, one, other, minutes)
            ),
        )
    return _done(request, house, episode_id, at="between", pair=(one, other), pair_answers=answers)


@router.post("/looks")
def add_look(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    fields = needed(_look_fields(house.store.get(episode_id)), "name")
    refuse_gone(sent, fields, WORN_IN.strip())
    answers = read_form(sent, fields)
    if not answers.errors:
        answers = house.save(
            episode_id,
            f"new look {answers.values['name']}",
            answers,
            lambda e: with_new_look(e, answers.values),
        )
    return _done(request, house, episode_id, at="looks", new_answers=answers)


@router.post("/looks/{look_id}")
def save_look(
    request: Request, episode_id: str, look_id: str, sent: Sent, house: InHouse
) -> Response:
    fields = _look_fields(house.store.get(episode_id))
    refuse_gone(sent, fields, WORN_IN.strip())
    answers = read_form(sent, fields)
    answers = house.save(
        episode_id,
        f"the look {answers.values.get('name', '')}".strip(),
        answers,
        lambda e: with_look(e, look_id, answers.values),
    )
    return _done(request, house, episode_id, at=f"look-{look_id}", editing=look_id, answers=answers)


@router.post("/looks/{look_id}/delete")
def delete_look(request: Request, episode_id: str, look_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id, "a look taken out", UNANSWERED, lambda e: without_look(e, look_id)
    )
    return _done(request, house, episode_id, at="looks", act_answers=answers)


def _look_fields(episode: Episode) -> tuple[Field, ...]:
    return (
        Field("name", text(80, required=True)),
        Field("press", text(4000)),
        Field("at_hand", text(4000)),
        Field("made_up", ticked),
        *(Field(WORN_IN + shot.id, ticked) for shot in episode.shots),
    )


def _done(request: Request, house: House, episode_id: str, *, at: str, **told: Any) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/set-ups#{at}",
        told.values(),
        lambda: _show(request, house, episode_id, **told),
    )


def _show(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    shell = house.shell(episode_id, "shots")
    view = _view(shell.plan, **told)
    return house.show(request, "set_ups/set_ups.html", view, shell=shell, status=status_of(view))


def _figures(says: Rate | Estimate) -> tuple[str, str, str]:
    return _figure(says.low), _figure(says.likely), _figure(says.high)


def _figure(minutes: float) -> str:
    """Minutes to two figures, those from 10 on to the minute."""
    return f"{minutes:.0f}" if minutes >= 10 else f"{minutes:.2g}"


def _view(plan: Plan, **told: Any) -> SetUpsView:
    return SetUpsView(
        getting_ready(plan),
        places_used(plan),
        between_places(plan),
        looks_used(plan),
        in_what_she_sews_in(plan),
        plan.shots,
        change_times(plan, *_RATES),
        rolling(plan),
        **told,
    )
