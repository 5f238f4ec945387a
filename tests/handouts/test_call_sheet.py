"""The call sheet against the plan, and its PDF read back by libraries that did not write it."""

import re
from dataclasses import fields, is_dataclass
from datetime import date
from io import BytesIO
from typing import Any, get_type_hints

import pdfplumber
import pytest
from pypdf import PdfReader

from tests.handouts.read_pages import words_of
from webapp.filming.figures import single_unit_measurements
from webapp.filming.running_time import clock
from webapp.filming.shoot_days import told_clock
from webapp.handouts import call_sheet_view
from webapp.handouts.call_sheet import call_sheet_html, call_sheet_of, call_sheet_pdf
from webapp.handouts.call_sheet_view import (
    Between,
    CallSheet,
    Check,
    Clock,
    DaySheet,
    Group,
    ShotEntry,
)
from webapp.plan.day_plan import DayPlan
from webapp.plan.edits import changed
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.plan.timetable import evening_lines, timetable
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode

_DAY = date(2027, 1, 31)  # of the skirt: looks, a break, steps that cannot be taken back
_MARGIN = 12 / 25.4 * 72
_FRAME = 3 / 25.4 * 72  # a frame stands so far out
# By the sources that `call_sheet` names: of clock times, of what is to be done, of all else.
_TIME_PT, _TITLE_PT, _LEAST_PT = 26.0, 22.0, 14.0


@pytest.fixture(scope="module")
def skirt() -> Plan:
    file = files_dir("demo_data") / "episode-4-market-day-skirt.json"
    return evaluate(read_episode(file.read_bytes()))


@pytest.fixture(scope="module")
def printed(skirt: Plan) -> bytes:
    pdf = call_sheet_pdf(skirt, _DAY)
    assert pdf is not None
    return pdf


@pytest.fixture(scope="module")
def sheet(plan: Plan) -> CallSheet:
    return call_sheet_of(plan)


def _on(day: DaySheet) -> list[ShotEntry]:
    return [one for one in day.entries if isinstance(one, ShotEntry)]


def _items(groups: tuple[Group, ...], name: str) -> list[str]:
    return [item.what for group in groups if group.name == name for item in group.items]


def _days(plan: Plan) -> list[DayPlan]:
    return [day for day in plan.days if day.shots]


def test_every_shot_is_there_once_in_order_at_the_time_its_camera_rolls(
    plan: Plan, sheet: CallSheet
) -> None:
    assert len(sheet.days) == len(_days(plan)) > 1
    for planned, day in zip(_days(plan), sheet.days, strict=True):
        expected = [
            (told_clock(shot.rolls.likely), shot.plan.number, shot.plan.shot.title)
            for shot in planned.shots
        ]
        assert [(one.clock.time, one.number, one.title) for one in _on(day)] == expected


def test_every_line_of_the_timetable_is_there_at_its_time(plan: Plan, sheet: CallSheet) -> None:
    for planned, day in zip(_days(plan), sheet.days, strict=True):
        between = [one for one in day.entries if isinstance(one, Between)]
        told = [(one.clock.time, one.words) for one in between]
        told += [(one.clock.time, one.words) for shot in _on(day) for one in shot.after]
        lines = [line for row in timetable(plan, planned) for line in (*row.ahead, *row.after)]
        lines += evening_lines(plan, planned.day.day)
        assert sorted(told) == sorted((told_clock(line.at), line.words) for line in lines)
        assert len(told) == len(lines) > 0


def test_what_cannot_be_taken_back_is_framed_and_falls_back_on_its_spare_once(
    plan: Plan, sheet: CallSheet
) -> None:
    html = call_sheet_html(plan) or ""
    one_way = {shot.number for shot in plan.shots if shot.one_way}
    entries = [one for day in sheet.days for one in _on(day)]
    framed = [one for one in entries if one.one_way]
    assert {one.number for one in framed} == one_way & {one.number for one in entries} != set()
    assert html.count('class="entry shot one-way"') == len(framed)
    assert html.count("Cannot be taken back") == html.count("Camera rolling</span>") == len(framed)
    steps = {step.name: step for step in (row.step for row in plan.steps)}
    spares = [one.spare for one in framed if one.spare]
    assert len(spares) == len(set(spares))
    assert "A slip is pieced with a seam" in " ".join(spares)
    assert all(steps[row.step_name].one_way for row in plan.shots if row.one_way)


def test_a_box_stands_by_every_shot_and_by_everything_to_get_ready(
    plan: Plan, sheet: CallSheet
) -> None:
    html = call_sheet_html(plan) or ""
    shots = [one for day in sheet.days for one in _on(day)]
    ready = [item for day in sheet.days for g in (*day.before, *day.at_hand) for item in g.items]
    assert html.count('<span class="box"></span>') == len(shots)
    rolling = sum(one.one_way for one in shots)
    assert html.count('<span class="tick"></span>') == len(ready) + rolling


