"""An edge gets another name where a move gives it one; moves, pieces, seams and texts follow."""

import pytest

from tests.plan.same_plan import each_plan_once, each_starter, episode_of, same
from webapp.draft.construction import EdgeUse
from webapp.draft.moves.copy_piece import Copy
from webapp.draft.moves.facing import Facing
from webapp.draft.moves.part import SplitPart
from webapp.draft.moves.rectangle import Rectangle
from webapp.draft.moves.split import Split
from webapp.draft.moves.taper import Taper
from webapp.draft.recipe import Finish, FinishedMeasure, PieceRecipe, Recipe, Seam
from webapp.errors import NotThereError, RecipeError
from webapp.plan.edge_names import naming, with_edge_name, with_move
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

SMOCK = "lighthouse-smock"


@pytest.mark.usefixtures(each_plan_once.__name__)
@each_starter
def test_any_edge_that_a_move_names_can_have_another_name(starter: Recipe) -> None:
    episode = episode_of(starter)
    (draft,) = evaluate(episode).drafts
    for recipe in starter.pieces:
        for edge in draft.piece(recipe.name).outline.names:
            if naming(draft, recipe, edge) is None:
                continue
            after = with_edge_name(episode, starter.id, recipe.name, edge, "somewhere else")
            assert same(episode, after), f"{recipe.name}.{edge}"
            back = with_edge_name(after, starter.id, recipe.name, "somewhere else", edge)
            assert same(episode, back)


def test_the_figures_that_are_called_after_an_edge_follow_it(smock: Episode) -> None:
    after = with_edge_name(smock, SMOCK, "Front", "neck", "neckline")
    text = after.model_dump_json()
    assert "Front.neck " not in text
    assert "{Front.neckline depth}" in text
    front = after.garments[0].pieces[0]
    assert "neckline" in front.finishes
    assert "neck" not in front.finishes
    assert "{Back.neck depth}" in text  # the other piece's edge is another
    assert same(smock, after)


# --- Pieces that are made from others --------------------------------------------------------

FRONT = PieceRecipe(
    name="Front",
    moves=(
        Rectangle(width="30 cm", length="50 cm", edges=("top", "side", "hem", "middle")),
        Taper(edge="side", end="hem", by="2 cm"),
        Split(
            edge="side", corner="top", at="15 cm",
            to="middle", to_corner="top", to_at="15 cm",
            keep="hem", name="yoke seam", part="yoke",
        ),
    ),
    finishes={"hem": Finish(kind="double fold hem", allowance="3 cm")},
)  # fmt: skip
BACK = PieceRecipe(
    name="Back",
    moves=(Copy(of="front"), Taper(edge="side", end="hem", by="1 cm")),
    finishes={"hem": Finish(kind="double fold hem", allowance="2 cm")},
)
YOKE = PieceRecipe(name="Yoke", moves=(SplitPart(of="Front", part="yoke"),))
HEM = PieceRecipe(
    name="Hem facing", moves=(Facing(of="Front", edges=("hem",), depth="Front.hem / 10"),)
)
RECIPE = Recipe(
    id="bib",
    name="Bib",
    pieces=(FRONT, BACK, YOKE, HEM),
    seams=(
        Seam(
            name="yoke",
            one=(EdgeUse(edge="Front.yoke seam"),),
            other=(EdgeUse(edge="Yoke.yoke seam"),),
        ),
    ),
    finished=(FinishedMeasure(name="Hem", figure="Front.hem + Back.hem + Hem facing.hem"),),
)
BIB = Episode(id="bib", title="Bib", garments=(RECIPE,))


def test_the_specimen_is_drawn_whole() -> None:
    (draft,) = evaluate(BIB).drafts
    assert not draft.problems
    assert draft.piece("Back").outline.names == draft.piece("Front").outline.names


