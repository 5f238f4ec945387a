"""A measurement typed in one unit becomes a live figure or both units, with one act."""

from collections.abc import Callable

import pytest
from pydantic import ValidationError

from webapp.errors import NotThereError
from webapp.filming.figures import single_unit_measurements
from webapp.plan.edits import changed, changed_one
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.plan.texts import text_of, with_text
from webapp.plan.typed_edits import (
    mends_for,
    offers,
    quotable,
    with_both_units,
    with_live_figure,
)

KEYS = [
    ("brief", "", "promise"),
    ("garment", "lighthouse-smock", "summary"),
    ("piece", "Front", "note"),
    ("cloth", "Main cloth", "description"),
    ("step", "chalk", "words"),
    ("step", "chalk", "spare"),
    ("shot", "intro", "narration"),
    ("shot", "intro", "card"),
]
SHOT = ("shot", "intro", "narration")


def _saying(episode: Episode, typed: str, key: tuple[str, ...] = SHOT) -> Plan:
    return evaluate(with_text(episode, key, typed))


def _hem_inches(plan: Plan) -> str:
    """The front hem as it is shown in inches."""
    hem = next(one for one in quotable(plan) if one.name == "Front.hem")
    return hem.shown.split(" (")[1].rstrip(")")


@pytest.mark.parametrize("key", KEYS, ids="-".join)
def test_in_every_text_a_figure_typed_as_shown_is_offered_and_taken(
    smock: Episode, key: tuple[str, ...]
) -> None:
    plan = _saying(smock, f"Mark {_hem_inches(evaluate(smock))} from the fold.", key)
    (offer,) = offers(plan, key)
    assert offer.figures[0].name in {"Front.hem", "Back.hem"}  # the two are sewn as long
    assert offer.lacks == "centimetres"
    after = evaluate(with_live_figure(plan, key, offer.typed, offer.figures[0].name))
    text = text_of(after, key)
    assert text.typed == f"Mark {{{offer.figures[0].name}}} from the fold."
    assert text.live.plain == f"Mark {offer.figures[0].shown} from the fold."
    assert single_unit_measurements(text.live.plain) == ()
    assert offers(after, key) == ()


@pytest.mark.parametrize("key", KEYS, ids="-".join)
def test_both_units_are_written_with_what_was_typed_kept(
    smock: Episode, key: tuple[str, ...]
) -> None:
    plan = _saying(smock, "Cut 12 in of tape.", key)
    after = with_both_units(plan, key, "12 in")
    # 12 in are 30.48 cm; the smock shows centimetres first
    assert text_of(evaluate(after), key).typed == "Cut 30.5 cm (12 in) of tape."


def test_the_first_that_is_not_live_is_changed(smock: Episode) -> None:
    plan = _saying(smock, "{12 in} 12 in (30.5 cm), then 12 in, then 12 in.")
    after = evaluate(with_both_units(plan, SHOT, "12 in"))
    said = text_of(after, SHOT).typed
    assert said == "{12 in} 12 in (30.5 cm), then 30.5 cm (12 in), then 12 in."
    assert len(offers(after, SHOT)) == 1


def test_what_is_not_there_any_more_is_said(smock: Episode) -> None:
    plan = _saying(smock, "Cut 12 in of tape, then 1,500 mm.")
    gone: list[tuple[Callable[[], Episode], str]] = [
        (lambda: with_both_units(plan, SHOT, "11 in"), "“11 in” is not in that text"),
        (lambda: with_live_figure(plan, SHOT, "11 in", "Front.hem"), "“11 in” is not in"),
        (lambda: with_live_figure(plan, SHOT, "12 in", "Front.gone"), "no figure “Front.gone”"),
        (lambda: with_live_figure(plan, SHOT, "12 in", "Front.hem"), "is not 12 in any more"),
        (lambda: with_both_units(plan, ("shot", "gone", "card"), "12 in"), "That text is not"),
        (lambda: with_both_units(plan, ("nothing",), "12 in"), "That text is not"),
        (lambda: with_both_units(plan, SHOT, "1,500 mm"), "cannot be read as a length"),
    ]
    for act, sentence in gone:
        with pytest.raises(NotThereError, match=sentence):
            act()


def test_a_text_that_would_grow_too_long_is_refused(smock: Episode) -> None:
    card = ("shot", "intro", "card")
    plan = _saying(smock, "x" * 190 + " 12 in", card)
    with pytest.raises(ValidationError):
        with_both_units(plan, card, "12 in")


def test_the_mends_are_the_likeliest_figure_and_both_units(smock: Episode) -> None:
    typed = _hem_inches(evaluate(smock))
    plan = _saying(smock, f"Mark {typed}, then 5-6 in, then 1,500 mm.")
    text = text_of(plan, SHOT)
    figure, both, span = mends_for(plan, text)
    assert (figure.act, figure.args[:-1]) == ("live figure", (*SHOT, typed))
    assert figure.words.startswith(f"Make it {{{figure.args[-1]}}}: ")
    assert (both.act, both.args) == ("both units", (*SHOT, typed))
    assert both.words.startswith("Write ")
    assert both.words.endswith(f" cm ({typed})")
    # 5 in are 12.70 cm, 6 in 15.24 cm
    assert (span.args, span.words) == ((*SHOT, "5-6 in"), "Write 12.7–15 cm (5-6 in)")
    assert mends_for(plan, text, "5-6 in") == (span,)
    assert mends_for(plan, text, "7 in") == ()


def test_the_figures_of_its_own_garment_are_offered_first(smock: Episode) -> None:
    """A choice of the same name in both garments means the text's own."""
    extra = changed(smock.garments[1], choices=(changed(smock.garments[0].choices[0],
                                                        value="77 cm"),))  # fmt: skip
    name = extra.choices[0].name
    plan = evaluate(changed(smock, garments=(smock.garments[0], extra)))
    shown = {}
    for garment in plan.episode.garments:
        text = text_of(plan, ("garment", garment.id, "summary"))
        assert text.own == garment.id
        rows = quotable(plan, text)
        assert len({row.name.lower() for row in rows}) == len(rows)
        shown[garment.id] = next(row.shown for row in rows if row.name == name)
    assert shown[extra.id] == "77 cm (30 3/8 in)"  # 30.315 in
    assert shown[plan.episode.garments[0].id] != shown[extra.id]


def test_a_text_about_another_cloth_quotes_the_figures_on_that_cloth(smock: Episode) -> None:
    garment = smock.garments[0]
    choice = next(one for one in garment.choices if one.name.lower() == "body ease")
    wool = {
        "name": "Wool", "instead_of": "Main cloth", "effect": f"The ease is {{{choice.name}}}.",
        "choices": ({"garment": garment.id, "choice": choice.name, "value": "33 cm"},),
    }  # fmt: skip
    plan = evaluate(changed(smock, other_cloths=(wool,)))
    key = ("other cloth", "Wool", "effect")
    assert text_of(plan, key).live.plain == "The ease is 33 cm (13 in)."  # 12.99 in
    said = evaluate(with_text(plan.episode, key, "It needs 33 cm more."))
    (offer,) = offers(said, key)
    assert choice.name in [one.name for one in offer.figures]


def test_the_shot_keeps_everything_else(smock: Episode) -> None:
    plan = _saying(smock, "Cut 12 in of tape.")
    after = with_both_units(plan, SHOT, "12 in")
    shots = changed_one(
        plan.episode.shots, "id", "intro", lambda s: changed(s, narration=after.shots[0].narration)
    )
    assert after == changed(plan.episode, shots=shots)
