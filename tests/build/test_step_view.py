"""Where a step's seams lie on the pieces: corner to corner, half to half, sewn lengths."""

from collections.abc import Mapping
from functools import cache

import pytest

from tests.specimens import SMOCK, STARTERS, WREN, smock_draft, smock_with, starter
from webapp.build.step_seams import Course, Meeting
from webapp.build.step_view import MOST_PIECES, StepView, step_view
from webapp.draft.construction import Step
from webapp.draft.evaluate import Draft, evaluate
from webapp.draft.outline import Point
from webapp.draft.recipe import Recipe

ALL = sorted(path.stem for path in STARTERS.glob("*.json"))


@cache
def _draft(name: str) -> Draft:
    return evaluate(starter(name), WREN)


def _views(draft: Draft) -> dict[str, StepView]:
    """By step, those that are drawn; the starters list their steps as they are done."""
    steps = draft.recipe.steps
    views = {step.id: step_view(step, steps[:place], (draft,)) for place, step in enumerate(steps)}
    return {name: view for name, view in views.items() if view}


def _view(name: str, step: str) -> StepView:
    return _views(_draft(name))[step]


def _letters(meeting: Meeting) -> list[set[tuple[str, Point]]]:
    """For each place of the seam, the pieces' names and points that come to lie together."""
    return [
        {(spot.on.piece.name, (round(spot.at[0], 3), round(spot.at[1], 3))) for spot in spots}
        for spots in meeting.places
    ]


def _corner(draft: Draft, piece: str, edge: str, *, mirrored: bool = False) -> Point:
    """Where that edge starts."""
    x, y = draft.piece(piece).outline.edge(edge).start
    return (round(-x if mirrored else x, 3), round(y, 3))


# --- What meets what -------------------------------------------------------------------------


def test_shoulders_meet_neck_to_neck_and_arm_to_arm() -> None:
    # Both lie right side up, so the wearer's left is on the right of the Front and on the left of
    # the Back: those two shoulders are one seam.
    draft = _draft("drop-shoulder-smock")
    (meeting,) = _view("drop-shoulder-smock", "shoulders").meetings
    assert _letters(meeting) == [
        {("Front", _corner(draft, "Front", "shoulder")),
         ("Back", _corner(draft, "Back", "shoulder", mirrored=True))},
        {("Front", _corner(draft, "Front", "arm")),
         ("Back", _corner(draft, "Back", "arm", mirrored=True))},
    ]  # fmt: skip


def test_a_sleeve_lies_between_back_and_front_its_middle_at_the_shoulder() -> None:
    draft = _draft("drop-shoulder-smock")
    view = _view("drop-shoulder-smock", "sleeves")
    assert [on.piece.name for on in view.shown] == ["Back", "Sleeve", "Front"]
    cap = draft.piece("Sleeve").outline.edge("cap")
    middle = cap.at(cap.length_mm / 2)[0]
    assert _letters(view.meetings[0]) == [
        {("Sleeve", _corner(draft, "Sleeve", "cap")), ("Back", _corner(draft, "Back", "underarm"))},
        {("Sleeve", (round(middle[0], 3), round(middle[1], 3))),
         ("Back", _corner(draft, "Back", "arm")),
         ("Front", _corner(draft, "Front", "arm", mirrored=True))},
        {("Sleeve", _corner(draft, "Sleeve", "right seam")),
         ("Front", _corner(draft, "Front", "underarm", mirrored=True))},
    ]  # fmt: skip


def test_a_waist_sewn_twice_on_the_fold_is_walked_from_side_to_side() -> None:
    draft = _draft("a-line-skirt")
    meeting = _view("a-line-skirt", "aline-waist").meetings[0]
    sides = [_letters(meeting)[0], _letters(meeting)[-1]]
    panel = [_corner(draft, "Panel front", "side", mirrored=half) for half in (True, False)]
    facing = [_corner(draft, "Front facing", "side", mirrored=half) for half in (True, False)]
    # Right sides together one of them is turned over: its left comes to lie on the other's right.
    assert sides in (
        [{("Panel front", panel[0]), ("Front facing", facing[1])},
         {("Panel front", panel[1]), ("Front facing", facing[0])}],
        [{("Panel front", panel[1]), ("Front facing", facing[0])},
         {("Panel front", panel[0]), ("Front facing", facing[1])}],
    )  # fmt: skip


