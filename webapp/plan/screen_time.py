"""The video as it is watched: every shot with its time on the screen, and the chapters."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from webapp.filming.chapters import Chapter, chapter_faults, chapters, suggested
from webapp.filming.running_time import spoken_seconds
from webapp.filming.shots import Pace
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.results import Plan, ShotPlan

LengthFrom = Literal["typed", "words", "least"]


@dataclass(frozen=True, slots=True)
class OnScreen:
    """A shot of the video, seconds: when it begins, and how long its words take.

    `speed` is how many times as fast as the work a sped-up picture of it goes, when all of the
    step's work that no other shot shows is in it; 1 when that is not known.
    """

    plan: ShotPlan
    starts_s: float
    spoken_s: float
    speed: float = 1.0

    @property
    def seconds(self) -> float:
        """How long it is on the screen."""
        return self.plan.screen_seconds

    @property
    def length_from(self) -> LengthFrom:
        """What it is so long by: typed seconds, its words, or the least a viewer needs."""
        if self.plan.shot.screen_seconds is not None:
            return "typed"
        return "words" if self.spoken_s >= self.seconds else "least"

    @property
    def too_short_for_words(self) -> bool:
        """True when its words take longer than the seconds that were typed for it."""
        return self.spoken_s > self.seconds + 0.5

    @property
    def is_voiced_over(self) -> bool:
        """True when its words are recorded after filming: the picture is not in real time."""
        shot = self.plan.shot
        return shot.kind != "talking" and shot.pace != "real time" and self.spoken_s > 0


@dataclass(frozen=True)
class Video:
    """A video's shots in the order they are seen; `target_s` is how long it is to be."""

    shots: tuple[OnScreen, ...]
    step_names: Mapping[str, str]  # by id
    target_s: int | None = None

    @cached_property
    def seconds(self) -> float:
        """How long it runs."""
        return math.fsum(one.seconds for one in self.shots)

    @property
    def guessed(self) -> int:
        """How many of its shots have neither words nor seconds, so that it is a guess."""
        return sum(
            one.length_from == "least" and not one.spoken_s
            for one in self.shots
            if one.plan.shot.kind in ("step", "talking")
        )

    @property
    def over_s(self) -> float:
        """Seconds over the target; less than nought when it is under it, nought without one."""
        return self.seconds - self.target_s if self.target_s is not None else 0.0

    @cached_property
    def chapters(self) -> tuple[Chapter, ...]:
        """Its chapters; none while no shot opens one."""
        return chapters([(one.plan.shot, one.seconds) for one in self.shots])

    @property
    def chapter_faults(self) -> tuple[str, ...]:
        """What a site would not take of its chapters."""
        return chapter_faults(self.chapters)

    @cached_property
    def suggested(self) -> Mapping[str, str]:
        """The chapters that the build suggests: by the shot that opens one, what it is called."""
        shots = [(one.plan.shot, one.seconds) for one in self.shots]
        return suggested(shots, self.step_names)

    @property
    def voice_over_s(self) -> float:
        """Seconds of speech that are recorded after filming."""
        return math.fsum(one.spoken_s for one in self.shots if one.is_voiced_over)

    def seconds_at(self, pace: Pace) -> float:
        """Seconds of pictures at a pace; talking is told apart."""
        return math.fsum(
            one.seconds
            for one in self.shots
            if one.plan.shot.pace == pace and one.plan.shot.kind != "talking"
        )

    @property
    def talking_s(self) -> float:
        """Seconds of talking to the camera."""
        return math.fsum(one.seconds for one in self.shots if one.plan.shot.kind == "talking")


def video(plan: Plan) -> Video:
    """The video itself, worked out once: see `video_of`."""
    return plan.video


def extra(plan: Plan) -> Video:
    """The members' extra, worked out once: see `extra_of`."""
    return plan.extra


def video_of(plan: Plan) -> Video:
    """The video itself: the shots of its garment and those of no step."""
    extras = _steps_of_extras(plan)
    shots = (shot for shot in plan.shots if shot.shot.step not in extras)
    return Video(_timed(shots, plan), _names(plan), plan.episode.brief.target_seconds)


def extra_of(plan: Plan) -> Video:
    """The members' extra: the shots of the other garments' steps."""
    extras = _steps_of_extras(plan)
    shots = (shot for shot in plan.shots if shot.shot.step in extras)
    return Video(_timed(shots, plan), _names(plan))


def with_suggested_chapters(plan: Plan) -> Episode:
    """The episode with the chapters that the build suggests in the place of any others."""
    names = video(plan).suggested
    shots = (changed(shot, chapter=names.get(shot.id, "")) for shot in plan.episode.shots)
    return changed(plan.episode, shots=tuple(shots))


def _steps_of_extras(plan: Plan) -> set[str]:
    return {step.id for garment in plan.episode.garments[1:] for step in garment.steps}


def _names(plan: Plan) -> Mapping[str, str]:
    return {row.step.id: row.step.name for row in plan.steps}


def _timed(shots: Iterable[ShotPlan], plan: Plan) -> tuple[OnScreen, ...]:
    found = []
    starts = 0.0
    speeds = plan.speeds
    for shot in shots:
        spoken = spoken_seconds(shot.narration.plain, plan.rates)
        speed = speeds.get(shot.shot.step, 1.0) if shot.shot.pace == "sped up" else 1.0
        found.append(OnScreen(shot, starts, spoken, speed))
        starts += shot.screen_seconds
    return tuple(found)


def speeds_of(plan: Plan) -> Mapping[str, float]:
    """How many times as fast as the work the sped-up shots of each step are, by its id."""
    at_speed: dict[str, float] = {}
    others: dict[str, float] = {}
    for row in plan.shots:
        seconds = at_speed if row.shot.pace == "sped up" else others
        seconds[row.shot.step] = seconds.get(row.shot.step, 0.0) + row.screen_seconds
    return {
        step: max(1.0, (60 * row.work.likely - others.get(step, 0.0)) / at_speed[step])
        for row in plan.steps
        if (step := row.step.id) in at_speed
    }
