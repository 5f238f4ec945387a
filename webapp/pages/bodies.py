"""Forms of a body's measures: the body on camera on the brief, each further size on its page."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from webapp.draft.measures import MEASURES, Measure
from webapp.draft.recipe import Body
from webapp.pages.forms import Field, length, text, ticked
from webapp.plan.edits import changed, with_copied, with_measure
from webapp.plan.episode import Episode
from webapp.units import System


@dataclass(frozen=True)
class Asked:
    """Every measure, those that the episode's garments ask for first."""

    measures: tuple[Measure, ...]
    names: frozenset[str]  # of those asked for

    @property
    def in_order(self) -> tuple[str, ...]:
        """The names asked for, in the order in which the garments do."""
        return tuple(measure.name for measure in self.measures if measure.name in self.names)


def asked_of(episode: Episode) -> Asked:
    """What the episode's garments ask for."""
    asked = [name for garment in episode.garments for name in garment.measures]
    names = [name for name in dict.fromkeys([*asked, *MEASURES]) if name in MEASURES]
    return Asked(tuple(MEASURES[name] for name in names), frozenset(asked) & frozenset(MEASURES))


def body_fields(unit: System) -> tuple[Field, ...]:
    """A body's name, its measures, and whether each is copied from a garment."""
    return (
        Field("name", text(80, required=True)),
        *(
            Field(f"m {measure.name}", length(unit, measure.least_mm, measure.most_mm))
            for measure in MEASURES.values()
        ),
        *(Field(f"copied {name}", ticked) for name in MEASURES),
    )


def with_answers(body: Body, values: Mapping[str, Any]) -> Body:
    """The body as the form says. What has no measure is not copied either."""
    for name, value in values.items():
        kind, _, measure = name.partition(" ")
        if kind == "m":
            body = with_measure(body, measure, value)
        elif kind == "copied":
            body = with_copied(body, measure, bool(value) and measure in body.measures)
        else:
            body = changed(body, name=value)
    return body
