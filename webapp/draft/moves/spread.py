"""Spread: slash a piece and open it like a fan, so that one edge grows and another does not."""

import math
from dataclasses import replace
from typing import ClassVar, Final, Literal

from webapp.draft.markings import Marking
from webapp.draft.moves.arcs import arc
from webapp.draft.moves.base import (
    EdgeName,
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    count_field,
    edge_field,
    figure_field,
)
from webapp.draft.moves.corners import edge_of
from webapp.draft.moves.cutting import cut_between, markings_moved, refuse_leaving
from webapp.draft.names import edge_called
from webapp.draft.outline import Outline, Placing, Point
from webapp.draft.sewn import as_sewn
from webapp.draft.words import Sentence

_MOST_TURN: Final = 1.0  # radians at one cut: it opens as far as it is long


class Spread(ShapingMove):
    """Cuts from the edge that opens almost through the edge that hinges, which stays as long."""

    title: ClassVar[str] = "Spread"
    purpose: ClassVar[str] = "Open an edge into a flare, hinged on the edge across from it."
    family = "cloth"

    kind: Literal["spread"] = "spread"
    edge: EdgeName = edge_field("Edge that opens", "Such as the hem.", "hem")
    by: FigureText = figure_field("Opened by", "How much longer the edge becomes.")
    count: int = count_field("Cuts", "Evenly spaced; more make a smoother flare.", 3)
    hinge: EdgeName = edge_field("Edge that hinges", "It keeps its length.", "top")

    def apply(self, work: Workpiece) -> Shaped:
        """Turn what lies beyond each cut about the cut's end on the hinge.

        An arc about the hinge closes each gap, and a turn of (gap / cut's length) radians makes
        it as long as the gap is to be: the definition of a radian.
        """
        by = work.length_mm("opened by", self.by)
        self._refuse_edges(work)
        parts, gap = self.count + 1, by / self.count
        opens = as_sewn(edge_of(work, self.edge), work.markings)
        hinges = as_sewn(edge_of(work, self.hinge), work.markings)
        outline, markings = work.outline, work.markings
        # From the edge's end, so that the places of the cuts to come stay as they are.
        for number in range(self.count, 0, -1):
            along = opens.drawn_mm(opens.length_mm * number / parts)
            across = hinges.drawn_mm(hinges.length_mm * (parts - number) / parts)
            outline, markings = self._opened(work, outline, markings, (along, across), gap)
        return Shaped(outline, {f"{self.edge} added": by}, self._words(by), markings)

    def _refuse_edges(self, work: Workpiece) -> None:
        if self.edge == self.hinge:
            raise work.refusal(
                f"the {edge_called(self.edge)} cannot both open and hinge; name two edges"
            )
        for edge in (edge_of(work, self.edge), edge_of(work, self.hinge)):
            if work.on_fold and edge.on_fold:
                raise work.refusal(
                    f"the {edge_called(edge.name)} lies on the fold, so it must stay"
                )

    def _opened(
        self,
        work: Workpiece,
        outline: Outline,
        markings: tuple[Marking, ...],
        places: tuple[float, float],
        gap: float,
    ) -> tuple[Outline, tuple[Marking, ...]]:
        """The outline opened at one cut, with its markings."""
        cut = cut_between(outline, markings, self.edge, places[0], self.hinge, places[1])
        refuse_leaving(work, cut, f"a cut from the {self.edge} to the {edge_called(self.hinge)}")
        reach = math.dist(cut.start, cut.end)
        if gap > _MOST_TURN * reach:
            raise work.limit("one cut opened by", gap, "more than the cut is long", reach)
        turn = gap / reach
        place = _turned(cut.end, turn if cut.moves_ahead else -turn)
        there = place(cut.start)
        start, end = (cut.start, there) if cut.moves_ahead else (there, cut.start)
        angle = math.atan2(start[1] - cut.end[1], start[0] - cut.end[0])
        curves = list(arc(cut.end, reach, angle, turn))
        curves[0] = replace(curves[0], start=start)  # as it is but for rounding
        curves[-1] = replace(curves[-1], end=end)
        return cut.opened(place, curves, ()), markings_moved(work, markings, cut, place)

    def _words(self, by: float) -> tuple[Sentence, ...]:
        opened = f"{self.edge} added"
        lengths = {opened: by, "gap": by / self.count}
        formulas = {opened: self.by, "gap": f"({self.by}) / {self.count}"}
        edge, hinge = f"the {edge_called(self.edge)}", f"the {edge_called(self.hinge)}"
        if self.count == 1:
            marks = f"Mark the middle of {edge} and of {hinge}."
            lines, turn = "Draw a line from mark to mark and cut along it", "Turn the loose part"
            gaps = f"the gap, measured along the curve its corner draws, is {{{opened}}}"
        else:
            marks = f"Divide {edge} and {hinge} into {self.count + 1} equal parts each."
            lines = "Join the marks by lines that do not cross and cut along them"
            turn = "Turn the loose parts"
            gaps = "each gap, measured along the curve the corner draws, is {gap}: "
            gaps += f"{{{opened}}} in all"
        texts = (
            marks,
            f"{lines}, from {edge} almost through {hinge}.",
            f"{turn} until {gaps}.",
            f"Draw {edge} again along those curves.",
        )
        return tuple(Sentence(text, lengths, formulas) for text in texts)


def _turned(centre: Point, angle: float) -> Placing:
    """The map that turns about a point, clockwise on paper for an angle above zero."""
    cos, sin = math.cos(angle), math.sin(angle)

    def place(point: Point) -> Point:
        x, y = point[0] - centre[0], point[1] - centre[1]
        return (centre[0] + x * cos - y * sin, centre[1] + x * sin + y * cos)

    return place
