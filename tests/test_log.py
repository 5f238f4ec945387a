"""The log: a line a request under its name, nothing that was typed, never in anyone's way."""

import logging
import re
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Mount, Route, Router
from starlette.testclient import TestClient

from webapp import log
from webapp.logged import Logged

TYPED = "Zauberwort"


@pytest.fixture
def file(tmp_path: Path) -> Iterator[Path]:
    log.begin(tmp_path)
    yield tmp_path / "log" / "seamslate.log"
    log.end()


def _page(request: Request) -> Response:
    logging.getLogger("webapp.pages.somewhere").info("Within.")
    if "fail" in request.path_params:
        raise LookupError(f"No {request.path_params['fail']}")
    return PlainTextResponse("Here.", 201)


@pytest.fixture
def client() -> TestClient:
    routes = [
        Route("/episodes/{episode_id}/things/{name}/{number}", _page, methods=["GET", "POST"]),
        Route("/fails/{fail}", _page),
        Mount("/static", routes=[Route("/{path:path}", _page)]),
    ]
    return TestClient(Logged(Router(routes)))


def test_each_request_is_a_line_under_the_name_that_its_answer_carries(
    client: TestClient, file: Path
) -> None:
    answer = client.get("/episodes/smock-3/things/front/12?q=1")
    other = client.get("/episodes/smock-3/things/front/12")
    name = answer.headers["x-request-id"]
    assert re.fullmatch("[a-z]{8}", name) and name != other.headers["x-request-id"]
    within, line = (one for one in file.read_text().splitlines() if name in one)
    assert within.endswith(f"INFO {name} Within.")
    assert re.search(rf"INFO {name} GET /episodes/smock-3/things/{{name}}/12 201 \d+ ms$", line), (
        line
    )


def test_nothing_that_was_typed_stands_in_it(client: TestClient, file: Path) -> None:
    for path in (
        f"/episodes/smock-3/things/{TYPED}/{TYPED}?{TYPED}={TYPED}",
        f"/{TYPED}",
        f"/static/{TYPED}.css",
        f"/fails/{TYPED}",
    ):
        headers = {"cookie": f"session={TYPED}", "user-agent": TYPED, "referer": f"/{TYPED}"}
        client.post(path, data={"passphrase": TYPED}, headers=headers)
        client.get(path, headers=headers)
    told = file.read_text()
    assert TYPED not in told
    assert "LookupError" in told and "_page" in told  # where it happened
    assert "GET (no page of ours) 404" in told


def test_a_line_is_a_line_whatever_is_asked_for(client: TestClient, file: Path) -> None:
    client.get("/episodes/a%0Ab%1b[31m/things/x/1")
    (line, *_) = (one for one in file.read_text().splitlines() if " GET " in one)
    assert line.endswith("ms") and "/episodes/{episode_id}/things" in line


def test_a_fault_before_any_page_is_told_by_its_name(client: TestClient) -> None:
    answer = client.get(f"/fails/{TYPED}")
    assert answer.status_code == 500
    assert answer.text.startswith("Something in Seamslate went wrong")
    assert answer.headers["x-request-id"] in answer.text
    assert TYPED not in answer.text


@pytest.mark.parametrize(
    ("error", "told"),
    [
        (OSError(28, "No space left on device"), "No space left on device"),
        (AttributeError("no attribute 'x'"), "no attribute 'x'"),
        (ValueError(TYPED), "builtins.ValueError"),
        (KeyError(TYPED), "builtins.KeyError"),
        (ExceptionGroup(TYPED, [ValueError(TYPED), OSError(5, "Input/output error")]), "I"),
    ],
)
def test_the_words_of_an_error_are_told_only_where_they_are_not_hers(
    error: Exception, told: str
) -> None:
    try:
        try:
            raise ValueError(TYPED)
        except ValueError:
            raise error  # noqa: B904 - as it happens, unforeseen
    except Exception as caught:
        trace = log.trace_of(caught)
    assert told in trace
    assert TYPED not in trace
    assert "which led to" in trace


def test_the_terminal_is_told_a_sentence_and_the_file_where_it_happened(
    client: TestClient, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    client.get("/fails/x")
    logging.getLogger("webapp").error("A fault in a process.\n  File job.py")
    logging.getLogger("webapp").warning("A printed file is made anew.")
    client.get("/episodes/smock/things/a/1")
    fault, of_process, sentence = capsys.readouterr().err.splitlines()
    assert f"A fault of ours. Where it happened stands in {file}" in fault
    assert f"A fault in a process. Where it happened stands in {file}" in of_process
    assert sentence.endswith("A printed file is made anew.")
    assert "LookupError" in file.read_text() and "  File job.py" in file.read_text()


def test_what_a_library_calls_it_stands_in_the_file_alone(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = log.with_code("There is no room left on the disk.", "SQLITE_FULL")
    logging.getLogger("webapp").warning("Refused: %s", told)
    assert capsys.readouterr().err.endswith("Refused: There is no room left on the disk.\n")
    assert "no room left on the disk.\n(SQLITE_FULL)\n" in file.read_text()


def test_it_is_kept_in_a_few_files_that_only_she_can_read(file: Path) -> None:
    logger = logging.getLogger("webapp")
    for _ in range(7 * log.LARGEST // 100_000):
        logger.info("x" * 100_000)
    files = sorted(file.parent.iterdir())
    assert [one.name for one in files] == [
        "seamslate.log", *(f"seamslate.log.{n}" for n in range(1, log.FILES))
    ]  # fmt: skip
    assert all(one.stat().st_size <= log.LARGEST for one in files)
    assert all(stat.S_IMODE(one.stat().st_mode) == 0o600 for one in files)


@pytest.mark.parametrize("how", ["a file in its place", "folder gone", "disk full"])
def test_a_log_that_cannot_be_written_troubles_nobody(
    client: TestClient, tmp_path: Path, capsys: pytest.CaptureFixture[str], how: str
) -> None:
    folder = tmp_path / "data"
    if how != "folder gone":
        folder.mkdir()
    if how == "a file in its place":
        (folder / "log").write_text("hers")
    if how == "disk full":
        (folder / "log").mkdir()
        (folder / "log" / "seamslate.log").symlink_to("/dev/full")
    log.begin(folder)
    try:
        assert client.get("/episodes/smock/things/a/1").status_code == 201
        assert capsys.readouterr().err == ""
    finally:
        log.end()
    assert (tmp_path / "data").exists() is (how != "folder gone")
