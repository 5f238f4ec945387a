"""The shopping list, to print and as a table for a spreadsheet."""

import csv
import io
from dataclasses import dataclass
from typing import Annotated, Final

from webapp.handouts.companion import issue_of
from webapp.handouts.printing import PaperName, pdf_of
from webapp.handouts.templating import render as fill
from webapp.plan.results import Plan
from webapp.plan.shopping import Line, ShoppingList, shopping
from webapp.units import System

_COLUMNS: Final = ("For", "What", "What it is", "Amount", "Why", "Cost", "Currency", "Bought")
_STARTS_A_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")
_BYTE_ORDER_MARK: Final = "\ufeff"  # or spreadsheets read € and ² as other signs


@dataclass(frozen=True)
class ShoppingSheet:
    """The printed list."""

    paper: Annotated[PaperName, "the paper it is laid out for"]
    channel: Annotated[str, "who makes the video; may be empty"]
    issue: Annotated[str, "series and number; may be empty"]
    title: Annotated[str, "the episode's title"]
    first_unit: Annotated[System, "the unit that stands first"]
    size: Annotated[str, "the size it is for"]
    list: Annotated[ShoppingList, "what to buy, with reasons and costs"]


def shopping_pdf(plan: Plan, *, paper: PaperName = "a4") -> bytes:
    """The list as a PDF, the same bytes for the same plan.

    PdfToolsMissingError when this computer cannot print PDF files.
    """
    return pdf_of(shopping_html(plan, paper=paper))


def shopping_html(plan: Plan, *, paper: PaperName = "a4") -> str:
    """The list as one HTML document that leans on the style sheets below /static/css/."""
    episode = plan.episode
    sheet = ShoppingSheet(
        paper=paper,
        channel=episode.channel,
        issue=issue_of(plan),
        title=episode.title,
        first_unit=episode.first_unit,
        size=episode.body.name,
        list=shopping(plan),
    )
    return fill("handouts/shopping.html", sheet)


def shopping_csv(plan: Plan) -> bytes:
    """The list as comma-separated values (RFC 4180) in UTF-8, a line for each thing to buy.

    A cell that a spreadsheet would take for a formula begins with an apostrophe.
    """
    found = shopping(plan)
    text = io.StringIO(newline="")
    table = csv.writer(text)  # its own dialect is RFC 4180's: CRLF, quotes doubled
    table.writerow(_COLUMNS)
    for section in found.sections:
        for line in section.lines:
            cells = (section.name, *_cells(line), found.currency if line.cost is not None else "")
            table.writerow([*map(_defused, cells), "yes" if line.bought else "no"])
    return (_BYTE_ORDER_MARK + text.getvalue()).encode()


def _cells(line: Line) -> tuple[str, str, str, str, str]:
    why = " ".join([*line.why, line.problem]).strip()
    beside = f" (worked out: {line.worked_out})" if line.worked_out else ""
    cost = "" if line.cost is None else str(line.cost)
    return line.what, line.description, line.amount + beside, why, cost


def _defused(cell: str) -> str:
    return f"'{cell}" if cell.startswith(_STARTS_A_FORMULA) else cell
