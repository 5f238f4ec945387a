"""Drawings of pieces: every figure on them is the piece's own; nothing lies on anything else."""

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element, fromstring

import pdfplumber
import pytest
import shapely
from weasyprint import HTML

from tests.specimens import (
    RECTANGLE,
    Move,
    draft_of,
    many_pieces,
    piece_of,
    smock_draft,
)
from webapp.draft.drawing import draw_piece, pieces_svg
from webapp.draft.evaluate import Piece
from webapp.units import STRIP_MM, both, both_as_cut

SVG = "{http://www.w3.org/2000/svg}"

NOTCH: Move = {"kind": "notch", "edge": "right side", "corner": "top", "at": "20 cm"}
MARKED = piece_of(
    RECTANGLE | {"width": "40 cm", "length": "60 cm"},
    {"kind": "dart", "edge": "top", "corner": "right side", "at": "12 cm", "width": "3 cm",
     "length": "11 cm"},
    NOTCH,
    NOTCH | {"at": "32 cm", "double": True, "name": "back"},
    NOTCH | {"edge": "hem", "corner": "left side", "at": "10 cm", "name": "slit"},
    {"kind": "pocket place", "edge": "top", "corner": "left side", "across": "5 cm",
     "down": "22 cm", "width": "13 cm", "length": "15 cm"},
    {"kind": "drill hole", "edge": "top", "corner": "left side", "across": "5 cm",
     "down": "12 cm", "name": "tie"},
    {"kind": "buttonholes", "edge": "right side", "corner": "top", "first": "3 cm",
     "last": "50 cm", "count": 5, "inset": "1 cm", "length": "2 cm"},
    finishes={"hem": {"kind": "raw"}},
)  # fmt: skip
PIECES = many_pieces() | {"with every kind of mark": MARKED}
pieces = pytest.mark.parametrize("piece", PIECES.values(), ids=PIECES)
FRONT = PIECES["drop-shoulder-smock: Front"]


def _texts(drawn: str) -> list[str]:
    return ["".join(text.itertext()) for text in fromstring(drawn).iter(f"{SVG}text")]


def _text_of(root: Element, tag: str) -> str:
    found = root.find(f"{SVG}{tag}")
    assert found is not None
    assert found.text
    return found.text


def _numbers(path: str) -> list[tuple[float, float]]:
    """The points of a path of straight lines."""
    values = [float(value) for value in re.findall(r"-?[\d.]+", path)]
    return list(zip(values[::2], values[1::2], strict=True))


# --- One piece --------------------------------------------------------------------------------


@pieces
@pytest.mark.parametrize("first", ["cm", "in"])
def test_a_drawing_names_every_edge_with_its_length_in_both_units(piece: Piece, first: Any) -> None:
    drawn = " ".join(_texts(draw_piece(piece, first)))
    shown = both_as_cut if min(piece.cut_size_mm) <= STRIP_MM else both
    for edge in piece.outline:
        assert f"{edge.name} {shown(edge.length_mm, first)}" in drawn
        assert (f"sewn to {shown(edge.sewn_mm, first)}" in drawn) == bool(edge.taken_mm)
    for side in piece.cut_size_mm:
        assert f"cut size {both_as_cut(side, first)}" in drawn
    assert piece.name in drawn
    assert f"cut {piece.cut_count}" in drawn
    assert ("on the fold" in drawn) == piece.on_fold


@pieces
def test_a_drawing_says_in_words_what_it_shows(piece: Piece) -> None:
    root = fromstring(draw_piece(piece, "cm"))
    assert root.get("role") == "img"
    assert _text_of(root, "title") == piece.name
    words = _text_of(root, "desc")
    shown = both_as_cut if min(piece.cut_size_mm) <= STRIP_MM else both
    for edge in piece.outline:
        assert f"{edge.name} {shown(edge.length_mm, 'cm')}" in words
    assert f"{both_as_cut(piece.cut_size_mm[0], 'cm')} across" in words


@pieces
def test_the_cut_line_is_drawn_where_the_piece_has_it(piece: Piece) -> None:
    """The wash under the drawing is the cut polygon, by shapely's Hausdorff distance."""
    path = next(fromstring(draw_piece(piece, "cm")).iter(f"{SVG}path"))
    drawn, meant = shapely.Polygon(_numbers(path.get("d", ""))), shapely.Polygon(piece.cut_points)
    assert shapely.hausdorff_distance(drawn, meant) < 0.001


