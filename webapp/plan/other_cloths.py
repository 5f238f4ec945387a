"""Other cloths that would do: what each changes in the draft, how much of it to buy, the needle.

The garments are drafted once more with the choices made for the cloth and the hems as it takes
them, and the pieces that were cut from the cloth it replaces are laid on it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property
from itertools import chain
from typing import Final

from webapp.cloth.cloths import ChoiceOnCloth, EpisodeCloth, OtherCloth
from webapp.cloth.costs import cost_of_length, shown
from webapp.cloth.needles import Needle, needle_for
from webapp.cloth.weight import read_weight
from webapp.cloth.yardage import Purchase
from webapp.draft.names import listed, name_key
from webapp.draft.recipe import Choice, PieceRecipe, Recipe
from webapp.draft.results import Draft, Piece
from webapp.errors import LayError
from webapp.filming.figures import LiveText, render
from webapp.plan.cloth_advice import EaseAdvice, HemAdvice, ease_advice, hem_advice
from webapp.plan.cloth_changes import (
    ChoiceChange,
    EdgeChange,
    MeasureChange,
    choice_changes,
    edge_changes,
    measure_changes,
    undrawn,
    unsound,
)
from webapp.plan.conditions import conditions
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import draft_all
from webapp.plan.figures import lengths_of
from webapp.plan.lays import LayPlan, lays_by_size
from webapp.plan.results import Plan
from webapp.remembered import Remembered

_EPISODES_KEPT: Final = 8


@dataclass(frozen=True, slots=True)
class SizeRow:
    """What to buy in one size, instead of what was to be bought; or why that is not known."""

    size: str
    purchase: Purchase | None
    old: Purchase | None
    problem: str = ""
    laid: LayPlan | None = field(default=None, repr=False, compare=False)


@dataclass(frozen=True)
class OtherClothPlan:
    """A cloth in place of one of the episode's. Nothing is laid before `rows` or `beside` is asked.

    `problems` are those that the garments do not have on the episode's own cloth.
    """

    other: OtherCloth
    plan: Plan = field(repr=False)
    garments: tuple[Recipe, ...] = field(repr=False)  # as they are made of it
    drafts: tuple[Draft, ...] = field(repr=False)
    choices: tuple[ChoiceChange, ...]
    measures: tuple[MeasureChange, ...]
    edges: tuple[EdgeChange, ...]
    ease: tuple[EaseAdvice, ...]  # not taken over yet
    hems: tuple[HemAdvice, ...]
    description: LiveText
    effect: LiveText
    g_per_m2: float | None
    needle: Needle
    problems: tuple[str, ...]

    @property
    def changes(self) -> bool:
        """True when anything of the draft changes."""
        return bool(self.choices or self.measures or self.edges)

    @property
    def held_under(self) -> tuple[tuple[str, str], ...]:
        """Its name, then that of the cloth it replaces, each with what its length holds under."""
        cloths = (
            cloth for cloth in self.plan.episode.cloths if cloth.name == self.other.instead_of
        )
        return tuple((cloth.name, conditions(cloth)) for cloth in (self.other, *cloths))

    @property
    def edge_groups(self) -> tuple[tuple[str, EdgeChange], ...]:
        """The edges that change alike, named together, each group with one of them."""
        groups: dict[tuple[object, ...], list[EdgeChange]] = {}
        for one in self.edges:
            groups.setdefault((one.old_kind, one.new_kind, one.old, one.new), []).append(one)
        return tuple(
            (listed([f"{one.piece} {one.edge}" for one in alike]), alike[0])
            for alike in groups.values()
        )

    @property
    def hem_reasons(self) -> tuple[tuple[str, str], ...]:
        """Why hems are advised otherwise, each reason once, with its source."""
        return tuple(dict.fromkeys((one.why, one.source) for one in self.hems))

    @cached_property
    def rows(self) -> tuple[SizeRow, ...]:
        """What to buy of it, for the episode's body first; empty when nothing is cut from it."""
        return self._rows_of(self.other.name, self.other.instead_of)

    @cached_property
    def beside(self) -> tuple[tuple[str, tuple[SizeRow, ...]], ...]:
        """The episode's other cloths of which another length is to be bought, by name."""
        names = (cloth.name for cloth in self.plan.episode.cloths)
        rows = (
            (name, self._rows_of(name, name)) for name in names if name != self.other.instead_of
        )
        return tuple((name, own) for name, own in rows if any(map(_differs, own)))

    @cached_property
    def cost(self) -> Decimal | None:
        """What it costs for the episode's body; None without a price or a length."""
        bought = self.rows[0].purchase if self.rows else None
        if bought is None or not self.other.price:
            return None
        per = self.other.price_per
        length = bought.metres if per == "m" else bought.yards
        return cost_of_length(self.other.price, per, length, self.plan.episode.currency)

    @property
    def cost_words(self) -> str:
        """The cost with its currency; empty when it is not known."""
        return shown(self.cost, self.plan.episode.currency) if self.cost is not None else ""

    @cached_property
    def _sizes(self) -> tuple[tuple[str, tuple[Draft, ...], tuple[Draft, ...]], ...]:
        """Each size, as drafted and on this cloth."""
        episode = self.plan.episode
        return tuple(
            (body.name, draft_all(episode.garments, body), draft_all(self.garments, body))
            for body in (episode.body, *episode.sizes)
        )

    @cached_property
    def _lays(self) -> list[tuple[LayPlan, ...]]:
        episode = self.plan.episode
        steps = (step for garment in episode.garments for step in garment.steps)
        sizes = [(size, _pieces(drafts)) for size, _, drafts in self._sizes]
        return lays_by_size(sizes, (self.other, *episode.cloths), episode.kept_lays, steps)

    def _rows_of(self, cloth: str, instead_of: str) -> tuple[SizeRow, ...]:
        sizes = zip(self._sizes, self._lays, self.plan.sizes, strict=True)
        return tuple(
            _size_row(size, new, _lay_on(instead_of, before.lays), next(undrawn(*drafts), ""))
            for (size, *drafts), lays, before in sizes
            if (new := _lay_on(cloth, lays))
        )


