"""Any sequence of edits: the plan cannot contradict itself, and nothing it keeps is lost.

Many more sequences are `python -m tests.bench oracle`.
"""

from collections.abc import Iterator
from random import Random
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from tests.choosers import ByHypothesis, BySeed
from tests.made import edited, small_episode
from tests.oracle import Onlooker, from_scratch
from webapp.plan import evaluate as evaluating
from webapp.plan.evaluate import evaluate
from webapp.plan.plan_json import plan_json


class AnyEdits(RuleBasedStateMachine):
    """An episode, and someone looking on."""

    def __init__(self) -> None:
        super().__init__()
        self.plan = evaluate(small_episode())
        self.onlooker = Onlooker()

    @rule(data=st.data())
    def edit(self, data: st.DataObject) -> None:
        done = edited(self.plan, ByHypothesis(data))
        if done is not None:
            self.onlooker.follow(self.plan, done)
            self.plan = evaluate(done.episode)

    @rule()
    def start_anew(self) -> None:
        """What is used again from before is what a fresh start would come to."""
        assert plan_json(self.plan) == from_scratch(self.plan.episode)

    @invariant()
    def nothing_contradicts(self) -> None:
        assert list(self.onlooker.differences(self.plan)) == []


AnyEdits.TestCase.settings = settings(max_examples=6, stateful_step_count=20, deadline=None)
TestAnyEdits = AnyEdits.TestCase


def _differences(seeds: range) -> Iterator[str]:
    for seed in seeds:
        choose, onlooker, plan = BySeed(Random(seed)), Onlooker(), evaluate(small_episode())
        for _ in range(20):
            done = edited(plan, choose)
            if done is not None:
                onlooker.follow(plan, done)
                plan = evaluate(done.episode)
                yield from onlooker.differences(plan)


def test_the_onlooker_sees_a_stale_shot_that_is_missed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The centimetres alone do not tell every figure that is shown otherwise."""
    by_both = evaluating.changes_since
    assert list(_differences(range(3))) == []

    def by_cm(*args: Any) -> Any:
        return tuple(c for c in by_both(*args) if c.now is None or c.now.cm != c.was.cm)

    monkeypatch.setattr(evaluating, "changes_since", by_cm)
    assert any("stale" in one for one in _differences(range(30)))
