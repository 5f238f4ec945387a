"""What makes the video shorter: what each act saves and loses, and which of them are enough."""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from webapp.errors import NotThereError
from webapp.filming.figures import quoted
from webapp.filming.running_time import LEAST_SHARE, screen_seconds
from webapp.filming.shots import Pace, Shot
from webapp.plan.edits import changed, changed_one, with_step, without
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.plan.screen_time import OnScreen, Video, extra, video

ShorteningAct = Literal["speed up", "talk over", "to its words", "leave out"]
PACE_OF: Final[dict[ShorteningAct, Pace]] = {"speed up": "sped up", "talk over": "talked over"}

LEAST_SAVED_S: Final = 1.0  # less is not worth an act

# What is lost, from the least on. Our own order, no source.
_QUICKER, _LESS_TO_LOOK_AT, _ONE_WAY_QUICKER = 1, 2, 3
_ASIDE_OUT, _WORDS_OUT, _FIGURES_OUT, _ONE_WAY_OUT, _STEP_UNSEEN = 4, 5, 6, 7, 8


@dataclass(frozen=True, slots=True)
class Shortening:
    """An act on one shot: the seconds it saves and what viewers lose, the least loss ranked 1."""

    act: ShorteningAct
    on: OnScreen
    saves_s: float
    rank: int
    loses: str

    @property
    def args(self) -> tuple[str]:
        """What the act is done to: the id of the shot."""
        return (self.on.plan.shot.id,)

    @property
    def words(self) -> str:
        """What a button says that does it."""
        title = f"“{self.on.plan.shot.title}”"
        return {
            "speed up": f"Speed up {title}",
            "talk over": f"Talk over {title}",
            "to its words": f"Show {title} no longer than its words",
            "leave out": f"Leave out {title}",
        }[self.act]


def shortenings(plan: Plan) -> tuple[Shortening, ...]:
    """All that makes the video shorter by a second or more, the least loss first, then the most
    saved.

    Left out are: the first and the last shot, talking that would be hurried, the only shot of a
    step that cannot be taken back, the only one of the styled piece, and one that shows a fitting.
    """
    shown = video(plan)
    found = [
        one for on in shown.shots for one in (*_quicker(plan, on), *_left_out(plan, shown, on))
    ]
    return tuple(sorted(found, key=_by_loss))


def leaving_out(plan: Plan, shot_id: str) -> Shortening | None:
    """The act that leaves that shot out of the video; None where the shot must stay, or is in no
    video."""
    shown = video(plan)
    found = (
        one
        for on in shown.shots
        if on.plan.shot.id == shot_id
        for one in _left_out(plan, shown, on)
    )
    return next(found, None)


def _by_loss(one: Shortening) -> tuple[float, ...]:
    """Of two that save as much on a shot, talking over it is the gentler."""
    return (one.rank, -round(one.saves_s, 3), one.on.plan.number, one.act == "speed up")


def enough(found: Sequence[Shortening], over_s: float) -> tuple[Shortening, ...]:
    """The first of these acts that together save so many seconds, at most one a shot.

    What a later, larger one makes needless is taken out again, the gravest loss first, and where
    talking over a shot does, it is not sped up. None leaves a step that cannot be taken back
    without a shot. All there are when they are not enough.
    """
    picked: list[Shortening] = []
    for one in found:
        if sum(each.saves_s for each in picked) >= over_s:
            break
        if _goes_with(one, picked):
            picked.append(one)
    for one in reversed(tuple(picked)):
        if sum(each.saves_s for each in picked) - one.saves_s >= over_s:
            picked.remove(one)
    for gentler in (one for one in found if one.act == "talk over"):
        for at, one in enumerate(picked):
            saved = sum(each.saves_s for each in picked) - one.saves_s + gentler.saves_s
            if one.on is gentler.on and one.act == "speed up" and saved >= over_s:
                picked[at] = gentler
    return tuple(picked)


def fewer_words(shown: Video) -> float | None:
    """By what share all words would have to be cut to meet the target; None when words alone
    cannot do it, or none need to go."""
    if shown.over_s <= 0:
        return None

    def seconds(share: float) -> float:
        return math.fsum(
            one.seconds
            if one.length_from != "words"
            else max(one.spoken_s * (1 - share), _least(one.plan.shot))
            for one in shown.shots
        )

    target = shown.seconds - shown.over_s
    if seconds(1.0) > target:
        return None
    low, high = 0.0, 1.0
    for _ in range(40):
        half = (low + high) / 2
        low, high = (half, high) if seconds(half) > target else (low, half)
    return high


def shortened(plan: Plan, act: ShorteningAct, shot_id: str) -> Episode:
    """The episode with one act done. NotThereError when there is no such shot.

    At another pace, typed seconds shrink too, but not below the words. When a shot is left out it
    is off its shoot days, the next one opens its chapter, unless that opens one of its own, and a
    step that no shot shows any more is done off camera.
    """
    on = _shot_of(plan, shot_id)
    if act == "leave out":
        return _without_shot(plan, on.plan.shot)
    new = changed(on.plan.shot, screen_seconds=None)
    return _with_shot(plan.episode, new if act == "to its words" else _at_pace(on, PACE_OF[act]))