def test_the_night_before_is_for_work_off_camera_pressing_and_charging(skirt: Plan) -> None:
    (day,) = call_sheet_of(skirt, _DAY).days
    work = day.before[0]
    assert [item.what for item in work.items] == ["Hang it for 24 hours"]
    assert "evening of 29 January 2027" in work.items[0].told
    assert "rests for 24 hours" in work.items[0].told
    assert _items(day.before, "Press") == [
        "The Lighthouse Smock",
        "The white shirt",
        "The skirt, from the inside",
    ]
    assert _items(day.before, "Camera") == ["Charge 1 battery", "Empty 1 memory card"]


def test_what_is_done_in_the_evening_ends_the_day(skirt: Plan) -> None:
    """Hung before bed, so that it has rested on the next day but one."""
    first, last = call_sheet_of(skirt).days
    done = first.entries[-1]
    assert done == Between(
        "evening", Clock("21:00"), "Hang it for 24 hours", "3 min, then it rests for 24 hours"
    )
    assert all(entry.kind != "evening" for entry in last.entries)
    html = call_sheet_html(skirt) or ""
    assert '<span class="by">by</span> 21:00' in html
    assert "Evening: Hang it for 24" in html


def test_at_hand_is_what_the_steps_of_the_day_are_worked_with(skirt: Plan) -> None:
    (day,) = call_sheet_of(skirt, _DAY).days
    assert _items(day.at_hand, "Pieces") == ["Skirt front and Skirt back"]
    # The hem is trimmed, pressed, sewn and tried on; nothing is pinned or overlocked that day.
    assert _items(day.at_hand, "Tools") == [
        "Mirror",
        "Shears",
        "Iron and board",
        "Sewing machine, threaded",
    ]
    assert "Hem ruler" in _items(day.at_hand, "Notions")
    assert _items(day.at_hand, "Skirt with a tucked shirt")[0] == "Hair and make-up"
    assert day.cautions == "Blades, iron, needles and pins."


def test_the_clock_is_looked_at_within_every_hour_or_so_and_at_the_end(sheet: CallSheet) -> None:
    for day in sheet.days:
        looks = [
            (one.clock.time, one.shots if isinstance(one, Check) else one.by_then)
            for one in day.entries
            if isinstance(one, Check) or (isinstance(one, Between) and one.by_then)
        ]
        count = len(_on(day))
        assert looks[-1] == (day.likely, f"{count} of {count}")
        assert 2 <= len(looks) <= count
        filmed = 0
        due = {done: at for at, done in looks}
        for one in day.entries:  # each stands where so many are filmed, whichever line holds it
            done = one.shots if isinstance(one, Check) else getattr(one, "by_then", "")
            assert not done or (done == f"{filmed} of {count}" and one.clock.time == due[done])
            filmed += isinstance(one, ShotEntry)


def test_the_head_of_a_day_says_where_the_camera_stands_and_how_far_the_video_is(
    plan: Plan, sheet: CallSheet
) -> None:
    first = sheet.days[0]
    places = [(one.clock, one.place) for one in first.stretches]
    # The demo's first day: the linen on the line, then pressed, then the table.
    assert places[:2] == [("09:00", "In the yard"), ("09:45", "Over the table")]
    moves = sum(shot.moves_camera for shot in _days(plan)[0].shots)
    assert len(places) == moves + 1
    last = sheet.days[-1]  # by then all is filmed
    whole = clock(plan.running_time_s)
    assert last.video.startswith(f"Filmed by its end: all {whole} of the video")
    assert f" of {whole} of the video" in first.video
    assert first.light == "until 15:45"
    assert first.noise == ("15:00 to 15:30 the children of the lane come home",)


def test_a_filmed_shot_is_told_as_done_and_the_others_keep_their_place(skirt: Plan) -> None:
    episode = skirt.episode
    on = next(day for day in episode.shoot_days if day.day == _DAY)
    first = on.shots[0]
    shots = tuple(
        changed(shot, filmed={"day": _DAY}) if shot.id == first else shot for shot in episode.shots
    )
    days = tuple(
        changed(day, goes_on_at="11:10") if day is on else day for day in episode.shoot_days
    )
    plan = evaluate(changed(episode, shots=shots, shoot_days=days))
    (day,) = call_sheet_of(plan, _DAY).days
    entries = _on(day)
    assert [one.filmed for one in entries] == [True] + [False] * (len(on.shots) - 1)
    assert day.hours == "10:00 to 15:30, goes on at 11:10"
    html = call_sheet_html(plan, _DAY) or ""
    assert html.count('<span class="tick ticked">') == 1
    assert html.count('<span class="box"></span>') == len(on.shots) - 1


