"""The worksheet, read back from its PDF by libraries that did not write it (pypdf, pypdfium2)."""

import re
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from io import BytesIO
from itertools import pairwise
from typing import Any, get_type_hints

import pytest
from pypdf import PdfReader

from tests.demo_documents import EPISODES, SKIRT, STARTERS
from tests.handouts.read_pages import lines_of, pages_of, words_of
from webapp.handouts import worksheet
from webapp.handouts.pack import EXPORTS
from webapp.handouts.worksheet import worksheet_html, worksheet_of, worksheet_pdf
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode
from webapp.units import both

SmockWith = Callable[[Callable[[dict[str, Any]], None]], Plan]


@pytest.fixture(scope="module")
def blank(plan: Plan) -> bytes:
    return worksheet_pdf(plan, blank=True)


@pytest.fixture(scope="module")
def filled(plan: Plan) -> bytes:
    return worksheet_pdf(plan, blank=False)


def test_the_blank_one_has_letters_in_its_sentences_and_formulas_in_its_table(blank: bytes) -> None:
    text = words_of(blank)
    assert "Draw a rectangle A wide and 72 cm (28 3/8 in) long" in text
    # The demo's smock: (max(bust, hip) + 26 cm) / 4 + 4 cm.
    assert "a quarter of (the larger of your bust and your hip, plus 26 cm or 10 1/4 in)" in text
    assert "Measured along the seam line of the drawn Front and Back." in text


def test_the_blank_one_shows_no_figure_of_the_body_on_camera(plan: Plan, blank: bytes) -> None:
    text = words_of(blank)
    for name in ("bust", "hip", "front.hem", "sleeve.cap", "neck binding.join"):
        assert both(plan.figures_mm[name], "cm") not in text, name
    assert "Wren" not in text


def test_every_figure_of_the_blank_one_has_room_for_both_units(plan: Plan) -> None:
    sheet = worksheet_of(plan, blank=True)
    figures = len(sheet.measures) + sum(len(garment.figures) for garment in sheet.garments)
    html = worksheet_html(plan, blank=True)
    assert html.count('<span class="room"></span> cm') == figures > 5
    assert html.count('<span class="room"></span> in') == figures
    assert 'class="room"' not in worksheet_html(plan, blank=False)


def test_the_filled_one_has_every_sentence_with_its_figures(plan: Plan, filled: bytes) -> None:
    text = words_of(filled)
    for piece in plan.pieces:
        for sentence in piece.words:
            assert " ".join(sentence.show("cm").split()) in text


def test_pieces_say_how_they_are_cut_and_what_is_added(plan: Plan, blank: bytes) -> None:
    text = words_of(blank)
    for piece in plan.pieces:
        assert f"Cut {piece.cut_count}" in text
    assert "Cut 1, turned over for its other half" in text  # its cloth lies in one layer
    assert "It lies on the bias, at 45° to the selvedge." in text
    # 5/8 in with 1.5 cm: en.wikipedia.org/wiki/Seam_allowance; the hem's pairs from memory.
    assert "Shoulder, arm, underarm, side: 1.5 cm (5/8 in), plain seam" in text
    assert "Hem: 2.5 cm (1 in) and 1 cm (3/8 in) turned in, hem folded twice" in text


def test_cutting_brings_the_caution_for_blades(blank: bytes) -> None:
    assert "Cut away from yourself" in words_of(blank)


def test_copied_measures_say_so(smock_with: SmockWith) -> None:
    def copy(episode: dict[str, Any]) -> None:
        episode["body"]["copied"] = ["hip"]

    text = re.sub(r"<[^>]+>", "", worksheet_html(smock_with(copy), blank=True))
    assert text.count("Copied here from a garment that fits.") == 1


def test_the_first_unit_stands_first(smock_with: SmockWith) -> None:
    def in_inches(episode: dict[str, Any]) -> None:
        episode["first_unit"] = "in"

    html = worksheet_html(smock_with(in_inches), blank=True)
    text = " ".join(re.sub(r"<[^>]+>", "", html).split())
    assert "plus 10 1/4 in or 26 cm" in text
    assert html.index('class="room"></span> in') < html.index('class="room"></span> cm')


