"""Other cloths that would do in place of the episode's, and what changes with each."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from fastapi import APIRouter, Request, Response

from webapp.cloth.cloths import ChoiceOnCloth, EpisodeCloth, OtherCloth
from webapp.draft.allowances import EdgeAllowance
from webapp.draft.names import listed, name_key
from webapp.draft.recipe import Choice, FinishKind
from webapp.draft.results import Draft
from webapp.errors import NotThereError, RecipeError
from webapp.pages.cloth_fields import cloth_fields
from webapp.pages.draft import in_range
from webapp.pages.draft_view import is_bare
from webapp.pages.forms import (
    UNANSWERED,
    Answers,
    Field,
    Reader,
    figure,
    needed,
    one_of,
    read_form,
    refuse_gone,
    status_of,
    text,
)
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.wording import allowance, figure_in_both
from webapp.plan.edits import changed, shifted
from webapp.plan.episode import Episode
from webapp.plan.other_cloth_edits import (
    laid_alike,
    with_choice_on_cloth,
    with_other_cloth,
    without_choice_on_cloth,
    without_other_cloth,
)
from webapp.plan.other_cloths import OtherClothPlan, other_cloth_plans
from webapp.units import System

router = APIRouter(prefix="/episodes/{episode_id}/other-cloths")

_BREAKS: Final = re.compile(r"(?<=\d) (?=(?:\d+/\d+|in|cm|g/m²|oz/yd²)(?!\w))")
_HEMS: Final = {"as advised": "As this cloth takes them", "as drafted": "As drafted"}


@dataclass(frozen=True)
class FigureOnCloth:
    """A choice with a figure of its own on a cloth; `now` in both units, empty if unreadable."""

    which: str  # what a form sends for it
    label: str
    value: str
    now: str
    drafted: str
    is_there: bool = True  # False when the garment has no such choice


@dataclass(frozen=True)
class OtherClothsView:
    """The other cloths as planned, and what was typed wrong where."""

    plans: tuple[OtherClothPlan, ...]
    cloths: tuple[str, ...]  # those they can stand in for
    first: System
    form: str = ""  # "cloth 0", "choices 0", "new choice 0", "new cloth"
    answers: Answers = UNANSWERED

    hems = tuple(_HEMS.items())

    def answers_for(self, form: str) -> Answers | None:
        """The answers if they belong to this form."""
        return self.answers if form == self.form else None

    def instead_of(self, cloth: OtherCloth) -> list[tuple[str, str]]:
        """What it can stand in for; also what it does now, if that is not there."""
        names = [(name, name) for name in self.cloths]
        gone = cloth.instead_of not in self.cloths
        return [*names, (cloth.instead_of, f"{cloth.instead_of}, not there")] if gone else names

    def figures(self, plan: OtherClothPlan) -> tuple[FigureOnCloth, ...]:
        """The choices that have a figure of their own on this cloth."""
        return tuple(self._figures(plan))

    def _figures(self, plan: OtherClothPlan) -> Iterator[FigureOnCloth]:
        for one in plan.other.choices:
            found = _found(plan, one.garment, one.choice)
            if found is None:
                yield FigureOnCloth(_which(one), one.choice, one.value, "", "", is_there=False)
                continue
            own, drafted, choice = found
            now = figure_in_both(one.value, drafted.names, self.first)
            label = self.called(choice.name, own.recipe.name)
            yield FigureOnCloth(_which(one), label, one.value, now, self._drafted(own, choice))

    def offered(self, plan: OtherClothPlan) -> list[tuple[str, str]]:
        """The choices that have none yet, with their figures as drafted."""
        taken = {(one.garment, name_key(one.choice)) for one in plan.other.choices}
        return [
            (
                _sent(own.recipe.id, choice.name),
                f"{self.called(choice.name, own.recipe.name)}: {self._drafted(own, choice)}",
            )
            for own in plan.plan.drafts
            for choice in own.recipe.choices
            if (own.recipe.id, name_key(choice.name)) not in taken
        ]

    def called(self, name: str, garment: str) -> str:
        """What changes, with its garment when there are several."""
        several = any(len(plan.garments) > 1 for plan in self.plans)
        return f"{name.capitalize()}, {garment}" if several else name.capitalize()

    def hem(self, kind: FinishKind, added: EdgeAllowance) -> str:
        """How an edge is finished and what is added outside it, in both units."""
        widths = [allowance(added.width_mm, self.first)] if added.width_mm else []
        if added.turn_under_mm:
            widths.append(f"{allowance(added.turn_under_mm, self.first)} turned in")
        return ": ".join(filter(None, (kind.capitalize(), " and ".join(widths))))

    def shrinks(self, cloth: EpisodeCloth) -> str:
        """What the first wash takes of it."""
        ways = (("along", cloth.shrinks_along), ("across", cloth.shrinks_across))
        told = [f"{share:g}\u00a0% {way}" for way, share in ways if share]
        return listed(told) or "not at all"

    def shrinks_alike(self, plan: OtherClothPlan) -> bool:
        """True where it is taken to shrink as the cloth it stands in for."""
        other = plan.other
        return any(
            base.name == other.instead_of
            and (base.shrinks_along, base.shrinks_across)
            == (other.shrinks_along, other.shrinks_across)
            != (0.0, 0.0)
            for base in plan.plan.episode.cloths
        )

    def kept(self, words: str) -> str:
        """The words with each length on one line with its unit and its fraction."""
        return _BREAKS.sub("\u00a0", words)

    def sent(self, garment: str, choice: str) -> str:
        """What a form sends for a choice of a garment."""
        return _sent(garment, choice)

    def _drafted(self, own: Draft, choice: Choice) -> str:
        """The figure of the choice on the episode's own cloth."""
        return figure_in_both(choice.value, own.names, self.first) or choice.value


