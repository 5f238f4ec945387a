"""Loose threads about how the cloth lies: sizes it does not hold, words that disagree."""

import pytest

from tests.demo_documents import EPISODES, SMOCK
from tests.handouts.test_companion_cloth import skirt
from webapp.cloth.cloths import Spare
from webapp.cloth.laid import WayOfLaying
from webapp.plan import cloth_threads
from webapp.plan.cloth_edits import with_width
from webapp.plan.edits import changed, with_choice, with_step
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate


def _said(rule: object, episode: Episode) -> list[tuple[str, str, str]]:
    assert callable(rule)
    return [(one.severity, one.page, one.sentence) for one in rule(evaluate(episode))]


def _with(episode: Episode, step_id: str, **fields: object) -> Episode:
    return with_step(episode, step_id, lambda step: changed(step, **fields))


# --- Sizes -----------------------------------------------------------------------------------


def test_the_sizes_a_cloth_does_not_hold_are_named_once() -> None:
    """XL does not fit opened out either, so opening the cloth out is no advice."""
    told = _said(cloth_threads.sizes_the_cloth_does_not_hold, skirt())
    ((severity, page, sentence),) = told
    assert (severity, page) == ("should", "cloth")
    assert sentence == (
        "Sizes L and XL cannot be cut from Main cloth as it is laid, folded lengthwise: Back band "
        "is too wide. Choose a wider cloth."
    )
    threads = evaluate(skirt()).loose_threads
    assert not [one for one in threads if one.page == "sizes"]  # it is not told twice


def test_opening_the_cloth_out_is_advised_where_that_is_enough() -> None:
    episode = skirt()
    without_xl = changed(episode, sizes=tuple(b for b in episode.sizes if b.name != "XL"))
    ((_, _, sentence),) = _said(cloth_threads.sizes_the_cloth_does_not_hold, without_xl)
    assert sentence.startswith("Size L cannot be cut from Main cloth")
    assert sentence.endswith("Lay it opened out, or choose a wider cloth.")


def test_a_cloth_that_holds_every_size_is_no_thread() -> None:
    assert _said(cloth_threads.sizes_the_cloth_does_not_hold, skirt("160 cm")) == []


# --- Words -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("laid", "words", "found"),
    [
        ("folded", "Lay the cloth in one layer, right side up.", "one layer"),
        ("folded", "Chalk on a single layer.", "single layer"),
        ("open", "Fold the cloth along the grain.", "Fold the cloth"),
        ("open", "Chalk them on the folded cloth.", "on the folded cloth"),
        ("open", "Lay the cloth in one layer, right side up.", ""),
        ("folded", "Fold the cloth along the grain.", ""),
        ("folded", "Lay the cloth out as its lay shows.", ""),
    ],
)
def test_words_are_held_against_the_lay(laid: WayOfLaying, words: str, found: str) -> None:
    told = _said(
        cloth_threads.words_against_the_lay, _with(skirt(laid=laid), "skirt-chalk", words=words)
    )
    lies = "folded lengthwise" if laid == "folded" else "opened out"
    sentence = f"“Swing the arcs” says “{found}”, but the cloth of its pieces is laid {lies}."
    assert told == ([("should", "build", sentence)] if found else [])


def test_a_step_that_works_on_no_cloth_as_laid_may_say_what_it_likes() -> None:
    words = "Pin one layer of the waist to the band."
    episode = _with(skirt(), "skirt-level", words=words)
    episode = _with(episode, "skirt-chalk", words="Chalk the arcs.")
    assert _said(cloth_threads.words_against_the_lay, episode) == []


# --- Spares ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("spare", "is_there"), [("none", False), ("all", True)])
def test_a_second_piece_that_is_bought_is_not_denied(spare: Spare, *, is_there: bool) -> None:
    episode = skirt(laid="open")
    episode = changed(episode, cloths=(changed(episode.cloths[0], spare=spare),))
    text = "The length to buy holds no second Skirt front."
    told = _said(
        cloth_threads.spares_that_are_there, _with(episode, "skirt-cut", spare=text, one_way=True)
    )
    sentence = (
        "says “holds no second”, but Main cloth is bought long enough to cut Skirt front once more."
    )
    assert [one[2].split("” ", 1)[1] for one in told] == ([sentence] if is_there else [])


# --- Ways of laying --------------------------------------------------------------------------

WAYS = cloth_threads.ways_of_laying_not_worked_out


def test_a_table_of_ways_of_an_older_draft_is_a_thread_that_can_be_worked_off() -> None:
    smock = EPISODES[SMOCK]
    assert smock.kept_ways and _said(WAYS, smock) == []
    longer = with_choice(smock, smock.garments[0].id, "smock length", "75 cm")
    (thread,) = WAYS(evaluate(longer))
    assert thread.severity == "should" and thread.place.part == "ways"
    assert thread.sentence.startswith("The ways of laying Main cloth are of an older draft")
    assert thread.work is not None
    assert (thread.work.item, thread.work.words) == ("Main cloth", "Work them out again")
    assert thread in evaluate(longer).loose_threads
    nothing_kept = changed(longer, kept_ways=())
    assert _said(WAYS, nothing_kept) == []


def test_a_width_that_was_added_and_not_worked_out_is_a_thread() -> None:
    wider = with_width(EPISODES[SMOCK], 0, "44 in")
    ((_, page, sentence),) = _said(WAYS, wider)
    assert page == "cloth"
    assert sentence == "What to buy of Main cloth 112 cm (44 in) wide is not worked out yet."
    nothing_cut = changed(wider, garments=(), kept_ways=())
    assert _said(WAYS, nothing_cut) == []
