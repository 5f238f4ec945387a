"""Loose threads of the draft: what cannot be drafted, what does not meet, what is cut too few."""

import math
from collections.abc import Iterable
from itertools import product
from typing import Final

from webapp.draft.allowances import NONE
from webapp.draft.construction import EdgeUse
from webapp.draft.evaluate import Draft, Piece
from webapp.draft.expressions import read
from webapp.draft.measures import doubts
from webapp.draft.names import name_key
from webapp.draft.results import Problem
from webapp.draft.symmetry import is_symmetrical
from webapp.errors import FigureError
from webapp.plan.counts import Shortage, shortages
from webapp.plan.draft_mends import easing_in, finishing_alike
from webapp.plan.fittings import fitting_plans
from webapp.plan.results import LooseThread, Mend, Place, Plan
from webapp.units import System, both, in_order

_PENCIL_MM: Final = 1.0


def place_of(garment: str, problem: Problem) -> Place:
    """Where a problem of that garment's draft is mended."""
    match problem.about:
        case "measure":
            return Place("brief", item=problem.item, part="measure")
        case "piece" | "blank":
            return Place("draft", garment, problem.piece, problem.move)
        case part:
            return Place("draft", garment, item=problem.item, part=part)


def draft_problems(plan: Plan) -> Iterable[LooseThread]:
    """A measure, choice or piece that cannot be drafted."""
    for draft in plan.drafts:
        for problem in draft.problems:
            told = in_order(problem.sentence, plan.episode.first_unit)
            yield LooseThread("must", place_of(draft.recipe.id, problem), told)


def seams_that_differ(plan: Plan) -> Iterable[LooseThread]:
    """Edges that are sewn together and differ in length."""
    first = plan.episode.first_unit
    for draft in plan.drafts:
        for seam in draft.seams:
            if not seam.agrees:
                place = Place("draft", draft.recipe.id, item=seam.name, part="seam")
                mends = easing_in(draft, seam, first)
                yield LooseThread("must", place, seam.told(first), mends)


def notches_that_do_not_meet(plan: Plan) -> Iterable[LooseThread]:
    """Notches of one name on the two sides of a seam, at different distances."""
    first = plan.episode.first_unit
    for draft in plan.drafts:
        for seam in draft.seams:
            place = Place("draft", draft.recipe.id, item=seam.name, part="seam")
            for sentence in seam.notches_told(first):
                yield LooseThread("should", place, sentence)


def hems_that_do_not_meet(plan: Plan) -> Iterable[LooseThread]:
    """Hems of one name beside the edges of a seam, finished otherwise on the two pieces."""
    for draft in plan.drafts:
        told = set()
        for seam in draft.recipe.seams:
            for one, other in product(*(_edges_of(draft, side) for side in (seam.one, seam.other))):
                for edge in _hems_beside(*one) & _hems_beside(*other):
                    here, there = one[0], other[0]
                    names = frozenset((here.name, there.name, edge))
                    if names in told or _finished_alike(here, there, edge):
                        continue
                    told.add(names)
                    yield LooseThread(
                        "should",
                        Place("draft", draft.recipe.id, here.name),
                        f"The {edge} of {here.name} is a {here.finishes[edge].kind} and that of "
                        f"{there.name} a {there.finishes[edge].kind}"
                        f"{_of_other_depth(here, there, edge)}, though they meet at the "
                        f"{seam.name}.",
                        finishing_alike(draft, here.name, there.name, edge),
                    )


def _edges_of(draft: Draft, uses: Iterable[EdgeUse]) -> list[tuple[Piece, str]]:
    """The pieces and edges that one side of a seam names."""
    wanted = [name_key(use.edge) for use in uses]
    return [
        (piece, edge.name)
        for piece in draft.pieces
        for edge in piece.outline
        if name_key(f"{piece.name}.{edge.name}") in wanted
    ]


def _hems_beside(piece: Piece, edge: str) -> set[str]:
    """The hems that begin or end where the edge does."""
    names = piece.outline.names
    at = names.index(edge)
    beside = {names[at - 1], names[(at + 1) % len(names)]}
    return {name for name in beside if piece.finishes[name].kind.endswith("hem")}


def _finished_alike(one: Piece, other: Piece, edge: str) -> bool:
    alike = one.finishes[edge].kind == other.finishes[edge].kind
    return alike and not _of_other_depth(one, other, edge)


def _of_other_depth(one: Piece, other: Piece, edge: str) -> str:
    """Words for hems that are not turned up alike deep, by more than a pencil line."""
    here, there = one.allowances.get(edge, NONE), other.allowances.get(edge, NONE)
    apart = abs(here.width_mm - there.width_mm), abs(here.turn_under_mm - there.turn_under_mm)
    same_kind = one.finishes[edge].kind == other.finishes[edge].kind
    return " of another depth" if same_kind and max(apart) > _PENCIL_MM else ""


