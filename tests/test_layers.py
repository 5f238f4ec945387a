"""The arrows between the packages run one way."""

import ast
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent / "webapp"

# Each package and what it may import of webapp besides itself.
MAY_IMPORT = {
    "units": {"errors"},
    "errors": set(),
    "remembered": set(),
    "draft": {"units", "errors", "remembered"},
    "cloth": {"units", "errors", "draft"},
    "build": {"units", "errors", "draft"},
    "filming": {"units", "errors", "draft", "cloth", "build"},
    "plan": {"units", "errors", "remembered", "draft", "cloth", "build", "filming"},
}
CORE = tuple(MAY_IMPORT)
_ALL_OF_THE_CORE = {*CORE, "settings"}
MAY_IMPORT |= {
    "settings": set(),
    "command": {"settings"},
    "handouts": {*_ALL_OF_THE_CORE, "command"},
    "log": set(),
    "store": {*_ALL_OF_THE_CORE, "command", "log"},
    "worker": {"errors", "log"},
    "logged": {"log", "worker"},
    "job": {"worker"},
    "jobs": {"errors", "job", "log", "worker"},
    "security": {"listening"},
    "passphrase": {"command", "errors"},
    "sign_in": {"errors", "passphrase", "security"},
    "listening": {"errors", "settings"},
    "serving": set(),
    "share": set(),
    "channel": set(),
    "pages": {
        *_ALL_OF_THE_CORE,
        "handouts",
        "store",
        "jobs",
        "log",
        "security",
        "serving",
        "share",
        "sign_in",
    },
}
WEB_AND_DATABASE = {"fastapi", "starlette", "jinja2", "sqlmodel", "sqlalchemy", "weasyprint"}
CLOCK_AND_DISK = {"time", "os", "pathlib", "io", "sqlite3", "importlib"}
# A search is given so many seconds, and they have to end: these may look how many are left.
TIMED_SEARCHES = {"filming/sequencing/run.py", "plan/day_planning.py"}


@cache
def _imports(file: Path) -> frozenset[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.update(f"{node.module}.{alias.name}" for alias in node.names)
    return frozenset(found)


def _files(package: str) -> list[Path]:
    single = ROOT / f"{package}.py"
    return [single] if single.exists() else sorted((ROOT / package).rglob("*.py"))


@pytest.mark.parametrize("package", MAY_IMPORT)
def test_a_package_imports_only_what_lies_before_it(package: str) -> None:
    for file in _files(package):
        inner = {name.split(".")[1] for name in _imports(file) if name.startswith("webapp.")}
        assert inner - {package} <= MAY_IMPORT[package], file


@pytest.mark.parametrize("package", CORE)
def test_the_core_knows_no_web_no_database_no_clock_and_no_disk(package: str) -> None:
    for file in _files(package):
        outer = {name.split(".")[0] for name in _imports(file)}
        if file.relative_to(ROOT).as_posix() in TIMED_SEARCHES:
            outer.remove("time")  # fails where one has become needless
        assert not outer & (WEB_AND_DATABASE | CLOCK_AND_DISK), file


def test_the_reading_of_imports_sees_every_form(tmp_path: Path) -> None:
    file = tmp_path / "some.py"
    file.write_text("from webapp import store\nfrom webapp.pages.house import House\nimport os\n")
    assert _imports(file) == {"webapp.store", "webapp.pages.house.House", "os"}


def test_there_is_no_grab_bag() -> None:
    assert not list(ROOT.rglob("utils.py"))
