"""Episodes: the list, starting one, bringing one in from a file, taking one out."""

from dataclasses import dataclass
from typing import Annotated, Final
from urllib.parse import urlsplit

from fastapi import APIRouter, File, Form, Request, Response, UploadFile
from fastapi.responses import RedirectResponse

from webapp.errors import EpisodeFileError
from webapp.pages.forms import UNANSWERED, Answers, Field, one_of, read_form, text
from webapp.pages.recipes import Offered, offered
from webapp.pages.shell import House, InHouse, Sent
from webapp.plan.edits import changed, free_id
from webapp.plan.starters import episode_from
from webapp.store.episode_file import read_episode, write_episode
from webapp.store.library import Entry
from webapp.store.repository import EpisodeSummary

router = APIRouter()

_PAGES: Final = ("brief", "draft", "fittings", "sizes", "cloth", "shopping", "build", "shots",
          "days", "running-time", "times", "table", "companion", "threads")  # fmt: skip
_PAGES_WITHIN: Final = ("ways", "offcuts", "other-cloths", "thread", "rates", "set-ups",
                        "pattern", "worksheet", "call-sheets", "files")  # fmt: skip


@dataclass(frozen=True)
class EpisodesView:
    """The first page: what there is, and the ways to begin."""

    episodes: tuple[EpisodeSummary, ...]
    deleted: tuple[EpisodeSummary, ...]  # of late, to be put back
    offered: Offered  # what a new one can start from
    recipes_out: tuple[Entry, ...]  # own recipes taken out of late, to be put back
    answers: Answers
    import_answers: Answers


@router.get("/")
def episodes(request: Request, house: InHouse) -> Response:
    return _list(request, house)


@router.post("/episodes")
def start(request: Request, sent: Sent, house: InHouse) -> Response:
    offer = offered(house)
    fields = (
        Field("title", text(80, required=True), needed=True),
        offer.field,
        Field("first_unit", one_of(("cm", "in"))),
    )
    answers = read_form(sent, fields)
    if answers.errors:
        return _list(request, house, answers)
    title = answers.values["title"]
    new = episode_from(offer.picked(answers), title, free_id(title, set()))
    episode = house.store.add(changed(new, first_unit=answers.values.get("first_unit", "cm")))
    return _to(f"/episodes/{episode}/brief")


@router.post("/episodes/import")
def bring_in(
    request: Request, house: InHouse, file: Annotated[UploadFile | None, File()] = None
) -> Response:
    try:
        if file is None:
            raise EpisodeFileError("Choose a file first.")
        episode = read_episode(file.file.read())
    except EpisodeFileError as error:
        failed = UNANSWERED.failed(error.sentence, "file")
        return _list(request, house, import_answers=failed)
    return _to(f"/episodes/{house.store.add(episode)}/brief")


@router.get("/episodes/{episode_id}/episode.json")
def take_out(episode_id: str, house: InHouse) -> Response:
    name = f"{episode_id}.json"
    return Response(
        write_episode(house.store.get(episode_id)),
        media_type="application/json",
        headers={"content-disposition": f'attachment; filename="{name}"'},
    )


@router.post("/episodes/{episode_id}/undo")
def undo(
    request: Request, episode_id: str, house: InHouse, page: Annotated[str, Form()] = ""
) -> Response:
    house.store.undo(episode_id)
    return _back(request, episode_id, page)


@router.post("/episodes/{episode_id}/redo")
def redo(
    request: Request, episode_id: str, house: InHouse, page: Annotated[str, Form()] = ""
) -> Response:
    house.store.redo(episode_id)
    return _back(request, episode_id, page)


@router.post("/episodes/{episode_id}/put-back")
def put_back(episode_id: str, house: InHouse) -> Response:
    house.store.put_back(episode_id)
    return _to("/")


@router.post("/episodes/{episode_id}/delete")
def delete(episode_id: str, house: InHouse) -> Response:
    house.store.delete(episode_id)
    return _to("/")


def _back(request: Request, episode_id: str, page: str) -> Response:
    """To the page the button stood on, at the same place of it."""
    front = f"/episodes/{episode_id}"
    came_from = urlsplit(request.headers.get("referer", ""))
    before, _, name = came_from.path.rpartition("/")
    if came_from.path == front or (before == front and name in (*_PAGES, *_PAGES_WITHIN)):
        return _to(f"{came_from.path}?{came_from.query}".rstrip("?"))
    return _to(f"{front}/{page}" if page in _PAGES else front)


def _list(
    request: Request,
    house: House,
    answers: Answers | None = None,
    import_answers: Answers | None = None,
) -> Response:
    view = EpisodesView(
        house.store.list(),
        house.store.list(deleted=True),
        offered(house),
        house.library.entries("recipe", deleted=True),
        answers or UNANSWERED,
        import_answers or UNANSWERED,
    )
    status = max(view.answers.status, view.import_answers.status)
    return house.show(request, "episodes/list.html", view, status=status)


def _to(address: str) -> Response:
    return RedirectResponse(address, status_code=303)
