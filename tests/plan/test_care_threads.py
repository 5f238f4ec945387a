"""What can hurt is told: cords, small parts, sleepwear, blades, irons and needles."""

from collections.abc import Iterable

import pytest

from webapp.build.cautions import cautions_of
from webapp.draft.construction import Step, Work
from webapp.draft.recipe import Notion, PieceRecipe, Recipe
from webapp.plan import care_threads
from webapp.plan.care_words import Said, cord_at_neck, cord_in, named_in, small_parts_in
from webapp.plan.edits import changed
from webapp.plan.episode import Brief, Episode, Wearer
from webapp.plan.evaluate import evaluate
from webapp.plan.mends import mended
from webapp.plan.results import LooseThread, Place

RULES = (
    care_threads.cords_on_childrens_clothes,
    care_threads.small_parts_for_the_smallest,
    care_threads.sleepwear_and_flame,
    care_threads.blades_irons_and_needles,
)


def _episode(
    *,
    wearer: Wearer = "14 and over",
    sleepwear: bool = False,
    pieces: Iterable[PieceRecipe] = (),
    steps: Iterable[Step] = (Step(id="look", name="Look at it"),),
    notions: Iterable[Notion] = (),
) -> Episode:
    return Episode(
        id="e",
        title="E",
        brief=Brief(wearer=wearer, sleepwear=sleepwear),
        garments=(Recipe(id="g", name="G", pieces=tuple(pieces), steps=tuple(steps)),),
        notions=tuple(notions),
    )


def _found(rule: object, episode: Episode) -> list[LooseThread]:
    assert callable(rule)
    return list(rule(evaluate(episode)))


def _said(words: str, name: str = "Sew it") -> Said:
    return Said(name, words, Place("build"), step="s")


# --- Words -----------------------------------------------------------------------------------

CORDS = [
    ("Thread the cord through the casing.", "cord"),
    ("Draw the drawstring tight.", "drawstring"),
    ("Knot both ends of the draw cord.", "draw cord"),
    ("Sew a tie to each side.", "tie"),
    ("Pin the neck ties at the notches.", "ties"),
    ("Cut 40 cm of ribbon.", "ribbon"),
    ("Pull the string out.", "string"),
    ("Feed the lace through the eyelets.", "lace"),
    ("Elastic cord keeps the cuff.", "cord"),
    ("Tie the waist ties in a bow.", "ties"),
]
NO_CORDS = [
    "Tie off the thread ends.",
    "Tie them together.",
    "Cut the elastic and draw it through the casing.",
    "Corduroy wants a nap layout.",
    "Sew the piping cord into the seam.",
    "Edge it with lace trim.",
    "The neck has no cord.",
    "Elastic holds it instead of a drawstring.",
    "It closes without any ribbon.",
    "Stringy threads are trimmed.",
    "Accordion pleats are pressed.",
    "Mind the ribbing.",
    "The necktie pattern is another one.",
]


@pytest.mark.parametrize(("words", "word"), CORDS)
def test_cords_are_found_by_whole_words(words: str, word: str) -> None:
    assert cord_in(_said(words)) == word


@pytest.mark.parametrize("words", NO_CORDS)
def test_what_is_no_cord_is_not_found(words: str) -> None:
    assert cord_in(_said(words)) == ""


@pytest.mark.parametrize("name", ["Tie", "Side tie", "Waist ties"])
def test_a_piece_called_tie_is_one(name: str) -> None:
    assert cord_in(Said(name, "", Place("draft")))
    assert not cord_in(Said("Tie the threads", "", Place("build"), step="s"))


@pytest.mark.parametrize(
    ("name", "words", "at_neck"),
    [
        ("Thread the hood cord", "", True),
        ("Neck ties", "", True),
        ("Finish", "Thread the cord through the hood.", True),
        ("Finish", "Sew the halter ties.", True),
        ("Finish", "Thread the cord through the waist. Bind the neck.", False),
        ("Finish", "Thread the cord through the waist casing.", False),
        ("Bind the neck", "Tie off the thread.", False),
    ],
)
def test_a_cord_at_the_neck_is_named_with_it(name: str, words: str, at_neck: bool) -> None:
    assert cord_at_neck(_said(words, name)) is at_neck


@pytest.mark.parametrize(
    ("words", "parts"),
    [
        ("Sew on the buttons.", ("buttons",)),
        ("Set the snaps, then a bead.", ("snaps", "bead")),
        ("A pom-pom on top, a toggle below.", ("pom-pom", "toggle")),
        ("Trim the zip pull.", ("zip pull",)),
        ("Hammer the press studs in.", ("press studs",)),
        ("Sew the hook and eye.", ("hook and eye",)),
        ("Cut the buttonhole.", ()),
        ("The button band is folded.", ()),
        ("A yarn pompom on top.", ()),
        ("A wool pompom and an elastic toggle.", ()),
        ("Close it with hook and loop tape, hooks away from the skin.", ()),
        ("Sew the hooks on.", ("hooks",)),
        ("No buttons or beads either.", ()),
        ("It snapped. A beading foot.", ()),
        ("No buttons, no snaps.", ()),
        ("A loop instead of a toggle.", ()),
    ],
)
def test_small_parts_are_found_by_whole_words(words: str, parts: tuple[str, ...]) -> None:
    assert small_parts_in(words) == parts