_plans: Final[Remembered[str, tuple[OtherClothPlan, ...]]] = Remembered(_EPISODES_KEPT)


def other_cloth_plans(plan: Plan) -> tuple[OtherClothPlan, ...]:
    """One for each other cloth of the episode, remembered by what they depend on.

    Never raises for what a user can type: what cannot be drafted is told among the problems.
    """
    episode = plan.episode
    if not episode.other_cloths:
        return ()
    key = episode.model_dump_json(exclude={"shots", "brief", "notions", "bought"})
    return _plans.get(key, lambda: tuple(_planned(plan, one) for one in episode.other_cloths))


def _planned(plan: Plan, other: OtherCloth) -> OtherClothPlan:
    episode, first = plan.episode, plan.episode.first_unit
    base = next((cloth for cloth in episode.cloths if cloth.name == other.instead_of), None)
    ease, hems = _advice(plan, base, other) if base else ((), ())
    garments = made_of(episode, other, hems)
    drafts = draft_all(garments, episode.body)
    figures, weight = lengths_of(drafts), _weight(other)
    taken = {key_of(one) for one in other.choices}
    return OtherClothPlan(
        other=other,
        plan=plan,
        garments=garments,
        drafts=drafts,
        choices=tuple(choice_changes(plan.drafts, drafts)),
        measures=tuple(measure_changes(plan.drafts, drafts)),
        edges=tuple(edge_changes(plan.drafts, drafts)),
        ease=tuple(one for one in ease if (one.garment, name_key(one.choice)) not in taken),
        hems=hems,
        description=render(other.description, figures, first),
        effect=render(other.effect, figures, first),
        g_per_m2=weight,
        needle=needle_for(weight, other.stretch, f"{other.name} {other.description}"),
        problems=(
            *_unfit(plan, base, other),
            *undrawn(plan.drafts, drafts),
            *unsound(plan.drafts, drafts, first),
        ),
    )