def test_without_shoot_days_or_on_another_day_there_is_no_sheet(skirt: Plan) -> None:
    bare = evaluate(changed(skirt.episode, shoot_days=()))
    assert call_sheet_pdf(bare) is None
    assert call_sheet_pdf(skirt, date(2000, 1, 1)) is None


def test_the_clocks_that_change_are_told(skirt: Plan) -> None:
    episode = skirt.episode
    # Summer time began in the United Kingdom at 01:00 on the last Sunday of March (gov.uk).
    day = changed(episode.shoot_days[0], day=date(2027, 3, 28), starts="00:30")
    brief = changed(episode.brief, time_zone="Europe/London")
    (sheet,) = call_sheet_of(evaluate(changed(episode, brief=brief, shoot_days=(day,)))).days
    assert any("clocks" in sentence for sentence in sheet.warnings)


def test_every_length_is_in_both_units(plan: Plan, skirt: Plan) -> None:
    for one in (plan, skirt):
        text = re.sub(r"<[^>]+>", "", call_sheet_html(one) or "")
        assert " cm (" in text
        assert single_unit_measurements(text) == ()


def test_the_paper_is_the_one_chosen(skirt: Plan) -> None:
    choices = changed(skirt.episode.print_choices, paper="letter")
    plan = evaluate(changed(skirt.episode, print_choices=choices))
    assert call_sheet_of(skirt).paper == "a4"
    assert call_sheet_of(plan).paper == "letter"
    assert call_sheet_of(plan, paper="a4").paper == "a4"


# --- Printed ----------------------------------------------------------------------------------


def test_times_and_titles_are_as_large_as_they_must_be(skirt: Plan, printed: bytes) -> None:
    day = next(one for one in skirt.days if one.day.day == _DAY)
    times = {told_clock(shot.rolls.likely) for shot in day.shots}
    with pdfplumber.open(BytesIO(printed)) as document:
        words = [
            word
            for page in document.pages
            for word in page.extract_words(extra_attrs=["size"], use_text_flow=True)
        ]
    sizes = {
        word["text"]: [w["size"] for w in words if w["text"] == word["text"]] for word in words
    }
    assert all(max(sizes[time]) >= _TIME_PT - 0.01 for time in times)
    for shot in day.shots:
        at = next(i for i, w in enumerate(words) if w["text"] == f"{shot.plan.number}.")
        title = shot.plan.shot.title.split()
        own = words[at + 1 : at + 1 + len(title)]
        assert [word["text"] for word in own] == title
        assert all(word["size"] >= _TITLE_PT - 0.01 for word in words[at : at + 1 + len(title)])
    # Fractions are set smaller, and so is the line at the foot of the page.
    small = [word for word in words if word["size"] < _LEAST_PT - 0.01]
    assert {word["text"] for word in small} <= {"The", "Market-Day", "Skirt,", "call", "sheet"}


def test_pages_are_a4_with_nothing_outside_the_margins(printed: bytes) -> None:
    with pdfplumber.open(BytesIO(printed)) as document:
        for page in document.pages:
            # ISO 216: 210 by 297 mm, at 72 points to the inch.
            assert float(page.width) == pytest.approx(210 / 25.4 * 72, abs=0.3)
            assert float(page.height) == pytest.approx(297 / 25.4 * 72, abs=0.3)
            edges = [(word["x0"], word["x1"]) for word in page.extract_words()]
            assert min(x0 for x0, _ in edges) >= _MARGIN - _FRAME
            assert max(x1 for _, x1 in edges) <= float(page.width) - _MARGIN + _FRAME


def test_the_text_is_read_in_the_order_of_the_day(skirt: Plan, printed: bytes) -> None:
    text = words_of(printed)
    day = next(one for one in skirt.days if one.day.day == _DAY)
    places = [text.index(f"{s.plan.number}. {s.plan.shot.title}") for s in day.shots]
    assert places == sorted(places)
    assert text.index("The night before") < text.index("At hand") < places[0]


@pytest.mark.usefixtures("printed_anew")
def test_it_is_tagged_and_the_same_bytes_again(skirt: Plan, printed: bytes) -> None:
    root: Any = PdfReader(BytesIO(printed)).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/StructTreeRoot"]["/K"]
    assert root["/Lang"] == "en-GB"
    assert call_sheet_pdf(skirt, _DAY) == printed


def _views() -> list[Any]:
    views = [each for each in vars(call_sheet_view).values() if is_dataclass(each)]
    return [view for view in views if view.__module__ == call_sheet_view.__name__]


@pytest.mark.parametrize("view", _views(), ids=lambda view: view.__name__)
def test_every_field_the_template_may_use_says_what_it_holds(view: Any) -> None:
    hints = get_type_hints(view, include_extras=True)
    for each in fields(view):
        (words,) = hints[each.name].__metadata__
        assert len(words) > 5
