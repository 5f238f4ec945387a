"""The pattern at true scale, read back from its PDF by pdfplumber and pypdfium2."""

import re
from collections.abc import Iterator
from functools import lru_cache
from io import BytesIO
from typing import Any

import numpy as np
import pdfplumber
import pypdfium2  # type: ignore[import-untyped]
import pytest
import shapely

from tests.handouts.pattern_specimens import LARGE, SMALL, Paper, panel, planned
from webapp.filming.figures import single_unit_measurements
from webapp.handouts.pattern_sheets import pattern_pdf
from webapp.handouts.pattern_tiles import format_of
from webapp.plan.plan_json import plan_json

MM = 72 / 25.4
CUT, SEAM, FOLD = 0.5, 0.25, 0.35  # widths of lines, mm
LINES = {CUT: "cut", SEAM: "seam", FOLD: "fold"}


@lru_cache
def printed(paper: Paper, edges: str = "overlap", nested: bool = False) -> bytes:
    sizes = (SMALL, LARGE) if nested else ()
    pdf = pattern_pdf(planned(sizes=sizes, edges=edges, nested=nested), paper)
    assert pdf
    return pdf


PRINTS: list[tuple[Paper, str]] = [("a4", "overlap"), ("letter", "butt")]


@lru_cache
def plumbed(paper: Paper, edges: str = "overlap", nested: bool = False) -> list[dict[str, Any]]:
    """Each page: its size (mm), its text, and its lines by width with their points from the top."""
    pdf = printed(paper, edges, nested)
    texts = texts_of(pdf)
    with pdfplumber.open(BytesIO(pdf)) as document:
        return [
            {
                "size": (float(page.width) / MM, float(page.height) / MM),
                "text": text,
                "chars": [
                    {side: c[side] for side in ("x0", "x1", "top", "bottom")} for c in page.chars
                ],
                "level": page.filter(level).extract_words(),
                "lines": [
                    (round(each["linewidth"] / MM, 2), dashes_of(each), points_of(each))
                    for each in (*page.lines, *page.curves, *page.rects)
                    if each["stroke"]
                ],
            }
            for page, text in zip(document.pages, texts, strict=True)
        ]


def texts_of(pdf: bytes) -> list[str]:
    """The text of each page, turned words too, as pypdfium2 reads it."""
    document = pypdfium2.PdfDocument(pdf)
    return [" ".join(page.get_textpage().get_text_range().split()) for page in document]


def level(thing: dict[str, Any]) -> bool:
    """True for what is no letter of a turned text."""
    return bool(thing["object_type"] != "char" or abs(thing["matrix"][1]) < 1e-6)


def dashes_of(shape: dict[str, Any]) -> tuple[float, ...]:
    return tuple((shape.get("dash") or [[]])[0])


def points_of(shape: dict[str, Any]) -> list[tuple[float, float]]:
    points = [(x / MM, y / MM) for x, y in shape["pts"]]
    closed = shape["path"][-1][0] == "h" or shape["object_type"] == "rect"
    return [*points, points[0]] if closed and points[0] != points[-1] else points


def tiles(pages: list[dict[str, Any]]) -> Iterator[tuple[str, dict[str, Any]]]:
    """The pages after the first sheet, each with the label in its head."""
    for page in pages:
        head = re.search(r"\b([A-Z]\d+) · page \d+ of \d+ · Bib · ", page["text"])
        if head:
            yield head[1], page


def assembled(paper: Paper, edges: str, nested: bool = False) -> dict[str, shapely.Geometry]:
    """The lines of all pages put together: row letters go down, column numbers to the right."""
    form = format_of(paper, "overlap" if edges == "overlap" else "butt", 841)
    found: dict[str, list[shapely.Geometry]] = {"cut": [], "seam": [], "fold": []}
    for label, page in tiles(plumbed(paper, edges, nested)):
        row, column = ord(label[0]) - ord("A"), int(label[1:]) - 1
        shift = np.array((column * form.cell[0], row * form.cell[1])) - form.corner
        for width, dash, points in page["lines"]:
            kind = LINES.get(width)
            if kind == "seam" and not dash:
                continue  # brackets, arrows and pockets are as thin, and whole
            if kind and len(points) > 1:
                found[kind].append(shapely.LineString(np.array(points) + shift))
    return {kind: shapely.MultiLineString(lines) for kind, lines in found.items()}


