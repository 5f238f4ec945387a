"""Seams: notches that meet on both sides, what is taken out of an edge, lengths shown alike.

Edges run clockwise: the right side of a rectangle from its top, the left side from its hem.
"""

from dataclasses import replace
from typing import Any

import pytest

from tests.specimens import RECTANGLE, WREN, Move, piece_of
from webapp.draft.evaluate import Draft, evaluate
from webapp.draft.instructions import instructions
from webapp.draft.markings import MarkedLine, Notch
from webapp.draft.names import Quantity
from webapp.draft.outline import Outline, straight
from webapp.draft.recipe import Recipe
from webapp.draft.seams import Seaming
from webapp.draft.sewn import along_mm, as_sewn
from webapp.plan.figures import lengths_of, own_first
from webapp.units import both

Json = dict[str, Any]
SIDES: Json = {"one": [{"edge": "Front.right side"}], "other": [{"edge": "Back.right side"}]}
DART: Move = {"kind": "dart", "edge": "top", "corner": "left side", "at": "10 cm",
              "width": "3 cm", "length": "12 cm"}  # fmt: skip


def rectangle(width: str = "30 cm", length: str = "50 cm") -> Move:
    return RECTANGLE | {"width": width, "length": length}


def notch(at: str, edge: str = "right side", corner: str = "top", **more: Any) -> Move:
    return {"kind": "notch", "edge": edge, "corner": corner, "at": at, **more}


def sewn(
    seam: Json, *others: Json, front: list[Move] | None = None, back: list[Move] | None = None
) -> Draft:
    """A front and a back, rectangles of 30 by 50 cm unless told, joined by a seam, or by more."""
    pieces = [
        {"name": "Front", "moves": front or [rectangle()]},
        {"name": "Back", "moves": back or [rectangle()]},
    ]
    seams = [{"name": "side seam", **SIDES, **seam}, *others]
    return evaluate(
        Recipe.model_validate({"id": "top", "name": "Top", "pieces": pieces, "seams": seams}), WREN
    )


def at_cm(draft: Draft, piece: str) -> list[tuple[str, float]]:
    """The edge of each notch and how far along it is drawn, cm."""
    found = draft.piece(piece)
    return [
        (mark.edge, round(along_mm(found.outline.edge(mark.edge), mark.at) / 10, 3))
        for mark in found.markings
        if isinstance(mark, Notch)
    ]


# --- Notches of a seam ------------------------------------------------------------------------


def test_a_seam_puts_each_notch_on_both_its_sides() -> None:
    draft = sewn({"notches": [{"at": "12 cm"}, {"at": "20 cm", "double": True}]})
    assert draft.problems == ()
    assert at_cm(draft, "Front") == at_cm(draft, "Back") == [
        ("right side", 12), ("right side", 20)
    ]  # fmt: skip
    names = [(mark.name, mark.double) for mark in draft.piece("Back").markings]
    assert names == [("side seam 1", False), ("side seam 2", True)]


def told(draft: Draft, piece: str) -> list[str]:
    """The sentences that a seam adds to a piece, as they are read."""
    words = [sentence.show("cm") for sentence in draft.piece(piece).words]
    return [sentence for sentence in words if sentence.startswith("For the seam")]


def test_a_notch_of_a_seam_is_told_on_both_its_sides() -> None:
    draft = sewn({"other": [{"edge": "Back.left side"}], "turned": True,
                  "notches": [{"at": "12 cm"}, {"at": "0 cm", "double": True}]})  # fmt: skip
    assert told(draft, "Front") == [
        "For the seam “side seam” draw a notch out from the right side edge, 12 cm (4 3/4 in) "
        "from its corner with the top edge.",
        "For the seam “side seam” draw a double notch out from the right side edge, at its corner "
        "with the top edge.",
    ]
    assert told(draft, "Back")[0].endswith(
        "from the left side edge, 12 cm (4 3/4 in) from its corner with the top edge."
    )


