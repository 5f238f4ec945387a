"""Every file of an episode with the most awkward texts, read back by libraries that did not write
it: nothing cut off, nothing over anything else, sound, tagged, its fonts embedded."""

import csv
import io
import re
from collections import Counter
from itertools import pairwise
from typing import Any, Final

import ezdxf
import numpy as np
import pdfplumber
import pytest
from pypdf import PdfReader

from tests.handouts.odd_episode import LONG, odd_episode
from tests.handouts.read_pages import Page, pages_of
from tests.handouts.told_lengths import alone, bookmarks_of, elements_of, text_of
from webapp.handouts.call_sheet import call_sheet_pdf
from webapp.handouts.companion import companion_pdf
from webapp.handouts.pack import EXPORTS, pack
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

# What printers leave free along the edges of a sheet; common practice, no source.
EDGE_PT: Final = 72 / 6

# What is printed whole, wherever it stands. The other texts are for other files.
WHOLE: Final = {
    "companion.pdf": (
        "title", "channel", "series", "promise", "body", "piece", "garment", "summary", "note",
        "cloth", "description", "finished", "step", "words", "spare", "notion", "amount", "why",
        "other cloth", "effect",
    ),
    "pattern-a4.pdf": ("title", "channel", "series", "body", "piece", "garment", "cloth"),
    "worksheet.pdf": ("title", "channel", "series", "piece", "garment", "note", "cloth"),
    "call-sheet.pdf": (
        "title", "series", "piece", "cloth", "description", "notion", "amount", "shot", "place",
        "card", "shot’s note", "step", "spare", "look", "press",
    ),
    "shopping-list.pdf": (
        "title", "channel", "series", "body", "piece", "cloth", "description", "notion", "amount",
        "why",
    ),
}  # fmt: skip
WHOLE["pattern-letter.pdf"] = WHOLE["pattern-sheet.pdf"] = WHOLE["pattern-a4.pdf"]


@pytest.fixture(scope="module")
def made() -> dict[str, bytes]:
    """Every file of the odd episode."""
    found = pack(odd_episode())
    assert found.not_made == ()
    return {file.name: file.content for file in found.files}


@pytest.fixture(scope="module")
def printed(made: dict[str, bytes]) -> dict[str, list[Page]]:
    """Every page of its sheets."""
    return {name: pages_of(made[name]) for name in made if name.endswith(".pdf")}


@pytest.fixture(scope="module")
def readers(made: dict[str, bytes]) -> dict[str, PdfReader]:
    return {n: PdfReader(io.BytesIO(made[n])) for n in made if n.endswith(".pdf")}


# --- Pages -----------------------------------------------------------------------------------


def test_every_file_is_made(made: dict[str, bytes]) -> None:
    assert made.keys() == {*EXPORTS, "manifest.json", f"lay-2-{'e' * 40}.svg"}
    assert {name for name in EXPORTS if name.endswith(".pdf")} == WHOLE.keys()


def wrong(pages: list[Page]) -> dict[str, Any]:
    """What is amiss, by the kind of fault and the page."""
    found = {}
    for number, page in enumerate(pages, start=1):
        found["too near the edge", number] = page.outside(EDGE_PT)
        found["cut off or covered", number] = page.unseen()
        found["one on the other", number] = page.overlapping()
        found["empty", number] = [] if page.letters else ["nothing"]
    return {str(what): Counter(letters) for what, letters in found.items() if letters}


def test_every_letter_is_seen_inside_the_page_and_none_is_over_another(
    printed: dict[str, list[Page]],
) -> None:
    assert {name: wrong(pages) for name, pages in printed.items() if wrong(pages)} == {}


@pytest.mark.parametrize("name", ["companion.pdf", "worksheet.pdf"])
def test_words_without_a_break_stay_inside_the_margins(
    name: str, printed: dict[str, list[Page]]
) -> None:
    assert "".join(page.beside() for page in printed[name]) == ""


@pytest.mark.parametrize("name", WHOLE)
def test_long_texts_are_printed_whole(name: str, printed: dict[str, list[Page]]) -> None:
    text = "".join("".join(page.text.split()) for page in printed[name]).upper()
    for what in WHOLE[name]:
        letter, length = LONG[what]
        runs = re.findall(f"{letter}{{4,}}", text)  # a single one may be of a letter without a font
        assert sum(map(len, runs)) >= length, what
        if not name.startswith("pattern-"):  # names on pages of a pattern are cut short there
            assert sum(map(len, runs)) % length == 0, what


def test_texts_of_many_words_and_of_none_are_whole(printed: dict[str, list[Page]]) -> None:
    text = " ".join(" ".join(page.text.split()) for page in printed["companion.pdf"])
    assert text.count("knot ") >= 799
    for words in ("<b>bold</b> &amp; & </script>", "=1+1", "00:01 --> 00:02", "שלום עולם"):
        assert words in text, words


def test_the_title_block_of_a_large_sheet_is_as_high_as_its_words(
    made: dict[str, bytes], printed: dict[str, list[Page]]
) -> None:
    """Its frame is 262 mm wide; no letter stands on its lower line or just below it."""
    with pdfplumber.open(io.BytesIO(made["pattern-sheet.pdf"])) as document:
        rects = [rect for rect in document.pages[0].rects if not rect["stroke"]]
    frame = max(
        (rect for rect in rects if abs(rect["width"] - 262 / 25.4 * 72) < 0.1),
        key=lambda rect: float(rect["height"]),
    )
    left, low, right, high = printed["pattern-sheet.pdf"][0].boxes.T
    inside = (left > frame["x0"]) & (right < frame["x1"])
    assert np.sum(inside & (low > frame["y0"]) & (high < frame["y1"])) > 1000
    assert not np.any(inside & (low < frame["y0"] + 3) & (high > frame["y0"] - 12))