def hausdorff(one: shapely.Geometry, other: shapely.Geometry) -> float:
    return float(shapely.hausdorff_distance(one, other, densify=0.01))


def standing(outline: list[list[float]], lines: shapely.Geometry) -> Iterator[Any]:
    """The outline moved, upright or a quarter turn round, onto each drawn outline of its size."""
    for turned in (False, True):
        points = np.array([(-y, x) if turned else (x, y) for x, y in outline])
        size = np.ptp(points, axis=0)
        for island in shapely.get_parts(shapely.buffer(lines, 0.2)):
            left, top, right, bottom = shapely.bounds(island) + np.array((0.2, 0.2, -0.2, -0.2))
            if abs(right - left - size[0]) < 0.2 and abs(bottom - top - size[1]) < 0.2:
                shift = np.array((left, top)) - points.min(axis=0)
                yield (
                    island,
                    lambda ring, t=turned, s=shift: shapely.LinearRing(
                        np.array([(-y, x) if t else (x, y) for x, y in ring]) + s
                    ),
                )


@pytest.mark.parametrize(("paper", "edges"), PRINTS)
def test_put_together_the_pages_give_every_outline(paper: Paper, edges: str) -> None:
    """Against plan.json's outlines, within 0.1 mm both ways."""
    lines = assembled(paper, edges)
    rings = shapely.union_all([lines["cut"], lines["fold"]])
    for piece in plan_json(planned(edges=edges))["pieces"]:
        off = []
        for island, place in standing(piece["cut_outline_mm"], rings):
            drawn = shapely.intersection(rings, island)
            sewn = shapely.union(lines["seam"], drawn)
            seam = place(piece["seam_outline_mm"])
            off.append(
                max(
                    hausdorff(place(piece["cut_outline_mm"]), drawn),
                    farthest(seam, sewn),
                    farthest(shapely.intersection(lines["seam"], shapely.buffer(seam, 0.5)), seam),
                )
            )
        assert min(off) < 0.1, piece["name"]


def farthest(one: shapely.Geometry, other: shapely.Geometry) -> float:
    """How far the farthest point of one is from the other."""
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(one, 1.0)))
    return float(shapely.distance(points, other).max())


@pytest.mark.parametrize(("paper", "edges"), PRINTS)
def test_every_page_is_as_large_as_its_paper(paper: Paper, edges: str) -> None:
    """ISO 216: A4 is 210 × 297 mm; Letter is 8 1/2 × 11 in."""
    meant = (210, 297) if paper == "a4" else (8.5 * 25.4, 11 * 25.4)
    for page in plumbed(paper, edges):
        assert page["size"] == pytest.approx(meant, abs=0.01)


@pytest.mark.parametrize(("paper", "edges"), [*PRINTS, ("sheet", "overlap")])
def test_the_squares_are_5_cm_and_2_in(paper: Paper, edges: str) -> None:
    sides = []
    for width, _, points in plumbed(paper, edges)[0]["lines"]:
        if width == 0.2 and len(points) == 5:
            sides.append(np.ptp(np.array(points), axis=0).tolist())
    assert sides == [pytest.approx([50.0, 50.0], abs=0.05), pytest.approx([50.8, 50.8], abs=0.05)]


