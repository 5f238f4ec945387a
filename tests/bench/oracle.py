"""Random sequences of edits against the onlooker: how many edits, refusals and differences."""

import sys
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from random import Random

from tests.choosers import BySeed
from tests.made import Tally, edited, small_episode
from tests.oracle import Onlooker, from_scratch
from webapp.plan.evaluate import evaluate
from webapp.plan.plan_json import plan_json

SEQUENCES, EDITS = 2_000, 20


def sequence(seed: int) -> tuple[int, Tally, list[str]]:
    """One sequence: its seed, what was edited, and what was not as it must be."""
    choose, tally, onlooker = BySeed(Random(seed)), Tally(), Onlooker()
    plan = evaluate(small_episode())
    found: list[str] = []
    for _ in range(EDITS):
        done = edited(plan, choose, tally)
        if done is not None:
            onlooker.follow(plan, done)
            plan = evaluate(done.episode)
            found += onlooker.differences(plan)
    if plan_json(plan) != from_scratch(plan.episode):
        found.append("what was used again is not what a fresh start gives")
    return seed, tally, found


def oracle_rows(sequences: int = SEQUENCES) -> Iterator[tuple[str, str, str]]:
    """The rows of the bench; a difference is printed with the seed that replays it."""
    made, refused, differences = Counter[str](), Counter[str](), 0
    with ProcessPoolExecutor() as pool:
        for seed, tally, found in pool.map(sequence, range(sequences), chunksize=10):
            made.update(tally.made)
            refused.update(tally.refused)
            differences += len(found)
            for one in found:
                print(f"seed {seed}: {one}", file=sys.stderr)
    yield f"random edits made, in {sequences:,} sequences", f"{made.total():,}", ""
    yield "of them refused with a sentence", f"{refused.total():,}", ""
    yield "kinds of edit that were made", str(len(made)), ""
    yield "differences to what plan.json says must be so", str(differences), "0"
