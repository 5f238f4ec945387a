"""A fault of ours, told as a page of ours: what is safe, what to do, and where the log has it."""

from typing import Final

from fastapi import Request, Response
from fastapi.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.log import LOGGER, log_path, request_id
from webapp.pages.heard import Heard
from webapp.pages.house import House
from webapp.pages.refused import is_by_script, view_of

_HAPPENED: Final = "Something in Seamslate went wrong."
_AS_IT_WAS: Final = "Your plan is as it was."
_UNKNOWN: Final = (
    "Everything that was told as saved is safe. Whether this was saved too, its page shows when "
    "you open it again."
)
_TO_DO: Final = (
    "Try once more. If it goes wrong again, the log says where: look for {number} in {log}."
)
_READING: Final = ("GET", "HEAD")


class OurFaults:
    """ASGI middleware: answers for a page that failed with what nobody expected."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on; a form that was sent is there to be shown again."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        heard, has_begun = Heard(receive), False

        async def sending(message: Message) -> None:
            nonlocal has_begun
            has_begun = True
            await send(message)

        try:
            await self.app(scope, heard, sending)
        except Exception as error:
            if has_begun:
                raise
            LOGGER.error("A fault of ours.", exc_info=error)
            request = Request(scope, heard.again)
            answer = await _told(request)
            await answer(scope, receive, send)
            await request.close()  # the files of a form that was read again


async def _told(request: Request) -> Response:
    house: House = request.app.state.house
    safe = _AS_IT_WAS if _is_as_it_was(request, house) else _UNKNOWN
    log = log_path(house.photos.folder.parent)
    to_do = _TO_DO.format(number=request_id.get() or "the last line", log=log)
    if not is_by_script(request):
        try:
            view = await view_of(request, _HAPPENED, safe, to_do)
            return house.show(request, "refused.html", view, status=500)
        except Exception as once_more:  # even that page cannot be made
            LOGGER.error("Nor can it be told as a page.", exc_info=once_more)
    sentence = f"{_HAPPENED} {safe} {to_do}"
    return PlainTextResponse(sentence, 500, {"hx-reswap": "none"})  # the page stays as it is


def _is_as_it_was(request: Request, house: House) -> bool:
    """True when nothing was to be changed, or the edition shows that nothing was."""
    if request.method in _READING:
        return True
    edition, episode_id = request.query_params.get("edition"), request.path_params.get("episode_id")
    if not edition or not episode_id:
        return False
    try:
        return str(house.store.edition(episode_id)) == edition
    except Exception:  # the store may be what is at fault
        return False