def test_at_300_dpi_the_squares_have_the_right_number_of_pixels() -> None:
    """2 in at 300 to the inch are 600, 5 cm 590.55; pypdfium2 draws them, grey at lines' edges."""
    page = pypdfium2.PdfDocument(printed("a4"))[0]
    drawn = page.render(scale=300 / 72, grayscale=True, crop=(0, 520, 243, 80)).to_numpy()
    rows = 255.0 - np.squeeze(drawn)
    row = rows[rows.shape[0] // 3]  # through both squares, above the words in them
    inked = np.flatnonzero(row)
    lines = np.split(inked, np.flatnonzero(np.diff(inked) > 1) + 1)
    middles = [float(np.average(line, weights=row[line])) for line in lines]
    assert len(middles) == 4
    assert middles[1] - middles[0] == pytest.approx(590.55, abs=0.6)
    assert middles[3] - middles[2] == pytest.approx(600, abs=0.6)


@pytest.mark.parametrize(("paper", "edges"), PRINTS)
def test_blank_pages_are_left_out_and_the_map_names_every_other(paper: Paper, edges: str) -> None:
    labels = [label for label, _ in tiles(plumbed(paper, edges))]
    assert len(labels) == len(set(labels)) >= 4
    first = set(text_of(plumbed(paper, edges)[0]).split())
    assert set(labels) <= first
    for label, page in tiles(plumbed(paper, edges)):
        drawn = any(LINES.get(width) == "cut" for width, _, _ in page["lines"])
        assert drawn, label


@pytest.mark.parametrize(("paper", "edges"), [*PRINTS, ("sheet", "overlap")])
def test_nothing_lies_outside_the_page(paper: Paper, edges: str) -> None:
    for page in plumbed(paper, edges):
        wide, high = page["size"]
        for word in page["chars"]:
            assert 0 <= word["x0"] <= word["x1"] <= wide * MM
            assert 0 <= word["top"] <= word["bottom"] <= high * MM
        for width, _, points in page["lines"]:
            for x, y in points:
                assert -width <= x <= wide + width
                assert -width <= y <= high + width


def boxes_of(page: dict[str, Any]) -> list[shapely.Geometry]:
    """The words' boxes, a little smaller than pdfplumber's, which go from ascent to descent."""
    return [
        shapely.box(
            word["x0"] / MM + 0.2, word["top"] / MM + 0.6,
            word["x1"] / MM - 0.2, word["bottom"] / MM - 0.6,
        )
        for word in page["level"]
    ]  # fmt: skip


@pytest.mark.parametrize(("paper", "edges"), PRINTS)
def test_no_word_lies_on_another_or_on_a_line_to_cut_or_sew(paper: Paper, edges: str) -> None:
    for label, page in tiles(plumbed(paper, edges)):
        boxes = boxes_of(page)
        assert boxes
        hit = shapely.STRtree(boxes).query(boxes, predicate="intersects")
        assert {tuple(pair) for pair in hit.T.tolist() if pair[0] != pair[1]} == set(), label
        for width, _, points in page["lines"]:
            if width in LINES and len(points) > 1:
                line = shapely.LineString(points)
                assert not shapely.intersects(boxes, line).any(), label


def text_of(*pages: dict[str, Any]) -> str:
    return " ".join(page["text"] for page in pages)


@pytest.mark.parametrize(("paper", "edges"), [*PRINTS, ("sheet", "overlap")])
def test_what_to_know_is_told_and_every_length_in_both_units(paper: Paper, edges: str) -> None:
    pages = plumbed(paper, edges)
    first, every = text_of(pages[0]), text_of(*pages)
    for words in ("Print at 100 %", "5 cm (1 31/32 in)", "5.08 cm (2 in)", "Bib", "size Wren",
                  "Draft of edition 1", "Front", "Cut 1, turned over", "Blades"):  # fmt: skip
        assert words.replace(" ", "") in first.replace(" ", ""), words
    for words in ("hem 3 cm (1 3/16 in) and 1 cm (3/8 in) turned in", "Strap", "Loop",
                  "Cut 2, a left and a right", "pocket"):  # fmt: skip
        assert words in every, words
    assert single_unit_measurements(every) == ()


def test_each_page_says_which_it_is_and_which_piece_is_on_it() -> None:
    pages = list(tiles(plumbed("a4")))
    assert f"The pattern is on {len(pages)} pages, A1 to" in plumbed("a4")[0]["text"]
    for number, (label, page) in enumerate(pages, start=1):
        assert f"{label} · page {number} of {len(pages)} · Bib · size Wren" in page["text"]
        assert any(name in page["text"] for name in ("Front", "Strap", "Loop"))


@pytest.mark.parametrize(("paper", "edges"), PRINTS)
def test_pages_that_a_piece_runs_across_name_each_other(paper: Paper, edges: str) -> None:
    """Glued over a strip the page ahead is named on it, edge to edge both name the other."""
    beside: dict[str, set[str]] = {}
    labels = {label for label, _ in tiles(plumbed(paper, edges))}
    for label, page in tiles(plumbed(paper, edges)):
        beside[label] = (set(page["text"].split()) & labels) - {label}
    named = {(one, other) for one, others in beside.items() for other in others}
    assert named
    assert all(abs(ord(a[0]) - ord(b[0])) + abs(int(a[1:]) - int(b[1:])) == 1 for a, b in named), (
        "only neighbours are joined"
    )
    both_ways = {(b, a) for a, b in named}
    assert named == both_ways if edges == "butt" else not named & both_ways


def test_in_nested_sizes_every_size_has_its_own_line_and_its_name_on_it() -> None:
    lines = [
        (dash, points)
        for _, page in tiles(plumbed("a4", nested=True))
        for width, dash, points in page["lines"]
        if width == CUT
    ]
    assert len({dashes for dashes, _ in lines}) == 4  # the strap and the loop are alike in all
    pages = plumbed("a4", nested=True)
    on_lines = " ".join(page["text"] for _, page in tiles(pages)).split()
    assert {"Tern", "Wren", "Swan"} <= set(on_lines)  # a list of sizes has a comma after them
    for name in ("cut, Tern", "cut, Wren", "cut, Swan", "cut, all sizes"):
        assert name in text_of(pages[0])


def test_in_nested_sizes_no_seam_line_can_be_taken_for_a_line_to_cut() -> None:
    """Also on a piece that is alike in every size, which says so on its one whole line."""
    pages = [page for _, page in tiles(plumbed("a4", nested=True))]
    one_size = [page for _, page in tiles(plumbed("a4"))]
    sewn = {dash for page in one_size for w, dash, _ in page["lines"] if w == SEAM and dash}
    assert len(sewn) == 1
    assert not any(dash in sewn for page in pages for _, dash, _ in page["lines"])
    on_loop = next(page["text"] for page in pages if "Loop" in page["text"])
    assert "all sizes" in on_loop


def test_the_large_sheet_is_a0_while_that_is_long_enough() -> None:
    """ISO 216: A0 is 841 × 1189 mm."""
    (page,) = plumbed("sheet")
    assert page["size"] == pytest.approx((841, 1189), abs=0.01)


@pytest.mark.usefixtures("printed_anew")
def test_the_same_plan_gives_the_same_bytes() -> None:
    assert pattern_pdf(planned(edges="overlap", nested=False), "a4") == printed("a4")


HOSTILE = ("W" * 40, "نمط القميص " * 3, "a " * 20, "型紙" * 20)


def test_hostile_names_stay_on_the_page() -> None:
    pieces = [panel("30 cm", "26 cm") | {"name": name.strip()} for name in HOSTILE]
    pdf = pattern_pdf(planned(*pieces, title="<b>&🧵✂️👩‍🎨" * 7), "a4")
    assert pdf
    with pdfplumber.open(BytesIO(pdf)) as document:
        for page in document.pages:
            for char in page.chars:
                assert 0 <= char["x0"] <= char["x1"] <= float(page.width) + 0.01
                assert 0 <= char["top"] <= char["bottom"] <= float(page.height) + 0.01
    first = texts_of(pdf)[0]
    assert first.count("<b>&") == 7
    assert first.replace(" ", "").count("W" * 40) >= 1
