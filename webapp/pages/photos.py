"""Pictures: the sketch of a brief and the photo of a fitting, sent, told in words, taken away."""

from collections.abc import Callable, Mapping
from typing import Any, Final

from fastapi import APIRouter, Request, Response
from fastapi.responses import FileResponse
from starlette.datastructures import FormData, UploadFile

from webapp.errors import NotThereError, PhotoError, RefusedError, SeamslateError
from webapp.pages import brief, fittings
from webapp.pages.forms import UNANSWERED, Answers, Field, read_form, text
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.plan.edits import changed
from webapp.plan.episode import Episode, Picture
from webapp.plan.fittings import fitting_called, with_fitting
from webapp.store.photos import LARGEST_PHOTO, media_type

router = APIRouter()

_ALT: Final = (Field("alt", text(200)),)
# What a name stands for never changes.
_FOREVER: Final = {"cache-control": "private, max-age=31536000, immutable"}


@router.get("/photos/{name}")
def photo(name: str, house: InHouse) -> Response:
    path = house.photos.path(name)
    if path is None:
        raise NotThereError("This picture is not on this computer.")
    return FileResponse(path, media_type=media_type(name), headers=_FOREVER)


@router.post("/episodes/{episode_id}/brief/sketch")
def save_sketch(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = _read(house, sent, house.store.get(episode_id).brief.sketch)
    answers = house.save(
        episode_id, "the sketch", answers, lambda e: _with_sketch(e, _pictured(answers.values))
    )
    return _brief(request, house, episode_id, answers)


@router.post("/episodes/{episode_id}/brief/sketch/delete")
def delete_sketch(request: Request, episode_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id, "the sketch taken away", UNANSWERED, lambda e: _with_sketch(e, _away)
    )
    return _brief(request, house, episode_id, answers)


@router.post("/episodes/{episode_id}/fittings/{fitting_id}/photo")
def save_photo(
    request: Request, episode_id: str, fitting_id: str, sent: Sent, house: InHouse
) -> Response:
    fitting = fitting_called(house.store.get(episode_id), fitting_id)
    answers = _read(house, sent, fitting.photo)
    answers = house.save(
        episode_id,
        f"the photo of “{fitting.title}”",
        answers,
        lambda e: _with_photo(e, fitting_id, _pictured(answers.values)),
    )
    return fittings.done(request, house, episode_id, fitting_id, "photo", answers)


@router.post("/episodes/{episode_id}/fittings/{fitting_id}/photo/delete")
def delete_photo(request: Request, episode_id: str, fitting_id: str, house: InHouse) -> Response:
    fitting = fitting_called(house.store.get(episode_id), fitting_id)
    answers = house.save(
        episode_id,
        f"the photo of “{fitting.title}” taken away",
        UNANSWERED,
        lambda e: _with_photo(e, fitting_id, _away),
    )
    return fittings.done(request, house, episode_id, fitting_id, "photo", answers)


_Edit = Callable[[Picture | None], Picture | None]


def _read(house: House, sent: FormData, there: Picture | None) -> Answers:
    """The form as sent; a picture that can be taken is kept, and `file` is its name."""
    answers = read_form(sent, _ALT)
    file = sent.get("file")
    try:
        if isinstance(file, UploadFile) and (file.filename or file.size):
            name = house.photos.keep(file.file.read(LARGEST_PHOTO + 1))
            return Answers(answers.typed, {**answers.values, "file": name}, answers.errors)
        if there is None:
            raise PhotoError("Choose a picture first.")
    except RefusedError:
        raise
    except SeamslateError as error:
        return answers.failed(error.sentence, "file")
    return answers


def _pictured(values: Mapping[str, Any]) -> _Edit:
    """What was sent put in place of what is there; what was not sent stays."""

    def edit(there: Picture | None) -> Picture | None:
        if there is None:
            return Picture(**values) if "file" in values else None
        return changed(there, **values)

    return edit


def _away(_: Picture | None) -> None:
    return None


def _with_sketch(episode: Episode, edit: _Edit) -> Episode:
    sketch = edit(episode.brief.sketch)
    return changed(episode, brief=changed(episode.brief, sketch=sketch))


def _with_photo(episode: Episode, fitting_id: str, edit: _Edit) -> Episode:
    return with_fitting(episode, fitting_id, lambda one: changed(one, photo=edit(one.photo)))


def _brief(request: Request, house: House, episode_id: str, answers: Answers) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/brief#sketch",
        (answers,),
        lambda: brief.show(request, house, episode_id, sketch_answers=answers),
    )
