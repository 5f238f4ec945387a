"""Loose threads: what in the plan does not hold together, one rule a function.

To add a rule: write a function from Plan to loose threads beside those of its subject
(`draft_threads`, `cloth_threads`, `step_threads` and so on), list it in RULES, test it. What mends
one at once is written in `mends`.

Most edits are of shots and days. What the rules find that read neither is remembered, by all else
of the plan.
"""

from collections.abc import Callable, Hashable, Iterable
from typing import Final

from webapp.plan.care_threads import (
    blades_irons_and_needles,
    cords_on_childrens_clothes,
    sleepwear_and_flame,
    small_parts_for_the_smallest,
)
from webapp.plan.cloth_at_hand import cloth_shorter_than_the_lay
from webapp.plan.cloth_threads import (
    cloths_that_seem_to_stretch,
    hands_that_two_layers_mix,
    lays_that_fail,
    notions_not_worked_out,
    pieces_without_cloth,
    sizes_the_cloth_does_not_hold,
    spares_that_are_there,
    ways_of_laying_not_worked_out,
    words_against_the_lay,
)
from webapp.plan.date_threads import publish_date_at_risk
from webapp.plan.day_hour_threads import (
    clocks_that_change,
    days_against_the_build,
    days_planned_from_something_else,
    filmed_on_another_day,
    no_break_for_long,
    too_soon_after_a_rest,
    waits_for_quiet_or_light,
    work_before_a_day,
)
from webapp.plan.day_threads import (
    filmed_after_publishing,
    shoot_day_past_daylight,
    shoot_day_past_its_end,
    shots_on_no_day,
    shots_on_two_days,
    unknown_shots_on_days,
)
from webapp.plan.draft_threads import (
    checks_on_the_body,
    choices_out_of_range,
    draft_problems,
    fittings_that_cannot_be_cut,
    hems_that_do_not_meet,
    measures_in_doubt,
    notches_that_do_not_meet,
    pieces_cut_too_few,
    pieces_of_one_hand,
    seams_that_differ,
    sizes_that_fail,
)
from webapp.plan.edition_threads import companion_is_outdated
from webapp.plan.look_threads import (
    looks_of_no_shot,
    looks_that_are_not_there,
    styling_without_a_look,
)
from webapp.plan.results import LooseThread, Plan
from webapp.plan.said_threads import (
    cards_not_needed,
    stale_shots,
    words_changed_since_filming,
)
from webapp.plan.screen_threads import (
    chapters_no_site_takes,
    running_time_over_target,
    words_longer_than_their_shot,
)
from webapp.plan.step_threads import (
    off_camera_and_filmed,
    one_way_without_spare,
    pieces_without_steps,
    shots_before_their_time,
    shots_without_length,
    shots_without_steps,
    step_order,
    step_times,
    steps_without_shots,
)
from webapp.plan.text_threads import (
    missing_alternative_text,
    missing_figures,
    single_units,
    stray_braces,
)
from webapp.remembered import Remembered

Rule = Callable[[Plan], Iterable[LooseThread]]

_AHEAD_OF_SHOTS: Final[tuple[Rule, ...]] = (
    draft_problems,
    measures_in_doubt,
    seams_that_differ,
    notches_that_do_not_meet,
    hems_that_do_not_meet,
    pieces_cut_too_few,
    pieces_of_one_hand,
    checks_on_the_body,
    choices_out_of_range,
    fittings_that_cannot_be_cut,
    lays_that_fail,
    hands_that_two_layers_mix,
    pieces_without_cloth,
    cloth_shorter_than_the_lay,
    cloths_that_seem_to_stretch,
    notions_not_worked_out,
    cords_on_childrens_clothes,
    small_parts_for_the_smallest,
    sleepwear_and_flame,
    step_order,
    step_times,
    steps_without_shots,
    off_camera_and_filmed,
    pieces_without_steps,
    one_way_without_spare,
    blades_irons_and_needles,
)
_OF_SHOTS_AND_DAYS: Final[tuple[Rule, ...]] = (
    shots_without_steps,
    shots_before_their_time,
    looks_that_are_not_there,
    styling_without_a_look,
    looks_of_no_shot,
    stale_shots,
    cards_not_needed,
    words_changed_since_filming,
    missing_figures,
    stray_braces,
    single_units,
    missing_alternative_text,
    shots_without_length,
    words_longer_than_their_shot,
    running_time_over_target,
    chapters_no_site_takes,
    shoot_day_past_its_end,
    shoot_day_past_daylight,
    days_against_the_build,
    too_soon_after_a_rest,
    waits_for_quiet_or_light,
    no_break_for_long,
    clocks_that_change,
    work_before_a_day,
    shots_on_no_day,
    shots_on_two_days,
    filmed_on_another_day,
    days_planned_from_something_else,
    unknown_shots_on_days,
    filmed_after_publishing,
    publish_date_at_risk,
    companion_is_outdated,
)
_AFTER_SHOTS: Final[tuple[Rule, ...]] = (
    sizes_that_fail,
    sizes_the_cloth_does_not_hold,
    ways_of_laying_not_worked_out,
    words_against_the_lay,
    spares_that_are_there,
)

RULES: Final[tuple[Rule, ...]] = (*_AHEAD_OF_SHOTS, *_OF_SHOTS_AND_DAYS, *_AFTER_SHOTS)
# They read nothing of the plan but what `Plan.but_shots` names.
BUT_OF_SHOTS: Final = frozenset((*_AHEAD_OF_SHOTS, *_AFTER_SHOTS))
_KEPT: Final = 30 * len(BUT_OF_SHOTS)  # those of some dozen episodes
_found: Final[Remembered[Hashable, tuple[LooseThread, ...]]] = Remembered(_KEPT)


def find(plan: Plan) -> tuple[LooseThread, ...]:
    """Every loose thread once, those that must be mended first, else in the order of the rules.

    Two garments may ask for the same measure.
    """
    threads = dict.fromkeys(thread for rule in RULES for thread in found_by(rule, plan))
    return tuple(sorted(threads, key=lambda thread: thread.severity != "must"))


def found_by(rule: Rule, plan: Plan) -> tuple[LooseThread, ...]:
    """What one of the rules finds, looked for once."""
    if rule in BUT_OF_SHOTS:
        return _found.get((rule, plan.but_shots), lambda: tuple(rule(plan)))
    if rule not in plan.found_by_rule:
        plan.found_by_rule[rule] = tuple(rule(plan))
    return plan.found_by_rule[rule]
