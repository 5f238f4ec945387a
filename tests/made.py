"""A small episode and any sequence of edits, made up.

The edits are written once against a `Chooser`, so that hypothesis can shrink a sequence and the
bench can replay one from a seed.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any, Final

from tests.choosers import Chooser, T
from tests.specimens import WREN, starter
from webapp.draft.fittings import ChoiceChange, FinishChange, MoveChange
from webapp.draft.moves import MOVES
from webapp.draft.recipe import Finish, PieceRecipe
from webapp.errors import SeamslateError
from webapp.filming.every_rate import EVERY_RATE
from webapp.filming.shoot_days import ShootDay
from webapp.filming.shots import Shot
from webapp.plan import fittings, said_edits
from webapp.plan.day_edits import with_rest_on
from webapp.plan.day_planning import planned_days, with_planned_days
from webapp.plan.editions import with_edition
from webapp.plan.edits import (
    changed,
    changed_one,
    shifted,
    with_choice,
    with_measure,
    with_piece,
    with_step,
    with_steps_in_order,
    without,
)
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.mends import mended
from webapp.plan.new_names import with_choice_name, with_piece_name
from webapp.plan.new_shot import with_new_shot
from webapp.plan.results import Plan
from webapp.plan.step_edits import with_step_at
from webapp.plan.time_edits import with_own_rate, with_time, without_own_rate

# --- A small one -----------------------------------------------------------------------------


def small_episode() -> Episode:
    """A cowl of one garment with few steps and shots, quick to evaluate whatever is done to it."""
    cowl = starter("tube-cowl")
    episode = Episode(id="small", title="Small", body=WREN, garments=(cowl,))
    names = sorted(evaluate(episode).figures_mm)
    for n, step in enumerate(cowl.steps[:4]):
        words = ", ".join(f"{{{name}}}" for name in names[n::4])
        values = {"title": step.name, "step": step.id, "narration": words}
        episode = with_new_shot(episode, values)
    return episode


# --- Edits -----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Done:
    """An edit that was made, and what an onlooker sees of it."""

    episode: Episode
    filmed: tuple[str, ...] = ()  # ids of shots
    again: str = ""  # a shot to be filmed again
    carded: str = ""
    accepted: str = ""
    piece_renamed: tuple[str, str] = ("", "")  # the old name and the new
    choice_renamed: tuple[str, str] = ("", "")
    days_planned: bool = False
    timed: str = ""  # a step of which a time was taken


Edit = Callable[[Plan, Chooser], Done]
_DAY: Final = date(2027, 1, 4)
_WORDS: Final = ("Cut", "Sew", "It is", "Mark", "and then")
_NAMES: Final = ("Panel", "Tube", "Girth", "room", "Deep part", "way out")


def _nothing_there() -> SeamslateError:
    return SeamslateError("There is nothing to choose from.")


def _some(options: Sequence[T], choose: Chooser) -> T:
    if not options:
        raise _nothing_there()
    return choose.one_of(options)


def _a_length(plan: Plan, name: str, choose: Chooser) -> str:
    """A new figure near the one there is: tenths of a millimetre cross a rounding now and then."""
    mm = plan.figures_mm.get(name.lower(), 100.0)
    return f"{mm + choose.number(-40, 40) / choose.one_of((1, 10, 100)):.2f} mm"


def _choice(plan: Plan, choose: Chooser) -> Done:
    garment = _some(plan.episode.garments, choose)
    choice = _some(garment.choices, choose)
    value = _a_length(plan, choice.name, choose)
    return Done(with_choice(plan.episode, garment.id, choice.name, value))


def _measure(plan: Plan, choose: Chooser) -> Done:
    name = _some(sorted(plan.episode.body.measures), choose)
    body = with_measure(plan.episode.body, name, _a_length(plan, name, choose))
    return Done(changed(plan.episode, body=body))


def _finish(plan: Plan, choose: Chooser) -> Done:
    draft = _some(plan.drafts, choose)
    piece = _some(draft.pieces, choose)
    edge = choose.one_of(piece.outline.names)
    finish = Finish(kind=choose.one_of(("seam", "single fold hem", "double fold hem", "raw")),
                    allowance=f"{choose.number(5, 40)} mm")  # fmt: skip

    def edit(recipe: PieceRecipe) -> PieceRecipe:
        return changed(recipe, finishes={**recipe.finishes, edge: finish})

    return Done(with_piece(plan.episode, draft.recipe.id, piece.name, edit))


def _units(plan: Plan, choose: Chooser) -> Done:
    return Done(changed(plan.episode, first_unit=choose.one_of(("cm", "in"))))


def _a_text(plan: Plan, choose: Chooser) -> str:
    """Words with live figures, one of which may not exist, in odd spelling now and then."""
    parts = []
    for _ in range(choose.number(0, 3)):
        name = choose.one_of((*sorted(plan.figures_mm), "no such figure"))
        spelled = choose.one_of((name, name.upper(), f" {name} "))
        parts.append(f"{choose.one_of(_WORDS)} {{{spelled}}}")
    return ", ".join(parts) or "Nothing to measure."


def _narration(plan: Plan, choose: Chooser) -> Done:
    shot = _some(plan.episode.shots, choose)
    fields = {choose.one_of(("narration", "card")): _a_text(plan, choose)[:200]}
    return Done(_with_shot(plan, shot.id, **fields))


def _with_shot(plan: Plan, shot_id: str, **fields: Any) -> Episode:
    def edit(shot: Shot) -> Shot:
        return changed(shot, **fields)

    return changed(plan.episode, shots=changed_one(plan.episode.shots, "id", shot_id, edit))


def _step_words(plan: Plan, choose: Chooser) -> Done:
    step = _some(plan.steps, choose).step
    words = _a_text(plan, choose)
    return Done(with_step(plan.episode, step.id, lambda one: changed(one, words=words)))


def _new_shot(plan: Plan, choose: Chooser) -> Done:
    step = _some(plan.steps, choose).step
    values = {"title": step.name, "step": step.id, "narration": _a_text(plan, choose)}
    return Done(with_new_shot(plan.episode, values))


def _shot_moved(plan: Plan, choose: Chooser) -> Done:
    shots = plan.episode.shots
    place = choose.one_of(range(len(shots))) if shots else 0
    return Done(changed(plan.episode, shots=shifted(shots, place, choose.number(-3, 3))))


def _shot_out(plan: Plan, choose: Chooser) -> Done:
    shot = _some(plan.episode.shots, choose)
    return Done(changed(plan.episode, shots=without(plan.episode.shots, "id", shot.id)))


def _film(plan: Plan, choose: Chooser) -> Done:
    left = [s.id for s in plan.episode.shots if s.filmed is None]
    _some(left, choose)
    ids = tuple(left[: choose.number(1, len(left))])
    return Done(said_edits.with_shots_filmed(plan, ids, _DAY), filmed=ids)


def _film_again(plan: Plan, choose: Chooser) -> Done:
    shot = _some([s for s in plan.episode.shots if s.filmed], choose)
    return Done(said_edits.with_shot_to_film(plan.episode, shot.id), again=shot.id)


def _card(plan: Plan, choose: Chooser) -> Done:
    shot = _some([s.shot for s in plan.shots if s.stale], choose)
    return Done(said_edits.with_correction_card(plan, shot.id), carded=shot.id)


def _accept(plan: Plan, choose: Chooser) -> Done:
    shot = _some([s.shot for s in plan.shots if s.stale], choose)
    return Done(said_edits.with_change_accepted(plan, shot.id, "Near enough"), accepted=shot.id)


def _piece_renamed(plan: Plan, choose: Chooser) -> Done:
    garment = _some(plan.episode.garments, choose)
    old, new = _some(garment.pieces, choose).name, choose.one_of(_NAMES)
    return Done(with_piece_name(plan.episode, garment.id, old, new), piece_renamed=(old, new))


def _choice_renamed(plan: Plan, choose: Chooser) -> Done:
    garment = _some(plan.episode.garments, choose)
    old, new = _some(garment.choices, choose).name, choose.one_of(_NAMES)
    return Done(with_choice_name(plan.episode, garment.id, old, new), choice_renamed=(old, new))


def _fitting(plan: Plan, choose: Chooser) -> Done:
    """A fitting of one to three changes, made if it can be."""
    episode = fittings.with_new_fitting(plan.episode, "Fitting")
    fitting = episode.fittings[-1].id
    for _ in range(choose.number(1, 3)):
        change = choose.one_of((_choice_change, _finish_change, _move_change))(plan, choose)
        episode = fittings.with_change(episode, fitting, change)
    try:
        return Done(fittings.with_fitting_made(episode, fitting))
    except SeamslateError:
        return Done(episode)


def _choice_change(plan: Plan, choose: Chooser) -> ChoiceChange:
    garment = _some(plan.episode.garments, choose)
    name = _some(garment.choices, choose).name
    return ChoiceChange(garment=garment.id, choice=name, value=_a_length(plan, name, choose))


def _finish_change(plan: Plan, choose: Chooser) -> FinishChange:
    draft = _some(plan.drafts, choose)
    piece = _some(draft.pieces, choose)
    finish = Finish(kind=choose.one_of(("single fold hem", "double fold hem")), allowance="2 cm")
    return FinishChange(
        garment=draft.recipe.id,
        piece=piece.name,
        edge=choose.one_of(piece.outline.names),
        finish=finish,
        neatened=choose.one_of(("", "overlock", "machine")),
    )


def _move_change(plan: Plan, choose: Chooser) -> MoveChange:
    draft = _some(plan.drafts, choose)
    piece = _some(draft.pieces, choose)
    edge, by = choose.one_of(piece.outline.names), f"{choose.number(-30, 30)} mm"
    move = MOVES["extend"](edge=edge, by=by)
    return MoveChange(garment=draft.recipe.id, piece=piece.name, move=move)


def _back(plan: Plan, choose: Chooser) -> Done:
    revision = _some(plan.episode.revisions, choose)
    return Done(fittings.with_draft_back(plan.episode, revision.number))


def _size(plan: Plan, choose: Chooser) -> Done:
    body = changed(plan.episode.body, name=f"Size {choose.number(1, 5)}")
    sizes = tuple(one for one in plan.episode.sizes if one.name != body.name)
    return Done(changed(plan.episode, sizes=(*sizes, body)))


def _day(plan: Plan, choose: Chooser) -> Done:
    day = ShootDay(day=_DAY + timedelta(days=choose.number(0, 9)))
    episode = changed(plan.episode, shoot_days=(*plan.episode.shoot_days, day))
    return Done(with_rest_on(episode, day.day))


def _days_planned(plan: Plan, choose: Chooser) -> Done:
    """The shots put on the days there are, in the order that takes the least changing."""
    planned = planned_days(plan, seconds=0.05, surely=choose.one_of((True, False)))
    if planned.faults:
        raise SeamslateError(planned.faults[0])
    return Done(with_planned_days(plan, planned), days_planned=not planned.kept)


def _step_waits(plan: Plan, choose: Chooser) -> Done:
    """A step that waits on another, or rests; or one in another place of the build."""
    step, other = _some(plan.steps, choose).step, _some(plan.steps, choose).step
    if choose.one_of((True, False)):
        return Done(with_step_at(plan.episode, step.id, choose.number(1, len(plan.steps))))
    rest = choose.one_of((0, 0.5, 12))
    fields = {"after": tuple({*step.after, other.id} - {step.id}), "rest_hours": rest}
    episode = with_step(plan.episode, step.id, lambda one: changed(one, **fields))
    return Done(with_steps_in_order(episode))


def _time_taken(plan: Plan, choose: Chooser) -> Done:
    step = _some(plan.steps, choose).step
    took = choose.number(1, 600) / 4
    episode = with_time(plan.episode, plan, timed="step", item=step.id, minutes=took)
    return Done(episode, timed=step.id)


def _own_rate(plan: Plan, choose: Chooser) -> Done:
    rate = choose.one_of(tuple(plan.rates.values()))
    if choose.one_of((True, False)):
        return Done(without_own_rate(plan.episode, rate.key))
    high = min(rate.high * choose.number(1, 3), EVERY_RATE[rate.key].limits[1])
    own = with_own_rate(plan.episode, rate.key, low=rate.low, likely=rate.likely, high=high)
    return Done(own)


def _shot_filmed_how(plan: Plan, choose: Chooser) -> Done:
    shot = _some(plan.episode.shots, choose)
    fields: dict[str, Any] = {
        "place": choose.one_of(("At the machine", "Over the table", "Here")),
        "light": choose.one_of(("daylight", "lamps")),
        "quiet": choose.one_of((True, False)),
        "pace": choose.one_of(("real time", "sped up", "talked over")),
    }
    return Done(_with_shot(plan, shot.id, **fields))


def _edition(plan: Plan, choose: Chooser) -> Done:
    return Done(with_edition(plan, _DAY + timedelta(days=choose.number(0, 9))))


def _mend(plan: Plan, choose: Chooser) -> Done:
    """What some loose thread offers, but for what the onlooker of said figures is told apart."""
    offered = [mend for thread in plan.loose_threads for mend in thread.mends]
    others = [m for m in offered if m.act not in ("film again", "correction card", "other name")]
    mend = _some(others, choose)
    return Done(mended(plan, mend.act, mend.args))


EDITS: Final[tuple[Edit, ...]] = (
    _choice, _choice, _choice, _measure, _finish, _units, _narration, _narration, _step_words,
    _new_shot, _shot_moved, _shot_out, _film, _film, _film, _film_again, _card, _card, _accept,
    _accept, _piece_renamed, _choice_renamed, _fitting, _back, _size, _day, _edition, _mend,
    _day, _days_planned, _step_waits, _time_taken, _own_rate, _shot_filmed_how,
)  # fmt: skip


@dataclass
class Tally:
    """How many edits were made and how many refused, by their names."""

    made: dict[str, int] = field(default_factory=dict)
    refused: dict[str, int] = field(default_factory=dict)

    def add(self, edit: Edit, done: Done | None) -> None:
        counts, name = (self.made if done else self.refused), edit.__name__
        counts[name] = counts.get(name, 0) + 1


def edited(plan: Plan, choose: Chooser, tally: Tally | None = None) -> Done | None:
    """One edit of the plan; None when it was refused, with a sentence and nothing changed."""
    edit = choose.one_of(EDITS)
    done: Done | None = None
    try:
        done = edit(plan, choose)
    except (SeamslateError, ValueError):
        done = None
    if tally is not None:
        tally.add(edit, done)
    return done
