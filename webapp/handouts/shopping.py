"""The shopping list, to print and as a table for a spreadsheet."""

from dataclasses import dataclass
from typing import Annotated, Final

from webapp.handouts.companion import issue_of
from webapp.handouts.printing import PaperName, pdf_of
from webapp.handouts.spreadsheet import table
from webapp.handouts.templating import render as fill
from webapp.plan.results import Plan
from webapp.plan.shopping import Line, ShoppingList, shopping
from webapp.units import System

_COLUMNS: Final = ("For", "What", "What it is", "Amount", "Why", "Cost", "Currency", "Bought")


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
    """The list as a table for a spreadsheet, a line for each thing to buy."""
    found = shopping(plan)
    return table(
        _COLUMNS,
        [
            (
                section.name,
                *_cells(line),
                found.currency if line.cost is not None else "",
                "yes" if line.bought else "no",
            )
            for section in found.sections
            for line in section.lines
        ],
    )


def _cells(line: Line) -> tuple[str, str, str, str, str]:
    why = " ".join([*line.why, line.problem]).strip()
    beside = f" (worked out: {line.worked_out})" if line.worked_out else ""
    cost = "" if line.cost is None else str(line.cost)
    return line.what, line.description, line.amount + beside, why, cost
