"""What keeps a local server from being used by other people's pages.

- Only known Host names are answered, so that a foreign name pointed at this machine reads nothing.
- A change asked for by another site (Origin, Sec-Fetch-Site) is refused, and so is everything that
  a page elsewhere includes (W3C Fetch Metadata): it may only link here.
- Answers carry a content policy that loads nothing from elsewhere, runs no inline script and is
  shown in no frame.
- A body that is too large, or comes too slowly, is refused, and so is one request too many at once.
"""

import asyncio
import re
import time
from collections.abc import Callable, Iterable
from ipaddress import IPv4Address, IPv6Address, ip_address
from typing import Final

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.listening import LARGEST_HEAD

LOCAL_HOSTS: Final = frozenset({"127.0.0.1", "localhost", "::1"})
LARGEST_BODY: Final = 6 * 1024 * 1024  # bytes; an episode file may hold 5 MB
# A picture may hold 15 MB; one up to this size is read, so that its own page can say so.
LARGEST_PICTURE_BODY: Final = 64 * 1024 * 1024  # bytes; beyond the first MB they are on disk
MOST_AT_ONCE: Final = 100  # requests; some forty are worked at, the others wait
# A body may take so long, and a second more for each of so many bytes: slow wireless is faster.
BODY_SECONDS: Final = 20.0
SLOWEST_BYTES_A_SECOND: Final = 50_000

_PICTURES: Final = re.compile(r"/episodes/[^/]+/(brief/sketch|fittings/[^/]+/photo)")
# A name or an IPv4 address, or an IPv6 address in brackets; its port (RFC 9110, 7.2).
_HOST: Final = re.compile(
    r"(?:([a-z0-9._-]+)|\[([0-9a-f]*:[0-9a-f:.]*)\])(?::[0-9]{1,5})?", re.IGNORECASE
)
_READING: Final = ("GET", "HEAD", "OPTIONS")
_OWN_SITE: Final = ("same-origin", "none")  # none: typed, or chosen from the bookmarks
_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
# What a page may ask of the device. Chromium's names; a browser passes over one it does not know.
_USED: Final = ("screen-wake-lock", "clipboard-write")  # table-wake.js, copy.js
_UNUSED: Final = (
    "accelerometer", "autoplay", "camera", "clipboard-read", "display-capture",
    "encrypted-media", "fullscreen", "gamepad", "geolocation", "gyroscope", "hid",
    "idle-detection", "local-fonts", "magnetometer", "microphone", "midi", "payment",
    "picture-in-picture", "publickey-credentials-get", "serial", "storage-access", "usb",
    "xr-spatial-tracking",
)  # fmt: skip
HEADERS: Final = {
    "content-security-policy": _POLICY,
    "x-frame-options": "DENY",  # for browsers that know no frame-ancestors
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": ", ".join(
        [*(f"{one}=(self)" for one in _USED), *(f"{one}=()" for one in _UNUSED)]
    ),
}
# ASVS 5.0, 3.4.1: a year. Browsers keep it for names alone, not for bare addresses.
_ONLY_TLS: Final = "max-age=31536000"

MOST_FIELDS: Final = 300  # of a form
_PLAIN: Final = "application/x-www-form-urlencoded"
_NOT_OURS: Final = (
    "Seamslate does not answer to this name. Open it by the address that it printed when it was "
    "started. If it is to be called by this name, start it with --name and the name."
)
_FOREIGN: Final = (
    "This was asked for by a page of another site, so nothing was read or changed. If you were "
    "about to do it yourself, do it from Seamslate’s own pages."
)
_BUSY: Final = "Seamslate has too much to do just now. Nothing was changed; try again in a moment."
_NO_LENGTH: Final = "What was sent does not say how long it is, so it was not read."
_LONG_HEAD: Final = "The address, or what the browser tells with it, is too long to read."

# Makes the page of a refusal: the request, its status, one sentence.
Refuse = Callable[[Request, int, str], Response]


