"""The drawing of a lay: complete, true to the lay, safe in a page and printable."""

import io
import re
from xml.etree import ElementTree

import pdfplumber
import pytest
import shapely
import weasyprint

from tests.specimens import smock_draft
from webapp.cloth.drawing import draw_lay
from webapp.cloth.lay import Cloth, Lay, LayPiece, first_lay, lay_pieces
from webapp.cloth.offcuts import Offcut, offcuts

SVG = "{http://www.w3.org/2000/svg}"
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


@pytest.fixture(scope="module")
def lay() -> Lay:
    cloth = Cloth(1500, edge_margin_mm=10, shrink_width=0.02)
    return first_lay(lay_pieces(smock_draft().pieces), cloth)


def texts(drawing: str) -> list[str]:
    return [text.text or "" for text in ElementTree.fromstring(drawing).iter(f"{SVG}text")]


def drawn_pieces(drawing: str) -> list[shapely.Polygon]:
    """The paths that carry a title of their own, as polygons."""
    shapes = []
    for path in ElementTree.fromstring(drawing).iter(f"{SVG}path"):
        if path.find(f"{SVG}title") is not None:
            numbers = [float(number) for number in NUMBER.findall(path.attrib["d"])]
            shapes.append(shapely.Polygon(list(zip(numbers[::2], numbers[1::2], strict=True))))
    return shapes


def test_every_piece_is_drawn_where_it_lies_and_named(lay: Lay) -> None:
    """The cloth is turned a quarter: (x, y) is drawn at (y, width - x), nothing mirrored."""
    drawing = draw_lay(lay, "cm", "Lay")
    shapes = drawn_pieces(drawing)
    width = lay.cloth.usable_width_mm
    for shape, place in zip(shapes, lay.placements, strict=True):
        placed = shapely.Polygon([(y, width - x) for x, y in lay.placed_points(place)])
        assert shape.symmetric_difference(placed).area < 0.005 * placed.area
        assert shape.exterior.is_ccw == shapely.Polygon(lay.placed_points(place)).exterior.is_ccw
    assert {"Front", "Back", "Sleeve 1 of 2", "Sleeve 2 of 2"} <= set(texts(drawing))


def test_cloth_and_lay_are_measured_in_both_units(lay: Lay) -> None:
    """150 cm less 2 % is 147 cm, 57.87 in."""
    shown = texts(draw_lay(lay, "cm", "Lay"))
    assert "147 cm (57 7/8 in) after washing" in shown
    assert "57 7/8 in (147 cm) after washing" in texts(draw_lay(lay, "in", "Lay"))
    assert shown.count("selvedge") == 2
    assert "grain" in shown


def test_the_drawing_has_words_for_those_who_cannot_see_it(lay: Lay) -> None:
    root = ElementTree.fromstring(draw_lay(lay, "cm", "Lay of the linen"))
    title, words = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert root.get("role") == "img"
    assert title is not None
    assert title.text == "Lay of the linen"
    assert words is not None
    assert words.text is not None
    assert "The grain runs from left to right" in words.text
    assert all(piece.name in words.text for piece in lay.pieces)


def test_the_drawing_holds_everything_and_styles_nothing(lay: Lay) -> None:
    drawing = draw_lay(lay, "cm", "Lay")
    root = ElementTree.fromstring(drawing)
    left, top, width, height = map(float, root.attrib["viewBox"].split())
    page = shapely.box(left, top, left + width, top + height)
    assert all(page.contains(shape) for shape in drawn_pieces(drawing))
    for text in root.iter(f"{SVG}text"):
        assert page.contains(shapely.Point(float(text.attrib["x"]), float(text.attrib["y"])))
    assert not {e.tag.removeprefix(SVG) for e in root.iter()} & {"style", "script", "image", "use"}
    assert not [name for e in root.iter() for name in e.attrib if name in {"style", "href", "id"}]


def test_a_typed_name_stays_text() -> None:
    piece = LayPiece("<script>alert('&')</script>", [(0, 0), (900, 0), (900, 300), (0, 300)], 1)
    drawing = draw_lay(first_lay([piece], Cloth(1000)), "cm", '"<b>"')
    assert "<script" not in drawing
    assert "<b>" not in drawing
    assert piece.name in " ".join(texts(drawing))


def test_a_piece_too_small_for_its_name_gets_a_number_and_a_line_below() -> None:
    panel = LayPiece("Panel", [(0, 0), (900, 0), (900, 1500), (0, 1500)], 1)
    loop = LayPiece("Button loop", [(0, 0), (40, 0), (40, 40), (0, 40)], 2)
    shown = texts(draw_lay(first_lay([panel, loop], Cloth(1000)), "cm", "Lay"))
    assert {"Panel", "1", "2"} <= set(shown)
    assert {"1  Button loop 1 of 2", "2  Button loop 2 of 2"} <= set(shown)


