"""What a pattern's first sheet tells: its sizes, which one to take, and what its lines are for."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated, Final

from markupsafe import Markup

from webapp.draft.markings import DrillHole, MarkedLine, Notch
from webapp.handouts.companion_sizes import size_tables
from webapp.handouts.pattern_ink import wide, wrapped
from webapp.handouts.pattern_map import sample
from webapp.handouts.pattern_pieces import Nest, Style
from webapp.plan.results import Plan
from webapp.units import both_as_cut

_KEY_EM: Final = 18.0
_NO_END: Final = 99
_SIZES_EM: Final = 14.0  # above a page
_MOST_MEASURES, _MOST_SIZES = 6, 12  # of a table that leaves room for the rest
_NARROW_MEASURES, _NARROW_SIZES, _NARROW_EM = 2, 8, 12.0  # of one that goes below the map


@dataclass(frozen=True)
class KeyLine:
    """A kind of line, drawn and told."""

    drawing: Annotated[Markup, "a sample as SVG"]
    words: Annotated[str, "what it is for"]


@dataclass(frozen=True)
class BodyTable:
    """Body measures by size, to choose a size by."""

    measures: Annotated[tuple[str, ...], "the measures across the top"]
    rows: Annotated[tuple[tuple[str, tuple[str, ...]], ...], "size and its figures, both units"]

    @property
    def is_narrow(self) -> bool:
        """True for one that has room below the map."""
        words = (*self.measures, *(name for name, _ in self.rows))
        return (
            len(self.measures) <= _NARROW_MEASURES
            and len(self.rows) <= _NARROW_SIZES
            and max(map(wide, words)) <= _NARROW_EM
        )


def sizes_in_words(names: Sequence[str]) -> str:
    """Every size by its name."""
    return f"size {names[0]}" if len(names) == 1 else f"sizes {', '.join(names)}"


def sizes_in_brief(names: Sequence[str]) -> str:
    """How many sizes, and the smallest and the largest."""
    if len(names) == 1:
        return sizes_in_words(names)
    return f"{len(names)} sizes, {names[0]} to {names[-1]}"


def sizes_above(names: Sequence[str]) -> str:
    """The sizes in the line above a page, as fully as there is room; one long name is cut off."""
    whole = sizes_in_words(names)
    told = [whole] if len(names) == 1 else [whole, sizes_in_brief(names), f"{len(names)} sizes"]
    fitting = (text for text in told if wide(text) <= _SIZES_EM)
    return next(fitting, wrapped(told[-1], _SIZES_EM, 1)[0])


def body_table(plan: Plan, names: Sequence[str]) -> BodyTable | None:
    """What the bodies of those sizes measure; None for one size, and where it would be too large.

    Then the companion tells it.
    """
    if not 1 < len(names) <= _MOST_SIZES or not any(d.recipe.measures for d in plan.drafts):
        return None
    table, first = next(size_tables(plan)), plan.episode.first_unit
    if len(table.columns) > _MOST_MEASURES:
        return None
    rows = (
        (name, tuple("not told" if mm is None else both_as_cut(mm, first) for mm in found))
        for name, found in table.rows
        if name in names
    )
    return BodyTable(table.columns, tuple(rows))


def key_of(names: Sequence[str], nests: Sequence[Nest], joined: bool) -> Iterator[KeyLine]:
    """What each kind of line and sign is for; only those that there are in this pattern."""
    styles = {style for nest in nests for style in nest.drawn}
    marks = [mark for nest in nests for line in nest.lines for mark in line.piece.markings]
    if len(names) == 1:
        yield KeyLine(sample("", Style("cut")), "cut along the middle of it")
        yield KeyLine(sample("", Style("seam")), "sew along it")
    else:
        if Style("cut") in styles:
            yield KeyLine(sample("", Style("cut")), "cut, all sizes")
        for place, name in enumerate(names, start=1):
            words = "\n".join(wrapped(f"cut, {name}", _KEY_EM, _NO_END))
            yield KeyLine(sample("", Style("cut", place)), words)
    if Style("fold") in styles:
        yield KeyLine(sample("", Style("fold")), "\n".join(_fold_words(nests)))
    yield KeyLine(sample("grain"), "grain: lies along the selvedge")
    if any(isinstance(mark, Notch) for mark in marks):
        yield KeyLine(sample("notch"), "notches: those of the same kind meet")
    if any(isinstance(mark, MarkedLine) for mark in marks):
        yield KeyLine(sample("", Style("mark")), "mark it on the cloth")
    if any(isinstance(mark, DrillHole) for mark in marks):
        yield KeyLine(sample("hole"), "mark the point where the lines cross")
    if joined:
        yield KeyLine(sample("join"), "where pages meet: the ring comes whole")
        yield KeyLine(sample("trim"), "trim the page along it before it is joined")


def _fold_words(nests: Sequence[Nest]) -> tuple[str, ...]:
    """What to do at the line that a piece is drawn to the half of, as the cloths are laid."""
    halves = {nest.turned_over for nest in nests if nest.piece.on_fold}
    if halves == {False}:
        return ("lay it on the fold of the cloth, do not cut",)
    if halves == {True}:
        return ("do not cut: chalk around the piece, turn", "it over along this line, chalk again")
    return ("do not cut: on the fold of the cloth, or", "turned over along it, as the piece says")
