"""What would mislead someone who cuts and sews from the sheets, among the grave loose threads.

Days, running time and times, and the companion itself, spoil no cloth; nor does a length at hand
that is too short, for viewers buy what the sheet says. A further size misleads where it is printed.
"""

from typing import Final

from webapp.plan.care_threads import (
    cords_on_childrens_clothes,
    sleepwear_and_flame,
    small_parts_for_the_smallest,
)
from webapp.plan.cloth_threads import (
    hands_that_two_layers_mix,
    lays_that_fail,
    pieces_without_cloth,
)
from webapp.plan.draft_threads import (
    checks_on_the_body,
    draft_problems,
    pieces_cut_too_few,
    seams_that_differ,
    sizes_that_fail,
)
from webapp.plan.loose_threads import Rule, found_by
from webapp.plan.results import LooseThread, Plan
from webapp.plan.said_threads import stale_shots
from webapp.plan.step_threads import step_order
from webapp.plan.text_threads import missing_figures, stray_braces

MISLEADING: Final[tuple[Rule, ...]] = (
    draft_problems,
    seams_that_differ,
    pieces_cut_too_few,
    checks_on_the_body,
    lays_that_fail,
    hands_that_two_layers_mix,
    pieces_without_cloth,
    cords_on_childrens_clothes,
    small_parts_for_the_smallest,
    sleepwear_and_flame,
    step_order,
    stale_shots,
    missing_figures,
    stray_braces,
    sizes_that_fail,
)


def misleading_threads(plan: Plan) -> tuple[LooseThread, ...]:
    """The loose threads that must be mended before anyone cuts by the sheets, each once."""
    threads = dict.fromkeys(thread for rule in MISLEADING for thread in found_by(rule, plan))
    return tuple(one for one in threads if one.severity == "must" and _printed(plan, one))


def _printed(plan: Plan, thread: LooseThread) -> bool:
    """Whether what the thread is about stands on the sheets: not so a size that is left out."""
    chosen = {name.lower() for name in plan.episode.print_choices.sizes}
    return thread.page != "sizes" or not chosen or thread.place.item.lower() in chosen
