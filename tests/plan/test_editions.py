"""Editions of the companion: what each keeps, and what is different in the next."""

from collections.abc import Callable
from datetime import date

import pytest

from tests.demo_documents import EPISODES, SKIRT, SMOCK, each_episode
from webapp.draft.recipe import PieceRecipe
from webapp.errors import RecipeError
from webapp.plan.edge_names import with_edge_name
from webapp.plan.edition_threads import companion_is_outdated
from webapp.plan.editions import (
    EditionChange,
    changes_between,
    changes_since_last,
    edition_now,
    edition_state,
    figures_in,
    lays_key,
    with_edition,
)
from webapp.plan.edits import changed, changed_one, in_size, with_choice, with_measure, with_piece
from webapp.plan.episode import Edition, Episode, PrintedFigure
from webapp.plan.evaluate import evaluate
from webapp.plan.new_names import with_choice_name, with_piece_name
from webapp.plan.plan_json import plan_json
from webapp.plan.printed import printed_figures
from webapp.plan.results import Place, Plan
from webapp.plan.shown import Shown, in_each
from webapp.store.episode_file import from_text, to_text, write_episode
from webapp.units import both

DAY = date(2027, 1, 12)
GARMENT = "lighthouse-smock"
# In three sizes, so that a change costs no more lays than its test needs.
EPISODE = changed(EPISODES[SMOCK], sizes=EPISODES[SMOCK].sizes[2:4])


def numbered(episode: Episode, day: date = DAY) -> Episode:
    return with_edition(evaluate(episode), day)


@pytest.fixture(scope="module")
def first() -> Episode:
    """The smock whose companion is out as edition 1."""
    return numbered(EPISODE)


def told(changes: tuple[EditionChange, ...]) -> dict[str, tuple[str, str]]:
    return {one.what: one.told("cm") for one in changes if not one.sizes}


def shown(plan: Plan, what: str, size: str) -> Shown:
    now = edition_now(plan)
    figure = next(one for one in now.figures if one.what == what)
    at = now.sizes.index(size)
    return Shown(figure.cm[at], figure.inch[at])


# --- Numbering -------------------------------------------------------------------------------


def test_before_the_first_edition_the_sheet_is_a_draft_of_it() -> None:
    state = edition_state(evaluate(EPISODE))
    assert (state.number, state.is_draft, state.since, state.changes) == (1, True, None, ())
    assert state.told == "Draft of edition 1"
    assert state.last is None


def test_a_numbered_sheet_is_that_edition_until_a_figure_changes(first: Episode) -> None:
    state = edition_state(evaluate(first))
    assert (state.number, state.is_draft, state.changes) == (1, False, ())
    assert state.told == "Edition 1, 12 January 2027"
    longer = with_choice(first, GARMENT, "smock length", "74 cm")
    state = edition_state(evaluate(longer))
    assert (state.number, state.is_draft, state.since) == (2, True, 1)
    assert state.told == "Draft of edition 2"
    back = with_choice(longer, GARMENT, "smock length", "72 cm")
    assert edition_state(evaluate(back)).told == "Edition 1, 12 January 2027"


def test_three_editions_in_a_row_each_list_what_is_known_to_have_changed(first: Episode) -> None:
    """The smock is a rectangle of its length, 72 cm: 74 cm is 29 1/8 in, 4 mm more than 29 in."""
    second = numbered(with_choice(first, GARMENT, "smock length", "74 cm"))
    state = edition_state(evaluate(second))
    assert (state.number, state.is_draft, state.since) == (2, False, 1)
    changes = told(state.changes)
    old, new = both(720, "cm"), both(740, "cm")
    assert (old, new) == ("72 cm (28 3/8 in)", "74 cm (29 1/8 in)")
    for what in ("Front.length", "Back.length", "Length from the shoulder", "smock length"):
        assert changes[what] == (old, new)
    assert changes["Front.centre"] == (both(630, "cm"), both(650, "cm"))  # below a neck of 9 cm
    assert not {"Front.hem", "Front.arm", "Sleeve.length", "bust", "Pocket.width"} & changes.keys()

    third = numbered(with_choice(second, GARMENT, "pocket width", "19 cm"), date(2027, 2, 1))
    state = edition_state(evaluate(third))
    assert (state.number, state.since) == (3, 2)
    changes = told(state.changes)
    assert changes["Pocket.width"] == (both(180, "cm"), both(190, "cm"))
    assert all(what.startswith(("Pocket.", "Main cloth, to buy")) or "thread" in what.lower()
               or "length of the lay" in what for what in changes)  # fmt: skip
    assert third.editions[:2] == second.editions  # never altered


