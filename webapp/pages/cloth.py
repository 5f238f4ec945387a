"""Cloth: the cloths, how the pieces lie on them, and what to buy."""

from collections.abc import Hashable, Mapping
from copy import copy
from dataclasses import dataclass
from typing import Any, Final, cast

from fastapi import APIRouter, Request, Response

from webapp.cloth.cloths import EpisodeCloth
from webapp.cloth.costs import cost_of_length, shown
from webapp.cloth.laid import Lay
from webapp.cloth.two_layers import cut_for_nothing, wrong_hands
from webapp.cloth.yardage import Purchase
from webapp.errors import LayError, NotThereError
from webapp.jobs import Again, Job
from webapp.pages.cloth_fields import cloth_fields
from webapp.pages.forms import (
    UNANSWERED,
    Answers,
    needed,
    read_form,
    status_of,
)
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.lay_search import SECONDS, job_key, search, with_kept_lay
from webapp.pages.series_shared import shown_of
from webapp.pages.shell import Shell
from webapp.plan.cloth_edits import with_cloth, without_cloth
from webapp.plan.edits import changed, shifted
from webapp.plan.episode import Episode
from webapp.plan.lays import LayPlan, lay_plan
from webapp.units import System

router = APIRouter(prefix="/episodes/{episode_id}/cloth")


_HAIR_MM: Final = 0.5


@dataclass(frozen=True)
class ClothView:
    """The lays with the search going on for each, and what was typed wrong where."""

    lays: tuple[LayPlan, ...]
    jobs: Mapping[str, Job | None]  # by cloth
    currency: str
    form: str = ""  # "cloth 0", "new cloth", "search"; of the series "keep 0", "take 0", "take "
    answers: Answers = UNANSWERED

    def answers_for(self, form: str) -> Answers | None:
        """The answers if they belong to this form."""
        return self.answers if form == self.form else None

    def best_so_far(self, lay: LayPlan) -> Lay | None:
        """The shortest lay there is: what a search has found until now, or the one that is used."""
        job = self.jobs.get(lay.cloth.name)
        found = job.so_far if job and job.is_going_on else None
        if found is None or lay.lay is None or found.length_mm >= lay.lay.length_mm:
            return lay.lay
        return cast(Lay, found)

    def cost(self, lay: LayPlan) -> str:
        """What the cloth costs, with its currency; empty when it has no price."""
        cloth, purchase = lay.cloth, lay.purchase
        if not cloth.price or purchase is None:
            return ""
        length = purchase.metres if cloth.price_per == "m" else purchase.yards
        cost = cost_of_length(cloth.price, cloth.price_per, length, self.currency)
        return shown(cost, self.currency)

    def spare_words(self, lay: LayPlan) -> str:
        """What could be cut once more from the cloth that is bought, and why it costs nothing."""
        names = lay.spare_pieces
        if not names:
            return "none"
        free = "; it fits beside the others" if lay.spare_mm < _HAIR_MM else ""
        return f"{', '.join(names)} once more{free}"

    def without_matching(self, lay: LayPlan) -> Purchase | None:
        """What would be bought if no stripe had to meet; None where none has to."""
        if lay.as_cut is None or not lay.as_cut.repeats:
            return None
        plain = changed(lay.cloth, repeat_along="", repeat_across="")
        return lay_plan(plain, lay.pieces, risked=lay.risked).purchase

    def wrong_hands(self, lay: LayPlan) -> tuple[str, ...]:
        """Pieces wanted alike that two layers make a left and a right of."""
        return wrong_hands(lay.pieces, lay.as_cut) if lay.as_cut else ()

    def cut_for_nothing(self, lay: LayPlan) -> tuple[str, ...]:
        """Pieces of which two layers give one more than is wanted."""
        return cut_for_nothing(lay.pieces, lay.as_cut) if lay.as_cut else ()

    def kept_by(self, place: int, shell: Shell) -> tuple[Hashable, ...] | None:
        """All that a cloth shows: see `kept_parts`. None after a form, and with a search."""
        if self.form or self.jobs.get(shell.episode.cloths[place].name):
            return None
        return "cloth", place, *shell.but_shots

    def series_kept_by(self, shell: Shell) -> tuple[Hashable, ...] | None:
        """All that the cloths of the series show. None after a form."""
        here = shell.series
        return None if self.form else ("cloths of the series", shown_of(here), *shell.but_shots)

    def lay_of(self, cloth: str) -> LayPlan | None:
        """The lay on this cloth; None when nothing is cut from it."""
        return next((lay for lay in self.lays if lay.cloth.name == cloth), None)


