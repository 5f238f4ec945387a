"""The thread an episode takes, seam by seam, and the spools to have at hand.

All of it is counted as if it were of one colour: how colours share it is not modelled.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Final, NamedTuple

from webapp.build.extents import extent
from webapp.cloth.stitches import (
    HandStitch,
    Stitches,
    StitchType,
    stitch_called,
)
from webapp.cloth.thread import (
    LAYER_MM,
    ThreadChoices,
    ThreadUse,
    hand_thread_for,
    layer_mm,
    spools,
    thread_for,
    together,
)
from webapp.draft.construction import EdgeUse, Step, Work
from webapp.draft.evaluate import Draft, Piece
from webapp.draft.names import name_key
from webapp.draft.recipe import Seam
from webapp.errors import FigureError
from webapp.plan.results import Plan
from webapp.remembered import Remembered, Same
from webapp.units import MM_PER_INCH, System, metres_to_buy, yards_to_buy

SEWN: Final = ("machine", "overlock", "hand")  # the kinds of work that take thread
LAYERS_RULE: Final = (
    "A seam joins two layers. A hem that is folded once is sewn through two, one that is folded "
    "twice through three. An edge that is worked before the first of its seams is sewn, as by "
    "staystitching or gathering, is one layer still; any other edge is taken to be sewn onto "
    "something, through two. By overlock an edge is neatened in one."
)
_HEM_LAYERS: Final = {"single fold hem": 2, "double fold hem": 3}
_METRE_STEP_MM, _YARD_STEP_MM = 100.0, 36 * MM_PER_INCH / 8  # as metres and yards are bought
_MACHINE, _OVERLOCK = "301", "504"  # where neither the work nor its seam names a stitch
_BY_HAND: Final = "plain"
_DRAWN: Final = " drawn"  # an edge before it is gathered: `webapp.draft.sewn.edge_figures`


@dataclass(frozen=True, slots=True)
class ThreadRow:
    """What one seam, or edges sewn through as many layers, take in one kind of work of a step."""

    garment: str
    step_id: str
    step: str
    kind: str  # one of SEWN
    what: str  # the seam, the piece or the edges
    stitch: StitchType | HandStitch
    length_mm: float  # of all the times it is sewn together
    times: int  # how often it is taken up
    layers: int
    thickness_mm: float  # of all layers
    stitch_length_mm: float | None  # None by hand, where it has no part in it
    use: ThreadUse

    @property
    def ratio(self) -> float:
        """Thread for a length of this seam, without the waste."""
        return self.use.sewn_mm / self.length_mm if self.length_mm else 0.0


@dataclass(frozen=True, slots=True)
class Feed:
    """Thread that comes off the same spools, and how many of the chosen length hold it.

    A sewing machine's bobbin is wound from the spool of its needle, so that `at_once` is 1; an
    overlocker has a spool for each of its threads.
    """

    name: str
    total_mm: float  # all that comes off its spools
    at_once: int
    spools: int


@dataclass(frozen=True, slots=True)
class GarmentThread:
    """What one garment takes, seam by seam."""

    garment: str
    rows: tuple[ThreadRow, ...]

    @property
    def use(self) -> ThreadUse:
        """All its seams together."""
        return together(row.use for row in self.rows)


@dataclass(frozen=True)
class ThreadPlan:
    """All the thread of an episode. `left_out` names steps that sew something without a length."""

    rows: tuple[ThreadRow, ...]
    garments: tuple[GarmentThread, ...]
    total: ThreadUse
    feeds: tuple[Feed, ...]
    left_out: tuple[str, ...]
    choices: ThreadChoices  # its waste is that of machines; by hand the tails are the waste

    @property
    def stitches(self) -> tuple[StitchType | HandStitch, ...]:
        """Each stitch that is used, once: their `note` says where the figures come from."""
        return tuple({row.stitch.called: row.stitch for row in self.rows}.values())


_Weights = tuple[tuple[str, float], ...]
_counted: Final[Remembered[tuple[Same, _Weights], ThreadPlan]] = Remembered(50)


def thread_use(plan: Plan, *, weights_g_m2: Mapping[str, float] | None = None) -> ThreadPlan:
    """The thread of every step that sews, in the order in which they are built.

    `weights_g_m2` by cloth gives the thickness of its layers; a cloth that it lacks, or that has
    no weight above zero, is taken as `LAYER_MM` thick. What cannot be computed is left out, never
    raised; see `LAYERS_RULE`, `ratio_for` and `_stitch_of`.
    """
    weights = tuple((weights_g_m2 or {}).items())
    steps = (each.step for each in plan.steps)
    asked = Same((plan.drafts, *steps, *plan.episode.garments, plan.episode.thread))
    return _counted.get((asked, weights), partial(_thread_use, plan, dict(weights)))


def _thread_use(plan: Plan, weights_g_m2: Mapping[str, float]) -> ThreadPlan:
    choices = plan.episode.thread
    counting = _Counting(plan.drafts, choices, _thicknesses(weights_g_m2))
    yet_to_join = _yet_to_join(plan)
    for each in plan.steps:
        counting.single = yet_to_join[each.step.id]
        for work in each.step.work:
            if work.kind in SEWN:
                counting.count(each.garment, each.step, work)
    rows = tuple(counting.rows)
    garments = []
    for recipe in plan.episode.garments:
        own = {step.id for step in recipe.steps}
        garments.append(
            GarmentThread(recipe.name, tuple(row for row in rows if row.step_id in own))
        )
    return ThreadPlan(
        rows=rows,
        garments=tuple(garments),
        total=together(row.use for row in rows),
        feeds=_feeds(rows, 1000.0 * choices.spool_m),
        left_out=tuple(counting.left_out),
        choices=choices,
    )


def bought(mm: float, first: System) -> str:
    """A length of thread in metres and yards, each rounded up from the exact length.

    ValueError below zero.

    >>> bought(1010, "cm"), bought(2020, "cm")
    ('1.1 m (1 1/8 yd)', '2.1 m (2 1/4 yd)')
    """
    metres, yards = metres_to_buy(mm), yards_to_buy(mm)
    return f"{yards} ({metres})" if first == "in" else f"{metres} ({yards})"


def spool_called(metres: int, first: System) -> str:
    """What a spool holds, as its label says: whole metres and yards.

    >>> spool_called(100, "cm")
    '100 m (109 yd)'
    """
    pair = (f"{metres} m", f"{metres / 0.9144:.0f} yd")
    one, other = pair if first == "cm" else pair[::-1]
    return f"{one} ({other})"


# --- What a work sews ------------------------------------------------------------------------


class _Part(NamedTuple):
    """What of a work is sewn through the same layers, with one stitch."""

    what: str
    work: Work
    layers: int
    thickness_mm: float
    stitch: str = ""  # as the seam states it


@dataclass
class _Counting:
    """One count: rows gather in `rows`, steps that cannot be counted in `left_out`."""

    drafts: Sequence[Draft]
    choices: ThreadChoices
    thickness_of: Mapping[str, float]
    rows: list[ThreadRow] = field(default_factory=list)
    single: frozenset[str] = frozenset()  # edges that a step still finds in one layer
    left_out: dict[str, None] = field(default_factory=dict)  # a set that keeps its order

    def __post_init__(self) -> None:
        self.stitches, self.hand_stitches = self.choices.stitches, self.choices.hand_stitches
        self.pieces: dict[str, Piece] = {}
        self.seams: dict[str, Seam] = {}
        for draft in self.drafts:
            for piece in draft.pieces:
                self.pieces.setdefault(name_key(piece.name), piece)
            found = {finding.name for finding in draft.seams}
            for seam in draft.recipe.seams:
                if seam.name in found:
                    self.seams.setdefault(seam.name.lower(), seam)

    def count(self, garment: str, step: Step, work: Work) -> None:
        """A row for each part of the work that has a length."""
        parts = list(self._parts(work))
        if not parts:
            self.left_out[step.name] = None
        for part in parts:
            try:
                self._count(garment, step, part)
            except FigureError:  # told where the step's minutes are worked out
                self.left_out[step.name] = None

    def _count(self, garment: str, step: Step, part: _Part) -> None:
        on, work = extent(step, part.work, self.drafts), part.work
        stitch: StitchType | HandStitch
        stitch_length_mm: float | None
        if work.kind == "hand":
            named = work.stitch.strip().lower()
            stitch = self.hand_stitches.get(named, self.hand_stitches[_BY_HAND])
            stitch_length_mm = None
            use = hand_thread_for(stitch, on.length_mm, on.handled)
        else:
            stitch = _stitch_of(work, part.stitch, self.stitches)
            stitch_length_mm = work.stitch_length_mm
            use = thread_for(
                stitch,
                on.length_mm,
                stitch_length_mm=stitch_length_mm,
                thickness_mm=part.thickness_mm,
                waste=self.choices.waste_per_cent / 100,
            )
        self.rows.append(
            ThreadRow(
                garment=garment,
                step_id=step.id,
                step=step.name,
                kind=work.kind,
                what=part.what,
                stitch=stitch,
                length_mm=on.length_mm,
                times=on.handled,
                layers=part.layers,
                thickness_mm=part.thickness_mm,
                stitch_length_mm=stitch_length_mm,
                use=use,
            )
        )

    def _parts(self, work: Work) -> Iterator[_Part]:
        """Each seam, each piece, and the edges by their layers."""
        bare = {"pieces": (), "seams": (), "edges": ()}
        for name in work.seams:
            seam = self.seams.get(name.strip().lower())
            thickness = self._seam_mm(seam) if seam else 2 * LAYER_MM
            alone = work.model_copy(update={**bare, "seams": (name,)})
            yield _Part(name, alone, 2, thickness, seam.stitch if seam else "")
        for name in work.pieces:
            alone = work.model_copy(update={**bare, "pieces": (name,)})
            yield _Part(name, alone, 2, 2 * self._layer_mm(name))
        groups: dict[tuple[int, float], list[EdgeUse]] = {}
        for use in work.edges:
            layers = 1 if work.kind == "overlock" else self._edge_layers(use)
            groups.setdefault((layers, layers * self._layer_mm(use.edge)), []).append(use)
        for (layers, thickness), uses in groups.items():
            alone = work.model_copy(update={**bare, "edges": tuple(uses)})
            yield _Part(", ".join(use.edge for use in uses), alone, layers, thickness)

    def _seam_mm(self, seam: Seam) -> float:
        """Both layers: each side as thick as the cloth of its first piece."""
        sides = (side[0].edge if side else "" for side in (seam.one, seam.other))
        return sum(self._layer_mm(edge) for edge in sides)

    def _edge_layers(self, use: EdgeUse) -> int:
        piece, edge = self._piece(use.edge), name_key(use.edge).partition(".")[2]
        finishes = piece.finishes if piece else {}
        kinds = (finish.kind for name, finish in finishes.items() if name_key(name) == edge)
        alone = 1 if name_key(use.edge).removesuffix(_DRAWN) in self.single else 2
        return _HEM_LAYERS.get(next(kinds, "seam"), alone)

    def _layer_mm(self, name: str) -> float:
        piece = self._piece(name)
        return self.thickness_of.get(name_key(piece.cloth), LAYER_MM) if piece else LAYER_MM

    def _piece(self, name: str) -> Piece | None:
        """The piece of that name, or of an edge's."""
        return self.pieces.get(name_key(name.partition(".")[0]))


