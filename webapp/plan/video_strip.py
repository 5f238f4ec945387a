"""The video drawn as a strip to scale: chapters, shots by pace, the target; a tape of minutes.

How quick a picture is shows by how high its block stands, so that nothing rests on colour.
"""

from functools import lru_cache, partial
from typing import Final
from xml.etree.ElementTree import Element

from webapp.draft import svg
from webapp.filming.running_time import clock
from webapp.filming.shots import Shot
from webapp.plan.screen_time import Video
from webapp.remembered import Remembered, Same

_LETTERING: Final = {"font_family": "'Source Sans 3', sans-serif", "fill": "currentColor"}
_TEXT, _WIDE_LETTER = 12.5, 6.4  # px; how wide a letter stands at the most, on average
_EDGE: Final = 10.0  # room at either end
_NAMES, _CHAPTERS, _SHOTS, _TAPE, _BOTTOM = 16.0, 22.0, 36.0, 82.0, 106.0  # y of each row
_HEIGHTS: Final = {"real time": 40.0, "talked over": 27.0, "sped up": 14.0}
_drawn: Final[Remembered[tuple[Same, int | None, str, float], str]] = Remembered(50)
_MINUTES_BETWEEN: Final = (0.5, 1, 2, 5, 10, 15, 30, 60)


def draw_strip(video: Video, title: str, width: float) -> str:
    """The strip as SVG, so many pixels wide before the page fits it in. Remembered by its shots."""
    plans = tuple(one.plan for one in video.shots)
    return _drawn.get(
        (Same(plans), video.target_s, title, width), partial(_draw, video, title, width)
    )


def _draw(video: Video, title: str, width: float) -> str:
    target = video.target_s or 0
    scale = (width - 2 * _EDGE) / max(video.seconds, target, 1.0)
    top = 0.0 if video.chapters else _CHAPTERS
    root = svg.figure((0, top, width, _BOTTOM - top), title, described(video))
    _chapters(root, video, scale)
    shots = (
        _shot(_looks(one.plan.shot), one.plan.shot.title, _EDGE + scale * one.starts_s,
              scale * one.seconds)
        for one in video.shots
    )  # fmt: skip
    behind = _behind(max(video.seconds, target), target, video.over_s, scale)
    return svg.with_inside(svg.written(root), (*shots, behind))


def described(video: Video) -> str:
    """The strip in words."""
    told = [f"The video runs {clock(video.seconds)} in {len(video.shots)} shots."]
    if video.chapters:
        told.append("Chapters: " + ", ".join(one.line for one in video.chapters) + ".")
    if video.target_s is not None:
        way = "over" if video.over_s > 0 else "under"
        told.append(
            f"Its target is {clock(video.target_s)}: it is {clock(abs(video.over_s))} {way} that."
        )
    return " ".join(told)


def _chapters(root: Element, video: Video, scale: float) -> None:
    for number, one in enumerate(video.chapters, start=1):
        x, wide = _EDGE + scale * one.starts_s, scale * one.seconds
        svg.add(
            root, "rect", x=x, y=_CHAPTERS, width=wide, height=9.0,
            fill="currentColor", fill_opacity=0.55 if number % 2 else 0.2,
        )  # fmt: skip
        letters = int((wide - 4) / _WIDE_LETTER)
        text = f"{number} {one.title}"
        if len(text) > letters:
            text = f"{text[: letters - 1].rstrip()}…" if letters > 9 else str(number)
        if letters >= len(str(number)):
            svg.add(root, "text", text, x=x, y=_NAMES, font_size=_TEXT, **_LETTERING)


def _looks(shot: Shot) -> tuple[bool, float]:
    """Whether it talks, and how high its block stands."""
    talks = shot.kind == "talking"
    return talks, _HEIGHTS["real time" if talks else shot.pace]


@lru_cache(maxsize=2000)  # most edits leave most of them as they are
def _shot(looks: tuple[bool, float], title: str, x: float, wide: float) -> str:
    talks, high = looks
    gap = min(1.0, wide / 4)
    block = svg.add(
        Element("g"), "rect", x=x + gap / 2, y=_TAPE - 4 - high, width=wide - gap, height=high,
        fill="currentColor", fill_opacity=0.06 if talks else 0.45,
        stroke="currentColor", stroke_width=1 if talks else 0.4,
    )  # fmt: skip
    svg.add(block, "title", title)
    return svg.written(block)


@lru_cache(maxsize=50)
def _behind(seconds: float, target: float, over: float, scale: float) -> str:
    """The tape, and the target where there is one."""
    root = Element("g")
    _tape(root, seconds, scale)
    if target:
        _target(root, target, over, scale)
    return "".join(map(svg.written, root))


def _tape(root: Element, seconds: float, scale: float) -> None:
    """The minutes, as many as there is room for their figures."""
    line: dict[str, str | float] = {"stroke": "currentColor", "stroke_width": 1.0}
    end = _EDGE + scale * seconds
    svg.add(root, "line", x1=_EDGE, y1=_TAPE, x2=end, y2=_TAPE, **line)
    half = _WIDE_LETTER * len(clock(seconds)) / 2
    room = max(42, 3 * half)  # a figure at the end is moved in by a half at the most
    between: float = next((m for m in _MINUTES_BETWEEN if 60 * m * scale >= room), 120)
    while 60 * between * scale < room:
        between *= 2
    for number in range(int(seconds / (15 * between)) + 1):
        at = 15 * between * number  # four ticks from one figure to the next
        x, whole = _EDGE + scale * at, number % 4 == 0
        svg.add(root, "line", x1=x, y1=_TAPE, x2=x, y2=_TAPE + (7 if whole else 4), **line)
        if whole:
            svg.add(
                root, "text", clock(at), x=min(max(x, _EDGE + 4), end + _EDGE - half),
                y=_BOTTOM - 5, font_size=_TEXT, text_anchor="middle", **_LETTERING,
            )  # fmt: skip


def _target(root: Element, target: float, over: float, scale: float) -> None:
    x = _EDGE + scale * target
    for slant in range(int(max(0.0, scale * over) / 5)):
        left = x + 5 * slant
        svg.add(
            root, "line", x1=left, y1=_TAPE - 4, x2=min(left + 12, x + scale * over),
            y2=_SHOTS - 2, stroke="currentColor", stroke_width=0.7,
        )  # fmt: skip
    svg.add(
        root, "line", x1=x, y1=_CHAPTERS - 2, x2=x, y2=_TAPE + 10, stroke="currentColor",
        stroke_width=2, stroke_dasharray="5 3",
    )  # fmt: skip
