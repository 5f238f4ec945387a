"""Orders of tasks: the published instances, random ones of like make, and days of shots."""

import random
import time
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np

from webapp.filming.sequence import Order, best_order

Row = tuple[str, str, str]
Rows = list[list[float]]
Pairs = list[tuple[int, int]]

DATA = Path(__file__).parent.parent / "outside" / "data" / "sequence"
# TSPLIB 95 (G. Reinelt, Heidelberg): proven optima.
OPTIMA = {"ESC07": 2125, "ESC12": 1675, "ESC25": 1681, "br17.10": 55, "br17.12": 55}
RANDOM = (
    ("lopsided", 48, 0.05), ("lopsided", 50, 0.3), ("lopsided", 50, 0.9), ("points", 53, 0.05),
    ("points", 53, 0.3), ("points", 60, 0.01), ("clusters", 43, 0.1), ("clusters", 60, 0.3),
    ("no way", 50, 0.2), ("small", 50, 0.5), ("points", 300, 0.05), ("lopsided", 300, 0.5),
)  # fmt: skip
SHOOTS = (
    (2, True),
    (3, True),
    (4, True),
    (6, True),
    (10, True),
    (20, True),
    (4, False),
    (8, False),
)


def _seen(rows: Rows, before: Pairs, seconds: float, ends: tuple[int | None, int | None]) -> str:
    """Cost, bound and time of an order, and when the first that was not just any was there."""
    start = time.perf_counter()
    told: list[tuple[float, Order]] = []
    order = best_order(
        rows,
        before,
        start=ends[0],
        end=ends[1],
        seconds=seconds,
        progress=lambda one: told.append((time.perf_counter() - start, one)),
    )
    took = time.perf_counter() - start
    gap = 0.0 if order.is_proven else 100 * (1 - order.bound / order.cost)
    best = next(when for when, one in told if one.cost == order.cost)
    return f"{order.cost:g} ({gap:.1f} % open) {took:.1f} s, found {best:.1f} s"


def published_rows() -> Iterator[Row]:
    for name, optimum in OPTIMA.items():
        text = (DATA / f"{name}.sop").read_text(encoding="ascii")
        size, *numbers = map(int, text.split("EDGE_WEIGHT_SECTION")[1].partition("EOF")[0].split())
        rows = np.array(numbers).reshape(size, size)
        before = [(int(j), int(i)) for i, j in np.argwhere(rows == -1)]
        seen = _seen(np.maximum(rows, 0).tolist(), before, 5, (0, size - 1))
        yield f"{name}, optimum {optimum}", seen, "5 s"


def _random(kind: str, n: int, density: float, seed: int) -> tuple[Rows, Pairs]:
    """Changeovers of a kind, and precedences until their closure holds that part of all pairs."""
    rng = np.random.default_rng(seed)
    if kind in ("points", "clusters"):
        middles = rng.random((6, 2)) * 1000
        spots = rng.random((n, 2)) * (1000 if kind == "points" else 60)
        if kind == "clusters":
            spots += middles[rng.integers(0, 6, n)]
        rows = np.rint(np.hypot(*(spots[:, None] - spots[None]).transpose(2, 0, 1)))
    elif kind == "small":
        heights = rng.integers(0, 30, n)
        rows = np.maximum(0, heights[None] - heights[:, None]) + rng.integers(0, 15, (n, n))
    else:
        rows = rng.integers(1, 1000, (n, n))
        if kind == "no way":
            rows[rng.random((n, n)) < 0.4] = 1_000_000
    reach, line, before = np.zeros((n, n), dtype=bool), rng.permutation(n), []
    while reach.sum() < density * n * (n - 1) / 2:
        a, b = sorted(int(k) for k in rng.integers(0, n, 2))
        if a != b and not reach[a, b]:
            before.append((int(line[a]), int(line[b])))
            reach |= np.outer(reach[:, a] | (np.arange(n) == a), reach[b] | (np.arange(n) == b))
    return rows.astype(float).tolist(), before


def random_rows() -> Iterator[Row]:
    for seed, (kind, n, density) in enumerate(RANDOM):
        rows, before = _random(kind, n, density, seed)
        seen = _seen(rows, before, 20, (None, None))
        yield f"{n} tasks, {kind}, {density:.0%} of pairs in order", seen, "20 s"


def shoot(strands: int, seed: int, *, by_room: bool) -> tuple[Rows, Pairs]:
    """60 steps in strands, 150 shots in chains by step, 8 places in a room or at any distance."""
    rng = random.Random(seed)
    spots = [(rng.randint(0, 12), rng.randint(0, 12)) for _ in range(8)]
    way = [[1.0 + abs(a - c) + abs(b - d) for c, d in spots] for a, b in spots]
    if not by_room:
        way = [[float(rng.randint(2, 25)) for _ in spots] for _ in spots]
    step_of = sorted([*range(60), *(rng.randrange(60) for _ in range(90))])
    place = [rng.randrange(8) for _ in step_of]
    rows = [[0.0 if a == b else way[a][b] for b in place] for a in place]
    shots = [[k for k, step in enumerate(step_of) if step == number] for number in range(60)]
    before = [pair for chain in shots for pair in pairwise(chain)]
    last: dict[int, int] = {}
    for step, chain in enumerate(shots):
        strand = rng.randrange(strands)
        earlier = {
            last.get(strand),
            rng.randrange(step) if step > 3 and rng.random() < 0.1 else None,
        }
        before += [(shots[one][-1], chain[0]) for one in earlier if one is not None]
        last[strand] = step
    return rows, before


def shoot_rows() -> Iterator[Row]:
    for strands, by_room in SHOOTS:
        rows, before = shoot(strands, strands, by_room=by_room)
        where = "in a room" if by_room else "at any distance"
        seen = _seen(rows, before, 10, (None, None))
        yield f"150 shots, 8 places {where}, {strands} strands", seen, "3 % open"
