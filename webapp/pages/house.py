"""What the pages share: the store, the plans, and how a page is shown whole or in part."""

from collections.abc import AsyncIterator, Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Annotated, Any, Final, Literal
from urllib.parse import SplitResult, urlsplit

from fastapi import Depends, Query, Request, Response
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import RedirectResponse
from fastapi.templating import Jinja2Templates
from pydantic import ValidationError
from starlette.datastructures import FormData

from webapp.errors import (
    AlreadyDoneError,
    ChangedElsewhereError,
    NotThereError,
    RecipeError,
    RefusedError,
    SeamslateError,
    StoreError,
    TakenOutError,
)
from webapp.jobs import Jobs
from webapp.pages.bare_numbers import SentForm
from webapp.pages.forms import Answers
from webapp.pages.preferences import (
    BROWSER,
    NOTHING_PREFERRED,
    Preferences,
    browser_of,
    name_browser,
    preferences_of,
)
from webapp.pages.printed_files import PrintedFiles
from webapp.pages.sent_again import fingerprint, form_of
from webapp.pages.shell import CopyOf, Shell
from webapp.plan.copying import left_behind
from webapp.plan.edits import as_printed, in_size
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.moved import NOTHING_MOVED, Moved, moved
from webapp.plan.on_screen import on_screen
from webapp.plan.results import Plan
from webapp.remembered import Remembered
from webapp.share import ALL, Share
from webapp.store.asked_work import AskedWork
from webapp.store.faults import faults, one_sentence
from webapp.store.kept_copies import DailyCopies
from webapp.store.library import Library
from webapp.store.outdated import Marks
from webapp.store.photos import Photos
from webapp.store.repository import EpisodeStore, EpisodeSummary

_PRINTED: Final = "\0as printed"  # in the place of a size; no size is called so
_MOST_EDITIONS: Final = 2**31 - 1  # as many as a database counts
PLANS_KEPT: Final = 16  # a plan is some hundred kB; one person works on a few episodes


