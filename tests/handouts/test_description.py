"""The description for the upload, against what such pages commonly ask for and against the plan."""

import re
from collections.abc import Callable
from datetime import date
from typing import Any, Final

import pytest

from tests.demo_documents import EPISODES, SMOCK
from tests.handouts.conftest import Change
from tests.handouts.test_captions import HOSTILE, shot_plan
from webapp.filming.figures import single_unit_measurements
from webapp.handouts.broken_lines import plain
from webapp.handouts.description import description_txt, why_no_chapters
from webapp.plan.editions import with_edition
from webapp.plan.edits import changed, in_size
from webapp.plan.episode import Brief, Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.plan_json import plan_json
from webapp.plan.print_choices import PrintChoices
from webapp.plan.results import Plan
from webapp.plan.screen_time import video

_CHAPTER: Final = re.compile(r"^((?:\d+:)?\d{1,2}:\d\d) (.+)$", re.MULTILINE)


def text_of(plan: Plan, filmed: Plan | None = None) -> str:
    return description_txt(plan, filmed).decode()


def chapters_in(text: str) -> list[tuple[int, str]]:
    """As a page reads them: seconds and titles of the lines that begin with a time."""
    found = []
    for time, title in _CHAPTER.findall(text):
        seconds = 0
        for part in time.split(":"):
            seconds = 60 * seconds + int(part)
        found.append((seconds, title))
    return found


@pytest.fixture(scope="module")
def smock() -> Plan:
    """The smock in one size and one cloth: the others are laid in test_pack."""
    return evaluate(changed(EPISODES[SMOCK], sizes=(), other_cloths=()))


@pytest.fixture(scope="module")
def text(smock: Plan) -> str:
    return text_of(smock)


def test_chapters_are_as_upload_pages_ask_for_them(smock: Plan, text: str) -> None:
    """From 0:00 on, three at least, in order, each of 10 s: common practice, no source."""
    found = chapters_in(text)
    assert [title for _, title in found] == [c["title"] for c in plan_json(smock)["chapters"]]
    starts = [seconds for seconds, _ in found]
    assert starts[0] == 0
    assert len(starts) >= 3
    ends = [*starts[1:], round(smock.running_time_s)]
    assert all(end - start >= 10 for start, end in zip(starts, ends, strict=True))


def test_chapters_follow_the_captions_where_the_sheets_are_for_another_size(smock: Plan) -> None:
    other = evaluate(changed(in_size(EPISODES[SMOCK], "XL"), sizes=(), other_cloths=()))
    assert chapters_in(text_of(other, smock)) == chapters_in(text_of(smock))
    assert "bust" not in text_of(smock)  # one size needs no choosing
    assert "XL: girth all round 148 cm (58 1/4 in)" in text_of(other, smock)


@pytest.mark.parametrize(
    ("seconds", "why"),
    [
        ((60, 60), "There are fewer than 3."),
        ((60, 9, 60), "“Chapter 1” lasts less than 10 s."),
        ((9, 60, 9), "“Chapter 0” and “Chapter 2” last less than 10 s."),
        ((10, 10, 10), ""),
        ((), ""),
    ],
)
def test_chapters_that_pages_would_not_take_are_left_out_and_told(
    seconds: tuple[int, ...], why: str
) -> None:
    plan = shot_plan(
        *({"screen_seconds": one, "chapter": f"Chapter {at}"} for at, one in enumerate(seconds))
    )
    assert why_no_chapters(video(plan)) == why
    assert len(chapters_in(text_of(plan))) == (len(seconds) if not why else 0)


def test_from_an_hour_on_times_have_hours() -> None:
    plan = shot_plan(*({"screen_seconds": one, "chapter": f"C{one}"} for one in (3000, 1000, 60)))
    assert _CHAPTER.findall(text_of(plan)) == [
        ("0:00", "C3000"),
        ("50:00", "C1000"),
        ("1:06:40", "C60"),
    ]


def test_a_beginning_without_a_name_begins_at_nought() -> None:
    plan = shot_plan(
        {"screen_seconds": 20},
        *({"screen_seconds": 20, "chapter": name} for name in ("Cut", "Sew")),
    )
    assert chapters_in(text_of(plan)) == [(0, "Beginning"), (20, "Cut"), (40, "Sew")]


def test_its_head_says_how_hard_and_how_long_it_is(smock: Plan, text: str) -> None:
    head = text.partition("\n\nCHAPTERS")[0].splitlines()
    found = re.fullmatch(r".+ · about (\d+) h (?:(\d+) min )?to make", head[-1])
    assert found
    hours, minutes = found.groups()
    own = [one for one in plan_json(smock)["steps"] if one["garment"] == "Lighthouse Smock"]
    likely = sum(one["work_minutes"]["likely"] for one in own)
    assert 60 * int(hours) + int(minutes or 0) == pytest.approx(likely, abs=30)
    assert head[0] == smock.episode.title