@router.get("")
def page(request: Request, episode_id: str, house: InHouse) -> Response:
    return _show(request, house, episode_id)


@router.post("/new")
def add(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    fields = needed(_fields(house.store.get(episode_id)), "name", "instead_of", "width")
    answers = read_form(sent, fields)
    if not answers.errors:
        words = f"{answers.values['name']} as another cloth"
        answers = house.save(
            episode_id,
            words,
            answers,
            lambda e: with_other_cloth(e, None, laid_alike(e, OtherCloth(**answers.values))),
            beside="name",
        )
    return _done(request, house, episode_id, "new cloth", answers)


@router.post("/{place}")
def save(request: Request, episode_id: str, place: int, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, _fields(house.store.get(episode_id)))

    def edit(episode: Episode) -> Episode:
        cloth = shifted(episode.other_cloths, place, 0)[place]
        return with_other_cloth(episode, place, changed(cloth, **answers.values))

    answers = house.save(episode_id, "another cloth", answers, edit, beside="name")
    return _done(request, house, episode_id, f"cloth {place}", answers)


@router.post("/{place}/delete")
def delete(request: Request, episode_id: str, place: int, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "another cloth taken out",
        UNANSWERED,
        lambda e: without_other_cloth(e, place),
    )
    return _done(request, house, episode_id, f"cloth {place}", answers)


@router.post("/{place}/choices")
def save_choices(
    request: Request, episode_id: str, place: int, sent: Sent, house: InHouse
) -> Response:
    plan = _plan_at(house, episode_id, place)
    readers = ((one, _reader(plan, one.garment, one.choice)) for one in plan.other.choices)
    fields = [Field(f"c {_which(one)}", reader) for one, reader in readers if reader]
    refuse_gone(sent, fields, "c")
    answers = read_form(sent, fields)
    before = {f"c {_which(one)}": one for one in plan.other.choices}
    altered = {name: v for name, v in answers.values.items() if v != before[name].value}
    words = ", ".join(
        f"{before[name].choice} to {value} on {plan.other.name}" for name, value in altered.items()
    )
    refused: dict[str, str] = {}

    def edit(episode: Episode) -> Episode:
        for name, value in altered.items():
            one = before[name]
            try:
                episode = with_choice_on_cloth(episode, place, one.garment, one.choice, value)
            except RecipeError as error:
                refused[name] = error.sentence
        return episode

    answers = house.save(episode_id, words, answers, edit)
    for name, sentence in refused.items():
        answers = answers.failed(sentence, name)
    return _done(request, house, episode_id, f"choices {place}", answers)


@router.post("/{place}/choices/new")
def add_choice(
    request: Request, episode_id: str, place: int, sent: Sent, house: InHouse
) -> Response:
    plan = _plan_at(house, episode_id, place)
    offered = {
        _sent(draft.recipe.id, choice.name): (draft.recipe.id, choice.name)
        for draft in plan.drafts
        for choice in draft.recipe.choices
    }
    which = Field("which", one_of(offered), needed=True)
    garment, choice = offered.get(str(sent.get("which", "")), ("", ""))
    reader = _reader(plan, garment, choice) or text(200)
    answers = read_form(sent, (which, Field("value", reader, needed=True)))
    if not answers.errors:
        value = answers.values["value"]
        answers = house.save(
            episode_id,
            f"{choice} to {value} on {plan.other.name}",
            answers,
            lambda e: with_choice_on_cloth(e, place, garment, choice, value),
            beside="value",
        )
    return _done(request, house, episode_id, f"new choice {place}", answers)


@router.post("/{place}/choices/delete")
def delete_choice(
    request: Request, episode_id: str, place: int, sent: Sent, house: InHouse
) -> Response:
    other = _plan_at(house, episode_id, place).other
    choices = {_which(one): one for one in other.choices}
    answers = read_form(sent, (Field("which", one_of(choices), needed=True),))
    if not answers.errors:
        one = choices[answers.values["which"]]
        answers = house.save(
            episode_id,
            f"{one.choice} as drafted on {other.name}",
            Answers(),
            lambda e: without_choice_on_cloth(e, place, one.garment, one.choice),
        )
    return _done(request, house, episode_id, f"choices {place}", answers)


def _fields(episode: Episode) -> tuple[Field, ...]:
    now = [one.instead_of for one in episode.other_cloths]
    names = [cloth.name for cloth in episode.cloths]
    return (
        *cloth_fields(episode.first_unit),
        Field("instead_of", one_of((*names, *now))),
        Field("effect", text(200)),
        Field("hems", one_of(_HEMS)),
    )


def _reader(plan: OtherClothPlan, garment: str, choice: str) -> Reader | None:
    """How a choice's figure on the cloth is read: as on the draft, within its limits."""
    found = _found(plan, garment, choice)
    if found is None:
        return None
    own, drafted, one = found
    unit = plan.plan.episode.first_unit
    inner = figure(unit, drafted.names, share=is_bare(own, one))
    return in_range(inner, one, drafted.names, unit)


def _found(plan: OtherClothPlan, garment: str, choice: str) -> tuple[Draft, Draft, Choice] | None:
    """The garment as drafted on the episode's cloth and on this one, and its choice there."""
    for own, drafted in zip(plan.plan.drafts, plan.drafts, strict=True):
        for one in own.recipe.choices:
            if own.recipe.id == garment and name_key(one.name) == name_key(choice):
                return own, drafted, one
    return None


def _sent(garment: str, choice: str) -> str:
    """What a form sends for a choice: no garment's id holds a space."""
    return f"{garment} {choice}"


def _which(one: ChoiceOnCloth) -> str:
    return _sent(one.garment, one.choice)


def _plan_at(house: House, episode_id: str, place: int) -> OtherClothPlan:
    plans = other_cloth_plans(house.plan(episode_id))
    if not 0 <= place < len(plans):
        raise NotThereError("This cloth is not there any more.")
    return plans[place]


def _done(request: Request, house: House, episode_id: str, form: str, answers: Answers) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/other-cloths",
        (answers,),
        lambda: _show(request, house, episode_id, form=form, answers=answers),
    )


def _show(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    shell = house.shell(episode_id, "cloth")
    view = OtherClothsView(
        other_cloth_plans(shell.plan),
        tuple(cloth.name for cloth in shell.episode.cloths),
        shell.first_unit,
        **told,
    )
    return house.show(
        request, "other_cloths/other_cloths.html", view, shell=shell, status=status_of(view)
    )