def test_nothing_changed_means_no_new_edition(first: Episode) -> None:
    with pytest.raises(RecipeError, match="shows what edition 1 shows, so no new edition"):
        numbered(first)
    with pytest.raises(RecipeError, match="no pieces yet"):
        numbered(Episode(id="bare", title="Bare"))


def test_the_figures_of_an_edition_are_kept_as_they_were(first: Episode) -> None:
    wide = with_choice(first, GARMENT, "body ease", "30 cm")
    assert wide.editions == first.editions
    assert from_text(to_text(wide)) == wide


def test_an_edition_that_lacks_a_size_is_refused() -> None:
    figure = PrintedFigure(what="Front.hem", by="size", cm=("36 cm",), inch=("14 1/8 in",))
    with pytest.raises(
        ValueError, match=r"Edition 2 does not tell “Front\.hem” once for each size"
    ):
        Edition(number=2, sizes=("S", "M"), figures=(figure,))


# --- What is no change -----------------------------------------------------------------------


def _narration(episode: Episode) -> Episode:
    shots = tuple(changed(shot, narration="Now cut {Front.hem} of it.") for shot in episode.shots)
    return changed(episode, shots=shots)


NO_CHANGES: list[Callable[[Episode], Episode]] = [
    _narration,
    lambda e: changed(e, first_unit="in"),
    lambda e: changed(e, title="The Smock"),
    lambda e: with_piece_name(e, GARMENT, "Front", "Front panel"),
    lambda e: with_choice_name(e, GARMENT, "smock length", "body length"),
    lambda e: with_edge_name(e, GARMENT, "Front", "hem", "bottom"),
    lambda e: changed(e, sizes=changed_one(e.sizes, "name", "M", lambda b: changed(b, name="38"))),
    lambda e: in_size(e, "L"),
]


@pytest.mark.parametrize("edit", NO_CHANGES)
def test_what_changes_no_figure_is_no_new_edition(
    first: Episode, edit: Callable[[Episode], Episode]
) -> None:
    after = edit(first)
    assert after != first
    plan = evaluate(after)
    assert changes_since_last(plan) == ()
    assert edition_state(plan).told == "Edition 1, 12 January 2027"


def test_with_inches_first_the_skirt_shows_the_same_figures() -> None:
    """Its notions are worked out in words that put the chosen unit first."""
    skirt = EPISODES[SKIRT]
    inches = changed(skirt, first_unit="in")
    assert printed_figures(evaluate(inches)) == printed_figures(evaluate(skirt))


def test_a_renamed_piece_is_called_by_its_new_name_in_what_changed(first: Episode) -> None:
    renamed = with_piece_name(first, GARMENT, "Front", "Front panel")
    longer = with_choice(renamed, GARMENT, "smock length", "74 cm")
    changes = told(edition_state(evaluate(longer)).changes)
    assert changes["Front panel.length"] == (both(720, "cm"), both(740, "cm"))
    assert not any(what.startswith("Front.") for what in changes)


# --- What is a change ------------------------------------------------------------------------


def test_a_size_or_a_piece_that_came_is_one_change(first: Episode) -> None:
    larger = changed(first.sizes[-1], name="Larger")
    sized = edition_state(evaluate(changed(first, sizes=(*first.sizes, larger)))).changes
    assert [(one.what, one.told("cm")) for one in sized] == [
        ("Size Larger", ("not in it", "in it"))
    ]
    two = changed(first, garments=first.garments[:1])
    gone = edition_state(evaluate(two)).changes
    assert ("Cowl", ("in it", "no longer in it")) in told(gone).items()
    assert not any(one.what.startswith("Cowl.") for one in gone)


