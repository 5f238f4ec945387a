"""HTML to PDF: what may be read, and what is said when nothing can be printed."""

import builtins
import sys
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from webapp.errors import PdfToolsMissingError
from webapp.handouts import printing
from webapp.handouts.printing import own_file, pdf_of, why_no_pdf
from webapp.settings import files_dir

pytestmark = pytest.mark.usefixtures("printed_anew")


def test_a_file_below_static_is_read() -> None:
    content, kind = own_file("https://seamslate.invalid/static/css/companion.css")
    assert content == (files_dir("static") / "css" / "companion.css").read_bytes()
    assert kind == "text/css"


def test_a_web_font_comes_as_a_plain_one() -> None:
    address = "static/vendor/alegreya/alegreya-latin-700-normal.woff2"
    content, _ = own_file(f"https://seamslate.invalid/{address}")
    # The first four bytes of a TrueType font file (ISO/IEC 14496-22, OpenType, 4.5.1).
    assert content[:4] == b"\x00\x01\x00\x00"


@pytest.mark.parametrize(
    "address",
    [
        "file:///etc/passwd",
        "file:static/css/companion.css",
        "http://seamslate.invalid/static/css/companion.css",
        "https://seamslate.invalid.example/static/css/companion.css",
        "https://seamslate.invalid@example.org/static/css/companion.css",
        "https://example.org/picture.png",
        "ftp://example.org/picture.png",
        "data:text/css,p{color:red}",
        "https://seamslate.invalid/episodes",
        "https://seamslate.invalid/static/../pyproject.toml",
        "https://seamslate.invalid/static/%2e%2e/pyproject.toml",
        "https://seamslate.invalid/static//etc/passwd",
        "https://seamslate.invalid/static/vendor/htmx/LICENSE",
        "https://seamslate.invalid/static/",
    ],
)
def test_every_other_address_is_refused(address: str) -> None:
    with pytest.raises(ValueError, match="nothing but their own files"):
        own_file(address)


def test_markup_cannot_make_the_printer_read_a_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    secret = tmp_path / "secret.css"
    secret.write_text('p::before { content: "the secret" }', encoding="utf-8")
    drawing = tmp_path / "secret.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg"><text y="9">the secret</text></svg>',
        encoding="utf-8",
    )
    asked: list[str] = []

    def noted(address: str) -> tuple[bytes, str]:
        asked.append(address)
        return own_file(address)

    monkeypatch.setattr(printing, "own_file", noted)
    pdf = pdf_of(
        f"""<html lang="en"><title>t</title>
        <link rel="stylesheet" href="{secret.as_uri()}">
        <link rel="attachment" href="{secret.as_uri()}">
        <style>@import "{secret.as_uri()}"; p {{ background: url({drawing.as_uri()}) }}</style>
        <p style="list-style: url(data:image/svg+xml,%3Csvg/%3E)">hello</p>
        <img alt="a" src="{drawing.as_uri()}"><img alt="b" src="../../etc/passwd">
        <svg viewBox="0 0 9 9"><title>c</title><image href="{drawing.as_uri()}"/></svg>"""
    )
    reader = PdfReader(BytesIO(pdf))
    assert {secret.as_uri(), drawing.as_uri(), f"{printing.BASE_URL}etc/passwd"} <= set(asked)
    text = reader.pages[0].extract_text()
    assert "hello" in text
    assert "the secret" not in text
    assert not reader.attachments
    assert b"secret" not in pdf


def test_without_weasyprint_the_error_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    with pytest.raises(PdfToolsMissingError) as refused:
        pdf_of("<p>")
    # The packages that WeasyPrint's own installation page names for Debian.
    assert "apt-get install libpango-1.0-0 libpangoft2-1.0-0" in refused.value.sentence


def test_without_pango_the_error_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    importing = builtins.__import__

    def without_pango(name: str, *rest: Any, **named: Any) -> Any:
        if name == "weasyprint":  # as WeasyPrint fails when dlopen finds no library
            raise OSError("cannot load library 'libpango-1.0-0'\nand a long hint")
        return importing(name, *rest, **named)

    monkeypatch.setattr(builtins, "__import__", without_pango)
    why_no_pdf.cache_clear()
    sentence = why_no_pdf()
    why_no_pdf.cache_clear()
    assert "cannot load library 'libpango-1.0-0'" in sentence
    assert "apt-get install" in sentence
    assert "long hint" not in sentence


def test_nothing_keeps_this_computer_from_printing() -> None:
    assert why_no_pdf() == ""
