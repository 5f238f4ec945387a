"""One length is shown alike on drawings, in sentences, texts, tables and plan.json."""

from collections.abc import Iterator
from functools import lru_cache
from itertools import product

import pytest

from tests.specimens import RECTANGLE, WREN, Move, draft_of
from webapp.draft.marks import edge_lengths
from webapp.draft.recipe import Body, Recipe
from webapp.draft.results import NotchesApart, Piece, SeamFinding
from webapp.draft.words import Slot
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


def _compared(piece: Piece) -> Iterator[tuple[str, str, str]]:
    """Each length of its sentences that an edge is drawn at, and how the drawing shows that."""
    for sentence in piece.words:
        slots = {part for part in sentence.parts() if isinstance(part, Slot)}
        for slot, edge in product(slots, piece.outline):
            if abs(sentence.lengths_mm[slot.name] - edge.length_mm) < 1e-6:
                drawn, *_ = edge_lengths(piece, edge, "cm")
                yield f"{slot.name}, {edge.name}", sentence.shown(slot, "cm"), drawn


@each
def test_what_a_sentence_says_an_edge_is_drawn_at_is_as_on_the_drawing(
    starter: str, body: str
) -> None:
    pieces = [piece for draft in _plan(starter, body).drafts for piece in draft.pieces]
    found = [(piece.name, *compared) for piece in pieces for compared in _compared(piece)]
    assert found
    assert [one for one in found if one[-2] != one[-1]] == []


def test_a_folded_band_is_as_wide_in_its_sentence_and_its_table_as_on_the_drawing() -> None:
    piece = draft_of({"kind": "band", "length": "60 cm", "width": "10.15 cm"}).piece("Panel")
    shown = "20.5 cm (8 in)"  # 203 / 25.4 = 7.99
    assert edge_lengths(piece, piece.outline.edge("left end"), "cm") == (shown,)
    assert CuttingRow("flat width", "marked", (203.0,)).texts("cm") == (shown,)
    assert {what: said for what, said, _ in _compared(piece)}["flat width, left end"] == shown


@pytest.mark.parametrize(
    "move",
    [
        {"kind": "notch", "edge": "right side", "corner": "top", "at": "16.2 cm"},
        {"kind": "dart", "edge": "right side", "corner": "top", "at": "16.2 cm", "width": "2 cm",
         "length": "8 cm"},
    ],
    ids=lambda move: str(move["kind"]),
)  # fmt: skip
def test_where_a_mark_stands_is_shown_to_the_millimetre_everywhere(move: Move) -> None:
    """Two notches that do not meet are told so, and would be told as one place otherwise."""
    piece, shown = draft_of(RECTANGLE, move).piece("Panel"), "16.2 cm (6 3/8 in)"
    (at,) = (name for name in piece.figures_mm if name.endswith(" at"))
    assert CuttingRow(at, "marked", (piece.figures_mm[at],)).texts("cm") == (shown,)
    assert shown in piece.words[1].show("cm")
    apart = NotchesApart("knee", "Front.side", "top", 162.0, "Back.side", "top", 170.0)
    (told,) = SeamFinding("side", 500, 500, 0, 1, "plain", (), (), (apart,)).notches_told("cm")
    assert f"is {shown} from the top" in told


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
