"""Dart: a wedge folded out of an edge, its end trued so that the seam catches it."""

import math
from dataclasses import dataclass
from typing import ClassVar, Final, Literal

import shapely

from webapp.draft.markings import DrillHole, MarkedLine, Marking
from webapp.draft.moves.base import (
    SMALLEST_MM,
    EdgeName,
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    edge_field,
    figure_field,
    name_field,
)
from webapp.draft.moves.corners import (
    corner_between,
    crossing,
    direction,
    edge_of,
    outward,
    spoken,
    way_along,
)
from webapp.draft.moves.cutting import taken_share
from webapp.draft.moves.marking import refuse_name
from webapp.draft.names import edge_called
from webapp.draft.outline import Edge, Line, Outline, Point
from webapp.draft.words import Sentence

_WIDEST: Final = 1.5  # times its length; wider, its trued end would run far out of the piece
_NOISE: Final = 1e-6
_ON_PIECE_MM: Final = 0.05  # what the drawing of a curve by chords may be out by


class Dart(ShapingMove):
    """Fold a wedge out of an edge, from its two legs to its tip."""

    title: ClassVar[str] = "Dart"
    purpose: ClassVar[str] = "Take width out of an edge with a fold that runs out at its tip."

    kind: Literal["dart"] = "dart"
    edge: EdgeName = edge_field("Edge", "The edge the dart is taken out of.", "top")
    corner: EdgeName = edge_field("Measured from the", "The edge it meets there.", "side")
    at: FigureText = figure_field(
        "Middle at",
        "Along the edge to the dart's middle. Of several darts, draw the furthest first.",
    )
    width: FigureText = figure_field("Width", "Between the legs on the edge.")
    length: FigureText = figure_field("Length", "From the edge to the tip.")
    name: EdgeName = name_field("Name of the dart", "", "dart")

    def apply(self, work: Workpiece) -> Shaped:
        """Draw the dart square to the edge; the edge runs on over its trued end."""
        width, length = work.length_mm("width", self.width), work.length_mm("length", self.length)
        at = work.length_mm("middle at", self.at)
        refuse_name(work, self.name)
        if width > _WIDEST * length:
            raise work.limit("", width, "more than one and a half times the length", length)
        edge, before = edge_of(work, self.edge), self._start(work, at, width)
        wedge = _wedge(edge, before, width, length)
        self._refuse_off_piece(work, wedge, length)
        peak = _peak(work, edge, before, width, wedge)
        cap = (Line(wedge.one, peak), Line(peak, wedge.other))
        taken = edge.taken_mm + sum(line.length_mm for line in cap)
        left, right = edge.cut_at(before)[0], edge.cut_at(before + width)[1]
        drawn = Edge(edge.name, (*left.segments, *cap, *right.segments), taken)
        figures = {"at": at, "width": width, "length": length, "leg": wedge.leg_mm}
        return Shaped(
            work.outline.replaced(edge.name, drawn),
            {f"{self.name} {what}": mm for what, mm in figures.items()},
            self._words(work, figures, wedge.out_mm(peak)),
            (*work.markings, *self._markings(work, wedge)),
        )

    def _start(self, work: Workpiece, at: float, width: float) -> float:
        """How far along the edge, in its own direction, the first leg stands."""
        corner = corner_between(work, self.edge, self.corner)
        edge = edge_of(work, self.edge)
        if width >= edge.length_mm:
            raise work.limit("", width, f"wider than the {edge_called(self.edge)}", edge.length_mm)
        if at >= edge.length_mm:
            raise work.limit(
                "", at, f"as far as the {edge_called(self.edge)} is long", edge.length_mm
            )
        room = min(at, edge.length_mm - at)
        if width / 2 > room - SMALLEST_MM:
            past = f"more than the {edge_called(self.edge)} has left beside the dart's middle"
            raise work.limit("half the width,", width / 2, past, room)
        start = (at if corner.second is edge else edge.length_mm - at) - width / 2
        for end in (start, start + width):
            if taken_share(edge, end, work.markings) > 1 - _NOISE:
                raise work.refusal(
                    f"it would start inside a fold of the {edge_called(self.edge)}; set it beside "
                    "the fold"
                )
        return start

    def _refuse_off_piece(self, work: Workpiece, wedge: "_Wedge", length: float) -> None:
        depth = _depth(work.outline, wedge)
        if length > depth - SMALLEST_MM:
            raise work.limit("length", length, "more than the piece is deep there", depth)
        legs = shapely.LineString([wedge.one, wedge.tip, wedge.other])
        cloth = shapely.buffer(shapely.Polygon(work.outline.points()), _ON_PIECE_MM)
        if not shapely.covers(cloth, legs):
            raise work.refusal("the legs of the dart would leave the piece")

    def _markings(self, work: Workpiece, wedge: "_Wedge") -> tuple[Marking, ...]:
        """The dart's lines and the hole at its tip. MoveError where another fold is in the way."""
        points = (wedge.one, wedge.tip, wedge.other)
        for other in work.markings:
            if not isinstance(other, MarkedLine) or other.kind not in ("dart", "pleat", "tuck"):
                continue
            closed = other.kind == "dart"
            fold = shapely.Polygon(other.points) if closed else shapely.LineString(other.points)
            if shapely.intersects(shapely.Polygon(points), fold):
                raise work.refusal(f"it would run into “{other.name}”")
        return (MarkedLine(self.name, "dart", points), DrillHole(f"{self.name} tip", wedge.tip))

    def _words(
        self, work: Workpiece, figures: dict[str, float], peak: float
    ) -> tuple[Sentence, ...]:
        half, middle = f"half the {self.name} width", f"middle of the {self.name}"
        at, leg, length = (f"{self.name} {what}" for what in ("at", "leg", "length"))
        lengths = {f"{self.name} {what}": mm for what, mm in figures.items()}
        lengths |= {half: figures["width"] / 2, middle: figures["at"], "peak": peak}
        formulas = {f"{self.name} width": self.width, half: f"({self.width}) / 2"}
        formulas |= {at: self.at, middle: self.at, length: self.length}
        legs = "Join both marks to the tip: the legs"
        fold = f"Fold the {self.name} shut and draw the {edge_called(self.edge)} across it; opened "
        fold += "out, its middle rises"
        texts = (
            (f"Mark {{.{middle}}} {way_along(work, self.edge, self.corner)} from the "
             f"{spoken(work, self.corner)}: the middle of the {self.name}.", ""),
            (f"Mark {{{half}}} to each side of it, and from it {{{length}}} into the piece, square "
             "to the edge: the tip.", ""),
            (f"{legs}, {{{leg}}} each.", f"{legs}, both as long."),
            (f"{fold} {{.peak}} beyond the edge.", f"{fold} a little beyond the edge."),
            ("Mark the tip on the cloth. By custom a hole for it is made a little inside the tip, "
             "so that the sewn dart hides it.", ""),
        )  # fmt: skip
        return tuple(Sentence(text, lengths, formulas, own) for text, own in texts)


