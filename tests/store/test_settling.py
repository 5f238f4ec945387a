"""What is checked only where it was changed is what checking all of it comes to."""

from random import Random
from typing import Any

import pytest

from tests.choosers import BySeed
from tests.made import edited, small_episode
from webapp.errors import StoreError
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.store.documents import settle
from webapp.store.episode_file import from_text, to_text


@pytest.mark.parametrize("seed", range(6))
def test_edits_settle_as_the_whole_document_would(seed: int) -> None:
    choose, now = BySeed(Random(seed)), from_text(to_text(small_episode()))
    made = 0
    for _ in range(20):
        done = edited(evaluate(now), choose)
        if done is None:
            continue
        whole = from_text(to_text(done.episode))
        before, (now, text) = now, settle(done.episode, now)
        assert (now, text) == (whole, to_text(whole))
        assert type(now) is Episode
        made += before is not now
    assert made > 5


def test_what_was_not_changed_is_the_same_part_as_before(smock: Episode) -> None:
    before = from_text(to_text(smock))
    shots = (changed(before.shots[0], title="Another"), *before.shots[1:])
    after, _ = settle(changed(before, shots=shots), before)
    assert after.garments[0] is before.garments[0]
    assert all(one is other for one, other in zip(after.shots[1:], before.shots[1:], strict=True))
    assert after.shots[0] is not shots[0]  # it was read back


@pytest.mark.parametrize(
    ("update", "place"),
    [
        ({"title": ""}, "title"),
        ({"number": 10_000}, "number"),
        ({"currency": "euro"}, "currency"),
        ({"bought": ("x" * 5000,)}, "bought"),
        ({"looks": ("no look",)}, "looks"),
    ],
)
def test_what_does_not_hold_together_is_refused_with_its_place(
    smock: Episode, update: dict[str, Any], place: str
) -> None:
    before = from_text(to_text(smock))
    with pytest.raises(StoreError, match=f"The change does not fit the plan at {place}"):
        settle(before.model_copy(update=update), before)


def test_two_parts_of_one_name_are_refused(smock: Episode) -> None:
    before = from_text(to_text(smock))
    twice = before.model_copy(update={"shots": (*before.shots, before.shots[0])})
    with pytest.raises(StoreError, match="does not fit the plan"):
        settle(twice, before)


def test_a_part_changed_deep_inside_is_checked(smock: Episode) -> None:
    before = from_text(to_text(smock))
    shot = before.shots[0].model_copy(update={"title": "x" * 5000})
    broken = before.model_copy(update={"shots": (shot, *before.shots[1:])})
    with pytest.raises(StoreError, match=r"at .*shots"):
        settle(broken, before)
