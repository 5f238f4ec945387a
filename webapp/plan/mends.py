"""What mends a loose thread at once: each act a function from the plan to the changed episode.

A new act: a function here, a line in MENDERS, its name in `results.Act`, and a rule that offers it.
"""

import re
from collections.abc import Callable, Mapping
from datetime import date
from typing import Final

from webapp.draft.construction import Step
from webapp.draft.recipe import PieceRecipe
from webapp.errors import NotThereError
from webapp.plan.day_edits import with_shot_off
from webapp.plan.draft_mends import with_eased_in, with_finish_alike
from webapp.plan.edits import changed, changed_one, with_piece, with_step
from webapp.plan.episode import Episode
from webapp.plan.filming_edits import with_shot_in
from webapp.plan.new_shot import with_new_shot
from webapp.plan.results import Act, LongWork, Mend, Plan
from webapp.plan.said_edits import (
    with_correction_card,
    with_needless_cards_out,
    with_shot_to_film,
)
from webapp.plan.shortening import shortened
from webapp.plan.texts import text_of, with_text
from webapp.plan.typed_edits import with_both_units, with_live_figure

Mender = Callable[[Plan, tuple[str, ...]], Episode]
_GONE: Final = "That loose thread is not there any more, so nothing was changed."


def offered(plan: Plan, act: str, args: tuple[str, ...]) -> Mend:
    """The mend of that act as some loose thread offers it now. NotThereError when none does."""
    for thread in plan.loose_threads:
        for mend in thread.mends:
            if (mend.act, mend.args) == (act, args):
                return mend
    raise NotThereError(_GONE)


def offered_work(plan: Plan, what: str, item: str) -> LongWork:
    """The long work as some loose thread offers it now. NotThereError when none does."""
    for thread in plan.loose_threads:
        if thread.work and (thread.work.what, thread.work.item) == (what, item):
            return thread.work
    raise NotThereError(_GONE)


def mended(plan: Plan, act: Act, args: tuple[str, ...]) -> Episode:
    """The episode mended so. NotThereError when what it would change is not there any more."""
    return MENDERS[act](plan, args)


def _with_other_name(plan: Plan, args: tuple[str, ...]) -> Episode:
    """A text in which one live figure is quoted by another name: its key, the names."""
    *key, name, meant = args
    typed = text_of(plan, tuple(key)).typed
    quoted = re.compile(rf"\{{\s*{re.escape(name)}\s*\}}")
    if not quoted.search(typed):
        raise NotThereError(_GONE)
    return with_text(plan.episode, tuple(key), quoted.sub(lambda _: f"{{{meant}}}", typed))


def _with_shots_in_order(plan: Plan, args: tuple[str, ...]) -> Episode:
    """The shots of a step that stand before the last of another's, right after that one."""
    step, before = args
    shots = plan.episode.shots
    places = [at for at, shot in enumerate(shots) if shot.step == before]
    if not places:
        raise NotThereError(_GONE)
    head, tail = shots[: places[-1] + 1], shots[places[-1] + 1 :]
    early = [shot for shot in head if shot.step == step]
    if not early:
        raise NotThereError(_GONE)
    kept = [shot for shot in head if shot.step != step]
    return changed(plan.episode, shots=(*kept, *early, *tail))


def _with_shot_of(plan: Plan, args: tuple[str, ...]) -> Episode:
    """A shot of the step, called as the step is, where the step is built."""
    (step_id,) = args
    for row in plan.steps:
        if row.step.id == step_id:
            return with_new_shot(plan.episode, {"title": row.step.name, "step": step_id})
    raise NotThereError(_GONE)


def _off_camera(plan: Plan, args: tuple[str, ...]) -> Episode:
    (step_id,) = args
    return with_step(plan.episode, step_id, lambda step: changed(step, off_camera=True))


def _on_camera(plan: Plan, args: tuple[str, ...]) -> Episode:
    (step_id,) = args
    return with_step(plan.episode, step_id, lambda step: changed(step, off_camera=False))


def _without_wait(plan: Plan, args: tuple[str, ...]) -> Episode:
    step_id, wait = args

    def edit(step: Step) -> Step:
        return changed(step, after=tuple(one for one in step.after if one != wait))

    return with_step(plan.episode, step_id, edit)


def _off_the_day(plan: Plan, args: tuple[str, ...]) -> Episode:
    day, *shots = args
    episode = plan.episode
    for shot in shots:
        episode = with_shot_off(episode, date.fromisoformat(day), shot)
    return episode


def _with_caution(plan: Plan, args: tuple[str, ...]) -> Episode:
    step_id, caution = args

    def edit(step: Step) -> Step:
        return changed(step, cautions=tuple(dict.fromkeys((*step.cautions, caution))))

    return with_step(plan.episode, step_id, edit)


def _with_cut_count(plan: Plan, args: tuple[str, ...]) -> Episode:
    garment, name, count = args

    def edit(piece: PieceRecipe) -> PieceRecipe:
        return changed(piece, cut_count=int(count))

    return with_piece(plan.episode, garment, name, edit)


def _left_and_right(plan: Plan, args: tuple[str, ...]) -> Episode:
    garment, name = args
    return with_piece(plan.episode, garment, name, lambda piece: changed(piece, pair=True))


def _cut_from(plan: Plan, args: tuple[str, ...]) -> Episode:
    garment, name, cloth = args
    return with_piece(plan.episode, garment, name, lambda piece: changed(piece, cloth=cloth))


def _laid_open(plan: Plan, args: tuple[str, ...]) -> Episode:
    (name,) = args
    episode = plan.episode
    cloths = changed_one(episode.cloths, "name", name, lambda cloth: changed(cloth, laid="open"))
    return changed(episode, cloths=cloths)


def _published_on(plan: Plan, args: tuple[str, ...]) -> Episode:
    (day,) = args
    brief = changed(plan.episode.brief, publish_date=date.fromisoformat(day))
    return changed(plan.episode, brief=brief)


MENDERS: Final[Mapping[Act, Mender]] = {
    "both units": lambda plan, args: with_both_units(plan, args[:-1], args[-1]),
    "live figure": lambda plan, args: with_live_figure(plan, args[:-2], *args[-2:]),
    "film again": lambda plan, args: with_shot_to_film(plan.episode, *args),
    "correction card": lambda plan, args: with_correction_card(plan, *args),
    "card out": lambda plan, args: with_needless_cards_out(plan, *args),
    "other name": _with_other_name,
    "shots in order": _with_shots_in_order,
    "new shot": _with_shot_of,
    "off camera": _off_camera,
    "on camera": _on_camera,
    "wait no more": _without_wait,
    "off the day": _off_the_day,
    "caution": _with_caution,
    "cut count": _with_cut_count,
    "left and right": _left_and_right,
    "cut from": _cut_from,
    "ease in": with_eased_in,
    "hem alike": with_finish_alike,
    "lay open": _laid_open,
    "speed up": lambda plan, args: shortened(plan, "speed up", *args),
    "talk over": lambda plan, args: shortened(plan, "talk over", *args),
    "to its words": lambda plan, args: shortened(plan, "to its words", *args),
    "leave out": lambda plan, args: shortened(plan, "leave out", *args),
    "publish on": _published_on,
    "wear": lambda plan, args: with_shot_in(plan.episode, *args),
}
