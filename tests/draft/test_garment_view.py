"""The garment drawn from the front and from the back, measured against the pieces it is made of.

Measured with shapely on what is seen; the lengths it must agree with are the draft's figures.
"""

from functools import cache
from typing import Final

import pytest
import shapely

from tests.draft.test_starters_draft import BODIES
from tests.specimens import STARTERS, WREN, starter, with_choices
from webapp.draft.evaluate import evaluate
from webapp.draft.garment_view import GarmentView, Seen, not_seen, views_of
from webapp.draft.recipe import Body, Recipe
from webapp.draft.results import Draft

NAMES: Final = sorted(path.stem for path in STARTERS.glob("*.json"))
NEAR_MM: Final = 1.0  # curves are drawn as short straight lines

# What is seen of each starter, from each side, lowest first; linings, facings and bindings never.
SEEN: Final[dict[str, dict[Seen, set[str]]]] = {
    "a-line-skirt": {"front": {"Panel front"}, "back": {"Panel back"}},
    "bound-apron": {"flat": {"Apron", "Apron pocket", "Neck strap", "Waist tie"}},
    "drop-shoulder-smock": {"front": {"Front", "Sleeve"}, "back": {"Back", "Sleeve"}},
    "ear-flap-hat": {"both": {"Hat crown", "Hat band", "Ear flap"}},
    "elastic-waist-trousers": {
        "front": {"Trouser front"},
        "back": {"Trouser back", "Seat pocket"},
    },
    "envelope-cushion": {"front": {"Cushion front"}, "back": {"Upper back", "Lower back"}},
    "gathered-skirt": {
        "front": {"Gathered front", "Gathered band"},
        "back": {"Gathered back", "Gathered band"},
    },
    "half-circle-skirt": {
        "front": {"Skirt front", "Front band"},
        "back": {"Skirt back", "Back band"},
    },
    "lined-tote": {"both": {"Tote outer", "Tote handle"}},
    "open-front-jacket": {
        "front": {"Jacket front", "Jacket sleeve", "Jacket band", "Jacket pocket"},
        "back": {"Jacket back", "Jacket sleeve", "Jacket band"},
    },
    "tube-cowl": {"both": {"Cowl"}},
}


@cache
def draft_of(name: str, **values: str) -> Draft:
    """A starter on Wren."""
    return evaluate(with_choices(starter(name), **values), WREN)


@cache
def views(name: str, **values: str) -> tuple[GarmentView, ...]:
    """A starter from every side."""
    draft = draft_of(name, **values)
    return views_of(draft, draft.recipe.notions)


def view(name: str, side: str, **values: str) -> GarmentView:
    """A starter seen from one side."""
    (found,) = (one for one in views(name, **values) if one.side == side)
    return found


def area(seen: GarmentView, piece: str, *, inside: bool = False) -> shapely.Geometry:
    """What is seen of a piece."""
    whole = shapely.Polygon()
    for shape in seen.shapes:
        if shape.piece == piece and shape.inside == inside:
            for ring in shape.rings:
                whole = shapely.symmetric_difference(whole, shapely.Polygon(ring))
    assert not shapely.is_empty(whole), piece
    return whole


def outside(seen: GarmentView) -> shapely.Geometry:
    """The whole garment as far as its right side is seen."""
    return shapely.union_all([area(seen, piece) for piece in seen.pieces])


def width_at(shape: shapely.Geometry, y: float) -> float:
    """How wide a shape is there, gaps not counted."""
    left, _, right, _ = shapely.bounds(shape)
    row = shapely.LineString([(left - 1, y), (right + 1, y)])
    return float(shapely.intersection(shape, row).length)


def foot(shape: shapely.Geometry, up_mm: float = 0.2) -> float:
    """How wide a shape is at its lowest, or a little above."""
    return width_at(shape, float(shapely.bounds(shape)[3]) - up_mm)


def head(shape: shapely.Geometry, down_mm: float = 0.2) -> float:
    """How wide a shape is at its highest, or a little below."""
    return width_at(shape, float(shapely.bounds(shape)[1]) + down_mm)


def height(shape: shapely.Geometry) -> float:
    """From its highest point to its lowest."""
    _, top, _, bottom = shapely.bounds(shape)
    return float(bottom - top)