def test_the_fold_is_marked_and_not_drawn_as_a_line_to_cut() -> None:
    root = fromstring(draw_piece(FRONT, "cm"))
    paths = [path.get("d", "") for path in root.iter(f"{SVG}path")]
    cut = _numbers(paths[1])
    assert not paths[1].endswith("Z"), "open at the fold"
    assert {cut[0][0], cut[-1][0]} == {0.0}
    assert _numbers(paths[2]) == [cut[-1], cut[0]], "the fold closes it"
    assert sum(x == 0 for x, _ in _numbers(paths[5])) == 2, "two arrowheads point at the fold"
    assert "fold" in _texts(draw_piece(FRONT, "cm"))
    sleeve = draw_piece(PIECES["drop-shoulder-smock: Sleeve"], "cm")
    assert "fold" not in " ".join(_texts(sleeve))


@pytest.mark.parametrize(
    ("grain", "across", "down"), [("along", 0, 1), ("across", 1, 0), ("bias", 1, 1)]
)
def test_the_grain_arrow_lies_as_the_grain_does(grain: str, across: int, down: int) -> None:
    piece = replace(piece_of(RECTANGLE), grain=grain)
    lines = list(fromstring(draw_piece(piece, "cm")).iter(f"{SVG}path"))[3].get("d", "")
    (x0, y0), (x1, y1) = _numbers(lines.split(" M")[0])  # the first fine line of an open piece
    length = max(abs(x1 - x0), abs(y1 - y0))
    assert length > 50
    assert (abs(x1 - x0) / length, abs(y1 - y0) / length) == pytest.approx(
        (across, down), abs=0.001
    )


def test_a_size_smaller_than_its_words_has_them_beside_it() -> None:
    def turned(piece: Piece) -> list[str]:
        texts = fromstring(draw_piece(piece, "cm")).iter(f"{SVG}text")
        return [text.text or "" for text in texts if text.get("transform")]

    assert turned(PIECES["long thin band"]) == []
    assert turned(PIECES["tiny pocket"]) == ["cut size 10 cm (3 15/16 in)"]  # 7 + 2 * 1.5


def test_a_piece_that_could_not_be_finished_is_drawn_as_far_as_it_got() -> None:
    scoop = {"kind": "scoop", "width": "42 cm", "depth": "10 cm"}
    (piece,) = draft_of(RECTANGLE, scoop, on_fold=True).unfinished
    assert "hem" in _texts(draw_piece(piece, "cm"))


def test_text_stays_readable_at_the_sizes_it_is_shown_at() -> None:
    """At least 11 px in a figure 420 px wide and 6.5 pt in one of 85 mm: a rule of ours."""
    for name, piece in PIECES.items():
        root = fromstring(draw_piece(piece, "in"))
        width = float(root.get("viewBox", "").split()[2])
        sizes = [float(text.get("font-size", 0)) for text in root.iter(f"{SVG}text")]
        assert min(sizes) / width * 420 > 11, name
        assert min(sizes) / width * 85 / 25.4 * 72 > 6.5, name


# --- Markings ---------------------------------------------------------------------------------


def _lines(path: str) -> list[list[tuple[float, float]]]:
    """The polylines of a path."""
    return [_numbers(part) for part in path.split("M") if part]


def _in_layer(piece: Piece, name: str) -> list[Element]:
    """What the cutter's file has of one piece in a layer, in the piece's own coordinates."""
    group = fromstring(pieces_svg([piece])).find(f"{SVG}g[@id='{name}']/{SVG}g")
    assert group is not None
    return list(group)


def test_a_notch_runs_from_the_seam_line_out_to_the_cut_line() -> None:
    (path,) = _in_layer(MARKED, "notches")
    ticks = _lines(path.get("d", ""))
    assert len(ticks) == 1 + 2 + 1, "a double notch has two"
    cut = shapely.LinearRing(MARKED.cut_points)
    seam = shapely.LinearRing(MARKED.seam_points)
    for tick in ticks:
        assert seam.distance(shapely.Point(tick[0])) < 0.002
    for tick in ticks[:3]:
        assert cut.distance(shapely.Point(tick[1])) < 0.002
        assert shapely.LineString(tick).length == pytest.approx(15, abs=0.002)  # the allowance


