"""What an episode keeps for its series and takes from it, on its brief and its cloth page."""

from collections.abc import Callable
from dataclasses import replace
from typing import Final, Literal

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from webapp.cloth.cloths import EpisodeCloth
from webapp.draft.recipe import Body
from webapp.errors import ChangedElsewhereError, NotThereError, RefusedError, SeamslateError
from webapp.pages import brief, cloth
from webapp.pages.forms import UNANSWERED, Answers, Field, read_form, text
from webapp.pages.house import House, InHouse, Sent
from webapp.pages.series_shared import Shared, shared_of, shared_one
from webapp.plan.cloth_edits import with_cloth
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.series import (
    Kept,
    KeptBody,
    kept_of,
    of_the_series,
    series_key,
    with_body_of_series,
    with_cloth_of_series,
)
from webapp.store.library import changed_since

router = APIRouter(prefix="/episodes/{episode_id}/series")

SharedKind = Literal["body", "cloth"]
SHOWN: Final = Field("shown", text(64))  # the state of what is kept, as the page showed it
_OUT: Final = (
    "“{name}” was taken out of the series in another tab or window, or by someone else, since this "
    "page was shown. Press once more to keep it anew."
)
_NOT_SHOWN: Final = (
    "The series has a “{name}” already, which this page did not show beside yours. Nothing was "
    "written over. A cloth can be kept by another name; called so in this episode, it is shown "
    "beside the series’ own."
)


@router.post("/body")
def keep_body(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    # Alters nothing: only figures that she was shown are kept for the others.
    _of_a_series(house, episode_id)
    answers = _saved(house, episode_id, "", read_form(sent, (SHOWN,)), lambda e: e, "entry")
    if not answers.errors:
        episode = house.store.get(episode_id)
        answers = _kept(house, episode, episode.body, answers, "entry")
    if answers.errors:
        return brief.show(request, house, episode_id, series_answers=answers)
    return _to(f"/episodes/{episode_id}/brief#series-bodies")


@router.post("/cloths/{place}")
def keep_cloth(
    request: Request, episode_id: str, place: int, sent: Sent, house: InHouse
) -> Response:
    """Keep a cloth by the name it has in the series; it is called so in the episode, too."""
    episode = _of_a_series(house, episode_id)
    if not 0 <= place < len(episode.cloths):
        raise NotThereError("That cloth is not there any more.")
    answers = read_form(sent, (Field("name", text(80, required=True), needed=True), SHOWN))
    name = answers.values.get("name", episode.cloths[place].name)
    if "shown" in answers.values and name.casefold() != episode.cloths[place].name.casefold():
        answers = replace(answers, values={**answers.values, "shown": ""})  # not of that name
    if not answers.errors:
        called_so = changed(episode.cloths[place], name=name)
        answers = _kept(house, episode, of_the_series(called_so), answers, "name", only_asked=True)
    if not answers.errors:  # called as before, it alters nothing
        words = f"{episode.cloths[place].name} is called {name}"
        answers = _saved(
            house,
            episode_id,
            words,
            answers,
            lambda e: with_cloth(e, place, {"name": name}),
            "name",
        )
    if not answers.errors:
        episode = house.store.get(episode_id)
        answers = _kept(house, episode, of_the_series(episode.cloths[place]), answers, "name")
    if answers.errors:
        return cloth.show(request, house, episode_id, form=f"keep {place}", answers=answers)
    return _to(f"/episodes/{episode_id}/cloth#series-cloths")


@router.post("/take/{kind}")
def take(request: Request, episode_id: str, kind: str, sent: Sent, house: InHouse) -> Response:
    """Take a body or a cloth of the series into the episode: one change, which can be undone."""
    wanted = (Field("entry", text(96, required=True), needed=True), Field("place", text(4)))
    answers = read_form(sent, wanted)
    if answers.errors:
        raise NotThereError("Choose what to take from the series.")
    entry, _, shown = answers.values["entry"].partition(" ")
    one = shared_one(house.library, kind, entry)
    kept, place = one.kept, answers.values.get("place", "")

    def edit(episode: Episode) -> Episode:
        if isinstance(kept, KeptBody):
            return with_body_of_series(episode, kept)
        return with_cloth_of_series(episode, kept, int(place) if place.isdecimal() else None)

    if shown not in ("", one.state):
        answers = replace(answers, typed={**answers.typed, "entry": one.as_shown})
        answers = answers.failed(changed_since(one.name).sentence, "entry")
    else:
        words = f"{one.name} from the series"
        answers = _saved(house, episode_id, words, answers, edit, "entry")
    if answers.errors and kind == "body":
        return brief.show(request, house, episode_id, series_answers=answers)
    if answers.errors:
        return cloth.show(request, house, episode_id, form=f"take {place}", answers=answers)
    page = "brief#body-title" if kind == "body" else "cloth"
    return _to(f"/episodes/{episode_id}/{page}")


def _saved(
    house: House,
    episode_id: str,
    words: str,
    answers: Answers,
    edit: Callable[[Episode], Episode],
    beside: str,
) -> Answers:
    """Make the change, or say at the field `beside` why it cannot be made."""
    saved = house.save(episode_id, words, UNANSWERED, edit, as_shown=True)
    return answers.failed(saved.errors[""], beside) if saved.errors else answers


def _of_a_series(house: House, episode_id: str) -> Episode:
    """An episode that a series can keep something of. NotThereError where it has none."""
    episode = house.store.get(episode_id)
    if not series_key(episode.series):
        raise NotThereError("Give the episode a series on the brief first.")
    return episode


def _kept(
    house: House,
    episode: Episode,
    one: Body | EpisodeCloth,
    answers: Answers,
    beside: str,
    *,
    only_asked: bool = False,
) -> Answers:
    """Keep it for the series, in place of the one of that name if there is one.

    Where that is not as the page showed it, it is said at the field `beside` and nothing is kept;
    nor is it where it is `only_asked` whether it can be.
    """
    try:
        there = _there(house, episode, one)
        anew = kept_of(episode, one, there.kept if there else None)
        if there is None or anew != there.kept:
            refuse_unless_shown(there, answers.values.get("shown"), one.name)
            if not only_asked:
                put_in_series(house, anew, there)
    except RefusedError:
        raise
    except SeamslateError as error:
        return answers.failed(error.sentence, beside)
    return answers


def _there(house: House, episode: Episode, one: Body | EpisodeCloth) -> Shared | None:
    """What its series shares by that name."""
    bodies, cloths = shared_of(house.library, episode.series)
    known = bodies if isinstance(one, Body) else cloths
    return next((each for each in known if each.name.casefold() == one.name.casefold()), None)


def refuse_unless_shown(there: Shared | None, shown: str | None, name: str) -> None:
    """ChangedElsewhereError where what is kept by that name is not what the page showed.

    A page that showed nothing of it tells an empty text; one that does not say, None.
    """
    if shown is None or shown == (there.state if there else ""):
        return
    if there is None:
        raise ChangedElsewhereError(_OUT.format(name=name))
    raise changed_since(name) if shown else ChangedElsewhereError(_NOT_SHOWN.format(name=name))


def put_in_series(house: House, kept: Kept, there: Shared | None) -> None:
    """Keep it, in place of what is there. ChangedElsewhereError if that was changed since."""
    kind: SharedKind = "body" if isinstance(kept, KeptBody) else "cloth"
    name = f"{kept.series}: {kept.one.name}"
    id, shown = (there.id, there.state) if there else (None, None)
    house.library.put(kind, name, kept.model_dump_json(), id, shown=shown)


def _to(address: str) -> Response:
    return RedirectResponse(address, status_code=303)
