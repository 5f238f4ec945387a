"""Build order: the steps, what each waits on, how long each takes, and what holds up the whole."""

from collections.abc import Mapping
from typing import Annotated, Any, Final, Literal

from fastapi import APIRouter, Query, Request, Response
from starlette.datastructures import FormData

from webapp.draft.construction import Minutes, Step, Work
from webapp.errors import NotThereError
from webapp.pages.build_view import BuildView, build_view, typed_minutes
from webapp.pages.forms import (
    UNANSWERED,
    Answers,
    Field,
    minutes,
    needed,
    one_of,
    read_form,
    refuse_gone,
    status_of,
    text,
    ticked,
    whole_number,
)
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.step_work import WorkView, with_something, work_fields, work_of, work_view
from webapp.plan.edits import changed, shifted, with_step, with_steps_in_order, with_work
from webapp.plan.evaluate import evaluate
from webapp.plan.off_camera import with_rest_done_off_camera
from webapp.plan.results import Plan
from webapp.plan.step_edits import (
    STEP_GONE,
    next_place,
    refused_move,
    step_of,
    steps_of,
    with_new_step,
    with_step_at,
    without_step,
)

router = APIRouter(prefix="/episodes/{episode_id}/build")

__all__ = ["BuildView", "router"]

_MOST_REST_HOURS: Final = 240
_MOST_PLACES: Final = 9999
_NO_PLACE: Final = "Say to which place the step is to go, as a number."
_MINUTES: Final = ("low", "likely", "high")
_MINUTES_FIELDS: Final = tuple(Field(name, minutes) for name in _MINUTES)


def hours(typed: str) -> float:
    """Hours that something rests, as 24, 1,5 or 24 h; empty is none."""
    plain = typed.removesuffix("hours").removesuffix("h").strip().replace(",", ".")
    if not plain:
        return 0.0
    digits = plain.replace(".", "", 1)
    if not (digits.isascii() and digits.isdigit()) or len(plain) > 8:
        raise ValueError("Write a number of hours, like 24 or 0.5.")
    if float(plain) > _MOST_REST_HOURS:
        raise ValueError(f"{plain} hours is too long; {_MOST_REST_HOURS} (ten days) is the most.")
    return float(plain)


_STEP_FIELDS: Final = (
    Field("name", text(80, required=True)),
    Field("words", text(4000)),
    Field("one_way", ticked),
    Field("spare", text(200)),
    Field("off_camera", ticked),
    Field("rest_hours", hours),
)
_PLACE_FIELDS: Final = (
    Field("place", whole_number(1, _MOST_PLACES, required=True), needed=True),
    Field("along", ticked),
)


@router.get("")
def build(
    request: Request, episode_id: str, house: InHouse, edit: Annotated[str, Query()] = ""
) -> Response:
    return _show(request, house, episode_id, editing=edit)