def test_a_notch_on_an_edge_without_an_allowance_runs_inwards() -> None:
    (path,) = _in_layer(MARKED, "notches")
    slit = shapely.LineString(_lines(path.get("d", ""))[3])
    assert slit.length == pytest.approx(6, abs=0.002)
    assert shapely.Polygon(MARKED.seam_points).buffer(0.01).covers(slit)


def test_a_notch_beside_an_inner_corner_stops_at_the_cut_line() -> None:
    """1 cm beside the square corner the other edge's allowance, 1.5 cm, is in the way."""
    cut_in = {"kind": "cut in", "edge": "right side", "depth": "20 cm", "by": "5 cm",
              "shape": "square"}  # fmt: skip
    notch = NOTCH | {"corner": "underarm", "at": "1 cm"}
    piece = piece_of(RECTANGLE, cut_in, notch)
    (path,) = _in_layer(piece, "notches")
    ((start, end),) = _lines(path.get("d", ""))
    assert start == pytest.approx((250, 210), abs=0.002)
    cloth = shapely.Polygon(piece.cut_points).buffer(0.01)
    assert cloth.covers(shapely.LineString([start, end]))


def test_a_hole_is_a_circle_with_a_cross() -> None:
    circles = [element for element in _in_layer(MARKED, "marks") if element.tag == f"{SVG}circle"]
    centres = {(float(c.get("cx", 0)), float(c.get("cy", 0))) for c in circles}
    assert {(50.0, 120.0), (53.0, 223.0), (177.0, 223.0)} <= centres  # tie, pocket
    assert len(circles) == 4, "and the dart's tip"


def test_lines_are_drawn_and_named_where_there_is_room() -> None:
    drawn = [text for text in _texts(draw_piece(MARKED, "cm")) if text in ("pocket", "tie", "dart")]
    assert sorted(drawn) == ["dart", "pocket", "tie"]
    path = _in_layer(MARKED, "marks")[0]
    assert [(50.0, 220.0), (180.0, 220.0), (180.0, 370.0), (50.0, 370.0), (50.0, 220.0)] in _lines(
        path.get("d", "")
    )
    tiny = piece_of(
        RECTANGLE | {"width": "3 cm", "length": "30 cm"},
        {"kind": "drill hole", "corner": "left side", "across": "1 cm", "down": "1 cm",
         "name": "a very long name for a point"},
    )  # fmt: skip
    assert "a very long name for a point" not in _texts(draw_piece(tiny, "cm"))


def test_marks_are_told_in_words() -> None:
    words = _text_of(fromstring(draw_piece(MARKED, "cm")), "desc")
    assert words.endswith(
        "Marks: notch, a notch on the right side; back, a double notch on the right side; slit, "
        "a notch on the hem; dart; pocket; buttonholes; tie."
    )
    assert "Marks" not in _text_of(fromstring(draw_piece(FRONT, "cm")), "desc")


def test_an_edge_with_a_dart_shows_its_length_as_drawn_and_as_sewn() -> None:
    """Drawn along the dart's trued end it is a little over 40 cm; sewn, 40 - 3."""
    drawn = " ".join(_texts(draw_piece(MARKED, "cm")))
    assert f"top {both(MARKED.outline.edge('top').length_mm, 'cm')}" in drawn
    assert "sewn to 37 cm (14 5/8 in)" in drawn


def test_an_edge_shows_the_length_of_the_one_it_is_sewn_to() -> None:
    piece = replace(piece_of(RECTANGLE), shown_mm={"hem": 303.0})
    drawn = " ".join(_texts(draw_piece(piece, "cm")))
    assert "hem 30.5 cm (11 7/8 in)" in drawn
    assert "top 30 cm (11 3/4 in)" in drawn


