"""What is said, and what is shown on cards, timed by the plan's video."""

import math
from collections.abc import Iterator, Sequence
from itertools import accumulate
from typing import Final

from webapp.build.rates import Rates
from webapp.filming.running_time import spoken_seconds, spoken_words
from webapp.handouts.broken_lines import lines, parts
from webapp.handouts.shot_words import said_in, shown_in
from webapp.handouts.webvtt import Cue, document
from webapp.plan.results import Plan
from webapp.plan.screen_time import OnScreen, Video
from webapp.units import System

# Shorter than this a caption only flashes. Common practice, no source.
_LEAST_S: Final = 1.0
# A card of a word or two is read as long as one of so many. Common practice, no source.
_LEAST_WORDS: Final = 6


def captions_vtt(plan: Plan, shown: Video) -> bytes | None:
    """The narration in captions of two short lines at most; None when nothing is said.

    What is said in a shot begins with it, at the rate that the plan counts words by, or faster
    where the shot was given fewer seconds.
    """
    return document(cue for one in shown.shots for cue in _said(one, plan.rates))


def cards_vtt(plan: Plan, shown: Video) -> bytes | None:
    """The cards, one after another where a shot has several, each as long as its shot has room."""
    first = plan.episode.first_unit
    return document(cue for one in shown.shots for cue in _cards(one, first))


def _said(one: OnScreen, rates: Rates) -> Iterator[Cue]:
    text = said_in(one.plan)
    told = parts(text)
    spoken_s = spoken_seconds(text, rates) or one.seconds  # without words: signs and emoji
    for cue in _timed(told, one.starts_s, min(spoken_s, one.seconds)):
        last = cue.ends_s if cue.lines is not told[-1] else _end_of_last(cue, one)
        yield Cue(cue.starts_s, last, cue.lines)


def _end_of_last(cue: Cue, one: OnScreen) -> float:
    return max(cue.ends_s, min(cue.starts_s + _LEAST_S, one.starts_s + one.seconds))


def _cards(one: OnScreen, first: System) -> Iterator[Cue]:
    cards = [broken for card in shown_in(one.plan, first) if (broken := lines(card))]
    yield from _timed(cards, one.starts_s, one.seconds, _LEAST_WORDS)


def _timed(
    told: Sequence[Sequence[str]], starts_s: float, seconds: float, least: int = 1
) -> Iterator[Cue]:
    """One after another, each so long as its share of the words, counted `least` at least."""
    words = [max(least, spoken_words(" ".join(one))) for one in told]
    whole = math.fsum(words)
    until = [starts_s + seconds * (so_far / whole) for so_far in accumulate(words)]
    for one, begins, ends in zip(told, [starts_s, *until], until, strict=False):
        yield Cue(begins, ends, one)
