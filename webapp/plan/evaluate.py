"""The one door to every computed figure: `evaluate(episode)` gives the whole plan.

Pure: the same episode gives the same plan; no clock, no disk, no web.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from itertools import pairwise
from typing import Final

from webapp.build.learning import Learned, LearnedTimes, learn
from webapp.build.rates import OwnRate, Rates, with_own
from webapp.build.steps import in_order
from webapp.build.work_time import Estimate, WorkPart, step_parts, total
from webapp.draft.construction import Step
from webapp.draft.evaluate import Draft
from webapp.draft.evaluate import evaluate as draft_on
from webapp.draft.names import Figures
from webapp.draft.recipe import Body, Recipe
from webapp.errors import FigureError, StepOrderError, WaitingError
from webapp.filming.every_rate import EVERY_RATE
from webapp.filming.figures import render
from webapp.filming.filming_time import (
    changeover_minutes,
    filming_minutes,
    is_made_up,
    work_seen_minutes,
)
from webapp.filming.running_time import screen_seconds, spoken_seconds
from webapp.filming.said import changes_since
from webapp.filming.shots import Shot
from webapp.plan.episode import Episode
from webapp.plan.figures import lengths_of, own_first
from webapp.plan.lays import LayPlan, lay_plans
from webapp.plan.notions import notion_plans
from webapp.plan.results import Plan, ShotPlan, StepPlan
from webapp.plan.sittings import whole_times
from webapp.remembered import Remembered, Same
from webapp.units import System

_DRAFTS_KEPT: Final = 100  # some episodes of two garments in a dozen sizes; 50 kB each
_drafts: Final[Remembered[tuple[str, ...], Draft]] = Remembered(_DRAFTS_KEPT)
_drafted: Final[Remembered[Same, tuple[Draft, ...]]] = Remembered(_DRAFTS_KEPT)
_learned: Final[Remembered[Same, LearnedTimes]] = Remembered(_DRAFTS_KEPT)
_lays: Final[Remembered[Same, tuple[LayPlan, ...]]] = Remembered(_DRAFTS_KEPT)
_Pace = tuple[tuple[str, float], ...]  # of an estimate: `by_pace`
_FiguresOf = Mapping[str, Mapping[str, float]]  # what a text may quote, by the id of its step


def evaluate(episode: Episode) -> Plan:
    """Compute every figure of the episode. Never raises for what a user can type: what cannot be
    computed is reported as a loose thread."""
    drafts = draft_all(episode.garments, episode.body)
    figures = lengths_of(drafts)
    rates = _rates(episode.rates)
    learned = _learned.get(
        Same((episode.time_log, episode.earlier_times, episode.brief, rates)),
        lambda: learn(whole_times(episode), rates),
    )
    steps, order_problem = _ordered_steps(Same(episode.garments))
    figures_of = {
        step.id: own
        for draft, own in ((draft, own_first(draft, figures)) for draft in drafts)
        for step in draft.recipe.steps
    }
    shots = _shot_plans(episode, steps, {"": figures, **figures_of}, drafts, rates, learned)
    step_plans = _step_plans(episode, steps, drafts, figures_of, shots, rates, learned)
    plan = Plan(
        episode=episode,
        drafts=drafts,
        figures_mm=figures,
        steps=step_plans,
        order_problem=order_problem,
        shots=shots,
        lays=_lays.get(laid_by(episode), partial(_laid, episode, drafts, steps)),
        notions=(),
        rates=rates,
        learned=learned,
        work=total([plan.work for plan in step_plans]),
        filming=total([plan.filming for plan in shots]),
        running_time_s=_running_time_s(episode, shots, extra=False),
        extra_running_time_s=_running_time_s(episode, shots, extra=True),
    )
    return replace(plan, notions=notion_plans(plan))


def laid_by(episode: Episode) -> Same:
    """What the lays of every size depend on."""
    bodies = (episode.body, *episode.sizes)
    return Same((*episode.garments, *bodies, episode.cloths, episode.kept_lays))


def _laid(
    episode: Episode, drafts: Sequence[Draft], steps: Sequence[tuple[str, Step]]
) -> tuple[LayPlan, ...]:
    return lay_plans(
        (piece for draft in drafts for piece in draft.pieces),
        episode.cloths,
        episode.kept_lays,
        (step for _, step in steps),
        size=episode.body.name,
        others=partial(_lays_of_sizes, episode),
    )


def _lays_of_sizes(episode: Episode) -> Sequence[LayPlan]:
    """The lays of every size, which may serve the body on camera, once its own is asked for."""
    from webapp.plan.sizes import size_table  # noqa: PLC0415 - it drafts on other bodies

    return [lay for size in size_table(episode) for lay in size.lays]


def _running_time_s(episode: Episode, shots: Sequence[ShotPlan], *, extra: bool) -> float:
    """Seconds of the shots of the extras' steps, or of all the others."""
    of_extras = {step.id for garment in episode.garments[1:] for step in garment.steps}
    return math.fsum(
        plan.screen_seconds for plan in shots if (plan.shot.step in of_extras) == extra
    )