# --- On paper ---------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def pages() -> Iterator[dict[str, Any]]:
    """Every drawing printed 85 mm wide by WeasyPrint, a page each, as read back by pdfplumber."""
    fonts = Path(__file__).parents[2] / "static/vendor/source-sans-3"
    faces = "".join(
        f"@font-face {{ font-family: 'Source Sans 3'; {style}; "
        f"src: url('{(fonts / f'source-sans-3-latin-{file}.woff2').as_uri()}') }}"
        for file, style in {
            "400-normal": "font-weight: 400",
            "400-italic": "font-style: italic",
            "600-normal": "font-weight: 600",
        }.items()
    )
    page = "@page { size: 100mm 130mm; margin: 5mm } svg { width: 85mm; height: auto }"
    drawn = "".join(
        f'<div style="break-after: page">{draw_piece(piece, "in", ink="black")}</div>'
        for piece in PIECES.values()
    )
    printed = HTML(string=f"<style>{faces}{page}</style>{drawn}").write_pdf()
    assert printed
    with pdfplumber.open(io.BytesIO(printed)) as pdf:
        yield dict(zip(PIECES, pdf.pages, strict=False))


def _boxes(page: Any) -> dict[str, shapely.Polygon]:
    """The printed words of a page, and the single letters of turned ones, each with its box."""
    level = page.filter(lambda thing: thing.get("upright", True))
    turned = page.filter(lambda thing: not thing.get("upright", True))
    boxes = {}
    for word in level.extract_words(keep_blank_chars=True, x_tolerance=4, y_tolerance=1):
        boxes[f"{word['text']} {word['x0']:.0f}"] = shapely.box(
            word["x0"], word["top"], word["x1"], word["bottom"]
        )
    for char in turned.chars:
        boxes[f"{char['text']} {char['x0']:.1f} {char['top']:.1f}"] = shapely.box(
            char["x0"], char["top"], char["x1"], char["bottom"]
        )
    return boxes


@pytest.mark.parametrize("name", PIECES)
def test_no_words_of_a_printed_drawing_touch_each_other_or_the_paper_edge(
    pages: dict[str, Any], name: str
) -> None:
    """The boxes are the printed ones, not those the drawing was laid out with."""
    boxes = _boxes(pages[name])
    assert len(boxes) > 10
    for (one, box), (other, other_box) in combinations(boxes.items(), 2):
        shared = shapely.intersection(box, other_box).area
        assert shared < 0.12 * min(box.area, other_box.area), (one, other)
    inside = shapely.box(0, 0, 100 / 25.4 * 72, 130 / 25.4 * 72).buffer(1 - 5 / 25.4 * 72)
    for words, box in boxes.items():
        assert inside.covers(box), words


@pytest.mark.parametrize("name", PIECES)
def test_no_edge_words_of_a_printed_drawing_lie_on_the_piece(
    pages: dict[str, Any], name: str
) -> None:
    piece, page = PIECES[name], pages[name]
    view = [float(v) for v in fromstring(draw_piece(piece, "in")).get("viewBox", "").split()]
    scale, margin = 85 / 25.4 * 72 / view[2], 5 / 25.4 * 72
    cut = shapely.Polygon(
        [((x - view[0]) * scale + margin, (y - view[1]) * scale + margin)
         for x, y in piece.cut_points]
    )  # fmt: skip
    italics = [char for char in page.chars if "Italic" in char["fontname"]]
    assert len(italics) > 8
    for char in italics:
        box = shapely.box(char["x0"], char["top"], char["x1"], char["bottom"]).buffer(-0.5)
        assert not cut.intersects(box), char["text"]


# --- The cutter's file ------------------------------------------------------------------------


def _layer(root: Element, name: str) -> list[shapely.Polygon]:
    """The outlines in a layer, where the sheet has them."""
    layer = root.find(f"{SVG}g[@id='{name}']")
    assert layer is not None
    found = []
    for group in layer:
        dx, dy = _numbers(group.get("transform", ""))[0]
        path = group.find(f"{SVG}path")
        assert path is not None
        points = [(x + dx, y + dy) for x, y in _numbers(path.get("d", ""))]
        found.append(shapely.Polygon(points))
    return found


def test_the_cutters_file_is_true_to_scale() -> None:
    root = fromstring(pieces_svg(list(PIECES.values())))
    _, _, width, height = root.get("viewBox", "").split()
    assert (root.get("width"), root.get("height")) == (f"{width}mm", f"{height}mm")
    for outline, piece in zip(_layer(root, "cut-line"), PIECES.values(), strict=True):
        left, top, right, bottom = outline.bounds
        assert (right - left, bottom - top) == pytest.approx(piece.cut_size_mm, abs=0.002)
        assert outline.area == pytest.approx(shapely.Polygon(piece.cut_points).area, rel=1e-5)


