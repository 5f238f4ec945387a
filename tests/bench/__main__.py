"""Run every measurement and print its figure beside what is aimed at."""

import http.client
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from unittest.mock import patch
from urllib.parse import urlencode

from tests.bench import (
    bodies,
    crashing,
    editing,
    growing,
    laying,
    linked,
    oracle,
    printing,
    screens,
    sequencing,
    shooting,
)
from tests.bench.told import ms, p95
from webapp.draft import piece_drafting
from webapp.draft.evaluate import evaluate as draft_on
from webapp.draft.recipe import Recipe
from webapp.draft.reuse import Reuse
from webapp.handouts.companion import companion_pdf
from webapp.plan.edits import with_measure
from webapp.plan.evaluate import evaluate
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode

PAGES = (
    "brief", "draft", "sizes", "cloth", "build", "shots", "set-ups", "days", "running-time",
    "times", "companion", "threads",
)  # fmt: skip
SMOCK = files_dir("demo_data") / "episode-3-lighthouse-smock.json"
Row = tuple[str, str, str]


def _times(work: Callable[[], object], rounds: int) -> list[float]:
    found = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return found


def _anew(work: Callable[[], object]) -> Callable[[], object]:
    """The work with no piece drafted before."""

    def fresh() -> object:
        with patch.object(piece_drafting, "_pieces", Reuse(0)):
            return work()

    return fresh


