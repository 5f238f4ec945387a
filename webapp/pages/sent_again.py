"""What is sent once more, as when its answer was lost on the way: known by all that it says.

A form of a page carries the edition the page was shown in, so the same form with the same entries
is the same wish. What begins an episode has no edition; its form has a name of its own (`once`).
"""

from hashlib import sha256
from typing import Annotated, Final

from fastapi import Depends, Request
from starlette.datastructures import FormData, UploadFile

from webapp.security import MOST_FIELDS

_AT_A_TIME: Final = 1 << 20  # bytes of a file


async def form_of(request: Request) -> FormData:
    """The form that was sent; a large file of it is on disk."""
    return await request.form(max_files=1, max_fields=MOST_FIELDS)


async def fingerprint(request: Request) -> str:
    """The same for the same form with the same entries, and for nothing else."""
    told = sha256(f"{request.url.path}?{request.url.query}".encode())
    for name, value in (await form_of(request)).multi_items():
        told.update(b"\0" + name.encode("utf-8", "replace") + b"\0")
        if not isinstance(value, UploadFile):
            told.update(value.encode("utf-8", "replace"))
            continue
        told.update((value.filename or "").encode("utf-8", "replace") + b"\0")
        while part := await value.read(_AT_A_TIME):
            told.update(part)
        await value.seek(0)
    return told.hexdigest()


async def _asked_once(request: Request) -> str:
    return await fingerprint(request) if (await form_of(request)).get("once") else ""


# The name of a request that makes something new; empty when its form gives none.
AskedOnce = Annotated[str, Depends(_asked_once)]
