"""Nested drawings: every size's line is its own, told apart without colour, and named legibly."""

import io
import re
from collections.abc import Iterator
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element, fromstring

import pdfplumber
import pytest
import shapely
from weasyprint import HTML

from tests.drawings import on_each_other
from tests.specimens import SMOCK, WREN, draft_of, starter
from webapp.draft.evaluate import evaluate
from webapp.draft.nested import draw_nested
from webapp.draft.outline import Outline, straight
from webapp.draft.recipe import Body
from webapp.draft.results import Piece
from webapp.units import both_as_cut

SVG = "{http://www.w3.org/2000/svg}"
Sizes = list[tuple[str, Piece]]


def in_sizes(recipe: str, piece: str, count: int = 6, step_cm: float = 6) -> Sizes:
    """A starter's piece on bodies whose girths grow by a step."""
    found = []
    for number in range(count):
        more = number * step_cm
        girths = {"bust": 84 + more, "waist": 66 + more, "hip": 90 + more}
        measures = {**WREN.measures, **{name: f"{cm:g} cm" for name, cm in girths.items()}}
        body = Body(name=f"Size {number + 1}", measures=measures)
        found.append((body.name, evaluate(starter(recipe), body).piece(piece)))
    return found


def panels(*sizes: tuple[str, str, str], **piece: Any) -> Sizes:
    """Rectangles by name, width and length."""
    return [
        (name, draft_of({"kind": "rectangle", "width": width, "length": length}, **piece)
         .piece("Panel"))
        for name, width, length in sizes
    ]  # fmt: skip


DRAWINGS: dict[str, Sizes] = {
    "smock front": in_sizes("drop-shoulder-smock", "Front"),
    "smock front in 12 sizes": in_sizes("drop-shoulder-smock", "Front", 12, 5),
    "smock front, close sizes": in_sizes("drop-shoulder-smock", "Front", 8, 1),
    "skirt": in_sizes("half-circle-skirt", "Skirt front"),
    "waist band": in_sizes("half-circle-skirt", "Front band"),
    "longer and longer": panels(*((f"Length {n}", "40 cm", f"{50 + n} cm") for n in range(10))),
    "one size unlike the others": panels(
        ("A", "30 cm", "40 cm"), ("B", "30 cm", "40 cm"), ("C", "32 cm", "44 cm")
    ),
    "all alike": panels(("A", "30 cm", "40 cm"), ("B", "30 cm", "40 cm")),
    "a size alone": panels(("A", "30 cm", "40 cm")),
    "long names": panels(
        ("Wren as she was measured in the spring of last year", "30 cm", "40 cm"),
        ("Wren as she was measured in the autumn, over her winter clothes", "33 cm", "42 cm"),
    ),
    "tiny": panels(("A", "6 cm", "7 cm"), ("B", "6.2 cm", "7 cm"), on_fold=True),
    "long and thin": panels(("A", "4 cm", "150 cm"), ("B", "4 cm", "160 cm")),
}
drawings = pytest.mark.parametrize("sizes", DRAWINGS.values(), ids=DRAWINGS)


def paths(drawn: str) -> list[tuple[Element, list[tuple[float, float]]]]:
    """The drawn lines with their points."""
    found = []
    for path in fromstring(drawn).iter(f"{SVG}path"):
        numbers = [float(number) for number in re.findall(r"-?[\d.]+", path.get("d", ""))]
        found.append((path, list(zip(numbers[::2], numbers[1::2], strict=True))))
    return found


def outlines(drawn: str, sizes: Sizes) -> list[tuple[Element, list[tuple[float, float]]]]:
    """The lines of the sizes, in the order they are drawn in: they come first."""
    count = len({tuple(piece.cut_points) for _, piece in sizes})
    return paths(drawn)[:count]


def texts(drawn: str) -> list[str]:
    return ["".join(text.itertext()) for text in fromstring(drawn).iter(f"{SVG}text")]


@drawings
def test_every_size_is_drawn_where_its_own_cut_line_is(sizes: Sizes) -> None:
    """From the same origin, by shapely's Hausdorff distance; open only where the fold closes it."""
    drawn = [points for _, points in outlines(draw_nested(sizes, "cm"), sizes)]
    for _, piece in sizes:
        cut = shapely.Polygon(piece.cut_points)
        matching = [p for p in drawn if shapely.Polygon(p).hausdorff_distance(cut) < 0.01]
        assert len(matching) == 1
        assert not piece.on_fold or matching[0][0][0] == matching[0][-1][0] == 0


