"""Offcuts: what each lay leaves, and which recipes could be cut from it as extras."""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from markupsafe import Markup

from webapp.cloth.drawing import draw_lay
from webapp.cloth.laid import Lay
from webapp.cloth.offcuts import LEAST_AREA_MM2, LEAST_SIDE_MM, Offcut
from webapp.cloth.two_layers import cut_for_nothing
from webapp.draft.recipe import Recipe
from webapp.errors import NotThereError
from webapp.jobs import Again, Job
from webapp.pages.forms import UNANSWERED, Answers, Field, one_of, read_form, status_of
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.lay_search import with_kept_lay
from webapp.pages.offcut_words import (
    WORTH_TELLING_MM,
    Outcome,
    listed_all,
    outcome,
    rounded_down,
    size_in_both,
    spare_words,
    where,
)
from webapp.pages.recipes import Offered, offered
from webapp.pages.wording import unbroken
from webapp.plan.edits import shifted
from webapp.plan.episode import Episode
from webapp.plan.lays import LayPlan
from webapp.plan.leftovers import Fit
from webapp.plan.offcut_extras import (
    Candidate,
    Leftover,
    Looked,
    Possible,
    cloth_there_mm,
    in_runs,
    lay_with_extra,
    look,
    not_in,
    offcuts_of,
    with_extra,
)
from webapp.plan.results import Plan
from webapp.units import System, centimetres, inches

router = APIRouter(prefix="/episodes/{episode_id}/offcuts")


@dataclass(frozen=True)
class OffcutRow:
    """One offcut in words; sizes are rounded down, so that they are there."""

    number: int
    size: str
    opened: str  # its size with the fold opened out; empty when it does not lie at a fold
    place: str


@dataclass(frozen=True)
class ExtraRow:
    """A recipe that can be cut from the offcuts, in words."""

    key: str
    name: str
    fits: tuple[str, ...]  # each with the offcuts it takes
    on_camera: bool  # the body on camera is among the sizes
    other_cloths: tuple[str, ...]


@dataclass(frozen=True)
class ClothOffcuts:
    """A cloth's offcuts, with the search for what fits in them."""

    place: int  # of the cloth in the episode
    plan: LayPlan
    offcuts: tuple[OffcutRow, ...]
    drawing: Markup
    beyond: str  # how much cloth there is past the lay; empty when next to none
    spare: str  # a sentence on the spare that the length holds; empty when it holds none
    alone: tuple[str, ...]  # pieces of which two layers give one more than is wanted
    tried: int
    job: Job | None
    outdated: bool  # something was found before the plan or a recipe changed
    extras: tuple[ExtraRow, ...]
    outcomes: tuple[Outcome, ...]  # of recipes that do not fit, or were not tried in every size


@dataclass(frozen=True)
class OffcutsView:
    """Every cloth with a lay, what was just added, and what was wrong."""

    cloths: tuple[ClothOffcuts, ...]
    least: str
    unread: tuple[str, ...]  # own recipes that cannot be read
    added: Recipe | None = None
    bought: LayPlan | None = None  # of the cloth that the added one is cut from
    place: int = -1  # the cloth that the answers belong to
    answers: Answers = UNANSWERED


@router.get("")
def page(request: Request, episode_id: str, house: InHouse, added: str = "") -> Response:
    return _show(request, house, episode_id, added=added)


@router.post("/{place}/look")
def start_looking(request: Request, episode_id: str, place: int, house: InHouse) -> Response:
    begin_looking(house, episode_id, place)
    return _done(request, house, episode_id)


def begin_looking(house: House, episode_id: str, place: int) -> None:
    """Look what fits the offcuts of the cloth at `place`. NotThereError when it has none."""
    plan = house.plan(episode_id)
    lay = _lay_at(plan, place)
    leftover = _leftover(plan, lay, offered(house))
    key = _job_key(episode_id, place, leftover)
    for older in house.jobs.beginning(_jobs_of(episode_id, place)):
        if older.key != key:
            house.jobs.cancel(older.key)
    house.jobs.start(
        key,
        look,
        leftover,
        called=f"what fits the offcuts of {lay.cloth.name}",
        address=f"/episodes/{episode_id}/offcuts",
        again=Again("offcuts", {"episode": episode_id, "cloth": lay.cloth.name}),
    )


