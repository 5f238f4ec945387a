"""The shopping list: what is bought, why, and what it comes to."""

from decimal import Decimal

import pytest

from webapp.cloth.cloths import EpisodeCloth
from webapp.draft.recipe import Notion, PieceRecipe, Recipe
from webapp.handouts.companion import companion_of
from webapp.plan.edits import changed, with_garment
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.shopping import Line, ShoppingList, not_bought, shopping
from webapp.plan.thread_and_needles import thread_of
from webapp.plan.thread_use import bought
from webapp.units import both, parse_length

GARMENT = "lighthouse-smock"


def _list(episode: Episode) -> ShoppingList:
    return shopping(evaluate(episode))


def _line(episode: Episode, what: str) -> Line:
    (line,) = [line for line in _list(episode).lines if line.what == what]
    return line


def _with_notion(episode: Episode, **fields: object) -> Episode:
    notion = Notion.model_validate({"name": "Tape", **fields})
    return changed(episode, notions=(notion,))


# --- Cloth -----------------------------------------------------------------------------------


def test_cloth_is_bought_as_its_lay_says(smock: Episode) -> None:
    plan = evaluate(smock)
    purchase = plan.lays[0].purchase
    assert purchase
    line = _line(smock, "Main cloth")
    assert line.amount.startswith(f"{purchase.metres} ({purchase.yards}), 150 cm (59 in) wide")
    assert "185 g/m² (5.5 oz/yd²)" in line.amount
    assert line.description == "Washed linen, medium weight, slate blue"
    assert line.description not in " ".join(line.why)
    assert "Front" in " ".join(line.why)


@pytest.mark.parametrize(("per", "unit_mm"), [("m", 1000.0), ("yd", 914.4)])
def test_cloth_costs_what_is_bought_in_the_unit_of_its_price(
    smock: Episode, per: str, unit_mm: float
) -> None:
    cloths = tuple(changed(cloth, price="10", price_per=per) for cloth in smock.cloths)
    purchase = evaluate(smock).lays[0].purchase
    assert purchase
    bought = parse_length(purchase.metres if per == "m" else purchase.yards, None).mm
    cost = _line(changed(smock, cloths=cloths), "Main cloth").cost
    assert cost == pytest.approx(Decimal(10 * bought / unit_mm), abs=Decimal("0.005"))


def test_a_cloth_that_cannot_be_laid_says_why(smock: Episode) -> None:
    cloths = (changed(smock.cloths[0], width="12 cm"), *smock.cloths[1:])
    line = _line(changed(smock, cloths=cloths), "Main cloth")
    assert line.problem
    assert (line.amount, line.cost) == ("", None)


def test_a_weight_that_cannot_be_read_is_left_out(smock: Episode) -> None:
    cloths = tuple(changed(cloth, weight="quite heavy") for cloth in smock.cloths)
    assert "g/m²" not in _line(changed(smock, cloths=cloths), "Main cloth").amount


def test_interfacing_cut_by_a_piece_of_the_garment_has_a_lay_of_its_own(smock: Episode) -> None:
    """The pocket once more from another cloth: laid and bought by itself, as wide as that is."""
    stiff = PieceRecipe.model_validate(
        {
            "name": "Pocket interfacing",
            "moves": [{"kind": "copy", "of": "Pocket"}],
            "cut_count": 2,
            "cloth": "Interfacing",
        }
    )

    def edit(recipe: Recipe) -> Recipe:
        return changed(recipe, pieces=(*recipe.pieces, stiff))

    cloth = EpisodeCloth(name="Interfacing", width="90 cm", price="6")
    before = evaluate(smock)
    plan = evaluate(with_garment(changed(smock, cloths=(*smock.cloths, cloth)), GARMENT, edit))
    lay = plan.lays[-1]
    assert (lay.cloth.name, lay.problem) == ("Interfacing", "")
    assert [(piece.name, piece.count) for piece in lay.pieces] == [("Pocket interfacing", 2)]
    assert lay.lay
    assert lay.lay.cloth.width_mm == 900
    line = next(line for line in shopping(plan).lines if line.what == "Interfacing")
    assert line.cost
    main = before.lays[0].purchase
    assert main
    assert plan.lays[0].purchase == main  # nothing of it is laid on the main cloth


# --- Thread and needles ----------------------------------------------------------------------


def test_thread_of_its_kind_is_worked_out_and_costs_its_spools(smock: Episode) -> None:
    """One spool for the sewing machine and three for the overlocker, at 3.20 each."""
    line = _line(smock, "Sewing thread")
    feeds = thread_of(evaluate(smock)).feeds
    assert [feed.spools for feed in feeds] == [1, 3]
    assert line.amount.startswith("1 spool of 100 m (109 yd) for the sewing machine and hand, ")
    assert f"; 3 more for the overlocker, {bought(feeds[1].total_mm, 'cm')}" in line.amount
    assert (line.worked_out, line.cost) == ("", Decimal("12.80"))
    assert line.why[0].startswith("The colour of the linen.")