@dataclass(frozen=True)
class House:
    """Everything a handler needs, made once by `open_house`."""

    store: EpisodeStore
    library: Library
    photos: Photos
    templates: Jinja2Templates
    jobs: Jobs
    plans: Remembered[tuple[str, int, str], Plan]  # by episode, revision and size
    moves: Remembered[tuple[str, int], Moved]  # what the last change moved, by episode and revision
    prints: PrintedFiles
    asked: AskedWork | None = None  # what is begun again after a restart
    daily: DailyCopies | None = None  # the copy of the plans that each day of use makes
    share: Share = ALL  # the episodes whose long work is begun here
    expected: int | None = None  # the edition that this request's page was shown in
    preferred: Preferences = NOTHING_PREFERRED  # by the browser that asks
    copied: str = ""  # the id of the episode that this request's was copied from just now
    not_done: Literal["", "undo", "redo"] = ""  # asked for just now, on a page out of date
    browser: str = ""  # that asks, by a name of ours
    sent: str = ""  # by what this request's form is known when it is sent once more

    def close(self) -> None:
        """Stop what is at work and let go of the database."""
        if self.daily is not None:
            self.daily.close()
        self.jobs.close()
        self.store.close()

    def plan(self, episode_id: str, size: str = "") -> Plan:
        """The computed plan, in a size if one is named. NotThereError if there is no such thing."""
        return self.plan_and_revision(episode_id, size)[0]

    def plan_and_revision(self, episode_id: str, size: str = "") -> tuple[Plan, int]:
        """The same, and the revision that it is of: what is kept by one must not be of another."""
        revision = self.store.revision(episode_id)
        return self._plan_of(episode_id, revision, size)

    def _plan_of(self, episode_id: str, revision: int, size: str = "") -> tuple[Plan, int]:
        """The plan of that revision, or of a later one if it was changed meanwhile."""
        while True:
            key = (episode_id, revision, size.lower())
            if (known := self.plans.find(key)) is not None:
                return known, revision
            episode, before = self.store.get(episode_id), revision
            revision = self.store.revision(episode_id)
            if revision == before:  # else it was changed in between
                plan = evaluate(in_size(episode, size) if size else episode)
                self.plans.put(key, plan)
                return plan, revision

    def seen(self, episode_id: str) -> Plan | None:
        """The plan as the page showed it that this request comes from.

        None where that is not known any more.
        """
        plan = self.plan(episode_id)
        if self.expected is None or self.store.edition(episode_id) == self.expected:
            return plan
        episode = self.store.seen_in(episode_id, self.expected)
        return evaluate(episode) if episode is not None else None

    def readable(
        self, listed: Iterable[EpisodeSummary]
    ) -> Iterator[tuple[EpisodeSummary, Episode]]:
        """Those of the list with their plans, but for one that is damaged, or deleted meanwhile:
        that is no reason to show nothing of the others."""
        for one in listed:
            try:
                yield one, self.store.get(one.id)
            except RefusedError:
                raise  # of all of them, not of one
            except (NotThereError, StoreError):
                continue

    def printed_plan(self, episode_id: str) -> Plan:
        """The plan as its sheets for viewers are printed: in the size and unit chosen for them."""
        filmed, revision = self.plan_and_revision(episode_id)
        printed = as_printed(filmed.episode)
        if printed is filmed.episode:
            return filmed
        return self.plans.get((episode_id, revision, _PRINTED), lambda: evaluate(printed))

    def shell(self, episode_id: str, active: str) -> Shell:
        """The surroundings of an episode's page."""
        # Read before the plan, which takes a while: no page claims a newer edition than it shows.
        stands = self.store.standing(episode_id)
        plan, revision = self._plan_of(episode_id, stands.revision)
        return Shell(
            on_screen(plan, self.preferred.first(plan.episode.first_unit)),
            plan,
            revision,
            active,
            stands.to_undo,
            stands.to_redo,
            stands.edition,
            self.photos,
            self.library,
            self._moved(plan, revision),
            self._copy_of(episode_id),
            self.jobs.at_work(f"/episodes/{episode_id}/"),
            self.not_done,
            revision != stands.revision,
            self._elsewhere(episode_id, stands.edition),
            self.browser,
        )

    def _elsewhere(self, episode_id: str, edition: int) -> tuple[str, ...] | None:
        """What was changed since the page was shown that this answers, but for what it did."""
        if self.expected is None or edition <= self.expected + 1:
            return None
        return self.store.changed_since(episode_id, self.expected, edition)

    def _copy_of(self, episode_id: str) -> CopyOf | None:
        if self.copied in ("", episode_id):
            return None
        try:
            original = self.store.get(self.copied)
        except RefusedError:
            raise
        except (NotThereError, StoreError):  # told on its own page, if it is damaged
            return None
        return CopyOf(original.id, original.title, left_behind(original))

    def _moved(self, plan: Plan, revision: int) -> Moved:
        """What the last change moved."""
        episode_id = plan.episode.id

        def made() -> Moved:
            before = self.store.before_last(episode_id)
            if before is None:
                return NOTHING_MOVED
            known = self.plans.find((episode_id, revision - 1, ""))
            return moved(before, plan, known.lays if known and known.episode == before else ())

        return self.moves.get((episode_id, revision), made)

    def show(
        self, request: Request, template: str, view: object, *, status: int = 200, **more: Any
    ) -> Response:
        """The whole page, or only what htmx puts in its place."""
        in_part = request.headers.get("hx-request") == "true"
        layout = "layout_part.html" if in_part else "layout.html"
        context = {"view": view, "layout": layout, "shell": None, **more}
        status = 422 if self.not_done else status
        answer = self.templates.TemplateResponse(request, template, context, status_code=status)
        if self.browser and request.cookies.get(BROWSER) != self.browser:
            name_browser(answer, self.browser)
        return answer

    def save(
        self,
        episode_id: str,
        words: str,
        answers: Answers,
        edit: Callable[[Episode], Episode],
        *,
        beside: str = "",
        as_shown: bool = False,
        always: Marks | None = None,
    ) -> Answers:
        """Make the change, or say why it cannot be made.

        That is told of the form as a whole; what does not fit the recipe, at the field `beside`.
        What depends on more than the edit alters must be made of the plan `as_shown`; what rests
        on the page alone is made `always`, unless it was made since and taken back.
        """
        if answers.is_outdated:
            return answers  # she chooses first
        try:
            self.store.change(
                episode_id,
                words,
                edit,
                expected=self.expected,
                sent=self.sent,
                as_shown=as_shown,
                always=always,
                browser=self.browser,
            )
        except (AlreadyDoneError, RefusedError, TakenOutError):
            raise  # answered as what was saved, and as what could not be: see `app`
        except ValidationError as error:
            return answers.failed(sentence_of(error))
        except ChangedElsewhereError as error:
            if self._is_taken_out(episode_id, edit):
                raise TakenOutError from None  # its fields are on no page any more
            return answers.outdated(error.sentence, error.hers, error.others)
        except SeamslateError as error:
            if always is not None and isinstance(error, NotThereError):
                raise TakenOutError from None
            return answers.failed(error.sentence, beside if isinstance(error, RecipeError) else "")
        return answers

    def _is_taken_out(self, episode_id: str, edit: Callable[[Episode], Episode]) -> bool:
        """Whether what the edit changes is not in the plan any more."""
        try:
            edit(self.store.get(episode_id))
        except NotThereError:
            return True
        except (SeamslateError, ValueError):  # told once it is saved anew, if it still is so then
            return False
        return False


