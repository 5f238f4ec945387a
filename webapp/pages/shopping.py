"""Shopping: the list of what to buy, ticked as it is bought, and the notions on it."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from fastapi import APIRouter, Request, Response
from starlette.datastructures import FormData

from webapp.cloth.costs import offered_currencies, read_currency, read_price
from webapp.draft.names import Figures
from webapp.draft.recipe import Notion
from webapp.errors import SeamslateError
from webapp.handouts.shopping import shopping_csv
from webapp.pages.companion import PaperChoice
from webapp.pages.forms import (
    UNANSWERED,
    Answers,
    Field,
    figure,
    needed,
    one_of,
    read_form,
    status_of,
    text,
    whole_number,
)
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.print_orders import Order, attachment, named
from webapp.pages.prints import answer_with, made_now
from webapp.plan.edits import changed, shifted
from webapp.plan.episode import Episode
from webapp.plan.notions import notion_names
from webapp.plan.results import NotionPlan, Plan
from webapp.plan.shopping import ShoppingList, notion_key, shopping

router = APIRouter(prefix="/episodes/{episode_id}/shopping")

KINDS: Final = {
    "other": "Something else",
    "thread": "Sewing thread",
    "needles": "Machine needles",
    "elastic": "Elastic",
    "zip": "Zip",
    "buttons": "Buttons",
    "binding": "Binding",
}
_MOST: Final = 100  # of one notion
_BREAKS: Final = re.compile(r"(?<=\d) (?=(?:\d+/\d+|in|cm|mm|m|yd|g/m²|oz/yd²)(?!\w))")


@dataclass(frozen=True)
class FigureAsked:
    """A figure of a notion: its field, what it is called and what helps to give it."""

    name: str
    label: str
    help: str = ""


# The figures each kind is worked out from, as its form asks for them.
FIGURES: Final[Mapping[str, tuple[FigureAsked, ...]]] = {
    "elastic": (
        FigureAsked("length", "How long, sewn in", "A figure, such as waist - 5 cm."),
        FigureAsked("width", "How wide"),
        FigureAsked("ends", "For its ends", "In all. Empty: 2.5 cm (1 in)."),
    ),
    "zip": (FigureAsked("length", "How long the opening is"),),
    "buttons": (
        FigureAsked("length", "How far one is across"),
        FigureAsked("width", "How thick one is"),
    ),
    "binding": (
        FigureAsked("length", "How long the edge is", "A figure, such as Neck binding.join."),
        FigureAsked("width", "How wide it is cut"),
        FigureAsked("ends", "For its ends", "In all. Empty: 5 cm (2 in)."),
    ),
}


@dataclass(frozen=True)
class ShoppingView:
    """The list, its notions as they are edited, and what was typed wrong where."""

    list: ShoppingList
    notions: tuple[NotionPlan, ...]
    names: Figures  # what a notion's figures may quote
    currencies: tuple[tuple[str, str], ...]
    no_pdf: str  # why the list could not be printed; empty when it was not asked for
    form: str = ""  # "notion 2", "new notion", "currency", "bought"
    answers: Answers = UNANSWERED

    kinds = tuple(KINDS.items())

    def answers_for(self, form: str) -> Answers | None:
        """The answers if they belong to this form."""
        return self.answers if form == self.form else None

    @property
    def not_bought(self) -> frozenset[int]:
        """The notions that are cut from a cloth or at hand: nothing is worked out to buy."""
        apart = (line for one in self.list.sections if not one.to_buy for line in one.lines)
        return frozenset(line.place for line in apart if line.place is not None)

    def kept(self, words: str) -> str:
        """The words with each number on one line with its unit and its fraction."""
        return _BREAKS.sub("\u00a0", words)

    def asked(self, notion: Notion) -> tuple[FigureAsked, ...]:
        """The figures its kind is worked out from."""
        return FIGURES.get(notion.kind, ())

    def by_length(self, notion: Notion) -> bool:
        """True for what has its price by the metre or yard."""
        return notion.kind in ("elastic", "binding")


@router.get("")
def page(request: Request, episode_id: str, house: InHouse) -> Response:
    return _show(request, house, episode_id)


@router.get("/shopping-list.pdf")
def download_pdf(
    request: Request, episode_id: str, house: InHouse, paper: PaperChoice = "a4"
) -> Response:
    episode = house.plan(episode_id).episode
    choices = changed(episode.print_choices, paper=paper)
    order = Order("shopping-list", changed(episode, print_choices=choices))
    try:
        return answer_with(made_now(house, order))
    except SeamslateError as error:
        return _show(request, house, episode_id, no_pdf=error.sentence)


@router.get("/shopping.csv")
def download_csv(episode_id: str, house: InHouse) -> Response:
    plan = house.plan(episode_id)
    headers = attachment(named(plan.episode, "shopping.csv"))
    return Response(shopping_csv(plan), media_type="text/csv; charset=utf-8", headers=headers)


@router.post("/bought")
def tick(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    """Ticks are kept outside the history: what is in the basket is not undone."""
    ticks = _ticks(sent, house.plan(episode_id))
    if ticks:
        house.store.keep(episode_id, lambda e: _with_ticks(e, ticks))
    return _done(request, house, episode_id, "bought", Answers())


@router.post("/currency")
def save_currency(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, (Field("currency", read_currency),))
    answers = house.save(
        episode_id, "the currency", answers, lambda e: changed(e, **answers.values)
    )
    return _done(request, house, episode_id, "currency", answers)


@router.post("/notions")
def add_notion(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, needed(_NEW_NOTION_FIELDS, "name"))

    def edit(episode: Episode) -> Episode:
        return changed(episode, notions=(*episode.notions, Notion(**answers.values)))

    if not answers.errors:
        answers = house.save(episode_id, f"{answers.values['name']} to have", answers, edit)
    return _done(request, house, episode_id, "new notion", answers)


@router.post("/notions/{place}")
def save_notion(
    request: Request, episode_id: str, place: int, sent: Sent, house: InHouse
) -> Response:
    answers = read_form(sent, _notion_fields(house.plan(episode_id)))
    answers = house.save(
        episode_id,
        "what to have at hand",
        answers,
        lambda e: _with_notion(e, place, answers.values),
    )
    return _done(request, house, episode_id, f"notion {place}", answers)


@router.post("/notions/{place}/delete")
def delete_notion(request: Request, episode_id: str, place: int, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "something to have taken out",
        UNANSWERED,
        lambda e: changed(e, notions=shifted(e.notions, place, len(e.notions))[:-1]),
    )
    return _done(request, house, episode_id, f"notion {place}", answers)


_NEW_NOTION_FIELDS: Final = (
    Field("name", text(80, required=True)),
    Field("amount", text(200)),
    Field("kind", one_of(KINDS)),
)


def _notion_fields(plan: Plan) -> tuple[Field, ...]:
    names = notion_names(plan.drafts, plan.figures_mm)
    read_figure = figure(plan.episode.first_unit, names, required=False)
    return (
        *_NEW_NOTION_FIELDS,
        Field("why", text(4000)),
        Field("length", read_figure),
        Field("width", read_figure),
        Field("ends", read_figure),
        Field("count", whole_number(1, _MOST, required=True)),
        Field("price", read_price),
        Field("price_per", one_of(("m", "yd"))),
    )


def _with_notion(episode: Episode, place: int, values: Mapping[str, Any]) -> Episode:
    """The notion edited; its tick follows when it is renamed."""
    notions = list(shifted(episode.notions, place, 0))
    old = notions[place]
    notions[place] = changed(old, **values)
    keys = {notion_key(old.name): notion_key(notions[place].name)}
    bought = tuple(keys.get(key, key) for key in episode.bought)
    return changed(episode, notions=tuple(notions), bought=bought)


def _ticks(sent: FormData, plan: Plan) -> dict[str, bool]:
    """The ticks that were sent, by the keys of lines there are."""
    found = {line.key: sent.get(f"t {line.key}") for line in shopping(plan).lines}
    return {key: value == "yes" for key, value in found.items() if value is not None}


def _with_ticks(episode: Episode, ticks: Mapping[str, bool]) -> Episode:
    kept = [key for key in episode.bought if key not in ticks]
    return changed(episode, bought=(*kept, *(key for key, ticked in ticks.items() if ticked)))


def _done(request: Request, house: House, episode_id: str, form: str, answers: Answers) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/shopping",
        (answers,),
        lambda: _show(request, house, episode_id, form=form, answers=answers),
    )


def _show(
    request: Request, house: House, episode_id: str, no_pdf: str = "", **told: Any
) -> Response:
    shell = house.shell(episode_id, "shopping")
    plan = shell.plan
    view = ShoppingView(
        list=shopping(plan),
        notions=plan.notions,
        names=notion_names(plan.drafts, plan.figures_mm),
        currencies=offered_currencies(),
        no_pdf=no_pdf,
        **told,
    )
    status = 503 if no_pdf else status_of(view)
    return house.show(request, "shopping/shopping.html", view, shell=shell, status=status)
