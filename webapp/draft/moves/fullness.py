"""Fullness: let cloth in and take it up again in gathers, pleats or tucks along an edge."""

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import ClassVar, Final, Literal

from webapp.draft.markings import MarkedLine, Marking
from webapp.draft.moves.base import (
    EdgeName,
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    count_field,
    edge_field,
    figure_field,
    option_field,
)
from webapp.draft.moves.corners import corner_between, edge_of, spoken
from webapp.draft.moves.cutting import cut_square, markings_moved, taken_share
from webapp.draft.moves.folding import FOLDS, How, fold_lines, gather_notches
from webapp.draft.names import edge_called
from webapp.draft.outline import Edge, Line, Outline, Point
from webapp.draft.sewn import SewnEdge, as_sewn
from webapp.draft.words import Sentence

_SAME_MM: Final = 1e-6
_STEEPEST: Final = 0.5  # cosine of 60°: an edge opened further across would get a step
_BESIDE_MM: Final = 0.5  # half a chalk line: nearer to the end of a marked line is on it
_MARKED_MM: Final = 100.0  # how far into the piece a fold is marked


@dataclass(frozen=True)
class _Stretch:
    """What of an edge takes the cloth up, mm along it as sewn before the move."""

    sewn: SewnEdge
    low: float
    high: float
    cuts: int

    @property
    def length_mm(self) -> float:
        return self.high - self.low

    @property
    def whole(self) -> bool:
        return self.length_mm > self.sewn.length_mm - _SAME_MM

    @property
    def step_mm(self) -> float:
        """What of it belongs to each cut."""
        return self.length_mm / self.cuts

    def drawn_mm(self, cut: int) -> float:
        """How far along the edge as drawn the cut stands, in the middle of what belongs to it."""
        return self.sewn.drawn_mm(self.low + (cut + 0.5) * self.step_mm)


