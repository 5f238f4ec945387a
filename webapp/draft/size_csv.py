"""A size chart from comma-separated values: every trouble told with its row and column.

The first row names the columns: one for the sizes, one for each measure, its unit behind it as in
`bust (cm)` or in the cells. Commas, semicolons or tabs part the columns; a cell holds a figure or
a range such as 82-90, or nothing where the chart does not give it. Either all is read or nothing.
"""

import csv
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Final

from webapp.draft.size_cells import UNIT_WORDS, Column, column_of, range_of, stated_unit, typed_ends
from webapp.draft.sizes import MeasuredRange, SizeChart, SizeRow
from webapp.units import System

MOST_ROWS: Final = 60  # more sizes than any chart has
LARGEST_CHARACTERS: Final = 100_000
_LONGEST_NAME: Final = 80
_HOW_IT_BEGINS: Final = "The first row names the columns: size, bust, hip …"

_Row = tuple[int, tuple[str, ...]]  # its number in the text, from 1, and its cells


@dataclass(frozen=True, slots=True)
class Trouble:
    """What is wrong in a cell, a row or the whole text; rows count from 1, the header's."""

    why: str
    row: int = 0  # 0: the text as a whole
    column: int = -1  # its place from 0; -1: the row as a whole
    named: str = ""  # the column's header

    @property
    def sentence(self) -> str:
        """Where it is, then what it is."""
        where = f"Row {self.row}" if self.row else ""
        if self.column >= 0:
            where += f", {self.named}" if self.named else f", column {self.column + 1}"
        return f"{where}: {self.why}" if where else self.why


@dataclass(frozen=True)
class Reading:
    """A text as it was read: its cells, what is wrong with them, the sizes when nothing is."""

    header: tuple[str, ...] = ()
    rows: tuple[_Row, ...] = ()
    troubles: tuple[Trouble, ...] = ()
    sizes: tuple[SizeRow, ...] = ()
    first: int = 1  # the header's number

    def wrong(self, row: int, column: int = -1) -> bool:
        """True when there is trouble with that cell, or with that row as a whole."""
        return any(each.row == row and each.column == column for each in self.troubles)

    def padded(self, cells: tuple[str, ...]) -> tuple[str, ...]:
        """The cells of a row, with empty ones up to the number of columns."""
        return cells + ("",) * (len(self.header) - len(cells))

    def chart(self, name: str, source: str) -> SizeChart:
        """The chart of what was read. ValueError when there is trouble with it."""
        if self.troubles:
            raise ValueError(self.troubles[0].sentence)
        return SizeChart(name=name, source=source, rows=self.sizes)


def text_of(raw: bytes) -> str:
    """A file's text, whichever way a spreadsheet wrote it. ValueError when it is no text."""
    marks_utf_16 = raw.startswith((b"\xff\xfe", b"\xfe\xff"))
    for encoding in ("utf-16",) if marks_utf_16 else ("utf-8-sig", "cp1252"):
        with suppress(UnicodeDecodeError):
            text = raw.decode(encoding)
            if "\0" not in text and not raw.startswith(b"PK\x03\x04"):
                return text
    raise ValueError("This file is not plain text. Save the sheet as CSV and choose that file.")


def read_sizes(text: str, default: System) -> Reading:
    """Read the text of a chart; a figure whose unit stands nowhere is in the default one."""
    if len(text) > LARGEST_CHARACTERS:
        most = f"{LARGEST_CHARACTERS:,} characters at most"
        return _nothing(f"This is too long for a size chart, which has {most}.")
    if bad := next((c for c in text if ord(c) < 32 and c not in "\t\n\r"), None):
        return _nothing(f"This is not plain text: it holds the character {ord(bad)}.")
    lines = text.removeprefix("\ufeff").splitlines(keepends=True)
    sign = _parting_sign(next((line for line in lines if line.strip()), ""))
    reader = csv.reader(lines, delimiter=sign, strict=True)
    try:
        rows = list(_filled(reader))
    except csv.Error:
        why = (
            "A quotation mark stands where it does not fit. Put the whole cell between two of "
            "them, or take it out."
        )
        return Reading(troubles=(Trouble(why, reader.line_num),))
    if not rows:
        return _nothing(f"There is nothing here. {_HOW_IT_BEGINS}")
    return _Table(rows[0], tuple(rows[1:]), default, sign).read()


def _nothing(why: str) -> Reading:
    return Reading(troubles=(Trouble(why),))


def _filled(reader: Iterator[list[str]]) -> Iterator[_Row]:
    """Each row that holds something; its cells without the space around them."""
    for number, cells in enumerate(reader, start=1):
        row = [" ".join(cell.split()) for cell in cells]
        while row and not row[-1]:
            row.pop()
        if row:
            yield number, tuple(row)


