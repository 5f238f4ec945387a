"""Trouser leg: the front or the back of one leg, around its crease."""

from collections.abc import Mapping
from typing import ClassVar, Final, Literal

from webapp.draft.moves.base import (
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    figure_field,
)
from webapp.draft.outline import Cubic, Edge, Line, Outline, Point, straight
from webapp.draft.words import Sentence

# The hip line lies a third of the crotch depth above the crotch level, and the crotch curve
# starts there: common practice in trouser drafting, no source.
_HIP_LINE: Final = 2 / 3  # of the crotch depth, down from the waist
_ROUND: Final = 0.5523  # 4/3 (sqrt 2 - 1): a quarter of an ellipse where the corner is square


class TrouserLeg(ShapingMove):
    """One leg's front or back: centre on the left, side on the right."""

    title: ClassVar[str] = "Trouser leg"
    purpose: ClassVar[str] = "Start the front or the back of a trouser leg."
    starts_a_piece: ClassVar[bool] = True

    kind: Literal["trouser leg"] = "trouser leg"
    width: FigureText = figure_field(
        "Width at the hip line", "Of this piece: about a quarter of hip and ease."
    )
    depth: FigureText = figure_field("Crotch depth", "From the waist to the crotch level.")
    inside_leg: FigureText = figure_field("Inside leg", "From the crotch level to the hem.")
    fork: FigureText = figure_field(
        "Fork", "How far the crotch point reaches past the centre line; more on the back."
    )
    hem: FigureText = figure_field("Hem", "Hem width of this piece.")
    lean: FigureText = figure_field(
        "Centre leans in by", "How far the waist comes in at the centre.", "0 cm"
    )
    rise: FigureText = figure_field(
        "Centre raised by", "How much the waist goes up at the centre, on the back.", "0 cm"
    )

    def apply(self, work: Workpiece) -> Shaped:
        """Draw the leg; the centre line at the waist is the origin, before any lean or rise.

        Side and inside leg slant alike below the crotch level. So front and back match when
        their hem widths differ as their widths at the crotch level do.
        """
        work.refuse_second_shape()
        if work.on_fold:
            raise work.refusal("a trouser leg has no edge to lay on the fold; cut it as a pair")
        drawn = self._measured(work)
        width, depth, fork = drawn["width"], drawn["depth"], drawn["fork"]
        crease, foot = (width - fork) / 2, depth + drawn["inside leg"]
        waist, point, side = (drawn["lean"], 0.0 - drawn["rise"]), (-fork, depth), (width, depth)
        hem_in, hem_out = (
            (crease - drawn["half the hem"], foot),
            (crease + drawn["half the hem"], foot),
        )
        outline = Outline(
            (
                straight("waist", waist, (width, 0.0)),
                Edge("side", (Line((width, 0.0), side), Line(side, hem_out))),
                straight("hem", hem_out, hem_in),
                straight("inside leg", hem_in, point),
                _crotch(point, waist, drawn["hip line"]),
            )
        )
        made = ("hip line", "crotch level", "width", "depth", "fork", "hem width")
        figures = {name: drawn[name] for name in made}
        return Shaped(outline, figures, self._words(drawn))

    def _measured(self, work: Workpiece) -> dict[str, float]:
        """Its figures in mm by the name they go by in the words."""
        width = work.length_mm("width at the hip line", self.width)
        depth = work.length_mm("crotch depth", self.depth)
        inside_leg = work.length_mm("inside leg", self.inside_leg)
        fork, hem = work.length_mm("fork", self.fork), work.length_mm("hem", self.hem)
        lean = work.length_mm("centre leans in by", self.lean, or_zero=True)
        rise = work.length_mm("centre raised by", self.rise, or_zero=True)
        if lean >= width:
            raise work.limit("a lean of", lean, "as wide as the hip line or wider", width)
        hip_line = _HIP_LINE * depth
        # Lengthened down, the leaning centre line must meet the crotch level inside the fork.
        most = fork * (hip_line + rise) / (depth - hip_line)
        if lean >= most:
            raise work.limit("a lean of", lean, "more than the fork leaves room for", most)
        return {
            "width": width, "depth": depth, "inside leg": inside_leg, "fork": fork,
            "lean": lean, "rise": rise, "half the hem": hem / 2, "hip line": hip_line,
            "crotch level": width + fork, "half the crotch level": (width + fork) / 2,
            "hem width": hem,
        }  # fmt: skip

    def _words(self, lengths: Mapping[str, float]) -> tuple[Sentence, ...]:
        formulas = {
            "width": self.width, "depth": self.depth, "inside leg": self.inside_leg,
            "fork": self.fork, "lean": self.lean, "rise": self.rise, "hem width": self.hem,
            "half the hem": f"({self.hem}) / 2", "hip line": f"({self.depth}) * 2 / 3",
            "crotch level": f"({self.width}) + ({self.fork})",
            "half the crotch level": f"(({self.width}) + ({self.fork})) / 2",
        }  # fmt: skip
        leaning = [
            text for name, text in (("lean", "{lean} in"), ("rise", "{rise} up")) if lengths[name]
        ]
        centre = "From the waist draw the centre line"
        if leaning:
            centre = (
                f"From the top of the centre line mark {' and '.join(leaning)}; from the mark draw "
                "the waist to the side, and the centre line"
            )
        texts = (
            "Draw the centre line along the grain, {depth} long. Square to it draw the waist at "
            "its top, the hip line {hip line} below the waist, and the crotch level at its foot, "
            "each {width} wide; join their ends: the side.",
            "Lengthen the crotch level {fork} past the centre line: the crotch point.",
            f"{centre} straight to the hip line, then in a smooth curve to the crotch point, where "
            "it ends along the crotch level.",
            "Halve the crotch level, {half the crotch level} from the side, and from there draw "
            "the crease straight down, {inside leg} long.",
            "Square to its foot mark {half the hem} to each side: the hem. Join its ends to the "
            "side at the crotch level and to the crotch point.",
        )
        return tuple(Sentence(text, lengths, formulas) for text in texts)


def _crotch(point: Point, waist: Point, hip_line: float) -> Edge:
    """From the crotch point, level at first, up into the centre line and to the waist."""
    hip = (0.0, hip_line)
    below = (point[1] - hip_line) / (hip_line - waist[1])
    corner = (-waist[0] * below, point[1])  # where the centre line would meet the crotch level
    curve = Cubic(point, _share(point, corner), _share(hip, corner), hip)
    return Edge("crotch", (curve, Line(hip, waist)))


def _share(start: Point, corner: Point) -> Point:
    return (
        start[0] + _ROUND * (corner[0] - start[0]),
        start[1] + _ROUND * (corner[1] - start[1]),
    )
