"""Lays against published instances and their records."""

import json
from pathlib import Path

import pytest

from webapp.cloth.lay import Cloth, Lay, LayPiece, first_lay, lay_from, lay_out

# Records: Gardeyn, Vanden Berghe & Wauters, "An open-source heuristic to reboot 2D nesting
# research", arXiv 2509.13329. Two seconds cannot reach them; more than them would be a fault.
RECORDS = {"albano": 0.8982, "shirts": 0.9092}


def published(name: str) -> tuple[list[LayPiece], Cloth]:
    """The instance: its strip's width is our length, so every outline takes a quarter turn."""
    data = Path(__file__).parent / "data" / f"{name}.json"
    instance = json.loads(data.read_text(encoding="utf-8"))
    pieces = [
        LayPiece(f"Item {i}", [(y, -x) for x, y in item["shape"]], item["demand"])
        for i, item in enumerate(instance["items"])
    ]
    return pieces, Cloth(instance["strip_height"])


def lay_from_its_own_placements(lay: Lay) -> Lay:
    """The lay again, refused if any piece is missing, overlaps another or leaves the cloth."""
    return lay_from(lay.pieces, lay.cloth, lay.placements)


@pytest.mark.parametrize(("seconds", "at_least"), [(0, 0.70), (2, 0.75)])
@pytest.mark.parametrize("name", RECORDS)
def test_an_instance_is_laid_well_but_not_better_than_its_record(
    name: str, seconds: int, at_least: float
) -> None:
    pieces, cloth = published(name)
    lay = lay_out(pieces, cloth, seconds=seconds) if seconds else first_lay(pieces, cloth)
    assert lay_from_its_own_placements(lay).density == pytest.approx(lay.density)
    assert at_least < lay.density < RECORDS[name]
