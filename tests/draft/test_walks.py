"""Walking along a seam: edges from either end, sides of several edges, hand-made notches.

Edges run clockwise: the right side of a rectangle from its top, the left side from its hem.
"""

import pytest

from tests.draft.test_seams import Json, at_cm, notch, rectangle, sewn
from tests.specimens import Move

# A sleeve's top of 100 cm along the two sides of 50 cm of a body: up the one, down the other.
OVER_THE_TOP: Json = {
    "one": [{"edge": "Front.top"}],
    "other": [
        {"edge": "Back.right side", "backwards": True},
        {"edge": "Back.left side", "backwards": True},
    ],
    "notches": [{"at": "20 cm"}, {"at": "70 cm"}],
}


def test_an_edge_that_is_walked_backwards_is_counted_from_its_end() -> None:
    """20 cm is 20 up from the hem, so 30 down; 70 is 20 down the left side, which runs upwards."""
    draft = sewn(OVER_THE_TOP, front=[rectangle(width="100 cm")])
    assert draft.problems == ()
    assert at_cm(draft, "Front") == [("top", 20), ("top", 70)]
    assert at_cm(draft, "Back") == [("right side", 50 - 20), ("left side", 50 - 20)]


def test_a_turned_side_is_walked_in_reverse_and_each_of_its_edges_the_other_way() -> None:
    """Now first up the left side as it is drawn, then down the right side as it is drawn."""
    draft = sewn(OVER_THE_TOP | {"turned": True}, front=[rectangle(width="100 cm")])
    assert at_cm(draft, "Back") == [("left side", 20), ("right side", 20)]


@pytest.mark.parametrize(
    ("one", "written"),
    [
        ([("top", False), ("right side", True)], "“Front.top, Front.right side”"),
        ([("top", True), ("right side", False)], "“Front.top, Front.right side”"),
        (
            [("right side", False), ("top", False)],
            "“Front.right side backwards, Front.top backwards”",
        ),
    ],
)
def test_a_side_that_cannot_be_walked_through_is_told_and_not_notched(
    one: list[tuple[str, bool]], written: str
) -> None:
    uses = [{"edge": f"Front.{edge}", "backwards": backwards} for edge, backwards in one]
    first, second = (edge for edge, _ in one)
    seam: Json = {"one": uses, "other": [{"edge": "Back.right side"}]}
    back = [rectangle(length="80 cm")]
    draft = sewn(seam | {"notches": [{"at": "40 cm"}]}, back=back)
    assert [problem.sentence for problem in draft.problems] == [
        f"Seam “side seam”: Front.{first} and Front.{second} meet at a corner, but the seam as it "
        f"is written does not pass it, so its notches are left out; write {written}, or change "
        "their order."
    ]
    assert at_cm(draft, "Back") == []
    assert sewn(seam, back=back).problems == (), "told only where notches are asked for"


def test_edges_walked_from_either_end_through_their_corner_are_no_problem() -> None:
    uses = [
        {"edge": "Front.right side", "backwards": True},
        {"edge": "Front.top", "backwards": True},
    ]
    seam = {"one": uses, "other": [{"edge": "Back.right side"}], "notches": [{"at": "40 cm"}]}
    draft = sewn(seam, back=[rectangle(length="80 cm")])
    assert draft.problems == ()
    assert at_cm(draft, "Front") == [("right side", 10)]  # 40 up from the hem of 50


def test_round_a_piece_that_is_sewn_to_itself_a_walk_may_start_anywhere() -> None:
    """A ring, its left side sewn to its right, walked from its neck: then on across that seam."""
    seam: Json = {
        "one": [{"edge": "Front.neck"}, {"edge": "Front.top"}],
        "other": [{"edge": "Back.top"}],
        "notches": [{"at": "4 cm"}],
    }
    front = [
        rectangle(),
        {"kind": "scoop", "corner": "right side", "width": "6 cm", "depth": "6 cm"},
    ]
    (problem,) = sewn(seam, front=front).problems
    assert "write “Front.neck backwards, Front.top backwards”" in problem.sentence
    ring = {"name": "ring", "one": [{"edge": "Front.left side"}],
            "other": [{"edge": "Front.right side"}]}  # fmt: skip
    draft = sewn(seam, ring, front=front)
    assert draft.problems == ()
    assert at_cm(draft, "Front") == [("neck", 4)]