def _yet_to_join(plan: Plan) -> dict[str, frozenset[str]]:
    """For each step, by its id, the edges whose seams are all sewn in later steps."""
    edges_of: dict[str, set[str]] = {}
    for seam in (seam for draft in plan.drafts for seam in draft.recipe.seams):
        edges = {name_key(use.edge) for use in (*seam.one, *seam.other)}
        edges_of.setdefault(seam.name.lower(), set()).update(edges)
    found: dict[str, frozenset[str]] = {}
    first_sewn = {
        name.strip().lower(): each.number
        for each in reversed(plan.steps)
        for work in each.step.work
        if work.kind in SEWN
        for name in work.seams
    }
    for each in plan.steps:
        joined: set[str] = set()
        later: set[str] = set()
        for name, number in first_sewn.items():
            (later if number > each.number else joined).update(edges_of.get(name, ()))
        found[each.step.id] = frozenset(later - joined)
    return found


def _stitch_of(work: Work, of_seam: str, stitches: Stitches) -> StitchType:
    """The stitch the work names, else its seam, else 301 by machine and 504 by overlock.

    A seam that is joined with a lockstitch is still neatened with an overedge: by overlock a
    seam's own stitch counts only if it is one of the 500 class.
    """
    named = stitch_called(work.stitch, stitches)
    if named is not None:
        return named
    joined = stitch_called(of_seam, stitches)
    if work.kind == "machine":
        return joined or stitches[_MACHINE]
    return joined if joined and joined.number.startswith("5") else stitches[_OVERLOCK]


