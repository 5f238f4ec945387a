"""Where other machines can reach it, every page asks for the passphrase; on this machine none."""

import os
import stat
import zlib
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from tests.picture_files import png
from webapp import passphrase, sign_in
from webapp.app import create_app
from webapp.errors import PassphraseError
from webapp.pages.house import House
from webapp.security import HEADERS
from webapp.settings import Settings
from webapp.sign_in import LONGEST_SECONDS, UNUSED_SECONDS, SignIn, Tries

WORDS = "tack the lantern sleeve twice"
ELSEWHERE = "http://192.168.1.20:8765"


@pytest.fixture(scope="module", autouse=True)
def cheap() -> Iterator[None]:
    """Hash as the house does, with less work: a hundred tries would take a minute."""
    patch = pytest.MonkeyPatch()
    patch.setattr(passphrase, "_N", 2**4)
    yield
    patch.undo()


class Clock:
    now = 1000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> FastAPI:
    folder = tmp_path_factory.mktemp("shared")
    passphrase.keep(folder, WORDS)
    return create_app(Settings(data_dir=folder, listen="192.168.1.20", names=("studio.example",)))


@pytest.fixture
def door(shared: FastAPI, clock: Clock) -> SignIn:
    house: House = shared.state.house
    folder = house.photos.folder.parent
    if not passphrase.kept(folder):
        passphrase.keep(folder, WORDS)
    found: SignIn = shared.state.sign_in
    found.__init__(folder, tls=False, clock=clock)  # type: ignore[misc]  # as after a restart
    return found


@pytest.fixture
def visitor(shared: FastAPI, door: SignIn) -> TestClient:
    assert door
    return TestClient(
        shared, base_url=ELSEWHERE, follow_redirects=False, client=("192.168.1.7", 50000)
    )


def every_route(routes: Iterable[object]) -> Iterator[object]:
    """The routes, those of routers that were included too."""
    for one in routes:
        yield one
        yield from every_route(getattr(getattr(one, "original_router", None), "routes", ()))


def signed_in(visitor: TestClient, to: str = "/") -> TestClient:
    answer = visitor.post("/sign-in", data={"passphrase": WORDS, "next": to})
    assert answer.status_code == 303, answer.text
    return visitor


def test_every_page_and_file_asks_first(shared: FastAPI, visitor: TestClient) -> None:
    addresses = {getattr(one, "path", "") for one in every_route(shared.routes)}
    assert len(addresses) > 150
    for address in addresses - {"", "/static", sign_in.PAGE}:
        answer = visitor.get(address)
        assert answer.status_code == 303, address
        assert answer.headers["location"].startswith("/sign-in?next=%2F"), address
        assert visitor.post(address).status_code == 401, address
    assert visitor.get("/static/css/house.css").status_code == 200


