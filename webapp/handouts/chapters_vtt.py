"""The chapters of the video as WebVTT: players jump to them."""

from webapp.handouts.broken_lines import plain
from webapp.handouts.webvtt import Cue, document
from webapp.plan.results import Plan
from webapp.plan.screen_time import Video


def chapters_vtt(_: Plan, shown: Video) -> bytes | None:
    """Every chapter from its beginning to the next, the first from nought; None without any."""
    return document(
        Cue(one.starts_s, one.starts_s + one.seconds, (plain(one.title),)) for one in shown.chapters
    )