def answered(
    request: Request, address: str, told: Iterable[object], show: Callable[[], Response]
) -> Response:
    """After a form: the page again for htmx or with its errors, otherwise a redirect to it.

    `told` is what the page is given; only the answers among it count.
    """
    failed = any(isinstance(one, Answers) and one.errors for one in told)
    if failed or request.headers.get("hx-request") == "true":
        return show()
    return RedirectResponse(that_tells(request, address), status_code=303)


def that_tells(request: Request, address: str) -> str:
    """The address, with the edition of the page before where more than its form has changed since:
    then the page that it leads to says so."""
    edition, episode_id = request.query_params.get("edition"), request.path_params.get("episode_id")
    if edition is None or episode_id is None:
        return address
    house: House = request.app.state.house
    if house.store.edition(episode_id) <= int(edition) + 1:
        return address
    page, mark, place = address.partition("#")
    return f"{page}{'&' if '?' in page else '?'}edition={edition}{mark}{place}"


def address_told(request: Request, *headers: str) -> SplitResult:
    """The first address that one of the headers tells; an empty one where it tells none."""
    told = next((found for name in headers if (found := request.headers.get(name))), "")
    try:
        return urlsplit(told)
    except ValueError:  # no browser sends such a one
        return urlsplit("")


def sentence_of(error: ValidationError) -> str:
    """The first thing wrong, in our words."""
    return one_sentence(faults(error, None), "This cannot be saved")


async def _house(
    request: Request,
    edition: Annotated[int | None, Query(ge=0, le=_MOST_EDITIONS)] = None,
    copied: str = "",
    not_done: Annotated[Literal["", "undo", "redo"], Query(alias="not-done")] = "",
) -> House:
    """The house as this request sees it: `edition` is what its page was shown in.

    AlreadyDoneError when what is sent made the last change already.
    """
    house: House = request.app.state.house
    sent, episode_id = "", request.path_params.get("episode_id")
    if request.method == "POST" and edition is not None and episode_id:
        sent = await fingerprint(request)
        await run_in_threadpool(house.store.refuse_repeated, episode_id, sent)
    return replace(
        house,
        expected=edition,
        preferred=preferences_of(request.cookies),
        browser=browser_of(request.cookies, is_new=request.method == "GET") if episode_id else "",
        copied=copied,
        not_done=not_done,
        sent=sent,
    )


async def _sent(request: Request) -> AsyncIterator[FormData]:
    form = await form_of(request)
    try:
        by_whom = SentForm(form.multi_items())
        by_whom.preferred = preferences_of(request.cookies).first_unit
        yield by_whom
    finally:
        await form.close()


InHouse = Annotated[House, Depends(_house)]
# Read here, so that handlers are plain functions and run beside each other in threads.
Sent = Annotated[FormData, Depends(_sent)]