def made_of(
    episode: Episode, other: OtherCloth, hems: Sequence[HemAdvice] = ()
) -> tuple[Recipe, ...]:
    """The garments as they are made of the cloth: its choices, its hems, pieces cut from it."""
    advised = hems if other.hems == "as advised" else ()
    return tuple(_recipe_on(garment, other, advised) for garment in episode.garments)


def _recipe_on(garment: Recipe, other: OtherCloth, hems: Sequence[HemAdvice]) -> Recipe:
    values = {name_key(c.choice): c.value for c in other.choices if c.garment == garment.id}

    def choice(one: Choice) -> Choice:
        value = values.get(name_key(one.name))
        return one if value is None else changed(one, value=value)

    def piece(one: PieceRecipe) -> PieceRecipe:
        own = {h.edge: h.finish for h in hems if (h.garment, h.piece) == (garment.id, one.name)}
        cloth = other.name if one.cloth == other.instead_of else one.cloth
        return changed(one, cloth=cloth, finishes={**one.finishes, **own})

    return changed(
        garment,
        choices=tuple(map(choice, garment.choices)),
        pieces=tuple(map(piece, garment.pieces)),
    )


def key_of(one: ChoiceOnCloth) -> tuple[str, str]:
    """Which choice it is of: the garment's id and the key of its name."""
    return one.garment, name_key(one.choice)


def _advice(
    plan: Plan, base: EpisodeCloth, other: OtherCloth
) -> tuple[tuple[EaseAdvice, ...], tuple[HemAdvice, ...]]:
    first, weights = plan.episode.first_unit, (_weight(base), _weight(other))
    ease = (
        ease_advice(draft, base.name, base.stretch, other.stretch, first) for draft in plan.drafts
    )
    hems = (hem_advice(draft, base.name, *weights, first) for draft in plan.drafts)
    return tuple(chain.from_iterable(ease)), tuple(chain.from_iterable(hems))


def _weight(cloth: EpisodeCloth) -> float | None:
    """g/m²; None when it is not known, or cannot be read in a file edited by hand."""
    try:
        return read_weight(cloth.weight) if cloth.weight else None
    except ValueError:
        return None


# --- What is wrong ---------------------------------------------------------------------------


def _unfit(plan: Plan, base: EpisodeCloth | None, other: OtherCloth) -> Iterator[str]:
    """What does not fit the episode, as in a file edited by hand."""
    if base is None:
        yield f"There is no cloth “{other.instead_of}” in this episode, so nothing is cut from it."
    elif not any(piece.cloth == base.name for piece in _pieces(plan.drafts)):
        yield f"No piece is cut from {base.name} yet."
    if other.weight and _weight(other) is None:
        yield f"“{other.weight}” cannot be read as a weight of cloth, so no hem is advised."
    known = {(g.id, name_key(c.name)) for g in plan.episode.garments for c in g.choices}
    for one in other.choices:
        if key_of(one) not in known:
            yield f"There is no choice “{one.choice}”; its figure on this cloth is left out."


# --- What to buy -----------------------------------------------------------------------------


def _pieces(drafts: Sequence[Draft]) -> list[Piece]:
    return [piece for draft in drafts for piece in draft.pieces]


def _lay_on(cloth: str, lays: Sequence[LayPlan]) -> LayPlan | None:
    return next((lay for lay in lays if lay.cloth.name == cloth), None)


def _bought(lay: LayPlan | None) -> tuple[Purchase | None, str]:
    try:
        return (lay.purchase, lay.problem) if lay else (None, "")
    except LayError as error:
        return None, error.sentence


def _size_row(size: str, new: LayPlan | None, old: LayPlan | None, why: str) -> SizeRow:
    purchase, problem = _bought(new)
    return SizeRow(
        size, None if why else purchase, _bought(old)[0], why or problem, None if why else new
    )


def _differs(row: SizeRow) -> bool:
    """True when another length is bought, or when it is not known any more."""
    if row.purchase is None or row.old is None:
        return bool(row.purchase or row.old)
    return (row.purchase.metres, row.purchase.yards) != (row.old.metres, row.old.yards)
