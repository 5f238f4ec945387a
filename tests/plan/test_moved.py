"""What a change moved is what is shown otherwise, no more and no less."""

import re

import pytest

from webapp.plan.edits import changed, with_choice, with_measure
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.moved import moved
from webapp.plan.plan_json import plan_json

SMOCK = "lighthouse-smock"


@pytest.mark.parametrize("value", ["26 cm", "24 cm", "26.01 cm", "31 cm"])
def test_moved_are_the_figures_that_plan_json_shows_otherwise(smock: Episode, value: str) -> None:
    smock = changed(smock, sizes=())
    after = with_choice(smock, SMOCK, "body ease", value)
    old, new = (plan_json(evaluate(episode))["figures"] for episode in (smock, after))
    otherwise = {
        name
        for name in old
        if (old[name]["cm"], old[name]["inch"]) != (new[name]["cm"], new[name]["inch"])
    }
    assert {one.name.lower() for one in moved(smock, evaluate(after)).figures} == otherwise


def test_where_the_moved_figures_are_told(smock: Episode) -> None:
    after = evaluate(with_choice(smock, SMOCK, "body ease", "31 cm"))
    found = moved(smock, after)
    names = {one.name.lower() for one in found.figures}
    quoting = {
        f"Shot {shot.number}, {field}"
        for shot in after.shots
        for field in ("narration", "card")
        if names & {q.lower() for q in re.findall(r"\{([^{}]+)\}", getattr(shot.shot, field))}
    }
    assert quoting
    assert {text.what for text in found.texts if text.place.page == "shots"} == quoting


def test_a_body_moves_figures_and_words_do_not(smock: Episode) -> None:
    larger = changed(smock, body=with_measure(smock.body, "bust", "110 cm"))
    assert "bust" in {one.name for one in moved(smock, evaluate(larger)).figures}
    retold = changed(smock, title="Another title", shots=smock.shots[1:])
    assert not moved(smock, evaluate(retold))


def test_a_choice_that_cannot_be_drafted_moves_only_what_is_still_there(smock: Episode) -> None:
    deep = evaluate(with_choice(smock, SMOCK, "front neck depth", "200 cm"))
    names = {one.name for one in moved(smock, deep).figures}
    assert "front neck depth" in names
    assert not any(name.startswith("Front.") for name in names)
