"""Edits that loosen a thread of the demo’s smock, and what a rule then finds."""

from collections.abc import Callable

from webapp.draft.construction import Step
from webapp.draft.recipe import Body, PieceRecipe, Recipe, Seam
from webapp.filming.looks import Look
from webapp.filming.shots import Shot
from webapp.plan import loose_threads
from webapp.plan.edits import changed, with_garment, with_piece, with_step
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import LooseThread

GARMENT = "lighthouse-smock"
Edit = Callable[[Episode], Episode]


def found_by(rule: loose_threads.Rule, episode: Episode) -> tuple[LooseThread, ...]:
    return tuple(rule(evaluate(episode)))


def without_head(episode: Episode) -> Episode:
    measures = {name: text for name, text in episode.body.measures.items() if name != "head"}
    return changed(episode, body=Body(name="Wren", measures=measures))


def with_hem_of_the_front(episode: Episode, **finish: str) -> Episode:
    def edit(piece: PieceRecipe) -> PieceRecipe:
        hem = changed(piece.finishes["hem"], **finish)
        return changed(piece, finishes={**piece.finishes, "hem": hem})

    return with_piece(episode, GARMENT, "Front", edit)


def with_seam_that_differs(episode: Episode) -> Episode:
    def edit(recipe: Recipe) -> Recipe:
        seam = Seam.model_validate(
            {
                "name": "odd seam",
                "one": [{"edge": "Front.side"}],
                "other": [{"edge": "Sleeve.cuff"}],
            }
        )
        return changed(recipe, seams=(*recipe.seams, seam))

    return with_garment(episode, GARMENT, edit)


def with_notches_that_do_not_meet(episode: Episode) -> Episode:
    for name, at in (("Front", "5 cm"), ("Back", "6 cm")):
        notch = {"kind": "notch", "edge": "shoulder", "corner": "neck", "at": at, "name": "middle"}

        def edit(piece: PieceRecipe, notch: object = notch) -> PieceRecipe:
            return changed(piece, moves=(*piece.moves, notch))

        episode = with_piece(episode, GARMENT, name, edit)
    return episode


def with_narrow_cloth(episode: Episode) -> Episode:
    return changed(episode, cloths=(changed(episode.cloths[0], width="50 cm"), *episode.cloths[1:]))


def with_piece_of_unknown_cloth(episode: Episode) -> Episode:
    def edit(piece: PieceRecipe) -> PieceRecipe:
        return changed(piece, cloth="Velvet")

    return with_piece(episode, GARMENT, "Pocket", edit)


def with_piece_added(episode: Episode) -> Episode:
    piece = PieceRecipe.model_validate(
        {
            "name": "Chest pocket",
            "moves": [{"kind": "rectangle", "width": "12 cm", "length": "14 cm"}],
        }
    )
    return with_garment(episode, GARMENT, lambda r: changed(r, pieces=(*r.pieces, piece)))


def with_step_changed(episode: Episode, **changes: object) -> Episode:
    step = next(s for s in episode.garments[0].steps if s.one_way)
    return with_step(episode, step.id, lambda s: changed(s, **changes))


def with_new_step(episode: Episode) -> Episode:
    new = Step(id="sew-on-a-label", name="Sew on a label")
    return with_garment(episode, GARMENT, lambda r: changed(r, steps=(*r.steps, new)))


def with_shots_reversed(episode: Episode) -> Episode:
    return changed(episode, shots=tuple(reversed(episode.shots)))


def with_shot(episode: Episode, **fields: object) -> Episode:
    shot = Shot.model_validate({"id": "extra", "title": "Extra", "kind": "cutaway", **fields})
    return changed(episode, shots=(*episode.shots, shot))


def with_target(episode: Episode) -> Episode:
    return changed(episode, brief=changed(episode.brief, target_seconds=600))


def with_impossible_size(episode: Episode) -> Episode:
    giant = Body(name="Giant", measures={**episode.body.measures, "head": "90 cm"})
    return changed(episode, sizes=(*episode.sizes, giant))


def with_slanting_pockets_from_folded_cloth(episode: Episode) -> Episode:
    slope = {"kind": "slope", "edge": "mouth", "end": "right side", "drop": "3 cm"}

    def edit(recipe: Recipe) -> Recipe:
        raw = recipe.model_dump(mode="json")
        pocket = next(piece for piece in raw["pieces"] if piece["name"] == "Pocket")
        pocket["moves"].append(slope)
        return Recipe.model_validate(raw)

    cloths = (changed(episode.cloths[0], laid="folded"), *episode.cloths[1:])
    return changed(with_garment(episode, GARMENT, edit), cloths=cloths)


def with_first_shot_in(look: str, kind: str = "talking") -> Edit:
    """The first shot of that kind and look, where one look is kept."""

    def edit(episode: Episode) -> Episode:
        first = changed(episode.shots[0], look=look, kind=kind)
        looks = (*episode.looks, Look(id="with-boots", name="With boots"))
        return changed(episode, shots=(first, *episode.shots[1:]), looks=looks)

    return edit
