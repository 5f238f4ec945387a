"""The table of ways of laying as long work: what it is of, its job, and which tables there are."""

from dataclasses import dataclass, replace
from typing import Any, Final
from urllib.parse import quote

from webapp.cloth.cloths import EpisodeCloth
from webapp.jobs import Job, Jobs
from webapp.plan.edits import changed
from webapp.plan.results import Plan
from webapp.plan.ways import WIDTHS, WaysAsked, WaysTable, ways_asked, ways_table

# No length in the table depends on these; how the cloth is laid now is one of the ways tried.
_OF_NO_ACCOUNT: Final[dict[str, Any]] = {
    "laid": "open",
    "description": "",
    "weight": "",
    "stretch": 0.0,
    "price": "",
    "price_per": "m",
}


@dataclass(frozen=True)
class Known:
    """What there is of a cloth's table: the job to tell of, and the table to show."""

    job: Job | None  # the one going on, else the last for the draft as it stands
    table: WaysTable | None  # maybe not all of its rows
    is_older: bool = False  # the table is of the draft as it was
    job_is_older: bool = False  # so is what is being worked out


def table_asked(plan: Plan, cloth: EpisodeCloth) -> WaysAsked:
    """What the table of a cloth depends on, and nothing else of the plan."""
    asked = ways_asked(plan, changed(cloth, **_OF_NO_ACCOUNT))
    return asked if cloth.spare != "none" else replace(asked, risked=())


def start(jobs: Jobs, episode_id: str, asked: WaysAsked) -> Job:
    """Work the table out. What is still worked out for this cloth as it was is stopped."""
    key = _job_key(episode_id, asked)
    for job in jobs.beginning(_of_cloth(episode_id, asked)):
        if job.key != key:
            jobs.cancel(job.key)
    return jobs.start(key, ways_table, asked)


def stop(jobs: Jobs, episode_id: str, asked: WaysAsked) -> None:
    """Stop what is being worked out for this cloth; the rows that are done stay."""
    for job in jobs.beginning(_of_cloth(episode_id, asked)):
        jobs.cancel(job.key)


def known(jobs: Jobs, episode_id: str, asked: WaysAsked) -> Known:
    """The job and the table of this draft, or an older one if there is none of it."""
    every = jobs.beginning(_of_cloth(episode_id, asked))
    fitting = jobs.beginning(_of_draft(episode_id, asked))
    going_on = next((job for job in every if job.is_going_on), None)
    job = going_on or next(iter(fitting), None)
    job_is_older = job is not None and all(job is not one for one in fitting)
    if going_on and not job_is_older and going_on.so_far:
        return Known(job, going_on.so_far)
    tables = [table for job in fitting if (table := job.result or job.so_far)]
    if tables:
        wanted = {width.mm for width in asked.widths}
        return Known(job, max(tables, key=lambda t: _covered(t, wanted)), False, job_is_older)
    older = next((table for job in every if (table := job.result or job.so_far)), None)
    return Known(job, older, older is not None, job_is_older)


def _covered(table: WaysTable, wanted: set[float]) -> int:
    return len(wanted & {row.width.mm for row in table.rows})


def _of_cloth(episode_id: str, asked: WaysAsked) -> str:
    return f"ways {episode_id} {quote(asked.cloth.name, safe='')} "


def _of_draft(episode_id: str, asked: WaysAsked) -> str:
    """Without the cloth's own width: it adds a row, and leaves the others as they are."""
    anywhere = replace(asked, cloth=changed(asked.cloth, width=WIDTHS[0].cm))
    return f"{_of_cloth(episode_id, asked)}{anywhere.key} "


def _job_key(episode_id: str, asked: WaysAsked) -> str:
    widths = "-".join(f"{width.mm:g}" for width in asked.widths)
    return f"{_of_draft(episode_id, asked)}{widths}"
