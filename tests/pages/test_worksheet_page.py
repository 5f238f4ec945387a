"""The worksheet: in a size with its figures, blank with formulas."""

import io
import re

import pdfplumber
import pytest
from starlette.testclient import TestClient

from webapp.errors import PdfToolsMissingError
from webapp.pages import worksheet as page
from webapp.pages.shell import House
from webapp.pages.wording import unbroken
from webapp.units import both


def test_the_worksheet_of_a_size_has_its_figures(client: TestClient, smock: str) -> None:
    answer = client.get(f"/episodes/{smock}/worksheet")
    assert answer.status_code == 200
    # The demo's body: (98 + 26) / 4 + 4 = 35 cm is half the panel before the underarm is cut in.
    assert f"Draw a rectangle {unbroken(both(350, 'cm'))} wide" in answer.text
    assert "<svg" in answer.text
    assert "half" in answer.text


def test_the_blank_worksheet_has_formulas_and_room(client: TestClient, smock: str) -> None:
    answer = client.get(f"/episodes/{smock}/worksheet?blank=true")
    assert "Draw a rectangle <strong>A</strong> wide" in answer.text
    assert "the larger of your bust and your hip" in answer.text
    assert '<td class="fill"></td>' in answer.text
    assert "<svg" not in answer.text.split("<main")[1]


def test_the_companion_points_to_the_worksheet(client: TestClient, smock: str) -> None:
    assert f"/episodes/{smock}/worksheet" in client.get(f"/episodes/{smock}/companion").text


def test_without_a_garment_it_says_where_to_begin(client: TestClient, empty: str) -> None:
    assert "There is no garment yet" in client.get(f"/episodes/{empty}/worksheet").text


def _text(pdf: bytes) -> str:
    with pdfplumber.open(io.BytesIO(pdf)) as sheets:
        return " ".join(" ".join(sheet.extract_text() for sheet in sheets.pages).split())


def test_the_draft_page_points_to_the_worksheet(client: TestClient, smock: str) -> None:
    assert f"/episodes/{smock}/worksheet" in client.get(f"/episodes/{smock}/draft").text


def test_the_pdf_is_made_in_the_size_chosen(client: TestClient, smock: str, house: House) -> None:
    size = house.store.get(smock).sizes[-1].name
    answer = client.get(f"/episodes/{smock}/worksheet/worksheet.pdf?size={size}")
    assert f"worksheet-{size.lower()}-a4.pdf" in answer.headers["content-disposition"]
    bust = both(house.plan(smock, size).figures_mm["bust"], "cm").split(" (")[0]
    assert bust == "116 cm"
    assert bust in _text(answer.content)
    assert f"In size {size}." in _text(answer.content)


def test_the_blank_pdf_is_what_the_page_offers(client: TestClient, smock: str) -> None:
    shown = client.get(f"/episodes/{smock}/worksheet?blank=true").text
    (a4, letter) = re.findall(r'href="([^"]+worksheet\.pdf[^"]+)"', shown)
    answer = client.get(letter.replace("&amp;", "&"))
    assert "paper=a4" in a4
    assert "worksheet-blank-letter.pdf" in answer.headers["content-disposition"]
    assert "the larger of your bust and your hip" in _text(answer.content)


@pytest.mark.parametrize("query", ["size=9XL", "paper=a0", "blank=perhaps"])
def test_an_unknown_size_or_paper_is_said(client: TestClient, smock: str, query: str) -> None:
    answer = client.get(f"/episodes/{smock}/worksheet/worksheet.pdf?{query}")
    assert answer.status_code in (404, 422)
    assert "Back to the episodes" in answer.text


def test_without_pango_the_page_says_what_to_install(
    client: TestClient, smock: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    sentence = "Install Pango: sudo apt-get install libpango-1.0-0"

    def fails(*_: object, **__: object) -> bytes:
        raise PdfToolsMissingError(sentence)

    monkeypatch.setattr(page, "worksheet_pdf", fails)
    monkeypatch.setattr(page, "why_no_pdf", lambda: sentence)
    answer = client.get(f"/episodes/{smock}/worksheet")
    assert answer.status_code == 200
    assert sentence in answer.text
    assert "Download for A4" not in answer.text
    assert client.get(f"/episodes/{smock}/worksheet/worksheet.pdf").status_code == 503
