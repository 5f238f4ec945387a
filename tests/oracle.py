"""An onlooker of edits who works out from plan.json alone what must be so, by code of its own.

It never asks the functions it checks: figures are read from plan.json, live figures are filled in
here, and what was shown when a shot was filmed is written down here as it is filmed.
"""

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any, Final
from unittest.mock import patch

from tests.made import Done
from webapp.cloth.lay import first_lay
from webapp.draft import piece_drafting
from webapp.draft.reuse import Reuse
from webapp.plan import evaluate as evaluating
from webapp.plan import size_lays
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.plan_json import plan_json
from webapp.plan.results import Plan
from webapp.remembered import Remembered

_LIVE: Final = re.compile(r"\{([^{}]*[^{}\s][^{}]*)\}")
Shown = tuple[str, str]  # in cm, in inches


def _key(name: str) -> str:
    """A name without regard to capitals and spaces."""
    return re.sub(r"\s*\.\s*", ".", " ".join(name.split())).lower()


@dataclass
class Said:
    """What one shot says since it was filmed."""

    figures: dict[str, Shown]
    carded: set[str] = field(default_factory=set)
    accepted: dict[str, Shown | None] = field(default_factory=dict)


@dataclass
class Onlooker:
    """Follows an episode from edit to edit."""

    said: dict[str, Said] = field(default_factory=dict)
    revisions: list[str] = field(default_factory=list)
    days_planned: bool = False
    worked_out: dict[str, Any] = field(default_factory=dict)  # of the times taken, as it stood then

    def follow(self, before: Plan, done: Done) -> None:
        """Write down what an edit did, from what plan.json showed before it."""
        told = plan_json(before)
        self.days_planned = done.days_planned
        new = {entry.id for entry in done.episode.time_log} - {*self.worked_out}
        for one in told["steps"]:
            if one["id"] == done.timed:
                self.worked_out |= dict.fromkeys(new, one["work_minutes"])
        shots = {shot.id: shot for shot in before.episode.shots}
        for shot in (shots[one] for one in done.filmed):
            known = _figures(told, before.episode, shot.step)
            quoted = map(_key, _LIVE.findall(f"{shot.narration} {shot.card}"))
            self.said[shot.id] = Said({name: known[name] for name in quoted if name in known})
        self.said.pop(done.again, None)
        for one in (done.carded, done.accepted):
            if not one:
                continue
            known = _figures(told, before.episode, shots[one].step)
            for name in self._stale(before, one, known):
                if one == done.accepted:
                    self.said[one].accepted[name] = known.get(name)
                elif name in known:
                    self.said[one].carded.add(name)
        self._rename(done.piece_renamed, done.choice_renamed)

    def _rename(self, piece: tuple[str, str], choice: tuple[str, str]) -> None:
        def renamed(name: str) -> str:
            first, dot, rest = name.partition(".")
            old, new = map(_key, piece if dot else choice)
            return f"{new}{dot}{rest}" if first == old and old else name

        for one in self.said.values():
            one.figures = {renamed(name): shown for name, shown in one.figures.items()}
            one.carded = set(map(renamed, one.carded))
            one.accepted = {renamed(name): shown for name, shown in one.accepted.items()}

    def _stale(self, plan: Plan, shot_id: str, known: Mapping[str, Shown]) -> set[str]:
        one = self.said[shot_id]
        found = set()
        for name, was in one.figures.items():
            now = known.get(name)
            if now == was or (now is None and plan.lacks(name)):
                continue
            carded = name in one.carded and now is not None
            if not carded and not (name in one.accepted and one.accepted[name] == now):
                found.add(name)
        return found

    # --- What must be so ---------------------------------------------------------------------

    def differences(self, plan: Plan) -> Iterator[str]:
        """Everything that is not as it must be, a line each."""
        told = plan_json(plan)
        yield from self._stale_shots(plan, told)
        yield from _texts(plan, told)
        yield from self._lost_revisions(plan.episode)
        yield from self._old_estimates(plan.episode)
        if self.days_planned:
            yield from _days(plan, told)

    def _old_estimates(self, episode: Episode) -> Iterator[str]:
        """What was worked out when a time was taken stays, whatever her rates and times become."""
        for entry in episode.time_log:
            shown = [entry.shown.low, entry.shown.likely, entry.shown.high]
            then = [*self.worked_out[entry.id].values()]
            if any(abs(a - b) > 0.01 for a, b in zip(shown, then, strict=True)):
                yield f"{entry.id}: {shown} was worked out, which was {then}"

    def _stale_shots(self, plan: Plan, told: Mapping[str, Any]) -> Iterator[str]:
        for row in plan.shots:
            found = {_key(one.name) for one in row.stale}
            if row.shot.filmed is None:
                wanted: set[str] = set()
            else:
                known = _figures(told, plan.episode, row.shot.step)
                wanted = self._stale(plan, row.shot.id, known)
            if found != wanted:
                yield f"shot {row.number}: stale {sorted(found)}, should be {sorted(wanted)}"

    def _lost_revisions(self, episode: Episode) -> Iterator[str]:
        """Revisions only grow; a new name may be written into them, nothing else."""
        now = [revision.title for revision in episode.revisions]
        if now[: len(self.revisions)] != self.revisions:
            yield f"revisions were {self.revisions} and are {now}"
        if [revision.number for revision in episode.revisions] != list(range(len(now))):
            yield "revisions are not numbered one after the other"
        self.revisions = now