def draft_all(garments: Sequence[Recipe], body: Body) -> tuple[Draft, ...]:
    """Draft every garment on a body; a later one may quote the pieces of an earlier one.

    Drafts are remembered by their content: an edit of the shots costs none, an undo neither.
    """
    asked = Same((body, *garments))
    return _drafted.get(asked, partial(_draft_all, garments, body))


def _draft_all(garments: Sequence[Recipe], body: Body) -> tuple[Draft, ...]:
    drafts: list[Draft] = []
    known = Figures()
    content: tuple[str, ...] = (body.model_dump_json(),)
    for garment in garments:
        content = (*content, garment.model_dump_json())
        draft = _drafts.get(content, partial(draft_on, garment, body, known))
        drafts.append(draft)
        # A choice belongs to its own garment; a piece's figures (`piece.figure`) to the episode.
        known = draft.names.of_pieces()
    return tuple(drafts)


@lru_cache(maxsize=50)
def _ordered_steps(of: Same) -> tuple[tuple[tuple[str, Step], ...], str]:
    """The steps with their garment, in an order that keeps every dependency if there is one."""
    garments: tuple[Recipe, ...] = of.values
    listed = [(garment.name, step) for garment in garments for step in garment.steps]
    garment_of = {step.id: name for name, step in listed}
    try:
        order = in_order([step for _, step in listed])
    except StepOrderError as error:
        return tuple(listed), error.sentence
    return tuple((garment_of[step.id], step) for step in order), ""


def _shot_plans(
    episode: Episode,
    steps: Sequence[tuple[str, Step]],
    figures_of: _FiguresOf,
    drafts: tuple[Draft, ...],
    rates: Rates,
    learned: LearnedTimes,
) -> tuple[ShotPlan, ...]:
    by_id = {step.id: step for _, step in steps}
    changeovers = _changeovers(episode, rates)
    around = Same((drafts, learned["filming"], episode.rates))
    plans = []
    for number, (shot, ready) in enumerate(zip(episode.shots, changeovers, strict=True), start=1):
        step = by_id.get(shot.step)
        figures = figures_of[step.id if step else ""]
        of = Same((shot, step, figures))
        plans.append(_shot_plan(number, ready, ready.by_pace, episode.first_unit, of, around))
    return tuple(plans)


@lru_cache(maxsize=4000)  # an edit of one shot leaves the others as they are
def _shot_plan(
    number: int, ready: Estimate, _pace: _Pace, first: System, of: Same, around: Same
) -> ShotPlan:
    """`_pace`: of `ready`, which is equal without it."""
    shot: Shot
    step: Step | None
    drafts: tuple[Draft, ...]
    filming: Learned
    shot, step, figures = of.values
    drafts, filming, own = around.values
    narration = render(shot.narration, figures, first)
    seconds = screen_seconds(shot, narration.plain, _rates(own))
    return ShotPlan(
        number=number,
        shot=shot,
        step_name=step.name if step else "",
        one_way=bool(step and step.one_way),
        narration=narration,
        card=render(shot.card, figures, first),
        screen_seconds=seconds,
        filming=filming.moved(total([ready, _filming(shot, seconds, narration.plain, step, own)])),
        ready=filming.moved(ready),
        changed=(
            changes_since(shot.filmed, figures, partial(_lacks, drafts)) if shot.filmed else ()
        ),
    )


def _lacks(drafts: Sequence[Draft], name: str) -> bool:
    return any(draft.lacks(name) for draft in drafts)


def _changeovers(episode: Episode, rates: Rates) -> Iterator[Estimate]:
    """Getting ready for each shot after the one listed before it, hair and make-up done once."""
    looks = {look.id: look for look in episode.looks}
    around = Same((episode.place_changes, episode.looks, rates))
    made_up = False
    for before, shot in pairwise((None, *episode.shots)):
        assert shot is not None
        yield _changeover(Same((before, shot)), around, made_up)
        made_up = made_up or is_made_up(shot, looks)