@dataclass(frozen=True)
class _Wedge:
    """A dart's legs, from `one` and `other` on the edge to the `tip`, of one length."""

    one: Point
    other: Point
    tip: Point

    @property
    def leg_mm(self) -> float:
        return math.dist(self.one, self.tip)

    @property
    def middle(self) -> Point:
        """Halfway between the legs' ends."""
        return ((self.one[0] + self.other[0]) / 2, (self.one[1] + self.other[1]) / 2)

    @property
    def axis(self) -> Point:
        """The unit vector from the middle to the tip."""
        return direction(Line(self.middle, self.tip))

    def out_mm(self, point: Point) -> float:
        """How far a point lies out of the piece from the legs' ends, along the axis."""
        (x, y), (nx, ny) = self.middle, self.axis
        return (x - point[0]) * nx + (y - point[1]) * ny


def _wedge(edge: Edge, before: float, width: float, length: float) -> _Wedge:
    (one, _), (other, _) = edge.at(before), edge.at(before + width)
    nx, ny = outward(Line(one, other))
    x, y = (one[0] + other[0]) / 2, (one[1] + other[1]) / 2
    return _Wedge(one, other, (x - length * nx, y - length * ny))


def _depth(outline: Outline, wedge: _Wedge) -> float:
    """How far the piece reaches into the direction of the tip, from between the legs' ends."""
    (x, y), (nx, ny) = wedge.middle, wedge.axis
    # A bulging edge lies behind the middle of the legs' ends, a hollow one ahead of it.
    behind = math.dist(wedge.one, wedge.other)
    furthest = sum(edge.length_mm for edge in outline)
    axis = shapely.LineString(
        [(x - behind * nx, y - behind * ny), (x + furthest * nx, y + furthest * ny)]
    )
    cloth = shapely.get_parts(shapely.intersection(axis, shapely.Polygon(outline.points())))
    runs = [run for run in cloth if run.length > 0]
    if not runs:
        return 0.0
    nearest = min(runs, key=shapely.Point(x, y).distance)
    return max(-wedge.out_mm((px, py)) for px, py in shapely.get_coordinates(nearest).tolist())


def _peak(work: Workpiece, edge: Edge, before: float, width: float, wedge: _Wedge) -> Point:
    """Where the edge, mirrored in a leg, meets the dart's axis: the shape that folds back onto it.

    On a curve the two sides differ; the further one leaves cloth enough whichever way it is
    pressed.
    """
    (_, arriving), (_, leaving) = edge.at(before), edge.at(before + width)
    sides = ((wedge.one, (-arriving[0], -arriving[1])), (wedge.other, leaving))
    peaks = []
    for foot, away in sides:
        ux, uy = direction(Line(foot, wedge.tip))
        along = away[0] * ux + away[1] * uy
        mirrored = (2 * along * ux - away[0], 2 * along * uy - away[1])
        met = crossing(foot, mirrored, wedge.middle, wedge.axis)
        if met is None or _back(foot, met, mirrored):
            raise work.refusal(
                f"the {edge_called(edge.name)} bends too much there for so wide and short a dart"
            )
        peaks.append(met)
    return max(peaks, key=wedge.out_mm)


def _back(start: Point, end: Point, way: Point) -> bool:
    return (end[0] - start[0]) * way[0] + (end[1] - start[1]) * way[1] <= 0
