"""Each rule finds its own loose thread, and the demo smock has none."""

import inspect
import re
from collections.abc import Callable, Iterable

import pytest

from webapp.draft.construction import Step
from webapp.draft.recipe import Body, Choice, Notion, PieceRecipe, Recipe, Seam
from webapp.filming.looks import Look
from webapp.filming.shots import Shot
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
from webapp.plan.plan_json import plan_json
from webapp.plan.results import LooseThread, Place

GARMENT = "lighthouse-smock"
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
Edit = Callable[[Episode], Episode]


def _found(rule: loose_threads.Rule, episode: Episode) -> tuple[LooseThread, ...]:
    return tuple(rule(evaluate(episode)))


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


def _without_head(episode: Episode) -> Episode:
    measures = {name: text for name, text in episode.body.measures.items() if name != "head"}
    return changed(episode, body=Body(name="Wren", measures=measures))


def _with_hem_of_the_front(episode: Episode, **finish: str) -> Episode:
    def edit(piece: PieceRecipe) -> PieceRecipe:
        hem = changed(piece.finishes["hem"], **finish)
        return changed(piece, finishes={**piece.finishes, "hem": hem})

    return with_piece(episode, GARMENT, "Front", edit)


def _with_seam_that_differs(episode: Episode) -> Episode:
    def edit(recipe: Recipe) -> Recipe:
        seam = Seam.model_validate(
            {
                "name": "odd seam",
                "one": [{"edge": "Front.side"}],
                "other": [{"edge": "Sleeve.cuff"}],
            }
        )
        return changed(recipe, seams=(*recipe.seams, seam))

    return with_garment(episode, GARMENT, edit)


def _with_notches_that_do_not_meet(episode: Episode) -> Episode:
    for name, at in (("Front", "5 cm"), ("Back", "6 cm")):
        notch = {"kind": "notch", "edge": "shoulder", "corner": "neck", "at": at, "name": "middle"}

        def edit(piece: PieceRecipe, notch: object = notch) -> PieceRecipe:
            return changed(piece, moves=(*piece.moves, notch))

        episode = with_piece(episode, GARMENT, name, edit)
    return episode


def _with_narrow_cloth(episode: Episode) -> Episode:
    return changed(episode, cloths=(changed(episode.cloths[0], width="50 cm"), *episode.cloths[1:]))


def _with_piece_of_unknown_cloth(episode: Episode) -> Episode:
    def edit(piece: PieceRecipe) -> PieceRecipe:
        return changed(piece, cloth="Velvet")

    return with_piece(episode, GARMENT, "Pocket", edit)


def _with_piece_added(episode: Episode) -> Episode:
    piece = PieceRecipe.model_validate(
        {
            "name": "Chest pocket",
            "moves": [{"kind": "rectangle", "width": "12 cm", "length": "14 cm"}],
        }
    )
    return with_garment(episode, GARMENT, lambda r: changed(r, pieces=(*r.pieces, piece)))


def _with_step_changed(episode: Episode, **changes: object) -> Episode:
    step = next(s for s in episode.garments[0].steps if s.one_way)
    return with_step(episode, step.id, lambda s: changed(s, **changes))


def _with_new_step(episode: Episode) -> Episode:
    new = Step(id="sew-on-a-label", name="Sew on a label")
    return with_garment(episode, GARMENT, lambda r: changed(r, steps=(*r.steps, new)))


def _with_shots_reversed(episode: Episode) -> Episode:
    return changed(episode, shots=tuple(reversed(episode.shots)))


def _with_shot(episode: Episode, **fields: object) -> Episode:
    shot = Shot.model_validate({"id": "extra", "title": "Extra", "kind": "cutaway", **fields})
    return changed(episode, shots=(*episode.shots, shot))


def _with_target(episode: Episode) -> Episode:
    return changed(episode, brief=changed(episode.brief, target_seconds=600))


def _with_impossible_size(episode: Episode) -> Episode:
    giant = Body(name="Giant", measures={**episode.body.measures, "head": "90 cm"})
    return changed(episode, sizes=(*episode.sizes, giant))


def _with_slanting_pockets_from_folded_cloth(episode: Episode) -> Episode:
    slope = {"kind": "slope", "edge": "mouth", "end": "right side", "drop": "3 cm"}

    def edit(recipe: Recipe) -> Recipe:
        raw = recipe.model_dump(mode="json")
        pocket = next(piece for piece in raw["pieces"] if piece["name"] == "Pocket")
        pocket["moves"].append(slope)
        return Recipe.model_validate(raw)

    cloths = (changed(episode.cloths[0], laid="folded"), *episode.cloths[1:])
    return changed(with_garment(episode, GARMENT, edit), cloths=cloths)


