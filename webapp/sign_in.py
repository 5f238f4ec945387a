"""Signing in, where other machines can reach the server: sessions, tries, and who is let through.

A session is a random name in a cookie; the house keeps only the name's hash, in memory, so that a
restart ends all of them. A new passphrase ends them too, since each remembers which one it was for.
"""

import hashlib
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from ipaddress import IPv6Address, ip_network
from pathlib import Path
from typing import Final
from urllib.parse import quote

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request, cookie_parser
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.errors import PassphraseError
from webapp.passphrase import LONGEST, Passphrase, kept, path_of
from webapp.security import Refuse, address_of

PAGE: Final = "/sign-in"
_STATIC: Final = "/static/"
_BY_ITSELF: Final = "/elsewhere"  # ends what a page asks while nobody is at it
UNUSED_SECONDS: Final = 12 * 3600.0  # after which a session ends
LONGEST_SECONDS: Final = 7 * 24 * 3600.0  # after which it ends in any case
_MOST_SESSIONS: Final = 500  # the longest unused go first

_FREE_TRIES: Final = 3  # of an address, before it has to wait
_FREE_IN_ALL: Final = 30  # of all of them: whoever has many addresses waits too
_LONGEST_WAIT_S: Final = 15 * 60.0
_LONGEST_IN_ALL_S: Final = 30.0  # no more, so that nobody keeps her out by trying for ever
_FORGOTTEN_S: Final = 24 * 3600.0
_MOST_ADDRESSES: Final = 2000
# Before anyone is known: what a form may hold, and how many are read at once.
LARGEST_FORM: Final = 64 * 1024  # bytes
MOST_AT_THE_DOOR: Final = 20
_ALL: Final = ""  # in the place of an address

_TOO_LARGE: Final = "That is more than a passphrase holds. It was not read."
_BUSY: Final = "Too many are at the door just now. Try again in a moment."
_SIGNED_OUT: Final = (
    "You are not signed in any more, so nothing was changed. Sign in in another tab, then come "
    "back to this one and send it again: what you typed is still here."
)


@dataclass(frozen=True)
class _Session:
    began: float
    used: float
    passphrase: bytes  # the salt of the one it was opened with


@dataclass
class Tries:
    """Wrong tries, and how long to wait after them: of each address, and of all.

    An address from which someone knew it waits for its own alone: strangers keep nobody out.
    """

    _wrong: dict[str, tuple[int, float]] = field(default_factory=dict)  # how many, the last when
    _right: dict[str, None] = field(default_factory=dict)  # addresses, the last one at the end

    def wait(self, address: str, now: float) -> float:
        """Seconds to wait before the next try; 0 when it may be made."""
        own = self._left(_of(address), _FREE_TRIES, _LONGEST_WAIT_S, now)
        if _of(address) in self._right:
            return own
        return max(own, self._left(_ALL, _FREE_IN_ALL, _LONGEST_IN_ALL_S, now))

    def count(self, address: str, now: float) -> None:
        """Count a try as wrong: before it is looked at, so that none slips in meanwhile."""
        for one in (_of(address), _ALL):
            many, _ = self._wrong.pop(one, (0, 0.0))
            self._wrong[one] = (many + 1, now)
        if len(self._wrong) > _MOST_ADDRESSES:
            oldest = min(
                (one for one in self._wrong if one != _ALL), key=lambda o: self._wrong[o][1]
            )
            del self._wrong[oldest]

    def was_right(self, address: str) -> None:
        """Forget the wrong tries of an address that knows it, and this one of all."""
        self._wrong.pop(_of(address), None)
        self._right.pop(_of(address), None)
        self._right[_of(address)] = None
        if len(self._right) > _MOST_ADDRESSES:
            del self._right[next(iter(self._right))]
        many, last = self._wrong.get(_ALL, (0, 0.0))
        if many:
            self._wrong[_ALL] = (many - 1, last)

    def _left(self, one: str, free: int, longest: float, now: float) -> float:
        many, last = self._wrong.get(one, (0, 0.0))
        since = now - last
        if since > _FORGOTTEN_S:
            self._wrong.pop(one, None)
            return 0.0
        if many < free:
            return 0.0
        return max(0.0, min(longest, 2.0 ** min(many - free + 1, 20)) - since)


def _of(address: str) -> str:
    """The address, or the network of one: whoever has an IPv6 address has a whole /64 of them."""
    found = address_of(address)
    if isinstance(found, IPv6Address):
        return str(ip_network((found, 64), strict=False))
    return str(found or "unknown")


