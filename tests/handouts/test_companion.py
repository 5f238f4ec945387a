"""The companion, read back from its PDF by libraries that did not write it (pypdf, pdfplumber)."""

import math
import re
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from fractions import Fraction
from html import unescape
from io import BytesIO
from typing import Any, get_type_hints

import pytest
from pypdf import PdfReader

from tests.handouts.read_pages import words_of
from webapp.handouts import companion_view
from webapp.handouts.companion import companion_html, companion_of, companion_pdf
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.plan.ways import WIDTHS

SmockWith = Callable[[Callable[[dict[str, Any]], None]], Plan]

_NUMBER = r"\d+(?:\.\d+)?(?: \d+/\d+)?|\d+/\d+"
_LENGTH = re.compile(rf"(?<![\d/.])({_NUMBER}) (in|cm|mm|m|yd)\b")
_PAIR = re.compile(rf"(?<![\d/.])({_NUMBER}) (cm|m|in|yd) \(({_NUMBER}) (cm|m|in|yd)\)")


def _open(pdf: bytes) -> Any:
    return PdfReader(BytesIO(pdf))


def _mm(number: str, unit: str) -> Fraction:
    # Exact since 1 July 1959: 1 yd = 0.9144 m (international yard and pound agreement).
    sizes = {"cm": "10", "m": "1000", "in": "25.4", "yd": "914.4"}
    return sum(map(Fraction, number.split()), Fraction()) * Fraction(sizes[unit])


def _nearest(mm: float, unit_mm: str, parts: int) -> str:
    """The nearest part of a unit, as a mixed number."""
    count = math.floor(Fraction(str(round(mm, 6))) / Fraction(unit_mm) * parts + Fraction(1, 2))
    whole, rest = divmod(Fraction(count, parts), 1)
    return f"{whole} {rest}" if rest else str(whole)


# --- Figures ---------------------------------------------------------------------------------


def test_every_size_has_its_finished_measures_in_both_units(plan: Plan, text: str) -> None:
    rows = [size.body.name for size in plan.sizes]
    assert rows == ["Wren", "XS", "S", "M", "L", "XL"]
    for size in plan.sizes:
        for mm in size.finished_mm.values():
            halves = float(Fraction(_nearest(mm, "5", 1)) / 2)
            assert f"{halves:g} cm ({_nearest(mm, '25.4', 8)} in)" in text


def test_every_length_stands_beside_itself_in_the_other_unit(text: str) -> None:
    assert len(_PAIR.findall(text)) > 150
    for width in WIDTHS:  # each has two names, which are not one length
        text = text.replace(f"{width.cm} or {width.inch}", "")
    alone = [found[0] for found in _LENGTH.finditer(_PAIR.sub("", text))]
    assert alone == []


def test_the_two_figures_of_a_pair_are_one_length(text: str) -> None:
    # Nearest 1/8 in and 0.5 cm part by 1/16 in + 2.5 mm at most; cloth is rounded up, to 1/8 yd
    # and 0.1 m, so that either may be over by its step. A spool is told by its label.
    text = text.replace("spool of 100 m (109 yd)", "")
    for number, unit, other, other_unit in _PAIR.findall(text):
        apart = abs(_mm(number, unit) - _mm(other, other_unit))
        assert apart <= (115 if unit in ("m", "yd") else Fraction("4.1")), (number, other)


def test_the_first_unit_stands_first(smock_with: SmockWith) -> None:
    def in_inches(episode: dict[str, Any]) -> None:
        episode["first_unit"] = "in"

    text = re.sub(r"<[^>]+>", "", companion_html(smock_with(in_inches)))
    assert "Inches stand first" in text
    assert "36 1/4 in (92 cm)" in text  # the bust: 920 / 25.4 = 36.22
    assert "92 cm (36 1/4 in)" not in text
    assert "63 cm (24 3/4 in)" not in text  # the centre of the Front, in its drawing


def test_allowances_are_printed_as_the_trades_pairs(text: str) -> None:
    # 5/8 in with 1.5 cm: en.wikipedia.org/wiki/Seam_allowance; 1 in with 2.5 cm and 3/8 in with
    # 1 cm: home patterns, from memory.
    assert "1.5 cm (5/8 in), plain seam" in text
    assert "2.5 cm (1 in) and 1 cm (3/8 in) turned in, hem folded twice" in text


# --- What it tells ---------------------------------------------------------------------------


