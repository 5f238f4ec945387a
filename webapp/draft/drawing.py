"""Drawings of pieces, in millimetres: for the screen and the handout, and for a cutter.

A drawing looks like a ruled pencil plan: one ink, a heavier line to cut on, a dashed line to sew
on, and beside each edge its name and its length.
"""

from collections.abc import Sequence
from typing import Final
from xml.etree.ElementTree import Element

from webapp.draft import svg
from webapp.draft.allowances import NONE
from webapp.draft.evaluate import Piece
from webapp.draft.labels import LINE, Label, text_width
from webapp.draft.mark_lines import (
    TRUE_TO_SCALE,
    MarkSizes,
    hole_cross,
    marked_words,
    notch_ticks,
)
from webapp.draft.markings import DrillHole, MarkedLine, Notch
from webapp.draft.marks import Marks, cut_words, edge_lengths, inside_marks, marked
from webapp.draft.outline import bounds, open_at_fold
from webapp.units import System, both_as_cut

# Shares of the drawing's width: 13 px of text in a figure of 420 px, 2.6 mm (7.5 pt) in 85 mm.
_TEXT: Final = 0.031
_CUT, _SEAM, _FINE = 0.0036, 0.0022, 0.0015
_WASH: Final = 0.05  # how much of the ink tints the piece
# Named here too: the PDF renderer does not hand the page's fonts down to a drawing.
LETTERING: Final = {"font_family": "'Source Sans 3', sans-serif", "text_anchor": "middle"}
LAYERS: Final = ("cut-line", "seam-line", "fold-line", "grain", "notches", "marks", "labels")
GAP_MM: Final = 20.0  # between and around the pieces of the cutter's file
_CUTTER_LINE_MM: Final = 0.3
CUTTER_TEXT_MM: Final = 9.0
BASELINE_EM: Final = 0.36  # from the middle of a line of text down to where its letters stand


def draw_piece(
    piece: Piece,
    first: System,
    *,
    ink: str = "currentColor",
    pickable: bool = False,
    lengths: bool = True,
    turned_over: bool = False,
    lettering: float = _TEXT,
) -> str:
    """The piece with its lines, marks, edge lengths and cut size, in both units, `first` leading.

    The root has a view box in millimetres and no size: the page decides how wide it stands.
    If `pickable`, a wide unseen line lies over each edge for a pointer to find. Without `lengths`
    edges have their names only, for those who draw it to other measures. A half that does not lie
    on a fold of the cloth is `turned_over`. `lettering` is the size of the text as a share of the
    drawing's width, for a drawing that stands small.
    """
    width, height = piece.cut_size_mm
    em = lettering * max(1.6 * width, height)
    marks = marked(piece, first, em, lengths=lengths, turned_over=turned_over)
    for _ in range(3):  # the text is a share of the drawing, and the drawing has to hold the text
        if abs(marks.em - lettering * marks.frame[2]) < 0.03 * marks.em:
            break
        em = lettering * marks.frame[2]
        marks = marked(piece, first, em, lengths=lengths, turned_over=turned_over)
    told = described(piece, first) if lengths else _described_without_lengths(piece)
    if turned_over and piece.on_fold:
        told = told.replace(cut_words(piece), cut_words(piece, turned_over=True), 1)
        told = told.replace("half of it on the fold", "half of it")
    root = svg.figure(marks.frame, piece.name, told)
    _lines(root, piece, ink, marks.frame[2])
    sizes, fine = MarkSizes.beside_text(marks.em), _FINE * marks.frame[2]
    line: dict[str, str | float] = {"fill": "none", "stroke": ink}
    _notches(root, piece, sizes, stroke_width=_SEAM * marks.frame[2], **line)
    _other_marks(root, piece, sizes, stroke_width=fine, **line)
    _marks(root, marks, ink, fine)
    if pickable:
        for edge in piece.outline:
            d, wide = svg.along(edge), 2 * marks.em
            svg.add(root, "path", d=d, stroke_width=wide, data_line=edge.name)
    return svg.written(root)