def test_materials_are_those_of_the_plan(smock: Plan, text: str) -> None:
    for lay in plan_json(smock)["lays"]:
        line = next(one for one in text.splitlines() if one.startswith(f"- {lay['cloth']}: "))
        assert f"; {lay['buy']['metres']} ({lay['buy']['yards']})" in line
    for notion in smock.notions:
        assert f"- {notion.notion.name}" in text
        assert notion.amount.plain in text


def test_the_unit_chosen_stands_first(smock: Plan) -> None:
    text = text_of(evaluate(changed(smock.episode, first_unit="in")))
    assert "59 in (150 cm) wide" in text
    assert "28 3/8 in (72 cm)" in text


def test_the_cloths_own_width_is_not_told_among_the_others() -> None:
    """Another one than cloth is usually sold in has a row of its own in the table."""
    cloth, *others = EPISODES[SMOCK].cloths
    (kept,) = EPISODES[SMOCK].kept_ways
    own = changed(kept.widths[2], cm="145 cm", inch="57 1/8 in", mm=1450.0)
    episode = changed(
        EPISODES[SMOCK],
        cloths=(changed(cloth, width="145 cm"), *others),
        kept_ways=(changed(kept, widths=(*kept.widths[:3], own, kept.widths[3])),),
    )
    text = text_of(evaluate(episode))
    assert re.findall(r"^  (\d+ cm \(.+?\)) wide: ", text, re.MULTILINE) == [
        "90 cm (36 in)", "115 cm (45 in)", "140 cm (54–56 in)", "150 cm (60 in)"
    ]  # fmt: skip


def test_every_size_that_is_printed_is_told() -> None:
    episode = EPISODES[SMOCK]
    sizes = episode.sizes[:2]  # nothing has to be laid for those that are left out
    chosen = PrintChoices(sizes=(sizes[0].name,))
    plan = evaluate(changed(episode, sizes=sizes, other_cloths=(), print_choices=chosen))
    text = text_of(plan)
    told = {one["name"]: one["finished"] for one in plan_json(plan)["sizes"]}
    for name, called in (("Wren", "Wren (in the video)"), (sizes[0].name, sizes[0].name)):
        girth = told[name]["Girth all round"]
        assert f"\n{called}: girth all round {girth['cm']} ({girth['inch']})\n" in text
    cuff = told["Wren"]["Cuff"]  # the same in every size
    assert re.search(rf"In every size: .*cuff {cuff['cm']} \({cuff['inch']}\)", text)
    assert f"\n{sizes[1].name}: " not in text


def test_no_length_is_told_in_one_unit(text: str) -> None:
    assert single_unit_measurements(text) == ()


def test_cautions_are_told_in_short_and_no_draft(text: str) -> None:
    assert "Take care: blades, iron, needles and pins. The companion says how." in text
    assert "16 CFR 1120" in text
    assert "dition" not in text  # a draft has not gone out


def test_an_edition_that_went_out_is_named(smock: Plan) -> None:
    plan = evaluate(with_edition(smock, date(2027, 1, 10)))
    assert text_of(plan).endswith("The companion to print: Edition 1, 10 January 2027.\n")


@pytest.mark.parametrize("hostile", [*HOSTILE, "0:00 not a chapter"])
def test_hostile_text_stays_on_its_line(hostile: str, smock_with: Callable[[Change], Plan]) -> None:
    def with_it(document: dict[str, Any]) -> None:
        document["title"] = hostile[:80].strip("\x00 \n\r\u2028\u2029") or "x"
        document["sizes"], document["other_cloths"] = [], []
        document["cloths"][0]["description"] = hostile[:200]
        document["notions"][0]["name"] = hostile[:80]
        document["shots"][0]["chapter"] = hostile[:200]

    text = text_of(smock_with(with_it))
    assert chapters_in(text)[-10] == (0, plain(hostile[:200]))
    assert f"- Main cloth: {plain(hostile[:200]).rstrip('.')}, 150 cm (59 in) wide; " in text
    assert "\x00" not in text
    assert text.splitlines() == text.removesuffix("\n").split("\n")


def test_an_episode_of_a_title_alone_is_described() -> None:
    assert text_of(shot_plan()) == "E\n"


def test_it_begins_with_the_word_draft_while_the_plan_would_mislead() -> None:
    half = Episode(id="half", title="Half a plan", brief=Brief(promise="A bag of {"))
    assert text_of(evaluate(half)).startswith("Draft: ")
    whole = changed(half, brief=Brief(promise="A bag of linen"))
    assert text_of(evaluate(whole)).startswith("Half a plan")


def test_a_garment_that_lacks_a_piece_is_told_no_time() -> None:
    """The sum of the steps that could be timed would be too short."""
    smock = EPISODES[SMOCK]
    body = changed(
        smock.body, measures={k: v for k, v in smock.body.measures.items() if k != "bust"}
    )
    assert "to make" not in text_of(evaluate(changed(smock, body=body)))