def _thicknesses(weights_g_m2: Mapping[str, float]) -> dict[str, float]:
    known = {name_key(name): weight for name, weight in weights_g_m2.items()}
    return {name: layer_mm(weight) for name, weight in known.items() if 0 < weight < math.inf}


# --- Spools ----------------------------------------------------------------------------------


def _feeds(rows: Sequence[ThreadRow], spool_mm: float) -> tuple[Feed, ...]:
    """The sewing machine's spool, which serves the hand too, and the spools of the loopers."""
    sewing_mm = overlocked_mm = needle_mm = looper_mm = 0.0
    needles = loopers = 0
    for row in rows:
        stitch, use = row.stitch, row.use
        if isinstance(stitch, HandStitch) or not stitch.loopers:
            sewing_mm += use.total_mm
        elif use.sewn_mm > 0:
            with_waste = use.total_mm / use.sewn_mm
            overlocked_mm += use.total_mm
            # The first needle and the first looper sew every seam: no spool gives more.
            needle_mm += use.needle_mm / stitch.needles * with_waste
            looper_mm += use.looper_mm / stitch.loopers * with_waste
            needles, loopers = max(needles, stitch.needles), max(loopers, stitch.loopers)
    feeds = []
    if sewing_mm > 0:
        feeds.append(Feed(_sewing(rows), sewing_mm, 1, _enough(sewing_mm, spool_mm)))
    if overlocked_mm > 0:
        each = needles * spools(needle_mm, spool_mm) + loopers * spools(looper_mm, spool_mm)
        count = max(each, _enough(overlocked_mm, spool_mm))
        feeds.append(Feed("overlocker", overlocked_mm, needles + loopers, count))
    return tuple(feeds)


def _sewing(rows: Sequence[ThreadRow]) -> str:
    """What its spool is for: sewing by hand takes of it too."""
    by_hand = any(isinstance(row.stitch, HandStitch) for row in rows)
    by_machine = any(not isinstance(row.stitch, HandStitch) for row in rows)
    names = ["sewing machine"] * by_machine + ["hand"] * by_hand
    return " and ".join(names) if by_machine else "hand needle"


def _enough(total_mm: float, spool_mm: float) -> int:
    """Spools for a length as `bought` prints it, in either unit."""
    steps = (_METRE_STEP_MM, _YARD_STEP_MM)
    return spools(max(step * math.ceil(total_mm / step) for step in steps), spool_mm)