def pieces_cut_too_few(plan: Plan) -> Iterable[LooseThread]:
    """An edge that is sewn more often than its piece is cut."""
    for draft in plan.drafts:
        for found in shortages(draft):
            place = Place("draft", draft.recipe.id, found.piece.name, part="cut")
            if not found.certain:
                yield LooseThread("should", place, found.sentence)
                continue
            count = _enough(found)
            args = (draft.recipe.id, found.piece.name, str(count))
            mend = Mend("cut count", args, f"Cut {found.piece.name} {count} times")
            yield LooseThread("must", place, found.sentence, (mend,))


def _enough(short: Shortage) -> int:
    """How often the piece must be cut to be sewn so often; an even number of a pair."""
    piece = short.piece
    edge = piece.outline.edge(short.edge)
    each = 2 if piece.on_fold and not edge.on_fold else 1
    step = 2 if piece.pair else 1
    return math.ceil(short.sewn / each / step) * step


def pieces_of_one_hand(plan: Plan) -> Iterable[LooseThread]:
    """A piece with two different sides, cut an even number of times all the same way round."""
    for draft in plan.drafts:
        for piece in draft.pieces:
            even = piece.cut_count % 2 == 0
            if even and not piece.pair and not is_symmetrical(piece.whole_cut_points):
                yield LooseThread(
                    "should",
                    Place("draft", draft.recipe.id, piece.name, part="cut"),
                    f"{piece.name} is cut {piece.cut_count} times the same way round; say a left "
                    "and a right if it needs both hands.",
                    (left_and_right(draft, piece.name),),
                )


def left_and_right(draft: Draft, piece: str) -> Mend:
    """The mend that has a piece cut as a left and a right."""
    return Mend("left and right", (draft.recipe.id, piece), f"Cut {piece} as a left and a right")


def checks_on_the_body(plan: Plan) -> Iterable[LooseThread]:
    """A neck smaller than the head, a girth under body and least ease, and the like."""
    for draft in plan.drafts:
        for check in draft.checks:
            if not check.holds:
                place = Place("draft", draft.recipe.id, item=check.name, part="check")
                yield LooseThread("must", place, check.told(plan.episode.first_unit))


def measures_in_doubt(plan: Plan) -> Iterable[LooseThread]:
    """A hip smaller than the waist and the like, of the body on camera."""
    episode = plan.episode
    for measure, told in doubts(episode.body.measures, episode.first_unit):
        if (measure, episode.brief.wearer) != ("bust", "under 3"):  # newborns have large heads
            yield LooseThread(
                "should", Place("brief", item=f"body-{measure.replace(' ', '-')}"), told
            )


def choices_out_of_range(plan: Plan) -> Iterable[LooseThread]:
    """A choice outside the range its recipe gives."""
    first = plan.episode.first_unit
    for draft in plan.drafts:
        for choice in draft.recipe.choices:
            try:
                value = read(choice.value).quantity(draft.names).value
                low = read(choice.least).quantity(draft.names).value if choice.least else value
                high = read(choice.most).quantity(draft.names).value if choice.most else value
            except FigureError:
                continue  # told by draft_problems
            if not low <= value <= high:
                limits = _limit(" from", choice.least, draft, first)
                limits += _limit(" to", choice.most, draft, first)
                yield LooseThread(
                    "should",
                    Place("draft", draft.recipe.id, item=choice.name, part="choice"),
                    f"{choice.name} is {_shown(choice.value, draft, first)}, outside the usual "
                    f"range{limits}.",
                )


def _shown(figure: str, draft: Draft, first: System) -> str:
    """What a choice's figure comes to, in both units when it is a length."""
    found = read(figure).quantity(draft.names)
    return both(found.value, first) if found.dimension == 1 else f"{found.value:g}"


def _limit(word: str, figure: str, draft: Draft, first: System) -> str:
    return f"{word} {_shown(figure, draft, first)}" if figure else ""


def sizes_that_fail(plan: Plan) -> Iterable[LooseThread]:
    """A further size in which the garment cannot be drafted or does not fit.

    That the cloth does not hold it is told by `cloth_threads.sizes_the_cloth_does_not_hold`.
    """
    if not plan.episode.garments:
        return
    for size in plan.sizes[1:]:
        of_lays = {lay.problem for lay in size.lays}
        for problem in (each for each in size.problems if each not in of_lays):
            place = Place("sizes", item=size.body.name)
            told = in_order(problem, plan.episode.first_unit)
            yield LooseThread("must", place, f"Size {size.body.name}: {told}")


def fittings_that_cannot_be_cut(plan: Plan) -> Iterable[LooseThread]:
    """A fitting that stays a note because the draft cannot be cut with its changes."""
    for one in fitting_plans(plan):
        if one.status == "cannot be cut":
            why = in_order(one.why[0], plan.episode.first_unit)
            told = f"The fitting “{one.fitting.title}” cannot be cut: {why}"
            yield LooseThread("should", Place("fittings", item=one.fitting.id), told)
