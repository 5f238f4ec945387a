"""The steps as a graph: what waits on what, how long the longest chain is, what can be left.

The times are those of the critical path method: going forward, a step begins when the last of
what it waits on is done and has rested; going backward, it may begin so late that nothing after
it is later than the end of the longest chain. Many hands are supposed in that: one pair of hands
takes the steps one after the other, which `one_by_one` works out.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.draft.construction import Step

_HAIR: Final = 1e-6  # minutes: what is less has come of adding floats in another order


@dataclass(frozen=True, slots=True)
class Node:
    """A step in the graph; times are minutes from the beginning of the first step."""

    step: Step
    place: int  # in the build order, from 0
    minutes: float
    waits_on: tuple[str, ...]  # ids; not what one of these waits on anyway
    holds_up: tuple[str, ...]  # ids; the other way round
    before: tuple[str, ...]  # ids of all that must be done first, in build order
    behind: tuple[str, ...]  # ids of all that cannot be done before it, in build order
    level: int  # how many steps stand one behind the other before it
    earliest: float
    latest: float
    on_longest: bool = False

    @property
    def rest_minutes(self) -> float:
        """How long it lies before what comes after."""
        return 60 * self.step.rest_hours

    @property
    def slack(self) -> float:
        """Minutes it can be left without making the whole longer."""
        return max(0.0, self.latest - self.earliest)


@dataclass(frozen=True)
class Graph:
    """The steps in build order. `chain` is the longest chain, from its first step to its last."""

    nodes: Mapping[str, Node]
    chain: tuple[str, ...]

    @property
    def chain_minutes(self) -> float:
        """The work of the longest chain."""
        return sum(self.nodes[one].minutes for one in self.chain)

    @property
    def chain_rest_minutes(self) -> float:
        """The rests within the longest chain; what rests at its end holds nothing up."""
        return sum(self.nodes[one].rest_minutes for one in self.chain[:-1])

    @property
    def end(self) -> float:
        """When the last step is done, with hands enough."""
        return self.chain_minutes + self.chain_rest_minutes


@dataclass(frozen=True, slots=True)
class Idle:
    """A wait with nothing to do, before a step, for the rest of another."""

    step: Step
    rests: Step
    minutes: float
    meanwhile: tuple[Step, ...] = ()  # listed later, and could be done now


@dataclass(frozen=True, slots=True)
class OneByOne:
    """The steps done one after the other: minutes of work, and what is waited in between."""

    minutes: float
    idle: tuple[Idle, ...]

    @property
    def idle_minutes(self) -> float:
        """All that is waited."""
        return sum(one.minutes for one in self.idle)


def build_graph(steps: Sequence[Step], minutes: Mapping[str, float]) -> Graph:
    """The graph of steps listed in build order, with the minutes of each by its id.

    What a step waits on counts when it is listed before it: where steps wait on each other in a
    circle, the wait that closes the circle is left out of account (see `steps.order_problem`),
    and so is one on a step that is not there.
    """
    place = {step.id: at for at, step in enumerate(steps)}
    waits = [
        tuple(dict.fromkeys(place[w] for w in step.after if place.get(w, at) < at))
        for at, step in enumerate(steps)
    ]
    before = _reachable(waits)
    direct = [
        tuple(w for w in own if not any(before[other] >> w & 1 for other in own)) for own in waits
    ]
    held: list[list[int]] = [[] for _ in steps]
    for at, own in enumerate(direct):
        for wait in own:
            held[wait].append(at)
    taken = [minutes.get(step.id, 0.0) for step in steps]
    rests = [60 * step.rest_hours for step in steps]
    earliest, latest = _times(taken, rests, direct, held)
    chain = _longest(taken, rests, direct, earliest)
    ids = [step.id for step in steps]

    def named(places: Sequence[int]) -> tuple[str, ...]:
        return tuple(ids[at] for at in places)

    levels: list[int] = []
    for own in direct:
        levels.append(1 + max((levels[wait] for wait in own), default=-1))
    nodes = {
        step.id: Node(
            step,
            at,
            taken[at],
            named(direct[at]),
            named(held[at]),
            named([one for one in range(at) if before[at] >> one & 1]),
            named([one for one in range(at + 1, len(ids)) if before[one] >> at & 1]),
            levels[at],
            earliest[at],
            latest[at],
            at in chain,
        )
        for at, step in enumerate(steps)
    }
    return Graph(nodes, named(chain))


def one_by_one(graph: Graph) -> OneByOne:
    """The steps in build order by one pair of hands: each begins when the one before is done and
    what it waits on has rested. With each idle wait comes what could be done in it."""
    nodes = tuple(graph.nodes.values())
    now, worked = 0.0, 0.0
    ready: dict[str, float] = {}
    idle: list[Idle] = []
    for node in nodes:
        last = max(node.waits_on, key=lambda one: ready[one], default="")
        waited = ready[last] - now if last else 0.0
        if waited > _HAIR:
            done = {one for one, when in ready.items() if when <= now + _HAIR}
            free = _meanwhile(nodes[node.place + 1 :], done)
            idle.append(Idle(node.step, graph.nodes[last].step, waited, free))
            now = ready[last]
        now += node.minutes
        worked += node.minutes
        ready[node.step.id] = now + node.rest_minutes
    return OneByOne(worked, tuple(idle))


def _meanwhile(later: Sequence[Node], done: set[str]) -> tuple[Step, ...]:
    """Of the later steps those that wait only on what is done, or on one another."""
    free: list[Step] = []
    for node in later:
        if done.issuperset(node.waits_on):
            free.append(node.step)
            done = {*done, node.step.id}
    return tuple(free)


def _reachable(waits: Sequence[Sequence[int]]) -> list[int]:
    """By place, all that must come before, as a number with a bit for each place."""
    before: list[int] = []
    for own in waits:
        mask = 0
        for wait in own:
            mask |= before[wait] | 1 << wait
        before.append(mask)
    return before


def _times(
    taken: Sequence[float],
    rests: Sequence[float],
    direct: Sequence[Sequence[int]],
    held: Sequence[Sequence[int]],
) -> tuple[list[float], list[float]]:
    """The earliest and the latest beginning of each step."""
    earliest: list[float] = []
    for own in direct:
        earliest.append(max((earliest[w] + taken[w] + rests[w] for w in own), default=0.0))
    end = max((start + own for start, own in zip(earliest, taken, strict=True)), default=0.0)
    latest = [0.0] * len(taken)
    for at in reversed(range(len(taken))):
        done_by = min((latest[one] - rests[at] for one in held[at]), default=end)
        latest[at] = done_by - taken[at]
    return earliest, latest


def _longest(
    taken: Sequence[float],
    rests: Sequence[float],
    direct: Sequence[Sequence[int]],
    earliest: Sequence[float],
) -> tuple[int, ...]:
    """The places of the chain that takes longest; of equals, that of the earlier listed steps."""
    if not taken:
        return ()
    ends = [start + own for start, own in zip(earliest, taken, strict=True)]
    at = max(range(len(taken)), key=lambda one: (ends[one], -one))
    chain = [at]
    while direct[at]:
        at = max(direct[at], key=lambda w: (ends[w] + rests[w], -w))
        chain.append(at)
    return tuple(reversed(chain))
