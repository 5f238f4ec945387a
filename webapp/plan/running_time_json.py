"""Chapters, and what follows the filming, as the machine-readable plan tells them."""

from typing import Any

from webapp.plan.publishing import AfterWork, after_filming
from webapp.plan.results import Plan
from webapp.plan.screen_time import Video, extra, video


def running_time_json(plan: Plan) -> dict[str, Any]:
    """Seconds of the chapters; minutes of the whole voice-over and editing, and of what is left."""
    return {
        "chapters": _chapters(video(plan)),
        "extra_chapters": _chapters(extra(plan)),
        "after_filming": [_after(work) for work in after_filming(plan)],
    }


def _chapters(shown: Video) -> list[dict[str, Any]]:
    return [
        {"title": one.title, "starts_s": one.starts_s, "seconds": one.seconds, "shot": one.first}
        for one in shown.chapters
    ]


def _after(work: AfterWork) -> dict[str, Any]:
    return {
        "kind": work.kind,
        "done": work.done,
        **{
            name: {"low": minutes.low, "likely": minutes.likely, "high": minutes.high}
            for name, minutes in (("minutes", work.whole), ("minutes_left", work.left))
        },
    }
