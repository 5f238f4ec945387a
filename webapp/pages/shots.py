"""Shots: what is filmed, from where, what is said and shown, and how long the video runs."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Annotated, Any, Final, Literal

from fastapi import APIRouter, Form, Query, Request, Response
from fastapi.responses import RedirectResponse

from webapp.errors import NotThereError
from webapp.filming.shots import KINDS, USUAL_PLACES
from webapp.pages.forms import (
    UNANSWERED,
    Field,
    needed,
    one_of,
    read_form,
    status_of,
    text,
    ticked,
    whole_number,
)
from webapp.pages.house import House, InHouse, Sent, address_told, answered
from webapp.pages.shell import Shell
from webapp.pages.shots_view import LIGHTS, PACES, Asked, ShotsView, rows_of
from webapp.plan.edits import changed, changed_one, shifted, without
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.filming_total import filming_total
from webapp.plan.new_shot import with_new_shot
from webapp.plan.on_screen import on_screen
from webapp.plan.shortening import leaving_out, shortened

router = APIRouter(prefix="/episodes/{episode_id}/shots")
order_router = APIRouter(prefix="/episodes/{episode_id}/shot-order")


@router.get("")
def shots(
    request: Request,
    episode_id: str,
    house: InHouse,
    edit: Annotated[str, Query()] = "",
    step: Annotated[str, Query()] = "",
) -> Response:
    return _show(request, house, episode_id, editing=edit, new_for=step)


@router.get("/{shot_id}")
def one_shot(
    request: Request,
    episode_id: str,
    shot_id: str,
    house: InHouse,
    closed: Annotated[bool, Query()] = False,
) -> Response:
    """One line of the list, open or closed, to be put in its place; else the page, with it open."""
    if request.headers.get("hx-request") != "true":
        return RedirectResponse(f"/episodes/{episode_id}/shots?edit={shot_id}#shot-{shot_id}", 303)
    shell = house.shell(episode_id, "shots")
    view = _view(shell, _asked(request), editing="" if closed else shot_id)
    row = next((one for one in view.rows if one.id == shot_id), None)
    if row is None:
        raise NotThereError("That shot is not there any more.")
    return house.show(request, "shots/one.html", view, shell=shell, row=row)


@router.post("")
def add_shot(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    asked = ("title", "step", "narration", "card")
    fields = [one for one in _fields(house.store.get(episode_id)) if one.name in asked]
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
    episode = house.store.get(episode_id)
    answers = read_form(sent, _fields(episode))
    answers = house.save(
        episode_id,
        _words(episode, shot_id, answers.values),
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


@router.post("/{shot_id}/leave-out")
def leave_out(request: Request, episode_id: str, shot_id: str, house: InHouse) -> Response:
    """As on the page of the running time, by the same act."""
    found, answers = leaving_out(house.plan(episode_id), shot_id), UNANSWERED
    if found is None:
        answers = answers.failed("That shot cannot be left out of the video (any more).")
    else:
        words = found.words[:1].lower() + found.words[1:]
        answers = house.save(
            episode_id, words, answers, lambda e: shortened(evaluate(e), found.act, shot_id)
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


@order_router.post("")
def put_shot(
    request: Request,
    episode_id: str,
    house: InHouse,
    row: Annotated[str, Form()] = "",
    place: Annotated[int, Form()] = 0,
) -> Response:
    """A shot drawn by its handle, or moved by keys, to the place of that number."""
    answers = house.save(
        episode_id, "a shot in another place", UNANSWERED, lambda e: _with_shot_at(e, row, place)
    )
    return done(request, house, episode_id, new_answers=answers)


_CALLED: Final = {
    "title": "the title",
    "place": "the camera place",
    "takes": "the takes",
    "light": "the light",
    "look": "the look",
    "chapter": "the chapter",
    "narration": "the narration",
    "card": "the card",
    "pace": "the pace",
    "screen_seconds": "the seconds on screen",
    "note": "the note",
}


def _fields(episode: Episode) -> tuple[Field, ...]:
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


def _words(episode: Episode, shot_id: str, values: Mapping[str, Any]) -> str:
    """What is changed of which shot: told to whoever else works on the plan."""
    title = next((shot.title for shot in episode.shots if shot.id == shot_id), "")
    what = _CALLED.get(*values) if len(values) == 1 else None
    return f"{what} of “{title}”" if what else f"the shot “{values.get('title', title)}”"


def _with_shot_moved(episode: Episode, shot_id: str, by: int) -> Episode:
    at = next((i for i, shot in enumerate(episode.shots) if shot.id == shot_id), -1)
    return changed(episode, shots=shifted(episode.shots, at, by))


def _with_shot_at(episode: Episode, shot_id: str, place: int) -> Episode:
    """The shot at a place from 1 on, the others in their order."""
    at = next((i for i, shot in enumerate(episode.shots) if shot.id == shot_id), None)
    if at is None or not 1 <= place <= len(episode.shots):
        raise NotThereError("That shot is not there any more.")
    others = (*episode.shots[:at], *episode.shots[at + 1 :])
    return changed(episode, shots=(*others[: place - 1], episode.shots[at], *others[place - 1 :]))


def done(request: Request, house: House, episode_id: str, *, at: str = "", **told: Any) -> Response:
    """The page after a form, at the shot `at` if one is named."""
    query = "?" + address_told(request, "referer").query
    return answered(
        request,
        f"/episodes/{episode_id}/shots" + query.rstrip("?") + (f"#shot-{at}" if at else ""),
        told.values(),
        lambda: _show(request, house, episode_id, **{"editing": at, **told}),
    )


def _asked(request: Request) -> Asked:
    """Which shots the page shows: as its address says, also while a form of it is answered."""
    if request.method == "GET" and request.headers.get("hx-request") != "true":
        return Asked.in_query(request.url.query)
    return Asked.in_query(address_told(request, "hx-current-url", "referer").query)


def _show(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    shell = house.shell(episode_id, "shots")
    view = _view(shell, _asked(request), **told)
    opened = view.opened | set(request.headers.get("open-rows", "").split())
    status = status_of(view)
    saved = request.method == "POST" and status == 200
    if saved and request.headers.get("hx-request") == "true":
        same = _same(house, shell, view) - {view.editing}
        view = replace(view, same=same)
    view = replace(view, opened=opened)
    return house.show(request, "shots/shots.html", view, shell=shell, status=status)


def _same(house: House, shell: Shell, view: ShotsView) -> frozenset[str]:
    """The rows that are as they were before the change: the page that made it shows them so.

    That the page was up to date is made sure by the edition it sent; that nothing came between its
    change and this answer, by the edition there is now.
    """
    if house.expected is None or shell.edition > house.expected + 1 or shell.is_outrun:
        return frozenset()
    before = house.plans.find((shell.episode.id, shell.revision - 1, ""))
    if before is None or before.episode.first_unit != shell.episode.first_unit:
        return frozenset()
    shown = rows_of(on_screen(before, shell.first_unit), view.asked)
    known = {row.id: row for row in shown}
    return frozenset(row.id for row in view.rows if known.get(row.id) == row)


def _view(shell: Shell, asked: Asked, **told: Any) -> ShotsView:
    plan = shell.plan
    every = rows_of(plan, Asked())
    return ShotsView(
        plan,
        plan.shots,
        every,
        rows_of(plan, asked) if asked else every,
        asked,
        frozenset(),
        tuple(step.step for step in plan.steps),
        tuple(dict.fromkeys([*USUAL_PLACES, *(shot.shot.place for shot in plan.shots)])),
        plan.episode.looks,
        filming_total(plan),
        plan.running_time_s,
        plan.episode.brief.target_seconds,
        dict(sorted(plan.figures_mm.items())),
        shell.first_unit,
        shell.episode.first_unit,
        date.today(),
        opened=frozenset((told.get("editing", ""),)) - {""},
        **told,
    )