def near(mm: float, off_mm: float = NEAR_MM) -> float:
    """A length as it is compared."""
    return pytest.approx(mm, abs=off_mm)  # type: ignore[return-value]


# --- Every starter ---------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_each_side_shows_its_own_pieces_and_nothing_of_the_inside(name: str) -> None:
    draft = draft_of(name)
    assert {one.side: set(one.pieces) for one in views(name)} == SEEN[name]
    drawn = set().union(*SEEN[name].values())
    hidden = {"facing", "lining", "binding", "inside"}
    outer = {p.name for p in draft.pieces if not hidden & set(p.name.lower().split())}
    assert set(not_seen(draft, views(name))) == outer - drawn


@pytest.mark.parametrize("body", [BODIES[4], BODIES[6]], ids=lambda body: body.name)
@pytest.mark.parametrize("name", NAMES)
def test_every_size_shows_the_same_pieces(name: str, body: Body) -> None:
    recipe = starter(name)
    found = views_of(evaluate(recipe, body), recipe.notions)
    assert {one.side: set(one.pieces) for one in found} == SEEN[name]


@pytest.mark.parametrize("name", NAMES)
def test_what_lies_behind_is_hidden(name: str) -> None:
    for seen in views(name):
        keys = dict.fromkeys((shape.piece, shape.inside) for shape in seen.shapes)
        parts = [area(seen, piece, inside=inside) for piece, inside in keys]
        whole = shapely.union_all(parts)
        assert sum(part.area for part in parts) == pytest.approx(whole.area, rel=1e-3)
        lines = [stroke for stroke in seen.strokes if len(stroke.points) > 1]
        around = shapely.buffer(whole, 1.0)
        assert all(shapely.covers(around, shapely.LineString(one.points)) for one in lines)


@pytest.mark.parametrize("name", [name for name in NAMES if name != "bound-apron"])
def test_a_garment_drafted_by_halves_is_its_own_mirror_image(name: str) -> None:
    for seen in views(name):
        whole = outside(seen)
        left, _, right, _ = shapely.bounds(whole)
        turned = shapely.transform(whole, lambda at, x=left + right: at * (-1, 1) + (x, 0))
        assert float(shapely.hausdorff_distance(whole, turned)) < NEAR_MM


# --- Lengths ---------------------------------------------------------------------------------


def test_the_smock_is_as_wide_at_the_hem_as_its_front_and_its_back() -> None:
    draft = draft_of("drop-shoulder-smock")
    for side, name in (("front", "Front"), ("back", "Back")):
        hem = draft.piece(name).outline.edge("hem").length_mm
        assert foot(area(view("drop-shoulder-smock", side), name)) == near(2 * hem)


def test_half_of_each_sleeve_is_seen_as_long_as_it_is_cut() -> None:
    sleeve = draft_of("drop-shoulder-smock").piece("Sleeve")
    both = area(view("drop-shoulder-smock", "front"), "Sleeve")
    parts = list(shapely.get_parts(both))
    assert len(parts) == 2
    for part in parts:
        ring = shapely.get_coordinates(shapely.simplify(part, 1).exterior)
        sides = [shapely.LineString(ring[i : i + 2]).length for i in range(len(ring) - 1)]
        length = sleeve.figures_mm["length"]  # the fold from the shoulder to the cuff
        assert any(side == near(length) for side in sides)
        assert any(side == near(sleeve.outline.edge("cuff").length_mm / 2) for side in sides)


def test_the_back_of_the_neck_is_seen_through_the_neck_of_the_front_only() -> None:
    front = view("drop-shoulder-smock", "front")
    back = draft_of("drop-shoulder-smock").piece("Back")
    seen = area(front, "Back", inside=True)
    assert shapely.bounds(seen)[2] * 2 == near(2 * back.figures_mm["neck width"], 5)
    assert not any(shape.inside for shape in view("drop-shoulder-smock", "back").shapes)


def test_a_longer_draft_is_a_longer_drawing() -> None:
    short, long = (
        area(view("drop-shoulder-smock", "front", smock_length=length), "Front")
        for length in ("70 cm", "75 cm")
    )
    assert height(long) - height(short) == near(50, 0.1)
    assert foot(long) == near(foot(short), 0.1)


