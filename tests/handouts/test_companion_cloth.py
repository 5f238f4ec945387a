"""Every size is told its own length of a cloth, or why the cloth will not do and what would."""

import re
from html import unescape

import pytest

from tests.specimens import WREN
from webapp.cloth.laid import WayOfLaying
from webapp.draft.standard_sizes import STANDARD_CHARTS
from webapp.handouts.companion import companion_html, companion_of
from webapp.handouts.companion_cloth import rounded_up
from webapp.handouts.companion_view import SizesToBuy
from webapp.plan.edits import changed, in_size, with_sizes
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.starters import episode_from
from webapp.store.starters import starters
from webapp.units import parse_length


def skirt(width: str = "140 cm", laid: WayOfLaying = "folded") -> Episode:
    """The half-circle skirt in S to XL on cloth that runs one way, its back band cut double.

    Of a band that is cut once the half would lie on the fold, and find room.
    """
    recipe = next(one for one in starters() if one.id == "half-circle-skirt")
    double = (
        changed(piece, cut_count=2) if piece.name == "Back band" else piece
        for piece in recipe.pieces
    )
    recipe = changed(recipe, pieces=tuple(double))
    episode = episode_from(recipe, "A skirt", "skirt")
    cloth = changed(episode.cloths[0], width=width, laid=laid, one_way=True)
    episode = changed(episode, body=changed(WREN, name="Wren"), cloths=(cloth,))
    return with_sizes(episode, STANDARD_CHARTS["women"], ["S", "M", "L", "XL"], rest_of_body=True)


def rows(episode: Episode) -> dict[str, SizesToBuy]:
    (cloth,) = companion_of(evaluate(episode)).cloths
    return {name: row for row in cloth.purchases for name in row.sizes}


def shown(episode: Episode) -> str:
    plain = re.sub(r"<[^>]+>", " ", companion_html(evaluate(episode)))
    return " ".join(unescape(plain).split())


def test_every_size_is_named_with_its_length_or_the_reason() -> None:
    episode = skirt()
    found = rows(episode)
    assert set(found) == {"Wren", "S", "M", "L", "XL"}
    failing = {size.body.name for size in evaluate(episode).sizes if size.lays[0].problem}
    assert failing and failing < set(found)
    for name, row in found.items():
        assert bool(row.why) == (name in failing)
        assert row.buy or name == "XL"
    assert found["L"].why.startswith("Opened out in one layer. Folded lengthwise, Back band is ")
    assert found["XL"].why.startswith("This cloth is too narrow even opened out: Skirt front is ")


def test_a_size_opened_out_buys_what_the_cloth_laid_open_takes() -> None:
    """The same lays as of an episode whose cloth is opened out for all."""
    opened = rows(skirt(laid="open"))
    for name, row in rows(skirt()).items():
        if row.why and row.buy:
            assert name == "L"
            there = opened[name].buy
            assert there and (row.buy.metres, row.buy.yards) == (there.metres, there.yards)


def test_the_width_that_would_do_does_and_a_centimetre_less_does_not() -> None:
    for size, how in (("L", "takes a cloth at least"), ("XL", "A cloth at least")):
        (least,) = re.findall(rf"{how} ([\d.]+ cm)", rows(skirt())[size].why)
        less = f"{parse_length(least, None).mm - 10:g} mm"
        enough, short = (rows(skirt(width=width))[size] for width in (least, less))
        assert enough.buy
        assert bool(enough.why) == (size == "XL")  # opened out
        assert short.why
        assert bool(short.buy) == (size == "L")


def test_the_sheet_of_a_size_tells_its_own_length_and_draws_its_own_lay() -> None:
    episode = in_size(skirt(), "L")
    sheet = companion_of(evaluate(episode))
    (cloth,) = sheet.cloths
    assert not any("How much" in missing for missing in sheet.still_to_come)
    assert (cloth.width_mm, cloth.one_way, cloth.laid) == (1400.0, True, "open")
    assert cloth.drawing and "lay it in one layer" in " ".join(sheet.laying)
    text = shown(episode)
    (own,) = (row for row in cloth.purchases if "L" in row.sizes)
    assert own.buy
    assert "size L, opened out" in text
    assert "Width 140 cm" in text
    assert "lay every piece the same way up" in text
    assert not re.search(r"Buy \d", text)  # a length without a size would be taken for one's own


def test_a_cloth_too_narrow_in_any_way_names_the_width_that_would_do() -> None:
    episode = skirt(width="60 cm")
    for row in rows(episode).values():
        assert row.buy is None
        assert row.why.startswith("This cloth is too narrow even opened out: Skirt ")
        assert row.why.endswith(" wide would do, opened out.")
    assert "How much Main cloth to buy for Wren" in companion_of(evaluate(episode)).still_to_come


def test_a_length_that_serves_every_size_says_so() -> None:
    episode = skirt()
    alike = changed(episode, sizes=(changed(WREN, name="Wren's twin"),))
    assert re.search(r"Buy \d.{12,30} in every size", shown(alike))


def test_a_size_that_is_not_all_drawn_is_told_no_length() -> None:
    episode = skirt()
    first, *others = episode.sizes
    bare = changed(episode, sizes=(changed(first, measures={}), *others))
    row = rows(bare)["S"]
    assert (row.buy, row.sizes) == (None, ("S",))
    assert row.why.startswith("Still to come")


@pytest.mark.parametrize(
    ("mm", "told"), [(1500.0, "150 cm (59 1/8 in)"), (1500.1, "150.5 cm (59 1/8 in)")]
)
def test_a_width_that_would_do_is_rounded_up_in_both_units(mm: float, told: str) -> None:
    """1500 / 25.4 = 59.055."""
    assert rounded_up(mm, "cm") == told
