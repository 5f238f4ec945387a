"""The cover's line drawing: to one scale, told in words, and the pieces where it cannot be made."""

import re
from dataclasses import replace
from xml.etree import ElementTree

from webapp.handouts.garment_cover import cover_of
from webapp.plan.results import Plan


def _drawing(plan: Plan) -> ElementTree.Element:
    return ElementTree.fromstring(str(cover_of(plan)).partition("</svg>")[0] + "</svg>")


def _texts(root: ElementTree.Element) -> list[str]:
    return ["".join(text.itertext()) for text in root.iter("{http://www.w3.org/2000/svg}text")]


def _title(root: ElementTree.Element) -> str:
    return root.findtext("{http://www.w3.org/2000/svg}title") or ""


def test_every_garment_stands_on_the_cover_from_both_sides(plan: Plan) -> None:
    smock, cowl = (draft.recipe.name for draft in plan.drafts)
    assert _texts(_drawing(plan)) == [f"{smock}, front", f"{smock}, back", cowl]


def test_one_garment_needs_no_name(plan: Plan) -> None:
    alone = replace(plan, drafts=plan.drafts[:1])
    assert _texts(_drawing(alone)) == ["Front", "Back"]


def test_it_fits_the_cover(plan: Plan) -> None:
    root = _drawing(plan)
    sides = [float(root.attrib[side].removesuffix("mm")) for side in ("width", "height")]
    assert sides[0] <= 174
    assert sides[1] <= 122
    _, _, right, bottom = map(float, root.attrib["viewBox"].split())
    for path in root.iter("{http://www.w3.org/2000/svg}path"):
        numbers = list(map(float, re.findall(r"-?[\d.]+", path.attrib["d"])))
        assert 0 <= min(numbers[::2]) <= max(numbers[::2]) <= right
        assert 0 <= min(numbers[1::2]) <= max(numbers[1::2]) <= bottom


def test_those_who_cannot_see_it_are_told_what_is_drawn(plan: Plan) -> None:
    words = _title(_drawing(plan))
    assert "front: Front and Sleeve. " in words
    assert "back: Back and Sleeve" in words


def test_a_piece_whose_place_is_not_marked_is_told_and_not_drawn(plan: Plan) -> None:
    assert cover_of(plan).endswith(
        '<p class="small quiet">Not drawn, for the draft marks no place: Pocket.</p>'
    )


def test_pieces_that_cannot_be_put_together_lie_side_by_side(plan: Plan) -> None:
    draft = plan.drafts[0]
    strip = replace(draft.piece("Neck binding"), name="<b>")
    only = replace(plan, drafts=(replace(draft, pieces=(strip,)),))
    assert _texts(_drawing(only)) == ["<b>"]
    assert cover_of(replace(plan, drafts=())) == ""
