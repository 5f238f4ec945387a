"""The drawing of a lay on two layers: where the fold is, and what is cut at once."""

from dataclasses import replace

import pytest
import shapely

from tests.cloth.test_lay_drawing import drawn_pieces, texts
from tests.lays import LINEN
from tests.specimens import smock_draft
from webapp.cloth.drawing import described, draw_lay
from webapp.cloth.laid import WayOfLaying
from webapp.cloth.lay import Lay, first_lay, lay_pieces


def laid(way: WayOfLaying) -> Lay:
    return first_lay(lay_pieces(smock_draft().pieces), replace(LINEN, laid=way))


@pytest.mark.parametrize("way", ["folded", "folded across"])
def test_every_piece_is_drawn_where_it_lies_on_the_folded_cloth(way: WayOfLaying) -> None:
    lay = laid(way)
    shapes = drawn_pieces(draw_lay(lay, "cm", "Linen"))
    width = lay.cloth.laid_width_mm
    assert len(shapes) == len(lay.placements)
    for shape, place in zip(shapes, lay.placements, strict=True):
        placed = shapely.Polygon([(y, width - x) for x, y in lay.placed_points(place)])
        assert shape.symmetric_difference(placed).area < 0.005 * placed.area


def test_a_fold_along_the_cloth_is_named_and_half_its_width_measured() -> None:
    lay = laid("folded")
    words = texts(draw_lay(lay, "cm", "Linen"))
    assert {"fold", "two selvedges", "75 cm (29 1/2 in) folded"} <= set(words)
    assert "selvedge" not in words
    assert "Front, on the fold" in described(lay, "cm")
    assert "Sleeve 1 and 2 of 2" in described(lay, "cm")
    assert "Neck binding, only one" in described(lay, "cm")


def test_a_fold_across_is_named_and_all_the_cloth_measured() -> None:
    lay = laid("folded across")
    drawing = draw_lay(lay, "cm", "Linen")
    assert {"fold", "selvedge"} <= set(texts(drawing))
    assert "folded across, the fold on the left" in described(lay, "cm")
    (along,) = (text for text in texts(drawing) if text.endswith("in all"))
    assert " folded, " in along
