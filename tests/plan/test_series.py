"""What a series shares: copies that stay as they are until she takes the new figures."""

import pytest

from tests.demo_documents import EPISODES, SKIRT, SMOCK
from webapp.cloth.cloths import EpisodeCloth
from webapp.draft.recipe import Body
from webapp.plan.edits import changed
from webapp.plan.series import (
    KeptBody,
    KeptCloth,
    differences,
    kept_anew,
    kept_as_before,
    next_number,
    of_the_series,
    priced_for,
    series_key,
    standing,
    with_body_of_series,
    with_cloth_of_series,
)

MARA = Body(name="Mara", measures={"bust": "92 cm", "hip": "98 cm"})
GROWN = changed(MARA, measures={"bust": "94 cm", "hip": "98 cm"})


def test_a_copy_is_older_once_the_series_has_moved_on_and_otherwise_when_it_has_itself() -> None:
    kept = kept_anew(KeptBody(series="Wardrobe", one=MARA), GROWN)
    assert standing(kept, GROWN) == "same"
    assert standing(kept, MARA) == "older"
    assert standing(kept, changed(MARA, measures={"bust": "99 cm"})) == "otherwise"
    assert kept_as_before(kept) == KeptBody(series="Wardrobe", one=MARA, before=(GROWN,))
    assert kept_as_before(kept_as_before(kept)) == kept  # pressed twice, nothing is lost


def test_keeping_what_is_kept_changes_nothing() -> None:
    kept = KeptBody(series="Wardrobe", one=MARA)
    assert kept_anew(kept, MARA) is kept
    assert kept_as_before(kept) is kept


def test_differences_are_told_in_both_units() -> None:
    # 92 / 2.54 = 36.22 in and 94 / 2.54 = 37.01 in: the nearest 1/16 are 36 1/4 and 37.
    (found,) = differences(KeptBody(series="Wardrobe", one=GROWN), MARA, "in")
    assert (found.what, found.here, found.there) == ("bust", "36 1/4 in (92 cm)", "37 in (94 cm)")


def test_how_a_cloth_is_laid_stays_the_episodes_own() -> None:
    linen = EpisodeCloth(name="Linen", width="150 cm", laid="folded", have="3 m", spare="all")
    kept = KeptCloth(series="Wardrobe", one=of_the_series(linen))
    assert (kept.one.laid, kept.one.have, kept.one.spare) == ("open", "", "none")
    assert standing(kept, linen) == "same"
    narrower = changed(linen, width="140 cm")
    assert [one.what for one in differences(kept, narrower, "cm")] == ["width"]


def test_a_cloth_taken_over_keeps_its_pieces_and_its_way_of_laying() -> None:
    episode = EPISODES[SMOCK]
    first = episode.cloths[0]
    one = EpisodeCloth(name="Sea linen", width="140 cm", price="12")
    taken = with_cloth_of_series(episode, KeptCloth(series="Wardrobe", one=one), 0)
    new = taken.cloths[0]
    assert (new.name, new.width, new.price) == ("Sea linen", "140 cm", "12")
    assert (new.laid, new.squaring, new.spare) == (first.laid, first.squaring, first.spare)
    cut = {piece.cloth for garment in taken.garments for piece in garment.pieces}
    assert "Sea linen" in cut
    assert first.name not in cut


def test_a_body_taken_over_leaves_the_sizes() -> None:
    taken = with_body_of_series(EPISODES[SMOCK], KeptBody(series="Wardrobe", one=GROWN))
    assert taken.body == GROWN
    assert taken.sizes == EPISODES[SMOCK].sizes


def test_the_next_number_follows_the_highest_of_that_series() -> None:
    episodes = (EPISODES[SMOCK], EPISODES[SKIRT])
    assert next_number(episodes, " small  WARDROBE ") == 5
    assert next_number(episodes, "Another") is None


@pytest.mark.parametrize("name", ["Small  Wardrobe ", "SMALL wardrobe"])
def test_capitals_and_spaces_make_no_series_of_their_own(name: str) -> None:
    assert series_key(name) == "small wardrobe"


def test_a_price_in_another_currency_stays_behind() -> None:
    episode = EPISODES[SMOCK]
    own = episode.cloths[0]
    one = changed(of_the_series(own), price="30", width="120 cm")
    kept = KeptCloth(series="Wardrobe", one=one, currency="USD")
    assert episode.currency == "EUR"
    here = priced_for(kept, own, episode.currency)
    assert [each.what for each in differences(here, own, "cm")] == ["width"]
    taken = with_cloth_of_series(episode, kept, 0).cloths[0]
    assert (taken.price, taken.width) == (own.price, "120 cm")
    more = with_cloth_of_series(episode, changed(kept, one=changed(one, name="Linen")), None)
    assert (more.cloths[-1].price, more.cloths[-1].width) == ("", "120 cm")


def test_a_weight_is_told_in_both_units() -> None:
    heavy = EpisodeCloth(name="Canvas", weight="340 g/m2")
    (found,) = differences(KeptCloth(series="W", one=heavy), EpisodeCloth(name="Canvas"), "in")
    # 340 g/m2 / 33.906 = 10.03 oz/yd2
    assert (found.here, found.there) == ("none", "10.0 oz/yd² (340 g/m²)")