def test_darts_are_closed_at_the_waist() -> None:
    draft = draft_of("a-line-skirt")
    panel = area(view("a-line-skirt", "front"), "Panel front")
    left, _, right, _ = shapely.bounds(
        shapely.intersection(panel, shapely.box(-1000, -1000, 1000, panel.bounds[1] + 1))
    )
    assert right - left == near(2 * draft.piece("Panel front").outline.edge("top").sewn_mm, 5)
    hem = draft.piece("Panel front").outline.edge("hem")
    assert shapely.bounds(panel)[2] == near(max(x for x, _ in hem.points()))


def test_gathers_hang_from_a_band_as_wide_as_they_are_drawn_up_to() -> None:
    draft = draft_of("gathered-skirt")
    waist = draft.piece("Gathered front").outline.edge("waist")
    front = view("gathered-skirt", "front")
    assert foot(area(front, "Gathered band")) == near(2 * waist.sewn_mm)
    assert head(area(front, "Gathered front")) == near(2 * waist.sewn_mm, 3)
    assert foot(area(front, "Gathered front")) == near(2 * waist.length_mm)
    assert height(area(front, "Gathered band")) == near(
        draft.piece("Gathered band").figures_mm["width"]
    )
    assert any(stroke.kind == "gather" for stroke in front.strokes)


def test_elastic_draws_up_only_what_it_is_threaded_through() -> None:
    draft = draft_of("half-circle-skirt")
    front, back = (view("half-circle-skirt", side) for side in ("front", "back"))
    whole = 2 * draft.piece("Skirt front").outline.edge("waist").length_mm
    elastic = draft.names["elastic length"].value
    assert foot(area(front, "Front band")) == near(whole)
    assert foot(area(back, "Back band")) == near(elastic)
    assert not any(stroke.kind == "gather" for stroke in front.strokes)


def test_a_flare_hangs_in_folds_from_waist_to_hem_as_long_as_it_is_cut() -> None:
    skirt = draft_of("half-circle-skirt").piece("Skirt front")
    seen = area(view("half-circle-skirt", "front"), "Skirt front")
    assert height(seen) == near(skirt.outline.edge("side").length_mm)
    assert foot(seen, 60) < 2 * skirt.outline.edge("hem").length_mm * 0.8
    ring = shapely.get_coordinates(shapely.simplify(seen, 1))
    side = skirt.outline.edge("side").length_mm
    ends = [shapely.LineString(ring[i : i + 2]).length for i in range(len(ring) - 1)]
    assert any(end == near(side) for end in ends)


def test_trousers_have_two_legs_as_wide_as_their_hems() -> None:
    draft = draft_of("elastic-waist-trousers")
    for side, name in (("front", "Trouser front"), ("back", "Trouser back")):
        legs = area(view("elastic-waist-trousers", side), name)
        assert foot(legs) == near(2 * draft.piece(name).outline.edge("hem").length_mm)
        row = shapely.box(-2000, shapely.bounds(legs)[3] - 50, 2000, 3000)
        assert len(shapely.get_parts(shapely.intersection(legs, row))) == 2
    front = area(view("elastic-waist-trousers", "front"), "Trouser front")
    elastic = draft.names["elastic length"].value
    assert head(front, 1) == near(elastic / 2, 12)


def test_pockets_lie_where_the_piece_below_is_marked() -> None:
    for name, side, pocket in (
        ("open-front-jacket", "front", "Jacket pocket"),
        ("elastic-waist-trousers", "back", "Seat pocket"),
    ):
        own = draft_of(name).piece(pocket).outline.area_mm2
        assert area(view(name, side), pocket).area == pytest.approx(2 * own, rel=1e-3)
    apron = draft_of("bound-apron").piece("Apron pocket")
    assert area(view("bound-apron", "flat"), "Apron pocket").area == pytest.approx(
        apron.outline.area_mm2, rel=1e-3
    )


def test_the_bands_of_the_jacket_meet_and_leave_the_neck_open() -> None:
    front = view("open-front-jacket", "front")
    draft = draft_of("open-front-jacket")
    back = draft.piece("Jacket back").outline.edge("hem").length_mm
    assert foot(outside(front)) == near(2 * back)
    assert area(front, "Jacket back", inside=True).area > 0
    band = area(front, "Jacket band")
    assert foot(band) == near(2 * draft.piece("Jacket band").figures_mm["width"])


