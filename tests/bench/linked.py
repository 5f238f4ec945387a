"""From an edit to all loose threads of a large episode, and two revisions compared."""

import statistics
import time
from collections.abc import Iterator

from tests.bench.told import ms, p95
from tests.large_episode import SHOTS, SIZES, STEPS, large_episode
from webapp.cli import collect_seldom
from webapp.draft.fittings import ChoiceChange
from webapp.plan.comparing import compare
from webapp.plan.edits import with_choice
from webapp.plan.evaluate import evaluate
from webapp.plan.fittings import with_change as with_fitting_change
from webapp.plan.fittings import with_fitting_made, with_new_fitting

Row = tuple[str, str, str]
SMOCK = "lighthouse-smock"
EDITS = (
    ("body ease", 200), ("smock length", 650), ("sleeve length", 380), ("pocket depth", 150),
    ("front neck depth", 80),
)  # fmt: skip


def thread_rows(rounds: int = 12) -> Iterator[Row]:
    """Every edit is to a figure that was never drafted before; no lay is known."""
    collect_seldom()  # as the server does
    episode = large_episode()
    plan = evaluate(episode)
    assert len(plan.steps) == STEPS and len(plan.shots) == SHOTS and len(plan.sizes) == SIZES
    _ = plan.loose_threads
    every: list[float] = []
    for choice, start_mm in EDITS:
        times = []
        for n in range(rounds):
            edited = with_choice(episode, SMOCK, choice, f"{start_mm + n} mm")
            start = time.perf_counter()
            _ = evaluate(edited).loose_threads
            times.append(time.perf_counter() - start)
        every += times
        yield f"{choice} edited to all loose threads, median", ms(statistics.median(times)), ""
    label = f"a choice edited to all loose threads, {STEPS} steps, {SHOTS} shots, {SIZES} sizes"
    yield f"{label}, median", ms(statistics.median(every)), "120 ms"
    yield f"{label}, p95", ms(p95(every)), ""


def compare_rows(rounds: int = 20) -> Iterator[Row]:
    """Fittings that deepen the neck more and more, each against the draft before it."""
    base = large_episode()
    first_times, again = [], []
    for n in range(rounds):
        episode = with_new_fitting(base, "First fitting")
        change = ChoiceChange(garment=SMOCK, choice="front neck depth", value=f"{96 + n} mm")
        fitting = episode.fittings[-1].id
        before, fitted = with_fitting_made(
            with_fitting_change(episode, fitting, change), fitting
        ).revisions
        for times in (first_times, again):
            start = time.perf_counter()
            found = compare(before, fitted)
            _ = found.figures, found.pieces, found.words
            times.append(time.perf_counter() - start)
    for times, when in ((first_times, "the first time"), (again, "again")):
        yield f"two revisions compared, {when}, median", ms(statistics.median(times)), "50 ms"
        yield f"two revisions compared, {when}, p95", ms(p95(times)), ""