@pytest.mark.parametrize(("kind", "of_needles"), [("thread", "needles"), ("other", "other")])
def test_an_amount_of_her_own_stands_and_the_worked_out_one_beside_it(
    smock: Episode, kind: str, of_needles: str
) -> None:
    own = {"name": "Sewing thread", "kind": kind, "amount": "Two reels", "count": 2, "price": "3"}
    line = _line(_with_notion(smock, **own), "Sewing thread")
    assert (line.amount, line.cost) == ("Two reels", Decimal("6.00"))
    assert line.worked_out == _line(smock, "Sewing thread").amount
    needles = {"name": "Needles", "kind": of_needles, "amount": "Two, universal"}
    line = _line(_with_notion(smock, **needles), "Needles")
    assert (line.amount, line.worked_out) == (
        "Two, universal",
        "80/12, universal, for 185 g/m² (5.5 oz/yd²)",
    )


def test_thread_of_nothing_sewn_and_needles_of_no_cloth_say_what_they_want() -> None:
    kinds = (Notion(name="Thread", kind="thread"), Notion(name="Needles", kind="needles"))
    episode = Episode(id="e", title="E", notions=kinds, cloths=())
    assert [one.problem[:24] for one in evaluate(episode).notions] == [
        "Say which seams and edge",
        "List a cloth, and the ne",
    ]
    typed = tuple(changed(one, amount="Some") for one in kinds)
    plans = evaluate(changed(episode, notions=typed)).notions
    assert [(one.amount.plain, one.problem) for one in plans] == [("Some", "")] * 2


def test_thread_that_waits_for_a_measure_is_no_problem(smock: Episode) -> None:
    unmeasured = changed(smock, body=changed(smock.body, measures={}))
    (thread,) = [one for one in evaluate(unmeasured).notions if one.notion.kind == "thread"]
    assert (thread.waits, thread.amount.plain) == (True, "")


def test_the_companion_tells_what_the_list_tells(smock: Episode) -> None:
    told = {one.name: one.amount for one in companion_of(evaluate(smock)).notions}
    for name in ("Sewing thread", "Machine needles"):
        assert told[name] == _line(smock, name).amount


def test_without_a_line_of_hers_thread_and_needles_have_their_own(smock: Episode) -> None:
    found = _list(changed(smock, notions=()))
    names = [section.name for section in found.sections]
    assert names == ["Cloth", "Thread", "Needles"]
    (needles,) = found.sections[2].lines
    assert needles.amount == "80/12, universal, for 185 g/m² (5.5 oz/yd²)"
    assert needles.why[0].startswith("For Main cloth, 185 g/m² (5.5 oz/yd²). ")
    assert needles.why[1] == "For Binding cloth, 80 g/m² (2.4 oz/yd²), 70/10, universal."


def test_needles_for_hand_sewing_go_by_no_cloth(smock: Episode) -> None:
    assert "80/12" not in _line(smock, "Hand needle").worked_out
    assert "80/12" in _line(smock, "Machine needles").amount
    both_kinds = [one if one.kind != "needles" else changed(one, count=2) for one in smock.notions]
    amount = _line(changed(smock, notions=tuple(both_kinds)), "Machine needles").amount
    assert amount.startswith("2, 80/12, universal")


# --- Notions ---------------------------------------------------------------------------------


def test_elastic_is_worked_out_from_the_draft_and_its_price_by_the_length(smock: Episode) -> None:
    """Half of a bust of 92 cm and 2.5 cm: 48.5 cm, so 0.5 m at 2.00."""
    assert smock.body.measures["bust"] == "92 cm"
    tape = {"kind": "elastic", "length": "bust / 2", "width": "12 mm", "price": "2"}
    line = _line(_with_notion(smock, **tape), "Tape")
    assert line.amount == "0.5 m (5/8 yd), 1.2 cm (1/2 in) wide"
    assert both(485, "cm") in line.why[0]
    assert line.cost == Decimal("1.00")


def test_what_the_maker_writes_stands_before_what_is_worked_out(smock: Episode) -> None:
    tape = {"kind": "zip", "length": "17.9 cm", "amount": "A red one", "why": "It shows."}
    line = _line(_with_notion(smock, **tape), "Tape")
    assert (line.amount, line.why[0]) == ("A red one", "It shows.")
    assert line.worked_out == "1, 18 cm long (or 8 in, as they are sold)"


def test_buttons_cost_so_many_times_one(smock: Episode) -> None:
    tape = {"kind": "buttons", "length": "18 mm", "count": 7, "price": "0.35"}
    assert _line(_with_notion(smock, **tape), "Tape").cost == Decimal("2.45")


