"""Loose threads of how long the video runs."""

from collections.abc import Iterable
from typing import Final

from webapp.filming.running_time import clock
from webapp.plan.results import LooseThread, Mend, Place, Plan
from webapp.plan.screen_time import extra, video
from webapp.plan.shortening import enough, shortenings

_MENDS_SHOWN: Final = 3  # the rest is on the page itself


def running_time_over_target(plan: Plan) -> Iterable[LooseThread]:
    """A video longer than its target, with what to shorten first."""
    target = plan.episode.brief.target_seconds
    if target is not None and plan.running_time_s > target:
        over = plan.running_time_s - target
        first = enough(shortenings(plan), video(plan).over_s)[:_MENDS_SHOWN]
        yield LooseThread(
            "should",
            Place("running-time"),
            f"The video runs {clock(plan.running_time_s)}, {clock(over)} over its target of "
            f"{clock(target)}.",
            tuple(
                Mend(one.act, one.args, f"{one.words}: {one.saves_s:.0f} s shorter")
                for one in first
            ),
        )


def words_longer_than_their_shot(plan: Plan) -> Iterable[LooseThread]:
    """A shot with typed seconds in which its words cannot be said."""
    for one in (*video(plan).shots, *extra(plan).shots):
        if one.too_short_for_words:
            shot = one.plan.shot
            yield LooseThread(
                "should",
                Place("running-time", item=shot.id),
                f"Shot {one.plan.number}, “{shot.title}”, is shown for {one.seconds:.0f} s, and "
                f"its words take {one.spoken_s:.0f} s.",
                (Mend("to its words", (shot.id,), "Show it as long as its words take"),),
            )


def chapters_no_site_takes(plan: Plan) -> Iterable[LooseThread]:
    """Chapters that are too few or too short to be shown, or that begin without a name."""
    for fault in video(plan).chapter_faults:
        yield LooseThread("should", Place("running-time", item="chapters"), fault)
