"""A local server refuses other names, other sites and what is too much."""

import asyncio
import gzip
import json
from collections.abc import AsyncIterator
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.responses import PlainTextResponse
from starlette.testclient import TestClient
from starlette.types import Message
from starlette.websockets import WebSocketDisconnect

from tests.apart import run_apart
from tests.every_page import HOUSE
from webapp import security
from webapp.pages.house import House
from webapp.security import HEADERS, LocalOnly


@pytest.mark.parametrize(
    "host",
    ["evil.example", "127.0.0.1.evil.example", "", "192.0.2.7:8765", "[", "127.0.0.1]", "0.0.0.0",
     "localhost.evil.example", "localhost.", "127.1", "2130706433", "[::ffff:192.0.2.7]",
     "evil@127.0.0.1", "127.0.0.1/evil", "127.0.0.1#", "127.0.0.1?x", "127.0.0.1:x", "[127.0.0.1]",
     "127.0.0.1, evil.example"],
)  # fmt: skip
def test_a_foreign_host_name_is_refused(client: TestClient, host: str) -> None:
    answer = client.get("/", headers={"host": host})
    assert answer.status_code == 421
    assert "address that it printed" in answer.text
    assert HEADERS.items() <= dict(answer.headers).items()


@pytest.mark.parametrize("host", ["127.0.0.1:8765", "localhost:1", "[::1]:8765", "LOCALHOST"])
def test_this_machine_is_answered_on_any_port(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": ""},
        {"origin": "http://["},
        {"origin": "http://127.0.0.1:9999"},
        {"origin": "https://127.0.0.1"},
        {"origin": "http://127.0.0.1.evil.example"},
    ],
)
def test_a_change_asked_for_by_another_site_is_refused(
    client: TestClient, house: House, headers: dict[str, str]
) -> None:
    answer = client.post("/episodes", data={"title": "X", "starter": "blank"}, headers=headers)
    assert answer.status_code == 403
    assert "<h1>" in answer.text and "another site" in answer.text
    assert HEADERS.items() <= dict(answer.headers).items()
    assert house.store.list() == ()


@pytest.mark.parametrize(
    ("name", "told"),
    [
        (b"origin", (b"http://127.0.0.1", b"http://evil.example")),
        (b"sec-fetch-site", (b"same-origin", b"cross-site")),
    ],
)
def test_of_two_that_are_told_both_must_be_ours(
    app: FastAPI, house: House, name: bytes, told: tuple[bytes, ...]
) -> None:
    assert _asked(app, [(name, told[0])], _nothing()) == 422  # it is read, and lacks a title
    assert _asked(app, [(name, one) for one in told], _nothing()) == 403
    assert house.store.list() == ()


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
@pytest.mark.parametrize(
    ("mode", "dest", "status"),
    [("navigate", "document", 200), ("navigate", "iframe", 403), ("navigate", "object", 403),
     ("no-cors", "image", 403), ("no-cors", "script", 403), ("cors", "empty", 403),
     ("websocket", "websocket", 403)],
)  # fmt: skip
def test_another_site_may_link_here_and_include_nothing(
    client: TestClient, site: str, mode: str, dest: str, status: int
) -> None:
    headers = {"sec-fetch-site": site, "sec-fetch-mode": mode, "sec-fetch-dest": dest}
    assert client.get("/", headers=headers).status_code == status
    assert client.options("/", headers=headers).status_code in (403, 405)


def test_answers_forbid_framing_and_anything_from_elsewhere(client: TestClient) -> None:
    told = client.get("/").headers
    policy = dict(part.split(" ", 1) for part in told["content-security-policy"].split("; "))
    assert policy["default-src"] == "'none'"  # workers, manifests, objects, frames, media
    assert policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert set(policy.values()) == {"'none'", "'self'"}
    assert told["x-frame-options"] == "DENY"
    assert told["x-content-type-options"] == "nosniff"
    allowed = told["permissions-policy"]
    assert "screen-wake-lock=(self)" in allowed
    assert {"camera=()", "microphone=()", "geolocation=()", "usb=()"} <= set(allowed.split(", "))


@pytest.mark.parametrize(
    "address",
    ["/", "/no-such-page", "/static/css/house.css", "/static/none", "/photos/none", "/keys?x=%00",
     "/openapi.json"],
)  # fmt: skip
def test_every_answer_carries_them_and_allows_no_other_origin(
    client: TestClient, address: str
) -> None:
    for asked in ({}, {"origin": "http://evil.example"}, {"if-none-match": "*"}):
        told = client.get(address, headers=asked).headers
        assert HEADERS.items() <= dict(told).items()
        assert not [name for name in told if name.startswith("access-control-")]


def test_pages_hold_no_script_or_style_of_their_own(client: TestClient, smock: str) -> None:
    """The policy would refuse them; and no page is shown in a frame of ours."""
    for address in (*HOUSE, f"/episodes/{smock}/build", f"/episodes/{smock}/shots"):
        page = client.get(address).text
        for forbidden in ("<style", " style=", " onclick=", "javascript:", "<iframe", "<object"):
            assert forbidden not in page, address