def test_pieces_carry_their_cutting_line_and_theirwords_of(plan: Plan, text: str) -> None:
    for piece in plan.pieces:
        assert f"Cut {piece.cut_count}" in text
        for sentence in piece.words:
            assert " ".join(sentence.show("cm").split()) in text


def test_a_one_way_step_says_so_in_words_and_names_its_spare(plan: Plan, text: str) -> None:
    one_way = [step.step for step in plan.steps if step.step.one_way]
    assert text.count("Cannot be taken back") == len(one_way) > 0
    for step in one_way:
        assert f"If it goes wrong: {step.spare}" in text


def test_cloth_to_buy_is_told_by_size_with_what_washing_takes(plan: Plan, text: str) -> None:
    for size in plan.sizes:
        bought = size.purchases["Main cloth"]
        assert f"{bought.metres} ({bought.yards})" in text
    assert "takes 4 % of the length and 2 % of the width" in text


def test_cords_bring_the_rules_that_decide(smock_with: SmockWith, text: str) -> None:
    # EN 14682:2014 and 16 CFR 1120 are the rules on cords in children's clothing (tukes.fi,
    # cpsc.gov); the cowl is a closed loop about the neck.
    assert "EN 14682" in text
    assert "16 CFR 1120" in text

    def without_the_cowl(episode: dict[str, Any]) -> None:
        del episode["garments"][1]
        episode["sizes"] = []

    assert "EN 14682" not in companion_html(smock_with(without_the_cowl))


def test_an_episode_of_one_garment_has_no_extra_and_no_size_chart(smock_with: SmockWith) -> None:
    def alone(episode: dict[str, Any]) -> None:
        del episode["garments"][1]
        episode["sizes"] = []

    html = companion_html(smock_with(alone))
    assert "Members’ extra" not in html
    assert "Choose a size" not in html
    assert "Finished measures" in html


def test_an_episode_without_garments_says_what_is_still_to_come() -> None:
    plan = evaluate(Episode(id="brief-only", title="The Rope-Walk Apron"))
    pdf = companion_pdf(plan)
    assert len(_open(pdf).pages) == 1
    for missing in companion_of(plan).still_to_come:
        assert missing in words_of(pdf)
    assert "The pattern pieces and how to draft them" in words_of(pdf)
    assert "Cut" not in words_of(pdf)


def test_a_piece_that_cannot_be_drafted_is_still_to_come(smock_with: SmockWith) -> None:
    def too_deep(episode: dict[str, Any]) -> None:
        episode["sizes"] = []
        for choice in episode["garments"][0]["choices"]:
            if choice["name"] == "front neck depth":
                choice["value"] = "3 m"

    plan = smock_with(too_deep)
    sheet = companion_of(plan)
    assert "The piece Front" in sheet.still_to_come
    # What is lacking would be lacking in them.
    assert sheet.difficulty is None
    assert "Lighthouse Smock" not in [time.garment for time in sheet.times]
    assert sheet.runs[0].minutes == 0.0
    assert "Still to come" in companion_html(plan)


def test_markup_typed_into_a_text_stays_text(smock_with: SmockWith) -> None:
    typed = "<script>alert(1)</script> <b>&amp; “bold”</b>"

    def type_it(episode: dict[str, Any]) -> None:
        episode["title"] = typed
        episode["brief"]["promise"] = typed
        episode["sizes"] = []
        episode["cloths"][0]["name"] = typed
        for garment in episode["garments"]:
            garment["name"] = typed
            for piece in garment["pieces"]:
                if piece.get("cloth", "Main cloth") == "Main cloth":
                    piece["cloth"] = typed
            for step in garment["steps"]:
                step["words"] = typed
        for shot in episode["shots"]:
            shot["narration"] = typed

    plan = smock_with(type_it)
    html = companion_html(plan)
    assert "<script" not in html
    assert "<b>" not in html
    assert unescape(html).count(typed) > len(plan.steps)


def _views() -> list[Any]:
    return [
        view
        for view in vars(companion_view).values()
        if is_dataclass(view) and view.__module__ == companion_view.__name__
    ]


@pytest.mark.parametrize("view", _views(), ids=lambda view: view.__name__)
def test_every_field_the_template_may_use_says_what_it_holds(view: Any) -> None:
    hints = get_type_hints(view, include_extras=True)
    for field in fields(view):
        (words,) = hints[field.name].__metadata__
        assert len(words) > 5
