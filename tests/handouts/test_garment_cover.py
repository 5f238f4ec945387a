"""The cover's line drawing: to one scale, told in words, and the pieces where it cannot be made."""

import re
from dataclasses import replace
from html import unescape
from xml.etree import ElementTree

from webapp.handouts.garment_cover import cover_of
from webapp.plan.results import Plan
from webapp.units import both_as_cut

_SVG = "{http://www.w3.org/2000/svg}"


def _drawings(plan: Plan) -> list[ElementTree.Element]:
    found = re.findall("<svg.*?</svg>", str(cover_of(plan)))
    return [ElementTree.fromstring(drawing) for drawing in found]


def _names(plan: Plan) -> list[str]:
    return [unescape(name) for name in re.findall("table-cell[^>]*>([^<]*)<", str(cover_of(plan)))]


def _box(path: ElementTree.Element) -> tuple[float, float, float, float]:
    numbers = [float(number) for number in re.findall(r"-?[\d.]+", path.attrib["d"])]
    return min(numbers[::2]), min(numbers[1::2]), max(numbers[::2]), max(numbers[1::2])


def test_every_garment_stands_on_the_cover_from_both_sides(plan: Plan) -> None:
    smock, cowl = (draft.recipe.name for draft in plan.drafts)
    assert _names(plan) == [f"{smock}, front", f"{smock}, back", cowl]


def test_one_garment_needs_no_name(plan: Plan) -> None:
    assert _names(replace(plan, drafts=plan.drafts[:1])) == ["Front", "Back"]


def test_it_fits_the_cover_however_many_garments_there_are(plan: Plan) -> None:
    for drafts in (plan.drafts, plan.drafts[1:], plan.drafts * 4):
        drawings = _drawings(replace(plan, drafts=drafts))
        assert sum(float(one.attrib["height"].removesuffix("mm")) for one in drawings) <= 122
        for drawing in drawings:
            assert float(drawing.attrib["width"].removesuffix("mm")) <= 174
            _, _, right, bottom = map(float, drawing.attrib["viewBox"].split())
            for path in drawing.iter(f"{_SVG}path"):
                x0, y0, x1, y1 = _box(path)
                assert min(x0, y0) >= 0
                assert x1 <= right
                assert y1 <= bottom


def test_all_are_drawn_to_one_scale(plan: Plan) -> None:
    front, cowl = plan.drafts[0].piece("Front"), plan.drafts[1].piece("Cowl")
    boxes = [
        _box(path) for path in _drawings(plan)[0].iter(f"{_SVG}path") if "Z" in path.get("d", "")
    ]
    smock, loop = (
        2 * front.figures_mm["width"],
        cowl.outline.edge("upper edge").length_mm / 2,
    )
    scales = {round((x1 - x0) / smock, 4) for x0, _, x1, _ in boxes}
    assert scales & {round((x1 - x0) / loop, 4) for x0, _, x1, _ in boxes}


def test_the_names_stand_in_columns_as_wide_as_the_cover(plan: Plan) -> None:
    widths = [float(mm) for mm in re.findall(r"table-cell; width: ([\d.]+)mm", cover_of(plan))]
    assert abs(sum(widths) - 174) < 0.05
    assert all(width > 15 for width in widths)


def test_those_who_cannot_see_it_are_told_what_is_drawn(plan: Plan) -> None:
    words = _drawings(plan)[0].findtext(f"{_SVG}title") or ""
    smock = plan.drafts[0]
    assert f"{smock.recipe.name}, front: Front and Sleeve. Finished: " in words
    assert f"{smock.recipe.name}, back: Back and Sleeve." in words
    for name, mm in smock.finished_mm.items():
        assert words.count(f"{name} {both_as_cut(mm, plan.episode.first_unit)}") == 1


def test_a_piece_whose_place_is_not_marked_is_told_and_not_drawn(plan: Plan) -> None:
    assert cover_of(plan).endswith(
        '<p class="small quiet">Not in the drawing: Pocket; the steps tell where it goes.</p>'
    )


def test_a_piece_that_no_step_places_is_told_as_well(plan: Plan) -> None:
    assert "Pocket; the draft does not mark where it goes." in cover_of(replace(plan, steps=()))


def test_names_are_text_and_never_markup(plan: Plan) -> None:
    smock, cowl = plan.drafts
    odd = replace(cowl, recipe=cowl.recipe.model_copy(update={"name": "<b>עברית 🧵"}))
    assert _names(replace(plan, drafts=(smock, odd)))[-1] == "<b>עברית 🧵"


def test_pieces_that_cannot_be_put_together_lie_side_by_side(plan: Plan) -> None:
    draft = plan.drafts[0]
    strip = replace(draft.piece("Neck binding"), name="<b>")
    only = replace(plan, drafts=(replace(draft, pieces=(strip,)),))
    (drawing,) = _drawings(only)
    assert ["".join(text.itertext()) for text in drawing.iter(f"{_SVG}text")] == ["<b>"]
    assert cover_of(replace(plan, drafts=())) == ""
