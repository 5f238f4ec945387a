"""The pieces as a DXF file for other drawing programs, cutters and plotters, true to scale in mm.

DXF (its Reference, AC1024) has y up, so every y is turned over: nothing is mirrored.
"""

import io
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final

from webapp.draft.drawing import CUTTER_TEXT_MM, GAP_MM, LAYERS
from webapp.draft.evaluate import Piece
from webapp.draft.labels import LINE, Label, text_width
from webapp.draft.mark_lines import TRUE_TO_SCALE, hole_cross, notch_ticks
from webapp.draft.markings import DrillHole, MarkedLine, Notch
from webapp.draft.marks import Marks, inside_marks
from webapp.draft.outline import Point, bounds

if TYPE_CHECKING:
    from ezdxf.layouts import Modelspace

_VERSION: Final = "R2010"  # the oldest that keeps every letter of a name, as UTF-8
_MM, _METRIC = 4, 1  # $INSUNITS and $MEASUREMENT
_CENTRE, _MIDDLE = 1, 2  # group codes 72 and 73 of a text
# Whole length, dash, gap … in mm, as in the SVG file.
_DASHES: Final = {
    "seam-line": ("Sewn", (7.0, 4.0, -3.0)),
    "fold-line": ("Folded", (21.0, 12.0, -3.0, 3.0, -3.0)),
}
_CAPITALS: Final = 0.7  # of the text size: DXF gives text the height of its capitals


def pieces_dxf(pieces: Sequence[Piece], note: str = "") -> bytes:
    """All pieces side by side in layers, a note above them; the same give the same bytes."""
    import ezdxf  # noqa: PLC0415 - only when a file is asked for: it looks for fonts first

    ezdxf.options.write_fixed_meta_data_for_testing = True  # no date, no chance identifiers
    document = ezdxf.new(_VERSION, units=_MM)
    document.header["$MEASUREMENT"] = _METRIC
    for name, pattern in _DASHES.values():
        document.linetypes.add(name, pattern)
    for layer in LAYERS:
        document.layers.add(layer, linetype=_DASHES.get(layer, ("Continuous",))[0])
    sheet = _Sheet(document.modelspace(), max((p.cut_size_mm[1] for p in pieces), default=0.0))
    for piece in pieces:
        sheet.add(piece)
    if note:
        sheet.note(note)
    text = io.StringIO()
    document.write(text)
    return document.encode(text.getvalue())


class _Sheet:
    """Where the pieces stand side by side, their tops on one line."""

    def __init__(self, space: "Modelspace", tallest_mm: float) -> None:
        self.space = space
        self.top = GAP_MM + tallest_mm
        self.x = GAP_MM
        self.shift: Point = (0.0, 0.0)

    def add(self, piece: Piece) -> None:
        """The next piece, to the right of those before."""
        left, top, right, _ = bounds(piece.cut_points)
        self.shift = (self.x - left, self.top + top)
        self.x += right - left + GAP_MM
        self._line("cut-line", piece.cut_points, closed=True)
        self._line("seam-line", piece.seam_points, closed=True)
        for edge in piece.outline:
            if piece.on_fold and edge.on_fold:
                self._line("fold-line", (edge.start, edge.end))
        inside = inside_marks(piece, CUTTER_TEXT_MM)
        self._marks("fold-line", inside.fold)
        self._marks("grain", inside.grain)
        self._markings(piece)
        for label in (*inside.fold.labels, *inside.labels):
            self._write(label)

    def _markings(self, piece: Piece) -> None:
        for mark in piece.markings:
            if isinstance(mark, Notch):
                for start, end in notch_ticks(piece, mark, TRUE_TO_SCALE):
                    ends = self._at(start), self._at(end)
                    self.space.add_line(*ends, dxfattribs={"layer": "notches"})
            elif isinstance(mark, DrillHole):
                radius = TRUE_TO_SCALE.radius_mm
                self.space.add_circle(self._at(mark.at), radius, dxfattribs={"layer": "marks"})
                for arm in hole_cross(mark, radius):
                    self._line("marks", arm)
            else:
                self._marked_line(mark)

    def _marked_line(self, mark: MarkedLine) -> None:
        closed = mark.points[0] == mark.points[-1]
        self._line("marks", mark.points[:-1] if closed else mark.points, closed=closed)

    def _marks(self, layer: str, marks: Marks) -> None:
        for line in marks.lines:
            self._line(layer, line)
        for head in marks.heads:
            self._line(layer, head, closed=True)

    def _line(self, layer: str, points: Iterable[Point], *, closed: bool = False) -> None:
        placed = [self._at(point) for point in points]
        self.space.add_lwpolyline(placed, close=closed, dxfattribs={"layer": layer})

    def note(self, words: str) -> None:
        """Words above all pieces, among their labels."""
        self.shift = (0.0, self.top)
        middle = (max(self.x, GAP_MM + CUTTER_TEXT_MM * text_width(words)) / 2, -GAP_MM / 2)
        self._write(Label((words,), CUTTER_TEXT_MM, middle))

    def _write(self, label: Label) -> None:
        """Each line of a label, as it stands in the SVG file; an upright one reads upwards."""
        (x, y), em = label.centre, label.em
        for place, line in enumerate(label.lines):
            down = (place - (len(label.lines) - 1) / 2) * LINE * em
            at = self._at((x + down, y) if label.upright else (x, y + down))
            self.space.add_text(
                _literal(line),
                height=_CAPITALS * em,
                rotation=90 if label.upright else 0,
                dxfattribs={
                    "layer": "labels",
                    "insert": at,
                    "align_point": at,
                    "halign": _CENTRE,
                    "valign": _MIDDLE,
                },
            )

    def _at(self, point: Point) -> Point:
        """A point of the piece on the sheet, y up."""
        return (point[0] + self.shift[0], self.shift[1] - point[1])


def _literal(text: str) -> str:
    """Text whose signs mean themselves: DXF reads %% and ^ as codes."""
    return text.replace("%%", "%%%%%%").replace("^", "^ ")
