"""What drafting gives: pieces, seam findings, body checks, and what is in the way of them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Final, Literal

from webapp.draft.allowances import EdgeAllowance, cut_outline
from webapp.draft.construction import EdgeUse
from webapp.draft.expressions import read
from webapp.draft.markings import Marking
from webapp.draft.names import Figures, name_key
from webapp.draft.outline import Outline, Point, bounds, unfolded
from webapp.draft.recipe import Body, Finish, Recipe
from webapp.draft.words import Sentence
from webapp.units import System, both_as_cut

SEAM_TOLERANCE_MM: Final = 3.0  # less than this is taken up by the cloth as it is pinned
CHECK_TOLERANCE_MM: Final = 0.1  # far finer than a tape: what the drawing of an arc may be out by

_OF_ITS_LINES: Final = {"seam_points", "cut_points", "whole_cut_points", "cut_size_mm"}

About = Literal["measure", "choice", "piece", "blank", "seam", "check", "finished"]


@dataclass(frozen=True, slots=True)
class Problem:
    """What keeps a figure or a piece from being drafted; `move` counts from 0.

    A piece is `blank` that has no move yet: it waits to be begun, and nothing is wrong with it.
    """

    piece: str  # empty when it is a measure, a choice or the whole recipe
    move: int | None
    sentence: str
    about: About = "piece"
    item: str = ""  # the name of the measure, choice, seam, check or finished measure


@dataclass(frozen=True, slots=True)
class Stage:
    """A move as it was come to: the edges there were, and what it says; no words when it is off."""

    edges: tuple[str, ...]
    words: tuple[Sentence, ...] = ()


@dataclass(frozen=True)
class Piece:
    """A pattern piece as evaluated, mm. On the fold it is the half to the right of x = 0."""

    name: str
    cut_count: int
    on_fold: bool
    cloth: str
    grain: str  # "along", "across" or "bias"
    outline: Outline
    allowances: Mapping[str, EdgeAllowance]
    finishes: Mapping[str, Finish]
    figures_mm: Mapping[str, float]
    words: tuple[Sentence, ...]
    note: str = ""
    pair: bool = False  # every second copy is cut mirrored, a left and a right
    markings: tuple[Marking, ...] = ()
    marked: frozenset[str] = frozenset()  # the figures its moves made: each is measured out once
    # Edges shown as long as the edge they are sewn to, where they are not exactly so.
    shown_mm: Mapping[str, float] = field(default_factory=dict)
    tilt: float = 0.0  # degrees it may lie off the grain, either way
    # Falls on the same place of a stripe as those of the others; None for what need not meet.
    match_mm: Point | None = None

    def told(self, **changes: Any) -> "Piece":
        """The piece with more said about it: words, markings, shown lengths, its match point.

        Its lines are as they were, so what was worked out from them is kept.
        """
        piece = replace(self, **changes)
        known = _OF_ITS_LINES & vars(self).keys()
        vars(piece).update({name: vars(self)[name] for name in known})
        return piece

    @cached_property
    def seam_points(self) -> list[Point]:
        """The seam line as a polygon."""
        return self.outline.points()

    @cached_property
    def cut_points(self) -> list[Point]:
        """The cut line as a polygon."""
        return cut_outline(self.outline, self.allowances, on_fold=self.on_fold)

    @cached_property
    def whole_cut_points(self) -> list[Point]:
        """The cut line as the cloth sees it: a piece on the fold opened out."""
        return unfolded(self.cut_points) if self.on_fold else self.cut_points

    @cached_property
    def cut_size_mm(self) -> tuple[float, float]:
        """Width and length of the cut line's bounding box, as drawn."""
        left, top, right, bottom = bounds(self.cut_points)
        return right - left, bottom - top


def shown_edges(pieces: Iterable[Piece]) -> dict[str, float]:
    """The `shown_mm` of all pieces by their figures' names, in lower case."""
    return {
        name_key(f"{piece.name}.{edge}"): mm
        for piece in pieces
        for edge, mm in piece.shown_mm.items()
    }


@dataclass(frozen=True, slots=True)
class NotchesApart:
    """Notches of one name on both sides of a seam that do not meet, each so far from a corner."""

    name: str
    one: str  # Front.side, or the edges it is counted along
    one_from: str  # the edge at whose corner the counting starts
    one_mm: float
    other: str
    other_from: str
    other_mm: float
    hint: str = ""  # a sentence: what in the seam may be wrong


def _edges(uses: tuple[EdgeUse, ...]) -> str:
    """One side of a seam by its edges: `2 × Front neck and 2 × Back neck`."""
    said = [f"{use.times} × " * (use.times > 1) + use.edge.replace(".", " ") for use in uses]
    return " and ".join(filter(None, (", ".join(said[:-1]), said[-1])))