def test_a_body_beyond_the_limit_is_refused_before_it_is_read(client: TestClient) -> None:
    for length in ("99999999", "9" * 5000, "-1", "1e3", "٣", "x"):
        answer = client.post("/episodes", content=b"", headers={"content-length": length.encode()})
        assert answer.status_code == 413, length
    assert "<h1>" in answer.text and "6 MB is the most" in answer.text
    assert HEADERS.items() <= dict(answer.headers).items()


def test_a_body_without_a_length_is_refused(client: TestClient) -> None:
    def parts() -> Any:
        yield b"title=X"

    assert client.post("/episodes", content=parts()).status_code == 411


def test_a_head_is_refused_that_came_at_once_and_is_too_long(client: TestClient) -> None:
    """The server's own limit is that of a head which comes in parts."""
    long = "a" * 33_000
    for answer in (client.get("/", headers={"x-a": long}), client.get(f"/?{long}")):
        assert answer.status_code == 431
        assert "<h1>" in answer.text
    assert client.get(f"/?{'a' * 20_000}").status_code == 200


def test_a_body_that_is_packed_is_refused(client: TestClient, house: House) -> None:
    bomb = gzip.compress(b"title=" + b"x" * 50_000_000)
    assert len(bomb) < 100_000
    for how in ("gzip", "br", "deflate", "identity"):
        answer = client.post("/episodes", content=bomb, headers={"content-encoding": how})
        assert answer.status_code == 415
    assert house.store.list() == ()


@pytest.mark.parametrize(
    "body",
    ["&".join(f"f{n}=x" for n in range(400)), "title=" + "x" * 2_000_000, "&" * 5_000_000],
    ids=["fields", "one long field", "fields of nothing"],
)
def test_a_form_of_too_many_or_too_long_fields_is_refused(
    client: TestClient, house: House, body: str
) -> None:
    kind = {"content-type": "application/x-www-form-urlencoded"}
    answer = client.post("/episodes", content=body + "&starter=blank", headers=kind)
    assert answer.status_code == 400
    assert "<h1>" in answer.text
    assert house.store.list() == ()


def _asked(app: FastAPI, headers: list[tuple[bytes, bytes]], parts: AsyncIterator[bytes]) -> int:
    """The status of a form whose body comes in parts, each when it likes."""
    told: list[Message] = []

    async def receive() -> Message:
        part = await anext(parts, b"")
        return {"type": "http.request", "body": part, "more_body": bool(part)}

    async def send(message: Message) -> None:
        told.append(message)

    scope = {
        "type": "http", "method": "POST", "path": "/episodes", "raw_path": b"/episodes",
        "query_string": b"", "scheme": "http", "server": ("127.0.0.1", 80), "root_path": "",
        "headers": [(b"host", b"127.0.0.1"), *headers], "http_version": "1.1",
    }  # fmt: skip
    run_apart(app(scope, receive, send))
    status: int = told[0]["status"]
    return status


async def _nothing() -> AsyncIterator[bytes]:
    yield b""


def test_a_body_that_comes_too_slowly_is_given_up(
    app: FastAPI, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(security, "BODY_SECONDS", 0.1)
    kind = (b"content-type", b"application/x-www-form-urlencoded")

    async def slow() -> AsyncIterator[bytes]:
        while True:
            yield b"&title=X"
            await asyncio.sleep(0.04)

    assert _asked(app, [kind, (b"content-length", b"500")], slow()) == 408
    assert house.store.list() == ()


def test_what_is_too_much_at_once_is_told_to_come_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(security, "MOST_AT_ONCE", 2)
    told: list[int] = []

    async def run() -> None:
        leave = asyncio.Event()

        async def app(*_: Any) -> None:
            await leave.wait()

        guard = LocalOnly(app, (), lambda _, status, words: PlainTextResponse(words, status))
        scope = {"type": "http", "method": "GET", "path": "/", "server": ("127.0.0.1", 1),
                 "headers": [(b"host", b"localhost")]}  # fmt: skip

        async def send(message: Message) -> None:
            if "status" in message:
                told.append(message["status"])

        waiting = [asyncio.create_task(guard(scope, asyncio.Queue().get, send)) for _ in range(2)]
        await asyncio.sleep(0)
        await guard(scope, asyncio.Queue().get, send)
        leave.set()
        await asyncio.gather(*waiting)
        assert guard.at_once == 0

    run_apart(run())
    assert told == [503]


def test_there_is_no_socket_to_talk_to(client: TestClient) -> None:
    with pytest.raises(WebSocketDisconnect), client.websocket_connect("/"):
        pass


def test_preferences_are_no_script_s_business(client: TestClient) -> None:
    answer = client.post("/settings", data={"first_unit": "in", "look": "dark"})
    cookies = answer.headers.get_list("set-cookie")
    assert len(cookies) == 2
    for one in cookies:
        assert "HttpOnly" in one and "SameSite=strict" in one and "Path=/" in one


def test_the_api_s_document_tells_nothing_that_is_not_in_this_repository(
    client: TestClient,
) -> None:
    document = client.get("/openapi.json").json()
    assert "securitySchemes" not in json.dumps(document)
    assert "servers" not in document
