"""HTML to PDF with WeasyPrint: our own files only, the same bytes every time."""

import gc
import re
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from io import BytesIO
from pathlib import Path
from threading import Lock
from typing import Any, Final, Literal
from urllib.parse import unquote, urlsplit

from webapp.command import to_install
from webapp.errors import PdfToolsMissingError
from webapp.handouts.letters import told_missing, unusual_letters, without_glyph
from webapp.settings import files_dir

PaperName = Literal["a4", "letter"]  # each has its page rule in static/css/paper-NAME.css

# A host that can never exist (RFC 2606, .invalid): only our fetcher answers it.
BASE_URL: Final = "https://seamslate.invalid/"
_STATIC: Final = "/static/"
_TYPES: Final = {".css": "text/css", ".woff2": "font/ttf"}
_NEVER: Final = 1_000_000
_OWN: Final = "print-fonts.css"
_FURTHER: Final = "print-fonts-ext.css"
_FURTHER_LATIN: Final = re.compile("[\u0100-\u02ba\u1e00-\u1eff\u20a0-\u20ab\u20ad-\u20c0]")

# WeasyPrint and Pango share font maps that are not made for two threads at a time.
_ONE_AT_A_TIME: Final = Lock()

_MISSING: Final = (
    "PDF files need WeasyPrint and the Pango libraries, and this computer lacks them ({why}). "
    "On Debian or Ubuntu:\n{install}"
)


def pdf_of(html: str) -> bytes:
    """The document as a tagged PDF. PdfToolsMissingError when it cannot be printed here."""
    weasyprint = _weasyprint()
    with _ONE_AT_A_TIME, _seldom_collected():
        return _written(weasyprint, html)


def _written(weasyprint: Any, html: str) -> bytes:
    from weasyprint.text.fonts import FontConfiguration  # noqa: PLC0415

    fonts = FontConfiguration()
    styles = [_style(weasyprint, _FURTHER, fonts)] if _FURTHER_LATIN.search(html) else []
    document = weasyprint.HTML(string=html, base_url=BASE_URL, url_fetcher=own_files())
    pdf: bytes = document.write_pdf(stylesheets=styles, font_config=fonts, pdf_variant="pdf/ua-1")
    return pdf


def _style(weasyprint: Any, name: str, fonts: Any) -> Any:
    url = f"{BASE_URL}static/css/{name}"
    return weasyprint.CSS(url=url, url_fetcher=own_files(), font_config=fonts)


@contextmanager
def _seldom_collected() -> Iterator[None]:
    """Look for garbage once a document is done, and only in what it left.

    Looking while it is made, over all that was there before, takes a fifth of the time. A process
    that sees to this itself (`cli.collect_seldom`) is left alone.
    """
    if gc.get_freeze_count():
        yield
        return
    young, middle, old = gc.get_threshold()
    gc.freeze()
    gc.set_threshold(young, middle, _NEVER)
    try:
        yield
    finally:
        gc.collect()
        gc.unfreeze()
        gc.set_threshold(young, middle, old)


def missing_letters(html: str) -> str:
    """One sentence naming the scripts of a text, or of its markup, that no font here has, and what
    to install; empty when every letter can be printed, or nothing can (`why_no_pdf`)."""
    letters = unusual_letters(html)
    if not letters or why_no_pdf():
        return ""
    weasyprint = _weasyprint()
    from weasyprint.text.fonts import FontConfiguration  # noqa: PLC0415

    with _ONE_AT_A_TIME:
        fonts = FontConfiguration()
        for name in (_OWN, _FURTHER):
            _style(weasyprint, name, fonts)
        return told_missing(without_glyph(letters, fonts.font_map))


@cache
def why_no_pdf() -> str:
    """What keeps this computer from printing PDF files, and the cure; empty when nothing does."""
    try:
        _weasyprint()
    except PdfToolsMissingError as error:
        return error.sentence
    return ""


def _weasyprint() -> Any:
    """WeasyPrint, imported when it is first used: it is slow to load and may not be there."""
    try:
        import weasyprint  # noqa: PLC0415
    except (ImportError, OSError) as error:  # OSError: Pango itself is not there
        why = str(error).partition("\n")[0] or type(error).__name__
        install = to_install("libpango-1.0-0", "libpangoft2-1.0-0")
        raise PdfToolsMissingError(_MISSING.format(why=why, install=install)) from error
    return weasyprint


@cache
def own_files() -> Any:
    """A fetcher that reads files below static/ and refuses every other address."""
    from weasyprint.urls import URLFetcher, URLFetcherResponse  # noqa: PLC0415

    class OwnFiles(URLFetcher):  # type: ignore[misc]  # WeasyPrint has no type hints
        def fetch(self, url: str, headers: object = None) -> Any:  # noqa: ARG002
            body, content_type = own_file(url)
            return URLFetcherResponse(url, body, {"Content-Type": content_type})

    return OwnFiles(allowed_protocols=("https",), allow_redirects=False)


def own_file(url: str) -> tuple[bytes, str]:
    """The content and type of a file below static/. ValueError for anything else."""
    parts = urlsplit(url)
    path = unquote(parts.path)
    if not url.startswith(BASE_URL) or not path.startswith(_STATIC):
        raise ValueError(f"Handouts read nothing but their own files, not {url}")
    root = files_dir("static").resolve()
    file = (root / path.removeprefix(_STATIC)).resolve()
    if not file.is_relative_to(root) or file.suffix not in _TYPES:
        raise ValueError(f"Handouts read nothing but their own files, not {url}")
    content = _unpacked(file) if file.suffix == ".woff2" else file.read_bytes()
    return content, _TYPES[file.suffix]


@cache
def _unpacked(font: Path) -> bytes:
    """A web font as a plain one. WeasyPrint would unpack it for every PDF anew."""
    # Comes with WeasyPrint, without type hints.
    from fontTools.ttLib import woff2  # type: ignore[import-untyped]  # noqa: PLC0415

    plain = BytesIO()
    with font.open("rb") as packed:
        woff2.decompress(packed, plain)
    return plain.getvalue()
