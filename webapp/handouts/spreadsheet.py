"""Tables for a spreadsheet: comma-separated values (RFC 4180) in UTF-8."""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from typing import Final

# What spreadsheets begin a formula with, in full-width characters too.
_STARTS_A_FORMULA: Final = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
# Where numbers have commas, a spreadsheet takes a semicolon for the end of a cell, an end of line
# for that of a row, whatever quotes stand around them; quotes within a cell it passes over.
_ENDS: Final = re.compile(r'[;\t\r\n][\s"]*')
_BYTE_ORDER_MARK: Final = "\ufeff"  # or spreadsheets read € and ² as other signs


def table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> bytes:
    """The rows below their heads. What would be read as a formula begins with an apostrophe.

    A tab or an end of line before such a sign is passed over by spreadsheets, so here as well.
    """
    text = io.StringIO(newline="")
    lines = csv.writer(text)  # its own dialect is RFC 4180's: CRLF, quotes doubled
    lines.writerow(heads)
    lines.writerows([_defused(cell) for cell in row] for row in rows)
    return (_BYTE_ORDER_MARK + text.getvalue()).encode()


def _defused(cell: str) -> str:
    def guarded(end: re.Match[str]) -> str:
        return f"{end[0]}'" if cell.startswith(_STARTS_A_FORMULA, end.end()) else end[0]

    is_formula = cell.startswith(("\t", "\r")) or cell.lstrip().startswith(_STARTS_A_FORMULA)
    return ("'" if is_formula else "") + _ENDS.sub(guarded, cell)
