"""Drawings to scale: the days to the date, the video."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from typing import Any
from xml.etree.ElementTree import Element, fromstring

import pytest

from webapp.build.work_time import Estimate
from webapp.filming.publishing import Schedule
from webapp.plan.date_strip import draw_days
from webapp.plan.screen_time import Video
from webapp.plan.video_strip import draw_strip

SVG = "{http://www.w3.org/2000/svg}"
PUBLISH = date(2027, 1, 15)


def _schedule(free: int, **fields: Any) -> Schedule:
    """4 days of editing, 7 to be safe, at 5 h a day."""
    return Schedule(
        PUBLISH, PUBLISH - timedelta(days=free), 5.0, Estimate(), Estimate(600, 1200, 2100),
        **fields,
    )  # fmt: skip


def _blocks(root: Element) -> list[tuple[str, float, float]]:
    """What each block is, the day it begins on, counted from the first, and how many it lasts."""
    day = (1100 - 20) / 20
    return [
        (
            block.findtext(f"{SVG}title", ""),
            round((float(block.get("x", "")) - 11) / day, 2),
            round((float(block.get("width", "")) + 2) / day, 2),
        )
        for block in root.iter(f"{SVG}rect")
    ]


def test_every_day_stands_in_its_place() -> None:
    """From 27 December on, twenty days: filmed on the 27th and 1st, edited from the 11th on."""
    days = (date(2026, 12, 27), date(2027, 1, 1))
    root = fromstring(draw_days(_schedule(13), days, 1100))
    assert _blocks(root) == [
        ("Filming", 0, 1), ("Filming", 5, 1), ("Voice-over and editing", 15, 4),
    ]  # fmt: skip
    hatched = [line for line in root.iter(f"{SVG}line") if line.get("stroke-width") == "0.7"]
    starts = [float(line.get("x1", "")) for line in hatched]
    assert starts[0] == pytest.approx(10 + 54 * 12)  # the 8th, three days more to be safe
    assert max(float(line.get("x2", "")) for line in hatched) <= 10 + 54 * 15
    assert [text.text for text in root.iter(f"{SVG}text")] == ["15 January", "27 December"]


def test_days_for_filming_that_is_on_none_are_drawn() -> None:
    root = fromstring(draw_days(_schedule(19, more_days=2), (), 1100))
    assert _blocks(root)[:2] == [("Filming, on no day", 0, 1), ("Filming, on no day", 1, 1)]
    empty = [block for block in root.iter(f"{SVG}rect") if block.get("fill-opacity") == "0"]
    assert len(empty) == 2  # told by their shape, as a tone is another one on a dark page


def test_when_there_are_too_few_days_all_there_are_are_taken() -> None:
    days = (date(2026, 12, 27), date(2027, 1, 12))
    root = fromstring(draw_days(_schedule(2), days, 1100))
    assert _blocks(root)[-1] == ("Voice-over and editing", 17, 2)
    (told,) = [desc.text for desc in root.iter(f"{SVG}desc")]
    assert told == (
        "What follows the filming can begin on 13 January 2027. There are 2 days for "
        "the editing. Likely it takes 4 days: 2 too few. To be safe, 9 times in 10, 7 days: 5 too "
        "few."
    )


@pytest.mark.parametrize("free", [-1, 0, 300])
def test_a_date_that_is_past_or_far_off_is_not_drawn(free: int) -> None:
    assert draw_days(_schedule(free), (), 1100) == ""


def test_more_days_than_there_are_dates_are_not_drawn() -> None:
    assert draw_days(_schedule(20, more_days=10**7), (), 1100) == ""
    far = replace(_schedule(20), editing=Estimate(1e9, 1e12, 1e15))
    root = fromstring(draw_days(far, (), 1100))
    assert _blocks(root) == [("Voice-over and editing", 0, 19.05)]


@pytest.mark.parametrize("seconds", [60, 510, 3600, 5000, 40_000, 10**6, 10**12])
def test_a_tape_has_no_more_figures_than_it_has_room_for(seconds: int) -> None:
    """Four ticks from one figure to the next; a letter is 6 px wide."""
    root = fromstring(draw_strip(Video((), {}, seconds), "The video", 1100))
    assert len(list(root.iter(f"{SVG}line"))) < 120
    figures = [(text.text or "", float(text.get("x", ""))) for text in root.iter(f"{SVG}text")]
    assert 2 <= len(figures) <= 30
    for (one, at), (_, after) in pairwise(figures):
        assert after - at > 6 * len(one)
    last, at = figures[-1]
    assert at + 6 * len(last) / 2 < 1100  # whole, though it stands at the end
