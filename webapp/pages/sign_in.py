"""The page that asks for the passphrase, where other machines can reach the server."""

import math
from dataclasses import dataclass
from typing import Annotated, Final
from urllib.parse import urlsplit

from fastapi import APIRouter, Depends, Query, Request, Response
from fastapi.responses import RedirectResponse

from webapp.draft.names import plural
from webapp.pages.house import InHouse, Sent
from webapp.sign_in import LONGEST_SECONDS, PAGE, SignIn, session_of

router = APIRouter()

_WRONG: Final = "That is not the passphrase. It is the one that was set by the command."
_NONE: Final = "Type the passphrase."


@dataclass(frozen=True)
class SignInView:
    """Where she goes from here, and what was wrong with the last try."""

    next: str = "/"
    problem: str = ""


def _sign_in(request: Request) -> SignIn:
    found: SignIn = request.app.state.sign_in
    return found


AtTheDoor = Annotated[SignIn, Depends(_sign_in)]


@router.get(PAGE)
def sign_in(
    request: Request,
    house: InHouse,
    door: AtTheDoor,
    to: Annotated[str, Query(alias="next")] = "/",
) -> Response:
    view = SignInView(_within(to), _told_to_wait(door.wait(_address(request))))
    return house.show(request, "sign_in/sign_in.html", view)


@router.post(PAGE)
def open_session(request: Request, sent: Sent, house: InHouse, door: AtTheDoor) -> Response:
    to, typed = _within(str(sent.get("next", "/"))), sent.get("passphrase")
    if not isinstance(typed, str) or not typed:
        return house.show(request, "sign_in/sign_in.html", SignInView(to, _NONE), status=422)
    address = _address(request)
    waits = door.wait(address)
    name = None if waits else door.open(address, typed)
    if name is None:
        left = door.wait(address)
        problem = _told_to_wait(left) if waits else f"{_WRONG} {_told_to_wait(left)}".strip()
        view = SignInView(to, problem)
        answer = house.show(request, "sign_in/sign_in.html", view, status=429 if left else 422)
        if left:
            answer.headers["retry-after"] = str(math.ceil(left))
        return answer
    door.close(session_of(request.headers, door))  # the one before, if any
    done = RedirectResponse(to, status_code=303)
    # Lax: a link that the others of the team send must not ask for the passphrase again. Changes
    # asked for from elsewhere are refused in any case (security.py).
    done.set_cookie(
        door.cookie,
        name,
        max_age=int(LONGEST_SECONDS),
        path="/",
        httponly=True,
        samesite="lax",
        secure=door.tls,
    )
    return done


@router.post("/sign-out")
def close_session(request: Request, door: AtTheDoor) -> Response:
    door.close(session_of(request.headers, door))
    done = RedirectResponse(PAGE, status_code=303)
    done.delete_cookie(door.cookie, path="/", httponly=True, samesite="lax", secure=door.tls)
    if door.tls:  # pictures that the browser kept; W3C Clear Site Data, over https alone
        done.headers["clear-site-data"] = '"cache"'
    return done


def _address(request: Request) -> str:
    return request.client.host if request.client else ""


def _told_to_wait(seconds: float) -> str:
    if seconds <= 0:
        return ""
    whole = math.ceil(seconds)
    told = plural(whole, "second") if whole < 100 else plural(math.ceil(whole / 60), "minute")
    return f"There were many wrong tries: wait {told} before the next."


def _within(to: str) -> str:
    """The address if it is one of this house, else its first page: nobody is sent elsewhere."""
    try:
        parts = urlsplit(to)
    except ValueError:
        return "/"
    is_ours = not parts.scheme and not parts.netloc and to.startswith("/")
    odd = to.startswith("//") or "\\" in to or not to.isascii() or not to.isprintable()
    return "/" if odd or not is_ours or parts.path == PAGE else to
