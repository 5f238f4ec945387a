"""How answers travel: text packed, our own files from memory and kept by the browser.

Every address of ours in a page names the content that lies there (`versioned`), so a browser asks
for it once and never again until it is another.
"""

import gzip
import mimetypes
import re
from collections.abc import Sequence
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Final
from urllib.parse import parse_qs

from isal import isal_zlib
from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

_ADDRESS: Final = re.compile(r'(?<=")/static/([^"?#{]+\.(?:css|js|svg))(?=["#])')
_PACKED: Final = ("text/", "application/json", "application/javascript", "image/svg+xml")
_GZIP: Final = isal_zlib.MAX_WBITS + 16  # as zlib tells the format
_WORTH_PACKING: Final = 600  # bytes; a shorter answer travels in one packet anyway
_KEPT: Final = {
    # For as long as a browser keeps anything: another content has another address.
    True: "public, max-age=31536000, immutable",
    False: "no-cache",  # it asks whether it is still so
}
# What every page wears travels as one sheet, and what every page can do as one script (one that
# imports stands alone): each request delays the first paint.
_JOINED: Final = {
    "css/house.css": ("tokens", "base", "parts", "order", "days", "times", "prints"),
    "js/house.js": (
        "unsaved", "forms", "saving", "keys", "figures", "edges", "live", "order", "timer", "copy",
        "folds", "elsewhere"
    ),
}  # fmt: skip
_FONTS: Final = "public, max-age=604800"  # a vendored font is never changed in place
# The letters a page begins with; asked for with the page, they are there for its first paint.
_PRELOADED: Final = (
    "/static/vendor/source-sans-3/source-sans-3-latin-400-normal.woff2",
    "/static/vendor/source-sans-3/source-sans-3-latin-600-normal.woff2",
    "/static/vendor/alegreya/alegreya-latin-700-normal.woff2",
)
_LINK: Final = ", ".join(f'<{one}>; rel="preload"; as="font"; crossorigin' for one in _PRELOADED)


class _File:
    """A file of ours as it lies on the disk at one moment, or several joined in their order."""

    def __init__(self, paths: Sequence[Path]) -> None:
        contents = [path.read_bytes() for path in paths]
        if len(paths) > 1 and paths[0].suffix == ".js":
            contents = [b"{\n%s}" % one for one in contents]  # each keeps its names to itself
        self.content = b"\n".join(contents)
        self.kind = mimetypes.guess_type(paths[0].name)[0] or "application/octet-stream"
        self.tag = sha256(self.content).hexdigest()[:16]
        self.packed = gzip.compress(self.content, 9, mtime=0) if _packs(self.kind) else b""


class OwnFiles:
    """ASGI app that serves a folder, read anew when a file has changed."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder.resolve()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The file, or 304 when the browser has it; 404 for anything that is no file here."""
        name = scope["path"].removeprefix(scope.get("root_path", "")).lstrip("/")
        file = _found(self._folder, name)
        if file is None or scope["method"] not in ("GET", "HEAD"):
            raise HTTPException(404)
        headers, tag = Headers(scope=scope), f'"{file.tag}"'
        asked = parse_qs(scope.get("query_string", b"").decode("latin-1")).get("v", [""])[0]
        kept = _FONTS if name.endswith(".woff2") else _KEPT[asked == file.tag]
        told = {"etag": tag, "cache-control": kept, "vary": "accept-encoding"}
        if tag in headers.get("if-none-match", ""):
            await Response(status_code=304, headers=told)(scope, receive, send)
            return
        content = file.content
        if file.packed and "gzip" in headers.get("accept-encoding", ""):
            content, told["content-encoding"] = file.packed, "gzip"
        await Response(content, headers=told, media_type=file.kind)(scope, receive, send)


def _found(folder: Path, name: str) -> _File | None:
    parts = _JOINED.get(name)
    names = [str(Path(name).with_stem(part)) for part in parts] if parts else [name]
    stamps = []
    for one in names:
        try:
            path = (folder / one).resolve()
            if not path.is_relative_to(folder) or not path.is_file():
                return None
            stat = path.stat()
        except (OSError, ValueError):  # a name that no file can have
            return None
        stamps.append((path, stat.st_mtime_ns, stat.st_size))
    return _read(tuple(stamps))


@lru_cache(maxsize=200)
def _read(stamps: tuple[tuple[Path, int, int], ...]) -> _File:
    return _File([path for path, *_ in stamps])


def versioned(page: str, folder: Path) -> str:
    """The page or template with the content's mark added to every address of ours in it."""

    def marked(match: re.Match[str]) -> str:
        file = _found(folder.resolve(), match[1])
        return f"{match[0]}?v={file.tag}" if file else match[0]

    return _ADDRESS.sub(marked, page)


class Packed:
    """ASGI middleware: packs text that is sent in one go; pages name the letters they begin with.

    What is streamed, and what is packed by its nature (PDF, pictures), passes as it is.
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and pack the answer where the browser can unpack it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        may = "gzip" in Headers(scope=scope).get("accept-encoding", "")
        begun: Message | None = None

        async def sending(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = message  # held back until it is known whether more than one part comes
                return
            if begun is not None:
                headers = MutableHeaders(scope=begun)
                if headers.get("content-type", "").startswith("text/html"):
                    headers.setdefault("link", _LINK)
                    # Back shows the plan as it is, not as it was when its page was sent.
                    headers.setdefault("cache-control", "no-store")
                if message["type"] == "http.response.body" and not message.get("more_body"):
                    message = _smaller(headers, message, may=may)
                await send(begun)
                begun = None
            await send(message)

        await self.app(scope, receive, sending)


def _smaller(headers: MutableHeaders, message: Message, *, may: bool) -> Message:
    body: bytes = message.get("body", b"")
    if "content-encoding" in headers or not _packs(headers.get("content-type", "")):
        return message
    if "accept-encoding" in headers.get("vary", ""):  # another process saw to it
        return message
    headers.add_vary_header("accept-encoding")
    if not may or len(body) < _WORTH_PACKING:
        return message
    # In a tenth of the time that zlib takes, which was a third of a long page's; a tenth larger.
    packed = isal_zlib.compress(body, 2, wbits=_GZIP)
    headers["content-encoding"], headers["content-length"] = "gzip", str(len(packed))
    return {**message, "body": packed}


def _packs(kind: str) -> bool:
    return kind.startswith(_PACKED)
