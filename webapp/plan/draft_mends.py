"""What mends a seam that does not meet, or two hems finished otherwise: offered and made."""

from webapp.draft.evaluate import Draft
from webapp.draft.names import name_key
from webapp.draft.recipe import Finish, PieceRecipe, Recipe, Seam
from webapp.draft.results import SEAM_TOLERANCE_MM, SeamFinding
from webapp.errors import NotThereError
from webapp.plan.edits import changed, changed_one, with_garment, with_piece
from webapp.plan.episode import Episode
from webapp.plan.results import Mend, Plan
from webapp.units import System, both, parse_length


def easing_in(draft: Draft, finding: SeamFinding, first: System) -> tuple[Mend, ...]:
    """The mend that has the longer side eased or gathered into the shorter one.

    When the other side is the longer one the two change places, which the notches of a seam, told
    along its first side, would not survive: then none is offered.
    """
    seam = next(one for one in draft.recipe.seams if one.name == finding.name)
    figure = _eased_in(finding, first)
    if figure and finding.one_mm < finding.other_mm and seam.notches:
        return ()
    words = "Sew it with nothing eased in"
    if figure:
        words = f"Ease or gather in {both(parse_length(figure, None).mm, first)}"
    return (Mend("ease in", (draft.recipe.id, seam.name), words),)


def _eased_in(finding: SeamFinding, first: System) -> str:
    """How much longer one side is, as she would write it: to the millimetre or the nearest
    1/16 in, both well within the tolerance; empty when the sides are alike."""
    more = abs(finding.one_mm - finding.other_mm)
    if more <= SEAM_TOLERANCE_MM:
        return ""
    return f"{more / 10:.1f} cm" if first == "cm" else f"{round(more / 25.4 * 16) / 16:g} in"


def with_eased_in(plan: Plan, args: tuple[str, ...]) -> Episode:
    """The episode with a seam whose longer side is eased into the shorter: garment, seam."""
    garment, name = args
    drafts = (one for one in plan.drafts if one.recipe.id == garment)
    found = (seam for draft in drafts for seam in draft.seams if seam.name == name)
    finding = next(found, None)
    if finding is None:
        raise NotThereError(f"“{name}” is not there any more.")
    figure = _eased_in(finding, plan.episode.first_unit)
    turn = bool(figure) and finding.one_mm < finding.other_mm

    def edit(seam: Seam) -> Seam:
        one, other = (seam.other, seam.one) if turn else (seam.one, seam.other)
        return changed(seam, one=one, other=other, eased_in=figure)

    def on_recipe(recipe: Recipe) -> Recipe:
        return changed(recipe, seams=changed_one(recipe.seams, "name", name, edit))

    return with_garment(plan.episode, garment, on_recipe)


def finishing_alike(draft: Draft, one: str, other: str, edge: str) -> tuple[Mend, ...]:
    """The mends that have an edge of two pieces finished as it is on one of them."""
    return tuple(
        Mend("hem alike", (draft.recipe.id, like, piece, edge), f"Finish {piece} as {like} is")
        for like, piece in ((one, other), (other, one))
    )


def with_finish_alike(plan: Plan, args: tuple[str, ...]) -> Episode:
    """The episode with an edge finished as the edge of that name on another piece."""
    garment, like, name, edge = args
    recipe = next((one for one in plan.episode.garments if one.id == garment), None)
    model = next((one for one in recipe.pieces if one.name == like), None) if recipe else None
    if model is None:
        raise NotThereError(f"“{like}” is not there any more.")
    finish = _own(model, edge)

    def edit(piece: PieceRecipe) -> PieceRecipe:
        kept = {n: f for n, f in piece.finishes.items() if name_key(n) != name_key(edge)}
        return changed(piece, finishes={**kept, edge: finish})

    return with_piece(plan.episode, garment, name, edit)


def _own(piece: PieceRecipe, edge: str) -> Finish:
    found = (finish for name, finish in piece.finishes.items() if name_key(name) == name_key(edge))
    return next(found, Finish())
