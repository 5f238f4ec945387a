"""Each rule finds its own loose thread, and the demo smock has none."""

import inspect
import re
from collections.abc import Iterable
from dataclasses import replace

import pytest

from tests.plan.loosened import (
    GARMENT,
    Edit,
    found_by,
    with_first_shot_in,
    with_hem_of_the_front,
    with_impossible_size,
    with_narrow_cloth,
    with_new_step,
    with_notches_that_do_not_meet,
    with_piece_added,
    with_piece_of_unknown_cloth,
    with_seam_that_differs,
    with_shot,
    with_shots_reversed,
    with_slanting_pockets_from_folded_cloth,
    with_step_changed,
    with_target,
    without_head,
)
from webapp.draft.recipe import Choice, Notion, Recipe
from webapp.plan import (
    care_threads,
    cloth_at_hand,
    cloth_threads,
    date_threads,
    day_hour_threads,
    day_threads,
    draft_threads,
    edition_threads,
    look_threads,
    loose_threads,
    said_threads,
    screen_threads,
    step_threads,
    text_threads,
)
from webapp.plan.edits import changed, with_choice, with_garment, with_piece, with_step
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import NO_TIME, LooseThread

MODULES = (
    care_threads,
    cloth_at_hand,
    cloth_threads,
    date_threads,
    day_hour_threads,
    day_threads,
    draft_threads,
    edition_threads,
    look_threads,
    said_threads,
    screen_threads,
    step_threads,
    text_threads,
)


def test_the_demo_smock_holds_together(smock: Episode) -> None:
    assert evaluate(smock).loose_threads == ()


def test_every_rule_is_listed_once() -> None:
    rules = {
        name
        for module in MODULES
        for name, value in vars(module).items()
        if not name.startswith("_")
        and getattr(value, "__module__", "") == module.__name__
        and inspect.signature(value).return_annotation == Iterable[LooseThread]
    }
    assert sorted(rule.__name__ for rule in loose_threads.RULES) == sorted(rules)


CASES: list[tuple[loose_threads.Rule, Edit, str]] = [
    (loose_threads.draft_problems, without_head, "asks for the measure “head”"),
    (loose_threads.seams_that_differ, with_seam_that_differs, "odd seam: Front side is"),
    (
        loose_threads.notches_that_do_not_meet,
        with_notches_that_do_not_meet,
        "shoulder seams: the notch “middle” is 5 cm (1 15/16 in) from the neck on Front.shoulder "
        "and 6 cm (2 3/8 in) from the neck on Back.shoulder",
    ),
    (
        loose_threads.hems_that_do_not_meet,
        lambda e: with_hem_of_the_front(e, kind="single fold hem"),
        "The hem of Front is a single fold hem and that of Back a double fold hem, though they",
    ),
    (
        loose_threads.hems_that_do_not_meet,
        lambda e: with_hem_of_the_front(e, kind="double fold hem", allowance="4 cm"),
        "The hem of Front is a double fold hem and that of Back a double fold hem of another depth",
    ),
    (
        loose_threads.checks_on_the_body,
        lambda e: with_choice(e, GARMENT, "neck half width", "7 cm"),
        "Neck opening is",
    ),
    (
        loose_threads.choices_out_of_range,
        lambda e: with_choice(e, GARMENT, "body ease", "60 cm"),
        "outside the usual range",
    ),
    (loose_threads.lays_that_fail, with_narrow_cloth, "Front"),
    (
        loose_threads.hands_that_two_layers_mix,
        with_slanting_pockets_from_folded_cloth,
        "Pocket is wanted alike each time, and Main cloth, laid in two layers, gives a left",
    ),
    (loose_threads.pieces_without_cloth, with_piece_of_unknown_cloth, "“Velvet”"),
    (
        loose_threads.looks_that_are_not_there,
        with_first_shot_in("no-such-look"),
        "wears the look “no-such-look”, which is not among your looks",
    ),
    (
        loose_threads.styling_without_a_look,
        with_first_shot_in("", "styling"),
        "shows the piece styled, and no look says what is worn",
    ),
    (
        loose_threads.looks_of_no_shot,
        with_first_shot_in(""),
        "No shot wears the look “With boots”.",
    ),
    (
        loose_threads.step_order,
        lambda e: with_step_changed(e, after=("no-such-step",)),
        "“no-such-step”",
    ),
    (
        loose_threads.step_times,
        lambda e: with_step_changed(e, work=({"kind": "cut", "pieces": ("Cape",)},)),
        "Cape",
    ),
    (loose_threads.steps_without_shots, with_new_step, "“Sew on a label” has no shot."),
    (loose_threads.steps_without_shots, lambda e: changed(e, shots=()), "no shot films it"),
    (
        loose_threads.off_camera_and_filmed,
        lambda e: with_step_changed(e, off_camera=True),
        "is off camera, but shot",
    ),
    (
        loose_threads.pieces_without_steps,
        with_piece_added,
        "Chest pocket is laid on the cloth, but no step works on it.",
    ),
    (
        loose_threads.one_way_without_spare,
        lambda e: with_step_changed(e, spare=""),
        "plan a spare",
    ),
    (
        loose_threads.shots_without_steps,
        lambda e: with_shot(e, kind="step", step="gone"),
        "belongs to no step",
    ),
    (loose_threads.shots_before_their_time, with_shots_reversed, "which it must come after"),
    (
        loose_threads.missing_figures,
        lambda e: with_shot(e, narration="Cut {Front.hemm} wide."),
        "{Front.hemm}, which does not exist. Did you mean {Front.hem}?",
    ),
    (
        loose_threads.stray_braces,
        lambda e: with_shot(e, narration="Lay {Front.hem} along {Hem"),
        "narration, says “{Hem”: a live figure is a name between two braces.",
    ),
    (
        loose_threads.stray_braces,
        lambda e: with_step_changed(e, words="Fold {} up."),
        ", says “{}”",
    ),
    (
        loose_threads.shots_without_length,
        lambda e: with_shot(e, kind="talking", narration="  "),
        "1 shot has no words and no length yet, so the running time is a guess.",
    ),
    (
        loose_threads.single_units,
        lambda e: with_shot(e, narration="Now cut 12 in off."),
        "“12 in” in one unit only",
    ),
    (
        loose_threads.notions_not_worked_out,
        lambda e: changed(e, notions=(Notion(name="Tape", kind="zip"),)),
        "Tape: Say how long the opening is",
    ),
    (
        loose_threads.cloths_that_seem_to_stretch,
        lambda e: changed(e, cloths=(changed(e.cloths[0], description="Cotton jersey"),)),
        "Main cloth is called “jersey”, which probably stretches, and its stretch is 0 %",
    ),
    (loose_threads.running_time_over_target, with_target, "over its target of 10:00"),
    (loose_threads.sizes_that_fail, with_impossible_size, "Size Giant: Neck opening"),
]


