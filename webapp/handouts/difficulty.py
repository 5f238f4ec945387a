"""How hard a garment is to make: our own rule, counted from its pieces, seams, steps and notions.

Common practice, no source: the trade has no measure of it. Each thing below that takes practice
counts once, however often it comes, so much as stands beside it; every ten steps count one more.
The sheet says what was counted, so that a maker can judge for herself.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from webapp.draft.evaluate import Draft, Piece
from webapp.draft.names import listed
from webapp.plan.cloth_advice import bends
from webapp.plan.results import Plan, StepPlan

_STEPS_A_POINT: Final = 10
_MOST_FOR_STEPS: Final = 3
_MANY_CUTS: Final = 4
_KNIT_PER_CENT: Final = 10.0  # a cloth that gives this much is mostly a knit: see `cloth.needles`
# Up to so many points; more is the last. Common practice, no source.
LEVELS: Final = (
    (3, "For a beginner"),
    (8, "For a beginner with some practice"),
    (12, "For a practised hand"),
    (10_000, "For an experienced maker"),
)


@dataclass(frozen=True, slots=True)
class Difficulty:
    """How hard it is, in a few words, and what makes it so, the weightiest first."""

    level: str
    reasons: tuple[str, ...]
    points: int

    @property
    def why(self) -> str:
        """What makes it so, in a sentence."""
        if not self.reasons:
            return "Straight seams, and nothing that cannot be unpicked."
        return f"What takes practice: {listed(self.reasons)}."


def difficulty_of(plan: Plan) -> Difficulty | None:
    """How hard the episode's own garment is; None before it has steps and all its pieces."""
    if not plan.drafts or not plan.drafts[0].pieces:
        return None
    draft = plan.drafts[0]
    if len(draft.pieces) < len(draft.recipe.pieces):
        return None  # what is lacking may be what is hard
    steps = [row for row in plan.steps if row.garment == draft.recipe.name]
    if not steps:
        return None
    found = sorted(_found(plan, draft, steps), key=lambda one: -one[0])
    points = sum(weight for weight, _ in found)
    points += min(len(steps) // _STEPS_A_POINT, _MOST_FOR_STEPS)
    level = next(words for most, words in LEVELS if points <= most)
    return Difficulty(level, tuple(words for _, words in found), points)


def _found(plan: Plan, draft: Draft, steps: list[StepPlan]) -> Iterator[tuple[int, str]]:
    """Each thing that takes practice: what it counts, and its words."""
    pieces = draft.pieces
    notions = {one.notion.kind for one in plan.notions}
    moves = {move.kind for piece in draft.recipe.pieces for move in piece.moves}
    by_hand = any(one.kind == "hand" for row in steps for one in row.step.work)
    finishes = {one.kind for piece in pieces for one in piece.finishes.values()}
    cuts = sum(row.step.one_way for row in steps)
    cloths = [c for c in plan.episode.cloths if any(p.cloth == c.name for p in pieces)]
    knit = any(cloth.stretch >= _KNIT_PER_CENT for cloth in cloths)
    striped = any(cloth.repeat_along or cloth.repeat_across for cloth in cloths)
    buttons = "buttonholes" in moves or "buttons" in notions
    there: tuple[tuple[object, int, str], ...] = (
        ("zip" in notions, 2, "a zip"),
        (buttons, 2, "buttons and buttonholes"),
        (knit, 2, "a cloth that stretches"),
        (striped, 2, "stripes or checks that are to meet"),
        (cuts, 2 if cuts >= _MANY_CUTS else 1, _counted(cuts)),
        (
            any(s.eased_in for s in draft.recipe.seams),
            1,
            "an edge that is eased, gathered or lapped in",
        ),
        (moves & {"dart", "fullness"}, 1, "darts or pleats"),
        (_sewn_curve(draft), 1, "seams along a curve"),
        (_any_edge(pieces, _is_hem), 1, "a hem on a curve"),
        (any(piece.grain == "bias" for piece in pieces), 1, "pieces cut on the bias"),
        ("bound" in finishes, 1, "a bound edge"),
        ("faced" in finishes, 1, "a facing"),
        ("elastic" in notions, 1, "elastic"),
        (by_hand, 1, "stitches by hand"),
        (any(cloth.one_way for cloth in cloths), 1, "a cloth that runs one way"),
    )
    yield from ((weight, words) for is_there, weight, words in there if is_there)


def _counted(cuts: int) -> str:
    count = {1: "one step", 2: "two steps", 3: "three steps"}.get(cuts, f"{cuts} steps")
    return f"{count} that cannot be taken back"


def _sewn_curve(draft: Draft) -> bool:
    """Whether some edge that bends is sewn to another."""
    sewn = {use.edge.lower() for seam in draft.recipe.seams for use in (*seam.one, *seam.other)}
    return _any_edge(draft.pieces, lambda piece, edge: f"{piece.name}.{edge}".lower() in sewn)


def _is_hem(piece: Piece, edge: str) -> bool:
    return piece.finishes[edge].kind.endswith("hem")


def _any_edge(pieces: tuple[Piece, ...], wanted: Callable[[Piece, str], bool]) -> bool:
    return any(wanted(p, edge.name) and bends(edge) for p in pieces for edge in p.outline)