def test_a_copy_a_facing_and_a_part_follow_the_piece_they_come_from() -> None:
    after = with_edge_name(BIB, "bib", "Front", "hem", "foot")
    front, back, _, facing = after.garments[0].pieces
    assert front.moves[0].edges == ("top", "side", "foot", "middle")  # type: ignore[union-attr]
    assert [getattr(move, "end", "") for move in (front.moves[1], back.moves[1])] == ["foot"] * 2
    assert front.moves[2].keep == "foot"  # type: ignore[union-attr]
    assert facing.moves[0] == Facing(of="Front", edges=("foot",), depth="Front.foot / 10")
    assert "foot" in front.finishes
    assert "foot" in back.finishes
    (measure,) = after.garments[0].finished
    assert measure.figure == "Front.foot + Back.foot + Hem facing.foot"
    assert same(BIB, after)


def test_a_split_names_its_edge_on_both_parts_and_what_it_cuts_off() -> None:
    after = with_edge_name(BIB, "bib", "Front", "yoke seam", "crossing")
    assert after.garments[0].seams[0].other[0].edge == "Yoke.crossing"
    renamed = with_move(BIB, "bib", "Front", 2, {"part": "upper part"})
    assert renamed.garments[0].pieces[2].moves == (SplitPart(of="Front", part="upper part"),)
    assert same(BIB, after)
    assert same(BIB, renamed)


def test_an_edge_that_comes_from_elsewhere_is_named_there() -> None:
    (draft,) = evaluate(BIB).drafts
    assert naming(draft, BACK, "hem") is None
    with pytest.raises(RecipeError, match="No move of Back"):
        with_edge_name(BIB, "bib", "Back", "hem", "foot")


def test_edges_without_names_of_their_own_get_the_usual_ones_and_the_new_one() -> None:
    moves = (Rectangle(width="30 cm", length="50 cm"),)
    recipe = Recipe(id="g", name="G", pieces=(PieceRecipe(name="Panel", moves=moves),))
    episode = Episode(id="e", title="E", garments=(recipe,))
    before = evaluate(episode).drafts[0].piece("Panel").outline.names
    after = with_edge_name(episode, "g", "Panel", before[2], "foot")
    assert evaluate(after).drafts[0].piece("Panel").outline.names == (
        *before[:2], "foot", before[3]
    )  # fmt: skip


# --- A move's own form -----------------------------------------------------------------------


def test_a_move_changes_its_figure_and_its_name_at_once() -> None:
    edges = ("top", "side", "foot", "middle")
    after = with_move(BIB, "bib", "Front", 0, {"edges": edges, "width": "32 cm"})
    front = evaluate(after).drafts[0].piece("Front")
    before = evaluate(BIB).drafts[0].piece("Front")
    assert front.figures_mm["foot"] == pytest.approx(before.figures_mm["hem"] + 20)
    assert after.garments[0].finished[0].figure.startswith("Front.foot + Back.foot")


def test_two_edges_can_change_their_names_with_each_other() -> None:
    after = with_move(BIB, "bib", "Front", 0, {"edges": ("hem", "side", "top", "middle")})
    assert after.garments[0].finished[0].figure == "Front.top + Back.top + Hem facing.top"
    assert same(BIB, after)


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ("hem", "Side", "Front has an edge called “side” already"),
        ("hem", "x-1", "could not be read"),
        ("hem", "width", "is called so already"),  # a figure of the rectangle
        ("nowhere", "foot", "No move of Front"),
    ],
)
def test_a_name_that_does_not_fit_is_refused(old: str, new: str, why: str) -> None:
    with pytest.raises(RecipeError, match=why):
        with_edge_name(BIB, "bib", "Front", old, new)


def test_a_piece_that_cannot_be_drawn_says_so() -> None:
    broken = changed(FRONT, moves=(FRONT.moves[0], Taper(edge="brim", end="hem", by="2 cm")))
    recipe = Recipe(id="g", name="G", pieces=(broken,))
    episode = Episode(id="e", title="E", garments=(recipe,))
    with pytest.raises(RecipeError, match="cannot be drawn for now"):
        with_edge_name(episode, "g", "Front", "hem", "foot")
    mended = with_move(episode, "g", "Front", 0, {"edges": ("top", "brim", "hem", "middle")})
    assert not evaluate(mended).drafts[0].problems
    with pytest.raises(NotThereError):
        with_edge_name(episode, "g", "Sleeve", "hem", "foot")
