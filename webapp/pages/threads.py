"""Loose threads: what in the plan does not hold together, where it is, and what mends it."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import groupby
from typing import Annotated, Final
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import RedirectResponse

from webapp.errors import NotThereError
from webapp.jobs import Job
from webapp.pages.draft_view import Place as Draft
from webapp.pages.forms import UNANSWERED, Answers, status_of
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.places import PAGES, address
from webapp.pages.ways_work import at_work, begin
from webapp.plan.evaluate import evaluate
from webapp.plan.mends import mended, offered, offered_work
from webapp.plan.missing import missing
from webapp.plan.results import LooseThread, PageName, Plan

router = APIRouter(prefix="/episodes/{episode_id}/threads")

_FEW: Final = 12  # as many are seen at a glance; with more, one page's can be shown alone


@dataclass(frozen=True)
class ThreadRow:
    """A loose thread, and the address and words of the link to its place."""

    thread: LooseThread
    address: str
    where: str


@dataclass(frozen=True)
class ThreadsView:
    """The loose threads, the gravest first; `only` is the page whose threads alone are shown."""

    plan: Plan
    only: str = ""
    done: bool = False  # one was mended just now
    answers: Answers = UNANSWERED
    jobs: Mapping[str, Job] = field(default_factory=dict)  # long work going on, by cloth

    @property
    def threads(self) -> tuple[LooseThread, ...]:
        """All of them, whichever are shown."""
        return self.plan.loose_threads

    @property
    def rows(self) -> list[tuple[str, list[tuple[str, list[ThreadRow]]]]]:
        """Those that are shown: by how grave they are, then by page."""
        shown = [each for each in self.threads if self.only in ("", each.page)]
        return [
            (severity, list(self._by_page(grave)))
            for severity, grave in groupby(shown, lambda each: each.severity)
        ]

    @property
    def missing(self) -> tuple[tuple[str, str, str], ...]:
        """What is not planned at all yet: a sentence, and the address and words of a link."""
        found = missing(self.plan)
        return tuple((one.sentence, *address(self.plan, one.place)) for one in found)

    def _by_page(self, threads: Iterable[LooseThread]) -> Iterator[tuple[str, list[ThreadRow]]]:
        listed = list(threads)
        for page in PAGES:
            rows = [
                ThreadRow(each, *address(self.plan, each.place))
                for each in listed
                if each.page == page
            ]
            if rows:
                yield PAGES[page], rows

    @property
    def pages(self) -> list[tuple[PageName, str, int]]:
        """The pages to choose from, with how many threads each has; none while all are few."""
        counted = Counter(each.page for each in self.threads)
        if len(self.threads) <= _FEW and not self.only:
            return []
        return [(page, PAGES[page], counted[page]) for page in PAGES if counted[page]]


@router.get("")
def threads(
    request: Request,
    episode_id: str,
    house: InHouse,
    page: Annotated[str, Query()] = "",
    done: Annotated[str, Query()] = "",  # the edition of the plan that mending one made
) -> Response:
    is_now = done == str(house.store.edition(episode_id))
    return _show(request, house, episode_id, page, done=is_now)


@router.post("/mend")
def mend(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    act, page = str(sent.get("act", "")), str(sent.get("page", ""))
    args = tuple(str(arg).replace("\r\n", "\n") for arg in sent.getlist("arg"))
    answers = UNANSWERED
    try:
        found = offered(house.plan(episode_id), act, args)
    except NotThereError as error:
        answers = answers.failed(error.sentence)
    else:
        words = found.words[:1].lower() + found.words[1:]
        answers = house.save(
            episode_id, words, answers, lambda e: mended(evaluate(e), found.act, found.args)
        )
    garment = str(sent.get("garment", ""))
    if garment and not answers.errors:  # it was mended on the page of the draft
        back = Draft(garment, str(sent.get("piece", ""))).query
        return RedirectResponse(f"/episodes/{episode_id}/draft?{back}", status_code=303)
    asked = {"page": page, "done": house.store.edition(episode_id)}
    return answered(
        request,
        f"/episodes/{episode_id}/threads?{urlencode({k: v for k, v in asked.items() if v})}",
        (answers,),
        lambda: _show(request, house, episode_id, page, done=not answers.errors, answers=answers),
    )


@router.post("/work")
def work(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    """Begin the long work that mends a thread."""
    what, item, page = (str(sent.get(name, "")) for name in ("what", "item", "page"))
    asked = {"page": page} if page else {}
    answers, plan = UNANSWERED, house.plan(episode_id)
    try:
        offered_work(plan, what, item)
    except NotThereError as error:
        answers = answers.failed(error.sentence)
    else:
        begin(house, episode_id, [cloth.name for cloth in plan.episode.cloths].index(item))
    return answered(
        request,
        f"/episodes/{episode_id}/threads{'?' if page else ''}{urlencode(asked)}",
        (answers,),
        lambda: _show(request, house, episode_id, page, done=False, answers=answers),
    )


@router.get("/count")
def count(request: Request, episode_id: str, house: InHouse) -> Response:
    """How many there are, asked for by the page once an edit is on the screen."""
    shell = house.shell(episode_id, "threads")
    return house.show(request, "threads/count_alone.html", ThreadsView(shell.own), shell=shell)


def _show(
    request: Request,
    house: House,
    episode_id: str,
    page: str,
    *,
    done: bool,
    answers: Answers = UNANSWERED,
) -> Response:
    shell = house.shell(episode_id, "threads")
    there = {thread.page for thread in shell.plan.loose_threads}
    # Once a page's last thread is mended, those of the others are shown.
    works = [each.work for each in shell.own.loose_threads if each.work]
    found = {one.item: at_work(house.jobs, shell.own, one.item) for one in works}
    jobs = {cloth: job for cloth, job in found.items() if job}
    view = ThreadsView(shell.plan, page if page in there else "", done, answers, jobs)
    return house.show(request, "threads/threads.html", view, shell=shell, status=status_of(view))