# --- Hand-made notches that do not meet -------------------------------------------------------


def test_hand_made_notches_of_one_name_that_do_not_meet_are_found() -> None:
    draft = sewn({}, front=[rectangle(), notch("20 cm", name="hip")],
                 back=[rectangle(), notch("24 cm", name="hip")])  # fmt: skip
    (seam,) = draft.seams
    assert seam.notches_told("cm") == (
        "side seam: the notch “hip” is 20 cm (7 7/8 in) from the top on Front.right side and "
        "24 cm (9 7/16 in) from the top on Back.right side, so the two do not meet.",
    )


@pytest.mark.parametrize(
    "there",
    [
        notch("20.2 cm", name="hip"),  # less than 3 mm apart
        notch("24 cm", name="knee"),  # another notch
        notch("10 cm", edge="top", corner="left side", name="hip"),  # another edge
    ],
)
def test_notches_that_meet_or_are_not_of_one_name_are_no_finding(there: Move) -> None:
    front = [rectangle(), notch("20 cm", name="hip")]
    (seam,) = sewn({}, front=front, back=[rectangle(), there]).seams
    assert seam.apart == ()


FROM_TOP = [rectangle(), notch("20 cm", name="hip")]
FROM_HEM = [rectangle(), notch("20 cm", corner="hem", name="hip")]
APART = (
    "side seam: the notch “hip” is 20 cm (7 7/8 in) from the top on Front.right side and 30 cm "
    "(11 13/16 in) from the top on Back.right side, so the two do not meet."
)
OTHER_WAY = (
    " They would if the other side lay the other way: if it does, change the tick at “The other "
    "side runs the other way” in the seam."
)
BACKWARDS: Json = {"other": [{"edge": "Back.right side", "backwards": True}]}


@pytest.mark.parametrize("way", [{"turned": True}, BACKWARDS])
def test_notches_from_opposite_ends_meet_only_on_a_seam_that_is_laid_so(way: Json) -> None:
    (seam,) = sewn(way, front=FROM_TOP, back=FROM_HEM).seams
    assert seam.apart == ()
    (seam,) = sewn({}, front=FROM_TOP, back=FROM_HEM).seams
    assert seam.notches_told("cm") == (APART + OTHER_WAY,)


def test_notches_from_the_same_end_do_not_meet_on_a_turned_seam() -> None:
    (seam,) = sewn({"turned": True}, front=FROM_TOP, back=FROM_TOP).seams
    assert seam.notches_told("cm") == (
        "side seam: the notch “hip” is 20 cm (7 7/8 in) from the top on Front.right side and "
        "30 cm (11 13/16 in) from the hem on Back.right side, so the two do not meet." + OTHER_WAY,
    )


@pytest.mark.parametrize(("turned", "apart"), [(False, "knee"), (True, "hip")])
def test_the_notches_of_a_seam_are_all_compared_in_the_one_way_it_is_laid(
    turned: bool, apart: str
) -> None:
    front = [rectangle(), notch("8 cm", name="hip"), notch("30 cm", name="knee")]
    back = [rectangle(), notch("8 cm", name="hip"), notch("20 cm", name="knee")]
    (seam,) = sewn({"turned": turned}, front=front, back=back).seams
    assert [found.name for found in seam.apart] == [apart]


