"""The lays of an episode: kept ones while they still fit the draft, fresh first lays otherwise."""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache, partial
from typing import Final

from webapp.cloth.cloths import EpisodeCloth, KeptLay, Spare
from webapp.cloth.lay import Cloth, Lay, LayPiece, Placement, fingerprint, lay_from, lay_pieces
from webapp.cloth.lay_checks import check
from webapp.cloth.two_layers import halved
from webapp.cloth.yardage import SQUARING_MM, Purchase, to_buy
from webapp.draft.construction import Step
from webapp.draft.evaluate import Piece
from webapp.draft.names import name_key
from webapp.errors import LayError
from webapp.plan.size_lays import Bed
from webapp.units import parse_length

_LAID_ON_THEIR_OWN: Final = "alone"
_LAID_WITH_THE_REST: Final = "with the rest"
_NOTHING_MM: Final = 0.01
_SAME_REPEAT: Final = 1e-6  # of a repeat


@dataclass(frozen=True)
class LayPlan:
    """The pieces cut from one cloth, laid on it when the lay is first asked for.

    `known_problem` says why there can be no lay, as far as that is seen without laying.
    """

    cloth: EpisodeCloth
    pieces: tuple[LayPiece, ...]
    as_cut: Cloth | None
    key: str = ""
    found: Lay | None = None  # a lay found by searching that still fits the draft
    known_problem: str = ""
    size: str = ""
    squaring_mm: float = SQUARING_MM
    risked: tuple[str, ...] = ()  # pieces that steps cut which cannot be taken back
    # The lays of other sizes, which may serve this one; not asked for before the lay is.
    others: Callable[[], Sequence["LayPlan"]] = field(default=tuple, repr=False, compare=False)

    @property
    def is_known(self) -> bool:
        """True when what to buy is known without laying anything."""
        return bool(self.known_problem) or "purchase" in vars(self)

    @property
    def kept(self) -> bool:
        """True when the lay was found by searching and kept."""
        return self.found is not None and self.lay is self.found

    @cached_property
    def problem(self) -> str:
        """Why there can be no lay; empty when there is one.

        Over a repeat, or along a fold across, that is only known once it is tried.
        """
        cloth = self.as_cut
        if self.known_problem or cloth is None or not self._beds:
            return self.known_problem
        if cloth.repeats or cloth.laid == "folded across":
            try:
                _ = self._beds[""].own
            except LayError as error:
                return f"{self.cloth.name}: {error.sentence}"
        return ""

    @cached_property
    def lay(self) -> Lay | None:
        """The lay; None when there is a problem."""
        return self._beds[""].lay if self._beds and not self.problem else None

    @property
    def lent_by(self) -> str:
        """The size whose lay this is, when it serves better than the size's own; else empty."""
        size = self._beds[""].served[1] if self._beds else self.size
        return size if size != self.size else ""

    @cached_property
    def saved_mm(self) -> float:
        """How much shorter the kept lay is than the quick one; zero without a kept lay."""
        if self.found is None or not self._beds:
            return 0.0
        return replace(self._beds[""], found=None).own.length_mm - self.found.length_mm

    @cached_property
    def purchase(self) -> Purchase | None:
        """What to buy for it; None when there is a problem."""
        if self.lay is None:
            return None
        return to_buy(self.lay, squaring_mm=self.squaring_mm, spare_mm=self.spare_mm)

    @property
    def spare_pieces(self) -> tuple[str, ...]:
        """Names of the pieces that the spare is for, by the cloth's choice."""
        return tuple(piece.name for piece in self._again(self.cloth.spare))

    @cached_property
    def spare_mm(self) -> float:
        """How much longer the lay becomes so that those pieces could be cut once more."""
        if not self._beds or self.cloth.spare == "none":
            return 0.0
        without = self._beds[""].lay.length_mm
        length = self._length_with_mm(self.cloth.spare)
        every = self._beds["all" + _LAID_WITH_THE_REST]
        if length > max(without, every.least_mm):
            # A length that holds all of them again holds the smallest again as well.
            length = min(length, self._length_with_mm("all"))
        return length - without if length - without > _NOTHING_MM else 0.0

    def _length_with_mm(self, kind: Spare) -> float:
        """Length of the lay that holds the spare pieces too: among the others, or after them."""
        rest, alone = self._beds[kind + _LAID_WITH_THE_REST], self._beds[kind + _LAID_ON_THEIR_OWN]
        without = self._beds[""].lay.length_mm
        if rest.can_be_laid and rest.lay.length_mm <= without + alone.least_mm:
            return rest.lay.length_mm
        after = self._at_the_repeat_mm(without) + alone.lay.length_mm
        return min(after, rest.lay.length_mm) if rest.can_be_laid else after

    def _at_the_repeat_mm(self, length_mm: float) -> float:
        """The length up to where a lay that follows can begin at the same place of the repeat."""
        cloth = self.as_cut
        if cloth is None or not cloth.repeat_length_mm:
            return length_mm
        step = cloth.repeat_length_mm * (2 if cloth.laid == "folded across" else 1)
        return math.ceil(length_mm / step - _SAME_REPEAT) * step

    def _again(self, kind: Spare) -> tuple[LayPiece, ...]:
        """The pieces to cut once more: one copy of each, or a left and a right."""
        if kind == "smallest":
            # By the largest size, so that the spare is for one and the same piece in all of them.
            largest = max((self, *self.larger), key=lambda plan: _area_mm2(plan.pieces))
            least = min(largest._all_again, key=lambda p: (p.area_mm2 * p.count, p.name))
            return tuple(piece for piece in self._all_again if piece.name == least.name)
        return self._all_again if kind == "all" else ()

    @property
    def _all_again(self) -> tuple[LayPiece, ...]:
        names = {name_key(name) for name in self.risked}
        risked = [piece for piece in self.pieces if name_key(piece.name) in names]
        return tuple(replace(p, count=2 if p.pair else 1) for p in risked or self.pieces)

    @cached_property
    def _beds(self) -> Mapping[str, Bed]:
        """Everything that is laid for this plan, by what it is; nothing is laid yet."""
        if self.known_problem or self.as_cut is None:
            return {}
        sets = {"": self.pieces}
        for kind in ("smallest", "all") if self.cloth.spare != "none" else ():
            again = self._again(kind)
            copies = {piece.name: piece.count for piece in again}
            sets[kind + _LAID_ON_THEIR_OWN] = again
            sets[kind + _LAID_WITH_THE_REST] = tuple(
                replace(piece, count=piece.count + copies.get(piece.name, 0))
                for piece in self.pieces
            )
        return {
            what: Bed(
                self.size,
                pieces,
                self.as_cut,
                None if what else self.found,
                partial(_larger_beds, self, what),
            )
            for what, pieces in sets.items()
        }

    @cached_property
    def larger(self) -> tuple["LayPlan", ...]:
        """The lay plans of the larger sizes on this cloth."""
        area = _area_mm2(self.pieces)
        return tuple(
            plan
            for plan in self.others()
            if plan.as_cut == self.as_cut
            and plan.cloth.name == self.cloth.name
            and not plan.known_problem
            and _area_mm2(plan.pieces) > area
        )