@pytest.mark.parametrize(
    ("rule", "edit", "sentence"), CASES, ids=[case[0].__name__ for case in CASES]
)
def test_a_rule_finds_its_thread_and_nothing_without_it(
    smock: Episode, rule: loose_threads.Rule, edit: Edit, sentence: str
) -> None:
    assert found_by(rule, smock) == ()
    found = found_by(rule, edit(smock))
    assert any(sentence in thread.sentence for thread in found), found


@pytest.mark.parametrize(
    ("rule", "edit"),
    [case[:2] for case in CASES if case[0] in loose_threads.BUT_OF_SHOTS],
    ids=[case[0].__name__ for case in CASES if case[0] in loose_threads.BUT_OF_SHOTS],
)
def test_what_is_remembered_whatever_the_shots_are_reads_none_of_them(
    smock: Episode, rule: loose_threads.Rule, edit: Edit
) -> None:
    plan = evaluate(edit(smock))
    nothing = changed(plan.episode, shots=(), shoot_days=(), planned_days=None)
    without = replace(plan, episode=nothing, shots=(), running_time_s=0, filming=NO_TIME)
    assert tuple(rule(without)) == tuple(rule(plan)) != ()


def test_no_other_piece_is_meant_where_a_figure_is_gone(smock: Episode) -> None:
    """A front hem folded once is not turned under; that of the back is another hem's."""
    once = with_hem_of_the_front(smock, kind="single fold hem")
    gone = found_by(loose_threads.missing_figures, once)
    assert gone
    assert all("{Front.hem turn under}" in thread.sentence for thread in gone)
    assert not any("mean" in thread.sentence or thread.mends for thread in gone)
    misspelt = with_step_changed(smock, words="Turn {Front.hem alowance} up.")
    (thread,) = found_by(loose_threads.missing_figures, misspelt)
    assert thread.sentence.endswith("Did you mean {Front.hem allowance}?")


def test_shots_without_words_or_length_make_one_thread(smock: Episode) -> None:
    """A cutaway or a styling shot needs no words, and a typed length is as good as words."""
    for fields in (
        {"id": "a", "kind": "talking"},
        {"id": "b", "kind": "step", "step": "hem"},
        {"id": "c", "kind": "cutaway"},
        {"id": "d", "kind": "styling"},
        {"id": "e", "kind": "talking", "screen_seconds": 9},
    ):
        smock = with_shot(smock, **fields)
    (thread,) = found_by(loose_threads.shots_without_length, smock)
    assert thread.sentence.startswith("2 shots have no words and no length yet")
    assert (thread.severity, thread.page) == ("should", "shots")