def pieces_svg(pieces: Sequence[Piece], note: str = "") -> str:
    """All pieces side by side at true scale, in layers, as a file for a cutter or a plotter.

    A note stands above them, in the file's title and before its description.
    """
    width = GAP_MM + sum(piece.cut_size_mm[0] + GAP_MM for piece in pieces)
    height = 2 * GAP_MM + max((piece.cut_size_mm[1] for piece in pieces), default=0.0)
    root = svg.figure(
        (0, 0, width, height),
        " · ".join(filter(None, (note, "Pattern pieces at true scale"))),
        " ".join([*[f"{note}."] * bool(note), *(described(piece, "cm") for piece in pieces)]),
        width=f"{svg.number(width)}mm",
        height=f"{svg.number(height)}mm",
    )
    layers = {name: svg.add(root, "g", id=name) for name in LAYERS}
    if note:
        em = min(CUTTER_TEXT_MM, (width - GAP_MM) / text_width(note))
        words = svg.add(layers["labels"], "g", fill="black", **LETTERING)
        write(words, Label((note,), em, (width / 2, GAP_MM / 2)))
    x = GAP_MM
    for piece in pieces:
        left, top, right, _ = bounds(piece.cut_points)
        _in_layers(layers, piece, f"translate({svg.number(x - left)} {svg.number(GAP_MM - top)})")
        x += right - left + GAP_MM
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{svg.written(root)}\n'


def _in_layers(layers: dict[str, Element], piece: Piece, shift: str) -> None:
    place = {name: svg.add(layer, "g", transform=shift) for name, layer in layers.items()}
    line: dict[str, str | float] = {
        "fill": "none",
        "stroke": "black",
        "stroke_width": _CUTTER_LINE_MM,
    }
    cut, fold, seam = _paths(piece)
    svg.add(place["cut-line"], "path", d=cut, **line)
    svg.add(place["seam-line"], "path", d=seam, stroke_dasharray="4 3", **line)
    if fold:
        svg.add(place["fold-line"], "path", d=fold, stroke_dasharray="12 3 3 3", **line)
    inside = inside_marks(piece, CUTTER_TEXT_MM)
    _strokes(place["fold-line"], inside.fold, "black", _CUTTER_LINE_MM)
    _strokes(place["grain"], inside.grain, "black", _CUTTER_LINE_MM)
    _notches(place["notches"], piece, TRUE_TO_SCALE, **line)
    _other_marks(place["marks"], piece, TRUE_TO_SCALE, **line)
    words = svg.add(place["labels"], "g", fill="black", **LETTERING)
    for label in (*inside.fold.labels, *inside.labels):
        write(words, label)


def described(piece: Piece, first: System) -> str:
    """The drawing in words: what to cut, every edge, the size of the cut piece."""
    edges = ", ".join(
        f"{edge.name} {', '.join(edge_lengths(piece, edge, first))}" for edge in piece.outline
    )
    width, height = (both_as_cut(side, first) for side in piece.cut_size_mm)
    size = f"The cut piece is {width} across and {height} down"
    half = ", as half of it on the fold" if piece.on_fold else ""
    told = f"{piece.name}, {cut_words(piece)}. Edges on the seam line: {edges}. {size}{half}."
    return told + _marks_told(piece)


def _described_without_lengths(piece: Piece) -> str:
    edges = ", ".join(piece.outline.names)
    return f"{piece.name}, {cut_words(piece)}. Edges, clockwise: {edges}.{_marks_told(piece)}"


def _marks_told(piece: Piece) -> str:
    told = marked_words(piece.markings)
    return f" Marks: {told}." if told else ""


