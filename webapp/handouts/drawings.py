"""Drawings on paper: given a size, described in words."""

from typing import Final
from xml.etree import ElementTree

from markupsafe import Markup

INK: Final = "#22303a"
FACE: Final = "'Source Sans 3', 'Source Sans 3 Ext', sans-serif"

_SVG: Final = "http://www.w3.org/2000/svg"


def sized(drawing: str, width_mm: float, height_mm: float) -> Markup:
    """One of our own drawings, as large as the box allows, its words told as its title.

    A PDF takes the title as the text for those who cannot see the drawing.
    """
    root = ElementTree.fromstring(drawing)
    for element in root.iter():
        # Bare names: WeasyPrint overwrites the table of prefixes as it prints.
        element.tag = element.tag.removeprefix(f"{{{_SVG}}}")
        if "font-family" in element.attrib:
            element.set("font-family", FACE)
    root.set("xmlns", _SVG)
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    scale = min(width_mm / width, height_mm / height)
    root.set("width", f"{width * scale:.2f}mm")
    root.set("height", f"{height * scale:.2f}mm")
    title, words = root.find("title"), root.find("desc")
    if title is not None and words is not None:
        title.text = f"{title.text}. {words.text}"
        root.remove(words)
    return Markup(ElementTree.tostring(root, encoding="unicode"))