@contextmanager
def _server() -> Iterator[tuple[int, float]]:
    """A server on a fresh folder with the demo; its port and the seconds to its first page."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "webapp", "--data", folder, "--port", "0"]
        start = time.perf_counter()
        with subprocess.Popen(
            [*command, "--no-browser", "--demo"], stdout=subprocess.PIPE, text=True
        ) as server:
            assert server.stdout is not None
            port = int(server.stdout.readline().rstrip("/\n").rsplit(":", 1)[1])
            try:
                _get(port, "/")
                yield port, time.perf_counter() - start
            finally:
                server.terminate()


def _got(port: int, path: str) -> bytes:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    connection.request("GET", path)
    content = connection.getresponse().read()
    connection.close()
    return content


def _get(port: int, path: str) -> int:
    return len(_got(port, path))


def _post(port: int, path: str, data: dict[str, str]) -> None:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    headers = {"content-type": "application/x-www-form-urlencoded", "hx-request": "true"}
    connection.request("POST", path, urlencode(data), headers)
    answer = connection.getresponse()
    answer.read()
    connection.close()
    if answer.status != 200:
        raise RuntimeError(f"{path} answered {answer.status}")


def draft_rows() -> Iterator[Row]:
    episode = read_episode(SMOCK.read_bytes())
    smock = episode.garments[0]

    def draft() -> None:
        for piece in draft_on(smock, episode.body).pieces:
            _ = piece.cut_points

    draft()
    times = _times(_anew(draft), 100)
    yield "draft of the smock, median", ms(statistics.median(times)), "5 ms"
    yield "draft of the smock, p95", ms(p95(times)), ""
    busts = [f"{girth} cm" for girth in range(76, 76 + 12 * 6, 6)]
    bodies = [with_measure(episode.body, "bust", bust) for bust in busts]
    times = _times(_anew(lambda: [draft_on(smock, body) for body in bodies]), 20)
    yield "smock in 12 sizes, median", ms(statistics.median(times)), "60 ms"
    yield "smock in 12 sizes, p95", ms(p95(times)), ""


def plan_rows() -> Iterator[Row]:
    episode = read_episode(SMOCK.read_bytes())
    start = time.perf_counter()
    plan = evaluate(episode)
    yield "whole plan, first lays made", ms(time.perf_counter() - start), ""
    _ = plan.loose_threads
    times = _times(lambda: evaluate(episode).loose_threads, 10)
    yield "whole plan and loose threads, lays known", ms(statistics.median(times)), ""


def server_rows() -> Iterator[Row]:
    with _server() as (port, seconds):
        yield "server up and first page, fresh folder", ms(seconds), "2,000 ms"
        for page in PAGES:
            path = f"/episodes/small-wardrobe-3/{page}"
            size = _get(port, path)
            times = _times(partial(_get, port, path), 60)
            yield f"page {page}, p95 ({size / 1000:,.0f} kB)", ms(p95(times)), "50 ms"


def edit_rows() -> Iterator[Row]:
    """An edit as the browser sends it: the choice is saved and the whole page comes back."""
    with _server() as (port, _):
        path = "/episodes/small-wardrobe-3/draft/lighthouse-smock/choices"
        eases = iter(range(200, 400))

        def change() -> None:
            _post(port, path, {"c body ease": f"{next(eases)} mm"})

        change()
        times = _times(change, 40)
        yield (
            "edit of a choice, answer with redrawn page, median",
            ms(statistics.median(times)),
            "",
        )
        yield "edit of a choice, answer with redrawn page, p95", ms(p95(times)), "150 ms"
        times = []
        for _ in range(15):
            change()
            times += _times(lambda: _get(port, "/episodes/small-wardrobe-3/cloth"), 1)
        yield "first look at the cloth after an edit, p95", ms(p95(times)), ""


def browser_rows() -> Iterator[Row]:
    with _server() as (port, _):
        for what, times in editing.edits(port, 40):
            label = f"browser: {what} edited to piece redrawn"
            yield f"{label}, median", ms(statistics.median(times) / 1000), ""
            yield f"{label}, p95", ms(p95(times) / 1000), "150 ms"


def screen_rows() -> Iterator[Row]:
    with _server() as (port, _):
        yield from screens.screen_rows(port)


def many_moves() -> Recipe:
    """15 pieces of 5 or 6 moves, 80 in all, each piece quoting the one before."""
    pieces = []
    names = "abcdefghijklmno"
    for number in range(15):
        width = "bust / 4 + ease" if number == 0 else f"Part {names[number - 1]}.top / 2 + bust / 6"
        moves: list[dict[str, str]] = [
            {"kind": "rectangle", "width": width, "length": "70 cm"},
            {"kind": "scoop", "width": "7 cm", "depth": "6 cm"},
            {"kind": "slope", "drop": "3 cm"},
            {"kind": "cut in", "depth": "20 cm", "by": "5 cm", "shape": "rounded"},
            {"kind": "extend", "edge": "hem", "by": "2 cm"},
        ]
        if number % 3 == 0:
            moves.append({"kind": "extend", "edge": "hem", "by": "-1 cm"})
        pieces.append({"name": f"Part {names[number]}", "moves": moves, "on_fold": True})
    choices = [{"name": "ease", "value": "4 cm"}]
    return Recipe.model_validate(
        {"id": "many", "name": "Many", "choices": choices, "pieces": pieces}
    )


def recipe_rows() -> Iterator[Row]:
    recipe, body = many_moves(), read_episode(SMOCK.read_bytes()).body
    moves = sum(len(piece.moves) for piece in recipe.pieces)
    assert not draft_on(recipe, body).problems

    def draft() -> None:
        for piece in draft_on(recipe, body).pieces:
            _ = piece.cut_points

    times = _times(_anew(draft), 40)
    label = f"draft of {len(recipe.pieces)} pieces, {moves} moves"
    yield f"{label}, median", ms(statistics.median(times)), "40 ms"
    yield f"{label}, p95", ms(p95(times)), ""


def companion_rows() -> Iterator[Row]:
    cold = (
        "import time; s = time.perf_counter()\n"
        "from webapp.handouts.companion import companion_pdf\n"
        "from webapp.plan.evaluate import evaluate\n"
        "from webapp.store.episode_file import read_episode\n"
        f"companion_pdf(evaluate(read_episode(open({str(SMOCK)!r}, 'rb').read())))\n"
        "print(time.perf_counter() - s)"
    )
    answer = subprocess.run(
        [sys.executable, "-c", cold], capture_output=True, text=True, check=True
    )
    yield "companion PDF, cold (a new process)", ms(float(answer.stdout)), "3,000 ms"
    plan = evaluate(read_episode(SMOCK.read_bytes()))
    companion_pdf(plan)
    times = _times(lambda: companion_pdf(plan), 5)
    yield "companion PDF, warm, median", ms(statistics.median(times)), "1,500 ms"


def busy_rows() -> Iterator[Row]:
    """Other pages, each seen once before, while a lay is searched for on all cores."""
    with _server() as (port, _):
        path = "/episodes/small-wardrobe-3"
        for page in PAGES:
            _get(port, f"{path}/{page}")
        _post(port, f"{path}/cloth/cloths/0/search", {})
        for page in PAGES:
            times = _times(partial(_get, port, f"{path}/{page}"), 20)
            yield f"page {page} while a lay is searched for, p95", ms(p95(times)), "100 ms"


def printing_rows() -> Iterator[Row]:
    """Other pages, each seen once before, while every file of an episode is made."""
    with _server() as (port, _):
        path = "/episodes/small-wardrobe-3"
        for page in PAGES:
            # A title is in every file: with another one all that was made is made anew.
            _post(port, f"{path}/brief", {"title": f"While {page} is looked at"})
            _post(port, f"{path}/files/print", {})
            _get(port, f"{path}/{page}")
            times = _times(partial(_get, port, f"{path}/{page}"), 20)
            if b"/files/print/stop" not in _got(port, f"{path}/files"):
                raise RuntimeError("The files were made before the page was seen often enough")
            yield f"page {page} while all files are made, p95", ms(p95(times)), "100 ms"


def work_rows() -> Iterator[Row]:
    """Pages, each seen once before, idle and while as much long work goes on as may, and waits."""
    with _server() as (port, _):
        path = "/episodes/small-wardrobe-3"
        pages = [f"{path}/{page}" for page in PAGES]
        for page in pages:
            _get(port, page)
        idle = {page: _times(partial(_get, port, page), 40) for page in pages}

        def fill() -> None:
            """What goes on or waits is joined; what has ended is begun anew, or at least asked."""
            for episode in (4, 3):
                own = f"/episodes/small-wardrobe-{episode}"
                for work in ("ways/0/work-out", "cloth/cloths/0/search", "offcuts/0/look"):
                    _post(port, f"{own}/{work}", {})

        fill()
        for page in pages:
            _get(port, page)
        for page in pages:
            fill()
            busy = _times(partial(_get, port, page), 40)
            ratio = statistics.median(busy) / statistics.median(idle[page])
            label = f"page {page.rpartition('/')[2]} while work waits for work, p95, median to idle"
            yield label, f"{ms(p95(busy), 0)}, {ratio:.1f} times", "100 ms"
            if b"Not begun yet" not in _got(port, f"{path}/find"):
                raise RuntimeError("Nothing waited any more")


EDITING = (
    draft_rows, recipe_rows, plan_rows, server_rows, edit_rows, browser_rows, companion_rows
)  # fmt: skip
SECTIONS: dict[str, tuple[Callable[[], Iterator[Row]], ...]] = {
    "editing": EDITING,
    "lays": (laying.open_rows, laying.memory_rows, busy_rows),
    "linked": (linked.thread_rows, linked.compare_rows),
    "sequences": (sequencing.published_rows, sequencing.random_rows, sequencing.shoot_rows),
    "shooting": (shooting.shooting_rows,),
    "growing": (growing.save_rows, growing.growth_rows),
    "team": (growing.team_rows,),  # some minutes
    "screens": (screen_rows,),
    "crash": (crashing.crash_rows,),
    "printing": (printing.sheet_rows, printing.pack_rows, printing.nested_rows, printing_rows),
    "work": (work_rows,),
    "oracle": (oracle.oracle_rows,),  # some minutes
    "bodies": (bodies.body_rows,),
    "starters": (laying.starter_rows,),  # takes more than half an hour
}


def main(asked: Sequence[str]) -> None:
    """Print the sections asked for; without a name, the one on editing."""
    print(f"{'what':<72} {'measured':>18} {'aim':>10}")
    for section in asked or ("editing",):
        for rows in SECTIONS[section]:
            for what, measured, aim in rows():
                print(f"{what:<72} {measured:>18} {aim:>10}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
