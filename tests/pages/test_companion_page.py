"""The companion page: in which size, on which paper, and without the tools to print."""

import io

import pdfplumber
import pytest
from starlette.testclient import TestClient

from webapp.handouts import companion as handout
from webapp.pages import companion as page
from webapp.pages.shell import House
from webapp.units import both


def _text(pdf: bytes) -> str:
    with pdfplumber.open(io.BytesIO(pdf)) as sheets:
        return "\n".join(sheet.extract_text() for sheet in sheets.pages)


def test_the_sheet_is_drawn_for_the_size_chosen(
    client: TestClient, smock: str, house: House
) -> None:
    size = house.store.get(smock).sizes[-1]
    answer = client.get(f"/episodes/{smock}/companion/companion.pdf?size={size.name}")
    hem = house.plan(smock, size.name).figures_mm["front.hem"]
    assert hem != house.plan(smock).figures_mm["front.hem"]
    assert both(hem, "cm").split(" (")[0] in _text(answer.content)
    assert f"-{size.name.lower()}-a4.pdf" in answer.headers["content-disposition"]


def test_letter_paper_is_letter_size(client: TestClient, smock: str) -> None:
    answer = client.get(f"/episodes/{smock}/companion/companion.pdf?paper=letter")
    with pdfplumber.open(io.BytesIO(answer.content)) as sheets:
        # 8 1/2 x 11 in at 72 points to the inch (PDF 32000-1, 8.3.2.3).
        assert sheets.pages[0].width == pytest.approx(612, abs=0.1)
        assert sheets.pages[0].height == pytest.approx(792, abs=0.1)


@pytest.mark.parametrize("query", ["size=9XL", "paper=a0", "size=" + "x" * 200])
def test_an_unknown_size_or_paper_is_said(client: TestClient, smock: str, query: str) -> None:
    answer = client.get(f"/episodes/{smock}/companion/companion.pdf?{query}")
    assert answer.status_code in (404, 422)
    assert "Back to the episodes" in answer.text


def test_without_pango_the_page_says_what_to_install_and_the_rest_runs(
    client: TestClient, smock: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    sentence = "Install Pango: sudo apt-get install libpango-1.0-0"

    def fails(*_: object, **__: object) -> bytes:
        raise page.PdfToolsMissingError(sentence)

    monkeypatch.setattr(page, "companion_pdf", fails)
    monkeypatch.setattr(page, "why_no_pdf", lambda: sentence)
    answer = client.get(f"/episodes/{smock}/companion")
    assert answer.status_code == 200
    assert sentence in answer.text
    assert "Download for A4" not in answer.text
    assert client.get(f"/episodes/{smock}/companion/companion.pdf").status_code == 503
    assert client.get(f"/episodes/{smock}/companion/preview").status_code == 200
    assert client.get(f"/episodes/{smock}/draft").status_code == 200
    assert handout.companion_pdf is not fails