def test_on_the_blank_sheet_a_notch_is_had_from_the_seam_or_from_its_other_side() -> None:
    eased = {"notches": [{"at": "Front.right side / 2 - bust / 20"}], "eased_in": "2 cm"}
    draft = sewn(eased, back=[rectangle(length="48 cm")])
    front, back = (piece.sentences[-1] for piece in instructions(draft, "cm").pieces)
    assert front.endswith("out from the right side edge, A from its corner with the top edge.")
    assert back.endswith("where its other side has one: lay the two seam lines together.")


def test_a_notch_is_counted_on_from_the_edges_before_its_own() -> None:
    seam = {
        "one": [{"edge": "Front.top"}, {"edge": "Front.right side"}],
        "other": [{"edge": "Back.right side"}],
        "notches": [{"at": "bust / 2"}],
    }
    draft = sewn(seam, back=[rectangle(length="80 cm")])
    assert "16 cm (6 5/16 in) from its corner with the top" in told(draft, "Front")[0]  # 46 - 30
    (sentence,) = draft.piece("Front").words[-1:]
    assert sentence.formulas == {"right side notch": "(bust / 2) - Front.top"}


def test_a_notch_that_a_move_has_made_is_not_made_again() -> None:
    draft = sewn({"notches": [{"at": "12 cm"}]}, front=[rectangle(), notch("12 cm")])
    assert at_cm(draft, "Front") == [("right side", 12)]
    assert (told(draft, "Front"), len(told(draft, "Back"))) == ([], 1)


def test_eased_notches_stand_at_the_same_share_of_both_sides() -> None:
    draft = sewn(
        {"notches": [{"at": "12 cm"}], "eased_in": "2 cm"}, back=[rectangle(length="48 cm")]
    )
    assert at_cm(draft, "Front") == [("right side", 12)]
    assert at_cm(draft, "Back") == [("right side", 11.52)]  # 12 / 50 * 48


def test_of_a_turned_seam_the_other_side_is_counted_from_its_end() -> None:
    turned = {"other": [{"edge": "Back.left side"}], "turned": True, "notches": [{"at": "12 cm"}]}
    draft = sewn(turned)
    assert at_cm(draft, "Back") == [("left side", 50 - 12)]
    for name in ("Front", "Back"):
        (mark,) = draft.piece(name).markings
        assert mark.points[0][1] == pytest.approx(120), "the same height on both"


def test_the_edges_of_a_side_are_walked_one_after_the_other() -> None:
    """30 cm of top and 50 cm of side against a side of 80: 40 cm is 10 cm down the first side."""
    seam = {
        "one": [{"edge": "Front.top"}, {"edge": "Front.right side"}],
        "other": [{"edge": "Back.right side"}],
        "notches": [{"at": "40 cm"}],
    }
    draft = sewn(seam, back=[rectangle(length="80 cm")])
    assert at_cm(draft, "Front") == [("right side", 10)]
    assert at_cm(draft, "Back") == [("right side", 40)]


def test_an_edge_sewn_to_itself_gets_each_notch_once() -> None:
    seam = {"other": SIDES["one"], "notches": [{"at": "25 cm"}, {"at": "10 cm"}]}
    assert at_cm(sewn(seam), "Front") == [("right side", 25), ("right side", 10)]


NOT_PLACED: list[tuple[Json, str]] = [
    ({"notches": [{"at": "51 cm"}]},
     "Seam “side seam”: the notch at 51 cm (20 1/8 in) is not on its first side, which is "
     "50 cm (19 5/8 in) long."),
    ({"notches": [{"at": "-1 cm"}]},
     "Seam “side seam”: the notch at -1 cm (-3/8 in) is not on its first side, which is "
     "50 cm (19 5/8 in) long."),
    ({"notches": [{"at": "knee"}]},
     "Seam “side seam”: There is no figure called “knee”."),
    ({"other": [{"edge": "Back.width"}, {"edge": "Back.width"}], "notches": [{"at": "1 cm"}]},
     "Seam “side seam”: only edges of this garment's own pieces can be notched."),
    ({"one": [{"edge": "Front.top", "times": 2}], "notches": [{"at": "1 cm"}]},
     "Seam “side seam”: it joins edges that are not sewn equally often, so its notches would "
     "not meet; mark them on the pieces instead."),
]  # fmt: skip


