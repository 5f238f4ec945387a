"""Starting an episode: from a starter, a recipe of her own, a shape, a file or the demo."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Any

from fastapi import APIRouter, File, Request, Response, UploadFile
from fastapi.responses import RedirectResponse

from webapp.errors import EpisodeFileError, NotThereError
from webapp.pages.forms import UNANSWERED, Answers, Field, one_of, read_form, text
from webapp.pages.garment_drawings import draw_nothing_yet, draw_recipe
from webapp.pages.glance import image
from webapp.pages.house import House, InHouse, Sent
from webapp.pages.recipes import Offered, offered
from webapp.pages.sent_again import AskedOnce
from webapp.plan.edits import changed, free_id
from webapp.plan.starters import episode_from
from webapp.store.demo import add_demo, demo_episodes
from webapp.store.episode_file import read_episode
from webapp.store.library import Entry
from webapp.store.repository import EpisodeSummary
from webapp.store.starters import starters
from webapp.units import System

router = APIRouter()


@dataclass(frozen=True)
class StartView:
    """The ways to begin. `is_first` when there is no episode yet."""

    offered: Offered  # what a new one can start from
    recipes_out: tuple[Entry, ...]  # own recipes taken out of late, to be put back
    first_unit: System
    has_demo: bool
    is_first: bool = False
    deleted: tuple[EpisodeSummary, ...] = ()
    answers: Answers = UNANSWERED
    import_answers: Answers = UNANSWERED

    @property
    def picked(self) -> str:
        """What is chosen to start from as the page opens."""
        typed = self.answers.typed.get("starter") if self.answers.errors else None
        return typed or self.offered.starters[0].id

    @property
    def choices(self) -> tuple[tuple[str, str, str], ...]:
        """What it can start from: what the form sends, the name, what that is in a few words."""
        return (
            *self.offered.starter_choices,
            *self.offered.own_choices,
            ("blank", "An empty page", "Draw your own pieces from rectangles and bands"),
        )


@router.get("/start")
def start_page(request: Request, house: InHouse) -> Response:
    return show_start(request, house)


@router.post("/episodes")
def start(request: Request, sent: Sent, house: InHouse, once: AskedOnce) -> Response:
    offer = offered(house)
    fields = (
        Field("title", text(80, required=True), needed=True),
        offer.field,
        Field("first_unit", one_of(("cm", "in"))),
    )
    answers = read_form(sent, fields)
    if answers.errors:
        return show_start(request, house, answers=answers)
    title = answers.values["title"]
    new = episode_from(offer.picked(answers), title, free_id(title, set()))
    unit = answers.values.get("first_unit", house.preferred.first())
    return _to(f"/episodes/{house.store.add(changed(new, first_unit=unit), once=once)}")


@router.post("/episodes/import")
def bring_in(
    request: Request,
    house: InHouse,
    once: AskedOnce,
    file: Annotated[UploadFile | None, File()] = None,
) -> Response:
    try:
        if file is None:
            raise EpisodeFileError("Choose a file first.")
        episode = read_episode(file.file.read())
    except EpisodeFileError as error:
        failed = UNANSWERED.failed(error.sentence, "file")
        return show_start(request, house, import_answers=failed)
    return _to(f"/episodes/{house.store.add(episode, once=once)}")


@router.post("/demo")
def take_demo(house: InHouse) -> Response:
    """Add the demo series, as far as it is not there."""
    add_demo(house.store)
    return _to("/")


@router.get("/starters/{starter}.svg")
def drawing(starter: str) -> Response:
    """A starter's garment, or what stands for an empty page."""
    return image(_drawn(starter), for_good=False)


@lru_cache(maxsize=64)
def _drawn(starter: str) -> str:
    if starter == "blank":
        return draw_nothing_yet()
    for recipe in starters():
        if recipe.id == starter:
            return draw_recipe(recipe) or draw_nothing_yet()
    raise NotThereError("There is no such starter.")


def show_start(request: Request, house: House, **told: Any) -> Response:
    """The page, with the answers of the form that was filled in."""
    view = StartView(
        offered(house),
        house.library.entries("recipe", deleted=True),
        house.preferred.first(),
        any(house.store.has(episode.id) for episode in demo_episodes()),
        **told,
    )
    status = max(view.answers.status, view.import_answers.status)
    return house.show(request, "episodes/start.html", view, status=status)


def _to(address: str) -> Response:
    return RedirectResponse(address, status_code=303)
