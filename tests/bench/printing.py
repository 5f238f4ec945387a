"""What leaves the house: each sheet warm, the whole pack, its memory, the cost of nested sizes."""

import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from functools import partial
from io import BytesIO
from typing import Final, Literal, NamedTuple

from pypdf import PdfReader

from tests.bench.told import ms
from webapp.handouts.call_sheet import call_sheet_pdf
from webapp.handouts.companion import companion_pdf
from webapp.handouts.pattern_sheets import pattern_pdf
from webapp.plan.edits import as_printed, changed, with_choice, with_measure
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode

Row = tuple[str, str, str]
SMOCK: Final = files_dir("demo_data") / "episode-3-lighthouse-smock.json"
_TILES: Final = 40
_PACK: Final = f"""
import resource, sys, time
from webapp.handouts.pack import pack, zipped
from webapp.store.episode_file import read_episode
episode = read_episode(open({str(SMOCK)!r}, "rb").read())
for _ in range(2):
    clock, work = time.perf_counter(), time.process_time()
    zipped(pack(episode).files, "pack")
    print(time.perf_counter() - clock, time.process_time() - work)
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def _smock() -> Episode:
    return read_episode(SMOCK.read_bytes())


class Took(NamedTuple):
    """Seconds by the clock and at work: other programs move the second less."""

    clock: float
    work: float

    def of(self, part: float) -> "Took":
        """As many times as long."""
        return Took(self.clock * part, self.work * part)

    @property
    def told(self) -> str:
        """Both in milliseconds."""
        return f"{1000 * self.clock:,.0f} / {1000 * self.work:,.0f} ms"


def _median(work: Callable[[], object], rounds: int = 5) -> Took:
    times = []
    for _ in range(rounds):
        clock, at_work = time.perf_counter(), time.process_time()
        work()
        times.append((time.perf_counter() - clock, time.process_time() - at_work))
    return Took(*map(statistics.median, zip(*times, strict=True)))


def _least_cpu(work: Callable[[], object], rounds: int = 4) -> float:
    """Seconds at work, which other programs move less than the time by the clock."""
    times = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def _pages(pdf: bytes | None) -> int:
    assert pdf is not None
    return len(PdfReader(BytesIO(pdf)).pages)


def sheet_rows() -> Iterator[Row]:
    """Companion, pattern pages and call sheet of the smock, each printed once before."""
    plan = evaluate(as_printed(_smock()))
    pages = _pages(companion_pdf(plan))
    warm = _median(lambda: companion_pdf(plan))
    yield f"companion of {pages} pages, warm, median, by the clock / at work", warm.told, ""
    yield "the same for 10 pages", warm.of(10 / pages).told, "2,000 ms"
    long = evaluate(as_printed(with_choice(_smock(), "lighthouse-smock", "smock length", "105 cm")))
    tiles = _pages(pattern_pdf(long, "a4"))
    warm = _median(lambda: pattern_pdf(long, "a4"))
    yield f"pattern on {tiles} pages of A4, warm, median", warm.told, ""
    yield f"the same for {_TILES} tiles", warm.of(_TILES / tiles).told, "1,000 ms"
    large = _median(lambda: pattern_pdf(long, "sheet"))
    yield "pattern on one large sheet, warm, median", large.told, ""
    filmed = evaluate(_smock())
    days = [day.day.day for day in filmed.days]
    for day, aim in [*((each, "1,000 ms") for each in days), (None, "")]:
        printed = call_sheet_pdf(filmed, day)
        if printed is None:
            continue
        label = f"call sheet of {day or 'every day'}, {_pages(printed)} pages, warm, median"
        yield label, _median(partial(call_sheet_pdf, filmed, day)).told, aim


def pack_rows() -> Iterator[Row]:
    """All files of the smock in a process of their own, the first time and again."""
    answer = subprocess.run(
        [sys.executable, "-c", _PACK], capture_output=True, text=True, check=True
    )
    *seconds, most_kb = map(float, answer.stdout.split())
    yield "full pack, the first time in a process", Took(*seconds[:2]).told, ""
    yield "full pack, again", Took(*seconds[2:]).told, "8,000 ms"
    yield "most memory of that process", f"{most_kb / 1024:,.0f} MB", "350 MB"


def nested_rows() -> Iterator[Row]:
    """The pattern in 1, 2, 4 and 8 sizes over each other, on one large sheet and on A4."""
    bodies = [
        changed(with_measure(_smock().body, "bust", f"{80 + 4 * number} cm"), name=f"{number}")
        for number in range(8)
    ]
    episode = changed(_smock(), sizes=tuple(bodies))
    plans: dict[int, Plan] = {}
    for count in (1, 2, 4, 8):
        sizes = tuple(body.name for body in bodies[:count])
        choices = changed(episode.print_choices, sizes=sizes, nested=True)
        plans[count] = evaluate(as_printed(changed(episode, print_choices=choices)))
    papers: tuple[Literal["sheet", "a4"], ...] = ("sheet", "a4")
    for paper in papers:
        first = 0.0
        for count, plan in plans.items():
            printed = pattern_pdf(plan, paper)
            took = _least_cpu(partial(pattern_pdf, plan, paper))
            first = first or took
            label = f"pattern nested in {count} sizes, {paper}, {_pages(printed)} pages"
            aim = f"{count:.2f} times" if count > 1 else ""
            yield label, f"{ms(took, 0)}, {took / first:.2f} times", aim
