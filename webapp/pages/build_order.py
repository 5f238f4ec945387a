"""Build order: the steps, what each waits on, and how long each takes."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Final, Literal, get_args

from fastapi import APIRouter, Query, Request, Response
from starlette.datastructures import FormData

from webapp.build.steps import order_problem
from webapp.build.work_time import Estimate
from webapp.draft.construction import Caution, Minutes, Step, Work
from webapp.draft.recipe import Recipe
from webapp.errors import NotThereError, StepOrderError
from webapp.pages.forms import (
    UNANSWERED,
    Answers,
    Field,
    minutes,
    one_of,
    read_form,
    status_of,
    text,
    ticked,
)
from webapp.pages.shell import House, InHouse, Sent, answered
from webapp.pages.step_work import (
    WorkView,
    with_something,
    work_fields,
    work_of,
    work_view,
)
from webapp.plan.edits import (
    changed,
    free_id,
    shifted,
    with_garment,
    with_step,
    with_steps_in_order,
    with_work,
    without,
)
from webapp.plan.episode import Episode
from webapp.plan.results import Plan, StepPlan

router = APIRouter(prefix="/episodes/{episode_id}/build")

CAUTIONS: Final[tuple[Caution, ...]] = get_args(Caution)
_STEP_FIELDS: Final = (
    Field("name", text(80, required=True)),
    Field("words", text(4000)),
    Field("one_way", ticked),
    Field("spare", text(200)),
    Field("off_camera", ticked),
)
_STEP_GONE: Final = "That step is not there any more."
_MINUTES: Final = ("low", "likely", "high")
_MINUTES_FIELDS: Final = tuple(Field(name, minutes) for name in _MINUTES)


@dataclass(frozen=True)
class BuildView:
    """The steps in build order; `editing` is the id of the step whose form is open."""

    steps: tuple[StepPlan, ...]
    longest: float  # minutes: the right end of every time bar
    work: Estimate
    filming: Estimate
    garments: tuple[tuple[str, str], ...]  # id and name
    editing: str = ""
    work_on: WorkView | None = None  # of the step whose form is open
    answers: Answers = UNANSWERED
    work_answers: Answers = UNANSWERED
    new_answers: Answers = UNANSWERED

    def share(self, value: float) -> float:
        """Where a number of minutes stands on a bar from 0 to 100."""
        return 100 * value / self.longest if self.longest else 0.0

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """The cautions a step can carry."""
        return CAUTIONS

    def typed_minutes(self, step: Step) -> Minutes | None:
        """The minutes typed by hand for a step, if any."""
        return _typed_minutes(step)


@router.get("")
def build(
    request: Request, episode_id: str, house: InHouse, edit: Annotated[str, Query()] = ""
) -> Response:
    return _show(request, house, episode_id, editing=edit)


@router.post("/steps")
def add_step(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    garments = [garment.id for garment in house.store.get(episode_id).garments]
    answers = read_form(
        sent,
        (
            Field("garment", one_of(garments), needed=True),
            Field("name", text(80, required=True), needed=True),
        ),
    )
    if answers.errors:
        return _done(request, house, episode_id, new_answers=answers)
    name, garment = answers.values["name"], answers.values["garment"]
    known = {step.id for step in _steps(house.store.get(episode_id))}
    answers = house.save(
        episode_id, f"new step {name}", answers, lambda e: _with_new_step(e, garment, name)
    )
    new = (step.id for step in _steps(house.store.get(episode_id)) if step.id not in known)
    return _done(request, house, episode_id, editing=next(new, ""), new_answers=answers)


@router.post("/steps/{step_id}")
def save_step(
    request: Request, episode_id: str, step_id: str, sent: Sent, house: InHouse
) -> Response:
    stored = _typed_minutes(_step(house.store.get(episode_id), step_id))
    answers = _rising(read_form(sent, (*_STEP_FIELDS, *_MINUTES_FIELDS)), stored)
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
        raise NotThereError(_STEP_GONE)
    answers = with_something(read_form(sent, work_fields(view)))
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
        episode_id, "a step taken out", UNANSWERED, lambda e: _without_step(e, step_id)
    )
    return _done(request, house, episode_id, new_answers=answers)


@router.post("/steps/{step_id}/{way}")
def move_step(
    request: Request,
    episode_id: str,
    step_id: str,
    way: Literal["earlier", "later"],
    house: InHouse,
) -> Response:
    by = -1 if way == "earlier" else 1
    answers = house.save(
        episode_id, f"a step {way}", UNANSWERED, lambda e: _with_step_moved(e, step_id, by)
    )
    return _done(request, house, episode_id, new_answers=answers)


def _steps(episode: Episode) -> list[Step]:
    return [step for garment in episode.garments for step in garment.steps]


def _step(episode: Episode, step_id: str) -> Step:
    for step in _steps(episode):
        if step.id == step_id:
            return step
    raise NotThereError(_STEP_GONE)


def _work_view(plan: Plan, step_id: str) -> WorkView | None:
    for draft in plan.drafts:
        for step in draft.recipe.steps:
            if step.id == step_id:
                return work_view(step, draft)
    return None


def _typed_minutes(step: Step) -> Minutes | None:
    """The minutes typed by hand for a step, if any."""
    return next((w.minutes for w in step.work if w.kind == "other" and w.minutes), None)


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


def _with_new_step(episode: Episode, garment: str, name: str) -> Episode:
    taken = {step.id for one in episode.garments for step in one.steps}
    step = Step(id=free_id(name, taken), name=name)
    return with_garment(episode, garment, lambda r: changed(r, steps=(*r.steps, step)))


def _without_step(episode: Episode, step_id: str) -> Episode:
    """The step leaves; the steps that waited on it wait on what it waited on."""

    def edit(recipe: Recipe) -> Recipe:
        gone = next((step for step in recipe.steps if step.id == step_id), None)
        if gone is None:
            return recipe
        return changed(
            recipe,
            steps=tuple(
                changed(step, after=_relinked(step.after, gone))
                for step in without(recipe.steps, "id", step_id)
            ),
        )

    return changed(episode, garments=tuple(edit(garment) for garment in episode.garments))


def _relinked(after: tuple[str, ...], gone: Step) -> tuple[str, ...]:
    linked = [*after]
    if gone.id in linked:
        linked = [*(other for other in linked if other != gone.id), *gone.after]
    return tuple(dict.fromkeys(linked))


def _with_step_moved(episode: Episode, step_id: str, by: int) -> Episode:
    """The step one place earlier or later; StepOrderError when it would stand before its time."""

    def edit(recipe: Recipe) -> Recipe:
        place = next((i for i, step in enumerate(recipe.steps) if step.id == step_id), None)
        if place is None:
            return recipe
        steps = shifted(recipe.steps, place, by)
        problem = order_problem(steps)
        if problem is not None:
            raise StepOrderError(problem)
        return changed(recipe, steps=steps)

    in_order = with_steps_in_order(episode)  # a file may list a step before its time
    return changed(in_order, garments=tuple(edit(garment) for garment in in_order.garments))


def _done(
    request: Request, house: House, episode_id: str, *, editing: str = "", **told: Any
) -> Response:
    told["editing"] = editing
    return answered(
        request,
        f"/episodes/{episode_id}/build" + (f"?edit={editing}#step-{editing}" if editing else ""),
        told.values(),
        lambda: _show(request, house, episode_id, **told),
    )


def _show(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    shell = house.shell(episode_id, "build")
    plan = shell.plan
    longest = max((step.work.high for step in plan.steps), default=0.0)
    garments = tuple((garment.id, garment.name) for garment in plan.episode.garments)
    told["work_on"] = _work_view(plan, told.get("editing", ""))
    view = BuildView(plan.steps, longest, plan.work, plan.filming, garments, **told)
    return house.show(request, "build/build.html", view, shell=shell, status=status_of(view))
