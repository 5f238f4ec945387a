"""Captions, cards and chapters, read back by webvtt-py, which did not write them."""

import html
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final

import pytest
import webvtt
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.demo_documents import EPISODES, SKIRT, SMOCK
from tests.handouts.conftest import Change
from webapp.filming.figures import single_unit_measurements
from webapp.handouts.broken_lines import LONGEST_LINE, lines, parts, plain
from webapp.handouts.captions import captions_vtt, cards_vtt
from webapp.handouts.chapters_vtt import chapters_vtt
from webapp.handouts.webvtt import timestamp
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.plan.running_time_json import running_time_json
from webapp.plan.said_json import said_json
from webapp.plan.screen_time import extra, video

HOSTILE: Final = (
    "00:00:01.000 --> 00:00:02.000",
    "<b>bold</b> & <00:00:03.000>",
    "-->",
    "NOTE nothing\n\nWEBVTT\n\n\n00:01 --> 00:02",
    "&amp;lt;",
    "a" * 300,
    "שלום עולם, 12 cm (4 3/4 in) ועוד",
    "👩🏽‍🔬" * 60,
    "\x00\x07bell\r\nand return",
    "\u2028\u2029 lines",
)


@dataclass(frozen=True)
class Read:
    """A caption as a player shows it."""

    starts_s: float
    ends_s: float
    lines: list[str]

    @property
    def text(self) -> str:
        return " ".join(self.lines)


def read(content: bytes | None) -> list[Read]:
    """The file by webvtt-py, its entities resolved by the standard library."""
    assert content is not None
    return [
        Read(one.start_in_seconds + one.start_time.milliseconds / 1000,
             one.end_in_seconds + one.end_time.milliseconds / 1000,
             [html.unescape(line) for line in one.raw_text.split("\n")])
        for one in webvtt.from_string(content.decode())
    ]  # fmt: skip


def assert_in_time(cues: list[Read], seconds: float) -> None:
    """Each has its time, none begins before the last has ended, the last by the end."""
    assert all(one.starts_s < one.ends_s for one in cues)
    assert all(a.ends_s <= b.starts_s for a, b in pairwise(cues))
    assert cues[-1].ends_s <= seconds


def shot_plan(*shots: dict[str, Any]) -> Plan:
    """An episode of nothing but shots."""
    listed = [{"id": f"s{at}", "title": f"Shot {at}", **one} for at, one in enumerate(shots)]
    return evaluate(Episode.model_validate({"id": "e", "title": "E", "shots": listed}))


@pytest.fixture(scope="module", params=[SMOCK, SKIRT])
def told(request: pytest.FixtureRequest) -> Plan:
    return evaluate(EPISODES[request.param])


# --- What is said ----------------------------------------------------------------------------


def test_captions_say_the_narration_and_nothing_else(told: Plan) -> None:
    shown = video(told)
    cues = read(captions_vtt(told, shown))
    said = [one.plan.narration.plain for one in shown.shots if one.plan.narration.plain]
    assert " ".join(one.text for one in cues) == " ".join(" ".join(said).split())
    assert_in_time(cues, told.running_time_s)


def test_a_caption_is_two_lines_of_42_characters_at_most(told: Plan) -> None:
    cues = read(captions_vtt(told, video(told)))
    assert all(1 <= len(one.lines) <= 2 for one in cues)
    assert all(0 < len(line) <= LONGEST_LINE for one in cues for line in one.lines)


def test_no_caption_parts_a_measurement_from_its_other_unit(told: Plan) -> None:
    shown = video(told)
    for content in (captions_vtt(told, shown), cards_vtt(told, shown)):
        for cue in read(content):
            for line in cue.lines:  # so not over the end of a line either
                assert single_unit_measurements(line) == (), line
                assert line.count("(") == line.count(")"), line


def test_captions_of_a_shot_begin_with_it_and_end_within_it(told: Plan) -> None:
    shown = video(told)
    begins = {one.starts_s for one in read(captions_vtt(told, shown))}
    for one in shown.shots:
        if one.plan.narration.plain:
            assert min(abs(one.starts_s - at) for at in begins) < 0.002


def test_the_members_extra_has_captions_of_its_own() -> None:
    plan = evaluate(EPISODES[SMOCK])
    cues = read(captions_vtt(plan, extra(plan)))
    assert cues[0].text.startswith("On the pressed cloth,")
    assert_in_time(cues, plan.extra_running_time_s)


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_only_text(text: str) -> None:
    plan = shot_plan({"narration": text, "card": text[:200]}, {"narration": "The end."})
    cues = read(captions_vtt(plan, video(plan)))
    assert (
        "".join(one.text for one in cues).replace(" ", "")
        == "".join(plain(text).split()) + "Theend."
    )
    assert_in_time(cues, plan.running_time_s)
    (card,) = read(cards_vtt(plan, video(plan)))
    assert "".join(card.lines).replace(" ", "") == "".join(plain(text[:200]).split())


def test_more_words_than_seconds_are_told_faster() -> None:
    plan = shot_plan({"narration": "Two words. " * 300, "screen_seconds": 1}, {"narration": "End."})
    cues = read(captions_vtt(plan, video(plan)))
    assert_in_time(cues, plan.running_time_s)
    assert cues[-1].starts_s == 1


def test_a_short_word_stands_for_a_second() -> None:
    plan = shot_plan({"narration": "Go.", "screen_seconds": 9})
    (cue,) = read(captions_vtt(plan, video(plan)))
    assert (cue.starts_s, cue.ends_s) == (0, 1)  # spoken in 60/140 s


