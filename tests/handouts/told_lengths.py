"""The text of any file that leaves the house, and the lengths in it that lack their other unit.

Files are read by libraries that did not write them. What counts as a length is written here, from
how lengths are shown (design §4), and shares nothing with webapp.filming.figures.
"""

import csv
import io
import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Any, Final
from xml.etree import ElementTree

import ezdxf
import icalendar
import pypdfium2  # type: ignore[import-untyped]
from pypdf import PdfReader

# --- What is read in a file ------------------------------------------------------------------


def text_of(name: str, content: bytes) -> str:
    """All that people read in it: what a PDF says of its drawings and its bookmarks too."""
    kind = name.rpartition(".")[2]
    return "\n".join(_READ[kind](content)).replace("\u2044", "/")


def _pdf(content: bytes) -> Iterator[str]:
    for page in pypdfium2.PdfDocument(content):
        yield page.get_textpage().get_text_range()
    reader = PdfReader(io.BytesIO(content))
    yield str(reader.metadata.title if reader.metadata else "")
    yield from (str(element["/Alt"]) for element in elements_of(reader) if "/Alt" in element)
    yield from (str(mark["/Title"]) for mark in bookmarks_of(reader))


def _ics(content: bytes) -> Iterator[str]:
    for part in icalendar.Calendar.from_ical(content).walk():
        yield from (str(value) for _, value in part.property_items())


def _csv(content: bytes) -> Iterator[str]:
    for row in csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""), strict=True):
        yield from row


def _dxf(content: bytes) -> Iterator[str]:
    drawing = ezdxf.read(io.StringIO(content.decode()))
    yield from (text.dxf.text for text in drawing.modelspace().query("TEXT"))


_READ: Final[dict[str, Any]] = {
    "pdf": _pdf,
    "ics": _ics,
    "csv": _csv,
    "dxf": _dxf,
    "svg": lambda content: ElementTree.fromstring(content).itertext(),
    "vtt": lambda content: [content.decode()],
    "txt": lambda content: [content.decode()],
}


def elements_of(reader: PdfReader) -> Iterator[Any]:
    """Every element of the tree of tags in the order it is read (ISO 32000-1, 14.7.2)."""
    root: Any = reader.trailer["/Root"]
    waiting = [root["/StructTreeRoot"]]
    while waiting:
        element = waiting.pop()
        if "/S" in element:
            yield element
        kids = element.get("/K", [])
        inner = [kid.get_object() for kid in (kids if isinstance(kids, list) else [kids])]
        waiting += [kid for kid in reversed(inner) if isinstance(kid, dict) and "/S" in kid]


def bookmarks_of(reader: PdfReader) -> list[Any]:
    """Every bookmark, those below others too."""

    def flat(marks: Any) -> Iterator[Any]:
        for mark in marks:
            yield from flat(mark) if isinstance(mark, list) else [mark]

    return list(flat(reader.outline))


# --- Lengths ---------------------------------------------------------------------------------

_NUMBER: Final = r"(?:\d+ \d+/\d+|\d+/\d+|\d+ ?[½¼¾⅓⅔⅛⅜⅝⅞]|\d+(?:[.,]\d+)?|[½¼¾⅓⅔⅛⅜⅝⅞])"
_METRIC: Final = r"(?:mm|cm|m|(?:milli|centi)?met(?:re|er)s?)"
_IMPERIAL: Final = r"(?:in|yd|ft|inch|inches|yards?|foot|feet|[\"″])"


def _one(unit: str) -> str:
    return rf"(?<![\w.,/]){_NUMBER}[ -]?{unit}(?![\w²])"


def _some(unit: str) -> str:
    """One length, or several of a kind side by side: 5 cm × 10 cm."""
    return rf"{_one(unit)}(?: ?(?:×|x|by|and|to|,) ?{_one(unit)})*"


_LENGTH: Final = re.compile(f"{_one(_METRIC)}|{_one(_IMPERIAL)}")
_PAIR: Final = re.compile(
    rf"(?P<a>{_some(_METRIC)}) ?(?:\(|or )(?P<b>{_some(_IMPERIAL)})"
    rf"|(?P<c>{_some(_IMPERIAL)}) ?(?:\(|or )(?P<d>{_some(_METRIC)})"
)
_UNITS_MM: Final = {"cm": "10", "mm": "1", "m": "1000", "in": "25.4", "yd": "914.4"}


def alone(text: str) -> list[str]:
    """The lengths beside which the other unit does not stand, with a few words around each."""
    rest = _PAIR.sub("¤", _on_one_line(text))
    return [rest[max(0, found.start() - 20) : found.end() + 20] for found in _LENGTH.finditer(rest)]


def pairs(text: str) -> list[tuple[Fraction, Fraction, str]]:
    """Of each pair of two lengths the metric one and the other, in millimetres, and its words."""
    found = [(m["a"] or m["d"], m["b"] or m["c"], m[0]) for m in _PAIR.finditer(_on_one_line(text))]
    return [(_mm(one), _mm(other), words) for one, other, words in found if "," not in words]


def _on_one_line(text: str) -> str:
    return " ".join(text.split())


def _mm(length: str) -> Fraction:
    *number, unit = length.replace("-", " ").split()
    return sum(map(Fraction, number), Fraction()) * Fraction(_UNITS_MM[unit])
