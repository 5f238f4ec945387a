"""Every figure that the companion shows, in each unit, as an edition of it keeps them.

The texts come from the functions that word the sheet, so that they are the same. What is told by
size is told for every size, also how its pieces are cut: it makes no difference for which one the
sheet is drawn. How much of a notion is wanted where all sizes take the same, what another cloth
changes and how long the lay drawn is are told for the body on camera. Minutes are no figures of
the garment, nor is a length that is typed out in a text: only live figures are.
"""

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property, lru_cache
from typing import Final

from webapp.draft.allowances import NONE
from webapp.draft.marks import how_cut
from webapp.draft.names import name_key
from webapp.draft.recipe import FINISHES, Recipe
from webapp.draft.results import Piece
from webapp.draft.size_advice import eases_of
from webapp.draft.words import Sentence, Slot
from webapp.filming.figures import quoted
from webapp.plan.episode import PrintedFigure
from webapp.plan.figures import as_written, lengths_of, own_first
from webapp.plan.notions_by_size import amounts_together, notion_amounts
from webapp.plan.printed_cloth import added_outside, cloth_figures
from webapp.plan.results import Plan
from webapp.plan.shown import (
    Kind,
    Shown,
    Told,
    as_cut,
    for_all,
    for_body,
    for_each,
    in_each,
    parted,
    typed_length,
)
from webapp.units import both_called

FINISH: Final = " finish"  # behind the name of an edge: how it ends, in words
_LONGEST_WHAT: Final = 300  # characters


def printed_figures(plan: Plan, *, with_lays: bool = True) -> tuple[PrintedFigure, ...]:
    """Every figure of the companion, in its order; those of kind "lay" only `with_lays`.

    Without them nothing is laid. Drafts every size, as the companion does.
    """
    found: dict[str, Told] = {}
    for told in _all_told(plan, with_lays):
        if any(told.shown):
            _put(found, told)
    return tuple(map(_kept, found.values()))


def _put(found: dict[str, Told], told: Told) -> None:
    """Once; of two different figures that are called alike the second is numbered."""
    name, number = told.what[:_LONGEST_WHAT], 1
    while name in found and found[name].shown != told.shown:
        number += 1
        name = f"{told.what[: _LONGEST_WHAT - 6]} ({number})"
    found.setdefault(name, told._replace(what=name))


def _kept(told: Told) -> PrintedFigure:
    in_words = not any(one.inch for one in told.shown if one)
    return PrintedFigure(
        what=told.what,
        kind=told.kind,
        by=told.by,
        cm=tuple(one.cm if one else "" for one in told.shown),
        inch=() if in_words else tuple(one.inch if one else "" for one in told.shown),
    )


def _all_told(plan: Plan, with_lays: bool) -> Iterator[Told]:
    """In the order of the sheet; live figures that are told nowhere else come last."""
    texts = _Texts(plan)
    yield from _by_size(plan, texts)
    yield from cloth_figures(plan, with_lays=with_lays)
    yield from _notions(plan)
    for place, draft in enumerate(plan.drafts):
        drawn = [{p.name: p for p in size.drafts[place].pieces} for size in plan.sizes]
        for piece in draft.pieces:
            yield from _of_piece(piece, [pieces.get(piece.name) for pieces in drawn])
    yield from texts.live()


def _notions(plan: Plan) -> Iterator[Told]:
    """How much of each: for every size where the sheet tells it so."""
    sizes = [size.body.name for size in plan.sizes]
    for place, (each, amounts) in enumerate(zip(plan.notions, notion_amounts(plan), strict=True)):
        what = f"{each.notion.name}, how much"
        if len(amounts_together(plan, place, sizes)) > 1:
            shown = [in_each(amounts[size]) if amounts[size] else None for size in sizes]
            yield for_each(what, shown)
        elif each.amount.plain:
            yield for_body(what, in_each(each.amount.plain))


def _by_size(plan: Plan, texts: "_Texts") -> Iterator[Told]:
    """The measures of the bodies and of the finished garments."""
    recipes = [draft.recipe for draft in plan.drafts]
    for name in dict.fromkeys(name for recipe in recipes for name in recipe.measures):
        typed = (size.body.measures.get(name, "") for size in plan.sizes)
        yield for_each(name, [typed_length(text) for text in typed])
    for place, recipe in enumerate(recipes):
        for measure in recipe.finished:
            found = (size.drafts[place].finished_mm.get(measure.name) for size in plan.sizes)
            shown = [None if mm is None else as_cut(mm) for mm in found]
            yield for_each(texts.called(measure.name, place), shown)
        eases = [eases_of(size.drafts[place]) for size in plan.sizes]
        for ease in eases[0]:
            given = [one[ease].mm if ease in one else None for one in eases]
            shown = [None if mm is None else as_cut(mm) for mm in given]
            yield for_each(texts.called(f"ease at the {ease}", place), shown)


