"""What is said of many shots at once."""

from webapp.plan.told_shots import Told, folded, numbers_told


def test_runs_of_three_numbers_are_told_as_such() -> None:
    assert numbers_told([52, 15, 14, 17, 18, 19]) == "14, 15, 17–19, 52"
    assert numbers_told([]) == ""


def test_up_to_three_of_a_kind_are_told_each_with_what_waits_on_it() -> None:
    told = [Told("long", 1, "One.", (4,)), Told("room", 2, "Two.", (5, 6)), Told("long", 3, "Up.")]
    assert list(folded(told)) == [
        "One. 1 shot waits on it: 4.",
        "Up.",
        "Two. 2 shots wait on it: 5, 6.",
    ]


def test_more_of_a_kind_are_told_once_and_so_is_what_waits_on_them() -> None:
    told = [Told("long", n, f"Shot {n}.", (10 + n,)) for n in (1, 2, 4, 6)]
    assert list(folded(told)) == [
        "Shot 1. 1 shot waits on it: 11.",
        "The same goes for 3 more shots: 2, 4, 6. 3 shots wait on these: 12, 14, 16.",
    ]
