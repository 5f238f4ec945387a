"""Thread and machine needles to buy: worked out from what is sewn and what it is sewn on."""

from collections.abc import Iterator

from webapp.cloth.cloths import EpisodeCloth
from webapp.cloth.needles import Needle, needle_for
from webapp.cloth.notions import ToBuy
from webapp.cloth.weight import both_weights, read_weight
from webapp.draft.names import listed
from webapp.plan.results import Plan
from webapp.plan.thread_use import ThreadPlan, bought, spool_called, thread_use
from webapp.units import System


def weight_of(cloth: EpisodeCloth) -> float | None:
    """The cloth's weight in g/m²; None when none is typed that can be read."""
    try:
        return read_weight(cloth.weight) if cloth.weight else None
    except ValueError:
        return None


def thread_of(plan: Plan) -> ThreadPlan:
    """The thread of the plan, its layers as thick as the cloths are heavy."""
    weights = {cloth.name: weight_of(cloth) for cloth in plan.episode.cloths}
    return thread_use(plan, weights_g_m2={name: w for name, w in weights.items() if w})


def thread_to_buy(plan: Plan) -> ToBuy | None:
    """Spools for each machine and the thread they are for; None while not all can be counted."""
    first, used = plan.episode.first_unit, thread_of(plan)
    if not used.feeds or any(step.waits for step in plan.steps):
        return None
    spool = spool_called(used.choices.spool_m, first)
    told: list[str] = []
    for feed in used.feeds:
        spools = f"{feed.spools} spool{'s' if feed.spools > 1 else ''} of {spool}"
        count = spools if not told else f"{feed.spools} more"
        told.append(f"{count} for the {feed.name}, {bought(feed.total_mm, first)} of thread")
    why = ["Counted seam by seam, as if it were all of one colour."]
    if used.left_out:
        why.append(f"Not counted, as it has no length yet: {listed(used.left_out)}.")
    return ToBuy("; ".join(told), tuple(why), count=sum(feed.spools for feed in used.feeds))


def needles_to_buy(plan: Plan, count: int = 1) -> ToBuy | None:
    """The needle for the main cloth, the first that pieces are cut from, and what others take.

    None when the episode has no cloth.
    """
    cloths = list(_cloths(plan))
    if not cloths:
        return None
    first = plan.episode.first_unit
    needle = _needle(cloths[0])
    weight = weight_of(cloths[0])
    size = f"for {both_weights(weight, first)}" if weight else "the size by the cloth’s weight"
    point = needle.words if weight else needle.point
    times = f"{count}, " if count > 1 else ""
    why = [f"For {_called(cloths[0], first)}. {needle.why}"]
    for cloth in cloths[1:]:
        other = _needle(cloth)
        if other.words == needle.words:
            why.append(f"The same for {_called(cloth, first)}.")
        else:
            more = "" if other.why == needle.why else f" {other.why}"
            why.append(f"For {_called(cloth, first)}, {other.words}.{more}")
    return ToBuy(f"{times}{point}, {size}", tuple(why), count=count)


def _needle(cloth: EpisodeCloth) -> Needle:
    return needle_for(weight_of(cloth), cloth.stretch, f"{cloth.name} {cloth.description}")


def _called(cloth: EpisodeCloth, first: System) -> str:
    weight = weight_of(cloth)
    return f"{cloth.name}, {both_weights(weight, first)}" if weight else cloth.name


def _cloths(plan: Plan) -> Iterator[EpisodeCloth]:
    """The cloths that pieces are cut from; before there are pieces, all of them."""
    cut = [lay.cloth for lay in plan.lays]
    yield from cut or plan.episode.cloths
