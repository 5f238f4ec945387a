"""Orders against published instances and their proven optima."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from webapp.filming.sequence import best_order

# TSPLIB 95 (G. Reinelt, Heidelberg), sequential ordering problems with their proven optima.
OPTIMA = {"ESC07": 2125, "ESC12": 1675, "ESC25": 1681, "br17.10": 55, "br17.12": 55}
DATA = Path(__file__).parent / "data" / "sequence"


def published(name: str) -> tuple[list[list[int]], list[tuple[int, int]]]:
    """Changeovers and precedences: -1 in row i, column j says that j comes before i."""
    text = (DATA / f"{name}.sop").read_text(encoding="ascii")
    table = text.split("EDGE_WEIGHT_SECTION")[1].partition("EOF")[0]
    size, *numbers = map(int, table.split())
    rows = np.array(numbers).reshape(size, size)
    before = [(int(j), int(i)) for i, j in np.argwhere(rows == -1)]
    return np.maximum(rows, 0).tolist(), before


@pytest.mark.parametrize("name", OPTIMA)
def test_an_instance_is_solved_to_its_published_optimum_and_proven(name: str) -> None:
    changeover, before = published(name)
    last = len(changeover) - 1
    order = best_order(changeover, before, start=0, end=last, seconds=60)
    assert order.sequence[0] == 0 and order.sequence[-1] == last
    assert sorted(order.sequence) == list(range(last + 1))
    place = {task: k for k, task in enumerate(order.sequence)}
    assert all(place[i] < place[j] for i, j in before)
    steps = pairwise(order.sequence)
    assert sum(changeover[i][j] for i, j in steps) == order.cost == order.bound == OPTIMA[name]