class Fullness(ShapingMove):
    """Slash the piece square to an edge and let cloth in; the edge takes it up again."""

    title: ClassVar[str] = "Fullness"
    purpose: ClassVar[str] = "Let cloth in for gathers, pleats or tucks along an edge."
    family = "cloth"

    kind: Literal["fullness"] = "fullness"
    edge: EdgeName = edge_field("Edge", "The edge that is gathered or folded.", "top")
    how: How = option_field("Taken up in", "", "gathers")
    by: FigureText = figure_field("Cloth let in", "Across this piece; on the fold, in its half.")
    count: int = count_field(
        "How many",
        "Pleats or tucks, evenly spaced. For gathers, cuts: one for a straight edge, more for a "
        "curve.",
        1,
    )
    start: FigureText = figure_field("From", "Along the edge. Empty: from its beginning.", "")
    end: FigureText = figure_field("To", "Along the edge. Empty: to its end.", "")
    corner: EdgeName = edge_field(
        "Both counted from its corner with", "Needed only with from or to.", ""
    )

    def apply(self, work: Workpiece) -> Shaped:
        """Let in `by` / `count` at each cut, right through to the opposite edge."""
        by = work.length_mm("cloth let in", self.by)
        edge = edge_of(work, self.edge)
        if work.on_fold and edge.on_fold:
            raise work.refusal(
                f"the {edge_called(self.edge)} lies on the fold, so it cannot be taken up"
            )
        stretch = self._stretch(work)
        depths = self._depths(work, by, stretch)
        outline, markings = work.outline, work.markings
        # From the edge's end, so that the places of the cuts to come stay as they are.
        for cut in reversed(range(self.count)):
            outline, markings = self._let_in(work, outline, markings, stretch.drawn_mm(cut), by)
        if self.how == "gathers" and not stretch.whole:
            low, high = map(stretch.sewn.drawn_mm, (stretch.low, stretch.high))
            edge = outline.edge(self.edge)
            markings = (*markings, *gather_notches(edge, low, high + by, markings))
        words = self._words(work, by, stretch, depths)
        return Shaped(outline, {f"{self.edge} added": by, **depths}, words, markings)

    def _stretch(self, work: Workpiece) -> _Stretch:
        """What of the edge takes the cloth up. MoveError where it is gathered already."""
        sewn = as_sewn(edge_of(work, self.edge), work.markings)
        whole = sewn.length_mm
        low = work.length_mm("from", self.start, or_zero=True) if self.start else 0.0
        high = work.length_mm("to", self.end) if self.end else whole
        if high > whole + _SAME_MM:
            raise work.limit(
                "to", high, f"further than the {edge_called(self.edge)} is long", whole
            )
        if low >= high:
            raise work.limit("from", low, "not before the end of the stretch", high)
        if self._from_far_end(work):
            low, high = whole - high, whole - low
        for (drawn, at), (next_drawn, next_at) in pairwise(sewn.steps):
            gathered = _SAME_MM < next_at - at < next_drawn - drawn - _SAME_MM
            if gathered and at < high - _SAME_MM and next_at > low + _SAME_MM:
                raise work.refusal(f"the {edge_called(self.edge)} is gathered there already")
        return _Stretch(sewn, low, high, self.count)

    def _from_far_end(self, work: Workpiece) -> bool:
        """True when from and to are counted against the edge's own direction."""
        if not self.corner or not (self.start or self.end):
            return False
        return corner_between(work, self.edge, self.corner).second.name != self.edge

    def _depths(self, work: Workpiece, by: float, stretch: _Stretch) -> dict[str, float]:
        """The depth of each fold under its figure's name; none for gathers."""
        fold = FOLDS.get(self.how)
        if fold is None:
            return {}
        depth, room = by / self.count / fold.depths, stretch.step_mm / 2
        # A knife pleat may lie over the next one; a box pleat opens to both sides and cannot.
        if self.how == "box pleats" and depth > room + _SAME_MM:
            raise work.limit("box pleat depth", depth, "more than half of what each lies on", room)
        return {f"{fold.kind} depth": depth}

    def _let_in(
        self,
        work: Workpiece,
        outline: Outline,
        markings: tuple[Marking, ...],
        along: float,
        by: float,
    ) -> tuple[Outline, tuple[Marking, ...]]:
        """The outline with a strip let in at one cut, and the markings with those of its fold."""
        each = by / self.count
        start, (ux, uy) = outline.edge(self.edge).at(along)
        for mark in markings:
            if isinstance(mark, MarkedLine) and math.dist(mark.points[0], start) <= _BESIDE_MM:
                raise work.refusal(
                    f"a cut would run along “{mark.name}”; take another number, or another stretch "
                    "of the edge"
                )
        cut, across = cut_square(work, outline, markings, self.edge, along)
        self._refuse_breaking(work, outline.edge(cut.other), across, markings, (ux, uy))
        shift = each if cut.moves_ahead else -each

        def place(point: Point) -> Point:
            return (point[0] + shift * ux, point[1] + shift * uy)

        first, last = Line(cut.start, place(cut.start)), Line(place(cut.end), cut.end)
        if not cut.moves_ahead:
            first, last = first.reversed(), last.reversed()
        moved = markings_moved(work, markings, cut, place)
        if fold := FOLDS.get(self.how):
            depth = min(_MARKED_MM, math.dist(cut.start, cut.end))
            moved = (*moved, *fold_lines(fold, first, depth, moved))
        return cut.opened(place, (first,), (last,), each), moved

    def _refuse_breaking(
        self,
        work: Workpiece,
        other: Edge,
        across: float,
        markings: tuple[Marking, ...],
        along: Point,
    ) -> None:
        """MoveError when the edge that a cut ends on cannot be opened in that direction."""
        cut = f"a cut square to the {edge_called(self.edge)} runs into"
        if taken_share(other, across, markings) > 1 - _SAME_MM:
            raise work.refusal(f"{cut} a fold of the {edge_called(other.name)}")
        if work.on_fold and other.on_fold and abs(along[0]) > _SAME_MM:
            raise work.refusal(f"{cut} the fold, which it would bend")
        _, heading = other.at(across)
        if abs(along[0] * heading[0] + along[1] * heading[1]) < _STEEPEST:
            raise work.refusal(
                f"{cut} the {edge_called(other.name)} and would break it; take fewer cuts or a "
                "shorter stretch, or spread the piece instead"
            )

    def _words(
        self, work: Workpiece, by: float, stretch: _Stretch, depths: dict[str, float]
    ) -> tuple[Sentence, ...]:
        lengths, formulas = self._lengths(work, by, stretch)
        texts = []
        marks, where = self._where(work, stretch)
        if marks:
            texts.append((marks, ""))
        texts += [(text, "") for text in _slash_words(where, self.count)]
        if fold := FOLDS.get(self.how):
            ((name, lengths["depth"]),) = depths.items()
            lengths[name] = lengths["depth"]
            formulas["depth"] = formulas[name] = f"({self.by}) / {self.count * fold.depths}"
            gap = "the gap" if self.count == 1 else "each gap"
            texts.append((f"Mark both sides of {gap} {fold.between}: the lines to fold on.", ""))
            folded = f"Fold {gap} away in a {fold.one} {{depth}} deep"
            if self.count == 1:
                texts.append((f"{folded}.", ""))
            else:
                part = "the next lies one of the equal parts further along"
                texts.append((f"{folded}, {{step}} from one to the next.", f"{folded}; {part}."))
        else:
            gather = f"Gather {where} up"
            texts.append(
                (f"{gather} to {{stretch}} again.",
                 f"{gather} again to what it measured before the paper was cut.")
            )  # fmt: skip
        return tuple(Sentence(text, lengths, formulas, own) for text, own in texts)

    def _lengths(
        self, work: Workpiece, by: float, stretch: _Stretch
    ) -> tuple[dict[str, float], dict[str, str]]:
        """Its lengths and formulas; how long the stretch is, only the drawing may know."""
        low, high = stretch.low, stretch.high
        if self._from_far_end(work):
            low, high = stretch.sewn.length_mm - high, stretch.sewn.length_mm - low
        added = f"{self.edge} added"
        lengths = {"cloth let in": by, added: by, "each": by / self.count, "step": stretch.step_mm}
        lengths |= {"start": low, "end": high, "stretch": stretch.length_mm}
        formulas = {"cloth let in": self.by, added: self.by, "each": f"({self.by}) / {self.count}"}
        formulas |= {"start": self.start} if self.start else {}
        if self.end:
            length = f"({self.end}) - ({self.start or '0 cm'})"
            formulas |= {"end": self.end, "stretch": length, "step": f"({length}) / {self.count}"}
        return lengths, formulas

    def _where(self, work: Workpiece, stretch: _Stretch) -> tuple[str, str]:
        """How the stretch is marked, and what it is called then."""
        edge = f"the {edge_called(self.edge)}"
        if stretch.whole:
            return "", edge
        corner = spoken(work, self.corner or work.outline.before(self.edge).name)
        along = f"along {edge} from its corner with the {corner}"
        starts = stretch.low > _SAME_MM
        ends = stretch.high < stretch.sewn.length_mm - _SAME_MM
        if self._from_far_end(work):
            starts, ends = ends, starts
        if starts and ends:
            return f"Mark {{start}} and {{end}} {along}.", f"{edge} between the marks"
        if ends:
            return f"Mark {{end}} {along}.", f"{edge} between that corner and the mark"
        return f"Mark {{start}} {along}.", f"{edge} beyond the mark"


def _slash_words(where: str, count: int) -> tuple[str, str]:
    if count == 1:
        return (
            f"From the middle of {where} draw a line square to it, straight across the piece.",
            "Cut the paper along the line and move the two parts {cloth let in} apart, the same "
            "all along.",
        )
    return (
        f"Divide {where} into {count} equal parts, and from the middle of each draw a line square "
        "to it, straight across the piece.",
        "Cut the paper along the lines and move the parts {each} apart at each, the same all "
        "along: {cloth let in} in all.",
    )
