"""The hours of work and of filming as one bar on a tape of hours, with the range of their sum.

Work is full, filming hatched, so that nothing rests on colour; the line above the bar's end is
where the sum falls 4 times in 5.
"""

from functools import lru_cache
from typing import Final
from xml.etree.ElementTree import Element

from webapp.build.work_time import Estimate, total
from webapp.draft import svg

_LETTERING: Final = {"font_family": "'Source Sans 3', sans-serif", "fill": "currentColor"}
_TEXT: Final = 12.5
_EDGE: Final = 10.0
_RANGE, _BAR, _TAPE, _BOTTOM = 8.0, 16.0, 44.0, 66.0  # y of each row
_MOST_FIGURES: Final = 7
_BETWEEN: Final = (0.25, 0.5, 1, 2, 4, 8, 16, 40, 80)  # hours from one figure to the next


def draw_hours(work: Estimate, filming: Estimate, words: str, width: float) -> str:
    """The bar as SVG, so many pixels wide; `words` tell it to those who cannot see it.

    Empty when there are no hours to draw.
    """
    both = total([work, filming])  # equal times of other paces come to another sum
    return _drawn(work.likely, filming.likely, both, words, width) if both.high > 0 else ""


@lru_cache(maxsize=50)
def _drawn(work: float, filming: float, both: Estimate, words: str, width: float) -> str:
    most = both.high * 1.02
    scale = (width - 2 * _EDGE) / most
    root = svg.figure((0, 0, width, _BOTTOM), "Hours of work and of filming", words)
    at_work, at_all = _EDGE + scale * work, _EDGE + scale * (work + filming)
    high = _TAPE - 3 - _BAR
    svg.add(
        root, "rect", x=_EDGE, y=_BAR, width=at_work - _EDGE, height=high, fill="currentColor",
        fill_opacity=0.55,
    )  # fmt: skip
    _hatched(root, at_work, at_all, _BAR, high)
    low_x, high_x = _EDGE + scale * both.low, _EDGE + scale * both.high
    ends = ((low_x, low_x), (high_x, high_x))
    line = svg.through(((low_x, _RANGE), (high_x, _RANGE)))
    caps = " ".join(svg.through(((a, _RANGE - 4), (b, _RANGE + 4))) for a, b in ends)
    svg.add(root, "path", d=f"{line} {caps}", fill="none", stroke="currentColor", stroke_width=2)
    _tape(root, most / 60, scale * 60)
    return svg.written(root)


def _hatched(root: Element, start: float, end: float, top: float, high: float) -> None:
    if end - start < 0.5:
        return
    svg.add(
        root, "rect", x=start, y=top + 0.5, width=end - start, height=high - 1, fill="none",
        stroke="currentColor", stroke_width=1,
    )  # fmt: skip
    lines = []
    for number in range(int((end - start) / 6) + 1):
        x = start + 6 * number
        lean = min(end - x, high / 2)  # a line at the end stops at the edge
        lines.append(svg.through(((x, top + high), (x + lean, top + high - 2 * lean))))
    svg.add(root, "path", d=" ".join(lines), fill="none", stroke="currentColor", stroke_width=0.9)


def _tape(root: Element, hours: float, scale: float) -> None:
    """The hours, as many figures as are easily read."""
    end = _EDGE + hours * scale
    svg.add(root, "line", x1=_EDGE, y1=_TAPE, x2=end, y2=_TAPE, stroke="currentColor")
    between = next((one for one in _BETWEEN if hours / one <= _MOST_FIGURES), 160)
    while hours / between > _MOST_FIGURES:
        between *= 2
    for number in range(int(2 * hours / between) + 1):
        at = number * between / 2
        x, whole = _EDGE + at * scale, number % 2 == 0
        y = _TAPE + (7 if whole else 4)
        svg.add(root, "line", x1=x, y1=_TAPE, x2=x, y2=y, stroke="currentColor")
        if whole and (x < end - 30 or number == 0):
            svg.add(
                root, "text", _told(at), x=max(x, _EDGE), y=_BOTTOM - 4, font_size=_TEXT,
                text_anchor="middle" if number else "start", **_LETTERING,
            )  # fmt: skip


def _told(hours: float) -> str:
    whole, rest = divmod(round(60 * hours), 60)
    if not rest:
        return f"{whole} h"
    return f"{whole} h {rest} min" if whole else f"{rest} min"
