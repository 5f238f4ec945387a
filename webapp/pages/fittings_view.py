"""What the fittings page shows: each fitting with its changes, what would move, the revisions."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from fastapi import Request, Response

from webapp.draft.evaluate import Draft
from webapp.draft.expressions import Quantity
from webapp.filming.shoot_days import told_day
from webapp.pages.comparing import (
    ComparedView,
    as_it_stands,
    compared_view,
    is_now,
    revision_called,
    revision_options,
)
from webapp.pages.fitting_forms import ChangeForms, ChangeRow, change_forms, change_row
from webapp.pages.forms import UNANSWERED, Answers, status_of
from webapp.pages.house import House
from webapp.pages.shell import Shell
from webapp.plan.cloth_moved import ClothMoved, cloths_moved
from webapp.plan.episode import Fitting, Revision
from webapp.plan.evaluate import draft_all, evaluate
from webapp.plan.fittings import FittingPlan, Trial, fitting_called, fitting_plans, tried
from webapp.plan.moved import Moved, moved
from webapp.plan.results import LooseThread, Plan, ShotPlan
from webapp.plan.revisions import recorded


@dataclass(frozen=True)
class FittingRow:
    """A fitting as the list shows it."""

    plan: FittingPlan
    changes: tuple[ChangeRow, ...]
    shot: ShotPlan | None

    @property
    def fitting(self) -> Fitting:
        """The fitting itself."""
        return self.plan.fitting

    @property
    def day(self) -> str:
        """The day in words; empty without one."""
        return told_day(self.fitting.day) if self.fitting.day else ""


@dataclass(frozen=True)
class Preview:
    """What would move if the fitting was made the draft."""

    compared: ComparedView
    stale: tuple[ShotPlan, ...]  # filmed shots that would say another figure than the draft
    threads: tuple[LooseThread, ...]  # that would be new, besides those of the stale shots
    moved: Moved  # as the head of every page would tell it once it is made
    cloths: tuple[ClothMoved, ...] | None  # None until it is laid


@dataclass(frozen=True)
class RevisionRow:
    """A recorded revision: what it is called, the day of its fitting, whether the draft is it."""

    number: int
    called: str
    day: str
    is_now: bool


@dataclass(frozen=True)
class FittingsView:
    """The fittings, newest first; `editing` is the id of the open one.

    `answers` belongs to the form named by `form`.
    """

    plan: Plan
    fittings: tuple[FittingRow, ...]
    editing: str = ""
    forms: ChangeForms | None = None  # of the open fitting, while it is not made
    preview: Preview | None = None
    made: str = ""  # the id of the fitting that was made the draft just now
    form: str = ""  # "new", "fitting", "choice", "finish", "move", "act", "back"
    answers: Answers = UNANSWERED

    def answers_for(self, form: str) -> Answers:
        """The answers if they belong to this form."""
        return self.answers if form == self.form else UNANSWERED

    @property
    def just_made(self) -> FittingRow | None:
        """The fitting that was made the draft just now, while the draft is its revision."""
        now = {one.number for one in self.revisions if one.is_now}
        made = (row for row in self.fittings if row.fitting.id == self.made)
        return next((row for row in made if row.plan.revision in now), None)

    @property
    def is_gone(self) -> bool:
        """True when what was sent belongs to a fitting that is not there any more."""
        there = any(row.fitting.id == self.editing for row in self.fittings)
        return bool(self.answers.errors) and self.form not in ("new", "back") and not there

    @property
    def shot_options(self) -> tuple[tuple[str, str], ...]:
        """The shots that can show a fitting."""
        return _shot_options(self.plan)

    @property
    def figures(self) -> dict[str, Quantity]:
        """The figures that a new figure may quote."""
        return dict(self.forms.figures) if self.forms else {}

    @cached_property
    def revisions(self) -> tuple[RevisionRow, ...]:
        """The recorded revisions, the newest first."""
        episode = self.plan.episode
        days = {one.id: one.day for one in episode.fittings}
        return tuple(
            RevisionRow(
                one.number,
                revision_called(one),
                told_day(when) if (when := days.get(one.fitting)) else "",
                is_now(episode, one),
            )
            for one in reversed(recorded(episode))
        )

    @property
    def compared_options(self) -> tuple[tuple[str, str], ...]:
        """The revisions that can be compared, with the draft as it stands if it is another."""
        return revision_options(self.plan.episode)


def _shot_options(plan: Plan) -> tuple[tuple[str, str], ...]:
    return (
        ("", "No shot"),
        *((row.shot.id, f"{row.number}: {row.shot.title}") for row in plan.shots),
    )


def _rows(plan: Plan) -> tuple[FittingRow, ...]:
    shots = {row.shot.id: row for row in plan.shots}
    return tuple(
        FittingRow(one, _changes(plan, one), shots.get(one.fitting.shot))
        for one in reversed(fitting_plans(plan))
    )


def _changes(plan: Plan, one: FittingPlan) -> tuple[ChangeRow, ...]:
    """The changes of a fitting, told with the draft before it and after it."""
    if not one.fitting.changes:
        return ()
    before, after = _before_and_after(plan, one)
    first = plan.episode.first_unit
    return tuple(change_row(change, before, after, first) for change in one.fitting.changes)


def _before_and_after(plan: Plan, one: FittingPlan) -> tuple[Sequence[Draft], Sequence[Draft]]:
    known = {revision.number: revision for revision in recorded(plan.episode)}
    if one.revision is not None and one.revision - 1 in known:
        return _drafted(known[one.revision - 1]), _drafted(known[one.revision])
    then = tried(plan.episode, one.fitting).episode
    return plan.drafts, draft_all(then.garments, then.body)


def _drafted(revision: Revision) -> Sequence[Draft]:
    return draft_all(revision.garments, revision.body)


def _preview(house: House, shell: Shell, fitting: Fitting, shown: Trial, *, laid: bool) -> Preview:
    """What the fitting would bring: threads and texts by the plan itself, `shown` in her order."""
    plan, trial = shell.own, tried(shell.episode, fitting)
    then = _then(house, shell, fitting, trial)
    now = {row.shot.id: row.stale for row in plan.shots}
    stale = tuple(row for row in then.shots if set(row.stale) - set(now.get(row.shot.id, ())))
    told = {row.shot.id for row in stale}
    there = {thread.sentence for thread in plan.loose_threads}
    return Preview(
        replace(
            compared_view(
                shell.plan.episode,
                as_it_stands(shell.plan.episode),
                as_it_stands(shown.episode),
            ),
            old="Now",
            new="With this fitting",
            newer="With this fitting",
        ),
        stale,
        tuple(
            thread
            for thread in then.loose_threads
            if thread.sentence not in there
            and not (thread.page == "shots" and thread.place.item in told)
        ),
        moved(plan.episode, then),
        cloths_moved(plan.lays, then.lays) if laid or _are_laid(plan, then) else None,
    )


def _then(house: House, shell: Shell, fitting: Fitting, trial: Trial) -> Plan:
    """The plan as it would be with the fitting."""
    key = (shell.episode.id, shell.revision, f"FITTING {fitting.id}")
    return house.plans.get(key, lambda: evaluate(trial.episode))  # sizes are in lower case


def _are_laid(*plans: Plan) -> bool:
    return all(lay.is_known for plan in plans for lay in plan.lays)


def cloths_with(house: House, shell: Shell, fitting_id: str) -> tuple[ClothMoved, ...]:
    """The cloth to buy now and with a fitting that is not made. NotThereError without one."""
    fitting = fitting_called(shell.episode, fitting_id)
    trial = tried(shell.episode, fitting)
    return cloths_moved(shell.own.lays, _then(house, shell, fitting, trial).lays)


def show(
    request: Request,
    house: House,
    episode_id: str,
    editing: str = "",
    *,
    adding: tuple[str, str] = ("", ""),
    laid: bool = False,
    **told: Any,
) -> Response:
    """The page; `editing` is the open fitting, `adding` the piece and kind of a move to add.

    `laid`: the pieces are to be laid for it, which else the page asks for by itself.
    """
    shell = house.shell(episode_id, "fittings")
    plan = shell.plan
    rows = _rows(plan)
    opened = next((row for row in rows if row.fitting.id == editing), None)
    forms, preview = None, None
    if opened and opened.plan.status != "made":
        trial = tried(plan.episode, opened.fitting)
        then = draft_all(trial.episode.garments, trial.episode.body)
        episode = plan.episode
        forms = change_forms(plan.drafts, then, episode.body, episode.first_unit, *adding)
        if opened.fitting.changes and trial.can_be_cut:
            preview = _preview(house, shell, opened.fitting, trial, laid=laid)
    view = FittingsView(plan, rows, editing, forms, preview, **told)
    return house.show(request, "fittings/fittings.html", view, shell=shell, status=status_of(view))
