"""Round corner: an arc in place of the corner of two straight edges."""

import math
from dataclasses import replace
from typing import ClassVar, Literal

from webapp.draft.moves.arcs import arc
from webapp.draft.moves.base import (
    EdgeName,
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    edge_field,
    figure_field,
    name_field,
)
from webapp.draft.moves.corners import corner_between, cut_off_corner, direction, straight_edge
from webapp.draft.names import edge_called, edges_called
from webapp.draft.outline import Edge
from webapp.draft.words import Sentence


class RoundCorner(ShapingMove):
    """An arc that both edges run into without a bend."""

    title: ClassVar[str] = "Round corner"
    purpose: ClassVar[str] = "Round a corner off, as of a pocket, a flap or an apron."

    kind: Literal["round corner"] = "round corner"
    edge: EdgeName = edge_field("Edge", "One edge of the corner.", "side")
    corner: EdgeName = edge_field("Its corner with", "The other edge.", "hem")
    radius: FigureText = figure_field("Radius", "Of the arc.")
    name: EdgeName = name_field("Name of the new edge", "", "corner")

    def apply(self, work: Workpiece) -> Shaped:
        """Draw the arc that touches both edges.

        It touches each edge radius / tan(half the corner's angle) from the corner.
        """
        radius = work.length_mm("radius", self.radius)
        found = corner_between(work, self.edge, self.corner)
        into = direction(straight_edge(work, found.first.name))
        out = direction(straight_edge(work, found.second.name))
        turn = math.atan2(into[0] * out[1] - into[1] * out[0], into[0] * out[0] + into[1] * out[1])
        if abs(turn) < 1e-6:
            raise work.refusal(f"the {edges_called((self.edge, self.corner))} run on in one line")
        slant = math.tan(abs(turn) / 2)
        reach, room = radius * slant, min(found.first.length_mm, found.second.length_mm)
        if reach >= room:
            raise work.limit("radius", radius, "more than the corner has room for", room / slant)
        cut = cut_off_corner(work, self.edge, self.corner, reach, reach)
        side = 1.0 if turn > 0 else -1.0  # the centre lies on the inside of the turn
        centre = (cut.start[0] - side * radius * into[1], cut.start[1] + side * radius * into[0])
        start = math.atan2(cut.start[1] - centre[1], cut.start[0] - centre[0])
        curves = arc(centre, radius, start, turn)
        # Where the arc ends but for rounding, so that the edges meet it exactly.
        cut = replace(cut, start=curves[0].start, end=curves[-1].end)
        outline = cut.joined(Edge(self.name, curves))
        name = f"{self.name} radius"
        text = f"Round the corner of the {edges_called((self.edge, self.corner))} with a radius of "
        text += f"{{.{name}}}: the arc, the {edge_called(self.name)}, "
        square = _is_square(turn)
        ends = f"{{.{name if square else 'from the corner'}}} from the corner."
        words = Sentence(
            f"{text}starts and ends {ends}",
            {name: radius, "from the corner": reach},
            {name: self.radius},
            own="" if square else f"{text}runs into both edges without a bend.",
        )
        return Shaped(outline, {name: radius}, (words,))


def _is_square(turn: float) -> bool:
    return math.isclose(abs(turn), math.pi / 2, abs_tol=1e-9)
