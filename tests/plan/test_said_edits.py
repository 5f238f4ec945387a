"""What is decided about a filmed shot, and the loose threads about it."""

from collections.abc import Iterator
from datetime import date

import pytest

from webapp.errors import NotThereError
from webapp.filming.said import in_both
from webapp.filming.said import said as said_now
from webapp.filming.shots import Filmed, Shot
from webapp.plan.edits import changed, changed_one, in_size, with_choice
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.mends import mended, offered
from webapp.plan.new_names import with_piece_name
from webapp.plan.results import LooseThread, Plan
from webapp.plan.said_edits import (
    cards,
    with_answers_taken_back,
    with_change_accepted,
    with_correction_card,
    with_earlier_take,
    with_shot_filmed,
    with_shot_to_film,
    with_shots_filmed,
    with_words_said,
)

SMOCK, DAY = "lighthouse-smock", date(2027, 1, 4)
SHOT = "hem-card"


@pytest.fixture
def filmed(smock: Episode) -> Episode:
    """The smock with one shot that says the front's hem and the ease, filmed."""
    first = changed(
        smock.shots[0], id=SHOT, narration="Hem {Front.hem}, ease {body ease}.", card=""
    )
    episode = changed(smock, shots=(first, *smock.shots[1:]), shoot_days=())
    return with_shot_filmed(evaluate(episode), SHOT, DAY)


def moved(filmed: Episode, ease: str = "31 cm") -> Plan:
    return evaluate(with_choice(filmed, SMOCK, "body ease", ease))


def told(plan: Plan) -> Iterator[LooseThread]:
    return (one for one in plan.loose_threads if one.place.item == SHOT)


def test_a_shot_that_says_another_figure_than_the_draft_is_loose(filmed: Episode) -> None:
    assert not list(told(evaluate(filmed)))
    (thread,) = told(moved(filmed))
    assert thread.severity == "must"
    assert thread.sentence == (
        "As it was filmed, shot 1 says Front hem is 31 cm (12 1/4 in), now 32.5 cm (12 3/4 in); "
        "Body ease is 26 cm (10 1/4 in), now 31 cm (12 1/4 in)."
    )


def test_it_can_be_filmed_again(filmed: Episode) -> None:
    plan = moved(filmed)
    (thread,) = told(plan)
    again, _ = thread.mends
    assert offered(plan, again.act, again.args) == again
    after = mended(plan, again.act, again.args)
    assert after.shots[0].filmed is None
    assert not list(told(evaluate(after)))


def test_what_was_said_before_is_kept_until_it_is_filmed_again(filmed: Episode) -> None:
    carded = with_correction_card(moved(filmed), SHOT)
    first = carded.shots[0]
    again = with_shot_to_film(carded, SHOT)
    assert (again.shots[0].filmed, again.shots[0].earlier) == (None, first.filmed)
    assert with_shot_to_film(again, SHOT) == again  # pressed twice, nothing is lost
    assert with_earlier_take(again, SHOT).shots[0] == first
    anew = with_shot_filmed(evaluate(again), SHOT, DAY)
    assert anew.shots[0].earlier is None
    with pytest.raises(NotThereError, match="No earlier take"):
        with_earlier_take(anew, SHOT)


def test_an_earlier_take_follows_a_new_name_and_is_of_the_body_on_camera(filmed: Episode) -> None:
    again = with_shot_to_film(filmed, SHOT)
    renamed = with_piece_name(again, SMOCK, "Front", "Forepart").shots[0].earlier
    assert renamed is not None and renamed.said[0].name == "Forepart.hem"
    other = in_size(again, filmed.sizes[-1].name)
    assert other.shots[0].earlier is None


def test_a_card_puts_it_right_and_is_needless_once_it_is_as_it_was_said(filmed: Episode) -> None:
    plan = moved(filmed)
    (thread,) = told(plan)
    after = mended(plan, "correction card", thread.mends[1].args)
    assert not list(told(evaluate(after)))
    further = evaluate(with_choice(after, SMOCK, "body ease", "33 cm"))
    assert not list(told(further))  # the card is live
    assert [one.now.cm for one in cards(further.shots[0]) if one.now] == ["33 cm", "33 cm"]
    back = evaluate(with_choice(after, SMOCK, "body ease", "26 cm"))
    (needless,) = told(back)
    assert (needless.severity, needless.mends[0].act) == ("should", "card out")
    clean = mended(back, "card out", needless.mends[0].args)
    assert clean.shots[0] == filmed.shots[0]


def test_it_can_be_left_with_a_note_until_it_moves_again(filmed: Episode) -> None:
    plan = moved(filmed)
    with pytest.raises(ValueError, match="Say why"):
        with_change_accepted(plan, SHOT, "  ")
    after = with_change_accepted(plan, SHOT, "The hem is out of the picture.")
    assert not list(told(evaluate(after)))
    (again,) = told(evaluate(with_choice(after, SMOCK, "body ease", "33 cm")))
    assert again.severity == "must"
    assert with_answers_taken_back(after, SHOT).shots[0].filmed == filmed.shots[0].filmed


