"""Sizes: the episode's bodies, the tables by size, nested drawings, the size finder."""

from typing import Final
from urllib.parse import urlencode

from fastapi import APIRouter, Request, Response
from starlette.datastructures import FormData

from webapp.draft.recipe import Body
from webapp.pages.bodies import body_fields, with_answers
from webapp.pages.forms import UNANSWERED, Field, one_of, read_form, text
from webapp.pages.house import InHouse, Sent
from webapp.pages.offered_charts import OfferedChart, offered_charts
from webapp.pages.sizes_view import done, show
from webapp.plan.edits import changed, shifted, with_bodies, with_sizes
from webapp.plan.episode import Episode

router = APIRouter(prefix="/episodes/{episode_id}/sizes")

_REST: Final = ("camera", "empty")


@router.get("")
def sizes(request: Request, episode_id: str, house: InHouse) -> Response:
    return show(request, house, episode_id)


@router.post("")
def add_size(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, (Field("name", text(80, required=True), needed=True),))
    if not answers.errors:
        new = answers.values["name"]
        answers = house.save(
            episode_id,
            f"new size {new}",
            answers,
            lambda e: changed(e, sizes=(*e.sizes, changed(e.body, name=new))),
        )
    added = len(house.store.get(episode_id).sizes) - 1
    form = "new size" if answers.errors else f"size {added}"
    return done(request, house, episode_id, "#episode-sizes", form=form, answers=answers)


@router.post("/from-chart")
def take_sizes(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    offered = offered_charts(house)
    fields = (
        Field("chart", one_of(key for key, _ in offered.named), needed=True),
        Field("rest", one_of(_REST)),
    )
    answers = read_form(sent, fields)
    picked = offered.picked(answers.values.get("chart", ""))
    names = _ticked(sent, picked)
    if not answers.errors and not names:
        answers = answers.failed("Tick at least one size.")
    if not answers.errors:
        rest = answers.values.get("rest") != "empty"
        answers = house.save(
            episode_id,
            f"sizes {', '.join(names)} of {picked.name}",
            answers,
            lambda e: with_sizes(e, picked.chart, names, rest_of_body=rest),
        )
    place = "?" + urlencode({"chart": picked.key}) + "#episode-sizes"
    return done(request, house, episode_id, place, form="take", answers=answers, chart=picked.key)


@router.post("/{place}")
def save_size(
    request: Request, episode_id: str, place: int, sent: Sent, house: InHouse
) -> Response:
    unit = house.store.get(episode_id).first_unit
    answers = read_form(sent, body_fields(unit))

    def edit(episode: Episode) -> Episode:
        shifted(episode.sizes, place, 0)  # refuses a place that is not there
        bodies: list[Body] = list(episode.sizes)
        bodies[place] = with_answers(bodies[place], answers.values)
        return with_bodies(episode, episode.body, bodies)

    answers = house.save(episode_id, "measurements of a size", answers, edit)
    return done(request, house, episode_id, "#episode-sizes", form=f"size {place}", answers=answers)


@router.post("/{place}/delete")
def delete_size(request: Request, episode_id: str, place: int, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "size taken out",
        UNANSWERED,
        lambda e: with_bodies(e, e.body, shifted(e.sizes, place, len(e.sizes))[:-1]),
    )
    return done(request, house, episode_id, "#episode-sizes", form="new size", answers=answers)


def _ticked(sent: FormData, picked: OfferedChart) -> list[str]:
    """The sizes of the chart that were ticked, in its order."""
    ticked = set(map(str, sent.getlist("row")))
    return [row.name for row in picked.chart.rows if row.name in ticked]
