"""A lay drawn small is the lay: its length and its pieces to one scale."""

from xml.etree import ElementTree

import pytest

from webapp.cloth.lay import Cloth, LayPiece, first_lay
from webapp.cloth.small_lay import draw_small_lay, fitting_scale

SVG = "{http://www.w3.org/2000/svg}"
SQUARE = ((0.0, 0.0), (300.0, 0.0), (300.0, 400.0), (0.0, 400.0))


@pytest.mark.parametrize("laid", ["open", "folded"])
def test_cloth_and_pieces_are_to_one_scale(laid: str) -> None:
    cloth = Cloth(width_mm=1400, laid=laid)  # type: ignore[arg-type]
    lay = first_lay((LayPiece("Pocket", SQUARE, 6),), cloth)
    scale = fitting_scale([lay])
    root = ElementTree.fromstring(draw_small_lay(lay, "cm", "The lay", scale))
    (ground,) = root.findall(f"{SVG}rect")
    drawn = (float(ground.attrib["width"]), float(ground.attrib["height"]))
    laid_mm = (lay.laid_length_mm, lay.cloth.laid_width_mm)
    assert drawn == pytest.approx([side * scale for side in laid_mm], abs=0.01)
    group = root.find(f"{SVG}g")
    assert group is not None
    assert len(group) == len(lay.placements)
    for path in group:
        pairs = path.attrib["d"].replace("M", " ").replace("L", " ").replace("Z", " ").split()
        xs, ys = [float(x) for x in pairs[::2]], [float(y) for y in pairs[1::2]]
        sides = sorted((max(xs) - min(xs), max(ys) - min(ys)))
        assert sides == pytest.approx([300 * scale, 400 * scale], abs=0.01)
        assert min(xs) >= 0 and max(xs) <= drawn[0] + 0.01
    assert root.findtext(f"{SVG}title") == "The lay"


def test_lays_of_several_cloths_fit_one_scale() -> None:
    lays = [
        first_lay((LayPiece("Pocket", SQUARE, count),), Cloth(width_mm=width))
        for count, width in ((1, 1400), (12, 700))
    ]
    scale = fitting_scale(lays)
    for lay in lays:
        assert lay.laid_length_mm * scale <= 500.001
        assert lay.cloth.laid_width_mm * scale <= 170.001
    assert fitting_scale([]) == 1.0
