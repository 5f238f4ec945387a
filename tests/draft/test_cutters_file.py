"""The cutter's file: true to scale, a layer for every kind of line, the pieces set apart."""

from xml.etree.ElementTree import Element, fromstring

import pytest
import shapely

from tests.drawings import FRONT, PIECES, SVG, points_of
from tests.specimens import smock_draft
from webapp.draft.drawing import pieces_svg


def _layer(root: Element, name: str) -> list[shapely.Polygon]:
    """The outlines in a layer, where the sheet has them."""
    layer = root.find(f"{SVG}g[@id='{name}']")
    assert layer is not None
    found = []
    for group in layer:
        dx, dy = points_of(group.get("transform", ""))[0]
        path = group.find(f"{SVG}path")
        assert path is not None
        points = [(x + dx, y + dy) for x, y in points_of(path.get("d", ""))]
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
