"""The computer: versions, printing, fonts, the port, processes for long work."""

import http.client
import platform
import re
import socket
import sqlite3
import ssl
import sys
import time
from collections.abc import Iterator
from importlib import metadata
from typing import Final

from webapp.doctor.finding import Finding, counted
from webapp.jobs import Jobs, Report, processors
from webapp.log import version
from webapp.settings import LOOPBACK, Settings, files_dir

OLDEST_PYTHON: Final = (3, 11)
_ANEW: Final = "Install Seamslate anew: see its README."
_NEEDED: Final = re.compile(r"([A-Za-z0-9._-]+)\s*(?:\[[^]]*\])?\s*(?:>=\s*([\d.]+))?")
_FONT: Final = re.compile(r'url\("?([^")]+\.woff2)"?\)')
_PAGE: Final = (
    '<!doctype html><html lang="en"><head><title>A page</title>'
    '<link rel="stylesheet" href="/static/css/print-fonts.css"></head>'
    '<body style="font-family: Source Sans 3">One page</body></html>'
)
_PATIENCE_S: Final = 60.0


def versions(_: Settings) -> Iterator[Finding]:
    """Python and the packages, each as new as it has to be."""
    python = platform.python_version()
    if sys.version_info < OLDEST_PYTHON:
        words = f"Python {python} is too old: Seamslate needs 3.11 or newer. {_ANEW}"
        yield Finding("Python", "to do", words)
    else:
        words = f"{python} on {platform.system()} {platform.release()}, SQLite "
        yield Finding("Python", "well", f"{words}{sqlite3.sqlite_version}.")
    try:
        needed = metadata.requires("seamslate") or []
    except metadata.PackageNotFoundError:
        words = f"Seamslate is not installed as a package, so what it needs is not known. {_ANEW}"
        yield Finding("Packages", "cannot look", words)
        return
    there, wrong = [], []
    for line in needed:
        one = _NEEDED.match(line)
        if one is None or "extra ==" in line:
            continue
        name, least = one[1], one[2] or "0"
        try:
            found = metadata.version(name)
        except metadata.PackageNotFoundError:
            wrong.append(f"{name} is missing")
            continue
        there.append(f"{name} {found}")
        if _numbers(found) < _numbers(least):
            wrong.append(f"{name} {found} is too old, {least} is needed")
    if wrong:
        yield Finding("Packages", "to do", f"{'; '.join(wrong)}. {_ANEW}")
    else:
        words = f"Seamslate {version()} with {', '.join(there)}."
        yield Finding("Packages", "well", words)


def pdf_files(_: Settings) -> Iterator[Finding]:
    """A page is really printed."""
    import pypdfium2  # type: ignore[import-untyped]  # noqa: PLC0415 - heavy

    from webapp.handouts.printing import pdf_of, why_no_pdf  # noqa: PLC0415

    if why := why_no_pdf():
        yield Finding("PDF files", "to do", why)
        return
    from weasyprint.text.ffi import pango  # noqa: PLC0415

    printed = pypdfium2.PdfDocument(pdf_of(_PAGE))
    pages = len(printed)
    printed.close()
    number = pango.pango_version()
    pango_version = f"{number // 10000}.{number // 100 % 100}.{number % 100}"
    words = f"WeasyPrint {metadata.version('weasyprint')} and Pango {pango_version}"
    if pages == 1:
        yield Finding("PDF files", "well", f"a page was printed by {words}.")
    else:
        yield Finding("PDF files", "to do", f"{words} printed no page. {_ANEW}")


def fonts(_: Settings) -> Iterator[Finding]:
    """The fonts that the sheets and pages name are there and can be read."""
    from webapp.handouts.printing import BASE_URL, own_file  # noqa: PLC0415

    static = files_dir("static")
    named = {
        (sheet.parent / font).resolve()
        for sheet in (static / "css").glob("*.css")
        for font in _FONT.findall(sheet.read_text(encoding="utf-8"))
    }
    broken = []
    for path in sorted(named):
        try:
            inside = path.relative_to(static.resolve()).as_posix()
            own_file(f"{BASE_URL}static/{inside}")
        except Exception:  # missing, or no font: whatever the library says of it
            broken.append(path.name)
    if broken or not named:
        what = ", ".join(broken) or "All fonts"
        yield Finding("Fonts", "to do", f"{what} cannot be read. {_ANEW}")
    else:
        yield Finding("Fonts", "well", f"all {len(named)} of Seamslate's own can be read.")


def port(settings: Settings) -> Iterator[Finding]:
    """The port is free, or Seamslate answers there."""
    number = settings.port
    if number == 0:
        yield Finding("Port", "well", "any free one is taken.")
        return
    try:
        with socket.create_connection((LOOPBACK, number), timeout=2):
            pass
    except OSError:
        yield Finding("Port", "well", f"{number} is free.")
        return
    is_ours = any(_is_ours(number, safely=one) for one in (False, True))
    if is_ours:
        yield Finding("Port", "well", f"Seamslate answers on {number}.")
    else:
        words = f"another program uses {number}. Start Seamslate with --port and another number."
        yield Finding("Port", "to do", words)


def _is_ours(number: int, *, safely: bool) -> bool:
    """Whether what answers on the port, by https or not, does so as Seamslate."""
    asking: http.client.HTTPConnection
    if safely:
        anyone = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
        anyone.check_hostname, anyone.verify_mode = False, ssl.CERT_NONE
        asking = http.client.HTTPSConnection(LOOPBACK, number, timeout=5, context=anyone)
    else:
        asking = http.client.HTTPConnection(LOOPBACK, number, timeout=5)
    try:
        asking.request("HEAD", "/static/mark.svg")
        return bool(asking.getresponse().getheader("x-request-id"))
    except (OSError, http.client.HTTPException):
        return False
    finally:
        asking.close()


def processes(_: Settings) -> Iterator[Finding]:
    """A process for long work can be started."""
    jobs, begun_s = Jobs(1), time.monotonic()
    try:
        job = jobs.start("doctor", look_in)
        job.wait(_PATIENCE_S)
        took_s = time.monotonic() - begun_s
        if job.state == "done":
            at_once = f"{counted(processors(), 'long work')} at a time"
            words = f"one was there after {took_s:.1f} s; {at_once}."
            yield Finding("Processes", "well", words)
        else:
            why = job.error or f"none was there after {took_s:.0f} s"
            words = f"long work cannot be done: {why} {job.technical}".rstrip()
            cure = "Start the computer anew; if that does not help, install Seamslate anew."
            yield Finding("Processes", "to do", f"{words.rstrip('.')}. {cure}")
    finally:
        jobs.close()


def look_in(report: Report) -> str:
    """The shortest of all long works."""
    report("Here")
    return "there"


def _numbers(text: str) -> tuple[int, ...]:
    return tuple(int(one) for one in re.findall(r"\d+", text.partition("+")[0])[:4])