def test_the_cutters_file_sets_the_pieces_20_mm_apart_inside_its_sheet() -> None:
    root = fromstring(pieces_svg(list(PIECES.values())))
    outlines = _layer(root, "cut-line")
    edges = [0.0]
    for outline in outlines:
        left, top, right, _ = outline.bounds
        assert left - edges[-1] == pytest.approx(20, abs=0.002)
        assert top == pytest.approx(20, abs=0.002)
        edges.append(right)
    width, height = (float(value) for value in root.get("viewBox", "").split()[2:])
    assert width - edges[-1] == pytest.approx(20, abs=0.02)
    assert height == pytest.approx(max(o.bounds[3] for o in outlines) + 20, abs=0.002)


def test_the_cutters_file_has_a_layer_for_every_kind_of_line() -> None:
    root = fromstring(pieces_svg(smock_draft().pieces))
    layers = {group.get("id"): group for group in root.findall(f"{SVG}g")}
    assert list(layers) == [
        "cut-line", "seam-line", "fold-line", "grain", "notches", "marks", "labels"
    ]  # fmt: skip
    for layer in layers.values():
        assert len(layer) == 5, "a group for each piece"
    assert [bool(len(group)) for group in layers["fold-line"]] == [True, True, False, False, False]
    written = " ".join("".join(group.itertext()) for group in layers["labels"])
    for piece in smock_draft().pieces:
        assert piece.name in written


def test_a_seam_line_keeps_its_curves() -> None:
    root = fromstring(pieces_svg([FRONT]))
    seam = root.find(f"{SVG}g[@id='seam-line']//{SVG}path")
    assert seam is not None
    assert " C" in seam.get("d", ""), "the rounded underarm"


def test_a_file_of_no_pieces_is_still_a_drawing() -> None:
    assert fromstring(pieces_svg([])).get("viewBox") == "0 0 20 40"


# --- All drawings -----------------------------------------------------------------------------

DRAWINGS = {
    **{f"{name}, drawn": draw_piece(piece, "cm") for name, piece in PIECES.items()},
    "cutter's file": pieces_svg(list(PIECES.values())),
}


@pytest.mark.parametrize("drawn", DRAWINGS.values(), ids=DRAWINGS)
def test_a_drawing_keeps_to_plain_elements_and_short_numbers(drawn: str) -> None:
    root = fromstring(drawn)
    allowed = {"svg", "title", "desc", "g", "path", "circle", "text"}
    for element in root.iter():
        assert element.tag.removeprefix(SVG) in allowed
        assert not {"style", "class", "vector-effect", "href"} & set(element.attrib)
        assert not [name for name in element.attrib if name.startswith("on")]
        for value in element.attrib.values():
            assert not re.search(r"\d\.\d{4}|nan|inf|e-\d", value), value


def test_drawing_twice_gives_the_same_text() -> None:
    again = {piece.name: piece for piece in smock_draft().pieces}
    assert draw_piece(again["Front"], "cm") == draw_piece(FRONT, "cm")
    assert pieces_svg(smock_draft().pieces) == pieces_svg(smock_draft().pieces)


def test_a_drawing_takes_the_ink_it_is_given() -> None:
    drawn = draw_piece(FRONT, "cm", ink="#22303a")
    assert "#22303a" in drawn
    assert "currentColor" not in drawn
    assert "currentColor" in draw_piece(FRONT, "cm")


def test_names_are_drawn_as_text_and_never_as_markup() -> None:
    names = ["<script>alert(1)</script>", "a & b", '"quoted"', "]]>"]
    piece = replace(piece_of(RECTANGLE | {"edges": names}), name="</title><b>\x00\x1b")
    for drawn in (draw_piece(piece, "cm"), pieces_svg([piece])):
        assert "<script" not in drawn
        assert "<b>" not in drawn
        assert "</title><b>" in "".join(fromstring(drawn).itertext())
    assert names[0] in _texts(draw_piece(piece, "cm"))
