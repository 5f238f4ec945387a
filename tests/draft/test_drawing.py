"""Drawings of pieces: every figure on them is the piece's own; nothing lies on anything else."""

import io
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache, partial
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import fromstring

import pdfplumber
import pytest
import shapely
from weasyprint import HTML

from tests.drawings import FRONT, PIECES, SVG, on_each_other, points_of, text_of, texts
from tests.specimens import RECTANGLE, draft_of, piece_of, smock_draft
from webapp.draft.drawing import draw_piece, pieces_svg
from webapp.draft.evaluate import Piece
from webapp.units import System, both_as_cut

pieces = pytest.mark.parametrize("name", PIECES)


@cache
def drawn_once(name: str, first: System) -> str:
    """The drawing that several tests look at."""
    return draw_piece(PIECES[name], first)


# --- One piece --------------------------------------------------------------------------------


@pieces
@pytest.mark.parametrize("first", ["cm", "in"])
def test_a_drawing_names_every_edge_with_its_length_in_both_units(name: str, first: System) -> None:
    piece, drawn = PIECES[name], " ".join(texts(drawn_once(name, first)))
    for edge in piece.outline:
        assert f"{edge.name} {both_as_cut(edge.length_mm, first)}" in drawn
        assert (f"sewn to {both_as_cut(edge.sewn_mm, first)}" in drawn) == bool(edge.taken_mm)
    for side in piece.cut_size_mm:
        assert f"cut size {both_as_cut(side, first)}" in drawn
    assert piece.name in drawn
    assert f"cut {piece.cut_count}" in drawn
    assert ("on the fold" in drawn) == piece.on_fold


@pieces
def test_a_drawing_says_in_words_what_it_shows(name: str) -> None:
    piece, root = PIECES[name], fromstring(drawn_once(name, "cm"))
    assert root.get("role") == "img"
    assert text_of(root, "title") == piece.name
    words = text_of(root, "desc")
    for edge in piece.outline:
        assert f"{edge.name} {both_as_cut(edge.length_mm, 'cm')}" in words
    assert f"{both_as_cut(piece.cut_size_mm[0], 'cm')} across" in words


@pieces
def test_the_cut_line_is_drawn_where_the_piece_has_it(name: str) -> None:
    """The wash under the drawing is the cut polygon, by shapely's Hausdorff distance."""
    path = next(fromstring(drawn_once(name, "cm")).iter(f"{SVG}path"))
    drawn = shapely.Polygon(points_of(path.get("d", "")))
    meant = shapely.Polygon(PIECES[name].cut_points)
    assert shapely.hausdorff_distance(drawn, meant) < 0.001


def test_the_fold_is_marked_and_not_drawn_as_a_line_to_cut() -> None:
    root = fromstring(draw_piece(FRONT, "cm"))
    paths = [path.get("d", "") for path in root.iter(f"{SVG}path")]
    cut = points_of(paths[1])
    assert not paths[1].endswith("Z"), "open at the fold"
    assert {cut[0][0], cut[-1][0]} == {0.0}
    assert points_of(paths[2]) == [cut[-1], cut[0]], "the fold closes it"
    assert sum(x == 0 for x, _ in points_of(paths[5])) == 2, "two arrowheads point at the fold"
    assert "fold" in texts(draw_piece(FRONT, "cm"))
    sleeve = draw_piece(PIECES["drop-shoulder-smock: Sleeve"], "cm")
    assert "fold" not in " ".join(texts(sleeve))


@pytest.mark.parametrize(
    ("grain", "across", "down"), [("along", 0, 1), ("across", 1, 0), ("bias", 1, 1)]
)
def test_the_grain_arrow_lies_as_the_grain_does(grain: str, across: int, down: int) -> None:
    piece = replace(piece_of(RECTANGLE), grain=grain)
    lines = list(fromstring(draw_piece(piece, "cm")).iter(f"{SVG}path"))[3].get("d", "")
    (x0, y0), (x1, y1) = points_of(lines.split(" M")[0])  # the first fine line of an open piece
    length = max(abs(x1 - x0), abs(y1 - y0))
    assert length > 50
    assert (abs(x1 - x0) / length, abs(y1 - y0) / length) == pytest.approx(
        (across, down), abs=0.001
    )


def test_a_size_smaller_than_its_words_has_them_beside_it() -> None:
    def turned(piece: Piece) -> list[str]:
        drawn = fromstring(draw_piece(piece, "cm")).iter(f"{SVG}text")
        return [text.text or "" for text in drawn if text.get("transform")]

    assert turned(PIECES["long thin band"]) == []
    assert turned(PIECES["tiny pocket"]) == ["cut size 10 cm (3 15/16 in)"]  # 7 + 2 * 1.5


def test_a_piece_that_could_not_be_finished_is_drawn_as_far_as_it_got() -> None:
    scoop = {"kind": "scoop", "width": "42 cm", "depth": "10 cm"}
    (piece,) = draft_of(RECTANGLE, scoop, on_fold=True).unfinished
    assert "hem" in texts(draw_piece(piece, "cm"))


def test_text_stays_readable_at_the_sizes_it_is_shown_at() -> None:
    """At least 11 px in a figure 420 px wide and 6.5 pt in one of 85 mm: a rule of ours."""
    for name in PIECES:
        root = fromstring(drawn_once(name, "in"))
        width = float(root.get("viewBox", "").split()[2])
        sizes = [float(text.get("font-size", 0)) for text in root.iter(f"{SVG}text")]
        assert min(sizes) / width * 420 > 11, name
        assert min(sizes) / width * 85 / 25.4 * 72 > 6.5, name


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
        f'<div style="break-after: page">{drawn_once(name, "in")}</div>' for name in PIECES
    ).replace("currentColor", "black")
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


@pieces
def test_no_words_of_a_printed_drawing_touch_each_other_or_the_paper_edge(
    pages: dict[str, Any], name: str
) -> None:
    """The boxes are the printed ones, not those the drawing was laid out with."""
    boxes = _boxes(pages[name])
    assert len(boxes) > 10
    assert on_each_other([*boxes.items()]) == []
    inside = shapely.box(0, 0, 100 / 25.4 * 72, 130 / 25.4 * 72).buffer(1 - 5 / 25.4 * 72)
    for words, box in boxes.items():
        assert inside.covers(box), words


@pieces
def test_no_edge_words_of_a_printed_drawing_lie_on_the_piece(
    pages: dict[str, Any], name: str
) -> None:
    piece, page = PIECES[name], pages[name]
    view = [float(v) for v in fromstring(drawn_once(name, "in")).get("viewBox", "").split()]
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


# --- All drawings -----------------------------------------------------------------------------

DRAWINGS = {
    **{f"{name}, drawn": partial(drawn_once, name, "cm") for name in PIECES},
    "cutter's file": partial(pieces_svg, list(PIECES.values())),
}


@pytest.mark.parametrize("draw", DRAWINGS.values(), ids=DRAWINGS)
def test_a_drawing_keeps_to_plain_elements_and_short_numbers(draw: Callable[[], str]) -> None:
    root = fromstring(draw())
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
    assert names[0] in texts(draw_piece(piece, "cm"))
