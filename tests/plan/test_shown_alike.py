"""One length is shown alike on drawings, in sentences, texts, tables and plan.json."""

from functools import lru_cache

import pytest

from tests.specimens import RECTANGLE, WREN, draft_of
from webapp.draft.marks import edge_lengths
from webapp.draft.recipe import Body, Recipe
from webapp.filming.figures import render
from webapp.plan.edits import changed
from webapp.plan.evaluate import evaluate
from webapp.plan.plan_json import plan_json
from webapp.plan.results import CuttingRow, Plan
from webapp.plan.sizes import cutting_tables, size_table
from webapp.plan.starters import episode_from
from webapp.store.starters import starters
from webapp.units import both_as_cut

OTHER = Body(name="Other", measures={**WREN.measures, "bust": "110 cm", "hip": "117 cm",
                                     "waist": "95 cm", "head": "59.4 cm"})  # fmt: skip
each = pytest.mark.parametrize(
    ("starter", "body"),
    [(recipe.id, body) for recipe in starters() for body in ("Wren", "Other")],
)


@lru_cache
def _plan(starter: str, body: str) -> Plan:
    recipe = next(recipe for recipe in starters() if recipe.id == starter)
    episode = episode_from(recipe, "Fresh", "fresh")
    return evaluate(changed(episode, body=WREN if body == WREN.name else OTHER))


@each
def test_an_edge_is_as_long_in_a_text_and_in_plan_json_as_on_the_drawing(
    starter: str, body: str
) -> None:
    plan = _plan(starter, body)
    figures = {piece["name"]: piece["figures"] for piece in plan_json(plan)["pieces"]}
    for draft in plan.drafts:
        for piece in draft.pieces:
            for edge in piece.outline:
                drawn = edge_lengths(piece, edge, "cm")[-1].removeprefix("sewn to ")
                quoted = render(f"{{{piece.name}.{edge.name}}}", plan.figures_for(draft), "cm")
                assert quoted.plain == drawn, (piece.name, edge.name)
                written = figures[piece.name][edge.name]
                assert f"{written['cm']} ({written['inch']})" == drawn


@each
def test_a_table_for_cutting_shows_edges_as_the_drawing_does(starter: str, body: str) -> None:
    plan = _plan(starter, body)
    pieces = {piece.name: piece for draft in plan.drafts for piece in draft.pieces}
    for table in cutting_tables(size_table(plan.episode)):
        piece = pieces[table.piece]
        rows = {row.name: row.texts("cm")[0] for row in table.rows if row.kind == "edge"}
        for edge in piece.outline:
            *drawn, sewn = edge_lengths(piece, edge, "cm")
            assert rows[edge.name] == sewn.removeprefix("sewn to ")
            assert drawn == [rows[f"{edge.name}, as drawn"]] if drawn else True


@each
def test_a_finished_measure_that_is_an_edge_is_as_long_as_it_is_drawn(
    starter: str, body: str
) -> None:
    plan = _plan(starter, body)
    for draft in plan.drafts:
        for measure in draft.recipe.finished:
            name, _, edge = measure.figure.partition(".")
            piece = next((p for p in draft.pieces if p.name == name), None)
            if piece and edge in piece.outline.names:
                drawn = edge_lengths(piece, piece.outline.edge(edge), "cm")[-1]
                assert both_as_cut(draft.finished_mm[measure.name], "cm") == drawn


def test_edges_sewn_together_count_as_one_in_the_finished_measures_too() -> None:
    rectangle = {"kind": "rectangle", "width": "30 cm", "length": "50 cm"}
    pieces = [
        {"name": "Front", "moves": [rectangle]},
        {"name": "Back", "moves": [rectangle | {"length": "50.2 cm"}]},
    ]
    seam = {"name": "side", "one": [{"edge": "Front.right side"}],
            "other": [{"edge": "Back.left side"}]}  # fmt: skip
    finished = [{"name": "Back length", "figure": "Back.left side"},
                {"name": "Twice", "figure": "2 * Back.left side"}]  # fmt: skip
    recipe = Recipe.model_validate({"id": "r", "name": "R", "pieces": pieces, "seams": [seam],
                                    "finished": finished})  # fmt: skip
    plan = evaluate(changed(episode_from(recipe, "Fresh", "fresh"), body=WREN))
    (draft,) = plan.drafts
    assert draft.finished_mm == pytest.approx({"Back length": 500, "Twice": 1004})


def test_the_arc_of_a_rounded_corner_is_shown_to_the_millimetre() -> None:
    corner = {"kind": "round corner", "edge": "right side", "corner": "hem", "radius": "4 cm"}
    piece = draft_of(RECTANGLE, corner).piece("Panel")
    # A quarter of a circle: pi / 2 * 4 = 6.28 cm; 62.83 / 25.4 = 2.474, to the sixteenth 2 1/2.
    shown = "6.3 cm (2 1/2 in)"
    assert edge_lengths(piece, piece.outline.edge("corner"), "cm") == (shown,)
    assert CuttingRow("corner", "edge", (piece.figures_mm["corner"],)).texts("cm") == (shown,)


def test_what_a_move_marked_is_shown_as_its_sentence_says() -> None:
    taper = {"kind": "taper", "edge": "right side", "end": "hem", "by": "8.2 cm"}
    piece = draft_of(RECTANGLE, taper).piece("Panel")
    (shown,) = CuttingRow("right side taper", "marked", (82.0,)).texts("cm")
    assert shown == "8.2 cm (3 1/4 in)"  # 82 / 25.4 = 3.228
    assert f"Mark {shown} in along the hem edge" in piece.words[1].show("cm")
