"""The companion as a file: its paper, its fonts, its tags, its bytes."""

import re
from collections.abc import Iterator
from io import BytesIO
from itertools import pairwise
from typing import Any

import pytest
from pypdf import PdfReader

from tests.demo_documents import EPISODES, SKIRT
from tests.handouts.read_pages import Page, lines_of, pages_of, words_of
from webapp.handouts.companion import companion_html, companion_of, companion_pdf
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan


def _open(pdf: bytes) -> Any:
    return PdfReader(BytesIO(pdf))


# --- Paper -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("paper", "width_mm", "height_mm"),
    # ISO 216; 8 1/2 x 11 in (ANSI/ASME Y14.1, size A).
    [("a4", 210.0, 297.0), ("letter", 215.9, 279.4)],
)
def test_pages_have_the_size_of_the_paper(paper: Any, width_mm: float, height_mm: float) -> None:
    plan = evaluate(Episode(id="plain", title="Plain"))
    for page in _open(companion_pdf(plan, paper)).pages:
        # A PDF point is 1/72 in (ISO 32000-1, 8.3.2.3).
        assert float(page.mediabox.width) / 72 * 25.4 == pytest.approx(width_mm, abs=0.1)
        assert float(page.mediabox.height) / 72 * 25.4 == pytest.approx(height_mm, abs=0.1)


def test_a_page_holds_the_same_words_on_both_papers(plan: Plan, pdf: bytes) -> None:
    a4, letter = (
        [" ".join(lines).split() for lines in lines_of(each)]
        for each in (pdf, companion_pdf(plan, "letter"))
    )
    assert letter == a4


def test_pages_say_their_number_and_the_title(pages: list[str]) -> None:
    for number, page in enumerate(pages[1:], start=2):
        assert f"{number} / {len(pages)}" in page
        assert "The Lighthouse Smock" in page


@pytest.fixture(scope="module")
def looked_at(pdf: bytes) -> list[Page]:
    """The pages of the smock's companion."""
    return pages_of(pdf)


def test_words_stay_inside_the_margins(looked_at: list[Page]) -> None:
    assert "".join(page.beside() for page in looked_at) == ""


def test_no_heading_is_left_alone_at_the_foot_of_a_page(looked_at: list[Page]) -> None:
    for page in looked_at:
        assert "Alegreya" not in page.last_font(), page.text


# --- The file --------------------------------------------------------------------------------


def _fonts(reader: Any) -> dict[str, Any]:
    found = {}
    for page in reader.pages:
        for reference in page["/Resources"]["/Font"].values():
            font = reference.get_object()["/DescendantFonts"][0].get_object()
            found[font["/BaseFont"]] = font["/FontDescriptor"].get_object()
    return found


def test_our_fonts_are_embedded_and_only_the_letters_used(pdf: bytes) -> None:
    fonts = _fonts(_open(pdf))
    assert {name.split("+")[1].split("-")[0] for name in fonts} == {"Source", "Alegreya"}
    for name, descriptor in fonts.items():
        # A subset's name begins with six capitals and a plus (ISO 32000-1, 9.6.4).
        assert re.match(r"/[A-Z]{6}\+", name)
        assert "/FontFile2" in descriptor or "/FontFile3" in descriptor
    assert len(pdf) < 400_000


def test_further_latin_letters_are_drawn_in_our_fonts() -> None:
    episode = Episode(id="tall", title="Őszi kötény", channel="Łukasz i Çağla")
    pdf = companion_pdf(evaluate(episode))
    assert "Őszi kötény" in words_of(pdf)
    assert "Łukasz i Çağla" in words_of(pdf)
    assert all("Source-Sans" in name or "Alegreya" in name for name in _fonts(_open(pdf)))


@pytest.fixture(scope="module")
def skirt() -> bytes:
    """The skirt's companion, printed by any process of the run."""
    return companion_pdf(evaluate(EPISODES[SKIRT]))


@pytest.mark.usefixtures("printed_anew")
def test_the_same_plan_gives_the_same_bytes(skirt: bytes) -> None:
    pdf = companion_pdf(evaluate(EPISODES[SKIRT]))
    assert pdf == skirt
    assert b"/CreationDate" not in pdf
    assert b"/ModDate" not in pdf


def test_the_file_names_its_title_language_and_sections(pdf: bytes) -> None:
    reader = _open(pdf)
    assert reader.metadata.title == "The Lighthouse Smock"
    assert reader.metadata.author == "Gullwing Cottage Sewing"
    root = reader.trailer["/Root"].get_object()
    assert root["/Lang"] == "en-GB"
    assert root["/MarkInfo"]["/Marked"]
    bookmarks = [item.title for item in reader.outline if not isinstance(item, list)]
    assert bookmarks == [
        "Sizes and measures",
        "Cloth and notions",
        "Other cloths that would do",
        "The pieces: Lighthouse Smock",
        "Members’ extra The pieces: Tube cowl",
        "Take care",
        "Cutting",
        "Make the Lighthouse Smock",
        "Members’ extra Make the Tube cowl",
        "Words of the trade",
    ]


def _figures(element: Any) -> Iterator[Any]:
    """Tagged figures, from the tree of marked content (ISO 32000-1, 14.7)."""
    if element.get("/S") == "/Figure":
        yield element
    kids = element.get("/K", [])
    for kid in kids if isinstance(kids, list) else [kids]:
        inner = kid.get_object()
        if isinstance(inner, dict):
            yield from _figures(inner)


def test_every_drawing_is_told_inwords_of(plan: Plan, pdf: bytes) -> None:
    tree = _open(pdf).trailer["/Root"]["/StructTreeRoot"]
    told = [str(figure["/Alt"]) for figure in _figures(tree)]
    steps = sum(bool(step.drawing) for run in companion_of(plan).runs for step in run.steps)
    assert len(told) == 1 + len(plan.pieces) + len(plan.lays) + steps
    assert any(words.startswith("Front") and "63 cm (24 3/4 in)" in words for words in told)


def test_headings_step_down_one_level_at_a_time(plan: Plan) -> None:
    levels = [int(level) for level in re.findall(r"<h(\d)", companion_html(plan))]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
