"""The points of OWASP ASVS 5.0 level 1: each is covered by a test, or it is told why not."""

import ast
import pyexpat
import re
from functools import cache
from pathlib import Path

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from tests.every_page import HOUSE, NO_PAGES, WITHIN
from tests.outside.asvs import LEVEL_1, POINTS
from tests.pages.conftest import *  # noqa: F403 - an app with a folder of its own
from webapp.pages.house import House
from webapp.settings import files_dir
from webapp.store.episode_file import to_text

TESTS = Path(__file__).parent.parent
CODE = [file for file in (TESTS.parent / "webapp").rglob("*.py") if "migrations" not in file.parts]


def test_every_point_is_listed_once() -> None:
    numbers = [point.number for point in POINTS]
    assert len(set(numbers)) == len(numbers) == LEVEL_1
    assert numbers == sorted(numbers, key=lambda one: [int(part) for part in one.split(".")])


@pytest.mark.parametrize("point", POINTS, ids=lambda point: point.number)
def test_a_point_is_covered_by_tests_that_there_are(point: object) -> None:
    assert bool(point.by) != bool(point.why_not), point  # type: ignore[attr-defined]
    for named in point.by:  # type: ignore[attr-defined]
        file, _, test = named.partition("::")
        names = {
            node.name
            for node in ast.walk(ast.parse((TESTS / file).read_text("utf-8")))
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
        }
        assert test in names or (test == "*" and names), named


@cache
def _nodes() -> list[ast.AST]:
    """All of our code, taken apart."""
    return [node for file in CODE for node in ast.walk(ast.parse(file.read_text("utf-8")))]


@cache
def _calls() -> set[str]:
    """Everything that is called in it, as it is written."""
    return {ast.unparse(node.func) for node in _nodes() if isinstance(node, ast.Call)}


def _imported() -> set[str]:
    found = set()
    for node in _nodes():
        if isinstance(node, ast.Import):
            found |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module.split(".")[0])
    return found


def test_no_command_is_run_and_no_text_is_run_as_code() -> None:
    calls = _calls()
    assert {"len", "Path"} <= calls  # it reads calls
    assert not calls & {"eval", "exec", "compile", "__import__", "os.system", "os.popen"}
    assert not [one for one in calls if one.startswith("subprocess.") or "from_string" in one]
    assert "subprocess" not in _imported()


def test_nothing_reads_xml_or_pickles() -> None:
    """Only drawings of our own making are read as XML, by a reader that opens no other file.

    Expat 2.4.1 and later also gives up where entities grow without end (CVE-2013-0340).
    """
    imported = _imported()
    assert "fastapi" in imported
    assert not imported & {"lxml", "pickle", "marshal", "shelve", "yaml", "zipimport"}
    reading = re.compile(r"\b(fromstring|iterparse|XMLParser|minidom|ElementTree\.(parse|XML))\b")
    readers = {file.name for file in CODE if reading.search(file.read_text("utf-8"))}
    assert readers == {"drawings.py"}
    assert pyexpat.version_info >= (2, 4, 1)


def test_no_broken_hash_is_used() -> None:
    calls = _calls()
    assert any("sha256" in one for one in calls)
    assert not [one for one in calls if re.search(r"\b(md5|sha1|random\.\w*bytes)\b", one)]


def test_no_query_is_made_of_text() -> None:
    """What is put into a query is a parameter: no query is composed of parts but names of ours."""
    words = re.compile(r"(SELECT|INSERT|UPDATE|DELETE|DROP|CREATE|ALTER|PRAGMA|BEGIN) ")
    asked = [
        node
        for node in _nodes()
        if isinstance(node, ast.JoinedStr) and words.match(ast.unparse(node)[2:])
    ]
    assert len(asked) > 5
    for node in asked:
        told = {ast.unparse(v.value) for v in node.values if isinstance(v, ast.FormattedValue)}
        ours = all(one.strip("_").isupper() for one in told)
        assert ours or ast.unparse(node)[2:-1] in _OURS, ast.unparse(node)


# How a transaction begins on SQLite, `_PRAGMAS`, and the names of our own tables: words of ours.
_OURS = {
    "BEGIN {how}",
    "PRAGMA {name}={value}",
    'SELECT 1 FROM "{table.name}" WHERE {_is_misfit(column)} LIMIT 1',
}


def test_scripts_put_no_text_in_as_markup() -> None:
    scripts = list((files_dir("static") / "js").glob("*.js"))
    assert len(scripts) > 10
    for script in scripts:
        text = script.read_text("utf-8")
        for way in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(",
                    "new Function", "srcdoc"):  # fmt: skip
            assert way not in text, (script.name, way)


def test_asking_for_every_page_changes_nothing(
    client: TestClient, empty: str, house: House
) -> None:
    before = [(one, to_text(house.store.get(one.id))) for one in house.store.list()]
    addresses = [*HOUSE, *(f"/episodes/{empty}{page}" for page in WITHIN), "/openapi.json"]
    others = [one for one in NO_PAGES if one.count("{") == 1 and not one.endswith(".pdf")]
    addresses += [one.replace("{episode_id}", empty) for one in others]  # a PDF is made first
    for address in addresses:
        answer = client.get(address)
        assert answer.status_code < 500, address
        said_what_it_is(answer.headers.get("content-type", ""), answer.content, address)
    for method in ("HEAD", "OPTIONS", "TRACE", "DELETE"):
        assert client.request(method, f"/episodes/{empty}/brief").status_code in (200, 405)
    assert [(one, to_text(house.store.get(one.id))) for one in house.store.list()] == before


def said_what_it_is(kind: str, content: bytes, address: str) -> None:
    """An answer tells its type, and a text its letters."""
    assert kind or not content, address
    assert not kind.startswith("text/") or kind.endswith("charset=utf-8"), address


def test_the_field_hides_it_and_may_be_filled_in_by_the_browser(app: FastAPI) -> None:
    assert app
    form = (files_dir("templates") / "sign_in" / "sign_in.html").read_text("utf-8")
    assert 'type="password"' in form and 'autocomplete="current-password"' in form
    assert 'method="post"' in form
    assert "onpaste" not in form and "hint" not in form.lower()