def _larger_beds(plan: LayPlan, what: str) -> list[Bed]:
    return [larger._beds[what] for larger in plan.larger]


def _area_mm2(pieces: Iterable[LayPiece]) -> float:
    """Area of all copies of the pieces; zero when one is not drawn as it is to be laid."""
    try:
        return sum(piece.area_mm2 * piece.count for piece in pieces)
    except LayError:
        return 0.0


def lay_plans(
    pieces: Iterable[Piece],
    cloths: tuple[EpisodeCloth, ...],
    kept: tuple[KeptLay, ...] = (),
    steps: Iterable[Step] = (),
    *,
    size: str = "",
    others: Callable[[], Sequence[LayPlan]] = tuple,
) -> tuple[LayPlan, ...]:
    """One lay for each cloth that has pieces cut from it; `others` gives those of other sizes."""
    pieces = tuple(pieces)
    risked = risked_pieces(steps)
    return tuple(
        lay_plan(
            cloth,
            lay_pieces(p for p in pieces if p.cloth == cloth.name),
            kept,
            size=size,
            risked=risked,
            others=others,
        )
        for cloth in cloths
        if any(piece.cloth == cloth.name for piece in pieces)
    )


def lays_by_size(
    sizes: Sequence[tuple[str, Sequence[Piece]]],
    cloths: tuple[EpisodeCloth, ...],
    kept: tuple[KeptLay, ...] = (),
    steps: Iterable[Step] = (),
) -> list[tuple[LayPlan, ...]]:
    """For each size in turn, its name and pieces given, what `lay_plans` gives."""
    risked = risked_pieces(steps)
    found: list[list[LayPlan]] = [[] for _ in sizes]
    for cloth in cloths:
        cut = [
            (size, lay_pieces(piece for piece in pieces if piece.cloth == cloth.name))
            for size, pieces in sizes
        ]
        for own, plan in zip(found, lays_on(cloth, cut, kept, risked), strict=True):
            if plan.pieces:
                own.append(plan)
    return [tuple(own) for own in found]