def test_the_other_hand_of_a_pair_is_said() -> None:
    yoke = LayPiece("Yoke", [(0, 0), (900, 0), (700, 400), (0, 400)], 2, pair=True)
    drawing = draw_lay(first_lay([yoke], Cloth(1000)), "cm", "Lay")
    words = " ".join(element.text or "" for element in ElementTree.fromstring(drawing).iter())
    assert "Yoke 1 of 2" in words
    assert "Yoke 2 of 2, other hand" in words
    assert "Yoke 1 of 2, other hand" not in words


def test_one_way_cloth_shows_an_arrow_with_one_head() -> None:
    piece = LayPiece("Panel", [(0, 0), (900, 0), (900, 300), (0, 300)], 1)
    heads = []
    for one_way in (False, True):
        drawing = draw_lay(first_lay([piece], Cloth(1000, one_way=one_way)), "cm", "Lay")
        heads.append(drawing.count("Z") - 1)  # closed paths besides the piece
    assert heads == [2, 1]


def test_the_drawing_prints_in_the_ink_it_is_given(lay: Lay) -> None:
    drawing = draw_lay(lay, "cm", "Lay", ink="#225588")
    pdf = weasyprint.HTML(string=f"<body>{drawing}</body>").write_pdf()
    with pdfplumber.open(io.BytesIO(pdf)) as printed:
        page = printed.pages[0]
        assert "Front" in page.extract_text()
        inks = {tuple(round(part, 2) for part in char["non_stroking_color"]) for char in page.chars}
    assert inks == {(0.13, 0.33, 0.53)}  # 0x22, 0x55, 0x88 of 255


def test_offcuts_are_drawn_where_they_lie_and_numbered(lay: Lay) -> None:
    found = offcuts(lay, lay.length_mm + 400)
    root = ElementTree.fromstring(draw_lay(lay, "cm", "Lay", offcuts=found))
    marked = [one for one in root.iter(f"{SVG}rect") if "stroke-dasharray" in one.attrib]
    width = lay.cloth.usable_width_mm
    shown = [[float(one.attrib[name]) for name in ("x", "y", "width", "height")] for one in marked]
    assert shown == [
        pytest.approx(
            [one.y_mm, width - one.x_mm - one.width_mm, one.length_mm, one.width_mm], abs=1e-3
        )
        for one in found
    ]
    words = " ".join(text.text or "" for text in root.iter(f"{SVG}text"))
    assert all(f"Offcut {number}" in words for number in range(1, len(found) + 1))
    left, top, across, down = map(float, root.attrib["viewBox"].split())
    assert max(one.y_mm + one.length_mm for one in found) > lay.length_mm  # beyond the lay
    assert all(
        left <= x and x + w <= left + across and top <= y and y + h <= top + down
        for x, y, w, h in shown
    )


def test_an_offcut_is_hatched_within_its_outline() -> None:
    panel = LayPiece("Panel", [(0, 0), (900, 0), (900, 1500), (0, 1500)], 1)
    free = Offcut(910, 20, 90, 700)
    drawing = draw_lay(first_lay([panel], Cloth(1000)), "cm", "Lay", offcuts=[free])
    (hatch,) = (
        path.attrib["d"]
        for path in ElementTree.fromstring(drawing).iter(f"{SVG}path")
        if "stroke-opacity" in path.attrib
    )
    numbers = [float(number) for number in NUMBER.findall(hatch)]
    drawn = shapely.box(20, 0, 720, 90).buffer(0.01)
    assert len(numbers) > 40
    assert all(
        drawn.contains(shapely.Point(x, y))
        for x, y in zip(numbers[::2], numbers[1::2], strict=True)
    )


def test_an_offcut_too_small_for_words_has_its_number_in_a_ring() -> None:
    """A bare number would be taken for that of a piece in the key."""
    panel = LayPiece("Panel", [(0, 0), (900, 0), (900, 15000), (0, 15000)], 1)
    small = Offcut(900, 0, 100, 400)
    lay = first_lay([panel], Cloth(1000))
    drawing = draw_lay(lay, "cm", "Lay", offcuts=[small])
    assert "One offcut is outlined" in drawing
    assert "ffcut" not in draw_lay(lay, "cm", "Lay")
    assert drawing.count("<circle") == 1
    assert "1" in texts(drawing)


def test_a_lay_that_is_higher_than_wide_says_so_to_the_page() -> None:
    """A short lay across wide cloth is shown whole on a telephone: it needs no sliding sideways."""
    strip = LayPiece("Binding", ((0, 0), (475, 0), (475, 40), (0, 40)), 6)
    long = LayPiece("Panel", ((0, 0), (900, 0), (900, 2400), (0, 2400)), 1)

    def page_class(piece: LayPiece, width: float) -> str | None:
        drawing = draw_lay(first_lay((piece,), Cloth(width)), "cm", "Cloth")
        return ElementTree.fromstring(drawing).get("class")

    assert page_class(strip, 1100) == "upright"
    assert page_class(long, 1100) is None
