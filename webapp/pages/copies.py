"""Duplicating an episode: the copy's own front page tells what came along and what did not."""

from fastapi import APIRouter, Response
from fastapi.responses import RedirectResponse

from webapp.pages.house import InHouse
from webapp.pages.sent_again import AskedOnce
from webapp.plan.copying import copied, title_of_copy
from webapp.plan.edits import free_id
from webapp.plan.series import next_number

router = APIRouter()


@router.post("/episodes/{episode_id}/copy")
def duplicate(episode_id: str, house: InHouse, once: AskedOnce) -> Response:
    episode, known = house.store.get(episode_id), house.store.list()
    title = title_of_copy(episode.title, [one.title for one in known])
    number = next_number(known, episode.series) if episode.number is not None else None
    copy = copied(episode, title, free_id(title, set()), number)
    new = house.store.add(copy, once=once)
    return RedirectResponse(f"/episodes/{new}?copied={episode_id}", status_code=303)
