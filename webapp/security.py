"""What keeps a local server from being used by other people's pages.

- Only known Host names are answered, so that a foreign name pointed at this machine reads nothing.
- A change asked for by another site (Origin, Sec-Fetch-Site) is refused.
- Answers carry a content policy that loads nothing from elsewhere and runs no inline script.
"""

import re
from typing import Final
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST_BODY: Final = 6 * 1024 * 1024  # bytes; an episode file may hold 5 MB
# A picture may hold 15 MB; one up to this size is read, so that its own page can say so.
LARGEST_PICTURE_BODY: Final = 64 * 1024 * 1024  # bytes; beyond the first MB they are on disk
_PICTURES: Final = re.compile(r"/episodes/[^/]+/(brief/sketch|fittings/[^/]+/photo)")
_READING: Final = ("GET", "HEAD", "OPTIONS")
_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "
    "connect-src 'self'; frame-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'self'"
)
_HEADERS: Final = {
    "content-security-policy": _POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}


class LocalOnly:
    """ASGI middleware: refuses foreign hosts, cross-site changes and oversized bodies."""

    def __init__(self, app: ASGIApp, hosts: tuple[str, ...]) -> None:
        self.app, self.hosts = app, hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse, or pass on with the protective headers added to the answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        refusal = self._refusal(scope["method"], scope["path"], Headers(scope=scope))
        if refusal is not None:
            await refusal(scope, receive, _with_headers(send))
            return
        await self.app(scope, receive, _with_headers(send))

    def _refusal(self, method: str, path: str, headers: Headers) -> PlainTextResponse | None:
        host = headers.get("host", "")
        if _name_of(host) not in self.hosts:
            return PlainTextResponse("Seamslate answers on this machine only.", 421)
        if method not in _READING and not _same_site(headers, host):
            return PlainTextResponse("This change was asked for by another site.", 403)
        length = headers.get("content-length", "0")
        most = LARGEST_PICTURE_BODY if _PICTURES.fullmatch(path) else LARGEST_BODY
        if not length.isdigit() or int(length) > most:
            mega = most // 1024**2
            return PlainTextResponse(f"That is more than Seamslate takes at once ({mega} MB).", 413)
        if "chunked" in headers.get("transfer-encoding", ""):
            return PlainTextResponse("Send the length of the body with it.", 411)
        return None


def _same_site(headers: Headers, host: str) -> bool:
    if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return False
    origin = headers.get("origin")
    try:
        return origin is None or urlsplit(origin).netloc == host
    except ValueError:  # an origin that is no address
        return False


def _name_of(host: str) -> str:
    try:
        return urlsplit(f"//{host}").hostname or ""
    except ValueError:  # a host that is no address
        return ""


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return sending
