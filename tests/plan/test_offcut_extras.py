"""What is left of the cloth bought, and an extra that is laid in it."""

import pickle

import pytest

from tests.lays import assert_holds
from tests.specimens import starter
from webapp.cloth.cloths import EpisodeCloth
from webapp.cloth.laid import Cloth
from webapp.cloth.offcuts import Offcut
from webapp.draft.recipe import Recipe
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.leftovers import Fit
from webapp.plan.offcut_extras import (
    Candidate,
    Leftover,
    Looked,
    cloth_there_mm,
    in_runs,
    lay_with_extra,
    look,
    not_in,
    offcuts_of,
    with_extra,
)

CLOTH = EpisodeCloth(name="Linen", width="100 cm", edge_margin="0 cm", shrinks_along=4)


def recipe_of(id: str, width: str, length: str, cloth: str = "Linen", **piece: object) -> Recipe:
    """A recipe of one rectangle without allowances."""
    move = {"kind": "rectangle", "width": width, "length": length}
    panel = {"name": "Panel", "moves": [move], "cloth": cloth, **piece}
    made = {"id": id, "name": id.capitalize(), "seam_allowance": "0 cm", "pieces": [panel]}
    return Recipe.model_validate(made)


@pytest.fixture
def episode() -> Episode:
    """A panel of 60 by 100 cm on cloth 100 cm wide: 40 cm are free beside it."""
    curtain = recipe_of("curtain", "60 cm", "100 cm")
    return Episode(id="one", title="One", garments=(curtain,), cloths=(CLOTH,))


HOLDERS = recipe_of("holders", "20 cm", "30 cm", "Main cloth", cut_count=4, pair=True)


def fit_of(episode: Episode, recipe: Recipe) -> Fit:
    (lay,) = evaluate(episode).lays
    assert lay.lay is not None
    offered = (Candidate("own", recipe),)
    leftover = Leftover(offcuts_of(lay), lay.lay.cloth, (episode.body,), offered)
    told: list[str] = []
    looked: Looked = pickle.loads(
        pickle.dumps(look(told.append, pickle.loads(pickle.dumps(leftover))))
    )
    (possible,) = looked.found
    assert [one.fits for one in looked.tried] == [True]
    assert told == [f"Trying {recipe.name}, 1 of 1"]
    assert possible.key == "own"
    return possible.extra.fits[0]


def test_the_cloth_there_is_the_lesser_of_metres_and_yards_washed_and_squared(
    episode: Episode,
) -> None:
    """1000 mm of lay and 20 of squaring-up, over 0.96: 1062.5 mm; so 1.1 m, and 1 1/4 yd, which is
    1143 mm. The lesser, 1100 mm, is 1056 once it has shrunk, 1036 once it is squared."""
    (lay,) = evaluate(episode).lays
    assert lay.purchase is not None
    assert (lay.purchase.metres, lay.purchase.yards) == ("1.1 m", "1 1/4 yd")
    assert cloth_there_mm(lay) == pytest.approx(1036)
    assert [(o.x_mm, o.y_mm, o.width_mm, o.length_mm) for o in offcuts_of(lay)] == [
        pytest.approx((600, 0, 400, 1036))
    ]


def test_an_added_extra_lies_in_the_offcuts_and_needs_no_more_cloth(episode: Episode) -> None:
    fit = fit_of(episode, HOLDERS)
    more = with_extra(episode, HOLDERS, "Linen")
    assert [cloth.name for cloth in more.cloths] == ["Linen"]
    garment = more.garments[-1]
    assert [piece.name for piece in garment.pieces] == ["Panel B"]  # there is a Panel already
    (before,), (after,) = evaluate(episode).lays, evaluate(more).lays
    lay = lay_with_extra(before, fit, HOLDERS, after, garment)
    assert lay is not None
    assert_holds(lay, after.pieces)
    assert lay.length_mm == pytest.approx(1000)
    hands = [(place.copy, place.flipped) for place in lay.placements if place.name == "Panel B"]
    assert sorted(hands) == [(0, False), (1, True), (2, False), (3, True)]


