"""Lays: how short, how soon, and what they cost other pages. Ratios are taken in one run."""

import json
import multiprocessing
import resource
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import spyrrow

from tests.bench.told import ms
from tests.demo_documents import BODIES, STARTERS
from webapp.cloth.bound import least_length_mm
from webapp.cloth.laid import WayOfLaying
from webapp.cloth.lay import Cloth, Lay, LayPiece, first_lay, lay_out, lay_pieces
from webapp.cloth.stocks import stocks_of
from webapp.draft.evaluate import evaluate as draft_on
from webapp.errors import LayError

Row = tuple[str, str, str]
INSTANCES = Path(__file__).parents[1] / "outside" / "data"
SEEDS = (0, 1, 2)
WIDTH_MM = 1500.0
SIZE = "M"
MOST_MB = 300


@dataclass(frozen=True)
class Instance:
    """A published strip to pack: its strip's height is our width."""

    name: str
    width: float
    items: tuple[tuple[int, tuple[tuple[float, float], ...]], ...]

    @classmethod
    def read(cls, file: Path) -> "Instance":
        told = json.loads(file.read_text(encoding="utf-8"))
        items = tuple(
            (item["demand"], tuple((x, y) for x, y in item["shape"])) for item in told["items"]
        )
        return cls(file.stem, told["strip_height"], items)

    @property
    def pieces(self) -> list[LayPiece]:
        return [
            LayPiece(f"Item {i}", [(y, -x) for x, y in shape], demand)
            for i, (demand, shape) in enumerate(self.items)
        ]

    def straight_from_the_library(self, seconds: int, seed: int) -> float:
        items = [
            spyrrow.Item(str(i), shape, demand, [0.0, 180.0])
            for i, (demand, shape) in enumerate(self.items)
        ]
        strip = spyrrow.StripPackingInstance(self.name, self.width, items)
        config = spyrrow.StripPackingConfig(total_computation_time=seconds, seed=seed)
        return float(strip.solve(config).density)


def _instances() -> list[Instance]:
    return [Instance.read(INSTANCES / f"{name}.json") for name in ("albano", "shirts")]


def open_rows() -> Iterator[Row]:
    """Ours and the library called directly take turns, the same seconds each."""
    for instance in _instances():
        cloth = Cloth(instance.width)
        start = time.perf_counter()
        first_lay(instance.pieces, cloth)
        yield f"{instance.name}: first lay", ms(time.perf_counter() - start), "300 ms"
        ours, straight = [], []
        for seed in SEEDS:
            straight.append(instance.straight_from_the_library(10, seed))
            ours.append(lay_out(instance.pieces, cloth, seconds=10, seed=seed).density)
        told = f"{statistics.mean(ours):.2%} / {statistics.mean(straight):.2%}"
        yield f"{instance.name}: density at 10 s, ours / straight, {len(SEEDS)} seeds", told, ""
        ratios = [one / other for one, other in zip(ours, straight, strict=True)]
        yield f"{instance.name}: ratio, mean", f"{statistics.mean(ratios):.4f}", "0.995"
        yield f"{instance.name}: ratio, least", f"{min(ratios):.4f}", ""


def starter_pieces() -> Iterator[tuple[str, tuple[LayPiece, ...]]]:
    """Every starter in size M of the demo's chart: the pieces of its first cloth."""
    for starter in STARTERS.values():
        pieces = draft_on(starter, BODIES[SIZE]).pieces
        own = [piece for piece in pieces if pieces and piece.cloth == pieces[0].cloth]
        if own:
            yield starter.name, lay_pieces(own)


def starter_rows() -> Iterator[Row]:
    for name, pieces in starter_pieces():
        for way in ("open", "folded"):
            yield from _way_rows(name, pieces, way)


def _way_rows(name: str, pieces: tuple[LayPiece, ...], way: WayOfLaying) -> Iterator[Row]:
    cloth = Cloth(WIDTH_MM, laid=way, edge_margin_mm=10)
    if way != "open":
        pieces = tuple(replace(piece, may_flip=True) for piece in pieces)
    try:
        start = time.perf_counter()
        first = first_lay(pieces, cloth)
        took = time.perf_counter() - start
    except LayError as error:
        yield f"{name}, {way}", "cannot be laid", error.sentence[:60]
        return
    short, long = (2, 60) if way == "open" else (8, 120)
    lays = [lay_out(pieces, cloth, seconds=seconds) for seconds in (short, long)]
    best = min(lay.length_mm for lay in (first, *lays))
    bound = least_length_mm(stocks_of(pieces, cloth), cloth)
    yield f"{name}, {way}: first lay", ms(took), "300 ms"
    yield f"{name}, {way}: first lay over the best", f"{first.length_mm / best:.4f}", ""
    aim = "1.01" if way == "open" else "1.03"
    yield f"{name}, {way}: {short} s over {long} s", f"{lays[0].length_mm / best:.4f}", aim
    yield f"{name}, {way}: best over what geometry allows", f"{best / bound:.4f}", ""


def memory_rows() -> Iterator[Row]:
    """The most a worker process takes, by whichever way."""
    for instance in _instances():
        mb = _in_a_process(_peak_mb, instance.pieces, Cloth(instance.width))
        yield f"{instance.name}: memory of a worker", f"{mb:,.0f} MB", f"{MOST_MB} MB"
    for name, pieces in starter_pieces():
        cloth = Cloth(WIDTH_MM, laid="folded", edge_margin_mm=10)
        try:
            mb = _in_a_process(_peak_mb, pieces, cloth)
        except LayError:
            continue
        yield f"{name}, folded: memory of a worker", f"{mb:,.0f} MB", f"{MOST_MB} MB"


def _in_a_process(work: Callable[..., float], *arguments: object) -> float:
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        return pool.apply(work, arguments)


def _peak_mb(pieces: list[LayPiece], cloth: Cloth) -> float:
    lay: Lay = lay_out(pieces, cloth, seconds=3)
    assert lay.placements
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1e6 if sys.platform == "darwin" else 1e3)
