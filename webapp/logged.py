"""ASGI middleware: every request has a name, which its answer carries, and a line in the log."""

import re
import time
from typing import Any, Final

from starlette.datastructures import MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.log import LOGGER, new_id, request_id
from webapp.worker import OUR_FAULT

HEADER: Final = "x-request-id"
_NOTHING_NEW: Final = 204
PATTERN: Final = "seamslate.pattern"  # in a scope that another process answered
# Of what a pattern of addresses stands for: what we gave out ourselves, nothing that was typed.
_OURS: Final = re.compile(r"\d+|\d{4}-\d\d-\d\d|[0-9a-f]{12,64}|[0-9a-f-]{36}")
_PARAMETER: Final = re.compile(r"\{(\w+)(:\w+)?\}")


class Logged:
    """The outermost: it also answers what went wrong where no page could tell it."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on under its name, and write its line."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        begun_s, status, own = time.perf_counter(), 0, new_id()
        named = request_id.set(own)

        async def sending(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                MutableHeaders(scope=message)[HEADER] = own
            await send(message)

        try:
            await self.app(scope, receive, sending)
        except Exception as error:
            LOGGER.error("A fault of ours.", exc_info=error)
            if status:
                raise  # the answer is cut short, which the browser notices
            await PlainTextResponse(f"{OUR_FAULT} ({own})", 500)(scope, receive, sending)
        finally:
            took_ms = 1000 * (time.perf_counter() - begun_s)
            if status != _NOTHING_NEW:  # else each page in sight has a line every half a minute
                LOGGER.info("%s %s %d %.0f ms", scope["method"], pattern(scope), status, took_ms)
            request_id.reset(named)


def pattern(scope: Scope) -> str:
    """The address as the page's pattern has it, with the ids that we gave out."""
    if PATTERN in scope:
        told: str = scope[PATTERN]
        return told
    known: dict[str, Any] = scope.get("path_params", {})
    route = scope.get("route")
    path: str | None = getattr(route, "path_format", None) or getattr(route, "path", None)
    if path is None or path == "/static":
        return "/static" if path or scope["path"].startswith("/static/") else "(no page of ours)"

    def filled(match: re.Match[str]) -> str:
        value = str(known.get(match[1], ""))
        is_ours = match[1] == "episode_id" or _OURS.fullmatch(value)
        return value if is_ours and value.isascii() and value.isprintable() else match[0]

    return _PARAMETER.sub(filled, path)