def _with_first_shot_in(look: str, kind: str = "talking") -> Edit:
    """The first shot of that kind and look, where one look is kept."""

    def edit(episode: Episode) -> Episode:
        first = changed(episode.shots[0], look=look, kind=kind)
        looks = (*episode.looks, Look(id="with-boots", name="With boots"))
        return changed(episode, shots=(first, *episode.shots[1:]), looks=looks)

    return edit


CASES: list[tuple[loose_threads.Rule, Edit, str]] = [
    (loose_threads.draft_problems, _without_head, "asks for the measure “head”"),
    (loose_threads.seams_that_differ, _with_seam_that_differs, "odd seam: Front side is"),
    (
        loose_threads.notches_that_do_not_meet,
        _with_notches_that_do_not_meet,
        "shoulder seams: the notch “middle” is 5 cm (1 15/16 in) from the neck on Front.shoulder "
        "and 6 cm (2 3/8 in) from the neck on Back.shoulder",
    ),
    (
        loose_threads.hems_that_do_not_meet,
        lambda e: _with_hem_of_the_front(e, kind="single fold hem"),
        "The hem of Front is a single fold hem and that of Back a double fold hem, though they",
    ),
    (
        loose_threads.hems_that_do_not_meet,
        lambda e: _with_hem_of_the_front(e, kind="double fold hem", allowance="4 cm"),
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
    (loose_threads.lays_that_fail, _with_narrow_cloth, "Front"),
    (
        loose_threads.hands_that_two_layers_mix,
        _with_slanting_pockets_from_folded_cloth,
        "Pocket is wanted alike each time, and Main cloth, laid in two layers, gives a left",
    ),
    (loose_threads.pieces_without_cloth, _with_piece_of_unknown_cloth, "“Velvet”"),
    (
        loose_threads.looks_that_are_not_there,
        _with_first_shot_in("no-such-look"),
        "wears the look “no-such-look”, which is not among your looks",
    ),
    (
        loose_threads.styling_without_a_look,
        _with_first_shot_in("", "styling"),
        "shows the piece styled, and no look says what is worn",
    ),
    (
        loose_threads.looks_of_no_shot,
        _with_first_shot_in(""),
        "No shot wears the look “With boots”.",
    ),
    (
        loose_threads.step_order,
        lambda e: _with_step_changed(e, after=("no-such-step",)),
        "“no-such-step”",
    ),
    (
        loose_threads.step_times,
        lambda e: _with_step_changed(e, work=({"kind": "cut", "pieces": ("Cape",)},)),
        "Cape",
    ),
    (loose_threads.steps_without_shots, _with_new_step, "“Sew on a label” has no shot."),
    (loose_threads.steps_without_shots, lambda e: changed(e, shots=()), "no shot films it"),
    (
        loose_threads.off_camera_and_filmed,
        lambda e: _with_step_changed(e, off_camera=True),
        "is off camera, but shot",
    ),
    (
        loose_threads.pieces_without_steps,
        _with_piece_added,
        "Chest pocket is laid on the cloth, but no step works on it.",
    ),
    (
        loose_threads.one_way_without_spare,
        lambda e: _with_step_changed(e, spare=""),
        "plan a spare",
    ),
    (
        loose_threads.shots_without_steps,
        lambda e: _with_shot(e, kind="step", step="gone"),
        "belongs to no step",
    ),
    (loose_threads.shots_before_their_time, _with_shots_reversed, "which it must come after"),
    (
        loose_threads.missing_figures,
        lambda e: _with_shot(e, narration="Cut {Front.hemm} wide."),
        "{Front.hemm}, which does not exist. Did you mean {Front.hem}?",
    ),
    (
        loose_threads.stray_braces,
        lambda e: _with_shot(e, narration="Lay {Front.hem} along {Hem"),
        "narration, says “{Hem”: a live figure is a name between two braces.",
    ),
    (
        loose_threads.stray_braces,
        lambda e: _with_step_changed(e, words="Fold {} up."),
        ", says “{}”",
    ),
    (
        loose_threads.shots_without_length,
        lambda e: _with_shot(e, kind="talking", narration="  "),
        "1 shot has no words and no length yet, so the running time is a guess.",
    ),
    (
        loose_threads.single_units,
        lambda e: _with_shot(e, narration="Now cut 12 in off."),
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
        "Main cloth is called “jersey”, which probably stretches, and its stretch is 0 per cent",
    ),
    (loose_threads.running_time_over_target, _with_target, "over its target of 10:00"),
    (loose_threads.sizes_that_fail, _with_impossible_size, "Size Giant: Neck opening"),
]


@pytest.mark.parametrize(
    ("rule", "edit", "sentence"), CASES, ids=[case[0].__name__ for case in CASES]
)
def test_a_rule_finds_its_thread_and_nothing_without_it(
    smock: Episode, rule: loose_threads.Rule, edit: Edit, sentence: str
) -> None:
    assert _found(rule, smock) == ()
    found = _found(rule, edit(smock))
    assert any(sentence in thread.sentence for thread in found), found


def test_no_other_piece_is_meant_where_a_figure_is_gone(smock: Episode) -> None:
    """A front hem folded once is not turned under; that of the back is another hem's."""
    once = _with_hem_of_the_front(smock, kind="single fold hem")
    gone = _found(loose_threads.missing_figures, once)
    assert gone
    assert all("{Front.hem turn under}" in thread.sentence for thread in gone)
    assert not any("mean" in thread.sentence or thread.mends for thread in gone)
    misspelt = _with_step_changed(smock, words="Turn {Front.hem alowance} up.")
    (thread,) = _found(loose_threads.missing_figures, misspelt)
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
        smock = _with_shot(smock, **fields)
    (thread,) = _found(loose_threads.shots_without_length, smock)
    assert thread.sentence.startswith("2 shots have no words and no length yet")
    assert (thread.severity, thread.page) == ("should", "shots")


def test_a_size_that_fails_is_mended_where_the_measures_are(smock: Episode) -> None:
    (thread,) = _found(loose_threads.sizes_that_fail, _with_impossible_size(smock))
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
    (thread,) = _found(loose_threads.missing_figures, _with_shot(smock, card=f"{{{typed}}}"))
    hint = f" Did you mean {{{meant}}}?" if meant else ""
    assert thread.sentence.endswith(f"quotes {{{typed}}}, which does not exist.{hint}")
    if meant:
        assert not _found(loose_threads.missing_figures, _with_shot(smock, card=f"{{{meant}}}"))


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
    (thread,) = _found(loose_threads.missing_figures, _with_said(smock, said, "{hemm}, {bust}"))
    assert thread.sentence.startswith(f"{where} quotes {{hemm}}, which does not exist.")
    assert (thread.severity, thread.page) == ("must", page)


def test_no_figure_is_suggested_that_a_text_cannot_quote() -> None:
    """A choice that is a bare number has no length."""
    choices = (Choice(name="pleat count", value="5"), Choice(name="hem depth", value="3 cm"))
    garment = Recipe(id="g", name="G", choices=choices)
    episode = _with_shot(Episode(id="e", title="E", garments=(garment,)), card="{pleat cuont}")
    (thread,) = _found(loose_threads.missing_figures, episode)
    assert "Did you mean" not in thread.sentence


def test_a_step_may_wait_on_a_step_of_another_garment(smock: Episode) -> None:
    here, there = (garment.steps[-1] for garment in smock.garments)
    one_after = with_step(smock, here.id, lambda step: changed(step, after=(there.id,)))
    assert _found(loose_threads.step_order, one_after) == ()
    assert one_after != smock
    nowhere = with_step(smock, here.id, lambda step: changed(step, after=(there.id, "gone")))
    (thread,) = _found(loose_threads.step_order, nowhere)
    assert thread.sentence == f"“{here.name}” waits on “gone”, which is not a step."


# --- What only waits --------------------------------------------------------------------------


def test_what_waits_for_a_missing_measure_is_no_thread_of_its_own(smock: Episode) -> None:
    """The demo's texts and steps quote the draft all over; only the measures are asked for."""
    threads = evaluate(changed(smock, body=Body(name="Nobody"))).loose_threads
    measures = dict.fromkeys(name for garment in smock.garments for name in garment.measures)
    asked = [thread.sentence for thread in threads if thread.page == "brief"]
    assert len(asked) == len(set(asked))
    for measure in measures:
        assert sum(f"asks for the measure “{measure}”" in sentence for sentence in asked) == 1
    assert [t for t in threads if t.severity == "must" and t.page != "brief"] == []


def test_a_name_that_no_measure_would_mend_is_told_all_the_same(smock: Episode) -> None:
    nobody = changed(smock, body=Body(name="Nobody"))
    shot = _with_shot(nobody, narration="{Front.hem} is not {Frontt.hem}, nor {bust} {bsut}.")
    assert [
        t.sentence.split(" quotes ")[1] for t in _found(loose_threads.missing_figures, shot)
    ] == [
        "{Frontt.hem}, which does not exist.",
        "{bsut}, which does not exist.",
    ]
    work = ({"kind": "cut", "pieces": ("Front", "Cape")}, {"kind": "pin", "seams": ("darts",)})
    (thread,) = _found(loose_threads.step_times, _with_step_changed(nobody, work=work))
    assert "works on the piece “Cape”, which is not drafted" in thread.sentence


@pytest.mark.parametrize(
    "work",
    [
        {"kind": "cut", "pieces": ("front",)},
        {"kind": "machine", "seams": ("shoulder seams",)},
        {"kind": "press", "edges": ({"edge": "Front.hem"},)},
        {"kind": "press", "edges": ({"edge": "Cowl.length"},)},
    ],
)
def test_a_step_waits_for_what_it_works_on(smock: Episode, work: dict[str, object]) -> None:
    nobody = changed(smock, body=Body(name="Nobody"))
    waiting = evaluate(_with_step_changed(nobody, work=(work,)))
    step = next(s for s in waiting.steps if s.step.one_way)
    assert step.waits and step.problem == "" and step.work.high == 0
    drafted = evaluate(_with_step_changed(smock, work=(work,)))
    assert not any(step.waits for step in drafted.steps)


def test_every_sentence_with_a_length_shows_both_units(smock: Episode) -> None:
    broken = with_choice(smock, GARMENT, "neck half width", "7 cm")
    for thread in evaluate(_with_narrow_cloth(broken)).loose_threads:
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
        _found(rule, changed(edit(smock), first_unit=unit))[0].sentence for unit in ("cm", "in")
    )
    pairs = re.findall(r"(-?[\d.]+ cm) \((-?[\d /]+ in)\)", in_cm)
    turned = re.findall(r"(-?\d[\d /]* in) \((-?[\d.]+ cm)\)", in_inches)
    assert pairs and [(cm, inch) for inch, cm in turned] == pairs
    assert "cm (" not in in_inches


