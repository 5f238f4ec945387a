"""What was changed since a page was shown: asked for while it is looked at, so that she sees it
before she goes by what is no more."""

from typing import Final

from fastapi import APIRouter, Response
from fastapi.responses import JSONResponse

from webapp.pages.house import InHouse

router = APIRouter(prefix="/episodes/{episode_id}/elsewhere")

_TOLD: Final = 3  # changes, the last ones


@router.get("")
def elsewhere(episode_id: str, house: InHouse) -> Response:
    """A sentence, where the plan is of another edition than the one asked about; else nothing."""
    stands = house.store.standing(episode_id)
    if house.expected in (None, stands.edition):
        return Response(status_code=204)
    # Where nothing was made since, it may have been taken back before, and made again since.
    if stands.redo and house.store.seen_in(episode_id, house.expected or 0):
        what = f"“{stands.redo}” was taken back with Undo"
    else:
        words = house.store.changed_since(episode_id, house.expected or 0, stands.edition + 1)
        what = ", ".join(f"“{one}”" for one in words[-_TOLD:])
    told = f"The plan was changed since this page was shown{what and ': '}{what}."
    return JSONResponse({"told": told})