@drawings
@pytest.mark.parametrize("first", ["cm", "in"])
def test_the_legend_gives_every_size_its_cut_size_in_both_units(sizes: Sizes, first: Any) -> None:
    drawn = " ".join(texts(draw_nested(sizes, first)))
    words = fromstring(draw_nested(sizes, first)).findtext(f"{SVG}desc") or ""
    for name, piece in sizes:
        sides = [both_as_cut(side, first).rstrip(")").split(" (") for side in piece.cut_size_mm]
        size = f"{sides[0][0]} × {sides[1][0]} ({sides[0][1]} × {sides[1][1]})"
        assert re.search(rf"{re.escape(name)}[^:]*: {re.escape(size)}", drawn)
        assert size in words
        assert name in words


@drawings
def test_lines_next_to_each_other_never_have_the_same_dashes(sizes: Sizes) -> None:
    drawn = draw_nested(sizes, "cm", filmed=sizes[0][0])
    looks = [path.get("stroke-dasharray") for path, _ in outlines(drawn, sizes)]
    assert all(one != other for one, other in pairwise(looks))
    colours = {element.get("stroke") for element in fromstring(drawn).iter()} - {None}
    assert colours == {"currentColor"}


def test_the_size_on_camera_has_the_heavier_line() -> None:
    sizes = DRAWINGS["smock front"]
    drawn = draw_nested(sizes, "cm", filmed="Size 3")
    widths = [float(path.get("stroke-width", 0)) for path, _ in outlines(drawn, sizes)]
    assert widths.index(max(widths)) == 2
    assert sorted(widths)[-1] > 1.5 * sorted(widths)[-2]
    assert any("Size 3, on camera" in text for text in texts(drawn))


@drawings
def test_each_name_is_led_to_its_own_line_and_no_leaders_cross(sizes: Sizes) -> None:
    drawn = draw_nested(sizes, "cm")
    lines = [shapely.LineString(points) for _, points in outlines(drawn, sizes)]
    dots = [
        shapely.Point(float(dot.get("cx", 0)), float(dot.get("cy", 0)))
        for dot in fromstring(drawn).iter(f"{SVG}circle")
    ]
    assert len(dots) == len(lines)
    rings = [shapely.LinearRing(line.coords) for line in lines]
    near = [[ring.distance(dot) < 0.01 for ring in rings] for dot in dots]
    assert all(any(row[k] for row in near) for k in range(len(rings)))
    leaders = [
        shapely.LineString(points)
        for _, points in paths(drawn)
        if len(points) == 3 and any(shapely.Point(points[0]).distance(dot) < 0.01 for dot in dots)
    ]
    assert len(leaders) == len(lines)
    assert not any(one.intersects(other) for one, other in combinations(leaders, 2))


def test_names_lead_to_where_the_lines_part() -> None:
    """A smock's fronts part at the side: 6 cm of bust are 6 / 4 = 1.5 cm there, and none at the
    centre. Every dot is at least half of that from all other lines."""
    sizes = DRAWINGS["smock front"]
    drawn = draw_nested(sizes, "cm")
    rings = [shapely.LinearRing(points) for _, points in outlines(drawn, sizes)]
    for dot in fromstring(drawn).iter(f"{SVG}circle"):
        at = shapely.Point(float(dot.get("cx", 0)), float(dot.get("cy", 0)))
        apart = sorted(ring.distance(at) for ring in rings)
        assert apart[0] < 0.01
        assert apart[1] > 7.5


def test_sizes_that_come_out_alike_share_a_line() -> None:
    drawn = texts(draw_nested(DRAWINGS["one size unlike the others"], "cm"))
    assert "A, B" in drawn
    assert "all sizes" in texts(draw_nested(DRAWINGS["all alike"], "cm"))


def test_the_seam_lines_can_be_drawn_instead() -> None:
    sizes = panels(("A", "30 cm", "40 cm"), ("B", "33 cm", "40 cm"))
    (_, small), (_, _) = outlines(draw_nested(sizes, "cm", which="seam"), sizes)
    assert sorted(set(small)) == [(0, 0), (0, 400), (300, 0), (300, 400)]
    assert any(
        text.startswith("Seam lines") for text in texts(draw_nested(sizes, "cm", which="seam"))
    )