def test_a_size_that_changed_is_told_for_that_size(first: Episode) -> None:
    wider = changed(
        first,
        sizes=changed_one(first.sizes, "name", "M", lambda b: with_measure(b, "head", "58 cm")),
    )
    plan = evaluate(wider)
    changes = edition_state(plan).changes
    assert {one.sizes for one in changes} == {("M",)}
    head = next(one for one in changes if one.what == "head")
    assert head.new == Shown("58 cm", "22 7/8 in")
    assert shown(plan, "head", "M") == head.new
    assert edition_state(plan).for_size("S").changes == tuple(o for o in changes if o.kind != "cut")
    cut = [one for one in edition_state(plan).for_size("M").changes if one.kind == "cut"]
    assert cut and all(one.sizes == () for one in cut)


def test_figures_that_changed_alike_in_several_sizes_are_told_together(first: Episode) -> None:
    wider = with_choice(first, GARMENT, "body ease", "30 cm")
    changes = edition_state(evaluate(wider)).changes
    girth = [one for one in changes if one.what == "Girth all round"]
    assert sum(len(one.sizes) for one in girth) == 1 + len(first.sizes)
    assert figures_in(changes) == len({one.what for one in changes}) < len(changes)


def test_a_double_fold_that_is_turned_once_is_told_with_its_edge(first: Episode) -> None:
    once = {"kind": "single fold hem", "allowance": "3 cm"}
    flat = with_piece(
        first, GARMENT, "Front", lambda p: changed(p, finishes={**p.finishes, "hem": once})
    )
    changes = told(edition_state(evaluate(flat)).changes)
    assert changes["Front.hem turn under"] == ("1 cm (3/8 in)", "no longer in it")
    assert changes["Front.hem allowance"] == ("2.5 cm (1 in)", "3 cm (1 3/16 in)")


# --- Lays ------------------------------------------------------------------------------------


def test_a_cloth_that_only_shrinks_more_is_found_by_asking_for_the_lays(first: Episode) -> None:
    assert lays_key(evaluate(first)) == first.editions[0].lays

    def squared(episode: Episode) -> Episode:
        cloths = tuple(changed(cloth, squaring="30 cm") for cloth in episode.cloths)
        return changed(episode, cloths=cloths)

    plan = evaluate(squared(first))
    assert lays_key(plan) != first.editions[0].lays
    bought = {one.what for one in changes_since_last(plan)}
    assert "Main cloth, to buy" in bought
    assert all("cloth" in what.lower() or "to buy" in what for what in bought)


def test_nothing_is_laid_to_see_that_nothing_changed(
    first: Episode, monkeypatch: pytest.MonkeyPatch
) -> None:
    def laid(*_: object) -> None:
        raise AssertionError("a lay was asked for")

    plan = evaluate(first)
    monkeypatch.setattr("webapp.plan.size_lays.quick", laid)
    assert changes_since_last(plan) == ()
    longer = evaluate(with_choice(first, GARMENT, "smock length", "74 cm"))
    assert changes_since_last(longer)


# --- What is kept ----------------------------------------------------------------------------


@each_episode
def test_every_figure_is_called_by_a_name_of_its_own(episode: Episode) -> None:
    figures = printed_figures(evaluate(episode))
    assert len({one.what for one in figures}) == len(figures)
    assert bool(figures) == bool(episode.garments)


def test_an_edition_takes_little_room_in_the_file(first: Episode) -> None:
    """Ten of them stay well below the 5 MB a file may have."""
    room = len(write_episode(first)) - len(write_episode(EPISODE))
    assert room < 100_000


def test_editions_of_other_bodies_are_compared_by_size(first: Episode) -> None:
    """Drawn for another size the sheet is the same edition, and tells the same figures by size."""
    longer = evaluate(with_choice(first, GARMENT, "smock length", "74 cm"))
    own = edition_state(longer)
    other = edition_state(evaluate(in_size(longer.episode, "L")))
    assert (other.number, other.is_draft) == (own.number, own.is_draft)
    assert changes_between(first.editions[0], edition_now(longer)) == own.changes
    missing = {one.what for one in own.changes} - {one.what for one in other.changes}
    bodily = {one.what for one in first.editions[0].figures if one.by == "body"}
    assert missing <= bodily


@pytest.mark.parametrize(
    ("text", "in_units"),
    [
        ("60 cm (23 3/4 in) long", ("60 cm long", "23 3/4 in long")),
        ("23 3/4 in (60 cm) long", ("60 cm long", "23 3/4 in long")),
        ("5.5 oz/yd² (185 g/m²)", ("185 g/m²", "5.5 oz/yd²")),
        ("0.4 m (1/2 yd), 2 of it", ("0.4 m, 2 of it", "1/2 yd, 2 of it")),
        ("Two, wound beforehand", ("Two, wound beforehand", "")),
        ("12 in of tape", ("12 in of tape", "")),
    ],
)
def test_a_text_is_told_in_each_unit(text: str, in_units: tuple[str, str]) -> None:
    assert in_each(text) == in_units


