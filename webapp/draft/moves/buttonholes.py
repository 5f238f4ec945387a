"""Buttonholes: a row of them along an edge, evenly spaced."""

from typing import ClassVar, Final, Literal

import shapely

from webapp.draft.markings import MarkedLine
from webapp.draft.moves.base import (
    EdgeName,
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    count_field,
    edge_field,
    figure_field,
    name_field,
    option_field,
)
from webapp.draft.moves.corners import along_from, outward, spoken, straight_edge, way_along
from webapp.draft.moves.marking import cloth_of, lies_within, refuse_name
from webapp.draft.outline import Edge, Point
from webapp.draft.words import Sentence
from webapp.units import both_as_cut

_WIDE_MM: Final = 5.0  # a sewn buttonhole, both its beads; common practice, no source


class Buttonholes(ShapingMove):
    """Lines of one length, across an edge or along it, from a first to a last."""

    title: ClassVar[str] = "Buttonholes"
    purpose: ClassVar[str] = "Mark a row of buttonholes along an edge, evenly spaced."
    family = "mark"

    kind: Literal["buttonholes"] = "buttonholes"
    edge: EdgeName = edge_field("Along the edge", "A straight edge, such as a front.", "centre")
    corner: EdgeName = edge_field("Measured from the", "The edge it meets there.", "neck")
    first: FigureText = figure_field("First at", "From the corner to its middle.")
    last: FigureText = figure_field(
        "Last at", "From the same corner to its middle; not asked for when there is one.", ""
    )
    count: int = count_field("How many", "", 5)
    inset: FigureText = figure_field("In from the edge", "To the end, or the line, nearest to it.")
    length: FigureText = figure_field("Length", "The button's width and its thickness.")
    lie: Literal["across", "along"] = option_field("They lie", "Against the edge.", "across")
    name: EdgeName = name_field("Name of the row", "", "buttonholes")

    def apply(self, work: Workpiece) -> Shaped:
        """Mark the row; the outline stays. MoveError where they overlap or leave the piece."""
        refuse_name(work, self.name)
        refuse_name(work, f"{self.name} 1")
        edge = straight_edge(work, self.edge)
        length, inset = work.length_mm("length", self.length), work.length_mm("inset", self.inset)
        first = work.length_mm("first", self.first)
        last = work.length_mm("last", self.last) if self.count > 1 else first
        spacing = self._spacing(work, first, last, length)
        lines, cloth = [], cloth_of(work)
        for place in range(self.count):
            along = along_from(work, self.edge, self.corner, first + place * spacing)
            points = self._line(edge, along, inset, length)
            if not lies_within(cloth, shapely.LineString(points)):
                raise work.refusal(
                    f"buttonhole {place + 1} would reach outside the piece; make it shorter, or "
                    "set it further in"
                )
            lines.append(MarkedLine(f"{self.name} {place + 1}", "buttonhole", points))
        figures = {f"{self.name} spacing": spacing} if self.count > 1 else {}
        words = self._words(work, {"first": first, "last": last, "inset": inset, "length": length})
        return Shaped(work.outline, figures, words, (*work.markings, *lines))

    def _spacing(self, work: Workpiece, first: float, last: float, length: float) -> float:
        """From the middle of one to the next; MoveError when they would overlap."""
        if self.count == 1:
            return 0.0
        if last <= first:
            raise work.limit("last", last, "not beyond the first", first)
        spacing = (last - first) / (self.count - 1)
        needed = (length if self.lie == "along" else 0.0) + _WIDE_MM
        if spacing < needed:
            raise work.refusal(
                f"the buttonholes would overlap: they are {both_as_cut(spacing, 'cm')} apart "
                f"and need {both_as_cut(needed, 'cm')}"
            )
        return spacing

    def _line(self, edge: Edge, along: float, inset: float, length: float) -> tuple[Point, Point]:
        (x, y), (ux, uy) = edge.at(along)
        nx, ny = outward(edge)
        near = (x - inset * nx, y - inset * ny)
        if self.lie == "across":
            return near, (near[0] - length * nx, near[1] - length * ny)
        half = length / 2
        return (
            (near[0] - half * ux, near[1] - half * uy),
            (near[0] + half * ux, near[1] + half * uy),
        )

    def _words(self, work: Workpiece, lengths: dict[str, float]) -> tuple[Sentence, ...]:
        where = f"{way_along(work, self.edge, self.corner)} from the {spoken(work, self.corner)}"
        lengths = {f"{self.name} {what}": mm for what, mm in lengths.items()}
        first, last, inset, length = lengths
        spacing, gaps = f"{self.name} spacing", self.count - 1
        formulas = {first: self.first, inset: self.inset, length: self.length}
        size = f"{{{length}}} long, {self.lie} the edge, {{{inset}}} in from it"
        if not gaps:
            return (Sentence(f"Mark a buttonhole {{{first}}} {where}: {size}.", lengths, formulas),)
        lengths[spacing] = (lengths[last] - lengths[first]) / gaps
        formulas |= {last: self.last, spacing: f"(({self.last}) - ({self.first})) / {gaps}"}
        others = f"; the others between them, {{{spacing}}} apart" if gaps > 1 else ""
        texts = (
            f"Mark {{{first}}} and {{{last}}} {where}: the first and the last of {self.count} "
            f"buttonholes{others}.",
            f"Draw each {size}.",
        )
        return tuple(Sentence(text, lengths, formulas) for text in texts)