@pytest.mark.parametrize(("seam", "sentence"), NOT_PLACED)
def test_a_notch_that_cannot_be_placed_says_why(seam: Json, sentence: str) -> None:
    draft = sewn(seam)
    assert [problem.sentence for problem in draft.problems] == [sentence]
    assert at_cm(draft, "Front") == []
    assert len(draft.seams) == 1, "its lengths are told all the same"


def test_one_notch_off_the_seam_leaves_the_others_where_they_are() -> None:
    draft = sewn({"notches": [{"at": "60 cm"}, {"at": "12 cm"}]})
    assert len(draft.problems) == 1
    assert at_cm(draft, "Back") == [("right side", 12)]


def test_a_seam_whose_piece_waits_for_something_tells_nothing_more() -> None:
    draft = sewn({"notches": [{"at": "12 cm"}]}, back=[rectangle(length="no such")])
    assert len(draft.problems) == 1
    assert at_cm(draft, "Front") == []


# --- Where something is taken out of an edge --------------------------------------------------


def test_a_notch_beyond_a_dart_skips_the_dart() -> None:
    """On 30 cm of top a dart of 3 cm in the middle of 10 cm: legs at 8.5 and 11.5 cm.

    The sewn edge is 27 cm; 20 cm along it is 11.5 cm past the dart's second leg.
    """
    seam = {
        "one": [{"edge": "Front.top"}],
        "other": [{"edge": "Back.top"}],
        "notches": [{"at": "20 cm"}, {"at": "5 cm"}],
    }
    draft = sewn(seam, front=[rectangle(), DART], back=[rectangle(width="27 cm")])
    assert [mark.at for mark in draft.piece("Front").markings if isinstance(mark, Notch)] == [
        pytest.approx((230, 0), abs=0.01), pytest.approx((50, 0), abs=0.01)
    ]  # fmt: skip
    assert at_cm(draft, "Back") == [("top", 20), ("top", 5)]


TOP = replace(straight("top", (0.0, 0.0), (500.0, 0.0)), taken_mm=100.0)


def test_gathers_without_marks_are_spread_over_the_whole_edge() -> None:
    sewn_top = as_sewn(TOP, ())
    assert sewn_top.length_mm == pytest.approx(400)
    assert sewn_top.drawn_mm(100) == pytest.approx(125)  # 100 * 500 / 400


def test_gathers_between_two_notches_leave_the_rest_as_it_is() -> None:
    """100 of 300 mm between 100 and 400 are taken up: what is drawn 3 long is sewn 2 long."""
    ends = (
        Notch("top gathers from", "top", (100.0, 0.0)),
        Notch("top gathers to", "top", (400.0, 0.0)),
    )
    sewn_top = as_sewn(TOP, ends)
    for drawn, at in ((50, 50), (100, 100), (250, 200), (400, 300), (500, 400)):
        assert sewn_top.sewn_mm(drawn) == pytest.approx(at)
        assert sewn_top.drawn_mm(at) == pytest.approx(drawn)


@pytest.mark.parametrize(
    ("name", "shares"), [("knife pleat", (0, 25, 50)), ("box pleat", (0, 12.5, 37.5, 50))]
)
def test_pleats_are_skipped_from_their_first_line_to_their_last(
    name: str, shares: tuple[float, ...]
) -> None:
    """Two pleats of 50 mm each, from 100 and from 300 mm."""
    lines = [
        MarkedLine(f"{name} {start}", "pleat", ((start + share, 0.0), (start + share, 100.0)))
        for start in (300, 100)
        for share in shares
    ]
    sewn_top = as_sewn(TOP, lines)
    assert sewn_top.drawn_mm(99) == pytest.approx(99)
    assert sewn_top.drawn_mm(150) == pytest.approx(200)
    assert sewn_top.drawn_mm(300) == pytest.approx(400)
    assert sewn_top.sewn_mm(125) == pytest.approx(100)