def _lines(root: Element, piece: Piece, ink: str, scale: float) -> None:
    """The wash, the cut line, the fold, and the seam line where it is not the cut line."""
    svg.add(
        root,
        "path",
        d=svg.through(piece.cut_points, closed=True),
        fill=ink,
        fill_opacity=_WASH,
    )
    pen = svg.add(root, "g", fill="none", stroke=ink, stroke_linejoin="round")
    cut, fold, seam = _paths(piece)
    svg.add(pen, "path", d=cut, stroke_width=_CUT * scale)
    thin = _SEAM * scale
    if fold:
        dashes = _dashes(scale, 0.03, 0.008, 0.006, 0.008)
        svg.add(pen, "path", d=fold, stroke_width=thin, stroke_dasharray=dashes)
    dashes = _dashes(scale, 0.011, 0.007)
    svg.add(pen, "path", d=seam, stroke_width=thin, stroke_dasharray=dashes)


def _notches(parent: Element, piece: Piece, sizes: MarkSizes, **line: str | float) -> None:
    notches = [mark for mark in piece.markings if isinstance(mark, Notch)]
    ticks = [tick for notch in notches for tick in notch_ticks(piece, notch, sizes)]
    if ticks:
        svg.add(parent, "path", d=" ".join(map(svg.through, ticks)), **line)


def _other_marks(parent: Element, piece: Piece, sizes: MarkSizes, **line: str | float) -> None:
    """Lines in one path, then a circle and a cross for each hole."""
    lines = [mark.points for mark in piece.markings if isinstance(mark, MarkedLine)]
    holes = [mark for mark in piece.markings if isinstance(mark, DrillHole)]
    crosses = [arm for hole in holes for arm in hole_cross(hole, sizes.radius_mm)]
    if lines or crosses:
        svg.add(parent, "path", d=" ".join(map(svg.through, (*lines, *crosses))), **line)
    for x, y in (hole.at for hole in holes):
        svg.add(parent, "circle", cx=x, cy=y, r=sizes.radius_mm, **line)


def _paths(piece: Piece) -> tuple[str, str, str]:
    """Path data of the cut line, the fold (or nothing) and the seam line inside the cut line."""
    seam = " ".join(
        svg.along(edge)
        for edge in piece.outline
        if piece.allowances.get(edge.name, NONE).total_mm > 0
    )
    if not piece.on_fold:
        return svg.through(piece.cut_points, closed=True), "", seam
    drawn = open_at_fold(piece.cut_points)
    return svg.through(drawn), svg.through((drawn[-1], drawn[0])), seam


def _dashes(scale: float, *shares: float) -> str:
    return " ".join(svg.number(share * scale) for share in shares)


def _marks(root: Element, marks: Marks, ink: str, fine: float) -> None:
    _strokes(root, marks, ink, fine)
    words = svg.add(root, "g", fill=ink, **LETTERING)
    for label in marks.labels:
        write(words, label)


def _strokes(parent: Element, marks: Marks, ink: str, fine: float) -> None:
    """Dimension lines, leaders with a dot at the edge they name, arrows."""
    leaders = [label.leader for label in marks.labels if label.leader]
    lines = " ".join(svg.through(line) for line in (*marks.lines, *leaders))
    if lines:
        svg.add(parent, "path", d=lines, fill="none", stroke=ink, stroke_width=fine)
    heads = " ".join(svg.through(head, closed=True) for head in marks.heads)
    if heads:
        svg.add(parent, "path", d=heads, fill=ink)
    for x, y in (leader[0] for leader in leaders):
        svg.add(parent, "circle", cx=x, cy=y, r=2.2 * fine, fill=ink)


def write(parent: Element, label: Label) -> None:
    """The label's lines, each centred on it."""
    x, y = label.centre
    for place, line in enumerate(label.lines):
        down = (place - (len(label.lines) - 1) / 2) * LINE + BASELINE_EM
        text = svg.add(parent, "text", line, x=x, y=y + down * label.em, font_size=label.em)
        if label.upright:
            text.set("transform", f"rotate(-90 {svg.number(x)} {svg.number(y)})")
        if place == 0 and label.bold_first:
            text.set("font-weight", "600")
        if place == 0 and label.italic_first:
            text.set("font-style", "italic")