def _parting_sign(header: str) -> str:
    """What parts the columns: the sign that the first row holds most of outside quotes."""
    outside = re.sub(r'"[^"]*"', "", header)
    return max((";", "\t", ","), key=outside.count)


@dataclass
class _Table:
    """The rows on their way to sizes; troubles gather."""

    first: _Row
    rows: tuple[_Row, ...]
    default: System
    sign: str
    troubles: list[Trouble] = field(default_factory=list)
    units: dict[int, System] = field(default_factory=dict)  # of each column, once it is known
    mixed: set[int] = field(default_factory=set)  # the columns that were told to mix units
    seen: dict[str, int] = field(default_factory=dict)  # rows by the size's name in lower case

    def read(self) -> Reading:
        """The sizes, or all that keeps them from being read."""
        columns = self._columns()
        if not self.rows:
            self._tell("There is no size below the names of the columns.")
        if len(self.rows) > MOST_ROWS:
            self._tell(f"There are {len(self.rows)} sizes; a chart holds {MOST_ROWS} at most.")
        sizes = [self._size(row, columns) for row in self.rows[:MOST_ROWS]]
        found = tuple(sorted(self.troubles, key=lambda each: (each.row, each.column)))
        made = () if found else tuple(filter(None, sizes))
        number, header = self.first
        return Reading(header, self.rows[:MOST_ROWS], found, made, number)

    def _tell(self, why: str, row: int = 0, column: Column | None = None) -> None:
        place, named = (column.place, column.named) if column else (-1, "")
        self.troubles.append(Trouble(why, row, place, named))

    def _columns(self) -> list[Column]:
        """What each column holds; one that cannot be told is left out."""
        number, header = self.first
        found = []
        for place, text in enumerate(header):
            try:
                found.append(column_of(place, text))
            except ValueError as error:
                self._tell(str(error), number, Column(place, text))
        for measure, count in Counter(column.measure for column in found).items():
            if count > 1:
                what = measure.name if measure else "the sizes' names"
                self._tell(f"{count} columns give {what}; keep one.", number)
        if not any(column.measure is None for column in found):
            self._tell(f"No column is called “size”. {_HOW_IT_BEGINS}", number)
        elif len(header) == 1:
            self._tell(f"No column gives a measure. {_HOW_IT_BEGINS}", number)
        return found

    def _size(self, row: _Row, columns: Sequence[Column]) -> SizeRow | None:
        """One size; None when there is trouble with it."""
        number, cells = row
        before, wide = len(self.troubles), len(self.first[1])
        if len(cells) > wide:
            hint = " A decimal comma needs semicolons between the columns."
            self._tell(
                f"This row has {len(cells)} cells, but only {wide} columns are named."
                + (hint if self.sign == "," else ""),
                number,
            )
            return None
        name, ranges = "", {}
        for column in columns:
            cell = cells[column.place] if column.place < len(cells) else ""
            if column.measure is None:
                name = self._name(number, column, cell)
            elif cell and (found := self._range(number, column, cell)):
                ranges[column.measure.name] = found
        names = [column.place for column in columns if column.measure is None]
        others = [cell for place, cell in enumerate(cells) if place not in names]
        if name and wide > 1 and not any(others):
            self._tell("This size has no figure.", number)
        if not name or len(self.troubles) > before:
            return None
        return SizeRow(name=name, ranges=ranges)

    def _name(self, number: int, column: Column, cell: str) -> str:
        twin = self.seen.setdefault(cell.lower(), number)
        if not cell:
            self._tell("The size has no name.", number, column)
        elif len(cell) > _LONGEST_NAME:
            self._tell(f"A size's name is {_LONGEST_NAME} characters long at most.", number, column)
        elif twin != number:
            self._tell(f"“{cell}” is the name of row {twin} too.", number, column)
        return cell

    def _range(self, number: int, column: Column, cell: str) -> MeasuredRange | None:
        assert column.measure is not None
        bare = column.unit or self.default
        try:
            ends = typed_ends(cell, bare)
            own = stated_unit(ends[1]) or bare
            unit = self.units.setdefault(column.place, column.unit or own)
            if own == unit:
                return range_of(ends, column.measure, unit)
        except ValueError as error:
            self._tell(str(error), number, column)
            return None
        if column.place not in self.mixed:
            self.mixed.add(column.place)
            here, there = UNIT_WORDS[own], UNIT_WORDS[unit]
            why = f"“{cell}” is in {here}, but the column is in {there}; use one throughout."
            self._tell(why, number, column)
        return None
