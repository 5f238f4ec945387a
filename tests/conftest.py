"""The helper modules beside this file explain a failed assert as the tests themselves do."""

import gc
import os
import sys
from collections.abc import Iterator
from contextlib import suppress
from importlib import import_module
from pathlib import Path

import pytest

from tests.shared_lays import kept_in
from tests.shared_prints import WRITTEN, prints_kept_in
from webapp.cli import collect_seldom
from webapp.handouts import printing

_TESTS = Path(__file__).parent
# What takes longest comes first, by the times of a whole run (pytest --junit-xml): whatever is left
# for the end is short, so that no worker is busy with it when the others are done.
_LONGEST = (
    "browser/test_accessible.py",
    "browser/test_keyboard.py",
    "browser/test_whole_job.py",
    "handouts/test_companion_file.py",
    "pages/test_threads_page.py",
    "browser/test_unsaved.py",
    "browser/test_attack.py",
    "test_answering.py",
    "browser/test_head.py",
    "pages/test_hostile_forms.py",
    "draft/test_drawing.py",
    "cloth/test_lay.py",
    "plan/test_new_names.py",
    "handouts/test_worksheet.py",
    "pages/test_ways_page.py",
    "browser/test_days.py",
    "handouts/test_every_file.py",
    "plan/test_editions.py",
    "plan/test_ways.py",
    "cloth/test_folded_lays.py",
    "plan/test_size_lays.py",
    "handouts/test_reads_nothing.py",
    "browser/test_touch.py",
    "outside/test_openapi.py",
    "handouts/test_pack.py",
    "handouts/test_companion_pages.py",
    "test_cli.py",
    "browser/test_times.py",
    "plan/test_edge_names.py",
)


_KINDS = ["sqlite", "postgresql"]
os.environ.pop("SEAMSLATE_DATABASE", None)  # no test looks at anybody's own plans


def pytest_addoption(parser: pytest.Parser) -> None:
    """Every test that opens a database does so on PostgreSQL: see tests/databases.py."""
    parser.addoption("--on-postgresql", action="store_true", help="all plans on a server")


def pytest_configure(config: pytest.Config) -> None:
    """Say what is missing before anything is collected."""
    if config.getoption("--on-postgresql") and "SEAMSLATE_TEST_POSTGRESQL" not in os.environ:
        raise pytest.UsageError("--on-postgresql needs SEAMSLATE_TEST_POSTGRESQL: a server")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Which databases the tests of `database` run on."""
    if "database" in metafunc.fixturenames:
        only = [kind for kind in _KINDS if metafunc.definition.get_closest_marker(kind)]
        there = _KINDS if "SEAMSLATE_TEST_POSTGRESQL" in os.environ else _KINDS[:1]
        kinds = only or there
        if metafunc.config.getoption("--on-postgresql"):
            kinds = _KINDS[1:]
        metafunc.parametrize("database", kinds, indirect=True, scope="module")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """The order in which files are handed out: pyproject.toml keeps xdist from another.

    What is about SQLite's own file has nothing to find out on a server.
    """
    places = {_TESTS / name: place for place, name in enumerate(_LONGEST)}
    items.sort(key=lambda item: places.get(item.path, len(places)))
    if config.getoption("--on-postgresql"):
        items[:] = [item for item in items if not item.get_closest_marker("sqlite")]


@pytest.fixture(scope="module")
def database(request: pytest.FixtureRequest) -> Iterator[str]:
    """The tests of this module run on SQLite and on PostgreSQL."""
    kind: str = request.param
    if kind == "sqlite" or request.config.getoption("--on-postgresql"):
        yield kind
        return
    databases = import_module("tests.databases")
    if databases.server() is None:
        pytest.skip(f"{databases.VARIABLE} names no PostgreSQL server")
    with databases.on_postgresql():
        yield kind


@pytest.fixture(scope="module", autouse=True)
def _all_on_postgresql(request: pytest.FixtureRequest) -> Iterator[None]:
    if not request.config.getoption("--on-postgresql"):
        yield
        return
    with import_module("tests.databases").on_postgresql():
        yield


def pytest_sessionfinish() -> None:
    """Take this process's database away."""
    databases = sys.modules.get("tests.databases")
    if databases is not None and databases.server.cache_info().currsize:
        here = databases.server()
        if here is not None:
            here.close()


pytest.register_assert_rewrite(
    "tests.databases",
    "tests.specimens",
    "tests.demo_documents",
    "tests.drawings",
    "tests.lays",
    "tests.picture_files",
    "tests.sizes_page",
)


def pytest_xdist_auto_num_workers() -> int:
    """One more worker than processors, since browsers and servers wait; each more costs its own
    collecting, its own browser and its own plans."""
    return len(os.sched_getaffinity(0)) + 1


def pytest_sessionstart(session: pytest.Session) -> None:
    """Each worker writes the asserts of its share of the modules so that they explain themselves.

    That takes longer than all else of collecting. All workers collect every module; what one of
    them has rewritten, the others find in Python's cache.
    """
    gc.disable()  # what is collected is kept; `collect_seldom` turns it on again
    worker = getattr(session.config, "workerinput", None)
    if worker is None or [Path(each).resolve() for each in session.config.args] != [_TESTS]:
        return  # a few files are soon written by all
    modules = sorted(_TESTS.rglob("test_*.py"), key=lambda file: -file.stat().st_size)
    for file in modules[int(worker["workerid"].removeprefix("gw")) :: worker["workercount"]]:
        with suppress(Exception):  # collecting will tell
            import_module(".".join(file.relative_to(_TESTS.parent).with_suffix("").parts))


def pytest_collection_finish() -> None:
    """The tests themselves stay to the end: one look for garbage among them is enough."""
    collect_seldom()


@pytest.fixture(scope="session")
def of_the_run(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that all workers of a run share."""
    base = tmp_path_factory.getbasetemp()
    folder = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "of-the-run"
    folder.mkdir(exist_ok=True)
    return folder


@pytest.fixture(scope="session", autouse=True)
def shared_lays(of_the_run: Path) -> Iterator[None]:
    """The first lays of plans, found once a run."""
    folder = of_the_run / "first-lays"
    folder.mkdir(exist_ok=True)
    with kept_in(folder):
        yield


@pytest.fixture(scope="session", autouse=True)
def shared_prints(of_the_run: Path) -> Iterator[None]:
    """Documents, printed once a run."""
    folder = of_the_run / "prints"
    folder.mkdir(exist_ok=True)
    with prints_kept_in(folder):
        yield


@pytest.fixture
def printed_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """For a test of printing itself."""
    monkeypatch.setattr(printing, "_written", WRITTEN)