# --- Lengths shown alike ----------------------------------------------------------------------


def test_edges_sewn_together_are_shown_with_the_length_of_the_first() -> None:
    """51.4 and 51.2 cm would be shown as 51.5 and 51 cm; the exact lengths stay."""
    draft = sewn({}, front=[rectangle(length="51.4 cm")], back=[rectangle(length="51.2 cm")])
    assert (both(514, "cm"), both(512, "cm")) == ("51.5 cm (20 1/4 in)", "51 cm (20 1/8 in)")
    assert draft.shown_mm == {"back.right side": pytest.approx(514)}
    assert draft.piece("Back").figures_mm["right side"] == pytest.approx(512)
    assert draft.names["back.right side"].value == pytest.approx(512)
    assert lengths_of((draft,))["back.right side"] == pytest.approx(514)
    assert lengths_of((draft,))["back.left side"] == pytest.approx(512)


def test_another_garment_quotes_the_length_that_is_shown() -> None:
    draft = sewn({}, front=[rectangle(length="51.4 cm")], back=[rectangle(length="51.2 cm")])
    cowl = evaluate(Recipe(id="cowl", name="Cowl"), WREN, draft.names.of_pieces())
    quoted = own_first(cowl, lengths_of((draft, cowl)))
    assert quoted["back.right side"] == pytest.approx(514)
    assert own_first(draft, lengths_of((draft, cowl)))["back.right side"] == pytest.approx(514)


@pytest.mark.parametrize(
    "seam",
    [
        {"eased_in": "0.2 cm"},
        {"one": [{"edge": "Front.right side", "times": 2}],
         "other": [{"edge": "Back.right side"}, {"edge": "Back.right side"}]},
        {"one": [{"edge": "Front.top"}]},
    ],
)  # fmt: skip
def test_lengths_that_are_eased_joined_of_several_or_differ_are_shown_as_they_are(
    seam: Json,
) -> None:
    front, back = [rectangle(length="51.4 cm")], [rectangle(length="51.2 cm")]
    assert sewn(seam, front=front, back=back).shown_mm == {}


def test_what_is_sewn_to_two_edges_in_turn_shows_one_length_for_all() -> None:
    """A shows its own length; B, sewn to A, and C, sewn to B, show it too; D is too far off."""

    def panel(name: str, length: float) -> Any:
        edge = straight("side", (0.0, 0.0), (0.0, length))
        return replace(piece_of(RECTANGLE), name=name, outline=Outline((edge,)))

    panels = [panel("A", 512), panel("B", 514), panel("C", 513), panel("D", 516)]
    names = evaluate(Recipe(id="n", name="N"), WREN).names
    names.update(
        {f"{p.name.lower()}.side": Quantity(p.outline.edge("side").length_mm) for p in panels}
    )
    told: list[str] = []
    seaming = Seaming(panels, names, told.append)
    seams = [_joined("A", "B"), _joined("C", "B"), _joined("B", "D")]
    assert all(found.agrees for found in seaming.findings(seams))
    shown = {piece.name: piece.shown_mm.get("side") for piece in seaming.finished()}
    assert shown == {"A": None, "B": 512, "C": 512, "D": None}
    assert told == []


def _joined(one: str, other: str) -> Any:
    recipe = {"id": "s", "name": "S", "seams": [
        {"name": f"{one}{other}", "one": [{"edge": f"{one}.side"}],
         "other": [{"edge": f"{other}.side"}]}
    ]}  # fmt: skip
    return Recipe.model_validate(recipe).seams[0]
