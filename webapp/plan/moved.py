"""What a change moved: the figures that are shown otherwise, and where they are told."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

from webapp.draft.names import name_key
from webapp.filming.figures import quoted
from webapp.plan.cloth_moved import ClothMoved, cloths_moved
from webapp.plan.episode import Episode
from webapp.plan.evaluate import draft_all, evaluate
from webapp.plan.figures import as_written, lengths_of
from webapp.plan.kept_ways import outdated_ways
from webapp.plan.lays import LayPlan
from webapp.plan.results import Place, Plan
from webapp.units import System, both_called


@dataclass(frozen=True, slots=True)
class MovedFigure:
    """A figure before and after a change, mm."""

    name: str
    old_mm: float
    new_mm: float

    def told(self, first: System) -> tuple[str, str]:
        """Both as they are shown."""
        return both_called(self.name, self.old_mm, first), both_called(
            self.name, self.new_mm, first
        )


@dataclass(frozen=True, slots=True)
class ToldIn:
    """A text that tells a moved figure: what it is, as a sentence begins, and where."""

    what: str
    place: Place


@dataclass(frozen=True)
class Moved:
    """What a change moved, and the texts that tell it."""

    figures: tuple[MovedFigure, ...]
    texts: tuple[ToldIn, ...]
    old_lays: tuple[LayPlan, ...] = ()  # where they are remembered
    new_lays: tuple[LayPlan, ...] = ()
    before: Episode | None = field(default=None, repr=False, compare=False)
    plan: Plan | None = field(default=None, repr=False, compare=False)

    def __bool__(self) -> bool:
        return bool(self.figures)

    @property
    def cloths(self) -> tuple[ClothMoved, ...]:
        """The cloth to buy, where it is known before and after without laying anything."""
        old = [lay for lay in self.old_lays if lay.is_known]
        new = [lay for lay in self.new_lays if lay.is_known]
        return tuple(one for one in cloths_moved(old, new) if one.old and one.new)

    @property
    def ways_are_known(self) -> bool:
        """True once `ways` costs little: all sizes are drafted for it, as for the loose threads."""
        return "ways" in vars(self) or (self.plan is not None and self.plan.threads_are_known)

    @cached_property
    def ways(self) -> tuple[str, ...]:
        """The cloths whose table of ways of laying is of an older draft since."""
        if self.before is None or self.plan is None or not self.before.kept_ways:
            return ()
        now = outdated_ways(self.plan)
        before = outdated_ways(evaluate(self.before)) if now else ()
        return tuple(name for name in now if name not in before)


NOTHING_MOVED: Final = Moved((), ())


def moved(before: Episode, plan: Plan, old_lays: tuple[LayPlan, ...] = ()) -> Moved:
    """What is shown otherwise in the plan than in the episode before.

    A figure that was not there before, or is no more, is not moved.
    """
    drafts = draft_all(before.garments, before.body)
    if drafts == plan.drafts:
        return NOTHING_MOVED
    figures = tuple(_moved(lengths_of(drafts), plan.figures_mm, as_written(plan.drafts)))
    keys = {name_key(one.name) for one in figures}
    texts = (
        ToldIn(text.where.rstrip(","), text.place)
        for text in plan.texts
        if "{" in text.typed and not keys.isdisjoint(map(name_key, quoted(text.typed)))
    )
    new_lays = plan.lays if old_lays else ()
    return Moved(figures, tuple(texts), old_lays, new_lays, before, plan)


def _moved(
    old_mm: Mapping[str, float], new_mm: Mapping[str, float], names: Sequence[str]
) -> Iterator[MovedFigure]:
    for name in dict.fromkeys(names):
        key = name_key(name)
        if key not in old_mm or old_mm[key] == new_mm[key]:
            continue
        one = MovedFigure(name, old_mm[key], new_mm[key])
        was, now = one.told("cm")
        if was != now:
            yield one