@pytest.mark.parametrize("name", ["blank", "filled"])
def test_a_page_holds_the_same_words_on_both_papers(
    name: str, plan: Plan, request: pytest.FixtureRequest
) -> None:
    on_a4 = request.getfixturevalue(name)
    on_letter = worksheet_pdf(plan, blank=name == "blank", paper="letter")
    assert lines_of(on_a4) == lines_of(on_letter)
    a4, letter = (PdfReader(BytesIO(pdf)) for pdf in (on_a4, on_letter))
    # ISO 216 and ANSI/ASME Y14.1 size A, at 72 points to the inch.
    assert float(a4.pages[0].mediabox.width) == pytest.approx(210 / 25.4 * 72, abs=0.3)
    assert float(letter.pages[0].mediabox.width) == pytest.approx(612, abs=0.3)


def _of(starter: str) -> Plan:
    """The skirt with the starter in place of its garment."""
    garment = {"garments": (STARTERS[starter],), "shots": ()}
    return evaluate(EPISODES[SKIRT].model_copy(update=garment))


PRINTED = ("a-line-skirt", "elastic-waist-trousers", "open-front-jacket")  # of the most words


@pytest.mark.parametrize("starter", PRINTED)
def test_a_starter_stays_inside_the_margins_with_no_heading_alone(starter: str) -> None:
    for page in pages_of(worksheet_pdf(_of(starter), blank=True)):
        assert page.beside() == ""
        assert "Alegreya" not in page.last_font(), page.text


def test_no_starter_has_longer_words_than_those_printed() -> None:
    """What no line can break is what could leave the margins."""
    longest = {name: _longest_word(worksheet_html(_of(name), blank=True)) for name in STARTERS}
    most = max(longest[name] for name in PRINTED)
    assert {name for name, length in longest.items() if length > most} == set()


def _longest_word(html: str) -> int:
    text = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", html, flags=re.DOTALL)
    return max(len(word) for word in re.split(r"[ \n]+", text))  # a no-break space breaks no word


def test_an_episode_without_pieces_has_no_worksheet_in_its_pack() -> None:
    file = files_dir("demo_data") / "episode-5-brief-only.json"
    assert EXPORTS["worksheet.pdf"](evaluate(read_episode(file.read_bytes()))) is None


@pytest.mark.usefixtures("printed_anew")
def test_the_same_plan_gives_the_same_bytes(plan: Plan, blank: bytes) -> None:
    assert worksheet_pdf(plan, blank=True) == blank


def test_headings_step_down_one_level_at_a_time(plan: Plan) -> None:
    levels = [int(level) for level in re.findall(r"<h(\d)", worksheet_html(plan, blank=True))]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_markup_typed_into_a_text_stays_text(smock_with: SmockWith) -> None:
    typed = "<script>alert(1)</script> <b>bold</b>"

    def type_it(episode: dict[str, Any]) -> None:
        episode["title"] = episode["channel"] = typed
        episode["sizes"] = []
        for garment in episode["garments"]:
            garment["name"] = typed
            for piece in garment["pieces"]:
                piece["note"] = typed

    html = worksheet_html(smock_with(type_it), blank=True)
    assert "<script" not in html
    assert "<b>bold" not in html


def _views() -> list[Any]:
    views = [each for each in vars(worksheet).values() if is_dataclass(each)]
    return [view for view in views if view.__module__ == worksheet.__name__]


@pytest.mark.parametrize("view", _views(), ids=lambda view: view.__name__)
def test_every_field_the_template_may_use_says_what_it_holds(view: Any) -> None:
    hints = get_type_hints(view, include_extras=True)
    for each in fields(view):
        (words,) = hints[each.name].__metadata__
        assert len(words) > 5


def test_a_worksheet_that_would_mislead_says_so_on_every_page(smock_with: SmockWith) -> None:
    def break_it(episode: dict[str, Any]) -> None:
        episode["garments"][0]["steps"][0]["words"] = "Cut along {Nobody.hem}."

    html = worksheet_html(smock_with(break_it), blank=True)
    # The words of the label stand at the head of every page: static/css/companion.css.
    assert '<p class="label">Draft edition: do not cut by it yet</p>' in html
    assert "{Nobody.hem}" in html
    assert "Draft edition" not in worksheet_html(smock_with(lambda _: None), blank=True)
