"""Pieces to draw in tests, and reading what was drawn."""

import re
from collections.abc import Sequence
from xml.etree.ElementTree import Element, fromstring

import numpy as np
import shapely

from tests.specimens import RECTANGLE, Move, many_pieces, piece_of

SVG = "{http://www.w3.org/2000/svg}"

NOTCH: Move = {"kind": "notch", "edge": "right side", "corner": "top", "at": "20 cm"}
MARKED = piece_of(
    RECTANGLE | {"width": "40 cm", "length": "60 cm"},
    {"kind": "dart", "edge": "top", "corner": "right side", "at": "12 cm", "width": "3 cm",
     "length": "11 cm"},
    NOTCH,
    NOTCH | {"at": "32 cm", "double": True, "name": "back"},
    NOTCH | {"edge": "hem", "corner": "left side", "at": "10 cm", "name": "slit"},
    {"kind": "pocket place", "edge": "top", "corner": "left side", "across": "5 cm",
     "down": "22 cm", "width": "13 cm", "length": "15 cm"},
    {"kind": "drill hole", "edge": "top", "corner": "left side", "across": "5 cm",
     "down": "12 cm", "name": "tie"},
    {"kind": "buttonholes", "edge": "right side", "corner": "top", "first": "3 cm",
     "last": "50 cm", "count": 5, "inset": "1 cm", "length": "2 cm"},
    finishes={"hem": {"kind": "raw"}},
)  # fmt: skip
PIECES = many_pieces() | {"with every kind of mark": MARKED}
FRONT = PIECES["drop-shoulder-smock: Front"]


def on_each_other(boxes: Sequence[tuple[str, shapely.Polygon]]) -> list[tuple[str, str]]:
    """Pairs of words whose boxes share an eighth of the smaller one, nearly."""
    words, shapes = zip(*boxes, strict=True)
    one, other = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    one, other = one[one < other], other[one < other]
    areas, array = shapely.area(shapes), np.array(shapes)
    shared = shapely.area(shapely.intersection(array[one], array[other]))
    hit = shared >= 0.12 * np.minimum(areas[one], areas[other])
    return [(words[a], words[b]) for a, b in zip(one[hit], other[hit], strict=True)]


def texts(drawn: str) -> list[str]:
    """Every text of a drawing."""
    return ["".join(text.itertext()) for text in fromstring(drawn).iter(f"{SVG}text")]


def text_of(root: Element, tag: str) -> str:
    """What the drawing's own title or description says."""
    found = root.find(f"{SVG}{tag}")
    assert found is not None
    assert found.text
    return found.text


def points_of(path: str) -> list[tuple[float, float]]:
    """The points of a path of straight lines."""
    values = [float(value) for value in re.findall(r"-?[\d.]+", path)]
    return list(zip(values[::2], values[1::2], strict=True))