@pytest.mark.parametrize(
    ("words", "blades", "iron", "needles"),
    [
        ("Cut it with the rotary cutter.", "rotary cutter", "", ""),
        ("Snip with small scissors.", "scissors", "", ""),
        ("Open it with a seam ripper.", "seam ripper", "", ""),
        ("Press the seam open.", "", "press", ""),
        ("Iron it from the wrong side.", "", "iron", ""),
        ("Keep pressing while you pin.", "", "pressing", "pin"),
        ("Slip the needle along the fold.", "", "", "needle"),
        ("Pinned and pressed.", "", "pressed", "pinned"),
        ("Mark the shoulder blade.", "", "", ""),
        ("Finger press the fold.", "", "", ""),
        ("Close the press studs.", "", "", ""),
        ("Lower the presser foot.", "", "", ""),
        ("The environment of the spine.", "", "", ""),
        ("Fold the pin tucks.", "", "", ""),
        ("Needlecord and pinstripe are cloths.", "", "", ""),
        ("Roll it with a rolling pin.", "", "", ""),
        ("Work without pins.", "", "", ""),
    ],
)
def test_blades_irons_and_needles_are_found_by_whole_words(
    words: str, blades: str, iron: str, needles: str
) -> None:
    assert (named_in(words, "blades"), named_in(words, "iron"), named_in(words, "needles")) == (
        blades,
        iron,
        needles,
    )


# --- Cords -----------------------------------------------------------------------------------

WAIST = Step(id="waist", name="Thread the waist", words="Thread the cord through the casing.")
HOOD = Step(id="hood", name="Thread the hood", words="Thread the cord through its casing.")


@pytest.mark.parametrize(
    ("wearer", "step", "severity", "words"),
    [
        ("under 3", HOOD, "must", "no cord at hood, head or neck"),
        ("3 to 6", HOOD, "must", "up to 7 years or 134 cm"),
        ("7 to 13", HOOD, "must", "from 7 to 14 years: none with free ends"),
        ("3 to 6", WAIST, "must", "no cord at hood, head or neck"),
        ("7 to 13", WAIST, "should", "at most 7.5 cm (3 in) of a cord may hang out"),
    ],
)
def test_a_cord_on_a_childs_garment_is_told(
    wearer: Wearer, step: Step, severity: str, words: str
) -> None:
    step = changed(step, cautions=("cords",))
    (thread,) = _found(RULES[0], _episode(wearer=wearer, steps=(step,)))
    assert (thread.severity, thread.place) == (severity, Place("build", item=step.id))
    assert words in thread.sentence
    assert thread.sentence.startswith(f"“{step.name}” (cord): ")
    assert thread.sentence.endswith("The rules where you live come first.")


def test_the_companion_must_warn_of_cords_and_one_click_adds_it() -> None:
    plan = evaluate(_episode(wearer="7 to 13", steps=(Step(id="a", name="A"), WAIST)))
    _, thread = care_threads.cords_on_childrens_clothes(plan)
    assert thread.severity == "must"
    assert thread.sentence.startswith("A child will wear this with its cord, and the companion")
    (mend,) = thread.mends
    assert (mend.act, mend.args) == ("caution", ("waist", "cords"))
    assert mend.words == "Add the caution to “Thread the waist”"
    after = mended(plan, mend.act, mend.args)
    assert [t.severity for t in _found(RULES[0], after)] == ["should"]


def test_pieces_and_notions_with_cords_are_found_and_named_together() -> None:
    pieces = (PieceRecipe(name="Hood tie"), PieceRecipe(name="Front"))
    notions = (Notion(name="Cotton cord"),)
    episode = _episode(wearer="3 to 6", pieces=pieces, steps=(), notions=notions)
    (thread,) = _found(RULES[0], episode)
    assert thread.sentence.startswith("Hood tie (tie): no cord at hood")
    assert thread.place == Place("draft", "g", "Hood tie")
    episode = _episode(wearer="7 to 13", steps=(WAIST,), notions=notions)
    assert "“Thread the waist” (cord) and Cotton cord (cord): at waist" in (
        _found(RULES[0], episode)[0].sentence
    )


def test_adults_and_elastic_casings_are_no_thread() -> None:
    assert _found(RULES[0], _episode(steps=(HOOD, WAIST))) == []
    casing = Step(id="c", name="Sew the casing", words="Draw the elastic through the casing.")
    notions = (Notion(name="Elastic", kind="elastic", why="For the casing."),)
    assert _found(RULES[0], _episode(wearer="3 to 6", steps=(casing,), notions=notions)) == []