class LocalOnly:
    """ASGI middleware: refuses foreign hosts, other sites' requests and what is too much.

    It answers to `names`, and to the address it is reached at; to those of this machine
    (`LOCAL_HOSTS`) only from this machine.
    """

    def __init__(self, app: ASGIApp, names: Iterable[str], refuse: Refuse) -> None:
        self.app, self.names, self.refuse = app, frozenset(map(str.lower, names)), refuse
        self.at_once = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse, or pass on with the protective headers added to the answer."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":  # a WebSocket: there is none here
            await send({"type": "websocket.close", "code": 1008})
            return
        headers = Headers(scope=scope)
        sending = _with_headers(send, scope, headers)
        # More than one: whoever stands between may go by another of them (RFC 9112, 3.2).
        if len(headers.getlist("host")) > 1 or not self._is_ours(headers.get("host", ""), scope):
            # In plain text: a page of ours could load nothing under that name.
            await PlainTextResponse(_NOT_OURS, 421)(scope, receive, sending)
            return
        if told := self._refusal(scope, headers):
            answer = self.refuse(Request(scope), *told)
            if "transfer-encoding" in headers:  # where it ends is open to question: RFC 9112, 6.1
                answer.headers["connection"] = "close"
            await answer(scope, receive, sending)
            return
        self.at_once += 1
        try:
            length = int(headers.get("content-length", "0"))
            hearing = _in_time(receive, length)
            if headers.get("content-type", "").startswith(_PLAIN):
                hearing = _of_few_fields(hearing)
            await self.app(scope, hearing, sending)
        finally:
            self.at_once -= 1

    def _is_ours(self, host: str, scope: Scope) -> bool:
        name = name_of(host)
        if name in self.names:
            return True
        here = address_of((scope.get("server") or ("",))[0])
        if here is None:
            return False
        # An address is no name: nobody can point it elsewhere, so it is safe to be called by it.
        return here == address_of(name) or (here.is_loopback and name in LOCAL_HOSTS)

    def _refusal(self, scope: Scope, headers: Headers) -> tuple[int, str] | None:
        host, method = headers.get("host", ""), scope["method"]
        own = f"{scope.get('scheme', 'http')}://{host}"
        if not (_may_read(headers) if method in _READING else _may_change(headers, own)):
            return 403, _FOREIGN
        if told := _unreadable(scope, headers):
            return told
        if self.at_once >= MOST_AT_ONCE:
            return 503, _BUSY
        return None


def _unreadable(scope: Scope, headers: Headers) -> tuple[int, str] | None:
    """Why what is sent is not read: it is too much, or does not say how much it is."""
    if _size_of_head(scope) > LARGEST_HEAD:
        return 431, _LONG_HEAD
    if "transfer-encoding" in headers:
        return 411, _NO_LENGTH
    length = headers.get("content-length", "0")
    most = LARGEST_PICTURE_BODY if _PICTURES.fullmatch(scope["path"]) else LARGEST_BODY
    if not (length.isascii() and length.isdigit()) or len(length) > 15 or int(length) > most:
        return 413, (
            f"That is more than Seamslate takes at once: {most // 1024**2} MB is the most. "
            "Nothing was read or changed."
        )
    if "content-encoding" in headers:  # what is packed may unpack to anything
        return 415, "Seamslate reads nothing that is sent packed. Nothing was changed."
    return None


class TooSlow(HTTPException):
    """A body did not come in time."""

    def __init__(self) -> None:
        sentence = "What was sent took too long to come, so nothing was changed. Send it once more."
        super().__init__(408, sentence, {"connection": "close"})


def _in_time(receive: Receive, length: int) -> Receive:
    """`receive`, which raises TooSlow when the body of so many bytes is not there in time."""
    until = time.monotonic() + BODY_SECONDS + length / SLOWEST_BYTES_A_SECOND
    is_whole = False

    async def receiving() -> Message:
        nonlocal is_whole
        if is_whole:  # what is waited for now is the end of the connection
            return await receive()
        try:
            message = await asyncio.wait_for(receive(), until - time.monotonic())
        except TimeoutError:
            raise TooSlow from None
        is_whole = not message.get("more_body", False)
        return message

    return receiving


def _of_few_fields(receive: Receive) -> Receive:
    """`receive`, which raises HTTPException when a form has more fields than any of ours.

    Those without a name are none to the parser, which all the same takes seconds for millions.
    """
    fields = 0

    async def receiving() -> Message:
        nonlocal fields
        message = await receive()
        fields += message.get("body", b"").count(b"&")
        if fields > MOST_FIELDS:
            raise HTTPException(400, headers={"connection": "close"})
        return message

    return receiving


def _size_of_head(scope: Scope) -> int:
    """In bytes. The server's own limit holds only for a head that is not whole in one part."""
    address = len(scope.get("raw_path") or b"") + len(scope.get("query_string", b""))
    return address + sum(len(name) + len(value) for name, value in scope["headers"])


def _may_change(headers: Headers, own: str) -> bool:
    """Whether the request comes from a page of ours, or from no page at all."""
    if not set(headers.getlist("sec-fetch-site")) <= set(_OWN_SITE):
        return False
    return {origin.lower() for origin in headers.getlist("origin")} <= {own.lower()}


def _may_read(headers: Headers) -> bool:
    """Whether it comes from a page of ours, or follows a link from elsewhere to a page of ours."""
    if headers.get("sec-fetch-site", "same-origin") in _OWN_SITE:
        return True
    told = headers.get("sec-fetch-mode"), headers.get("sec-fetch-dest")
    return told == ("navigate", "document")


def name_of(host: str) -> str:
    """The name in a Host header, in lower case, without its port; empty where it is no such."""
    found = _HOST.fullmatch(host)
    return (found[1] or found[2]).lower() if found else ""


def address_of(text: str) -> IPv4Address | IPv6Address | None:
    """The internet address that a text is; None when it is none."""
    try:
        found = ip_address(text)
    except ValueError:
        return None
    return getattr(found, "ipv4_mapped", None) or found


def _with_headers(send: Send, scope: Scope, asked: Headers) -> Send:
    named = address_of(name_of(asked.get("host", ""))) is None
    tls = scope.get("scheme") == "https" and named

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            if tls:
                headers.setdefault("strict-transport-security", _ONLY_TLS)
        await send(message)

    return sending
