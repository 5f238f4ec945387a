"""Flared panel: a skirt panel or gore, wider at the hem than at the top."""

import math
from typing import ClassVar, Final, Literal

from webapp.draft.moves.arcs import arc
from webapp.draft.moves.base import (
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    figure_field,
    switch_field,
)
from webapp.draft.outline import Cubic, Edge, Line, Outline, straight
from webapp.draft.words import Sentence
from webapp.errors import MoveError
from webapp.units import both_as_cut

_NO_FLARE_MM: Final = 1e-6  # arithmetic noise in two figures that come to the same


class FlaredPanel(ShapingMove):
    """A panel whose sides slant from the top out to the hem."""

    title: ClassVar[str] = "Flared panel"
    purpose: ClassVar[str] = "Start a skirt panel or a gore from its top, its hem and its length."
    starts_a_piece: ClassVar[bool] = True

    kind: Literal["flared panel"] = "flared panel"
    top: FigureText = figure_field("Top", "Width at the top; on the fold, half the piece.")
    hem: FigureText = figure_field(
        "Hem", "Marked straight across at the foot of the centre; on the fold, half the piece."
    )
    length: FigureText = figure_field("Length", "Down the centre.")
    level: bool = switch_field(
        "Level hem", "The hem curves up, so that the side is as long as the centre.", True
    )

    def apply(self, work: Workpiece) -> Shaped:
        """Draw the panel; the top of its centre line is the origin.

        A level hem is everywhere `length` from the top edge: straight below it, and round each
        end of it in an arc. So it meets centre and sides square.
        """
        work.refuse_second_shape()
        top, hem = work.length_mm("top", self.top), work.length_mm("hem", self.hem)
        length = work.length_mm("length", self.length)
        if self.level and hem < top - _NO_FLARE_MM:
            raise work.refusal(
                f"the hem, {both_as_cut(hem, 'cm')}, is narrower than the top, "
                f"{both_as_cut(top, 'cm')}; switch “level hem” off for a piece that narrows"
            )
        share = 1 if work.on_fold else 2
        half_top, half_hem = top / share, hem / share
        if abs(half_hem - half_top) > length + _NO_FLARE_MM:
            raise self._too_flat(work, hem, top + share * length, top - share * length)
        curve = _level_end(half_top, half_hem, length) if self.level else ()
        foot = curve[0].start if curve else (half_hem, length)
        left_end = (0.0, length) if work.on_fold else (-foot[0], foot[1])
        flat_from = curve[-1].end if curve else foot
        mirrored = () if work.on_fold else tuple(_mirrored(s) for s in reversed(curve))
        flat_to = mirrored[0].start if mirrored else left_end
        hem_line = Edge("hem", (*curve, Line(flat_from, flat_to), *mirrored))
        top_left = (0.0 if work.on_fold else -half_top, 0.0)
        right, left = ("side", "centre") if work.on_fold else ("right side", "left side")
        outline = Outline(
            (
                straight("top", top_left, (half_top, 0.0)),
                straight(right, (half_top, 0.0), foot),
                hem_line,
                straight(left, left_end, top_left),
            )
        )
        figures = {"length": length, "top width": top, "hem marked": hem}
        return Shaped(outline, figures, self._words(work, figures))

    def _too_flat(self, work: Workpiece, hem: float, most: float, least: float) -> MoveError:
        """A side that leans 45° goes out as far as it goes down; a flatter one is refused.

        Common practice, no source: a skirt as wide as that is drawn as a ring.
        """
        than, limit = ("more", most) if hem > most else ("less", least)
        return work.refusal(
            f"a hem of {both_as_cut(hem, 'cm')} is {than} than sides of this length can slant to, "
            f"{both_as_cut(limit, 'cm')}; beyond that they lie flatter than halfway between "
            "upright and level. Start so wide a skirt as a ring or part of one"
        )

    def _words(self, work: Workpiece, figures: dict[str, float]) -> tuple[Sentence, ...]:
        each, share = ("", 1) if work.on_fold else (" to each side", 2)
        where = "along the fold" if work.on_fold else "along the grain"
        top, hem = ("top width", "width at the foot")
        formulas = {"length": self.length, top: self.top, hem: self.hem, "hem marked": self.hem}
        lengths = figures | {hem: figures["hem marked"]}
        if share == 2:
            formulas |= {f"half the {name}": f"({formulas[name]}) / 2" for name in (top, hem)}
            lengths |= {f"half the {name}": lengths[name] / 2 for name in (top, hem)}
            top, hem = f"half the {top}", f"half the {hem}"
        side, every = ("side", "the") if work.on_fold else ("sides", "each")
        texts = [
            f"Draw the centre line {where}, {{length}} long.",
            f"Square to it mark {{{top}}}{each} at its top and {{{hem}}}{each} at its foot, "
            f"and join the marks: the {side}.",
        ]
        if self.level and lengths[hem] > lengths[top]:
            texts.append(
                f"Level the hem: from {every} outer end of the top mark {{length}} in several "
                f"places, from straight down round to the side line, and join the marks with a "
                "curve. The hem meets centre and side square."
            )
        return tuple(Sentence(text, lengths, formulas) for text in texts)


def _level_end(top: float, hem: float, length: float) -> tuple[Cubic, ...]:
    """The curved end of a level hem, from the foot of the side to below the end of the top."""
    flare = math.atan2(hem - top, length)
    if flare < _NO_FLARE_MM / length:
        return ()
    return arc((top, 0.0), length, math.pi / 2 - flare, flare)


def _mirrored(curve: Cubic) -> Cubic:
    return curve.placed(lambda point: (-point[0], point[1])).reversed()