@pytest.mark.parametrize(("at", "meets"), [("30 cm", True), ("24 cm", False)])
def test_hand_made_notches_are_compared_along_all_the_edges_of_a_side(at: str, meets: bool) -> None:
    """20 cm along the top is 20 up from the hem of the right side: 30 cm down."""
    front = [rectangle(width="100 cm"),
             notch("20 cm", edge="top", corner="left side", name="hip"),
             notch("70 cm", edge="top", corner="left side", name="knee")]  # fmt: skip
    back = [rectangle(), notch(at, name="hip"),
            notch("20 cm", edge="left side", corner="top", name="knee")]  # fmt: skip
    (seam,) = sewn(OVER_THE_TOP | {"notches": []}, front=front, back=back).seams
    assert seam.notches_told("cm") == (() if meets else (
        "side seam: the notch “hip” is 20 cm (7 7/8 in) from the left side on Front.top and "
        "26 cm (10 1/4 in) from the hem on Back.right side, so the two do not meet. If the seam "
        "meets one of these edges from its end, write “backwards” after it in the seam.",
    ))  # fmt: skip


def test_a_count_over_several_edges_names_them_all() -> None:
    """50 cm of right side, then 2 down the left side: 52, counted from the hem."""
    front = [rectangle(width="100 cm"),
             notch("45 cm", edge="top", corner="left side", name="hip")]  # fmt: skip
    back = [rectangle(), notch("2 cm", edge="left side", corner="top", name="hip")]
    (seam,) = sewn(OVER_THE_TOP | {"notches": []}, front=front, back=back).seams
    (found,) = seam.apart
    assert (found.one, found.one_from, found.one_mm) == ("Front.top", "left side", 450)
    assert (found.other, found.other_from, found.other_mm) == (
        "Back.right side and Back.left side", "hem", 520
    )  # fmt: skip


@pytest.mark.parametrize(
    ("at", "meets"),
    [
        ("20 cm", True),  # all is eased in beyond it
        ("18 cm", True),  # all is eased in before it
        ("19.2 cm", True),  # evenly, where the seam's own notch would be: 20 / 50 * 48
        ("16 cm", False),
    ],
)
def test_what_is_eased_in_may_lie_before_a_notch_beyond_it_or_evenly(at: str, meets: bool) -> None:
    back = [rectangle(length="48 cm"), notch(at, name="hip")]
    (seam,) = sewn({"eased_in": "2 cm"}, front=FROM_TOP, back=back).seams
    assert (seam.apart == ()) is meets


def test_notches_on_edges_that_are_not_sewn_equally_often_are_not_compared() -> None:
    seam = {"one": [{"edge": "Front.right side", "times": 2}]}
    back = [rectangle(length="100 cm"), notch("24 cm", name="hip")]
    (found,) = sewn(seam, front=FROM_TOP, back=back).seams
    assert found.agrees
    assert found.apart == ()


LEFT_AND_RIGHT = [
    notch("10 cm", edge="hem", corner="left side", name="left flap"),
    notch("10 cm", edge="hem", corner="right side", name="right flap"),
]


@pytest.mark.parametrize(
    ("more", "apart"),
    [
        ({}, []),
        ({"at": "11 cm"}, ["left flap", "right flap"]),
        ({"double": True}, ["left flap", "right flap"]),
    ],
)
def test_a_lining_that_is_a_copy_meets_left_with_right(more: Move, apart: list[str]) -> None:
    """Right sides together the snips lie on each other, if the left is where the right is."""
    outside = [rectangle(), LEFT_AND_RIGHT[0] | more, LEFT_AND_RIGHT[1]]
    lining: list[Move] = [{"kind": "copy", "of": "Front"}]
    seam: Json = {"one": [{"edge": "Front.hem"}], "other": [{"edge": "Back.hem"}], "turned": True}
    (found,) = sewn(seam, front=outside, back=lining).seams
    assert [each.name for each in found.apart] == apart


def test_notches_that_the_seam_made_itself_are_no_finding() -> None:
    seam = {"notches": [{"at": "12 cm"}], "eased_in": "2 cm"}
    (found,) = sewn(seam, back=[rectangle(length="48 cm")]).seams
    assert found.apart == ()