def test_the_passphrase_opens_what_was_asked_for(visitor: TestClient) -> None:
    asked = visitor.get("/series?of=us")
    page = visitor.get(asked.headers["location"])
    assert page.status_code == 200
    assert 'name="next" value="/series?of=us"' in page.text
    assert 'action="/sign-out"' not in page.text
    answer = visitor.post("/sign-in", data={"passphrase": WORDS, "next": "/series?of=us"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/series?of=us")
    shown = visitor.get("/series")
    assert shown.status_code == 200
    assert 'action="/sign-out"' in shown.text


def test_its_cookie_is_for_the_browser_alone_and_its_name_is_kept_nowhere(
    visitor: TestClient, door: SignIn
) -> None:
    answer = visitor.post("/sign-in", data={"passphrase": WORDS})
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie and "SameSite=lax" in cookie and "Path=/" in cookie
    name = visitor.cookies["seamslate"]
    assert len(name) == 43  # 256 bits in letters of six bits each
    assert name not in repr(vars(door))
    assert visitor.post("/sign-in", data={"passphrase": WORDS}).status_code == 303
    assert visitor.cookies["seamslate"] != name
    assert not door.knows(name)  # the one before ended with it


def test_over_https_the_cookie_is_bound_to_it(tmp_path: Path) -> None:
    passphrase.keep(tmp_path, WORDS)
    settings = Settings(
        data_dir=tmp_path, listen="0.0.0.0", names=("studio.example",), tls_certificate=tmp_path
    )
    with TestClient(create_app(settings), "https://studio.example", follow_redirects=False) as it:
        answer = it.post("/sign-in", data={"passphrase": WORDS})
        assert answer.headers["set-cookie"].startswith("__Host-seamslate=")
        assert "; Secure" in answer.headers["set-cookie"]
        assert answer.headers["strict-transport-security"] == "max-age=31536000"
        assert it.post("/sign-out").headers["clear-site-data"] == '"cache"'


@pytest.mark.parametrize(
    "to",
    ["//evil.example", "https://evil.example/", "/\\evil.example", "evil", "javascript:alert(1)",
     "/\t/evil.example", "http:/\\evil", "/sign-in", "http://["],
)  # fmt: skip
def test_nobody_is_sent_elsewhere(visitor: TestClient, to: str) -> None:
    answer = visitor.post("/sign-in", data={"passphrase": WORDS, "next": to})
    assert answer.headers["location"] == "/"


def test_a_session_ends_unused_after_its_days_and_at_sign_out(
    visitor: TestClient, clock: Clock
) -> None:
    signed_in(visitor)
    clock.now += UNUSED_SECONDS - 1
    assert visitor.get("/").status_code == 200
    clock.now += UNUSED_SECONDS + 1
    assert visitor.get("/").status_code == 303

    signed_in(visitor)
    for _ in range(int(LONGEST_SECONDS // UNUSED_SECONDS)):
        clock.now += UNUSED_SECONDS - 1
        assert visitor.get("/").status_code == 200
    clock.now += UNUSED_SECONDS - 1
    assert visitor.get("/").status_code == 303

    signed_in(visitor)
    clock.now += UNUSED_SECONDS - 1  # what a page asks by itself while nobody is at it is no use
    assert visitor.get("/episodes/none/elsewhere").status_code == 404
    clock.now += 2
    assert visitor.get("/").status_code == 303

    signed_in(visitor)
    cookie = visitor.cookies["seamslate"]
    assert visitor.post("/sign-out").headers["location"] == "/sign-in"
    assert "seamslate" not in visitor.cookies
    visitor.cookies.set("seamslate", cookie)  # whoever kept it gains nothing by it
    assert visitor.get("/").status_code == 303


def test_a_new_passphrase_ends_all_sessions(
    visitor: TestClient, shared: FastAPI, door: SignIn
) -> None:
    folder = shared.state.house.photos.folder.parent
    signed_in(visitor)
    passphrase.keep(folder, WORDS)  # also when it is the same again
    assert visitor.get("/").status_code == 303
    signed_in(visitor)
    passphrase.path_of(folder).write_text("{}")  # what cannot be read lets nobody in
    assert visitor.get("/").status_code == 303
    assert visitor.post("/sign-in", data={"passphrase": WORDS}).status_code == 422
    passphrase.path_of(folder).unlink()
    assert visitor.post("/sign-in", data={"passphrase": WORDS}).status_code == 422
    assert door.knows("") is False


def test_the_browser_keeps_nothing_that_outlives_the_session(
    visitor: TestClient, shared: FastAPI
) -> None:
    house: House = shared.state.house
    picture = house.photos.keep(png(1, 1, zlib.compress(b"\0\0")))
    signed_in(visitor)
    for address in ("/", f"/photos/{picture}", "/starters/blank.svg", "/openapi.json", "/none"):
        assert visitor.get(address).headers["cache-control"] == "no-store", address
    assert "max-age" in visitor.get("/static/vendor/alegreya/alegreya-latin-700-normal.woff2"
                                    ).headers["cache-control"]  # fmt: skip


def test_what_was_typed_when_a_session_had_ended_is_told_and_stays(visitor: TestClient) -> None:
    answer = visitor.post("/episodes", data={"title": "X"}, headers={"hx-request": "true"})
    assert answer.status_code == 401
    assert "Sign in in another tab" in answer.text
    assert "<html" not in answer.text


def test_wrong_tries_wait_longer_and_longer(visitor: TestClient, clock: Clock) -> None:
    wrong = {"passphrase": "not that one, surely"}
    told = [visitor.post("/sign-in", data=wrong) for _ in range(3)]
    assert [one.status_code for one in told] == [422, 422, 429]
    assert "That is not the passphrase." in told[0].text
    assert "wait 2 seconds" in told[2].text
    assert told[2].headers["retry-after"] == "2"
    # Who does not wait is not even listened to: the right one changes nothing.
    assert visitor.post("/sign-in", data={"passphrase": WORDS}).status_code == 429
    waits = []
    for _ in range(12):
        clock.now += waits[-1] if waits else 2
        answer = visitor.post("/sign-in", data=wrong)
        waits.append(int(answer.headers["retry-after"]))
    assert waits == [4, 8, 16, 32, 64, 128, 256, 512, 900, 900, 900, 900]
    assert "wait 15 minutes" in answer.text
    assert "wait 15 minutes" in visitor.get("/sign-in").text
    clock.now += 900
    signed_in(visitor)  # and all is forgotten
    assert [visitor.post("/sign-in", data=wrong).status_code for _ in range(2)] == [422, 422]


def test_a_fault_of_ours_shows_and_logs_no_passphrase(
    visitor: TestClient,
    door: SignIn,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(door, "open", broken)
    answer = visitor.post("/sign-in", data={"passphrase": WORDS, "next": "/"})
    assert answer.status_code == 500
    assert WORDS not in answer.text and WORDS not in caplog.text
    assert HEADERS.items() <= dict(answer.headers).items()


def test_many_addresses_wait_together_but_never_long() -> None:
    tries, waits = Tries(), []
    for number in range(60):
        waits.append(tries.wait("192.168.1.9", 0.0))
        tries.count(f"10.0.{number}.1", 0.0)
    assert waits == [*[0.0] * 30, 2.0, 4.0, 8.0, 16.0, *[30.0] * 26]
    for number in range(2500):  # no more is remembered than fits
        tries.count(f"10.{number // 250}.{number % 250}.2", 1000.0)
    assert len(tries._wrong) <= 2001


def test_strangers_keep_nobody_out_where_she_was_let_in_before(clock: Clock) -> None:
    tries = Tries()
    tries.count("192.168.1.9", clock())
    tries.was_right("192.168.1.9")
    for number in range(60):
        tries.count(f"10.0.{number}.1", clock())
    assert tries.wait("192.168.1.8", clock()) == 30.0
    assert tries.wait("192.168.1.9", clock()) == 0.0
    for _ in range(4):  # her own count as before
        tries.count("192.168.1.9", clock())
    assert tries.wait("192.168.1.9", clock()) == 4.0
    for number in range(2500):  # no more is remembered than fits
        tries.was_right(f"10.{number // 250}.{number % 250}.2")
    assert len(tries._right) == 2000


def test_before_anyone_is_known_little_is_read(
    visitor: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    large = {"passphrase": WORDS, "next": "/", "more": "x" * 70_000}
    assert visitor.post("/sign-in", data=large).status_code == 413
    assert visitor.post("/sign-in", data={"passphrase": "x" * 60_000}).status_code == 422
    monkeypatch.setattr(sign_in, "MOST_AT_THE_DOOR", 0)
    assert visitor.post("/sign-in", data={"passphrase": WORDS}).status_code == 503
    monkeypatch.undo()
    signed_in(visitor)


def test_a_network_of_one_s_own_is_one_address() -> None:
    """RFC 6177: whoever is given IPv6 addresses is given a /64 of them at least."""
    tries = Tries()
    for number in range(5):
        tries.count(f"2001:db8:0:1::{number:x}", 0.0)
    assert tries.wait("2001:db8:0:1:ffff::9", 0.0) == 8.0
    assert tries.wait("2001:db8:0:2::9", 0.0) == 0.0


def test_names_it_may_be_called_by(visitor: TestClient, shared: FastAPI) -> None:
    for host in ("192.168.1.20:8765", "studio.example", "STUDIO.example:80"):
        assert visitor.get("/", headers={"host": host}).status_code == 303, host
    for host in ("192.168.1.21:8765", "evil.example", "localhost:8765", "127.0.0.1:8765"):
        assert visitor.get("/", headers={"host": host}).status_code == 421, host
    here = TestClient(shared, "http://127.0.0.1:8765", follow_redirects=False)
    assert here.get("/", headers={"host": "localhost:8765"}).status_code == 303


@pytest.mark.parametrize("origin", ["http://studio.example:9999", "https://192.168.1.20:8765"])
def test_another_port_or_scheme_is_another_site(visitor: TestClient, origin: str) -> None:
    answer = signed_in(visitor).post("/settings", headers={"origin": origin})
    assert answer.status_code == 403


def test_on_this_machine_nothing_of_it_shows(client: TestClient) -> None:
    assert client.get("/sign-in").status_code == 404
    assert client.post("/sign-out").status_code == 404
    page = client.get("/").text
    hidden = page.partition('id="save-again" hidden>')[2].partition("</p>")[0]
    assert page.count("Sign") == hidden.count("Sign") == 1  # for where it is asked for


@pytest.mark.skipif(os.name != "posix", reason="rights of files are told so on POSIX alone")
def test_it_is_kept_as_a_salted_hash_that_its_owner_alone_may_read(tmp_path: Path) -> None:
    folder = tmp_path / "new"
    passphrase.keep(folder, WORDS)
    file = passphrase.path_of(folder)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700  # the plans will lie there
    first = file.read_text()
    passphrase.keep(folder, WORDS)
    assert file.read_text() != first
    assert not [word for word in WORDS.split() if word in first]
    assert [one.name for one in folder.iterdir()] == [file.name]
    found = passphrase.kept(folder)
    assert found is not None and found.is_it(WORDS)
    assert not any(map(found.is_it, (f"{WORDS} ", WORDS[:-1], WORDS.upper(), "")))


def test_the_hash_is_that_of_the_standard() -> None:
    """RFC 7914, section 12: scrypt of “pleaseletmein” with “SodiumChloride”, N 16384, r 8, p 1."""
    known = "7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2"  # its first half
    found = passphrase._hash("pleaseletmein", b"SodiumChloride", 16384, 8, 1)
    assert found.hex() == known


def test_it_costs_what_owasp_asks_for() -> None:
    """OWASP Password Storage Cheat Sheet, scrypt: at least N 2^17, r 8, p 1."""
    source = Path(passphrase.__file__).read_text()
    assert "_N, _R, _P = 2**17, 8, 1" in source
    assert passphrase.Passphrase.__dataclass_fields__["n"].default == 2**17


@pytest.mark.parametrize(
    "typed",
    ["", "eleven char", "aaaaaaaaaaaaaaaa", "Password Password", "123456789012",
     "Correct Horse Battery Staple", "ababababababab", "lantern lantern ", "qwerty123qwerty123",
     "x" * 201],
)  # fmt: skip
def test_a_weak_one_is_refused_with_the_reason(tmp_path: Path, typed: str) -> None:
    with pytest.raises(PassphraseError):
        passphrase.keep(tmp_path, typed)
    assert list(tmp_path.iterdir()) == []


def test_letters_are_the_same_however_they_are_composed(tmp_path: Path) -> None:
    passphrase.keep(tmp_path, "naht für die säume")
    found = passphrase.kept(tmp_path)
    assert found is not None and found.is_it("naht fu\u0308r die sa\u0308ume")
