"""What can be timed, and what is worked out for it: by the rates alone, and as it is shown."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from webapp.build.learning import NOTHING_LEARNED
from webapp.build.time_kinds import KIND_WORDS, TYPED, RatePrints
from webapp.build.time_log import KindShare, Timed, TimeKind, WorkedOut
from webapp.build.work_time import Estimate, WorkPart, total
from webapp.errors import NotThereError
from webapp.filming.shoot_days import ShootDay, told_day
from webapp.plan.days import day_plans
from webapp.plan.edits import changed
from webapp.plan.evaluate import evaluate
from webapp.plan.publishing import after_filming
from webapp.plan.results import Plan, StepPlan

_MOST_SHARES: Final = 20
_MOST_HELD: Final = 200
_TITLES: Final[Mapping[Timed, str]] = {"voice-over": "Voice-over", "editing": "Editing"}


@dataclass(frozen=True)
class ToTime:
    """Something to time, as it stands. Without work or shots it is worked out as no time."""

    timed: Timed
    item: str
    kind: TimeKind | None
    title: str
    table: Estimate
    shown: Estimate
    shares: tuple[KindShare, ...]
    holds: tuple[str, ...] = ()  # the ids of the steps worked on, of a shoot day


@dataclass(frozen=True)
class _Part:
    kind: TimeKind
    table: Estimate
    shown: Estimate
    typed: bool = False
    rates: tuple[str, ...] = ()  # it is worked out from; () where any of its kind may be


def to_time(plan: Plan, timed: Timed, item: str = "", kind: TimeKind | None = None) -> ToTime:
    """What is worked out for a step, a shoot day (its date), the voice-over or the editing.

    With a kind, for that kind of its work alone. NotThereError for a step, a day or a kind of
    work that is not there.
    """
    title, parts, holds = _parts(plan, timed, item)
    if kind is not None:
        parts = [part for part in parts if part.kind == kind]
        if not parts:
            raise NotThereError(f"“{title}” has no such work: {KIND_WORDS[kind].lower()}.")
    return ToTime(
        timed,
        item,
        kind,
        title,
        total([part.table for part in parts]),
        total([part.shown for part in parts]),
        _shares(parts, plan),
        holds if kind != "filming" else (),
    )


def worked_out(estimate: Estimate) -> WorkedOut:
    """The estimate as it is kept with a time."""
    return WorkedOut(low=estimate.low, likely=estimate.likely, high=estimate.high)


def untaught(plan: Plan) -> Plan:
    """The plan by the rates alone, as if no time had been taken."""
    if plan.learned is NOTHING_LEARNED:
        return plan
    return evaluate(changed(plan.episode, time_log=(), earlier_times=()))


def _parts(plan: Plan, timed: Timed, item: str) -> tuple[str, list[_Part], tuple[str, ...]]:
    """What it is called, its parts, and the steps worked on a shoot day."""
    if timed == "step":
        step = next((one for one in plan.steps if one.step.id == item), None)
        if step is None:
            raise NotThereError("The step to time is not there any more.")
        return step.step.name, [_of_work(part) for part in step.parts], ()
    if timed == "shoot day":
        return _parts_of_day(plan, item)
    table, shown = (
        {one.kind: one.whole for one in after_filming(of)} for of in (untaught(plan), plan)
    )
    return _TITLES[timed], [_Part(timed, table[timed], shown[timed])], ()


def _of_work(part: WorkPart) -> _Part:
    return _Part(part.kind, part.table, part.shown, part.typed, part.rates)


def _parts_of_day(plan: Plan, item: str) -> tuple[str, list[_Part], tuple[str, ...]]:
    day = next((one for one in plan.episode.shoot_days if one.day.isoformat() == item), None)
    if day is None:
        raise NotThereError("The shoot day to time is not there any more.")
    before = _before_filming(plan, day)
    shown, worked_on = _filming(before, day.day)
    table, _ = _filming(untaught(before), day.day)
    worked = [_of_work(part) for step in worked_on for part in step.parts]
    filmed = [_Part("filming", *both) for both in zip(table, shown, strict=True)]
    holds = tuple(step.step.id for step in worked_on)[:_MOST_HELD]
    return told_day(day.day), [*worked, *filmed], holds


def _filming(plan: Plan, day: date) -> tuple[list[Estimate], list[StepPlan]]:
    """The filming of a day's shots, and the steps that are worked between them."""
    by_id = {step.step.id: step for step in plan.steps}
    shots = [shot for one in day_plans(plan) if one.day.day == day for shot in one.shots]
    worked = [by_id[step] for shot in shots for step in shot.worked_ids]
    return [shot.filming for shot in shots], worked


def _before_filming(plan: Plan, day: ShootDay) -> Plan:
    """The plan as it stood before the day: what is filmed takes no time any more."""
    episode = plan.episode
    shots = tuple(
        changed(shot, filmed=None)
        if shot.id in day.shots and shot.filmed and shot.filmed.day in (None, day.day)
        else shot
        for shot in episode.shots
    )
    days = tuple(
        changed(one, goes_on_at=None) if one.day == day.day else one for one in episode.shoot_days
    )
    if (shots, days) == (episode.shots, episode.shoot_days):
        return plan
    return evaluate(changed(episode, shots=shots, shoot_days=days))


def _shares(parts: Sequence[_Part], plan: Plan) -> tuple[KindShare, ...]:
    """How much of the likely minutes each kind has by the table, the largest first."""
    whole = total([part.table for part in parts]).likely
    if whole <= 0:
        return ()
    prints = RatePrints(plan.rates)
    found: dict[tuple[TimeKind, bool], float] = {}
    by: dict[tuple[TimeKind, bool], dict[str, None]] = {}
    for part in _timed(parts):
        key = (part.kind, part.typed)
        found[key] = found.get(key, 0.0) + part.table.likely / whole
        rates = () if part.typed else part.rates or prints.keys(part.kind)
        by.setdefault(key, {}).update(dict.fromkeys(rates))
    largest = sorted(found.items(), key=lambda one: -one[1])[:_MOST_SHARES]
    return tuple(
        KindShare(
            kind=kind,
            share=min(1.0, share),
            rates=TYPED if typed else prints.of(tuple(by[kind, typed])),
            by=tuple(by[kind, typed]),
        )
        for (kind, typed), share in largest
    )


def _timed(parts: Iterable[_Part]) -> Iterable[_Part]:
    return (part for part in parts if part.table.likely > 0)
