"""Brief: what the episode is to be, and the body it is drafted on."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from fastapi import APIRouter, Request, Response

from webapp.draft.measures import MEASURES, Measure
from webapp.draft.recipe import Body
from webapp.pages.forms import (
    UNANSWERED,
    Answers,
    Field,
    day,
    length,
    one_of,
    read_form,
    seconds,
    status_of,
    text,
    whole_number,
)
from webapp.pages.shell import House, InHouse, Sent, answered
from webapp.plan.edits import changed, shifted, with_measure
from webapp.plan.episode import Episode
from webapp.units import System

router = APIRouter(prefix="/episodes/{episode_id}")

_BRIEF_FIELDS: Final = (
    Field("title", text(80, required=True)),
    Field("channel", text(200)),
    Field("series", text(200)),
    Field("number", whole_number(0, 9999)),
    Field("first_unit", one_of(("cm", "in"))),
    Field("audience", text(200)),
    Field("promise", text(4000)),
    Field("target_seconds", seconds(30, 6 * 3600)),
    Field("publish_date", day),
    Field("members_extra", text(4000)),
    Field("notes", text(4000)),
)
_ON_EPISODE: Final = ("title", "channel", "series", "number", "first_unit")
_LABELS: Final = {
    "first_unit": "which unit stands first",
    "target_seconds": "target running time",
    "publish_date": "publish date",
    "members_extra": "members' extra",
}


@dataclass(frozen=True)
class BriefView:
    """The brief, the body's measures, the further sizes, and what was typed wrong where."""

    episode: Episode
    measures: tuple[Measure, ...]  # those the garments ask for come first
    asked: frozenset[str]
    answers: Answers = UNANSWERED
    body_answers: Answers = UNANSWERED
    size_answers: Answers = UNANSWERED
    size: int | None = None  # the place of the size that `size_answers` belongs to
    new_size_answers: Answers = UNANSWERED


@router.get("/brief")
def brief(request: Request, episode_id: str, house: InHouse) -> Response:
    return _show(request, house, episode_id)


@router.post("/brief")
def save_brief(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, _BRIEF_FIELDS)
    episode = house.store.get(episode_id)
    words = _words(episode, answers.values)
    answers = house.save(episode_id, words, answers, lambda e: _with_brief(e, answers.values))
    return _done(request, house, episode_id, answers=answers)


@router.post("/body")
def save_body(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    unit = house.store.get(episode_id).first_unit
    answers = read_form(sent, _body_fields(unit))
    answers = house.save(
        episode_id,
        "measurements of the body",
        answers,
        lambda e: changed(e, body=_with_measures(e.body, answers.values)),
    )
    return _done(request, house, episode_id, body_answers=answers)


@router.post("/sizes")
def add_size(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, (Field("name", text(80, required=True), needed=True),))
    if not answers.errors:
        new = answers.values["name"]
        answers = house.save(
            episode_id,
            f"new size {new}",
            answers,
            lambda e: changed(e, sizes=(*e.sizes, Body(name=new, measures=dict(e.body.measures)))),
        )
    added = None if answers.errors else len(house.store.get(episode_id).sizes) - 1
    return _done(request, house, episode_id, new_size_answers=answers, size=added)


@router.post("/sizes/{place}")
def save_size(
    request: Request, episode_id: str, place: int, sent: Sent, house: InHouse
) -> Response:
    unit = house.store.get(episode_id).first_unit
    answers = read_form(sent, _body_fields(unit))

    def edit(episode: Episode) -> Episode:
        shifted(episode.sizes, place, 0)  # refuses a place that is not there
        sizes = list(episode.sizes)
        sizes[place] = _with_measures(sizes[place], answers.values)
        return changed(episode, sizes=tuple(sizes))

    answers = house.save(episode_id, "measurements of a size", answers, edit)
    return _done(request, house, episode_id, size_answers=answers, size=place)


@router.post("/sizes/{place}/delete")
def delete_size(request: Request, episode_id: str, place: int, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "size taken out",
        UNANSWERED,
        lambda e: changed(e, sizes=shifted(e.sizes, place, len(e.sizes))[:-1]),
    )
    return _done(request, house, episode_id, new_size_answers=answers)


def _body_fields(unit: System) -> tuple[Field, ...]:
    return (
        Field("name", text(80, required=True)),
        *(
            Field(f"m {measure.name}", length(unit, measure.least_mm, measure.most_mm))
            for measure in MEASURES.values()
        ),
    )


def _with_brief(episode: Episode, values: Mapping[str, Any]) -> Episode:
    own = {name: value for name, value in values.items() if name in _ON_EPISODE}
    brief = {name: value for name, value in values.items() if name not in _ON_EPISODE}
    return changed(episode, **own, brief=changed(episode.brief, **brief))


def _with_measures(body: Body, values: Mapping[str, Any]) -> Body:
    for name, value in values.items():
        if name == "name":
            body = changed(body, name=value)
        else:
            body = with_measure(body, name.removeprefix("m "), value)
    return body


def _words(episode: Episode, values: Mapping[str, Any]) -> str:
    altered = [
        _LABELS.get(name, name)
        for name, value in values.items()
        if getattr(episode if name in _ON_EPISODE else episode.brief, name) != value
    ]
    return ", ".join(altered) or "the brief"


def _done(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/brief",
        told.values(),
        lambda: _show(request, house, episode_id, **told),
    )


def _show(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    shell = house.shell(episode_id, "brief")
    asked = [name for garment in shell.episode.garments for name in garment.measures]
    view = BriefView(
        shell.episode,
        tuple(MEASURES[name] for name in dict.fromkeys([*asked, *MEASURES]) if name in MEASURES),
        frozenset(asked),
        **told,
    )
    return house.show(request, "brief/brief.html", view, shell=shell, status=status_of(view))
