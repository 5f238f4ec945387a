"""Loose threads: everything in the plan that does not hold together."""

from dataclasses import dataclass

from fastapi import APIRouter, Request, Response

from webapp.pages.shell import InHouse
from webapp.plan.results import LooseThread

router = APIRouter(prefix="/episodes/{episode_id}/threads")


@dataclass(frozen=True)
class ThreadsView:
    """The loose threads, the gravest first."""

    threads: tuple[LooseThread, ...]


@router.get("")
def threads(request: Request, episode_id: str, house: InHouse) -> Response:
    shell = house.shell(episode_id, "threads")
    view = ThreadsView(shell.plan.loose_threads)
    return house.show(request, "threads/threads.html", view, shell=shell)


@router.get("/count")
def count(request: Request, episode_id: str, house: InHouse) -> Response:
    """How many there are, asked for by the page once an edit is on the screen."""
    view = ThreadsView(house.plan(episode_id).loose_threads)
    return house.show(request, "threads/count_alone.html", view)