@pytest.mark.parametrize("name", ALL)
def test_letters_stand_where_the_seam_says_its_sides_start_and_end(name: str) -> None:
    seams = {seam.name: seam for seam in starter(name).seams}
    for view in _views(_draft(name)).values():
        for meeting in view.meetings:
            seam = seams[meeting.name]
            assert meeting.places, meeting.name
            for uses, turned in ((seam.one, False), (seam.other, seam.turned)):
                if len(uses) == 1 and uses[0].times == 1:
                    piece, _, edge = uses[0].edge.partition(".")
                    drawn = _draft(name).piece(piece).outline.edge(edge)
                    ends = [drawn.start, drawn.end]
                    ends = ends[::-1] if uses[0].backwards != turned else ends
                    for place, (x, y) in zip((0, -1), ends, strict=True):
                        there = {(key, abs(at[0]), at[1]) for key, at in _letters(meeting)[place]}
                        assert (piece, abs(round(x, 3)), round(y, 3)) in there, meeting.name


@pytest.mark.parametrize("name", ALL)
def test_what_is_sewn_is_as_long_on_each_side_as_the_draft_says(name: str) -> None:
    found = {seam.name: seam for seam in _draft(name).seams}
    seams = {seam.name: seam for seam in starter(name).seams}
    for view in _views(_draft(name)).values():
        for meeting in view.meetings:
            pairs = (
                (meeting.one, found[meeting.name].one_mm, seams[meeting.name].one),
                (meeting.other, found[meeting.name].other_mm, seams[meeting.name].other),
            )
            for courses, mm, uses in pairs:
                if all(use.times <= 2 for use in uses):  # of four the drawing shows one piece
                    copies = 1 if len(courses) >= sum(use.times for use in uses) else 2
                    assert sum(c.run.length_mm for c in courses) * copies == pytest.approx(mm)


def test_a_pair_sewn_to_itself_is_drawn_as_its_left_and_its_right() -> None:
    view = _view("elastic-waist-trousers", "legs-seat")
    assert [on.piece.name for on in view.shown] == ["Trouser front"] * 2 + ["Trouser back"] * 2
    for left, right in (view.shown[:2], view.shown[2:]):
        assert left.mirrored != right.mirrored


def test_two_copies_are_drawn_where_one_is_sewn_to_the_other() -> None:
    assert len(_view("lined-tote", "tote-outer").shown) == 2
    assert len(_view("lined-tote", "tote-box").shown) == 1  # each to itself
    assert len(_view("bound-apron", "apron-strips").shown) == 2


# --- What is worked by itself, and what is done already --------------------------------------


def _names(courses: tuple[Course, ...]) -> set[str]:
    return {course.run.name for course in courses}


def test_a_hem_is_stitched_and_turned_on_both_halves() -> None:
    view = _view("drop-shoulder-smock", "hem")
    assert [(each.stitched, each.turned) for each in view.worked] == [(True, True)] * 2
    assert [[c.mirrored for c in each.courses] for each in view.worked] == [[False, True]] * 2


def test_what_is_only_pressed_under_is_turned_and_not_stitched() -> None:
    view = _view("drop-shoulder-smock", "pocket-hems")
    assert {each.courses[0].edge.name: (each.stitched, each.turned) for each in view.worked} == {
        "mouth": (True, True),
        "right side": (False, True),
        "foot": (False, True),
        "left side": (False, True),
    }


def test_what_is_sewn_already_is_told_apart() -> None:
    assert not _view("drop-shoulder-smock", "shoulders").before
    before = _view("drop-shoulder-smock", "sleeves").before
    neck, shoulders = {"Front.neck", "Back.neck"}, {"Front.shoulder", "Back.shoulder"}
    assert _names(before) == neck | shoulders
    assert len(before) == 8  # each on both halves


def test_the_free_end_is_worked_where_the_other_one_is_sewn() -> None:
    view = _view("a-line-skirt", "aline-understitch")
    ends = {c.run.name: c.mirrored for each in view.worked for c in each.courses
            if c.edge.name == "side"}  # fmt: skip
    sewn = {course.run.name: course.mirrored for course in view.before}
    assert ends == {name: not sewn[name] for name in ends}


