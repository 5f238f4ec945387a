"""Own size charts: kept from a CSV text or file, taken out, put back."""

from typing import Final
from urllib.parse import urlencode

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from starlette.datastructures import FormData, UploadFile

from webapp.draft.size_csv import LARGEST_CHARACTERS, Reading, read_sizes, text_of
from webapp.errors import RefusedError, SeamslateError
from webapp.pages.forms import Answers, Field, one_of, read_form, text
from webapp.pages.house import InHouse, Sent
from webapp.pages.offered_charts import own_key
from webapp.pages.sizes_view import done, show

router = APIRouter(prefix="/episodes/{episode_id}/sizes/charts")

_LARGEST_BYTES: Final = 4 * LARGEST_CHARACTERS  # no character takes more in UTF-8


@router.post("")
def keep_chart(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    unit = house.store.get(episode_id).first_unit
    answers = read_form(
        sent,
        (
            Field("name", text(80, required=True), needed=True),
            Field("source", text(4000)),
            Field("unit", one_of(("cm", "in"))),
            Field("text", str),  # read_sizes tells what is wrong with it
        ),
    )
    answers = _with_file(sent, answers)
    reading = read_sizes(answers.typed.get("text", ""), answers.values.get("unit", unit))
    if "text" in answers.errors:
        reading = Reading()
    elif reading.troubles:
        answers = answers.failed(
            "This cannot be read as a size chart yet; what is wrong stands above.", "text"
        )
    id = ""
    if not answers.errors:
        chart = reading.chart(answers.values["name"], answers.values.get("source", ""))
        try:
            id = house.library.put("chart", chart.name, chart.model_dump_json())
        except RefusedError:
            raise
        except SeamslateError as error:
            answers = answers.failed(error.sentence, "name")
    if answers.errors:  # of the whole form, so that all that was typed is shown again
        answers = answers.failed("The chart is not kept yet.")
        return show(request, house, episode_id, form="chart", answers=answers, reading=reading)
    return _back(episode_id, "?" + urlencode({"chart": own_key(id)}) + "#charts")


@router.post("/{chart}/take-out")
def take_out(request: Request, episode_id: str, chart: str, house: InHouse) -> Response:
    house.library.take_out("chart", chart)
    return done(request, house, episode_id, "#charts")


@router.post("/{chart}/put-back")
def put_back(request: Request, episode_id: str, chart: str, house: InHouse) -> Response:
    house.library.put_back("chart", chart)
    return done(request, house, episode_id, "#charts")


def _with_file(sent: FormData, answers: Answers) -> Answers:
    """The answers with the text of the file, when one was chosen, in place of what was pasted."""
    file = sent.get("file")
    if not isinstance(file, UploadFile):
        return answers
    with file.file as opened:
        raw = opened.read(_LARGEST_BYTES + 1)
    if not file.filename:  # a browser sends an empty one when none is chosen
        return answers
    try:
        read = text_of(raw)
    except ValueError as error:
        return answers.failed(str(error), "text")
    return Answers({**answers.typed, "text": read}, answers.values, answers.errors)


def _back(episode_id: str, place: str) -> Response:
    return RedirectResponse(f"/episodes/{episode_id}/sizes{place}", status_code=303)