class SignIn:
    """Who is signed in to a house. Safe to share between threads; times in seconds of `clock`."""

    def __init__(
        self, folder: Path, *, tls: bool, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._folder, self._clock = folder, clock
        self.tls = tls
        # A cookie of that prefix is only taken over https, from this very host (RFC 6265bis).
        self.cookie = "__Host-seamslate" if tls else "seamslate"
        self._sessions: dict[bytes, _Session] = {}
        self._tries = Tries()
        self._lock = threading.Lock()
        self._one_at_a_time = threading.Lock()  # a try takes 128 MB
        self._known: tuple[object, Passphrase | None] = (None, None)

    def wait(self, address: str) -> float:
        """Seconds until someone at that address may try again."""
        with self._lock:
            return self._tries.wait(address, self._clock())

    def open(self, address: str, typed: str) -> str | None:
        """The name of a new session; None when that is not the passphrase, or it is not yet time
        for another try."""
        with self._lock:
            now = self._clock()
            if self._tries.wait(address, now):
                return None
            self._tries.count(address, now)
        passphrase = self._passphrase()
        with self._one_at_a_time:
            if passphrase is None or len(typed) > LONGEST or not passphrase.is_it(typed):
                return None
        name = secrets.token_urlsafe(32)  # 256 bits
        with self._lock:
            self._tries.was_right(address)
            self._sessions[_hashed(name)] = _Session(now, now, passphrase.salt)
            if len(self._sessions) > _MOST_SESSIONS:
                del self._sessions[min(self._sessions, key=lambda one: self._sessions[one].used)]
        return name

    def knows(self, name: str, *, is_used: bool = True) -> bool:
        """Whether that is the name of a session that has not ended; it `is_used` by that or not."""
        if not name or len(name) > 100:
            return False
        key, now, passphrase = _hashed(name), self._clock(), self._passphrase()
        with self._lock:
            session = self._sessions.get(key)
            if session is None:
                return False
            if (
                passphrase is None
                or session.passphrase != passphrase.salt
                or now - session.used > UNUSED_SECONDS
                or now - session.began > LONGEST_SECONDS
            ):
                del self._sessions[key]
                return False
            if is_used:
                self._sessions[key] = replace(session, used=now)
        return True

    def close(self, name: str) -> None:
        """End a session."""
        with self._lock:
            self._sessions.pop(_hashed(name), None)

    def _passphrase(self) -> Passphrase | None:
        """The passphrase as it stands in its file now: the command may have set another."""
        try:
            stat = path_of(self._folder).stat()
            stamp: object = (stat.st_mtime_ns, stat.st_ino, stat.st_size)
        except OSError:
            return None
        if stamp != self._known[0]:
            try:
                self._known = (stamp, kept(self._folder))
            except PassphraseError:  # nobody is let in by a file that cannot be read
                self._known = (stamp, None)
        return self._known[1]


def _hashed(name: str) -> bytes:
    return hashlib.sha256(name.encode("utf-8", "replace")).digest()


def session_of(headers: Headers, sign_in: SignIn) -> str:
    """The name of the session that a request tells; empty when it tells none."""
    return cookie_parser(headers.get("cookie", "")).get(sign_in.cookie, "")


def _kept_nowhere(send: Send) -> Send:
    """`send`, which has browsers keep nothing: pictures on the body are gone with the session."""

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message)["cache-control"] = "no-store"
        await send(message)

    return sending


class SignedInOnly:
    """ASGI middleware: lets nobody through who has not signed in, but for the page to do so."""

    def __init__(self, app: ASGIApp, sign_in: SignIn, refuse: Refuse) -> None:
        self.app, self.sign_in, self.refuse = app, sign_in, refuse
        self.at_the_door = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on, or ask for the passphrase."""
        if scope["type"] == "http" and not self._may_pass(scope):
            await self._asked(Request(scope))(scope, receive, send)
        elif scope["type"] == "http" and scope["path"] == PAGE:
            await self._at_the_door(scope, receive, send)
        elif scope["type"] == "http" and not scope["path"].startswith(_STATIC):
            await self.app(scope, receive, _kept_nowhere(send))
        else:
            await self.app(scope, receive, send)

    async def _at_the_door(self, scope: Scope, receive: Receive, send: Send) -> None:
        told = None
        if int(Headers(scope=scope).get("content-length", "0")) > LARGEST_FORM:
            told = 413, _TOO_LARGE
        elif self.at_the_door >= MOST_AT_THE_DOOR:
            told = 503, _BUSY
        if told:
            await self.refuse(Request(scope), *told)(scope, receive, send)
            return
        self.at_the_door += 1
        try:
            await self.app(scope, receive, send)
        finally:
            self.at_the_door -= 1

    def _may_pass(self, scope: Scope) -> bool:
        path = scope["path"]
        if path == PAGE or path.startswith(_STATIC):
            return True
        name = session_of(Headers(scope=scope), self.sign_in)
        return self.sign_in.knows(name, is_used=not path.endswith(_BY_ITSELF))

    def _asked(self, request: Request) -> Response:
        scripted = request.headers.get("hx-request") == "true"
        told = request.headers.get("sec-fetch-mode", "navigate")
        if request.method not in ("GET", "HEAD") or scripted or told != "navigate":
            return self.refuse(request, 401, _SIGNED_OUT)
        wanted = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        return RedirectResponse(f"{PAGE}?next={quote(wanted, safe='')}", status_code=303)