def test_an_edge_neatened_before_it_is_seamed_is_shown_as_the_seam() -> None:
    view = _view("a-line-skirt", "aline-tack")
    assert [meeting.name for meeting in view.meetings] == ["panel side seams"]
    assert not view.worked


def test_darts_are_drawn_on_both_halves() -> None:
    darts = _view("a-line-skirt", "aline-darts").darts
    assert [on.piece.name for on, _ in darts] == ["Panel front"] * 2 + ["Panel back"] * 2
    assert darts[0][1] == tuple((-x, y) for x, y in darts[1][1])


def test_a_pocket_is_drawn_at_its_place_where_that_is_marked() -> None:
    view = _view("open-front-jacket", "jacket-pockets")
    assert {on.piece.name for on, _ in view.pockets} == {"Jacket front"}
    assert not _view("drop-shoulder-smock", "pockets").pockets  # its place is chalked on the body


# --- Where a drawing does not help -----------------------------------------------------------


def test_nothing_is_drawn_for_cutting_pressing_and_trying_on() -> None:
    drawn = _views(_draft("drop-shoulder-smock"))
    for step in ("wash", "chalk", "cut-pieces", "cut-neck", "first-try-on", "last-press"):
        assert step not in drawn
    assert "finish-seams" not in drawn  # the seam was shown when it was sewn


def _step(*work: Mapping[str, object]) -> Step:
    return Step.model_validate({"id": "sew", "name": "Sew", "work": work})


@pytest.mark.parametrize(
    "work",
    [
        {"kind": "machine", "seams": ("nothing of that name",)},
        {"kind": "machine", "edges": ({"edge": "Nobody.hem"},)},
        {"kind": "machine", "edges": ({"edge": "Front.length"},)},
        {"kind": "machine", "pieces": ("Front",)},
        {"kind": "machine"},
    ],
)
def test_what_is_not_drafted_is_left_out(work: dict[str, object]) -> None:
    assert step_view(_step(work), (), (smock_draft(),)) is None
    assert step_view(_step(work), (), ()) is None


def test_a_piece_that_is_not_finished_is_left_out_and_bears_no_letters() -> None:
    pieces = [piece.model_dump() for piece in SMOCK.pieces]
    for piece in pieces:
        if piece["name"] == "Back":
            piece["moves"] = ()
    draft = evaluate(smock_with(pieces=pieces), WREN)
    view = step_view(_step({"kind": "machine", "seams": ("shoulder seams",)}), (), (draft,))
    assert view is not None
    (meeting,) = view.meetings
    assert [on.piece.name for on in view.shown] == ["Front"]
    assert not meeting.other
    assert not meeting.places


def test_sides_not_sewn_equally_often_bear_no_letters() -> None:
    seams = [
        seam.model_copy(update={"other": tuple(use.model_copy(update={"times": 2})
                                               for use in seam.other)})
        for seam in SMOCK.seams
    ]  # fmt: skip
    draft = evaluate(Recipe.model_validate(SMOCK.model_dump() | {"seams": seams}), WREN)
    view = step_view(_step({"kind": "machine", "seams": ("shoulder seams",)}), (), (draft,))
    assert view is not None
    assert not view.meetings[0].places


def test_no_more_pieces_are_drawn_than_can_be_told_apart() -> None:
    edges = [f"{piece.name}.{piece.outline.names[0]}" for draft in map(_draft, ALL)
             for piece in draft.pieces]  # fmt: skip
    step = _step({"kind": "machine", "edges": [{"edge": edge} for edge in edges]})
    view = step_view(step, (), tuple(map(_draft, ALL)))
    assert view is not None
    assert len(view.shown) == MOST_PIECES


def test_an_edge_sewn_twice_over_is_drawn_once() -> None:
    work = {"kind": "machine", "edges": ({"edge": "Front.hem", "times": 2}, {"edge": "Front.hem"})}
    view = step_view(_step(work, work), (), (smock_draft(),))
    assert view is not None
    assert [len(each.courses) for each in view.worked] == [2]


def test_names_of_another_garment_are_found_there() -> None:
    cowl = _draft("tube-cowl")
    work = {"kind": "machine", "seams": ("COWL end seam",)}
    view = step_view(_step(work), (), (smock_draft(), cowl))
    assert view is not None
    assert [on.piece for on in view.shown] == [cowl.piece("Cowl")]