def _figures(told: Mapping[str, Any], episode: Episode, step: str) -> dict[str, Shown]:
    """What a text of a step may quote: the figures of its garment, else of the episode."""
    own = next((g.id for g in episode.garments if any(s.id == step for s in g.steps)), None)
    known = next((g["figures"] for g in told["garments"] if g["id"] == own), told["figures"])
    return {name: (figure["cm"], figure["inch"]) for name, figure in known.items()}


def _texts(plan: Plan, told: Mapping[str, Any]) -> Iterator[str]:
    episode = plan.episode
    shots = {shot["id"]: shot for shot in told["shots"]}
    steps = {step["id"]: step for step in told["steps"]}
    texts = [
        (f"{shot.id} {name}", shot.step, getattr(shot, name), shots[shot.id][name])
        for shot in episode.shots
        for name in ("narration", "card")
    ]
    texts += [
        (f"{step.id} words", step.id, step.words, steps[step.id]["words"])
        for garment in episode.garments
        for step in garment.steps
    ]
    for where, step, typed, shown in texts:
        known = _figures(told, episode, step)
        filled = _filled(typed, known, episode.first_unit)
        if filled != shown:
            yield f"{where}: “{shown}”, should be “{filled}”"


def _days(plan: Plan, told: Mapping[str, Any]) -> Iterator[str]:
    """Days just planned hold each shot once, and none before what its step waits on is filmed."""
    after = {
        step["id"]: set(step["after"]) & {s["id"] for s in told["steps"]} for step in told["steps"]
    }
    for _ in after:  # what is waited on through others, too
        after = {step: own.union(*(after[one] for one in own)) for step, own in after.items()}
    shots = {shot.id: shot for shot in plan.episode.shots}
    order = [one for day in plan.episode.shoot_days for one in day.shots if not shots[one].filmed]
    if len(set(order)) < len(order):
        yield f"a shot is on the days twice: {order}"
    seen: list[str] = []
    for one in order:
        step = shots[one].step
        for other in seen:
            if step in after.get(shots[other].step, set()):
                yield f"{other} is filmed before {one}, which its step waits on"
        if step and any(shots[other].step == step for other in _shots_after(order, one, shots)):
            yield f"{one} is filmed before a shot of its step that is listed before it"
        seen.append(one)


def _shots_after(order: list[str], one: str, shots: Mapping[str, Any]) -> list[str]:
    """The shots filmed after one that are listed before it."""
    listed = [*shots]
    later = order[order.index(one) + 1 :]
    return [other for other in later if listed.index(other) < listed.index(one)]


def _filled(typed: str, known: Mapping[str, Shown], first: str) -> str:
    def figure(live: re.Match[str]) -> str:
        shown = known.get(_key(live[1]))
        if shown is None:
            return live[0]
        cm, inch = shown
        return f"{cm} ({inch})" if first == "cm" else f"{inch} ({cm})"

    return _LIVE.sub(figure, typed)


@contextmanager
def nothing_remembered() -> Iterator[None]:
    """Everything is drafted and laid anew, as on a fresh start: no lay of another test is used."""
    size_lays.quick.cache_clear()
    size_lays.lent_lay.cache_clear()
    size_lays.match.cache_clear()
    with (
        patch.object(piece_drafting, "_pieces", Reuse(0)),
        patch.object(evaluating, "_drafts", Remembered(0)),
        patch.object(size_lays, "first_lay", first_lay),  # not the one of tests/shared_lays
    ):
        yield


def from_scratch(episode: Episode) -> dict[str, Any]:
    """plan.json of the episode with nothing used again, read from its text."""
    with nothing_remembered():
        return plan_json(evaluate(Episode.model_validate_json(episode.model_dump_json())))