# --- Small parts -----------------------------------------------------------------------------


def _buttons(across: str, thick: str = "") -> Notion:
    return Notion(name="Buttons", kind="buttons", length=across, width=thick)


SEW_ON = Step(id="on", name="Sew on the buttons", cautions=("small parts",))


@pytest.mark.parametrize(
    ("notions", "steps", "told"),
    [
        ((_buttons("18 mm", "3 mm"),), (SEW_ON,), True),
        ((_buttons("18 mm"),), (), True),
        ((_buttons(""),), (), True),  # of unknown size
        ((_buttons("40 mm", "4 mm"),), (SEW_ON,), False),
        ((_buttons("32 mm"),), (SEW_ON,), False),
        ((Notion(name="Front zip", kind="zip", length="20 cm"),), (), True),
        ((Notion(name="Wooden beads"),), (), True),
        ((Notion(name="Thread", kind="thread", why="For the buttons."),), (), False),
        ((), (SEW_ON,), True),
        ((), (), False),
    ],
)
def test_small_parts_for_a_child_under_three(
    notions: tuple[Notion, ...], steps: tuple[Step, ...], told: bool
) -> None:
    episode = _episode(wearer="under 3", notions=notions, steps=steps)
    found = _found(RULES[1], episode)
    assert [thread.severity for thread in found] == (["must"] if told else [])
    if told:
        assert "3.2 cm (1 1/4 in) across" in found[0].sentence
        assert "5.7 cm (2 1/4 in) deep (16 CFR 1501)" in found[0].sentence


@pytest.mark.parametrize("wearer", ["3 to 6", "7 to 13", "14 and over"])
def test_older_children_may_have_buttons(wearer: Wearer) -> None:
    assert _found(RULES[1], _episode(wearer=wearer, steps=(SEW_ON,))) == []


def test_the_companion_must_warn_of_small_parts() -> None:
    step = changed(SEW_ON, cautions=())
    told, lacks = _found(RULES[1], _episode(wearer="under 3", steps=(step,)))
    assert lacks.severity == "must"
    assert [mend.args for mend in lacks.mends] == [("on", "small parts")]
    assert told.mends == ()


# --- Sleepwear -------------------------------------------------------------------------------


@pytest.mark.parametrize("wearer", ["under 3", "3 to 6", "7 to 13"])
def test_childrens_sleepwear_must_warn_of_flames(wearer: Wearer) -> None:
    (thread,) = _found(RULES[2], _episode(wearer=wearer, sleepwear=True))
    assert thread.severity == "must"
    assert "16 CFR 1615" in thread.sentence
    assert "sizes up to 9 months are exempt" in thread.sentence
    assert "The rules where you live come first." in thread.sentence
    assert [mend.args for mend in thread.mends] == [("look", "flame")]


def test_sleepwear_of_adults_day_wear_and_what_warns_are_no_thread() -> None:
    warned = (Step(id="look", name="Look", cautions=("flame",)),)
    assert _found(RULES[2], _episode(sleepwear=True)) == []
    assert _found(RULES[2], _episode(wearer="3 to 6")) == []
    assert _found(RULES[2], _episode(wearer="3 to 6", sleepwear=True, steps=warned)) == []


# --- Blades, irons and needles ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "caution", "word"),
    [
        ("Cut it with the rotary cutter.", "blades", "rotary cutter"),
        ("Press it.", "iron", "press"),
        ("Take the pins out.", "needles", "pins"),
    ],
)
def test_words_of_what_can_hurt_want_their_caution(words: str, caution: str, word: str) -> None:
    first = Step(id="first", name="First")
    step = Step(id="it", name="Do it", words=words)
    (thread,) = _found(RULES[3], _episode(steps=(first, step)))
    assert thread.severity == "should"
    assert thread.sentence == (
        f"“Do it” says “{word}”, and the companion carries no caution “{caution}”."
    )
    assert [mend.args for mend in thread.mends] == [("it", caution)]
    warned = changed(first, cautions=(caution,))
    assert _found(RULES[3], _episode(steps=(warned, step))) == []


def test_work_brings_its_caution_by_itself() -> None:
    step = Step(id="it", name="Cut", words="With the scissors.", work=(Work(kind="cut"),))
    assert cautions_of([step]) == ("blades",)
    assert _found(RULES[3], _episode(steps=(step,))) == []


@pytest.mark.parametrize("wearer", ["14 and over", "7 to 13", "3 to 6", "under 3"])
def test_the_demos_smock_gives_no_false_alarm(smock: Episode, wearer: Wearer) -> None:
    episode = changed(smock, brief=changed(smock.brief, wearer=wearer))
    assert [thread for rule in RULES for thread in _found(rule, episode)] == []
