"""Loose threads of how long the video runs."""

from collections.abc import Iterable
from typing import Final

from webapp.filming.running_time import clock
from webapp.plan.results import LooseThread, Mend, Place, Plan
from webapp.plan.screen_time import video
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