def test_two_layers_have_no_lay_of_single_cuts(episode: Episode) -> None:
    folded = changed(episode, cloths=(changed(CLOTH, laid="folded across", width="140 cm"),))
    fit = fit_of(folded, HOLDERS)
    more = with_extra(folded, HOLDERS, "Linen")
    (before,), (after,) = evaluate(folded).lays, evaluate(more).lays
    assert lay_with_extra(before, fit, HOLDERS, after, more.garments[-1]) is None


def test_a_lay_that_lacks_a_piece_is_none(episode: Episode) -> None:
    """The facing comes from the same cloth in the episode, but was not laid in the offcuts."""
    facing = changed(HOLDERS.pieces[0], name="Facing", cloth="Linen")
    faced = changed(HOLDERS, pieces=(*HOLDERS.pieces, facing))
    fit = fit_of(episode, faced)
    more = with_extra(episode, faced, "Linen")
    (before,), (after,) = evaluate(episode).lays, evaluate(more).lays
    assert lay_with_extra(before, fit, faced, after, more.garments[-1]) is None


def test_only_the_main_pieces_come_from_the_offcuts_cloth(episode: Episode) -> None:
    hat = starter("ear-flap-hat")
    more = with_extra(episode, hat, "Linen")
    main = hat.pieces[0].cloth
    others = [piece.cloth for piece in hat.pieces if piece.cloth != main]
    assert others
    assert [piece.cloth for piece in more.garments[-1].pieces] == [
        "Linen" if piece.cloth == main else piece.cloth for piece in hat.pieces
    ]
    assert {cloth.name for cloth in more.cloths} == {"Linen", *others}


def test_what_is_a_garment_already_is_not_tried(episode: Episode) -> None:
    curtain = recipe_of("own-curtain", "10 cm", "10 cm")
    offered = (
        Candidate("curtain", changed(curtain, name="CURTAIN")),
        Candidate("holders", HOLDERS),
    )
    assert [one.key for one in not_in(episode, offered)] == ["holders"]


def test_the_key_changes_with_all_that_the_answer_depends_on(episode: Episode) -> None:
    offcut, wider = Offcut(0, 0, 300, 400), Offcut(0, 0, 300.5, 400)
    body = episode.body
    offered, other = (Candidate("own", HOLDERS),), recipe_of("own", "1 cm", "1 cm")
    all_of_them = [
        Leftover((offcut,), Cloth(1000), (body,), offered),
        Leftover((wider,), Cloth(1000), (body,), offered),
        Leftover((offcut,), Cloth(1000, one_way=True), (body,), offered),
        Leftover((offcut,), Cloth(1000), (changed(body, measures={"head": "56 cm"}),), offered),
        Leftover((offcut,), Cloth(1000), (body,), (Candidate("own", other),)),
        Leftover((offcut,), Cloth(1000), (body,), ()),
    ]  # fmt: skip
    assert len({one.key for one in all_of_them}) == len(all_of_them)
    assert all_of_them[0].key == Leftover((offcut,), Cloth(2000), (body,), offered).key


@pytest.mark.parametrize(
    ("taken", "runs"),
    [
        ({"S": 1, "M": 1, "L": 1}, [("S", "M", "L")]),
        ({"S": 1, "L": 1}, [("S",), ("L",)]),
        ({"S": 1, "M": 2, "L": 2}, [("S",), ("M", "L")]),
        ({}, []),
    ],
)
def test_sizes_run_on_while_they_follow_each_other_and_take_the_same(
    taken: dict[str, int], runs: list[tuple[str, ...]]
) -> None:
    class _Taking(Fit):
        @property
        def offcuts(self) -> tuple[int, ...]:
            return (taken[self.size],)

    fits = [_Taking(size, ()) for size in taken]
    assert list(in_runs(fits, ["XS", "S", "M", "L", "XL"])) == runs
