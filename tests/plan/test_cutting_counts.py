"""What is cut is enough for what is sewn, in number and in hands."""

from typing import Any

import pytest

from webapp.plan import loose_threads
from webapp.plan.edits import changed, with_piece
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import LooseThread

GARMENT = "lighthouse-smock"
SIDES = ["top", "right side", "foot", "left side"]


def rectangle(name: str, **fields: Any) -> dict[str, Any]:
    move = {"kind": "rectangle", "width": "30 cm", "length": "30 cm", "edges": SIDES}
    return {"name": name, "moves": [move], **fields}


def half(name: str, **fields: Any) -> dict[str, Any]:
    """Drawn beside the fold, which is its left side."""
    return rectangle(name, on_fold=True, **fields)


def seam(name: str, one: list[str], other: list[str], sewn: int = 1) -> dict[str, Any]:
    """Edges as `Front.foot` or, several times, `2 Front.foot`."""

    def uses(side: list[str]) -> list[dict[str, Any]]:
        parts = [edge.rpartition(" ") if edge[0].isdigit() else ("1", "", edge) for edge in side]
        return [{"edge": edge, "times": int(times)} for times, _, edge in parts]

    return {"name": name, "one": uses(one), "other": uses(other), "sewn": sewn}


def threads(pieces: list[dict[str, Any]], *seams: dict[str, Any]) -> list[tuple[str, str]]:
    garment = {"id": "g", "name": "G", "pieces": pieces, "seams": list(seams)}
    episode = Episode.model_validate({"id": "e", "title": "E", "garments": [garment]})
    found = loose_threads.pieces_cut_too_few(evaluate(episode))
    return [(thread.severity, thread.sentence) for thread in found]


def found_in(smock: Episode, piece: str, **changes: Any) -> list[LooseThread]:
    edited = with_piece(smock, GARMENT, piece, lambda p: changed(p, **changes))
    return list(loose_threads.pieces_cut_too_few(evaluate(edited)))


# --- Enough of each --------------------------------------------------------------------------


def test_the_demo_and_more_than_enough_are_no_thread(smock: Episode) -> None:
    assert found_in(smock, "Sleeve", cut_count=2) == []
    assert found_in(smock, "Sleeve", cut_count=3) == []


def test_a_sleeve_cut_once_is_too_few(smock: Episode) -> None:
    (thread,) = found_in(smock, "Sleeve", cut_count=1)
    assert thread.sentence == "Sleeve.cap is sewn 2 times, but only 1 Sleeve is cut."
    assert (thread.severity, thread.page) == ("must", "draft")


def test_a_front_no_longer_on_the_fold_is_half_a_front(smock: Episode) -> None:
    (thread,) = found_in(smock, "Front", on_fold=False)
    assert thread.sentence.startswith("Front.")
    assert thread.sentence.endswith(" is sewn 2 times, but only 1 Front is cut.")


def test_an_edge_is_there_twice_on_the_fold_but_not_the_fold_itself() -> None:
    pieces = [half("Front"), rectangle("Side", cut_count=4)]
    twice = seam("sides", ["Front.right side"], ["Side.left side"], sewn=2)
    assert threads(pieces, twice) == []
    thrice = seam("sides", ["Front.right side"], ["Side.left side"], sewn=3)
    assert threads(pieces, thrice) == [
        ("must", "Front.right side is sewn 3 times, but only 1 Front is cut, on the fold.")
    ]
    folded = seam("centre", ["Front.left side"], ["Side.left side"], sewn=2)
    assert threads(pieces, folded)[0][1].startswith("Front.left side is sewn 2 times")


def test_a_band_cut_once_has_each_of_its_ends_once() -> None:
    """Joined to itself it is right; right end to left end twice is not."""
    ring = seam("ring", ["Band.right side"], ["Band.left side"])
    assert threads([rectangle("Band")], ring) == []
    two = [rectangle("Band"), rectangle("Other band")]
    ends = seam("ends", ["Band.right side"], ["Other band.left side"], sewn=2)
    assert [sentence for _, sentence in threads(two, ends)] == [
        "Band.right side is sewn 2 times, but only 1 Band is cut.",
        "Other band.left side is sewn 2 times, but only 1 Other band is cut.",
    ]


def test_both_sides_of_a_seam_and_uses_of_an_edge_count() -> None:
    same = seam("centre back", ["Back.right side"], ["Back.right side"])
    assert threads([rectangle("Back", cut_count=2)], same) == []
    assert threads([rectangle("Back")], same)[0][0] == "must"
    gathered = seam("waist", ["Skirt.top"], ["3 Panel.foot"], sewn=1)
    assert threads([rectangle("Skirt"), rectangle("Panel", cut_count=2)], gathered) == [
        ("must", "Panel.foot is sewn 3 times, but Panel is cut only 2 times.")
    ]


def test_the_same_edges_joined_in_two_seams_add_up() -> None:
    pieces = [rectangle("Sleeve"), half("Body")]
    left = seam("left sleeve", ["Sleeve.top"], ["Body.right side"])
    right = seam("right sleeve", ["Sleeve.top"], ["body.right side"])
    assert threads(pieces, left, right) == [
        ("must", "Sleeve.top is sewn 2 times, but only 1 Sleeve is cut.")
    ]


def test_an_edge_caught_in_two_different_seams_is_only_asked_about() -> None:
    """A collar between neck and facing: one neck edge, two seams along it."""
    pieces = [rectangle("Neck"), rectangle("Collar"), rectangle("Facing")]
    collar = seam("collar", ["Neck.top"], ["Collar.foot"])
    facing = seam("facing", ["Neck.top"], ["Facing.foot"])
    assert threads(pieces, collar, facing) == [
        (
            "should",
            "Neck.top is sewn 2 times, but only 1 Neck is cut; that is right only where two seams "
            "share the edge.",
        )
    ]


# --- A left and a right ----------------------------------------------------------------------


def with_sloped_pocket(smock: Episode, **changes: Any) -> Episode:
    """The demo's pocket with one upper corner cut away."""

    def sloped(pocket: Any) -> Any:
        slope = {"kind": "slope", "edge": "mouth", "end": "right side", "drop": "4 cm"}
        return changed(pocket, moves=(*pocket.moves, slope), **changes)

    return with_piece(smock, GARMENT, "Pocket", sloped)


def test_two_alike_of_a_piece_with_two_different_sides_are_asked_about(smock: Episode) -> None:
    assert list(loose_threads.pieces_of_one_hand(evaluate(smock))) == []
    (thread,) = loose_threads.pieces_of_one_hand(evaluate(with_sloped_pocket(smock)))
    assert thread.sentence == (
        "Pocket is cut 2 times the same way round; say a left and a right if it needs both hands."
    )
    assert thread.severity == "should"


@pytest.mark.parametrize("changes", [{"pair": True}, {"cut_count": 1}, {"cut_count": 3}])
def test_a_pair_or_an_odd_number_is_not_asked_about(
    smock: Episode, changes: dict[str, Any]
) -> None:
    plan = evaluate(with_sloped_pocket(smock, **changes))
    assert list(loose_threads.pieces_of_one_hand(plan)) == []


def test_an_odd_number_is_refused_for_a_pair(smock: Episode) -> None:
    with pytest.raises(ValueError, match="Pocket is cut 3 times; a left and a right need an even"):
        with_sloped_pocket(smock, cut_count=3, pair=True)