def test_a_bag_stands_on_its_boxed_corners() -> None:
    draft = draft_of("lined-tote")
    bag = area(view("lined-tote", "both"), "Tote outer")
    outer = draft.piece("Tote outer").outline
    assert foot(bag) == near(2 * outer.edge("base").length_mm)
    assert head(bag) == near(2 * outer.edge("top").length_mm)
    assert height(bag) == near(outer.edge("side").length_mm)


def test_a_loop_is_half_as_wide_as_it_is_round() -> None:
    cowl = draft_of("tube-cowl").piece("Cowl").outline
    seen = area(view("tube-cowl", "both"), "Cowl")
    left, _, right, _ = shapely.bounds(seen)
    assert right - left == near(cowl.edge("upper edge").length_mm / 2)
    assert width_at(shapely.transform(seen, lambda at: at[:, ::-1]), 0.0) == near(
        cowl.edge("right end").length_mm / 2
    )


def test_half_of_each_ear_flap_is_seen_under_the_band() -> None:
    flap = draft_of("ear-flap-hat").piece("Ear flap")
    hat = view("ear-flap-hat", "both")
    flaps = area(hat, "Ear flap")
    assert len(shapely.get_parts(flaps)) == 2
    assert flaps.area < flap.outline.area_mm2
    assert shapely.bounds(flaps)[3] - draft_of("ear-flap-hat").piece("Hat band").outline.edge(
        "right end"
    ).length_mm == near(flap.figures_mm["length"])


def test_the_upper_back_of_a_cushion_laps_over_the_lower() -> None:
    draft = draft_of("envelope-cushion")
    back = view("envelope-cushion", "back")
    whole = draft.piece("Cushion front").outline.area_mm2
    upper = draft.piece("Upper back").outline.area_mm2
    assert outside(back).area == pytest.approx(whole, rel=1e-4)
    assert area(back, "Upper back").area == pytest.approx(upper, rel=1e-4)


def test_loops_and_ties_are_as_long_as_they_are_cut() -> None:
    draft = draft_of("bound-apron")
    apron = view("bound-apron", "flat")
    tie, tie_width = (draft.piece("Waist tie").figures_mm[name] for name in ("length", "width"))
    assert area(apron, "Waist tie").area / 2 / tie_width == near(tie, 2)
    strap, wide = (draft.piece("Neck strap").figures_mm[name] for name in ("length", "width"))
    assert area(apron, "Neck strap").area / wide == near(strap, 0.04 * strap)


@pytest.mark.parametrize("name", [name for name in NAMES if name != "bound-apron"])
def test_every_line_has_its_mirror_image(name: str) -> None:
    for seen in views(name):
        lines = [stroke.points for stroke in seen.strokes if stroke.kind in {"seam", "edge"}]
        drawn = shapely.multilinestrings([shapely.LineString(points) for points in lines])
        left, _, right, _ = shapely.bounds(outside(seen))
        turned = shapely.transform(drawn, lambda at, x=left + right: at * (-1, 1) + (x, 0))
        assert float(shapely.hausdorff_distance(drawn, turned)) < 2 * NEAR_MM


# --- What cannot be put together -------------------------------------------------------------


def changed(name: str, **fields: object) -> Draft:
    """A starter with parts of its recipe replaced."""
    return evaluate(Recipe.model_validate(starter(name).model_dump() | fields), WREN)


@pytest.mark.parametrize("name", NAMES)
def test_a_draft_with_its_seams_gone_wrong_is_drawn_or_left_out_but_never_fails(name: str) -> None:
    recipe = starter(name).model_dump()
    seams = recipe["seams"]
    turned = [seam | {"turned": not seam["turned"]} for seam in seams]
    swapped = [
        seam | {"one": seam["other"], "other": other["one"]}
        for seam, other in zip(seams, seams[1:] + seams[:1], strict=True)
    ]
    for wrong in (turned, swapped, []):
        for seen in views_of(changed(name, seams=wrong)):
            left, top, right, bottom = seen.bounds_mm
            assert right - left < 5000
            assert bottom - top < 5000
    fewer = recipe["pieces"][1:]
    views_of(changed(name, pieces=fewer, seams=[]))


def test_without_pieces_there_is_no_view() -> None:
    assert views_of(changed("tube-cowl", pieces=[], seams=[])) == ()


def test_the_same_draft_gives_the_same_view() -> None:
    draft = draft_of("open-front-jacket")
    assert views_of(draft) == views_of(draft)
