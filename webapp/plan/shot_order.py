"""Which shots must be filmed before which, and the order in which the build would have them."""

from collections.abc import Sequence, Set
from itertools import pairwise

from webapp.filming.day_order import as_listed
from webapp.plan.day_parts import DayParts
from webapp.plan.results import ShotPlan

Pair = tuple[str, str]


def filmed_first(parts: DayParts, shots: Sequence[ShotPlan]) -> set[Pair]:
    """Pairs of ids, the first to be filmed before the second, among these shots as listed.

    - The shots of a step in the order listed, all of them after those of the steps it waits on.
    - A cutaway of no step shows the garment as it stands there in the list: it comes after the
      shot of a step listed before it, and before the one listed after it where that must follow.
    - Styling of no step comes after all shots of the first garment's steps, as it wears the
      finished piece, and after those of any other garment that is all listed before it.
    - Talking is free.
    """
    by_step: dict[str, list[str]] = {}
    for shot in shots:
        if shot.shot.step in parts.steps:
            by_step.setdefault(shot.shot.step, []).append(shot.shot.id)
    pairs = {pair for own in by_step.values() for pair in pairwise(own)}
    for step, own in by_step.items():
        pairs |= {(by_step[wait][-1], own[0]) for wait in parts.waits[step] if wait in by_step}
    return pairs | _around_cutaways(parts, shots) | _before_styling(parts, shots)


def nights_between(
    parts: DayParts,
    listed: Sequence[str],
    before: set[Pair],
    rest_minutes: float,
    done: Set[str] = frozenset(),
) -> tuple[dict[str, int], dict[str, int]]:
    """How many nights must at least lie before each shot, and after it, among these shots.

    One lies wherever a step that rests for longer than `rest_minutes`, longer than a day is, comes
    between two shots. `listed` has every shot after those that come before it.

    A step rests once the last of its shots is filmed, so each of them lies a night ahead of what
    has to wait. Steps that are `done` keep nothing waiting, nor does what is ahead of them.
    """
    waits_of = _waits_on_undone(parts, done)
    rests = [
        (name, {name, *waits_of[name]})
        for name, step in parts.steps.items()
        if 60 * step.step.rest_hours > rest_minutes and name not in done
    ]
    step_of = {name: parts.shots[name].shot.step for name in listed}
    works = {name: step for name, step in step_of.items() if step in parts.steps}
    ahead: dict[str, set[str]] = {name: set() for name in listed}
    for earlier, later in before:
        ahead[later].add(earlier)
    nights_before: dict[str, int] = {}
    nights_after = dict.fromkeys(listed, 0)
    apart: dict[tuple[str, str], int] = {}
    for name in listed:
        waits: Set[str] = waits_of.get(parts.shots[name].shot.step, frozenset())
        for one in tuple(ahead[name]):
            ahead[name] |= ahead[one]
        for one in ahead[name]:
            apart[one, name] = any(
                rest in waits and works.get(one) in through for rest, through in rests
            )
        nights_before[name] = max(
            (nights_before[one] + apart[one, name] for one in ahead[name]), default=0
        )
    for name in reversed(listed):
        for one in ahead[name]:
            nights_after[one] = max(nights_after[one], nights_after[name] + apart[one, name])
    return nights_before, nights_after


def _waits_on_undone(parts: DayParts, done: Set[str]) -> dict[str, set[str]]:
    """The steps each waits on, directly or through others, as far as they are still to be done."""
    found: dict[str, set[str]] = {}
    for name, step in parts.steps.items():  # in build order
        found[name] = set()
        if name not in done:
            for wait in step.step.after:
                if wait in found and wait not in done:
                    found[name] |= {wait, *found[wait]}
    return found


def in_build_order(parts: DayParts, shots: Sequence[ShotPlan]) -> tuple[str, ...]:
    """These shots by the number of their step; one of no step stays behind the one listed before.

    Where that breaks what must come first, a shot is put off as little as can be.
    """
    keys: dict[str, tuple[int, int]] = {}
    number = 0
    for place, shot in enumerate(shots):
        if shot.shot.step in parts.steps:
            number = parts.steps[shot.shot.step].number
        keys[shot.shot.id] = (number, place)
    names = sorted(keys, key=lambda name: keys[name])
    return by_number(names, filmed_first(parts, shots))


def by_number(names: Sequence[str], pairs: set[Pair]) -> tuple[str, ...]:
    """The names in this order as far as the pairs allow it; what waits in a circle is left out."""
    place = {name: at for at, name in enumerate(names)}
    numbered = [(place[a], place[b]) for a, b in pairs if a in place and b in place]
    return tuple(names[at] for at in as_listed(len(names), numbered))


def _around_cutaways(parts: DayParts, shots: Sequence[ShotPlan]) -> set[Pair]:
    pairs: set[Pair] = set()
    before: ShotPlan | None = None
    for place, shot in enumerate(shots):
        if shot.shot.step in parts.steps:
            before = shot
        elif shot.shot.kind == "cutaway" and before is not None:
            pairs.add((before.shot.id, shot.shot.id))
            after = next((s for s in shots[place + 1 :] if s.shot.step in parts.steps), None)
            if after is not None and _follows(parts, after.shot.step, before.shot.step):
                pairs.add((shot.shot.id, after.shot.id))
    return pairs


def _follows(parts: DayParts, step: str, other: str) -> bool:
    return step == other or other in parts.waits[step]


def _before_styling(parts: DayParts, shots: Sequence[ShotPlan]) -> set[Pair]:
    places: list[dict[str, int]] = []  # of the shots of each garment
    for garment in parts.plan.episode.garments:
        own = {step.id for step in garment.steps}
        places.append({s.shot.id: at for at, s in enumerate(shots) if s.shot.step in own})
    pairs: set[Pair] = set()
    for place, shot in enumerate(shots):
        if shot.shot.kind == "styling" and shot.shot.step not in parts.steps:
            for number, garment_shots in enumerate(places):
                if number == 0 or all(at < place for at in garment_shots.values()):
                    pairs |= {(name, shot.shot.id) for name in garment_shots}
    return pairs
