"""The days to the publish date drawn as a tape: shoot days, what follows them, and the slack.

A day is a tick, a shoot day a block of its own, empty where it is for shots on no day. What follows
the filming lies against the date, its likely days full, those more that are safe hatched; so that
what is left between is the slack.
"""

from datetime import date, timedelta
from functools import lru_cache
from typing import Final
from xml.etree.ElementTree import Element

from webapp.draft import svg
from webapp.filming.publishing import Schedule
from webapp.filming.shoot_days import told_day
from webapp.plan.date_words import told_slack

_LETTERING: Final = {"font_family": "'Source Sans 3', sans-serif", "fill": "currentColor"}
_TEXT: Final = 12.5
_EDGE: Final = 10.0
_TOP, _TAPE, _BOTTOM = 16.0, 44.0, 68.0  # y of the blocks, of the tape, of the dates' feet
_MOST_DAYS: Final = 120


def draw_days(schedule: Schedule, shoot_days: tuple[date, ...], width: float) -> str:
    """The strip as SVG, from the first shoot day to the publish date. Empty when that is past, or
    more days off than can be drawn."""
    # Estimates are equal without what comes of her pace, which tells in what they come to together.
    paces = (schedule.voice_over.by_pace, schedule.editing.by_pace)
    return _drawn(schedule, paces, shoot_days, width)


@lru_cache(maxsize=50)
def _drawn(
    schedule: Schedule, _paces: tuple[object, ...], shoot_days: tuple[date, ...], width: float
) -> str:
    first = min((*shoot_days, schedule.begins))
    count = (schedule.publish - first).days + 1
    if not 2 <= count <= _MOST_DAYS or schedule.free_days < 0:
        return ""
    after = schedule.begins + timedelta(days=schedule.more_days)
    root = svg.figure((0, 0, width, _BOTTOM), "The days to the date", described(schedule))
    one = (width - 2 * _EDGE) / count

    def x(day: date) -> float:
        return _EDGE + one * (day - first).days

    for day in shoot_days:
        _block(root, x(day), one, 1.0, "Filming")
    for number in range(schedule.more_days):
        _block(root, x(schedule.begins + timedelta(days=number)), one, 0.0, "Filming, on no day")
    safe = max(after, schedule.begin_by(schedule.needed.high) or after)
    likely = max(after, schedule.begin_by(schedule.needed.likely) or after)
    _hatched(root, x(safe), x(likely))
    if likely < schedule.publish:
        _block(root, x(likely), x(schedule.publish) - x(likely), 0.45, "Voice-over and editing")
    _tape(root, first, count, one)
    _date(root, x(schedule.publish) + one / 2, schedule.publish, "end")
    _date(root, _EDGE, first, "start")
    svg.add(
        root, "path", d=svg.through(_flag(x(schedule.publish) + one / 2), closed=True),
        fill="currentColor",
    )  # fmt: skip
    return svg.written(root)


def described(schedule: Schedule) -> str:
    """The strip in words."""
    return (
        f"What follows the filming can begin on {told_day(schedule.begins)}. {told_slack(schedule)}"
    )


def _block(root: Element, x: float, wide: float, shade: float, title: str) -> None:
    gap = min(2.0, wide / 4)
    block = svg.add(
        root, "rect", x=x + gap / 2, y=_TOP, width=wide - gap, height=_TAPE - _TOP - 3,
        fill="currentColor", fill_opacity=shade, stroke="currentColor", stroke_width=0.6,
    )  # fmt: skip
    svg.add(block, "title", title)


def _hatched(root: Element, start: float, end: float) -> None:
    high = _TAPE - 3 - _TOP
    for number in range(int(max(0.0, end - start) / 6)):
        left = start + 6 * number
        svg.add(
            root, "line", x1=left, y1=_TOP + high, x2=min(left + high / 2, end), y2=_TOP,
            stroke="currentColor", stroke_width=0.7,
        )  # fmt: skip


def _tape(root: Element, first: date, count: int, one: float) -> None:
    """A tick a day, longer on Mondays."""
    svg.add(
        root, "line", x1=_EDGE, y1=_TAPE, x2=_EDGE + count * one, y2=_TAPE,
        stroke="currentColor", stroke_width=1.0,
    )  # fmt: skip
    for number in range(count + 1):
        monday = (first + timedelta(days=number)).weekday() == 0
        svg.add(
            root, "line", x1=_EDGE + number * one, y1=_TAPE, x2=_EDGE + number * one,
            y2=_TAPE + (8 if monday else 4), stroke="currentColor", stroke_width=1.0,
        )  # fmt: skip


def _date(root: Element, x: float, day: date, anchor: str) -> None:
    svg.add(
        root, "text", told_day(day).removesuffix(f" {day.year}"), x=x, y=_BOTTOM - 4,
        font_size=_TEXT, text_anchor=anchor, **_LETTERING,
    )  # fmt: skip


def _flag(x: float) -> list[tuple[float, float]]:
    return [(x, _TAPE), (x, 4.0), (x + 8, 8.0), (x + 1, 12.0), (x + 1, _TAPE)]