def with_shortened(plan: Plan) -> Episode:
    """The episode with the first acts that bring the video to its target."""
    for one in enough(shortenings(plan), video(plan).over_s):
        plan = evaluate(shortened(plan, one.act, *one.args))
    return plan.episode


def _quicker(plan: Plan, on: OnScreen) -> Iterator[Shortening]:
    shot, one_way = on.plan.shot, on.plan.one_way
    faster: dict[ShorteningAct, Shot] = {}
    if shot.kind in ("step", "cutaway"):
        faster = {
            act: _at_pace(on, pace)
            for act, pace in PACE_OF.items()
            if LEAST_SHARE[pace] < LEAST_SHARE[shot.pace]
        }
    if shot.screen_seconds is not None:
        faster["to its words"] = changed(shot, screen_seconds=None)
    for act, new in faster.items():
        saved = on.seconds - screen_seconds(new, on.plan.narration.plain, plan.rates)
        if saved < LEAST_SAVED_S:
            continue
        if one_way:
            loses = "some of the time to see what cannot be taken back"
            yield Shortening(act, on, saved, _ONE_WAY_QUICKER, loses)
        elif act == "to its words":
            yield Shortening(act, on, saved, _LESS_TO_LOOK_AT, "a moment to look without words")
        else:
            yield Shortening(act, on, saved, _QUICKER, "no word, only the slow picture")


def _left_out(plan: Plan, shown: Video, on: OnScreen) -> Iterator[Shortening]:
    if on in (shown.shots[0], shown.shots[-1]) or _must_stay(plan, on):
        return
    shot = on.plan.shot
    figures = len(dict.fromkeys(quoted(shot.narration)))
    told = "" if not figures else ", with a figure" if figures == 1 else f", with {figures} figures"
    words = f"its words{told}" if on.spoken_s else "a picture without words"
    if shot.step and _shots_by_step(plan)[shot.step] == 1:
        rank, loses = _STEP_UNSEEN, f"“{on.plan.step_name}” is done off camera"
    elif on.plan.one_way:
        rank, loses = _ONE_WAY_OUT, f"{words}, of what cannot be taken back"
    elif figures:
        rank, loses = _FIGURES_OUT, words
    elif shot.kind in ("cutaway", "styling"):
        rank, loses = _ASIDE_OUT, f"a {'cutaway' if shot.kind == 'cutaway' else 'look'} and {words}"
    else:
        rank, loses = _WORDS_OUT, words
    filmed = ", and it is filmed already" if shot.filmed else ""
    yield Shortening("leave out", on, on.seconds, rank, loses + filmed)


def _must_stay(plan: Plan, on: OnScreen) -> bool:
    shot = on.plan.shot
    if any(fitting.shot == shot.id for fitting in plan.episode.fittings):
        return True
    if shot.kind == "styling" and sum(one.shot.kind == "styling" for one in plan.shots) == 1:
        return True
    return on.plan.one_way and _shots_by_step(plan)[shot.step] == 1


def _goes_with(one: Shortening, picked: Sequence[Shortening]) -> bool:
    """False for a second act on a shot, and for the last shot of a step that is left."""
    if any(each.on is one.on for each in picked):
        return False
    step = one.on.plan.shot.step
    if one.act != "leave out" or not step or one.rank == _STEP_UNSEEN:
        return True
    return not any(each.act == "leave out" and each.on.plan.shot.step == step for each in picked)


def _shots_by_step(plan: Plan) -> Counter[str]:
    return Counter(row.shot.step for row in plan.shots)


def _at_pace(on: OnScreen, pace: Pace) -> Shot:
    shot = on.plan.shot
    if shot.screen_seconds is None:
        return changed(shot, pace=pace)
    share = min(1.0, LEAST_SHARE[pace] / LEAST_SHARE[shot.pace])
    least = max(shot.screen_seconds * share, on.spoken_s)
    return changed(shot, pace=pace, screen_seconds=min(shot.screen_seconds, math.ceil(least)))


def _least(shot: Shot) -> float:
    return screen_seconds(shot, "")


def _shot_of(plan: Plan, shot_id: str) -> OnScreen:
    for on in (*video(plan).shots, *extra(plan).shots):
        if on.plan.shot.id == shot_id:
            return on
    raise NotThereError("That shot is not there any more.")


def _with_shot(episode: Episode, new: Shot) -> Episode:
    return changed(episode, shots=changed_one(episode.shots, "id", new.id, lambda _: new))


def _without_shot(plan: Plan, shot: Shot) -> Episode:
    episode = _with_chapter_passed_on(plan, shot)
    days = tuple(
        changed(day, shots=tuple(one for one in day.shots if one != shot.id))
        for day in episode.shoot_days
    )
    episode = changed(episode, shots=without(episode.shots, "id", shot.id), shoot_days=days)
    if shot.step and not any(one.step == shot.step for one in episode.shots):
        return with_step(episode, shot.step, lambda step: changed(step, off_camera=True))
    return episode


def _with_chapter_passed_on(plan: Plan, shot: Shot) -> Episode:
    shots = [on.plan.shot for on in video(plan).shots]
    after = shots[shots.index(shot) + 1 :] if shot in shots else []
    if not shot.chapter or not after or after[0].chapter:
        return plan.episode
    return _with_shot(plan.episode, changed(after[0], chapter=shot.chapter))
