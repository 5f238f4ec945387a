"""A shoot day drawn to scale for the wall: filming stands high, work low, and greys tell them."""

from typing import Final

from markupsafe import Markup, escape

from webapp.handouts.drawings import FACE, INK
from webapp.plan.day_plan import DayPlan
from webapp.plan.day_strip import BarKind, day_strip

_WIDTH: Final = 186.0  # mm, of the text on the page
_MM: Final = 4.0  # of the drawing's own units to a mm
# From the top and how high, and the fill: as the page of the days has them, in greys.
_LOOKS: Final[dict[BarKind, tuple[int, int, str]]] = {
    "film": (4, 40, INK),
    "set up": (24, 20, "#8e979d"),
    "work": (34, 10, "#8e979d"),
    "break": (4, 40, "#ffffff"),
    "noise": (0, 44, "#e3e3e3"),
    "dark": (0, 44, "#bdbdbd"),
}


def strip_of(day: DayPlan) -> Markup:
    """The day as SVG, as wide as the text of the sheet; empty when nothing is left to film."""
    strip = day_strip(day, _WIDTH * _MM - 24)
    if strip is None:
        return Markup()
    parts = []
    for bar in (*strip.behind, *strip.bars):
        top, high, filled = _LOOKS[bar.kind]
        edge = ' stroke="#22303a" stroke-dasharray="4 3"' if bar.kind == "break" else ""
        parts.append(
            f'<rect x="{bar.at:.1f}" y="{top}" width="{bar.width:.1f}" height="{high}" '
            f'fill="{filled}"{edge}/>'
        )
    parts.append(f'<path d="M0 44H{strip.width:.1f}" stroke="{INK}" stroke-width="1.6"/>')
    for at, words in strip.hours:
        parts.append(f'<path d="M{at:.1f} 44v7" stroke="{INK}" stroke-width="1.6"/>')
        if words:
            parts.append(
                f'<text x="{at:.1f}" y="71" text-anchor="middle" font-size="20" '
                f'font-family="{FACE}" fill="{INK}">{words}</text>'
            )
    parts.append(f'<path d="M{strip.end:.1f} 0V54" stroke="{INK}" stroke-width="5"/>')
    title = escape(f"The day drawn to scale. {day.told_end}")
    return Markup(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH}mm" height="{76 / _MM}mm" '
        f'viewBox="-12 0 {_WIDTH * _MM:.0f} 76"><title>{title}</title>{"".join(parts)}</svg>'
    )


def strip_key(day: DayPlan) -> str:
    """What the drawing shows, in words; empty when nothing is left to film."""
    strip = day_strip(day, _WIDTH * _MM)
    if strip is None:
        return ""
    kinds = {bar.kind for bar in (*strip.behind, *strip.bars) if bar.width > 0}
    told = ["Tall: filming", "low: work, setting up"]
    if "break" in kinds:
        told.append("dashed: break")
    if grey := [kind for kind in ("noise", "dark") if kind in kinds]:
        told.append(f"grey: {' or '.join(grey)}")
    return f"{'; '.join(told)}; bar: its end."
