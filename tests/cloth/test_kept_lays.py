"""A lay that was kept: it comes back as it was, or is refused; what tells one from another."""

import math

import pytest

from tests.lays import LINEN, assert_holds, mixed_pieces, rectangle
from webapp.cloth.lay import Cloth, LayPiece, Placement, fingerprint, first_lay, lay_from
from webapp.errors import LayError

PAIR = [LayPiece("Cuff", rectangle(200, 100), 2), LayPiece("Tab", rectangle(50, 50), 1, (0,))]
KEPT = [
    Placement("Cuff", 0, 0, False, 0, 0),
    Placement("Cuff", 1, 180, False, 400, 100),
    Placement("Tab", 0, 0, False, 10, 100),
]


def test_a_kept_lay_comes_back_as_it_was() -> None:
    lay = lay_from(PAIR, Cloth(500), KEPT)
    assert_holds(lay, PAIR)
    assert lay.length_mm == 150
    found = first_lay(mixed_pieces(5), LINEN)
    assert lay_from(found.pieces, found.cloth, found.placements) == found


def test_a_kept_lay_may_flip_only_what_may_be_flipped() -> None:
    """Mirrored at x = 0, a rectangle reaches 20 cm to the left of where it is put."""
    flipped = [Placement("Cuff", 0, 0, True, 200, 0), *KEPT[1:]]
    with pytest.raises(LayError, match="turns Cuff over"):
        lay_from(PAIR, Cloth(500), flipped)
    may = [LayPiece("Cuff", PAIR[0].outline_mm, 2, may_flip=True), PAIR[1]]
    lay = lay_from(may, Cloth(500), flipped)
    assert sorted(lay.placed_points(lay.placements[0])) == sorted(rectangle(200, 100))


@pytest.mark.parametrize(
    ("placements", "words"),
    [
        (KEPT[:2], "each copy of Tab"),
        ([*KEPT[:2], Placement("Tag", 0, 0, False, 10, 100)], "“Tag”"),
        ([KEPT[0], KEPT[0], KEPT[2]], "each copy of Cuff"),
        ([*KEPT, Placement("Tab", 1, 0, False, 90, 100)], "more copies of Tab"),
        ([*KEPT[:2], Placement("Tab", 0, 180, False, 90, 160)], "off its grain"),
        ([*KEPT[:2], Placement("Tab", 0, 0, False, math.inf, 0)], "no place"),
        ([*KEPT[:2], Placement("Tab", 0, 0, False, 10, 99)], "on top of each other"),
        ([*KEPT[:2], Placement("Tab", 0, 0, False, 451, 100)], "over the edge"),
    ],
)
def test_a_kept_lay_that_does_not_hold_is_refused(placements: list[Placement], words: str) -> None:
    with pytest.raises(LayError, match=words):
        lay_from(PAIR, Cloth(500), placements)


def test_a_fingerprint_holds_through_noise_and_order_and_changes_with_anything_else() -> None:
    key = fingerprint(PAIR, Cloth(500))
    assert len(key) == 64
    assert int(key, 16) > 0
    noisy = LayPiece("Cuff", [(x + 1e-5, y - 1e-5) for x, y in rectangle(200, 100)], 2)
    assert fingerprint([PAIR[1], noisy], Cloth(500)) == key
    cuffs = [
        LayPiece("Cuff", rectangle(200, 100), 3),
        LayPiece("Cuff", rectangle(200, 100.01), 2),
        LayPiece("Cuff", rectangle(200, 100), 2, (0,)),
        LayPiece("Cuff", rectangle(200, 100), 2, pair=True),
        LayPiece("Cuff", rectangle(200, 100), 2, may_flip=True),
        LayPiece("Wristband", rectangle(200, 100), 2),
    ]
    cloths = [Cloth(501), Cloth(500, one_way=True), Cloth(500, edge_margin_mm=1)]
    others = {fingerprint([cuff, PAIR[1]], Cloth(500)) for cuff in cuffs}
    others |= {fingerprint(PAIR, cloth) for cloth in cloths}
    assert len(others - {key}) == len(cuffs) + len(cloths)