def test_a_part_that_lies_elsewhere_in_another_size_is_set_beside_it() -> None:
    def at(y: float) -> Piece:
        corners = [(0.0, y), (100.0, y), (100.0, y + 50), (0.0, y + 50)]
        sides = zip("abcd", corners, corners[1:] + corners[:1], strict=True)
        piece = DRAWINGS["a size alone"][0][1]
        return type(piece)(
            **{**{f: getattr(piece, f) for f in piece.__dataclass_fields__},
               "outline": Outline(tuple(straight(*side) for side in sides)), "allowances": {}}
        )  # fmt: skip

    sizes = [("A", at(0)), ("B", at(700))]
    height = float((fromstring(draw_nested(sizes, "cm")).get("viewBox") or "").split()[3])
    assert height < 400


def test_nothing_to_draw_is_refused() -> None:
    with pytest.raises(ValueError, match="no size"):
        draw_nested([], "cm")


def test_names_are_text_whatever_they_hold() -> None:
    sizes = panels(("<b>&\x00", "30 cm", "40 cm"), ("B", "33 cm", "40 cm"))
    assert "<b>&" in texts(draw_nested(sizes, "cm"))


def test_it_is_drawn_the_same_each_time() -> None:
    sizes = [(name, evaluate(SMOCK, WREN).piece("Front")) for name in "AB"]
    assert draw_nested(sizes, "in") == draw_nested(sizes, "in")


# --- On paper and on a telephone ----------------------------------------------------------------


@drawings
def test_text_stays_readable_at_the_size_it_is_shown_at(sizes: Sizes) -> None:
    """At least 11 px in a figure 420 px wide and 6.5 pt in one of 85 mm: a rule of ours."""
    root = fromstring(draw_nested(sizes, "in"))
    width = float((root.get("viewBox") or "").split()[2])
    smallest = min(float(text.get("font-size", 0)) for text in root.iter(f"{SVG}text"))
    assert smallest / width * 420 > 11
    assert smallest / width * 85 / 25.4 * 72 > 6.5


@pytest.fixture(scope="module")
def pages() -> Iterator[dict[str, Any]]:
    """Every drawing printed 120 mm wide by WeasyPrint, a page each, as read by pdfplumber."""
    fonts = Path(__file__).parents[2] / "static/vendor/source-sans-3"
    faces = "".join(
        f"@font-face {{ font-family: 'Source Sans 3'; font-weight: {weight}; src: "
        f"url('{(fonts / f'source-sans-3-latin-{weight}-normal.woff2').as_uri()}') }}"
        for weight in (400, 600)
    )
    page = "@page { size: 130mm 320mm; margin: 5mm } svg { width: 120mm; height: auto }"
    drawn = "".join(
        f'<div style="break-after: page">{draw_nested(sizes, "in", ink="black")}</div>'
        for sizes in DRAWINGS.values()
    )
    printed = HTML(string=f"<style>{faces}{page}</style>{drawn}").write_pdf()
    assert printed
    with pdfplumber.open(io.BytesIO(printed)) as pdf:
        yield dict(zip(DRAWINGS, pdf.pages, strict=False))


@pytest.mark.parametrize("name", DRAWINGS)
def test_no_printed_words_touch_each_other_or_the_paper_edge(
    pages: dict[str, Any], name: str
) -> None:
    """The boxes are the printed ones, not those the drawing was laid out with."""
    level = pages[name].filter(lambda thing: thing.get("upright", True))
    words = level.extract_words(keep_blank_chars=True, x_tolerance=4, y_tolerance=1)
    turned = pages[name].filter(lambda thing: not thing.get("upright", True)).chars
    boxes = [
        (thing["text"], shapely.box(thing["x0"], thing["top"], thing["x1"], thing["bottom"]))
        for thing in (*words, *turned)
    ]
    assert len(boxes) > 3
    assert on_each_other(boxes) == []
    inside = shapely.box(0, 0, 130 / 25.4 * 72, 320 / 25.4 * 72).buffer(1 - 5 / 25.4 * 72)
    for text, box in boxes:
        assert inside.covers(box), text
