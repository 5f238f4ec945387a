"""The form of what is chosen for printed sheets: paper, units, sizes, how a pattern is drawn."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from starlette.datastructures import FormData

from webapp.pages.forms import UNANSWERED, Answers, Field, length, one_of, read_form, text
from webapp.pages.house import House
from webapp.plan.edits import as_printed, changed
from webapp.plan.episode import Episode
from webapp.plan.print_choices import Paper, PrintChoices
from webapp.units import System

PAPERS: Final = (("a4", "A4"), ("letter", "Letter"))
UNITS: Final = (("cm", "Centimetres"), ("in", "Inches"))
NESTED: Final = (("no", "One size"), ("yes", "All ticked sizes over each other"))
EDGES: Final = (
    ("overlap", "Overlap: one margin goes under"),
    ("butt", "Butt: trimmed edge to edge"),
)
_WORDS: Final = "how sheets are printed"
_LONGEST_WIDTH_MM: Final = 1e6


@dataclass(frozen=True)
class PrintChoicesForm:
    """What is chosen, as the form shows it: what is left open stands as what it comes to."""

    episode: Episode
    answers: Answers = UNANSWERED

    papers, units, nested_ways, edge_ways = PAPERS, UNITS, NESTED, EDGES

    @property
    def chosen(self) -> PrintChoices:
        """What is stored."""
        return self.episode.print_choices

    @property
    def first(self) -> System:
        """The unit that stands first."""
        return self.chosen.first_unit or self.episode.first_unit

    @property
    def paper(self) -> Paper:
        """The paper of the sheets for viewers."""
        return self.chosen.paper_for(self.first)

    @property
    def bodies(self) -> tuple[str, ...]:
        """Every size, the body on camera first."""
        return tuple(body.name for body in (self.episode.body, *self.episode.sizes))

    @property
    def body_options(self) -> tuple[tuple[str, str], ...]:
        """The sizes as a list to choose from offers them."""
        return tuple((name, name) for name in self.bodies)

    @property
    def drawn_for(self) -> str:
        """The size the sheets are drawn for."""
        return as_printed(self.episode).body.name

    @property
    def sizes(self) -> tuple[str, ...]:
        """The sizes in the tables, as they are ticked."""
        if self.answers.errors and "sizes" in self.answers.typed:
            ticked = self.answers.typed["sizes"].split("\n")
            return tuple(name for name in self.bodies if name in ticked)
        named = {name.lower() for name in self.chosen.sizes}
        return tuple(name for name in self.bodies if not named or name.lower() in named)


def save_choices(house: House, episode_id: str, sent: FormData) -> Answers:
    """Save what the form sends of the choices, or say beside each field what is wrong."""
    episode = house.store.get(episode_id)
    answers = read_form(sent, _fields(episode))
    values = dict(answers.values)
    if "sizes" in sent:
        wanted = [one for one in sent.getlist("sizes") if isinstance(one, str) and one]
        sizes = _ticked(episode, wanted)
        answers = replace(answers, typed={**answers.typed, "sizes": "\n".join(sizes)})
        if not sizes:
            answers = answers.failed("Tick one size at least.", "sizes")
        values["sizes"] = wanted
    if answers.errors:
        return answers
    return house.save(episode_id, _WORDS, answers, lambda e: _with(e, values))


def _fields(episode: Episode) -> tuple[Field, ...]:
    names = [body.name for body in (episode.body, *episode.sizes)]
    first = episode.print_choices.first_unit or episode.first_unit
    return (
        Field("paper", one_of(dict(PAPERS))),
        Field("first_unit", one_of(dict(UNITS))),
        Field("drawn_for", one_of(names)),
        Field("nested", one_of(dict(NESTED))),
        Field("edges", one_of(dict(EDGES))),
        Field("roll_width", lambda typed: _roll_width(typed, first)),
    )


def _roll_width(typed: str, first: System) -> str:
    """The width as typed, its unit written out. ValueError when no printer takes it."""
    written: str = length(first, 0, _LONGEST_WIDTH_MM)(text(30)(typed))
    PrintChoices(roll_width=written).roll_width_mm(first)
    return written


def _ticked(episode: Episode, wanted: list[str]) -> tuple[str, ...]:
    """The sizes ticked, in the episode's order; a name that is not there is passed over."""
    return tuple(b.name for b in (episode.body, *episode.sizes) if b.name in wanted)


def _with(episode: Episode, values: Mapping[str, Any]) -> Episode:
    told = dict(values)
    if "sizes" in told:
        sizes = _ticked(episode, told["sizes"])
        # With every size ticked, one that is added later is printed too.
        told["sizes"] = () if len(sizes) == 1 + len(episode.sizes) else sizes
    if "nested" in told:
        told["nested"] = told["nested"] == "yes"
    if told.get("drawn_for") == episode.body.name:  # so that it follows whoever is on camera
        told["drawn_for"] = ""
    return changed(episode, print_choices=changed(episode.print_choices, **told))
