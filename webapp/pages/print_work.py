"""Printing as work for a process of its own: an order becomes a file, told in words meanwhile."""

import logging
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Final

from webapp.errors import RecipeError
from webapp.handouts.call_sheet import call_sheet_pdf
from webapp.handouts.file_names import slug
from webapp.handouts.pack import EXPORTS, Plans, pack, zipped
from webapp.handouts.printing import missing_letters
from webapp.handouts.shopping import shopping_pdf
from webapp.handouts.worksheet import worksheet_pdf
from webapp.jobs import Report
from webapp.pages.page_images import page_sizes
from webapp.pages.print_orders import Order, PrintedKind
from webapp.pages.printed_files import Printed
from webapp.plan.edits import as_printed, changed
from webapp.plan.evaluate import evaluate

CALLED: Final[Mapping[PrintedKind, str]] = {
    "companion": "the companion",
    "pattern": "the pattern pages",
    "pattern-sheet": "the large sheet",
    "worksheet": "the worksheet",
    "call-sheet": "the call sheet",
    "shopping-list": "the shopping list",
    "all": "all files",
}
PAGES_OF: Final[Mapping[PrintedKind, str]] = {
    "companion": "companion",
    "pattern": "pattern",
    "pattern-sheet": "pattern",
    "worksheet": "worksheet",
    "call-sheet": "call-sheets",
    "shopping-list": "shopping",
    "all": "files",
}


def called_as(order: Order) -> str:
    """What the file is called in a sentence: the companion, the pattern on A4 pages."""
    if order.kind == "pattern":
        return f"the pattern on {'A4' if order.paper == 'a4' else 'Letter'} pages"
    return CALLED[order.kind]


# Texts that no sheet for viewers shows.
_NOT_FOR_VIEWERS: Final = frozenset(
    {"shots", "looks", "place_changes", "shoot_days", "planned_days", "time_log", "earlier_times",
     "timer", "fittings", "revisions"}
)  # fmt: skip


def print_it(report: Report, order: Order) -> Printed:
    """Make the file. RecipeError when there is nothing to put in it; see `pdf_of` as well."""
    if order.kind == "all":
        made = pack(order.episode, lambda words: report(f"Making {words}."))
        notes = tuple(f"{one.name}: {one.why}" for one in made.not_made)
        sheets = tuple(
            (file.name, Printed(file.content, page_sizes(file.content)))
            for file in made.files
            if file.name.endswith(".pdf")
        )
        notes = (*notes, *made.notes, *_missing_letters(order))
        return Printed(
            zipped(made.files, slug(order.episode)), (), tuple(dict.fromkeys(notes)), sheets
        )
    called = called_as(order)
    report(f"Working out what stands on {called}.")
    with _told(report, called):
        content = MAKERS[order.kind](order)
    if content is None:
        raise RecipeError(f"There is nothing to put on {called} yet.")
    report("Nearly done.")
    return Printed(content, page_sizes(content), _missing_letters(order))


def _missing_letters(order: Order) -> tuple[str, ...]:
    """What cannot be printed of the texts it may show, for want of a font; usually nothing."""
    hidden = set() if order.kind in ("call-sheet", "all") else _NOT_FOR_VIEWERS
    told = missing_letters(order.episode.model_dump_json(exclude={*hidden}))
    return (told,) if told else ()


def _export(name: str) -> Callable[[Order], bytes | None]:
    return lambda order: EXPORTS[name].make(Plans.of(order.episode))


def _pattern(order: Order) -> bytes | None:
    return _export(f"pattern-{order.paper}.pdf")(order)


def _worksheet(order: Order) -> bytes | None:
    choices = order.episode.print_choices
    choices = changed(choices, drawn_for=order.size or choices.drawn_for)
    plan = evaluate(as_printed(changed(order.episode, print_choices=choices)))
    return worksheet_pdf(plan, blank=not order.size, paper=order.paper) if plan.pieces else None


def _call_sheet(order: Order) -> bytes | None:
    return call_sheet_pdf(evaluate(order.episode), order.day, order.paper)


def _shopping_list(order: Order) -> bytes:
    return shopping_pdf(evaluate(order.episode), paper=order.paper)


MAKERS: Final[dict[PrintedKind, Callable[[Order], bytes | None]]] = {
    "companion": _export("companion.pdf"),
    "pattern": _pattern,
    "pattern-sheet": _export("pattern-sheet.pdf"),
    "worksheet": _worksheet,
    "call-sheet": _call_sheet,
    "shopping-list": _shopping_list,
}


@contextmanager
def _told(report: Report, called: str) -> Iterator[None]:
    """Report what the printer tells of its steps while it lays out and writes."""

    class Teller(logging.Handler):
        """Hears of each page as it is laid out. How many there are is known when they are laid out
        a second time, to put in what stands on which page, and when they are drawn."""

        pages = 0

        def emit(self, record: logging.LogRecord) -> None:
            _, at_a_page, page = record.getMessage().partition("Creating layout - Page ")
            if at_a_page:
                number = int(page.split()[0])
                of = f" of {self.pages}" if number <= self.pages else ""
                self.pages = max(self.pages, number)
                report(f"Laying out {called}: page {number}{of}.")
            elif "Creating PDF" in record.msg:
                pages = "the page" if self.pages == 1 else f"the {self.pages} pages"
                report(f"Drawing {pages} of {called}.")

    logger, teller = logging.getLogger("weasyprint.progress"), Teller()
    level = logger.level
    logger.setLevel(logging.INFO)
    logger.addHandler(teller)
    try:
        yield
    finally:
        logger.removeHandler(teller)
        logger.setLevel(level)