def test_a_figure_that_is_no_more_can_be_left_but_not_put_right(filmed: Episode) -> None:
    garment, *extras = filmed.garments
    pieces = tuple(piece for piece in garment.pieces if piece.name != "Front")
    plan = evaluate(
        changed(filmed, garments=(changed(garment, pieces=pieces, seams=(), checks=()), *extras))
    )
    thread = next(one for one in told(plan) if "no more" in one.sentence)
    assert [mend.act for mend in thread.mends] == ["film again"]
    with pytest.raises(NotThereError):
        with_correction_card(plan, SHOT)
    after = evaluate(with_change_accepted(plan, SHOT, "There is another front now."))
    assert not after.shots[0].stale


def test_a_draft_that_cannot_be_drawn_for_now_makes_nothing_stale(filmed: Episode) -> None:
    broken = evaluate(with_choice(filmed, SMOCK, "front neck depth", "200 cm"))
    assert "front.hem" not in broken.figures_mm
    assert not list(told(broken))


def test_what_was_said_follows_a_new_name(filmed: Episode) -> None:
    renamed = with_piece_name(filmed, SMOCK, "Front", "Forepart")
    assert not list(told(evaluate(renamed)))
    (thread,) = told(moved(renamed))
    assert "Forepart hem" in thread.sentence


def test_other_words_are_loose(filmed: Episode) -> None:
    def edit(shot: Shot) -> Shot:
        return changed(shot, narration="Hem {Front.hem}.")

    shots = changed_one(filmed.shots, "id", SHOT, edit)
    plan = evaluate(changed(filmed, shots=shots))
    (thread,) = told(plan)
    assert (thread.severity, thread.mends[0].act) == ("should", "film again")
    settled = with_words_said(plan, SHOT)
    assert not list(told(evaluate(settled)))
    assert settled.shots[0].filmed == Filmed(
        day=DAY,
        narration="Hem 31 cm (12 1/4 in).",
        said=(filmed.shots[0].filmed or Filmed()).said[:1],
    )


def test_words_told_anew_keep_what_was_said_and_decided(filmed: Episode) -> None:
    def edit(shot: Shot) -> Shot:
        return changed(shot, narration="At {front.HEM}, not {Front.width}.")

    carded = with_correction_card(moved(filmed), SHOT)
    plan = evaluate(changed(carded, shots=changed_one(carded.shots, "id", SHOT, edit)))
    settled = evaluate(with_words_said(plan, SHOT))
    said = settled.shots[0].shot.filmed
    assert said is not None
    width = said_now("front.width", plan.figures_mm["front.width"])
    assert said.narration == f"At 31 cm (12 1/4 in), not {in_both(width, 'cm')}."
    assert said.corrected == ("front.hem",)  # the ease is said no more, so its card goes with it
    assert not list(told(settled))


def test_a_figure_is_its_own_garments_once_the_shot_is_of_another(filmed: Episode) -> None:
    """What was said stays; what it is now is read as the shot's text reads it."""
    cowl = next(one for one in filmed.garments[1:] if one.steps)
    twin = changed(filmed.garments[0].choices[0], name="body ease", value="9 cm")
    garments = tuple(
        changed(one, choices=(*one.choices, twin)) if one is cowl else one
        for one in filmed.garments
    )
    assert not list(told(evaluate(changed(filmed, garments=garments))))

    def edit(shot: Shot) -> Shot:
        return changed(shot, step=cowl.steps[0].id)

    shots = changed_one(filmed.shots, "id", SHOT, edit)
    plan = evaluate(changed(filmed, garments=garments, shots=shots))
    (figure,) = plan.shots[0].stale
    assert figure.told("cm") == ("26 cm (10 1/4 in)", "9 cm (3 9/16 in)")


def test_several_are_marked_at_once_and_one_is_taken_back(smock: Episode) -> None:
    ids = [shot.id for shot in smock.shots[:3]]
    after = with_shots_filmed(evaluate(smock), ids, DAY)
    assert [isinstance(shot.filmed, Filmed) for shot in after.shots[:4]] == [True] * 3 + [False]
    again = with_shot_to_film(after, ids[1]).shots[1]
    assert changed(again, earlier=None) == smock.shots[1]
    with pytest.raises(NotThereError):
        with_shots_filmed(evaluate(smock), [*ids, "none"], DAY)


def test_another_size_is_not_what_was_said_on_camera(filmed: Episode) -> None:
    other = filmed.sizes[-1].name
    assert not list(told(evaluate(in_size(filmed, other))))
    assert in_size(filmed, filmed.body.name) == filmed
    assert in_size(filmed, other).shots[0].filmed is not None
