"""A little SVG: elements with presentation attributes only, short numbers, escaped texts.

No style sheets and no scripts, so that a drawing may stand in a page under a strict content policy,
and no `vector-effect`, which the PDF renderer does not know.
"""

import re
from collections.abc import Iterable, Mapping
from typing import Final
from xml.etree.ElementTree import Element, SubElement, tostring

from webapp.draft.outline import Cubic, Edge, Point

_NOT_IN_XML: Final = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def number(value: float) -> str:
    """At most three decimals, no trailing zeros, no minus zero."""
    shown = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if shown == "-0" else shown


def figure(
    box: tuple[float, float, float, float], title: str, description: str, **attributes: str
) -> Element:
    """The root of a drawing: its view box (x, y, width, height), its title and its words."""
    root = Element("svg", xmlns="http://www.w3.org/2000/svg", role="img")
    root.set("viewBox", " ".join(number(value) for value in box))
    _set(root, attributes)
    add(root, "title", title)
    add(root, "desc", description)
    return root


def add(parent: Element, tag: str, text: str = "", /, **attributes: str | float) -> Element:
    """A new child; `stroke_width=1` becomes the attribute stroke-width="1". Texts and numbers."""
    child = SubElement(parent, tag)
    if text:
        child.text = _NOT_IN_XML.sub("", text)
    _set(child, attributes)
    return child


def written(root: Element) -> str:
    """The drawing as text."""
    return tostring(root, encoding="unicode")


def with_inside(drawing: str, parts: Iterable[str]) -> str:
    """A drawing as text, and in it behind all else parts that are written already."""
    end = "</svg>"
    return "".join((drawing.removesuffix(end), *parts, end))


def through(points: Iterable[Point], *, closed: bool = False) -> str:
    """Path data of straight lines through the points."""
    pairs = [f"{number(x)} {number(y)}" for x, y in points]
    return "M" + " L".join(pairs) + (" Z" if closed else "")


def along(edge: Edge) -> str:
    """Path data of an edge, its curves kept as curves."""
    drawn = [f"M{_pair(edge.start)}"]
    for segment in edge.segments:
        if isinstance(segment, Cubic):
            drawn.append("C" + " ".join(_pair(point) for point in segment.controls[1:]))
        else:
            drawn.append("L" + _pair(segment.end))
    return " ".join(drawn)


def _pair(point: Point) -> str:
    return f"{number(point[0])} {number(point[1])}"


def _set(element: Element, attributes: Mapping[str, str | float]) -> None:
    for name, value in attributes.items():
        shown = value if isinstance(value, str) else number(value)
        element.set(name.replace("_", "-"), _NOT_IN_XML.sub("", shown))
