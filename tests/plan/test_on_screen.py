"""A plan in the other unit is the same plan, read by someone else."""

from tests.demo_documents import EPISODES, SMOCK
from webapp.plan.evaluate import evaluate
from webapp.plan.on_screen import on_screen
from webapp.plan.results import LooseThread, Place


def test_it_is_the_plan_itself_in_its_own_order() -> None:
    plan = evaluate(EPISODES[SMOCK])
    assert on_screen(plan, "cm") is plan
    assert on_screen(plan, "in") is on_screen(plan, "in")
    assert on_screen(plan, "in").episode.first_unit == "in"


def test_what_viewers_read_is_the_same_and_so_are_days_sizes_and_lays() -> None:
    plan = evaluate(EPISODES[SMOCK])
    shown = on_screen(plan, "in")
    assert shown.texts is plan.texts
    assert [row.narration for row in shown.shots] == [row.narration for row in plan.shots]
    assert (shown.days, shown.sizes, shown.cutting) == (plan.days, plan.sizes, plan.cutting)
    assert shown.lays is plan.lays


def test_what_to_buy_is_told_in_her_order_and_what_was_typed_about_it_as_it_reads() -> None:
    plan = evaluate(EPISODES[SMOCK])
    pairs = list(zip(plan.notions, on_screen(plan, "in").notions, strict=True))
    turned = [hers for own, hers in pairs if own.buy and own.buy.why != (hers.buy and hers.buy.why)]
    assert turned
    for own, hers in pairs:
        assert own.why == hers.why
        if own.notion.amount:
            assert own.amount == hers.amount


def test_a_loose_thread_tells_its_figures_in_her_order_and_quotes_as_it_stands() -> None:
    plan = evaluate(EPISODES[SMOCK])
    said = "Shot 1 says “30 cm (11 13/16 in) wide”, and the hem is 31 cm (12 1/4 in)."
    vars(plan)["loose_threads"] = (LooseThread("must", Place("shots"), said),)
    (thread,) = on_screen(plan, "in").loose_threads
    assert thread.sentence == (
        "Shot 1 says “30 cm (11 13/16 in) wide”, and the hem is 12 1/4 in (31 cm)."
    )


def test_the_threads_are_not_looked_for_twice() -> None:
    plan = evaluate(EPISODES[SMOCK])
    shown = on_screen(plan, "in")
    assert not shown.threads_are_known
    assert len(shown.loose_threads) == len(plan.loose_threads)
    assert shown.threads_are_known