@router.post("/steps")
def add_step(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    before = house.store.get(episode_id)
    fields = (
        Field("garment", one_of(garment.id for garment in before.garments)),
        Field("name", text(80, required=True)),
    )
    answers = read_form(sent, needed(fields, "garment", "name"))
    if answers.errors:
        return _done(request, house, episode_id, new_answers=answers)
    name, garment = answers.values["name"], answers.values["garment"]
    known = {step.id for step in steps_of(before)}
    answers = house.save(
        episode_id, f"new step {name}", answers, lambda e: with_new_step(e, garment, name)
    )
    new = (step.id for step in steps_of(house.store.get(episode_id)) if step.id not in known)
    return _done(request, house, episode_id, editing=next(new, ""), new_answers=answers)


@router.post("/steps/{step_id}")
def save_step(
    request: Request, episode_id: str, step_id: str, sent: Sent, house: InHouse
) -> Response:
    episode = house.store.get(episode_id)
    others = [step.id for step in steps_of(episode) if step.id != step_id]
    fields = (*_STEP_FIELDS, *_MINUTES_FIELDS, Field("also_after", one_of(("", *others))))
    answers = _rising(read_form(sent, fields), typed_minutes(step_of(episode, step_id)))
    values = {**answers.values, **_several(sent)}
    answers = house.save(
        episode_id,
        f"the step {values.get('name', '')}".strip(),
        answers,
        lambda e: with_steps_in_order(
            with_step(e, step_id, lambda step: _with_answers(step, values))
        ),
    )
    return _done(request, house, episode_id, editing=step_id, answers=answers)


@router.post("/steps/{step_id}/work")
def add_work(
    request: Request, episode_id: str, step_id: str, sent: Sent, house: InHouse
) -> Response:
    view = _work_view(house.plan(episode_id), step_id)
    if view is None:
        raise NotThereError(STEP_GONE)
    fields = work_fields(view)
    refuse_gone(sent, fields, "piece", "seam")
    answers = with_something(read_form(sent, fields))
    if not answers.errors:
        new = work_of(answers.values)
        answers = house.save(
            episode_id,
            "what a step works on",
            answers,
            lambda e: with_step(e, step_id, lambda step: with_work(step, new)),
        )
    return _done(request, house, episode_id, editing=step_id, work_answers=answers)


@router.post("/steps/{step_id}/work/{place}/delete")
def delete_work(
    request: Request, episode_id: str, step_id: str, place: int, house: InHouse
) -> Response:
    def edit(step: Step) -> Step:
        return changed(step, work=shifted(step.work, place, len(step.work))[:-1])

    answers = house.save(
        episode_id,
        "what a step works on",
        UNANSWERED,
        lambda e: with_step(e, step_id, edit),
    )
    return _done(request, house, episode_id, editing=step_id, work_answers=answers)


@router.post("/steps/{step_id}/delete")
def delete_step(request: Request, episode_id: str, step_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id, "a step taken out", UNANSWERED, lambda e: without_step(e, step_id)
    )
    return _done(request, house, episode_id, new_answers=answers)


@router.post("/steps/{step_id}/place")
def place_step(
    request: Request, episode_id: str, step_id: str, sent: Sent, house: InHouse
) -> Response:
    answers = read_form(sent, _PLACE_FIELDS)
    if answers.errors:
        return _done(request, house, episode_id, move_answers=answers.failed(_NO_PLACE))
    place, along = answers.values["place"], answers.values.get("along", False)
    return _moved(request, house, episode_id, step_id, place, along=along)


@router.post("/steps/{step_id}/rest-off-camera")
def rest_off_camera(request: Request, episode_id: str, step_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "the rest off camera",
        UNANSWERED,
        lambda e: with_rest_done_off_camera(evaluate(e), step_id),
    )
    return _done(request, house, episode_id, near=step_id, move_answers=answers)


@router.post("/steps/{step_id}/{way}")
def move_step(
    request: Request,
    episode_id: str,
    step_id: str,
    way: Literal["earlier", "later"],
    house: InHouse,
) -> Response:
    place = next_place(house.store.get(episode_id), step_id, way)
    return _moved(request, house, episode_id, step_id, place)


def _moved(
    request: Request,
    house: House,
    episode_id: str,
    step_id: str,
    place: int,
    *,
    along: bool = False,
) -> Response:
    """Move the step, or show why it cannot stand there and what can be done instead."""
    refused = None if along else refused_move(house.store.get(episode_id), step_id, place)
    if refused is not None:
        told = UNANSWERED.failed(refused.sentence, "place")
        return _done(request, house, episode_id, near=step_id, move_answers=told, refused=refused)
    answers = house.save(
        episode_id,
        "the order of the steps",
        UNANSWERED,
        lambda e: with_step_at(e, step_id, place, along=along),
    )
    return _done(request, house, episode_id, near=step_id, move_answers=answers)


def _work_view(plan: Plan, step_id: str) -> WorkView | None:
    for draft in plan.drafts:
        for step in draft.recipe.steps:
            if step.id == step_id:
                return work_view(step, draft)
    return None


def _rising(answers: Answers, stored: Minutes | None) -> Answers:
    """The answers with all three minutes, those not sent as stored; an error if they fall."""
    if not set(_MINUTES) & set(answers.values):
        return answers
    before = stored.model_dump() if stored else dict.fromkeys(_MINUTES)
    three = {name: answers.values.get(name, before[name]) for name in _MINUTES}
    typed = [value for value in three.values() if value is not None]
    if typed == sorted(typed):
        return Answers(answers.typed, {**answers.values, **three}, answers.errors)
    kept = {name: value for name, value in answers.values.items() if name not in _MINUTES}
    refused = Answers(answers.typed, kept, answers.errors)
    return refused.failed("The three should rise: at the least, likely, at the most.", "high")


def _several(sent: FormData) -> dict[str, Any]:
    """The answers that are lists of ticks; a list sends an empty one too, so that none is told."""
    return {
        name: tuple(str(value) for value in sent.getlist(name) if value)
        for name in ("after", "cautions")
        if name in sent
    }


def _with_answers(step: Step, values: Mapping[str, Any]) -> Step:
    own = {name: value for name, value in values.items() if name in Step.model_fields}
    if values.get("also_after"):
        own["after"] = tuple(dict.fromkeys((*own.get("after", step.after), values["also_after"])))
    if set(_MINUTES) <= set(values):
        own["work"] = _with_minutes(step.work, values)
    return changed(step, **own)


def _with_minutes(work: tuple[Work, ...], values: Mapping[str, Any]) -> tuple[Work, ...]:
    others = tuple(w for w in work if w.kind != "other" or w.minutes is None)
    typed = [values[name] for name in _MINUTES if values[name] is not None]
    if not typed:
        return others
    middle = values["likely"] if values["likely"] is not None else typed[len(typed) // 2]
    three = Minutes(low=typed[0], likely=middle, high=typed[-1])
    return (*others, Work(kind="other", minutes=three))


def _done(
    request: Request,
    house: House,
    episode_id: str,
    *,
    editing: str = "",
    near: str = "",
    **told: Any,
) -> Response:
    """The page again; on a page of its own, at the step that was edited or moved."""
    told["editing"] = editing
    at = f"#step-{editing or near}" if editing or near else ""
    return answered(
        request,
        f"/episodes/{episode_id}/build" + (f"?edit={editing}" if editing else "") + at,
        told.values(),
        lambda: _show(request, house, episode_id, **told),
    )


def _show(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    shell = house.shell(episode_id, "build")
    view = build_view(shell.plan, _work_view(shell.plan, told.get("editing", "")), **told)
    return house.show(request, "build/build.html", view, shell=shell, status=status_of(view))
