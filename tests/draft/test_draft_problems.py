"""What keeps a recipe from being drafted is told, and what can be drafted is."""

from typing import Any

import pytest

from tests.specimens import (
    RECTANGLE,
    SMOCK,
    WREN,
    draft_of,
    piece_of,
    refusal_of,
    sentences,
    smock_draft,
    smock_with,
    with_choices,
)
from webapp.draft.construction import EdgeUse
from webapp.draft.evaluate import evaluate, quotes_itself
from webapp.errors import FigureError


def test_a_circle_of_choices_is_told_where_it_starts() -> None:
    choices = [{"name": "one", "value": "other + 1 cm"}, {"name": "other", "value": "one + 1 cm"}]
    draft = evaluate(smock_with(choices=[*SMOCK.model_dump()["choices"], *choices]), WREN)
    assert sentences(draft) == ["one: There is no figure called “other”."]
    assert draft.lacking == {"one", "other"}


def test_a_choice_cannot_quote_a_later_piece() -> None:
    draft = evaluate(with_choices(SMOCK, body_ease="Front.hem / 2"), WREN)
    assert sentences(draft) == ["body ease: There is no figure called “Front.hem”."]


def test_a_choice_that_quotes_itself_is_told_to_be_written_anew() -> None:
    sentence = "“body ease” cannot be worked out from itself; write the new figure, like 69 cm."
    assert sentences(evaluate(with_choices(SMOCK, body_ease="Body ease + 5 cm"), WREN)) == [
        sentence
    ]
    assert quotes_itself("body ease", "bust / 2 + body ease") == sentence
    assert quotes_itself("body ease", "bust / 2") == ""


def test_one_piece_that_cannot_be_drawn_leaves_the_others() -> None:
    draft = evaluate(with_choices(SMOCK, neck_half_width="42 cm"), WREN)
    front, back = draft.problems
    assert front.sentence == (
        "Front, scoop: 42 cm (16 1/2 in) is wider than the shoulder edge, 34.5 cm (13 5/8 in)."
    )
    assert (front.piece, front.move) == ("Front", 1)
    assert back.piece == "Back"
    assert [piece.name for piece in draft.pieces] == ["Pocket"]
    assert {p.name: p.outline.names for p in draft.unfinished} == {
        "Front": ("shoulder", "side", "hem", "centre"),
        "Back": ("shoulder", "side", "hem", "centre"),
    }, "drawn as far as they got"
    assert draft.seams == (), "pieces and seams that wait for a piece say nothing of their own"
    assert draft.lacking >= {"front.", "back.", "sleeve.", "neck binding."}
    with pytest.raises(KeyError):
        draft.piece("Front")


def test_a_piece_without_any_shape_is_told() -> None:
    assert refusal_of() == "Panel has no shape yet."
    assert refusal_of(RECTANGLE | {"off": True}) == "Panel has no shape yet."


@pytest.mark.parametrize(
    ("finishes", "sentence"),
    [
        ({"elbow": {"kind": "bound"}}, "Panel has no edge “elbow” to finish."),
        ({"hem": {"allowance": "2"}},
         "Panel, hem: “2” is a number without a unit. Write 2 cm or 2 in."),
        ({"hem": {"allowance": "-2 cm"}},
         "Panel, hem: The allowance comes to -2 cm (-13/16 in); it must be from 0 cm to "
         "50 cm (19 5/8 in)."),
        ({"hem": {"allowance": "60 cm"}},
         "Panel, hem: The allowance comes to 60 cm (23 5/8 in); it must be from 0 cm to "
         "50 cm (19 5/8 in)."),
        ({"hem": {"kind": "double fold hem", "allowance": "1 cm", "turn_under": "2 cm"}},
         "Panel, hem: The turn-under, 2 cm (13/16 in), is deeper than the hem, 1 cm (3/8 in)."),
        ({"centre": {"kind": "seam"}},
         "Panel, centre: this edge lies on the fold, so it is neither cut nor finished."),
    ],
)  # fmt: skip
def test_a_finish_that_cannot_be_is_told_and_the_piece_is_drawn(
    finishes: dict[str, Any], sentence: str
) -> None:
    draft = draft_of(RECTANGLE, on_fold=True, finishes=finishes)
    assert sentences(draft) == [sentence]
    assert len(draft.pieces) == 1
    assert draft.pieces[0].cut_points


def test_the_edge_on_the_fold_is_the_one_that_lies_there_whatever_its_name() -> None:
    names = ["waist", "side", "hem", "middle"]
    piece = piece_of(RECTANGLE | {"edges": names}, on_fold=True)
    assert piece.finishes["middle"].kind == "fold"
    assert piece.allowances["middle"].total_mm == 0
    assert piece.whole_cut_points
    open_piece = piece_of(RECTANGLE | {"edges": names})
    assert open_piece.allowances["middle"].total_mm == 15


def test_a_seam_of_unknown_edges_is_told() -> None:
    seam = {"name": "cuff seam", "one": [{"edge": "Front.cuff"}], "other": [{"edge": "Front.hem"}]}
    (sentence,) = sentences(evaluate(smock_with(seams=[seam]), WREN))
    assert sentence.startswith("Seam “cuff seam”: There is no figure called “Front.cuff”.")
    with pytest.raises(FigureError):
        smock_draft().edge_mm(EdgeUse(edge="Front.cuff"))


def test_a_check_or_a_finished_measure_that_cannot_be_computed_is_told() -> None:
    check = {"name": "Stride", "garment": "Front.hem", "at_least": "60"}
    finished = {"name": "Cuffs", "figure": "Cuff.hem"}
    draft = evaluate(smock_with(checks=[check], finished=[finished]), WREN)
    assert sentences(draft)[0].startswith("Check “Stride”: “60” is a number without a unit.")
    assert sentences(draft)[1].startswith("Finished Cuffs: There is no figure called “Cuff.hem”.")