def test_the_gravest_come_first(smock: Episode) -> None:
    threads = evaluate(
        _with_target(with_choice(smock, GARMENT, "body ease", "-10 cm"))
    ).loose_threads
    severities = [thread.severity for thread in threads]
    assert severities == sorted(severities)  # "must" sorts before "should"
    assert set(severities) == {"must", "should"}


def test_the_plan_file_tells_where_a_thread_is_and_what_mends_it(smock: Episode) -> None:
    smock = changed(smock, sizes=())
    episode = _with_shot(_with_seam_that_differs(smock), card="{Frnt.hem}")
    listed = plan_json(evaluate(episode))["loose_threads"]
    told = {one["page"]: one for one in listed if one["severity"] == "must"}
    seam = {"page": "draft", "garment": GARMENT, "item": "odd seam", "part": "seam"}
    assert told["draft"]["place"] == seam
    assert told["draft"]["mends"][0].startswith("Ease or gather in ")
    shot = told["shots"]
    assert shot["place"] == {"page": "shots", "item": "extra"}
    assert shot["mends"] == ["Write {Front.hem}"]
    assert shot["sentence"].endswith("Did you mean {Front.hem}?")


# --- Pictures and fittings --------------------------------------------------------------------

PHOTO = {"file": f"{'0' * 64}.jpg"}


