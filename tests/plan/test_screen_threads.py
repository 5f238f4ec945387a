"""What is told of how long the video runs, of its chapters and of words that do not fit."""

from tests.plan.test_shortening import EPISODE, SEVEN, SHOTS
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.mends import mended
from webapp.plan.plan_json import plan_json
from webapp.plan.screen_threads import (
    chapters_no_site_takes,
    running_time_over_target,
    words_longer_than_their_shot,
)


def _with_shot(name: str, **fields: object) -> Episode:
    shots = (changed(one, **fields) if one.id == name else one for one in SHOTS)
    return changed(EPISODE, shots=tuple(shots))


def test_what_to_shorten_first_is_offered_with_what_it_saves() -> None:
    """2:07 for 1:40: 20 s by speeding the seam up, 4 s by the hem, and so on."""
    (thread,) = running_time_over_target(evaluate(EPISODE))
    assert thread.sentence == "The video runs 2:07, 0:27 over its target of 1:40."
    assert thread.mends[0].words == "Speed up “sew-1”: 20 s shorter"
    assert len(thread.mends) <= 3
    longer = changed(EPISODE, brief=changed(EPISODE.brief, target_seconds=127))
    assert list(running_time_over_target(evaluate(longer))) == []


def test_words_that_cannot_be_said_in_the_typed_seconds_are_told_and_given_their_time() -> None:
    """28 words are 12 s; 20 of the 28 would be cut off in 3 s. Twelve seconds hold them."""
    words = " ".join([SEVEN] * 4)
    plan = evaluate(_with_shot("look", screen_seconds=3, narration=words))
    (thread,) = words_longer_than_their_shot(plan)
    assert thread.sentence == "Shot 7, “look”, is shown for 3 s, and its words take 12 s."
    (mend,) = thread.mends
    after = evaluate(mended(plan, mend.act, mend.args))
    assert after.shots[6].screen_seconds == 12
    assert list(words_longer_than_their_shot(after)) == []
    enough = evaluate(_with_shot("look", screen_seconds=12, narration=words))
    assert list(words_longer_than_their_shot(enough)) == []


def test_chapters_that_no_site_takes_are_told_and_none_without_chapters() -> None:
    assert list(chapters_no_site_takes(evaluate(EPISODE))) == []
    told = [
        one.sentence for one in chapters_no_site_takes(evaluate(_with_shot("sew-1", chapter="Sew")))
    ]
    assert told == [
        "Sites commonly show chapters from 3 on; there are 2.",
        "The first shot opens no chapter: give the beginning a name.",
    ]


def test_the_plan_file_tells_the_chapters_and_what_follows_filming() -> None:
    """The seam begins after 4 and 30 s; 2:07 of video at 4/3 h a minute are 2.8 h."""
    document = plan_json(evaluate(_with_shot("sew-1", chapter="Sew")))
    assert [(one["title"], one["starts_s"]) for one in document["chapters"]] == [
        ("Beginning", 0), ("Sew", 34),
    ]  # fmt: skip
    voice_over, editing = document["after_filming"]
    assert (voice_over["kind"], editing["kind"]) == ("voice-over", "editing")
    assert round(editing["minutes"]["likely"]) == round(127 / 60 * 4 / 3 * 60)
    assert editing["minutes_left"] == editing["minutes"]