@router.post("/{place}/look/cancel")
def stop_looking(request: Request, episode_id: str, place: int, house: InHouse) -> Response:
    plan = house.plan(episode_id)
    leftover = _leftover(plan, _lay_at(plan, place), offered(house))
    house.jobs.cancel(_job_key(episode_id, place, leftover))
    return _done(request, house, episode_id)


@router.post("/{place}/add")
def add_extra(
    request: Request, episode_id: str, place: int, sent: Sent, house: InHouse
) -> Response:
    plan = house.plan(episode_id)
    lay = _lay_at(plan, place)
    leftover = _leftover(plan, lay, offered(house))
    recipes = {one.key: one.recipe for one in leftover.candidates}
    answers = read_form(sent, (Field("recipe", one_of(tuple(recipes)), needed=True),))
    if answers.errors:
        answers = UNANSWERED.failed("That recipe is not offered any more; see again what fits.")
    else:
        key = answers.values["recipe"]
        recipe = recipes[key]
        answers = house.save(
            episode_id,
            f"new garment: {recipe.name}",
            answers,
            lambda e: with_extra(e, recipe, shifted(e.cloths, place, 0)[place].name),
        )
    if answers.errors:
        return _show(request, house, episode_id, place=place, answers=answers)
    looked = _looked(house.jobs.get(_job_key(episode_id, place, leftover)))
    fits = [fit for one in looked.found if one.key == key for fit in one.extra.fits]
    _keep_in_offcuts(house, episode_id, lay, recipe, fits)
    garment = house.store.get(episode_id).garments[-1].id
    return RedirectResponse(f"/episodes/{episode_id}/offcuts?added={garment}", status_code=303)


def _keep_in_offcuts(
    house: House, episode_id: str, before: LayPlan, recipe: Recipe, fits: Sequence[Fit]
) -> None:
    """Keep the lay with the extra in the offcuts, where the size on camera was found to fit.

    The lays kept before stay, so that they serve again when the extra is undone.
    """
    plan = house.plan(episode_id)
    fit = next((one for one in fits if one.size == plan.episode.body.name), None)
    after = next((lay for lay in plan.lays if lay.cloth.name == before.cloth.name), None)
    if fit is None or after is None:
        return
    lay = lay_with_extra(before, fit, recipe, after, plan.episode.garments[-1])
    if lay is None:
        return

    house.store.keep(episode_id, lambda e: with_kept_lay(e, after, lay))


def _as_it_is(job: Job | None) -> Job | None:
    """The job at this moment: it may end while the page is made, which then told two states."""
    return copy(job) if job else None


def _looked(job: Job | None) -> Looked:
    if job and job.state == "done" and isinstance(job.result, Looked):
        return job.result
    return Looked((), ())


def _leftover(plan: Plan, lay: LayPlan, offer: Offered) -> Leftover:
    if lay.lay is None:
        raise NotThereError(lay.problem)
    all_offered = [Candidate(one.id, one) for one in offer.starters]
    all_offered += [Candidate(one.sent, one.recipe) for one in offer.own if one.recipe]
    episode = plan.episode
    bodies = (episode.body, *episode.sizes)
    return Leftover(offcuts_of(lay), lay.lay.cloth, bodies, not_in(episode, all_offered))


def _jobs_of(episode_id: str, place: int) -> str:
    return f"offcuts {episode_id} {place} "


def _job_key(episode_id: str, place: int, leftover: Leftover) -> str:
    return _jobs_of(episode_id, place) + leftover.key


def _lay_at(plan: Plan, place: int) -> LayPlan:
    name = shifted(plan.episode.cloths, place, 0)[place].name
    for lay in plan.lays:
        if lay.cloth.name == name:
            return lay
    raise NotThereError(f"Nothing is cut from {name} yet.")


# --- In words --------------------------------------------------------------------------------


def _row(number: int, offcut: Offcut, lay: Lay, first: System) -> OffcutRow:
    opened = offcut.opened_mm
    return OffcutRow(
        number,
        size_in_both(offcut.width_mm, offcut.length_mm, first),
        size_in_both(*opened, first) if opened else "",
        where(offcut, lay, first),
    )


