"""The table of ways of laying as long work: its job, which tables there are, and keeping them."""

from collections.abc import Callable, Sequence
from copy import copy
from dataclasses import dataclass, replace
from functools import partial
from urllib.parse import quote

from webapp.jobs import Again, Job, Jobs
from webapp.pages.house import House
from webapp.plan.edits import changed, shifted
from webapp.plan.episode import Episode
from webapp.plan.kept_ways import (
    as_asked,
    draft_key,
    older_table,
    table_asked,
    table_kept,
    with_kept_ways,
)
from webapp.plan.results import Plan
from webapp.plan.ways import WIDTHS, WaysAsked, WaysRow, WaysTable, ways_table


@dataclass(frozen=True)
class Known:
    """What there is of a cloth's table: the job to tell of, and the table to show."""

    job: Job | None  # the one going on, else the last for the draft as it stands
    table: WaysTable | None  # maybe not all of its rows
    is_older: bool = False  # the table is of the draft as it was
    job_is_older: bool = False  # so is what is being worked out


def begin(house: House, episode_id: str, place: int) -> None:
    """Work out what is not known of the table of the cloth at `place`, and keep it."""
    plan = house.plan(episode_id)
    asked = table_asked(plan, shifted(plan.episode.cloths, place, 0)[place])
    kept = table_kept(plan.episode, asked)
    rows = kept.rows if kept else ()
    _start(house.jobs, episode_id, asked, rows, lambda table: keep(house, episode_id, asked, table))


def _start(
    jobs: Jobs,
    episode_id: str,
    asked: WaysAsked,
    rows: Sequence[WaysRow],
    keep: Callable[[WaysTable], object],
) -> None:
    """`keep` is given what there is of the table when it ends.

    What is still worked out for this cloth as it was is stopped.
    """
    key = _job_key(episode_id, asked)
    for job in jobs.beginning(_of_cloth(episode_id, asked)):
        if job.key != key:
            jobs.cancel(job.key)
    jobs.start(
        key,
        ways_table,
        asked,
        rows,
        when_done=keep,
        when_stopped=keep,
        called=f"the ways of laying {asked.cloth.name}",
        address=f"/episodes/{episode_id}/ways",
        again=Again("ways", {"episode": episode_id, "cloth": asked.cloth.name}),
    )


def keep(house: House, episode_id: str, asked: WaysAsked, table: WaysTable) -> None:
    """Keep the table in the episode, unless the draft has changed since it was asked for."""
    plan = house.plan(episode_id)
    own_name_first = sorted(plan.episode.cloths, key=lambda c: c.name != asked.cloth.name)
    for cloth in own_name_first:
        now = table_asked(plan, cloth)
        if draft_key(now) == draft_key(asked):
            house.store.keep(episode_id, partial(with_kept_ways, asked=now, table=table))
            return


def stop(jobs: Jobs, episode_id: str, asked: WaysAsked) -> None:
    """Stop what is being worked out for this cloth; the rows that are done stay."""
    for job in jobs.beginning(_of_cloth(episode_id, asked)):
        jobs.cancel(job.key)


def at_work(jobs: Jobs, plan: Plan, cloth: str) -> Job | None:
    """The job that works out the table of this cloth for the plan as it stands."""
    for own in plan.episode.cloths:
        if own.name == cloth:
            draft = _of_draft(plan.episode.id, table_asked(plan, own))
            every = (copy(job) for job in jobs.beginning(draft))
            return next((job for job in every if job.is_going_on), None)
    return None


def known(jobs: Jobs, episode: Episode, asked: WaysAsked) -> Known:
    """The job and the table of this draft, or an older one if there is none of it."""
    # Copies: a job that ends while the page is made would be told in two states.
    every = tuple(copy(job) for job in jobs.beginning(_of_cloth(episode.id, asked)))
    fitting = tuple(job for job in every if job.key.startswith(_of_draft(episode.id, asked)))
    going_on = next((job for job in every if job.is_going_on), None)
    job = going_on or next(iter(fitting), None)
    job_is_older = job is not None and all(job is not one for one in fitting)
    if going_on and not job_is_older and going_on.so_far:
        return Known(job, _if_any(as_asked(going_on.so_far, asked)))
    tables = [as_asked(found, asked) for job in fitting if (found := job.result or job.so_far)]
    if kept := table_kept(episode, asked):
        tables.append(kept)
    if tables:
        most = max(tables, key=lambda t: len(t.rows))
        return Known(job, _if_any(most), False, job_is_older)
    older = next((table for job in every if (table := job.result or job.so_far)), None)
    older = older or older_table(episode, asked.cloth.name)
    shown = _if_any(as_asked(older, asked)) if older else None
    return Known(job, shown, shown is not None, job_is_older)


def _if_any(table: WaysTable) -> WaysTable | None:
    """The table, if a row of it is left."""
    return table if table.rows else None


def _of_cloth(episode_id: str, asked: WaysAsked) -> str:
    return f"ways {episode_id} {quote(asked.cloth.name, safe='')} "


def _of_draft(episode_id: str, asked: WaysAsked) -> str:
    """Without the cloth's own width: it adds a row, and leaves the others as they are."""
    anywhere = replace(asked, cloth=changed(asked.cloth, width=WIDTHS[0].cm))
    return f"{_of_cloth(episode_id, asked)}{anywhere.key} "


def _job_key(episode_id: str, asked: WaysAsked) -> str:
    widths = "-".join(f"{width.mm:g}" for width in asked.widths)
    return f"{_of_draft(episode_id, asked)}{widths}"