def _called(uses: tuple[EdgeUse, ...]) -> str:
    """The side as a sentence begins with it: `Front neck and Back neck together are`."""
    together = "is" if len(uses) == 1 and uses[0].times == 1 else "together are"
    return f"{_edges(uses)} {together}"


@dataclass(frozen=True, slots=True)
class SeamFinding:
    """The two lengths a seam joins, mm, and whether they agree."""

    name: str
    one_mm: float
    other_mm: float
    eased_mm: float
    sewn: int
    stitch: str
    one: tuple[EdgeUse, ...]
    other: tuple[EdgeUse, ...]
    apart: tuple[NotchesApart, ...] = ()

    @property
    def pieces(self) -> tuple[str, ...]:
        """The pieces it joins, as the seam writes them, each once."""
        names = (use.edge.partition(".")[0] for use in (*self.one, *self.other))
        return tuple({name_key(name): name for name in names}.values())

    @property
    def difference_mm(self) -> float:
        """What no easing explains."""
        return self.one_mm - self.eased_mm - self.other_mm

    @property
    def agrees(self) -> bool:
        """True within the tolerance of pinned cloth."""
        return abs(self.difference_mm) <= SEAM_TOLERANCE_MM

    def told(self, first: System) -> str:
        """Why the lengths do not agree."""
        one, other, eased, apart = (
            both_as_cut(mm, first)
            for mm in (self.one_mm, self.other_mm, self.eased_mm, abs(self.difference_mm))
        )
        of_it = f", {eased} of it eased, gathered or lapped in" if self.eased_mm > 0 else ""
        longer, rank = (self.one, "first") if self.difference_mm > 0 else (self.other, "second")
        # Lengths that differ by little can read alike.
        return (
            f"{self.name}: {_called(self.one)} {one}{of_it}; {_called(self.other)} {other}. "
            f"{apart} of {_edges(longer) if len(longer) == 1 else f'the {rank}'} is left over."
        )

    def notches_told(self, first: System) -> tuple[str, ...]:
        """Which notches do not meet, and where each of them is."""
        return tuple(
            f"{self.name}: the notch “{a.name}” is {both_as_cut(a.one_mm, first, fine=True)} from "
            f"the {a.one_from} on {a.one} and {both_as_cut(a.other_mm, first, fine=True)} from "
            f"the {a.other_from} on {a.other}, so the two do not meet. "
            f"{a.hint}".rstrip()
            for a in self.apart
        )


@dataclass(frozen=True, slots=True)
class CheckFinding:
    """A finished measurement against the least the body needs, mm."""

    name: str
    garment_mm: float
    at_least_mm: float
    why: str

    @property
    def holds(self) -> bool:
        """True when the garment reaches the least figure, within the tolerance."""
        return self.garment_mm >= self.at_least_mm - CHECK_TOLERANCE_MM

    def told(self, first: System) -> str:
        """What is too small, both figures in both units."""
        return (
            f"{self.name} is {both_as_cut(self.garment_mm, first)}; it needs at least "
            f"{both_as_cut(self.at_least_mm, first)}. {self.why}".strip()
        )


@dataclass(frozen=True)
class Draft:
    """A recipe evaluated on a body."""

    recipe: Recipe
    body: Body
    pieces: tuple[Piece, ...]
    unfinished: tuple[Piece, ...]  # drawn as far as they got; never cut
    problems: tuple[Problem, ...]
    names: Figures = field(repr=False)
    seams: tuple[SeamFinding, ...]
    checks: tuple[CheckFinding, ...]
    finished_mm: Mapping[str, float]
    stages: Mapping[str, tuple[Stage, ...]]  # by piece, one for each move that was come to

    @property
    def lacking(self) -> frozenset[str]:
        """Names in lower case that would exist if what `problems` tells were mended.

        "front." stands for all figures of a piece that could not be drawn.
        """
        return frozenset(self.names.lacking)

    def lacks(self, name: str) -> bool:
        """True for a name, as typed, that only waits for what `problems` tells."""
        return self.names.lacks(name)

    @cached_property
    def shown_mm(self) -> Mapping[str, float]:
        """Edges shown with another edge's length, by their figures' names: see `Piece.shown_mm`."""
        return shown_edges(self.pieces)

    def piece(self, name: str) -> Piece:
        """The piece of that name. KeyError if it is missing or unfinished."""
        for piece in self.pieces:
            if piece.name == name:
                return piece
        raise KeyError(name)

    def edge_mm(self, use: EdgeUse) -> float:
        """The length of an edge as used, mm. FigureError if there is no such edge."""
        return read(use.edge).length_mm(self.names) * use.times