def lays_on(
    cloth: EpisodeCloth,
    sizes: Sequence[tuple[str, tuple[LayPiece, ...]]],
    kept: tuple[KeptLay, ...] = (),
    risked: tuple[str, ...] = (),
) -> list[LayPlan]:
    """The sizes on one cloth, in their order; the lay of a larger one may serve a smaller."""
    plans: dict[int, LayPlan] = {}
    for i in sorted(range(len(sizes)), key=lambda i: -_area_mm2(sizes[i][1])):
        size, pieces = sizes[i]
        larger = partial(tuple, tuple(plans.values()))
        plans[i] = lay_plan(cloth, pieces, kept, size=size, risked=risked, others=larger)
    return [plans[i] for i in range(len(sizes))]


def lay_plan(
    cloth: EpisodeCloth,
    pieces: tuple[LayPiece, ...],
    kept: tuple[KeptLay, ...] = (),
    *,
    size: str = "",
    risked: tuple[str, ...] = (),
    others: Callable[[], Sequence[LayPlan]] = tuple,
) -> LayPlan:
    """The lay of these pieces on one cloth, or why there is none."""
    try:
        as_cut = cloth_of(cloth)
        # The lay begins somewhere in the repeat: up to one is cut off to come to that place.
        squaring_mm = parse_length(cloth.squaring, None).mm + as_cut.repeat_length_mm
        if as_cut.layers == 2:  # each placement gives both hands, so either side may lie up
            pieces = tuple(replace(piece, may_flip=True) for piece in pieces)
        if as_cut.laid == "folded":
            pieces = tuple(halved(piece) for piece in pieces)
        key = _checked(pieces, as_cut)
    except ValueError as error:
        return LayPlan(cloth, pieces, None, known_problem=f"{cloth.name}: {error}", size=size)
    except LayError as error:
        problem = f"{cloth.name}: {error.sentence}"
        return LayPlan(cloth, pieces, None, known_problem=problem, size=size)
    fitting = next((k for k in kept if k.cloth == cloth.name and k.key == key), None)
    found = _kept(pieces, as_cut, fitting)
    return LayPlan(
        cloth,
        pieces,
        as_cut,
        key,
        found,
        size=size,
        squaring_mm=squaring_mm,
        risked=risked,
        others=others,
    )


@lru_cache(maxsize=400)  # most edits leave the pieces of every size as they are
def _checked(pieces: tuple[LayPiece, ...], cloth: Cloth) -> str:
    """The fingerprint of their lay. LayError when they cannot be laid."""
    check(pieces, cloth)
    return fingerprint(pieces, cloth)


def risked_pieces(steps: Iterable[Step]) -> tuple[str, ...]:
    """Names of the pieces that are cut in steps that cannot be taken back."""
    cut = (work for step in steps if step.one_way for work in step.work if work.kind == "cut")
    return tuple(dict.fromkeys(name for work in cut for name in work.pieces))


def cloth_of(cloth: EpisodeCloth) -> Cloth:
    """The cloth in millimetres. ValueError when a length of it cannot be read."""
    return Cloth(
        width_mm=parse_length(cloth.width, None).mm,
        laid=cloth.laid,
        one_way=cloth.one_way,
        shrink_length=cloth.shrinks_along / 100,
        shrink_width=cloth.shrinks_across / 100,
        edge_margin_mm=parse_length(cloth.edge_margin, None).mm,
        repeat_length_mm=_repeat_mm(cloth.repeat_along) * (1 - cloth.shrinks_along / 100),
        repeat_width_mm=_repeat_mm(cloth.repeat_across) * (1 - cloth.shrinks_across / 100),
    )


def _repeat_mm(text: str) -> float:
    """A repeat as typed, before the cloth is washed; zero when there is none to match."""
    return parse_length(text, None).mm if text.strip() else 0.0


def _kept(pieces: tuple[LayPiece, ...], cloth: Cloth, kept: KeptLay | None) -> Lay | None:
    """The kept lay; None when there is none or it does not hold, as in a file edited by hand."""
    if kept is None:
        return None
    placements = tuple(
        Placement(p.name, p.copy_number, p.turn_degrees, p.flipped, p.x_mm, p.y_mm)
        for p in kept.placements
    )
    try:
        return lay_from(pieces, cloth, placements)
    except LayError:
        return None