def test_two_words_do_not_flash_by_themselves() -> None:
    text = (
        "Press the cloth and chalk a rectangle 66 cm (26 in) by 48 cm (18 7/8 in), "
        "allowances outside."
    )
    assert parts(text)[-1][-1].endswith("allowances outside.")
    assert len(" ".join(parts(text)[-1]).split()) > 2


def test_without_words_there_is_no_file() -> None:
    plan = shot_plan({"narration": " \n ", "card": ""})
    shown = video(plan)
    assert [captions_vtt(plan, shown), cards_vtt(plan, shown), chapters_vtt(plan, shown)] == (
        [None, None, None]
    )


# --- Filmed shots ----------------------------------------------------------------------------


def _filmed(document: dict[str, Any]) -> None:
    """The shot of the shoulder was filmed when it was 24 cm; a card puts that right."""
    shot = next(one for one in document["shots"] if one["id"] == "shoulder-sew")
    shot["narration"] = "The seam is {Front.shoulder} long."
    shot["card"] = "Now {Front.shoulder}"
    shot["filmed"] = {
        "narration": "The seam is 24 cm (9 1/2 in) long.",
        "card": "24 cm (9 1/2 in)",
        "said": [{"name": "Front.shoulder", "cm": "24 cm", "inch": "9 1/2 in"}],
        "corrected": ["Front.shoulder"],
    }


def test_a_filmed_shot_says_what_the_camera_heard(smock_with: Callable[[Change], Plan]) -> None:
    plan = smock_with(_filmed)
    text = " ".join(one.text for one in read(captions_vtt(plan, video(plan))))
    assert "The seam is 24 cm (9 1/2 in) long." in text
    assert "The seam is 23 cm" not in text


def test_its_cards_are_the_one_shown_and_the_correction(
    smock_with: Callable[[Change], Plan],
) -> None:
    plan = smock_with(_filmed)
    (one,) = (each for each in video(plan).shots if each.plan.shot.id == "shoulder-sew")
    cards = [
        card
        for card in read(cards_vtt(plan, video(plan)))
        if one.starts_s - 0.01 <= card.starts_s < one.starts_s + one.seconds - 0.01
    ]
    told = said_json(one.plan, "cm")["correction_cards"]
    assert [card.text for card in cards] == ["24 cm (9 1/2 in)", *told]
    assert "23 cm (9 in), not 24 cm (9 1/2 in)" in told[0]


def test_a_shot_filmed_without_a_record_of_its_words_says_its_text() -> None:
    plan = shot_plan({"narration": "Hello.", "filmed": {"day": "2026-01-01"}})
    assert [one.text for one in read(captions_vtt(plan, video(plan)))] == ["Hello."]


# --- Chapters --------------------------------------------------------------------------------


def test_chapters_go_on_from_nought_to_the_end() -> None:
    plan = evaluate(EPISODES[SMOCK])
    told = running_time_json(plan)
    cues = read(chapters_vtt(plan, video(plan)))
    assert [one.text for one in cues] == [one["title"] for one in told["chapters"]]
    assert cues[0].starts_s == 0
    assert all(a.ends_s == b.starts_s for a, b in pairwise(cues))
    assert_in_time(cues, plan.running_time_s)
    assert plan.running_time_s - cues[-1].ends_s < 0.001


@pytest.mark.parametrize("title", HOSTILE)
def test_a_chapters_title_is_only_text(title: str) -> None:
    plan = shot_plan({"chapter": title[:200]}, {"chapter": "The end"})
    first, last = read(chapters_vtt(plan, video(plan)))
    assert (first.lines, last.lines) == ([plain(title[:200])], ["The end"])


# --- Lines -----------------------------------------------------------------------------------


@settings(max_examples=80, deadline=None)
@given(st.text(alphabet=st.characters(exclude_categories=("Cs",)), max_size=400))
def test_no_sign_of_any_text_is_lost(text: str) -> None:
    whole = "".join(plain(text).split())
    for found in ([line for part in parts(text) for line in part], lines(text)):
        assert "".join("".join(found).split()) == whole
        assert all(0 < len(line) <= LONGEST_LINE for line in found)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Cut it. Press it.", [["Cut it. Press it."]]),
        # A sentence each, where both do not go into two lines.
        (
            "Hem the cuffs on the free arm of the machine. Go slowly over the seam itself, please.",
            [
                ["Hem the cuffs on the", "free arm of the machine."],
                ["Go slowly over the seam itself, please."],
            ],
        ),
        # 38 characters, and the measurement would not go into the line any more.
        (
            "Sew along the upper edge of the pocket 30.5 cm (12 in) twice.",
            [["Sew along the upper edge of the", "pocket 30.5 cm (12 in) twice."]],
        ),
    ],
)
def test_lines_end_where_they_read_well(text: str, found: list[list[str]]) -> None:
    assert parts(text) == found


@pytest.mark.parametrize(
    "pair",
    ["28 1/2 in (72.5 cm)", "5 cm × 10 cm (2 in × 4 in)", "1.5–2 cm (5/8–3/4 in)", "2½″ (6.4 cm)"],
)
def test_a_pair_stays_on_one_line_wherever_it_stands(pair: str) -> None:
    for ahead in range(1, LONGEST_LINE):
        for part in (parts(f"{'x' * ahead} {pair} y"), [lines(f"{'x' * ahead} {pair} y")]):
            assert any(pair in line for found in part for line in found)


@pytest.mark.parametrize(
    ("seconds", "told"),
    [(0, "00:00:00.000"), (59.9996, "00:00:59.999"), (3661.5, "01:01:01.500")],
)
def test_a_time_has_hours_and_thousandths(seconds: float, told: str) -> None:
    """W3C WebVTT, 4.1: two digits or more of hours, two, two, three."""
    assert timestamp(seconds) == told
