"""pieces.dxf, read back by ezdxf: sound, true to scale, not mirrored, the same bytes every time."""

import io
from collections.abc import Iterable
from typing import Any

import ezdxf
import pytest
import shapely
from ezdxf.document import Drawing

from tests.specimens import RECTANGLE, Move, many_pieces, piece_of, smock_draft
from webapp.draft.drawing import LAYERS
from webapp.draft.evaluate import Piece
from webapp.draft.markings import DrillHole, MarkedLine, Notch
from webapp.draft.outline import Point
from webapp.handouts.dxf import pieces_dxf

NOTCH: Move = {"kind": "notch", "edge": "right side", "corner": "top", "at": "20 cm"}
MARKED = piece_of(
    RECTANGLE,
    NOTCH,
    NOTCH | {"at": "32 cm", "double": True, "name": "back"},
    {"kind": "pocket place", "edge": "top", "corner": "left side", "across": "5 cm",
     "down": "22 cm", "width": "13 cm", "length": "15 cm"},
    {"kind": "drill hole", "edge": "top", "corner": "left side", "across": "5 cm",
     "down": "12 cm", "name": "50%% of é^J"},
)  # fmt: skip
PIECES = [*many_pieces().values(), MARKED]


def read(pieces: list[Piece]) -> Drawing:
    return ezdxf.read(io.StringIO(pieces_dxf(pieces).decode("utf-8")))


@pytest.fixture(scope="module")
def drawing() -> Drawing:
    return read(PIECES)


def closed_lines(drawing: Drawing, layer: str) -> list[list[Point]]:
    """The closed polylines of a layer, y turned down again."""
    lines = drawing.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    return [
        [(x, -y) for x, y in line.get_points("xy")]  # type: ignore[attr-defined]
        for line in lines
        if line.closed  # type: ignore[attr-defined]
    ]


def at_origin(points: Iterable[Point]) -> list[Point]:
    """The points shifted so that their box starts at the origin."""
    found = list(points)
    left, top = min(x for x, _ in found), min(y for _, y in found)
    return [(x - left, y - top) for x, y in found]


def test_the_file_passes_an_audit_and_is_in_millimetres(drawing: Drawing) -> None:
    """DXF Reference, $INSUNITS: 4 = millimetres; $MEASUREMENT: 1 = metric."""
    audit = drawing.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    assert (drawing.header["$INSUNITS"], drawing.header["$MEASUREMENT"]) == (4, 1)


@pytest.mark.parametrize("layer", ["cut-line", "seam-line"])
def test_read_back_the_outlines_are_the_pieces_own(drawing: Drawing, layer: str) -> None:
    """By shapely's Hausdorff distance; a mirrored piece would be far off."""
    lines = closed_lines(drawing, layer)
    for line, piece in zip(lines, PIECES, strict=True):
        meant = piece.cut_points if layer == "cut-line" else piece.seam_points
        drawn, own = shapely.LinearRing(at_origin(line)), shapely.LinearRing(at_origin(meant))
        assert shapely.hausdorff_distance(drawn, own) < 0.01, piece.name
        assert drawn.is_ccw == own.is_ccw, piece.name


def test_the_cutters_file_sets_the_pieces_20_mm_apart(drawing: Drawing) -> None:
    edges = [0.0]
    for line in closed_lines(drawing, "cut-line"):
        xs = [x for x, _ in line]
        assert min(xs) - edges[-1] == pytest.approx(20)
        edges.append(max(xs))


def test_every_kind_of_line_has_a_layer_of_its_own(drawing: Drawing) -> None:
    assert {layer.dxf.name for layer in drawing.layers} >= set(LAYERS)
    assert {entity.dxf.layer for entity in drawing.modelspace()} == set(LAYERS)


def count(drawing: Drawing, layer: str, kind: str) -> int:
    return len(drawing.modelspace().query(f'{kind}[layer=="{layer}"]'))


def test_there_are_as_many_marks_as_the_piece_has() -> None:
    drawing = read([MARKED])
    notches = [mark for mark in MARKED.markings if isinstance(mark, Notch)]
    assert count(drawing, "notches", "LINE") == sum(1 + notch.double for notch in notches) == 3
    holes = [mark for mark in MARKED.markings if isinstance(mark, DrillHole)]
    assert count(drawing, "marks", "CIRCLE") == len(holes) == 3
    (pocket,) = closed_lines(drawing, "marks")
    (line,) = [mark for mark in MARKED.markings if isinstance(mark, MarkedLine)]
    # The sheet is shifted, so the pocket is compared with the cut line it lies in.
    (cut,) = closed_lines(drawing, "cut-line")
    for (x, y), own in zip(pocket, line.points, strict=False):
        assert (x - cut[0][0], y - cut[0][1]) == pytest.approx(
            (own[0] - MARKED.cut_points[0][0], own[1] - MARKED.cut_points[0][1])
        )


def test_the_notches_reach_from_the_seam_line_to_the_cut_line() -> None:
    drawing = read([MARKED])
    rings = [shapely.LinearRing(closed_lines(drawing, one)[0]) for one in ("seam-line", "cut-line")]
    for tick in drawing.modelspace().query('LINE[layer=="notches"]'):
        for ring, end in zip(rings, (tick.dxf.start, tick.dxf.end), strict=True):
            assert ring.distance(shapely.Point(end.x, -end.y)) < 0.01


def texts(drawing: Drawing) -> list[Any]:
    return list(drawing.modelspace().query("TEXT"))


def test_each_piece_says_its_name_and_how_many_to_cut() -> None:
    drawing = read(list(smock_draft().pieces))
    written = [text.dxf.text for text in texts(drawing)]
    for piece in smock_draft().pieces:
        assert any(piece.name in line for line in written)
    assert sum("cut " in line for line in written) == 5
    assert "fold" in written


def test_the_words_of_a_piece_stand_inside_it_the_right_way_up(drawing: Drawing) -> None:
    """Text reads along x, or up where it is turned; the centre of each lies on some piece."""
    cloth = shapely.union_all([shapely.Polygon(line) for line in closed_lines(drawing, "cut-line")])
    for text in texts(drawing):
        x, y, _ = text.dxf.align_point
        assert cloth.covers(shapely.Point(x, -y)), text.dxf.text
        assert text.dxf.rotation == (90 if text.dxf.text == "fold" else 0)


def test_a_name_is_written_as_it_is_whatever_its_signs() -> None:
    """%% and ^ start codes in DXF; `plain_text` reads a text as a drawing program shows it."""
    assert "50%% of é^J" in [text.plain_text() for text in texts(read([MARKED]))]


def test_writing_twice_gives_the_same_bytes() -> None:
    assert pieces_dxf([MARKED]) == pieces_dxf([MARKED])
    assert pieces_dxf(smock_draft().pieces) == pieces_dxf(smock_draft().pieces)
