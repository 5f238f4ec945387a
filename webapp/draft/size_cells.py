"""The cells of a typed size chart: what a column's name says, and figures or ranges with units."""

import re
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Final

from webapp.draft.measures import MEASURES, Measure
from webapp.draft.sizes import MeasuredRange, in_inches
from webapp.units import System, both, parse_length

UNIT_WORDS: Final[dict[System, str]] = {"cm": "centimetres", "in": "inches"}
_SIZE_HEADERS: Final = ("size", "name")
_OTHER_NAMES: Final = {"chest": "bust", "hips": "hip"}
_HEADER: Final = re.compile(r"(?P<name>[^()\[\]]*?)\s*(?:[(\[]\s*(?P<unit>[^()\[\]]*?)\s*[)\]])?")
_UNITS: Final[dict[str, System]] = {
    "cm": "cm", "centimetres": "cm", "centimeters": "cm",
    "in": "in", "inch": "in", "inches": "in", '"': "in", "″": "in",
}  # fmt: skip
_PARTS_RANGE: Final = re.compile(r"\s*[-–—]\s*|\s+to\s+")
_UNIT_SIGNS: Final = "\"'″′"


@dataclass(frozen=True, slots=True)
class Column:
    """A column: the sizes' names when it has no measure; `unit` is its header's."""

    place: int
    named: str
    measure: Measure | None = None
    unit: System | None = None


def column_of(place: int, header: str) -> Column:
    """What a column holds. ValueError says why that cannot be told."""
    match = _HEADER.fullmatch(header)
    name, unit = (match["name"], match["unit"]) if match else (header, None)
    name = " ".join(name.lower().split()).removesuffix(" girth")
    if name in _SIZE_HEADERS or (place == 0 and not header):
        return Column(place, header or "size")
    measure = MEASURES.get(_OTHER_NAMES.get(name, name))
    if not header:
        raise ValueError("This column has no name.")
    if measure is None:
        near = get_close_matches(name, MEASURES, n=1)
        there_are = f"Did you mean {near[0]}?" if near else f"It knows {', '.join(MEASURES)}."
        raise ValueError(f"“{header}” is no measure Seamslate knows. {there_are}")
    if unit is None:
        return Column(place, header, measure)
    if unit.lower() not in _UNITS:
        raise ValueError(f"“{unit}” is no unit for a chart; write cm or in.")
    return Column(place, header, measure, _UNITS[unit.lower()])


def typed_ends(cell: str, unit: System) -> tuple[str, str]:
    """Both ends of a figure or a range with their units; one figure is both, bare ones in `unit`.

    ValueError when the cell is neither.
    """
    try:
        return (_with_unit(cell, unit),) * 2
    except ValueError as error:
        why = error
    for parted in _PARTS_RANGE.finditer(cell):  # 28-1/2 may be one figure, so each is tried
        low, high = cell[: parted.start()], cell[parted.end() :]
        try:
            return _with_unit(low, stated_unit(high) or unit), _with_unit(high, unit)
        except ValueError:
            continue
    raise why


def range_of(ends: tuple[str, str], measure: Measure, unit: System) -> MeasuredRange:
    """The range between two typed lengths. ValueError when no body measures that."""
    least_mm, most_mm = (parse_length(end, None).mm for end in ends)
    if least_mm > most_mm:
        raise ValueError(f"{ends[0]} is more than {ends[1]}; the smaller stands first.")
    if least_mm < measure.least_mm or most_mm > measure.most_mm:
        outside = ends[0] if least_mm < measure.least_mm else ends[1]
        raise ValueError(
            f"{outside} is out of range for {measure.name}, which is from "
            f"{both(measure.least_mm, unit)} to {both(measure.most_mm, unit)}. Check the unit."
        )
    return MeasuredRange(least=ends[0], most=ends[1])


def stated_unit(text: str) -> System | None:
    """The unit that a length or a range states itself."""
    letters = re.sub(r"\bto\b", "", text)
    if not any(c.isalpha() or c in _UNIT_SIGNS for c in letters):
        return None
    return "in" if in_inches(letters) else "cm"


def _with_unit(text: str, unit: System) -> str:
    """The text, its unit written out. ValueError when it is no length."""
    parse_length(text, unit)
    return text if stated_unit(text) else f"{text} {unit}"