@router.get("")
def cloth(request: Request, episode_id: str, house: InHouse) -> Response:
    return show(request, house, episode_id)


@router.post("/cloths")
def add_cloth(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, needed(cloth_fields(_unit(house, episode_id)), "name", "width"))

    def edit(episode: Episode) -> Episode:
        return changed(episode, cloths=(*episode.cloths, EpisodeCloth(**answers.values)))

    if not answers.errors:
        answers = house.save(episode_id, "new cloth", answers, edit)
    return _done(request, house, episode_id, "new cloth", answers)


@router.post("/cloths/{place}")
def save_cloth(
    request: Request, episode_id: str, place: int, sent: Sent, house: InHouse
) -> Response:
    answers = read_form(sent, cloth_fields(_unit(house, episode_id)))
    answers = house.save(
        episode_id, "the cloth", answers, lambda e: with_cloth(e, place, answers.values)
    )
    return _done(request, house, episode_id, f"cloth {place}", answers)


@router.post("/cloths/{place}/delete")
def delete_cloth(request: Request, episode_id: str, place: int, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "cloth taken out",
        UNANSWERED,
        lambda e: without_cloth(e, place),
    )
    return _done(request, house, episode_id, f"cloth {place}", answers)


@router.post("/cloths/{place}/search")
def start_search(request: Request, episode_id: str, place: int, house: InHouse) -> Response:
    answers = Answers()
    try:
        begin_search(house, episode_id, place)
    except LayError as error:
        answers = answers.failed(error.sentence)
    return _done(request, house, episode_id, "search", answers)


def begin_search(house: House, episode_id: str, place: int) -> None:
    """Look for a tighter lay of the cloth at `place`. LayError when there is no lay at all."""
    lay = _lay_at(house, episode_id, place)
    if lay.lay is None:
        raise LayError(lay.problem)

    def keep(found: Lay) -> None:
        house.store.keep(episode_id, lambda e: with_kept_lay(e, lay, found))

    house.jobs.start(
        job_key(episode_id, lay),
        search,
        lay.pieces,
        lay.lay.cloth,
        house.store.get(episode_id).first_unit,
        when_done=keep,
        called=f"the lay of {lay.cloth.name}",
        address=f"/episodes/{episode_id}/cloth#cloth-{place}",
        seconds=SECONDS,
        when_stopped=keep,
        again=Again("lay", {"episode": episode_id, "cloth": lay.cloth.name}),
    )


@router.post("/cloths/{place}/search/cancel")
def cancel_search(request: Request, episode_id: str, place: int, house: InHouse) -> Response:
    lay = _lay_at(house, episode_id, place)
    house.jobs.cancel(job_key(episode_id, lay))
    return _done(request, house, episode_id, "search", Answers())


def _unit(house: House, episode_id: str) -> System:
    return house.store.get(episode_id).first_unit


def _lay_at(house: House, episode_id: str, place: int) -> LayPlan:
    plan = house.plan(episode_id)
    name = shifted(plan.episode.cloths, place, 0)[place].name
    for lay in plan.lays:
        if lay.cloth.name == name:
            return lay
    raise NotThereError(f"Nothing is cut from {name} yet.")


def _done(request: Request, house: House, episode_id: str, form: str, answers: Answers) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/cloth",
        (answers,),
        lambda: show(request, house, episode_id, form=form, answers=answers),
    )


def show(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    """The page, with the answers of the form that was filled in."""
    # Copies, and before the page's own plan: a job that ends meanwhile must not be shown in two
    # states, nor as over beside the lay as it was.
    before = house.plan(episode_id).lays
    jobs = {lay.cloth.name: copy(house.jobs.get(job_key(episode_id, lay))) for lay in before}
    shell = house.shell(episode_id, "cloth")
    view = ClothView(shell.plan.lays, jobs, shell.episode.currency, **told)
    return house.show(request, "cloth/cloth.html", view, shell=shell, status=status_of(view))