def _run_in_words(run: tuple[str, ...]) -> str:
    return f"{run[0]} to {run[-1]}" if len(run) > 2 else listed_all(run)


def _extra(one: Possible, episode: Episode) -> ExtraRow:
    """The sizes in runs; the body on camera stands for itself, it is not of the chart's order."""
    extra, body = one.extra, episode.body.name
    offcuts_of_size = {fit.size: fit.offcuts for fit in extra.fits}

    def told(run: tuple[str, ...]) -> str:
        numbers = offcuts_of_size[run[0]]
        taken = f"{'offcut' if len(numbers) == 1 else 'offcuts'} {listed_all(numbers)}"
        if not extra.sized:
            return f"One size: {taken}"
        return f"{_run_in_words(run)}: {taken}"

    chart = [size.name for size in episode.sizes]
    runs = (*in_runs(extra.fits, [body]), *in_runs(extra.fits, chart))
    fits = tuple(dict.fromkeys(told(run) for run in runs))
    return ExtraRow(one.key, extra.name, fits, body in extra.sizes, extra.other_cloths)


# --- The page --------------------------------------------------------------------------------


def _cloth(plan: Plan, lay: LayPlan, house: House, offer: Offered) -> ClothOffcuts:
    episode, first = plan.episode, plan.episode.first_unit
    place = next(i for i, cloth in enumerate(episode.cloths) if cloth.name == lay.cloth.name)
    if lay.lay is None:
        return ClothOffcuts(place, lay, (), Markup(), "", "", (), 0, None, False, (), ())
    leftover = _leftover(plan, lay, offer)
    job = _as_it_is(house.jobs.get(_job_key(episode.id, place, leftover)))
    looked = _looked(job)
    beyond = cloth_there_mm(lay) - lay.lay.length_mm
    return ClothOffcuts(
        place,
        lay,
        tuple(_row(i, one, lay.lay, first) for i, one in enumerate(leftover.offcuts, start=1)),
        # draw_lay escapes every text in it
        Markup(draw_lay(lay.lay, first, lay.cloth.name, offcuts=leftover.offcuts)),
        rounded_down(beyond, first) if beyond >= WORTH_TELLING_MM else "",
        spare_words(lay, first),
        cut_for_nothing(lay.pieces, lay.lay.cloth),
        len(leftover.candidates),
        job,
        job is None and bool(house.jobs.beginning(_jobs_of(episode.id, place))),
        tuple(_extra(one, episode) for one in looked.found),
        tuple(outcome(one, episode) for one in looked.tried if one.lacking or not one.fits),
    )


def _least(first: System) -> str:
    sides = unbroken(f"{centimetres(LEAST_SIDE_MM)} ({inches(LEAST_SIDE_MM)})")
    area = (f"{LEAST_AREA_MM2 / 100:.0f} cm²", f"{LEAST_AREA_MM2 / 25.4**2:.0f} in²")
    one, other = area if first == "cm" else area[::-1]
    if first == "in":
        sides = unbroken(f"{inches(LEAST_SIDE_MM)} ({centimetres(LEAST_SIDE_MM)})")
    return f"{sides} on its narrow side and {unbroken(f'{one} ({other})')}"


def _done(request: Request, house: House, episode_id: str) -> Response:
    address = f"/episodes/{episode_id}/offcuts"
    return answered(request, address, (), lambda: _show(request, house, episode_id))


def _show(
    request: Request,
    house: House,
    episode_id: str,
    *,
    added: str = "",
    place: int = -1,
    answers: Answers = UNANSWERED,
) -> Response:
    shell = house.shell(episode_id, "cloth")
    plan, offer = shell.plan, offered(house)
    garment = next((one for one in plan.episode.garments if one.id == added), None)
    cut_from = garment.pieces[0].cloth if garment and garment.pieces else ""
    view = OffcutsView(
        tuple(_cloth(plan, lay, house, offer) for lay in plan.lays),
        _least(plan.episode.first_unit),
        tuple(one.trouble for one in offer.own if one.trouble),
        garment,
        next((lay for lay in plan.lays if lay.cloth.name == cut_from), None),
        place,
        answers,
    )
    return house.show(request, "offcuts/offcuts.html", view, shell=shell, status=status_of(view))
