"""How viewers are told to lay the cloth, which follows the way it is laid in the plan."""

from webapp.cloth.laid import WayOfLaying
from webapp.handouts.companion_pieces import laying, matching
from webapp.plan.edits import changed
from webapp.plan.results import Plan


def said(plan: Plan, *ways: WayOfLaying) -> str:
    names = [cloth.name for cloth in plan.episode.cloths]
    cloths = tuple(zip(names, ways, strict=True))
    return " ".join(laying(plan.pieces, cloths))


def test_open_cloth_lies_in_one_layer(plan: Plan) -> None:
    words = said(plan, "open", "open")
    assert words.startswith("Press the cloth, square its end and lay it in one layer")
    assert "turn it over along its centre line" in words
    assert "both layers" not in words


def test_folded_cloth_gives_halves_whole_and_the_rest_twice(plan: Plan) -> None:
    words = said(plan, "folded", "folded")
    assert "fold it lengthwise, right sides together, selvedge on selvedge" in words
    assert "its centre line along the fold, and comes whole" in words
    assert "turn it over along its centre line" not in words
    assert "cut it from the upper layer" in words


def test_matching_is_told_for_the_stripes_there_are(plan: Plan) -> None:
    plain, *others = plan.episode.cloths
    assert list(matching(plan.pieces, plan.episode.cloths)) == []
    around = changed(plain, repeat_along="6 cm")
    (words,) = matching(plan.pieces, [around, *others])
    assert "On Main cloth the stripes that run around the body meet at the seams" in words
    checks = changed(around, repeat_across="6 cm")
    assert len(list(matching(plan.pieces, [checks, *others]))) == 2


def test_each_cloth_is_named_where_they_are_laid_differently(plan: Plan) -> None:
    words = said(plan, "folded across", "open")
    assert "Press Main cloth, square its end and fold it across" in words
    assert "Press Binding cloth, square its end and lay it in one layer" in words
    assert "turn it over along its centre line" in words  # its half lies opened out
