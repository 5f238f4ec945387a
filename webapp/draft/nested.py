"""A piece in its sizes or its revisions, outlines over each other from one origin, millimetres.

The lines are told apart by their dashes and by the name led to each; no colour is needed. A legend
gives every size's cut size in both units. Sizes that come out alike share a line.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import cycle
from typing import Final, Literal
from xml.etree.ElementTree import Element

import shapely

from webapp.draft import svg
from webapp.draft.drawing import BASELINE_EM, LETTERING, write
from webapp.draft.labels import LINE, Label, text_width
from webapp.draft.marks import cut_words
from webapp.draft.nested_labels import Led, led_names
from webapp.draft.outline import Point, bounds, open_at_fold
from webapp.draft.results import Piece
from webapp.units import System, both_as_cut

WhichLine = Literal["cut", "seam"]
Of = Literal["sizes", "revisions"]

# Shares of the drawing's width, as in the drawing of one piece: 13 px of text at 420 px.
_TEXT: Final = 0.031
NESTED_LETTERING: Final = 0.038  # on a screen, where the drawing stands smaller than on paper
_THIN, _HEAVY, _FINE = 0.0024, 0.0048, 0.0015
_NARROWEST: Final = 0.8  # width over height
_MARGIN_EM: Final = 0.7
_SAMPLE_EM: Final = 3.6  # of a line in the legend
_LONGEST_LABEL: Final = 14  # characters beside the drawing; the legend has the whole name
_WIDEST_LINE_EM: Final = 28.0  # of the legend
# Dash and gap, em; the first line is whole. Neighbours in size never look alike.
DASHES: Final[tuple[tuple[float, ...], ...]] = (
    (),
    (0.9, 0.4),
    (0.12, 0.22),
    (1.1, 0.25, 0.12, 0.25),
    (0.4, 0.3),
    (1.1, 0.22, 0.12, 0.22, 0.12, 0.22),
    (2.0, 0.4),
    (0.4, 0.22, 0.12, 0.22),
)


@dataclass(frozen=True)
class _Line:
    """An outline, and the sizes that have it."""

    sizes: tuple[str, ...]
    piece: Piece
    points: list[Point]
    dashes: tuple[float, ...] = ()
    heavy: bool = False
    alone: bool = False  # every size has it
    of: Of = "sizes"

    @property
    def names(self) -> str:
        """Its sizes, for the legend."""
        on_camera = self.heavy and self.of == "sizes"
        return ", ".join(self.sizes) + (", on camera" if on_camera else "")

    @property
    def short(self) -> str:
        """What stands beside it."""
        name = ", ".join(self.sizes)
        if self.alone:
            return f"all {self.of}" if len(self.sizes) > 1 else name
        if len(name) > _LONGEST_LABEL and len(self.sizes) > 1:
            name = f"{self.sizes[0]} and {len(self.sizes) - 1} more"
        return name if len(name) <= _LONGEST_LABEL + 3 else f"{name[:_LONGEST_LABEL]}…"

    def size(self, first: System) -> str:
        """Its cut size in both units."""
        across, down = (both_as_cut(side, first).split(" (") for side in self.piece.cut_size_mm)
        return f"{across[0]} × {down[0]} ({across[1][:-1]} × {down[1][:-1]})"


def draw_nested(
    sizes: Sequence[tuple[str, Piece]],
    first: System,
    *,
    which: WhichLine = "cut",
    filmed: str = "",
    of: Of = "sizes",
    ink: str = "currentColor",
    lettering: float = _TEXT,
) -> str:
    """One piece in several sizes, each with its name; the size `filmed` has a heavier line.

    Or `of` several revisions of its draft, where the line of the one named `filmed` is the heavier.

    The root has a view box in millimetres and no size. `lettering` is the size of the text as a
    share of the drawing's width. ValueError without any size.
    """
    if not sizes:
        raise ValueError("There is no size to draw.")
    lines = _set_together([replace(line, of=of) for line in _lines(sizes, which, filmed)])
    drawing = _Nested(lines, first, which, ink)
    frame = max(bounds([p for line in lines for p in line.points])[2:])
    for _ in range(4):  # the text is a share of the drawing, and the drawing has to hold the text
        drawing.lay_out(lettering * frame)
        if abs(drawing.frame[2] - frame) < 0.02 * frame:
            break
        frame = drawing.frame[2]
    return svg.written(drawing.root())


def what_is_drawn(piece: Piece) -> tuple[object, ...]:
    """All of a piece that such a drawing shows: where that is alike, so is the drawing."""
    told = (piece.name, piece.cut_count, piece.pair, piece.on_fold, piece.grain)
    return (*told, piece.outline, tuple(piece.cut_points))


def _lines(sizes: Sequence[tuple[str, Piece]], which: WhichLine, filmed: str) -> list[_Line]:
    """From the smallest outline to the largest."""
    same: dict[tuple[tuple[float, float], ...], list[tuple[str, Piece]]] = {}
    for name, piece in sizes:
        points = piece.cut_points if which == "cut" else piece.seam_points
        key = tuple((round(x, 3), round(y, 3)) for x, y in points)
        same.setdefault(key, []).append((name, piece))
    ordered = sorted(same.items(), key=lambda each: float(shapely.Polygon(each[0]).area))
    heavy = [any(name == filmed for name, _ in group) for _, group in ordered]
    dashes = cycle(DASHES[1:] if any(heavy) else DASHES)  # the heavier line is a whole one
    return [
        _Line(
            tuple(name for name, _ in group),
            group[0][1],
            list(points),
            () if thick else next(dashes),
            heavy=thick and len(ordered) > 1,
            alone=len(ordered) == 1,
        )
        for (points, group), thick in zip(ordered, heavy, strict=True)
    ]


def _set_together(lines: list[_Line]) -> list[_Line]:
    """The lines as they are if all cross some level and some upright, else each set at the top.

    A part that was split off may lie wholly elsewhere in another size.
    """
    boxes = [bounds(line.points) for line in lines]
    shared = all(max(b[i] for b in boxes) < min(b[i + 2] for b in boxes) for i in (0, 1))
    if shared:
        return lines
    return [
        replace(
            line,
            points=[(x - (0 if line.piece.on_fold else left), y - top) for x, y in line.points],
        )
        for line, (left, top, _, _) in zip(lines, boxes, strict=True)
    ]


class _Nested:
    """The drawing at a text size: names beside it, the legend below, the frame around both."""

    def __init__(self, lines: Sequence[_Line], first: System, which: WhichLine, ink: str) -> None:
        self.lines, self.first, self.which, self.ink = lines, first, which, ink
        self.piece = lines[0].piece
        self.em = 0.0
        self.led: list[Led] = []
        self.legend: list[tuple[Label, _Line | None]] = []
        self.frame = (0.0, 0.0, 0.0, 0.0)

    def lay_out(self, em: float) -> None:
        """Place all text at that size."""
        self.em = em
        outlines = [line.points for line in self.lines]
        names = [line.short for line in self.lines]
        self.led = led_names(names, outlines, em, on_fold=self.piece.on_fold)
        points = [point for outline in outlines for point in outline]
        points += [point for led in self.led for point in led.leader]
        boxes = [led.label.box().bounds for led in self.led]
        left, top, right, bottom = bounds(points + [b[:2] for b in boxes] + [b[2:] for b in boxes])
        if self.piece.on_fold:
            left = min(left, -1.6 * em)
        self._lay_out_legend(left, bottom + 1.2 * em)
        corners = [label.box().bounds for label, _ in self.legend]
        right = max(right, *(corner[2] for corner in corners))
        bottom = max(corner[3] for corner in corners)
        margin = _MARGIN_EM * em
        height = bottom - top + 2 * margin
        width = max(right - left + 2 * margin, _NARROWEST * height)
        middle = (left + right) / 2
        self.frame = (middle - width / 2, top - margin, width, height)

    def _lay_out_legend(self, left: float, top: float) -> None:
        """What the drawing shows, then a row for each line; long names get a row of their own."""
        half = ", half of it on the fold" if self.piece.on_fold else ""
        shown = "Cut" if self.which == "cut" else "Seam"
        rows: list[tuple[tuple[str, ...], _Line | None]] = [
            ((f"{self.piece.name}, {cut_words(self.piece)}",), None),
            ((f"{shown} lines. Cut size, across × down{half}:",), None),
        ]
        for line in self.lines:
            size = line.size(self.first)
            one = f"{line.names}: {size}"
            fits = text_width(one) <= _WIDEST_LINE_EM
            rows.append(((one,) if fits else (*_wrapped(f"{line.names}:"), size), line))
        self.legend = []
        y = top
        for place, (texts, of_line) in enumerate(rows):
            indent = (_SAMPLE_EM + 0.7) * self.em if of_line else 0.0
            label = Label(texts, self.em, bold_first=place == 0)
            width, height = label.size
            y += height / 2
            self.legend.append((label.at(left + indent + width / 2, y), of_line))
            y += height / 2 + 0.15 * self.em

    def root(self) -> Element:
        """The drawing with its title and its words."""
        of = self.lines[0].of
        words = "; ".join(f"{', '.join(li.sizes)} {li.size(self.first)}" for li in self.lines)
        root = svg.figure(
            self.frame,
            f"{self.piece.name} in {'every size' if of == 'sizes' else 'each revision'}",
            f"{self.piece.name}, {cut_words(self.piece)}: the {self.which} lines of all {of} over "
            f"each other from the same origin. Cut size, across × down: {words}.",
        )
        scale = self.frame[2]
        pen = svg.add(root, "g", fill="none", stroke=self.ink, stroke_linejoin="round")
        for line in self.lines:
            closed = not self.piece.on_fold
            drawn = line.points if closed else open_at_fold(line.points)
            self._stroke(pen, svg.through(drawn, closed=closed), line)
        if self.piece.on_fold:
            self._fold(root, pen, scale)
        for led in self.led:
            svg.add(pen, "path", d=svg.through(led.leader), stroke_width=_FINE * scale)
        for x, y in (led.leader[0] for led in self.led):
            svg.add(root, "circle", cx=x, cy=y, r=2.2 * _FINE * scale, fill=self.ink)
        text = svg.add(root, "g", fill=self.ink, **LETTERING)
        for led in self.led:
            write(text, led.label)
        self._legend(svg.add(root, "g", fill=self.ink, **LETTERING | {"text_anchor": "start"}), pen)
        return root

    def _legend(self, text: Element, pen: Element) -> None:
        for label, of_line in self.legend:
            x, top, _, _ = label.box().bounds
            for place, words in enumerate(label.lines):
                y = top + (place + 0.5) * LINE * self.em
                row = svg.add(
                    text, "text", words, x=x, y=y + BASELINE_EM * self.em, font_size=self.em
                )
                if label.bold_first and place == 0:
                    row.set("font-weight", "600")
                if of_line and place == 0:
                    start, end = x - (_SAMPLE_EM + 0.5) * self.em, x - 0.5 * self.em
                    self._stroke(pen, svg.through([(start, y), (end, y)]), of_line)

    def _stroke(self, pen: Element, d: str, line: _Line) -> None:
        width = (_HEAVY if line.heavy else _THIN) * self.frame[2]
        path = svg.add(pen, "path", d=d, stroke_width=width)
        if line.dashes:
            path.set("stroke-dasharray", " ".join(svg.number(d * self.em) for d in line.dashes))

    def _fold(self, root: Element, pen: Element, scale: float) -> None:
        """The fold that all sizes share, and the word beside it."""
        ys = [y for line in self.lines for x, y in line.points if abs(x) < 1e-6]
        d = svg.through([(0.0, min(ys)), (0.0, max(ys))])
        dashes = " ".join(svg.number(share * self.em) for share in (0.9, 0.25, 0.2, 0.25))
        svg.add(pen, "path", d=d, stroke_width=_FINE * scale, stroke_dasharray=dashes)
        word = Label(("fold",), self.em, upright=True)
        words = svg.add(root, "g", fill=self.ink, **LETTERING)
        write(words, word.at(-0.8 * self.em, (min(ys) + max(ys)) / 2))


def _wrapped(text: str) -> list[str]:
    """The text in lines that fit the legend, broken at spaces."""
    lines = [""]
    for word in text.split(" "):
        joined = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(joined) > _WIDEST_LINE_EM:
            lines.append(word)
        else:
            lines[-1] = joined
    return lines
