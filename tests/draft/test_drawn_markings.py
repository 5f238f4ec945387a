"""Markings as drawn: notches at the cut line, holes, darts and pockets where the piece has them."""

from dataclasses import replace
from xml.etree.ElementTree import Element, fromstring

import pytest
import shapely

from tests.drawings import FRONT, MARKED, NOTCH, SVG, points_of, text_of, texts
from tests.specimens import RECTANGLE, piece_of
from webapp.draft.drawing import draw_piece, pieces_svg
from webapp.draft.evaluate import Piece
from webapp.units import both


def _lines(path: str) -> list[list[tuple[float, float]]]:
    """The polylines of a path."""
    return [points_of(part) for part in path.split("M") if part]


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
    drawn = [text for text in texts(draw_piece(MARKED, "cm")) if text in ("pocket", "tie", "dart")]
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
    assert "a very long name for a point" not in texts(draw_piece(tiny, "cm"))


def test_marks_are_told_in_words() -> None:
    words = text_of(fromstring(draw_piece(MARKED, "cm")), "desc")
    assert words.endswith(
        "Marks: notch, a notch on the right side; back, a double notch on the right side; slit, "
        "a notch on the hem; dart; pocket; buttonholes; tie."
    )
    assert "Marks" not in text_of(fromstring(draw_piece(FRONT, "cm")), "desc")


def test_an_edge_with_a_dart_shows_its_length_as_drawn_and_as_sewn() -> None:
    """Drawn along the dart's trued end it is a little over 40 cm; sewn, 40 - 3."""
    drawn = " ".join(texts(draw_piece(MARKED, "cm")))
    assert f"top {both(MARKED.outline.edge('top').length_mm, 'cm')}" in drawn
    assert "sewn to 37 cm (14 5/8 in)" in drawn


def test_an_edge_shows_the_length_of_the_one_it_is_sewn_to() -> None:
    piece = replace(piece_of(RECTANGLE), shown_mm={"hem": 303.0})
    drawn = " ".join(texts(draw_piece(piece, "cm")))
    assert "hem 30.5 cm (11 7/8 in)" in drawn
    assert "top 30 cm (11 3/4 in)" in drawn
