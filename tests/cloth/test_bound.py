"""How short a lay can be at best: never more than a lay there is, and exact where it must be."""

import random

import pytest

from tests.cloth.test_folded_lays import folded_pieces
from tests.lays import NOISE_MM, mixed_pieces, rectangle
from webapp.cloth.bound import least_length_mm
from webapp.cloth.lay import Cloth, LayPiece, first_lay, lay_out
from webapp.cloth.stocks import stocks_of


def bound(pieces: list[LayPiece], cloth: Cloth) -> float:
    return least_length_mm(stocks_of(pieces, cloth), cloth)


def test_panels_of_exactly_half_the_width_lie_side_by_side() -> None:
    """They only touch on the middle line; neither covers it."""
    panels = [LayPiece("Panel", rectangle(700, 1000), 2, (0,))]
    assert bound(panels, Cloth(1400)) == pytest.approx(1000)
    beside = [
        LayPiece("Half", rectangle(300, 1000), 1, (0,), on_fold=True),
        LayPiece("Free", rectangle(400, 1000), 2, (0,)),
    ]
    assert bound(beside, Cloth(1400, laid="folded")) == pytest.approx(1000)


def test_panels_wider_than_half_lie_one_after_the_other() -> None:
    panels = [LayPiece("Panel", rectangle(701, 1000), 2, (0,))]
    assert bound(panels, Cloth(1400)) == pytest.approx(2000)
    assert bound(panels, Cloth(2800, laid="folded")) == pytest.approx(1000)


def test_a_wedge_covers_its_least_where_its_narrow_end_may_come() -> None:
    """Two triangles 90 cm wide on 1 m, 60 cm long at one side: on the line 10 cm in at most."""
    wedge = [LayPiece("Wedge", [(0, 0), (900, 0), (0, 600)], 2, (0,))]
    area = 2 * 900 * 600 / 2 / 1000
    assert area <= bound(wedge, Cloth(1000)) <= first_lay(wedge, Cloth(1000)).length_mm


@pytest.mark.parametrize("seed", range(30))
def test_no_lay_is_shorter_than_the_bound(seed: int) -> None:
    dice = random.Random(seed)
    width = dice.choice((1500, 1400, 1200))
    halves = [LayPiece(f"H{i}", rectangle(width / 2, dice.randint(50, 500)), 2) for i in range(2)]
    pieces = [*mixed_pieces(seed), *halves] if seed % 2 else folded_pieces(seed)
    cloth = Cloth(max(width, 2000 if seed % 2 else 0), laid="open" if seed % 2 else "folded")
    assert bound(pieces, cloth) <= first_lay(pieces, cloth).length_mm + NOISE_MM


def test_a_lay_as_short_as_can_be_is_not_searched_for() -> None:
    panels = [LayPiece("Panel", rectangle(700, 1000), 2, (0,))]
    heard: list[float] = []
    lay_out(panels, Cloth(1400), seconds=30, progress=lambda lay: heard.append(lay.length_mm))
    assert heard == [pytest.approx(1000)]
