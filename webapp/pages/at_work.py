"""Work that goes on while other pages are looked at: told on each of them, and when it is done."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from webapp.jobs import Job
from webapp.pages.house import InHouse

router = APIRouter(prefix="/episodes/{episode_id}/at-work")


@dataclass(frozen=True)
class AtWorkView:
    """The jobs of an episode that are going on or just over; not told on their own `page`."""

    base: str
    jobs: tuple[Job, ...]
    page: str


@router.get("")
def at_work(
    request: Request, episode_id: str, house: InHouse, page: Annotated[str, Query()] = ""
) -> Response:
    base = f"/episodes/{episode_id}"
    view = AtWorkView(base, house.jobs.at_work(f"{base}/"), page)
    return house.show(request, "parts/at_work_alone.html", view)