def test_a_size_that_fails_is_mended_where_the_measures_are(smock: Episode) -> None:
    (thread,) = found_by(loose_threads.sizes_that_fail, with_impossible_size(smock))
    assert thread.page == "sizes"


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("Bodyease", "body ease"), ("hipp", "hip"), ("SLEEVE.CUF", "Sleeve.cuff"),
     ("girth al round", "Girth all round"), ("Cowl.lenght", "Cowl.length"), ("zebra", None)],
)  # fmt: skip
def test_the_figure_that_was_meant_is_named_as_it_is_written(
    smock: Episode, typed: str, meant: str | None
) -> None:
    """A choice, a measure, edges of both garments, a finished measure; none is like “zebra”."""
    (thread,) = found_by(loose_threads.missing_figures, with_shot(smock, card=f"{{{typed}}}"))
    hint = f" Did you mean {{{meant}}}?" if meant else ""
    assert thread.sentence.endswith(f"quotes {{{typed}}}, which does not exist.{hint}")
    if meant:
        assert not found_by(loose_threads.missing_figures, with_shot(smock, card=f"{{{meant}}}"))


def _with_said(episode: Episode, said: str, text: str) -> Episode:
    """The episode with a text in the brief, the first cloth, the smock or its front."""
    if said == "promise":
        return changed(episode, brief=changed(episode.brief, promise=text))
    if said == "description":
        cloth = changed(episode.cloths[0], description=text)
        return changed(episode, cloths=(cloth, *episode.cloths[1:]))
    if said == "summary":
        return with_garment(episode, GARMENT, lambda recipe: changed(recipe, summary=text))
    return with_piece(episode, GARMENT, "Front", lambda piece: changed(piece, note=text))


@pytest.mark.parametrize(
    ("said", "where", "page"),
    [
        ("promise", "“What viewers will have made by the end”", "brief"),
        ("description", "Linen, what it is,", "cloth"),
        ("summary", "Lighthouse Smock, what it is,", "draft"),
        ("note", "Front, the note,", "draft"),
    ],
)
def test_every_text_of_the_companion_is_looked_through_for_figures(
    smock: Episode, said: str, where: str, page: str
) -> None:
    smock = changed(smock, cloths=(changed(smock.cloths[0], name="Linen"), *smock.cloths[1:]))
    (thread,) = found_by(loose_threads.missing_figures, _with_said(smock, said, "{hemm}, {bust}"))
    assert thread.sentence.startswith(f"{where} quotes {{hemm}}, which does not exist.")
    assert (thread.severity, thread.page) == ("must", page)


def test_no_figure_is_suggested_that_a_text_cannot_quote() -> None:
    """A choice that is a bare number has no length."""
    choices = (Choice(name="pleat count", value="5"), Choice(name="hem depth", value="3 cm"))
    garment = Recipe(id="g", name="G", choices=choices)
    episode = with_shot(Episode(id="e", title="E", garments=(garment,)), card="{pleat cuont}")
    (thread,) = found_by(loose_threads.missing_figures, episode)
    assert "Did you mean" not in thread.sentence


def test_a_step_may_wait_on_a_step_of_another_garment(smock: Episode) -> None:
    here, there = (garment.steps[-1] for garment in smock.garments)
    one_after = with_step(smock, here.id, lambda step: changed(step, after=(there.id,)))
    assert found_by(loose_threads.step_order, one_after) == ()
    assert one_after != smock
    nowhere = with_step(smock, here.id, lambda step: changed(step, after=(there.id, "gone")))
    (thread,) = found_by(loose_threads.step_order, nowhere)
    assert thread.sentence == f"“{here.name}” waits on “gone”, which is not a step."


def test_every_sentence_with_a_length_shows_both_units(smock: Episode) -> None:
    broken = with_choice(smock, GARMENT, "neck half width", "7 cm")
    for thread in evaluate(with_narrow_cloth(broken)).loose_threads:
        assert (" cm" in thread.sentence) == (" in)" in thread.sentence), thread


@pytest.mark.parametrize(
    ("rule", "edit"),
    [case[:2] for case in CASES if " cm" in case[2] or case[0].__name__ in (
        "seams_that_differ", "checks_on_the_body", "choices_out_of_range", "lays_that_fail",
        "sizes_that_fail", "cloths_that_seem_to_stretch")],
    ids=lambda case: case.__name__,
)  # fmt: skip
def test_the_unit_that_she_prefers_stands_first(
    smock: Episode, rule: loose_threads.Rule, edit: Edit
) -> None:
    """The same figures in both orders."""
    in_cm, in_inches = (
        found_by(rule, changed(edit(smock), first_unit=unit))[0].sentence for unit in ("cm", "in")
    )
    pairs = re.findall(r"(-?[\d.]+ cm) \((-?[\d /]+ in)\)", in_cm)
    turned = re.findall(r"(-?\d[\d /]* in) \((-?[\d.]+ cm)\)", in_inches)
    assert pairs and [(cm, inch) for inch, cm in turned] == pairs
    assert "cm (" not in in_inches