# --- Loose threads and plan.json -------------------------------------------------------------


def test_an_outdated_edition_is_loose_and_grave_when_viewers_cut_by_it(first: Episode) -> None:
    assert list(companion_is_outdated(evaluate(EPISODE))) == []
    assert list(companion_is_outdated(evaluate(first))) == []
    longer = with_choice(first, GARMENT, "smock length", "74 cm")
    (thread,) = companion_is_outdated(evaluate(longer))
    assert (thread.severity, thread.place) == ("must", Place("companion", item="edition"))
    assert thread.sentence == (
        "Edition 1 of the companion is out and figures of it have changed since, such as Front cut "
        "length: 77 cm (30 3/8 in), now 79 cm (31 1/8 in). Number a new edition."
    )
    assert list(companion_is_outdated(evaluate(numbered(longer)))) == []


def test_an_outdated_edition_that_nothing_is_cut_by_is_no_grave_thread(first: Episode) -> None:
    (notion, *others) = first.notions
    more = changed(first, notions=(changed(notion, amount="Five spools"), *others))
    (thread,) = companion_is_outdated(evaluate(more))
    assert thread.severity == "should"
    assert "have changed since, such as Sewing thread, how much" in thread.sentence


def test_plan_json_tells_the_editions(first: Episode) -> None:
    told = plan_json(evaluate(with_choice(first, GARMENT, "smock length", "74 cm")))
    figures = len(first.editions[0].figures)
    assert told["editions"] == [{"number": 1, "day": "2027-01-12", "figures": figures}]
    edition = told["edition"]
    assert (edition["number"], edition["draft"], edition["since"]) == (2, True, 1)
    assert {
        "what": "Front.length",
        "sizes": [],
        "old": {"cm": "72 cm", "inch": "28 3/8 in"},
        "new": {"cm": "74 cm", "inch": "29 1/8 in"},
    } in edition["changes"]


@pytest.mark.parametrize(
    ("cm", "inch", "told"),
    [
        ("36 cm", "14 1/8 in", "36 cm (14 1/8 in)"),
        ("15 cm of tape", "6 in of tape", "15 cm (6 in) of tape"),
        ("1 m; 2 m more", "1 1/8 yd; 2 1/4 yd more", "1 m (1 1/8 yd); 2 m (2 1/4 yd) more"),
        ("2 needles", "", "2 needles"),
        ("one of 3 cm", "some", "one of 3 cm (some)"),
    ],
)
def test_each_length_of_a_text_stands_beside_its_own_pair(cm: str, inch: str, told: str) -> None:
    assert Shown(cm, inch).in_both("cm") == told


def test_a_changed_finish_is_told_in_words_and_what_is_called_alike_once() -> None:
    first = with_edition(evaluate(changed(EPISODES[SMOCK], sizes=(), other_cloths=())), None)

    def raw(piece: PieceRecipe) -> PieceRecipe:
        mouth = changed(piece.finishes["mouth"], kind="raw")
        return changed(piece, finishes={**piece.finishes, "mouth": mouth})

    other = with_piece(first, "lighthouse-smock", "Pocket", raw)
    other = with_choice(other, "lighthouse-smock", "front neck depth", "8 cm")
    changes = changes_between(first.editions[-1], edition_now(evaluate(other), with_lays=False))
    told = [(one.name.casefold(), one.told("cm")) for one in changes]
    assert ("pocket mouth finish", ("hem folded twice", "left raw, nothing added")) in told
    assert [name for name, _ in told].count("front neck depth") == 1


def test_an_edition_that_tells_no_finishes_is_not_flooded_with_them() -> None:
    plan = evaluate(changed(EPISODES[SKIRT], sizes=()))
    now = edition_now(plan, with_lays=False)
    before = tuple(one for one in now.figures if not one.what.endswith(" finish"))
    assert len(before) < len(now.figures)
    assert changes_between(now.model_copy(update={"figures": before}), now) == ()
