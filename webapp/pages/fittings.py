"""Fittings: what was found on the body, what it changes, and the revisions made of it."""

from typing import Annotated, Literal

from fastapi import APIRouter, Query, Request, Response
from starlette.datastructures import FormData

from webapp.draft.fittings import FittingChange
from webapp.pages.fitting_forms import read_choice, read_finish, read_move
from webapp.pages.fittings_view import cloths_with, show
from webapp.pages.forms import UNANSWERED, Answers, Field, day, needed, one_of, read_form, text
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.fittings import (
    fitting_called,
    with_change,
    with_draft_back,
    with_fitting,
    with_fitting_made,
    with_new_fitting,
    without_change,
    without_fitting,
)
from webapp.plan.results import Plan

router = APIRouter(prefix="/episodes/{episode_id}/fittings")


ChangeKind = Literal["choice", "finish", "move"]


@router.get("")
def fittings(
    request: Request,
    episode_id: str,
    house: InHouse,
    edit: Annotated[str, Query()] = "",
    piece: Annotated[str, Query()] = "",
    kind: Annotated[str, Query()] = "",
    made: Annotated[str, Query()] = "",
    laid: Annotated[str, Query()] = "",
) -> Response:
    return show(request, house, episode_id, edit, adding=(piece, kind), laid=bool(laid), made=made)


@router.get("/{fitting_id}/cloth")
def cloth(request: Request, episode_id: str, fitting_id: str, house: InHouse) -> Response:
    """The cloth to buy with a fitting, asked for by the page when the pieces are not laid yet."""
    shell = house.shell(episode_id, "fittings")
    cloths = cloths_with(house, shell, fitting_id)
    return house.show(request, "fittings/cloth.html", cloths, shell=shell)


@router.post("")
def add_fitting(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, needed(_fields(house, episode_id), "title"))
    if answers.errors:
        return done(request, house, episode_id, "", "new", answers)
    new: list[str] = []

    def edit(episode: Episode) -> Episode:
        after = with_new_fitting(episode, answers.values["title"])
        new[:] = [after.fittings[-1].id]
        return with_fitting(after, new[0], lambda one: changed(one, **answers.values))

    answers = house.save(episode_id, f"new fitting {answers.values['title']}", answers, edit)
    editing = "" if answers.errors else new[0]
    return done(request, house, episode_id, editing, "new", answers)


@router.post("/revisions/{number}/back")
def go_back(request: Request, episode_id: str, number: int, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        f"the draft back to revision {number}",
        UNANSWERED,
        lambda e: with_draft_back(e, number),
    )
    return done(request, house, episode_id, "", "back", answers, place="#revisions")


@router.post("/{fitting_id}")
def save_fitting(
    request: Request, episode_id: str, fitting_id: str, sent: Sent, house: InHouse
) -> Response:
    answers = read_form(sent, _fields(house, episode_id))
    answers = house.save(
        episode_id,
        f"the fitting {answers.values.get('title', '')}".strip(),
        answers,
        lambda e: with_fitting(e, fitting_id, lambda one: changed(one, **answers.values)),
    )
    return done(request, house, episode_id, fitting_id, "fitting", answers)


@router.post("/{fitting_id}/delete")
def delete_fitting(request: Request, episode_id: str, fitting_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id, "a fitting struck out", UNANSWERED, lambda e: without_fitting(e, fitting_id)
    )
    return done(request, house, episode_id, fitting_id if answers.errors else "", "act", answers)


@router.post("/{fitting_id}/make")
def make_fitting(request: Request, episode_id: str, fitting_id: str, house: InHouse) -> Response:
    title = fitting_called(house.store.get(episode_id), fitting_id).title
    answers = house.save(
        episode_id,
        f"{title} is the draft",
        UNANSWERED,
        lambda e: with_fitting_made(e, fitting_id),
    )
    made = "" if answers.errors else fitting_id
    return done(request, house, episode_id, fitting_id, "act", answers, made=made)


@router.post("/{fitting_id}/changes/{kind}")
def add_change(
    request: Request,
    episode_id: str,
    fitting_id: str,
    kind: ChangeKind,
    sent: Sent,
    house: InHouse,
) -> Response:
    fitting_called(house.store.get(episode_id), fitting_id)
    plan = house.plan(episode_id)
    answers, change = _read_change(plan, kind, sent)
    if change is not None:
        found: FittingChange = change

        def edit(episode: Episode) -> Episode:
            # A figure may be more than it was, or in proportion: read by the plan it is made of.
            of_it = plan if plan.episode == episode else evaluate(episode)
            _, own = _read_change(of_it, kind, sent)
            return with_change(episode, fitting_id, own or found)

        answers = house.save(episode_id, f"a change of {_about(found)}", answers, edit)
    adding = ("", "")
    if kind == "move" and answers.errors:
        adding = (str(sent.get("piece", "")), str(sent.get("kind", "")))
    return done(request, house, episode_id, fitting_id, kind, answers, adding=adding)


@router.post("/{fitting_id}/changes/{place}/delete")
def delete_change(
    request: Request, episode_id: str, fitting_id: str, place: int, house: InHouse
) -> Response:
    answers = house.save(
        episode_id,
        "a change struck out of a fitting",
        UNANSWERED,
        lambda e: without_change(e, fitting_id, place),
    )
    return done(request, house, episode_id, fitting_id, "act", answers)


def _read_change(
    plan: Plan, kind: ChangeKind, sent: FormData
) -> tuple[Answers, FittingChange | None]:
    first = plan.episode.first_unit
    if kind == "choice":
        return read_choice(sent, plan.drafts, plan.episode.body, first)
    if kind == "finish":
        return read_finish(sent, plan.drafts, first)
    return read_move(sent, plan.drafts, first)


def _about(change: FittingChange) -> str:
    if change.kind == "choice":
        return change.choice
    return f"{change.piece} {change.edge}" if change.kind == "finish" else change.piece


def _fields(house: House, episode_id: str) -> tuple[Field, ...]:
    shots = [shot.id for shot in house.store.get(episode_id).shots]
    return (
        Field("title", text(80, required=True)),
        Field("day", day),
        Field("found", text(4000)),
        Field("reason", text(4000)),
        Field("shot", one_of(("", *shots))),
    )


def done(
    request: Request,
    house: House,
    episode_id: str,
    editing: str,
    form: str,
    answers: Answers,
    *,
    place: str = "",
    made: str = "",
    adding: tuple[str, str] = ("", ""),
) -> Response:
    """The page after a form: again in place, or by its address."""
    query = f"?edit={editing}" + (f"&made={made}" if made else "") if editing else ""
    fragment = place or (f"#fitting-{editing}" if editing else "")
    address = f"/episodes/{episode_id}/fittings{query}{fragment}"

    def again() -> Response:
        return show(
            request,
            house,
            episode_id,
            editing,
            adding=adding,
            made=made,
            form=form,
            answers=answers,
        )

    response = answered(request, address, (answers,), again)
    if form == "new" and editing:
        response.headers["hx-push-url"] = address  # the new one is open, at the top
    return response