@lru_cache(maxsize=4000)
def _changeover(of: Same, around: Same, made_up: bool) -> Estimate:
    before, shot = of.values
    places, looks, rates = around.values
    by_id = {look.id: look for look in looks}
    return changeover_minutes(
        before, shot, places=places, looks=by_id, rates=rates, made_up=made_up
    )


def _filming(
    shot: Shot, seconds: float, narration: str, step: Step | None, own: tuple[OwnRate, ...]
) -> Estimate:
    spoken_s = spoken_seconds(narration, _rates(own))
    return _filming_alone(shot, seconds, spoken_s, bool(step and step.one_way), own)


@lru_cache(maxsize=2000)
def _filming_alone(
    shot: Shot, seconds: float, spoken_s: float, one_way: bool, own: tuple[OwnRate, ...]
) -> Estimate:
    return filming_minutes(shot, seconds, spoken_s=spoken_s, one_way=one_way, rates=_rates(own))


@lru_cache(maxsize=20)
def _rates(own: tuple[OwnRate, ...]) -> Rates:
    """Every rate, her own where she has one."""
    return with_own(EVERY_RATE, own)


@lru_cache(maxsize=1000)
def _parts(of: Same) -> tuple[WorkPart, ...]:
    step, drafts, own = of.values
    return step_parts(step, drafts, _rates(own))


def _step_plans(
    episode: Episode,
    steps: Sequence[tuple[str, Step]],
    drafts: tuple[Draft, ...],
    figures_of: _FiguresOf,
    shots: Sequence[ShotPlan],
    rates: Rates,
    learned: LearnedTimes,
) -> tuple[StepPlan, ...]:
    name_of = {step.id: step.name for _, step in steps}
    own_of: dict[str, list[ShotPlan]] = {}
    for plan in shots:
        own_of.setdefault(plan.shot.step, []).append(plan)
    return tuple(
        _step_plan(
            number,
            garment,
            tuple(name_of.get(other, other) for other in step.after),
            _Shown.by(own_of.get(step.id, ()), rates),
            episode.first_unit,
            Same((step, figures_of[step.id], drafts, learned, episode.rates)),
        )
        for number, (garment, step) in enumerate(steps, start=1)
    )


@dataclass(frozen=True)
class _Shown:
    """What its shots are to a step: their numbers, what filming adds, what they show of its work.

    The title and the words of a shot are nothing to it.
    """

    shots: tuple[int, ...]
    filming: tuple[Estimate, ...]
    _pace: tuple[_Pace, ...]  # of `filming`, which is equal without it
    seen_minutes: float

    @classmethod
    def by(cls, shots: Sequence[ShotPlan], rates: Rates) -> "_Shown":
        seen = (work_seen_minutes(one.shot, one.screen_seconds, rates) for one in shots)
        return cls(
            tuple(one.number for one in shots),
            tuple(one.filming for one in shots),
            tuple(one.filming.by_pace for one in shots),
            math.fsum(seen),
        )


@lru_cache(maxsize=2000)  # an edit leaves the steps as they are that it does not touch
def _step_plan(
    number: int, garment: str, waits_on: tuple[str, ...], shown: _Shown, first: System, of: Same
) -> StepPlan:
    step: Step
    learned: LearnedTimes
    step, figures, drafts, learned, own = of.values
    parts: tuple[WorkPart, ...] = ()
    problem, waits = "", False
    try:
        parts = tuple(
            learned[part.kind].moved_part(part) for part in _parts(Same((step, drafts, own)))
        )
    except WaitingError:
        waits = True
    except FigureError as error:
        problem = error.sentence
    work = total([part.shown for part in parts])
    return StepPlan(
        number=number,
        step=step,
        garment=garment,
        words=render(step.words, figures, first),
        spare=render(step.spare, figures, first),
        waits_on=waits_on,
        work=work,
        filming=total(shown.filming),
        shots=shown.shots,
        problem=problem,
        waits=waits,
        parts=parts,
        unseen=_unseen(work, shown.seen_minutes),
    )


def _unseen(work: Estimate, seen_minutes: float) -> Estimate:
    """What is left of the work when the camera has seen what the shots show of it."""
    if work.likely <= 0:
        return work
    return work.times(max(0.0, 1 - seen_minutes / work.likely))