def test_a_picture_has_words_for_those_who_do_not_see_it(smock: Episode) -> None:
    """WCAG 2.2, success criterion 1.1.1: https://www.w3.org/TR/WCAG22/#non-text-content."""
    fitting = {"id": "first", "title": "First fitting", "photo": PHOTO}
    bare = changed(smock, brief=changed(smock.brief, sketch=PHOTO), fittings=(fitting,))
    found = _found(text_threads.missing_alternative_text, bare)
    assert [(one.severity, one.page, one.place.item) for one in found] == [
        ("should", "brief", "sketch"),
        ("should", "fittings", "first"),
    ]
    assert found[1].sentence == (
        "The photo of “First fitting” has no words yet for those who do not see it."
    )
    told = {**PHOTO, "alt": "Wren in the smock, from the side"}
    worded = changed(
        smock,
        brief=changed(smock.brief, sketch=told),
        fittings=({**fitting, "photo": told},),
    )
    assert _found(text_threads.missing_alternative_text, worded) == ()


def test_a_fitting_that_cannot_be_cut_is_told_until_it_can(smock: Episode) -> None:
    def with_neck(value: str) -> Episode:
        change = {"garment": GARMENT, "choice": "neck half width", "value": value}
        fitting = {
            "id": "first",
            "title": "First fitting",
            "changes": ({**change, "kind": "choice"},),
        }
        return changed(smock, fittings=(fitting,))

    (thread,) = _found(draft_threads.fittings_that_cannot_be_cut, with_neck("90 cm"))
    assert thread.sentence.startswith("The fitting “First fitting” cannot be cut: ")
    assert (thread.severity, thread.place) == ("should", Place("fittings", item="first"))
    assert _found(draft_threads.fittings_that_cannot_be_cut, with_neck("11 cm")) == ()