def test_two_hundred_steps_are_printed() -> None:
    """And the shots of thirty of them."""
    steps = [
        {"id": f"s{n}", "name": f"Step {n}x", "words": f"Fold along line {n}y.",
         "after": [f"s{n - 1}"] if n else []}
        for n in range(200)
    ]  # fmt: skip
    shots = [{"id": f"s{n}", "title": f"Shot {n}x", "step": f"s{n}"} for n in range(30)]
    garment = {"id": "g", "name": "G", "steps": steps}
    day = {"day": "2026-06-01", "shots": [shot["id"] for shot in shots]}
    document = {"id": "e", "title": "E", "garments": [garment], "shots": shots, "shoot_days": [day]}
    plan = evaluate(Episode.model_validate(document))
    for pdf, count in ((companion_pdf(plan), 200), (call_sheet_pdf(plan), 30)):
        assert pdf is not None
        pages = pages_of(pdf)
        assert wrong(pages) == {}
        text = " ".join(page.text for page in pages)
        assert [int(n) for n in re.findall(r"(?:Step|Shot) (\d+)x\b", text)] == [*range(count)]


# --- Files -----------------------------------------------------------------------------------


def test_no_file_tells_a_length_in_one_unit(made: dict[str, bytes]) -> None:
    texts = {name: text_of(name, made[name]) for name in made if not name.endswith(".json")}
    assert {name: alone(text) for name, text in texts.items() if alone(text)} == {}


def test_every_sheet_is_tagged_and_titled(readers: dict[str, PdfReader]) -> None:
    """ISO 14289-1 (PDF/UA-1): 5, its number in the metadata; 7.1, tagged, the title shown; 7.2,
    the language; 7.3, what a figure shows; 7.4.2, headings step down a level at a time; 7.18.3,
    the order of its tabs."""
    for name, reader in readers.items():
        root: Any = reader.trailer["/Root"]
        info: Any = reader.trailer["/Info"]
        assert root["/MarkInfo"]["/Marked"], name
        assert root["/Lang"] == "en-GB"
        assert root["/ViewerPreferences"]["/DisplayDocTitle"], name
        assert b"pdfuaid:part" in root["/Metadata"].get_data(), name
        assert LONG["title"][0] * LONG["title"][1] in str(info["/Title"]), name
        elements = list(elements_of(reader))
        assert all(str(e.get("/Alt", "")) for e in elements if e["/S"] == "/Figure"), name
        levels = [int(e["/S"][2]) for e in elements if re.fullmatch(r"/H\d", e["/S"])]
        assert levels[0] == 1, name
        assert all(after <= before + 1 for before, after in pairwise(levels)), (name, levels)
        for page in reader.pages:
            assert "/Annots" not in page or page.get("/Tabs") == "/S", name


def test_every_font_is_embedded_and_only_the_letters_used(readers: dict[str, Any]) -> None:
    """A subset's name begins with six capitals and a plus (ISO 32000-1, 9.6.4)."""
    for name, reader in readers.items():
        fonts = {
            font.get_object()["/BaseFont"]: font.get_object()["/DescendantFonts"][0].get_object()
            for page in reader.pages
            for font in page["/Resources"]["/Font"].values()
        }
        assert fonts, name
        for called, font in fonts.items():
            descriptor = font["/FontDescriptor"].get_object()
            assert re.match(r"/[A-Z]{6}\+", called), (name, called)
            assert "/FontFile2" in descriptor or "/FontFile3" in descriptor, (name, called)


def test_every_link_and_bookmark_leads_to_a_page(readers: dict[str, PdfReader]) -> None:
    for name, reader in readers.items():
        there = reader.named_destinations
        links = [
            note.get_object()
            for page in reader.pages
            for note in page.get("/Annots", [])
            if note.get_object()["/Subtype"] == "/Link"
        ]
        for link in links:
            end = link.get("/Dest") or link["/A"]["/D"]
            assert not isinstance(end, str) or end in there, (name, end)
        marks = bookmarks_of(reader)
        assert marks, name
        assert all(reader.get_destination_page_number(mark) is not None for mark in marks), name


def test_tables_are_sound_and_hold_no_formula(made: dict[str, bytes]) -> None:
    for name in ("shots.csv", "shopping.csv"):
        text = io.StringIO(made[name].decode("utf-8-sig"), newline="")
        head, *rows = csv.reader(text, strict=True)
        assert {len(row) for row in rows} == {len(head)}
        assert not [cell for row in rows for cell in row if re.match(r"\s*[=+@]", cell)]


def test_the_pieces_for_cad_are_called_by_their_names(made: dict[str, bytes]) -> None:
    drawing = ezdxf.read(io.StringIO(made["pieces.dxf"].decode()))
    assert drawing.audit().errors == []
    text = text_of("pieces.dxf", made["pieces.dxf"])
    assert LONG["piece"][0] * LONG["piece"][1] in text
    assert "نمط القميص" in text