def test_binding_names_the_cloths_it_can_be_cut_from(smock: Episode) -> None:
    tape = {"kind": "binding", "length": "Neck binding.join", "width": "4 cm"}
    why = " ".join(_line(_with_notion(smock, **tape), "Tape").why)
    assert "From Main cloth:" in why
    assert "From Binding cloth:" in why


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"kind": "elastic"}, "Say how long it is once it is sewn in"),
        ({"kind": "binding", "length": "1 m"}, "Say how wide it is cut"),
        ({"kind": "zip", "length": "-3 cm"}, "must be more than nothing"),
        ({"kind": "zip", "length": "bst / 2"}, "There is no figure called “bst”"),
        ({"kind": "zip", "length": "3"}, "is a number without a unit"),
    ],
)
def test_what_cannot_be_worked_out_says_why_and_is_a_loose_thread(
    smock: Episode, fields: dict[str, str], sentence: str
) -> None:
    episode = _with_notion(smock, price="2", **fields)
    assert sentence in _line(episode, "Tape").problem
    threads = [one for one in evaluate(episode).loose_threads if one.page == "shopping"]
    assert [sentence in one.sentence for one in threads] == [True]


def test_what_waits_for_a_measure_is_no_loose_thread(smock: Episode) -> None:
    measures = {name: mm for name, mm in smock.body.measures.items() if name != "head"}
    episode = _with_notion(smock, kind="elastic", length="head")
    episode = changed(episode, body=changed(smock.body, measures=measures))
    (notion,) = evaluate(episode).notions
    assert notion.waits
    assert not [one for one in evaluate(episode).loose_threads if one.page == "shopping"]


def test_an_amount_that_is_worked_out_stands_in_for_an_empty_one(smock: Episode) -> None:
    (notion,) = evaluate(_with_notion(smock, kind="elastic", length="20 cm")).notions
    assert notion.amount.plain == "0.3 m (1/4 yd)"


# --- The whole list --------------------------------------------------------------------------


def test_the_total_speaks_only_of_what_has_a_price(smock: Episode) -> None:
    found = _list(changed(smock, notions=(*smock.notions, Notion(name="Ribbon"))))
    priced = [line.cost for line in found.lines if line.cost is not None]
    assert len(priced) + len(found.unpriced) == len(found.to_buy)
    assert f"{sum(priced)}" in found.total
    assert found.total_words == (
        f"{found.total} for what has a price: {len(priced)} of {len(found.to_buy)} lines."
    )


def test_a_list_with_every_price_says_so_and_one_with_none_too(smock: Episode) -> None:
    none = changed(
        smock,
        notions=(),
        cloths=tuple(changed(cloth, price="") for cloth in smock.cloths),
    )
    assert _list(none).total_words == "Nothing on the list has a price yet."
    button = Notion(name="Button", price="0.35")
    alone = Episode(id="e", title="E", notions=(button,), currency="GBP")
    assert _list(alone).total_words == "£0.35 for all of it."


def test_what_is_bought_is_ticked_by_its_key(smock: Episode) -> None:
    keys = [line.key for line in _list(smock).lines]
    assert len(set(keys)) == len(keys)
    found = _list(changed(smock, bought=(keys[0], keys[-1], "something gone")))
    assert [line.key for line in found.lines if line.bought] == [keys[0], keys[-1]]


def test_two_notions_of_one_name_are_ticked_apart() -> None:
    twice = (Notion(name="Zip"), Notion(name="zip"))
    keys = [line.key for line in _list(Episode(id="e", title="E", notions=twice)).lines]
    assert keys == ["notion zip", "notion zip 2"]


def test_an_episode_that_is_only_a_brief_has_an_empty_list() -> None:
    assert _list(Episode(id="e", title="E")).lines == ()


def test_what_is_cut_from_the_cloth_or_at_hand_is_not_bought_for_the_garment(
    smock: Episode,
) -> None:
    """By the demo: its neck binding is a piece of the lawn, and pins are there anyway."""
    found = _list(smock)
    apart = {
        one.name: [line.what for line in one.lines] for one in found.sections if not one.to_buy
    }
    assert apart == {
        "Cut from your cloth": ["Bias strip for the neck"],
        "Have at hand": ["Hand needle", "Tailor's chalk", "Pins", "Broad hanger"],
    }
    bought = [line.what for line in found.to_buy]
    assert bought == ["Main cloth", "Binding cloth", "Sewing thread", "Machine needles", "Bobbins"]
    assert [line.what for line in not_bought(evaluate(smock))] == bought
    strip = _line(smock, "Bias strip for the neck")
    assert (strip.worked_out, strip.cost) == ("", None)
    assert strip.why[-1] == "It is cut from Binding cloth, which is bought above."


@pytest.mark.parametrize(
    ("name", "is_there"),
    [
        ("Pins, chalk and a ruler", True),
        ("Fine pins (glass heads)", True),
        ("Thimble for the buttons", True),
        ("Hanger loop", False),
        ("Iron on patch", False),
        ("Pins and a zip", False),
    ],
)
def test_a_thing_is_at_hand_by_what_it_is_not_by_any_word_of_its_name(
    smock: Episode, name: str, *, is_there: bool
) -> None:
    bought = [line.what for line in _list(_with_notion(smock, name=name)).to_buy]
    assert (name not in bought) == is_there


def test_a_tool_with_a_price_is_bought(smock: Episode) -> None:
    priced = _with_notion(smock, name="Pins with flat heads", price="4")
    assert "Pins with flat heads" in [line.what for line in _list(priced).to_buy]
