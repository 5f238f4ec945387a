"""What is got ready for a shoot day: the night before, at hand, and what can hurt."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import timedelta
from typing import Final

from webapp.draft.construction import Work
from webapp.draft.names import listed, name_key, plural
from webapp.filming.shoot_days import told_day
from webapp.handouts.call_sheet_view import Group, Item
from webapp.handouts.cautions import cautions_for
from webapp.plan.day_plan import DayPlan, DoneBefore, hours
from webapp.plan.looks_used import rolling
from webapp.plan.results import Plan, StepPlan
from webapp.plan.timetable import to_wear

# What each kind of work is done with: common practice, no source.
_TOOLS: Final[Mapping[str, tuple[str, ...]]] = {
    "draw": ("Chalk", "Ruler and tape"),
    "cut": ("Shears",),
    "rotary cutter": ("Rotary cutter", "Cutting mat and ruler"),
    "pin": ("Pins and their dish",),
    "machine": ("Sewing machine, threaded",),
    "overlock": ("Overlocker, threaded",),
    "hand": ("Needle for hand sewing",),
    "press": ("Iron and board",),
    "turn": ("Something blunt to turn corners with",),
    "try on": ("Mirror",),
}
_SEWN: Final = frozenset({"machine", "overlock", "hand"})
_FOR_SEWING: Final = frozenset({"thread", "needles"})


def steps_of(plan: Plan, day: DayPlan) -> tuple[StepPlan, ...]:
    """The steps that are worked on a day, from its shots still to be filmed, in build order."""
    worked = {name for shot in day.to_film for name in (*shot.worked_ids, shot.plan.shot.step)}
    return tuple(step for step in plan.steps if step.step.id in worked)


def before(plan: Plan, day: DayPlan) -> Iterator[Group]:
    """What is done before the day: work off camera, pressing, batteries and cards."""
    if day.beforehand:
        yield Group("Work", tuple(_evening_work(one, day) for one in day.beforehand))
    pressed = [
        Item(what, f"for “{one.look.name}”") for one in to_wear(plan, day) for what in one.press
    ]
    if pressed:
        yield Group("Press", tuple(pressed))
    camera = [one for one in rolling(plan) if one.day == day.day.day]
    if camera:
        one = camera[0]
        yield Group(
            "Camera",
            (
                Item(f"Charge {plural(one.batteries, 'battery', 'batteries')}"),
                Item(f"Empty {plural(one.cards, 'memory card', 'memory cards')}"),
            ),
        )


def at_hand(plan: Plan, day: DayPlan) -> Iterator[Group]:
    """What should lie ready for the shots of a day: cloth, pieces, tools, notions, what is worn."""
    steps = steps_of(plan, day)
    work = [each for step in steps for each in step.step.work]
    pieces = _pieces(plan, work)
    cloths = {name_key(piece.cloth) for piece in plan.pieces if piece.name in pieces}
    shown = [one for one in plan.episode.cloths if not cloths or name_key(one.name) in cloths]
    if steps and shown:
        yield Group("Cloth", tuple(Item(one.name, one.description) for one in shown))
    if pieces:
        yield Group("Pieces", (Item(listed(pieces)),))
    tools = dict.fromkeys(tool for each in work for tool in _tools(each))
    if tools:
        yield Group("Tools", tuple(Item(tool) for tool in tools))
    sewn = any(each.kind in _SEWN for each in work)
    notions = [
        # How much thread to buy is for the shop.
        Item(one.notion.name, "" if one.notion.kind == "thread" else one.amount.plain)
        for one in plan.notions
        if sewn or one.notion.kind not in _FOR_SEWING
    ]
    if steps and notions:
        yield Group("Notions", tuple(notions))
    for one in to_wear(plan, day):
        made_up = ("Hair and make-up",) if one.look.made_up else ()
        if made_up or one.at_hand:
            yield Group(one.look.name, tuple(Item(what) for what in (*made_up, *one.at_hand)))


def short_cautions(steps: Iterable[StepPlan]) -> str:
    """What can hurt in these steps, by name: the companion has the words. Empty without any."""
    found = cautions_for(step.step for step in steps)
    told = ", ".join(one.title.lower() for one in found if not one.look_up)
    return f"{told[:1].upper()}{told[1:]}." if told else ""


def _evening_work(one: DoneBefore, day: DayPlan) -> Item:
    """Its evening is told where it is not the last before the day."""
    told = [hours(one.step.work.likely)] if one.step.work.likely > 0 else []
    if one.evening is not None and one.evening + timedelta(days=1) != day.day.day:
        told.append(f"evening of {told_day(one.evening)}")
    if one.step.step.rest_hours:
        told.append(f"then it rests for {one.step.step.rest_hours:g} hours")
    missed = ""
    if one.waits_for:
        missed = f"waits on what is not done: {listed(one.waits_for)}"
    elif one.too_soon:
        missed = " ".join(late.told for late in one.too_soon)
    elif one.too_long:
        missed = "more than the evening holds"
    return Item(one.step.step.name, ", ".join(told), missed)


def _pieces(plan: Plan, work: Iterable[Work]) -> tuple[str, ...]:
    """The names of the pieces, and of those with the seams and edges, that is worked on."""
    joined = {
        name_key(seam.name): [use.edge for use in (*seam.one, *seam.other)]
        for draft in plan.drafts
        for seam in draft.recipe.seams
    }
    named: set[str] = set()
    for each in work:
        named |= {name_key(name) for name in each.pieces}
        edges = [use.edge for use in each.edges]
        for seam in each.seams:
            edges += joined.get(name_key(seam), [])
        named |= {name_key(edge.split(".")[0]) for edge in edges}
    return tuple(dict.fromkeys(p.name for p in plan.pieces if name_key(p.name) in named))


def _tools(work: Work) -> tuple[str, ...]:
    wanted = work.tool if work.kind == "cut" and work.tool == "rotary cutter" else work.kind
    return _TOOLS.get(wanted, ())