# --- Pieces ----------------------------------------------------------------------------------


def _of_piece(piece: Piece, drawn: Sequence[Piece | None]) -> Iterator[Told]:
    """What a piece is drawn and cut by in every size; None where it is not drawn."""
    count = f"cut {piece.cut_count}{how_cut(piece)}"
    yield for_all(f"{piece.name}.number to cut", Shown(count), "cut")
    found: dict[str, list[Shown | None]] = {}
    for at, one in enumerate(drawn):
        for name, shown in _as_drawn(one).items() if one else ():
            found.setdefault(name, [None] * len(drawn))[at] = shown
    for name, in_sizes in found.items():
        yield for_each(f"{piece.name}.{name}", in_sizes, "cut")


def _as_drawn(piece: Piece) -> dict[str, Shown]:
    """Its size as cut, marks and edges, what is added outside them, the lengths of its words."""
    width_mm, length_mm = piece.cut_size_mm
    there = {"cut width": as_cut(width_mm), "cut length": as_cut(length_mm)}
    for name, mm in piece.figures_mm.items():
        if name in piece.marked:
            there[name] = parted(both_called(name, mm, "cm"))
    for edge in piece.outline:
        there[edge.name] = as_cut(piece.shown_mm.get(edge.name, edge.sewn_mm))
        if edge.taken_mm:
            there[f"{edge.name} drawn"] = as_cut(edge.length_mm)
        there |= added_outside(edge.name, piece.allowances.get(edge.name, NONE))
        there[edge.name + FINISH] = Shown(FINISHES[piece.finishes[edge.name].kind])
    for sentence in piece.words:
        for slot in _slots(sentence.text):
            shown, called, number = parted(sentence.shown(slot, "cm")), slot.name, 1
            while there.setdefault(called, shown) != shown:
                number += 1
                called = f"{slot.name} ({number})"
    return there


@lru_cache(maxsize=2048)
def _slots(text: str) -> tuple[Slot, ...]:
    return tuple(part for part in Sentence(text).parts() if isinstance(part, Slot))


# --- Texts -----------------------------------------------------------------------------------


class _Texts:
    """The live figures that the sheet's texts quote, in every size."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._named = [set(_names(draft.recipe)) for draft in plan.drafts]

    def live(self) -> Iterator[Told]:
        """The figures of the texts of no garment, then of each garment's."""
        plan = self._plan
        cloths = (laid.cloth.description for laid in plan.lays)
        whys = (notion.why for notion in plan.episode.notions)
        yield from self._quoted((plan.episode.brief.promise, *cloths, *whys), None)
        for place, draft in enumerate(plan.drafts):
            summary = (draft.recipe.summary,) if draft.pieces else ()
            notes = (piece.note for piece in draft.pieces)
            steps = (text for step in draft.recipe.steps for text in (step.words, step.spare))
            yield from self._quoted((*summary, *notes, *steps), place)

    def called(self, name: str, place: int | None) -> str:
        """A name as an edition tells it: with the garment's where an earlier one has it too."""
        if place and "." not in name:
            key = name_key(name)
            if key in self._named[place] and any(key in own for own in self._named[:place]):
                return f"{name}, {self._plan.drafts[place].recipe.name}"
        return name

    def _quoted(self, texts: Sequence[str], place: int | None) -> Iterator[Told]:
        names = dict.fromkeys(name_key(name) for text in texts for name in quoted(text))
        known = self._known(place) if names else []
        for name in names:
            found = (own.get(name) for own in known)
            shown = [None if mm is None else parted(both_called(name, mm, "cm")) for mm in found]
            kind: Kind = "cut" if "." in name else ""
            yield for_each(self.called(self._written.get(name, name), place), shown, kind)

    def _known(self, place: int | None) -> list[Mapping[str, float]]:
        """What a text of the garment may quote, in every size."""
        if place is None:
            return self._lengths
        sizes = zip(self._plan.sizes, self._lengths, strict=True)
        return [own_first(size.drafts[place], lengths) for size, lengths in sizes]

    @cached_property
    def _lengths(self) -> list[Mapping[str, float]]:
        return [lengths_of(size.drafts) for size in self._plan.sizes]

    @cached_property
    def _written(self) -> Mapping[str, str]:
        return {name_key(name): name for name in reversed(as_written(self._plan.drafts))}


def _names(recipe: Recipe) -> Iterator[str]:
    """The keys of a garment's choices and finished measures."""
    yield from (name_key(one.name) for one in recipe.choices)
    yield from (name_key(one.name) for one in recipe.finished)
