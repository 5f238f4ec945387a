"""Episodes: the list of them, taking one out as a file, deleting and undoing."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import APIRouter, Form, Query, Request, Response
from fastapi.responses import RedirectResponse

from webapp.errors import ChangedElsewhereError
from webapp.pages.house import InHouse
from webapp.pages.series_shared import series_address
from webapp.pages.starting import show_start
from webapp.pages.way_back import PAGES, page_before
from webapp.plan.series import series_key
from webapp.store.episode_file import write_episode
from webapp.store.repository import EpisodeSummary

router = APIRouter()

# A card shows what a whole plan is worked out for, so only those changed last are cards; what a
# card asks for comes one after another once it is in sight. A line shows its row and no more.
CARDS: Final = 12
LINES: Final = 60  # on a page
_PUT_BACK: Final = 50  # deleted episodes that are offered to be put back


@dataclass(frozen=True)
class Group:
    """The episodes of one series, as they are listed; `series` is empty for those of none."""

    series: str
    episodes: tuple[EpisodeSummary, ...]

    @property
    def address(self) -> str:
        """The page of the series; empty without one."""
        return series_address(self.series) if self.series else ""


@dataclass(frozen=True)
class EpisodesView:
    """A page of the list: those she works on as cards, the others a line each, all by series."""

    cards: tuple[Group, ...]  # they ask for what a plan has to be read for
    lines: tuple[Group, ...]
    count: int  # of all the episodes
    deleted: tuple[EpisodeSummary, ...]  # of late, to be put back
    page: int
    pages: int


def _grouped(episodes: Iterable[EpisodeSummary]) -> tuple[Group, ...]:
    found: dict[str, list[EpisodeSummary]] = {}
    for one in episodes:
        found.setdefault(series_key(one.series), []).append(one)
    return tuple(Group(those[0].series, tuple(those)) for those in found.values())


@router.get("/")
def episodes(
    request: Request, house: InHouse, page: Annotated[int, Query(ge=1, le=100_000)] = 1
) -> Response:
    count, deleted = house.store.count(), house.store.list(deleted=True, most=_PUT_BACK)
    if not count:
        return show_start(request, house, deleted=deleted, is_first=True)
    pages = max(1, math.ceil((count - CARDS) / LINES))
    page = min(page, pages)
    view = EpisodesView(
        _grouped(house.store.list(most=CARDS) if page == 1 else ()),
        _grouped(house.store.list(first=CARDS + LINES * (page - 1), most=LINES)),
        count,
        deleted,
        page,
        pages,
    )
    return house.show(request, "episodes/list.html", view)


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
    request: Request,
    episode_id: str,
    house: InHouse,
    page: Annotated[str, Form()] = "",
    change: str = "",
) -> Response:
    return _stepped(request, episode_id, page, "undo", lambda: house.store.undo(episode_id, change))


@router.post("/episodes/{episode_id}/redo")
def redo(
    request: Request,
    episode_id: str,
    house: InHouse,
    page: Annotated[str, Form()] = "",
    change: str = "",
) -> Response:
    return _stepped(request, episode_id, page, "redo", lambda: house.store.redo(episode_id, change))


@router.post("/episodes/{episode_id}/put-back")
def put_back(episode_id: str, house: InHouse) -> Response:
    house.store.put_back(episode_id)
    return _to("/")


@router.post("/episodes/{episode_id}/delete")
def delete(episode_id: str, house: InHouse) -> Response:
    house.store.delete(episode_id)
    return _to("/")


def _stepped(
    request: Request, episode_id: str, page: str, act: str, step: Callable[[], object]
) -> Response:
    """Undo or redo, then the page the button stood on, at the same place of it.

    With script the page itself tells that it was out of date and nothing was done, so that nothing
    typed there is lost.
    """
    front = f"/episodes/{episode_id}"
    back = page_before(request, episode_id)
    if back == front and page in PAGES:
        back = f"{front}/{page}"
    try:
        step()
    except ChangedElsewhereError:
        if request.headers.get("hx-request") != "true":
            raise
        return _to(f"{back}{'&' if '?' in back else '?'}not-done={act}")
    return _to(back)


def _to(address: str) -> Response:
    return RedirectResponse(address, status_code=303)
