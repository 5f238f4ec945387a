"""The fittings page: what was found, and what it changes."""

import html
import io
from datetime import date

import pytest
from PIL import Image
from starlette.testclient import TestClient

from tests.pages.fittings.reading import (
    IN_PART,
    NECK,
    SMOCK,
    sentences_of,
    text_of,
    view_of,
)
from tests.pages.test_hostile_forms import HOSTILE
from webapp.draft.fittings import ChoiceChange, FinishChange, MoveChange
from webapp.draft.recipe import Finish
from webapp.pages.fittings_view import FittingsView
from webapp.pages.house import House

# --- Writing one down ------------------------------------------------------------------------


def test_a_fitting_is_written_down_and_opens_at_the_top(
    client: TestClient, page: str, smock: str, house: House
) -> None:
    first = {"title": "First try-on", "day": "2026-11-20", "found": "Too high in front.",
             "reason": "It chokes.", "shot": "intro"}  # fmt: skip
    client.post(page, data=first)
    answer = client.post(page, data={"title": "Second"}, headers=IN_PART)
    assert answer.headers["hx-push-url"] == f"{page}?edit=second#fitting-second"
    view = view_of(client, page)
    assert [row.fitting.title for row in view.fittings] == ["Second", "First try-on"]
    kept = house.store.get(smock).fittings[0]
    assert (kept.day, kept.found, kept.shot) == (date(2026, 11, 20), first["found"], "intro")
    text = text_of(client, page)
    assert "20 November 2026" in text
    assert "Why: It chokes." in text
    assert "Shown in shot 1" in text


@pytest.mark.parametrize(
    ("fields", "field", "sentence"),
    [
        ({}, "title", "Write something here."),
        ({"title": "x" * 81}, "title", "81 characters long"),
        ({"title": "Hip", "day": "today"}, "day", "Write the day as year-month-day"),
        ({"title": "Hip", "shot": "no-shot"}, "shot", "Choose one of the answers"),
    ],
)
def test_a_bad_answer_is_told_beside_its_field_and_kept(
    client: TestClient,
    page: str,
    smock: str,
    house: House,
    fields: dict[str, str],
    field: str,
    sentence: str,
) -> None:
    answer = client.post(page, data={"found": "Tight.", **fields})
    assert answer.status_code == 422
    view: FittingsView = answer.context["view"]  # type: ignore[attr-defined]
    assert sentence in view.answers.errors[field]
    assert sentence in answer.text
    assert ">\nTight.</textarea>" in answer.text
    assert house.store.get(smock).fittings == ()


def test_an_open_fitting_saves_what_is_changed(
    client: TestClient, fitting: str, smock: str, house: House
) -> None:
    answer = client.post(fitting, data={"found": "Tight at the hip."}, headers=IN_PART)
    assert answer.status_code == 200
    assert house.store.get(smock).fittings[0].found == "Tight at the hip."
    answer = client.post(fitting, data={"day": "soon"}, headers=IN_PART)
    assert answer.status_code == 422
    assert 'aria-describedby="fitting-day-error"' in answer.text


def test_a_fitting_without_changes_is_a_note_and_can_be_struck_out(
    client: TestClient, page: str, fitting: str
) -> None:
    assert view_of(client, page).fittings[0].plan.status == "note"
    assert "Make this the draft" not in client.get(f"{page}?edit=first-try-on").text
    assert client.post(f"{fitting}/delete").headers["location"] == page
    assert view_of(client, page).fittings == ()


# --- Its changes -----------------------------------------------------------------------------


def test_a_figure_is_changed_for_every_size_alike_or_in_proportion(
    client: TestClient, page: str, fitting: str, smock: str, house: House
) -> None:
    client.post(f"{fitting}/changes/choice", data={**NECK, "measure": ""})
    (alike,) = house.store.get(smock).fittings[0].changes
    assert alike == ChoiceChange(garment=SMOCK, choice="front neck depth", value="11 cm")
    # 9 cm is 3.54 in and 11 cm 4.33 in: to 1/16 in below 10 cm, to 1/8 in from there on.
    assert sentences_of(client, page) == [
        "Front neck depth: 9 cm (3 9/16 in) becomes 11 cm (4 5/16 in)"
    ]
    client.post(f"{fitting}/changes/choice", data={**NECK, "value": "12", "measure": "bust"})
    (in_proportion,) = house.store.get(smock).fittings[0].changes
    assert in_proportion == ChoiceChange(
        garment=SMOCK, choice="front neck depth", value="12 cm * (bust / 92 cm)"
    )
    assert sentences_of(client, page) == [
        "Front neck depth: 9 cm (3 9/16 in) becomes 12 cm (4 3/4 in), "
        "in proportion to the bust in every other size",
    ]
    client.post(f"{fitting}/changes/choice", data={**NECK, "value": "4 1/2 in", "measure": "bust"})
    assert sentences_of(client, page)[-1].endswith("in proportion to the bust in every other size")
    client.post(f"{fitting}/changes/choice", data={**NECK, "value": "bust / 9", "measure": "bust"})
    assert sentences_of(client, page)[-1].endswith("worked out as (bust / 9) * (bust / 92 cm)")


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("+ 2 cm", "becomes 11 cm (4 5/16 in)"),
        ("+2", "becomes 11 cm (4 5/16 in)"),
        ("- 1/2 in", "becomes 7.7 cm (3 1/16 in), worked out as 9 cm - (1/2 in)"),  # 77.3 mm
        ("−1 cm", "becomes 8 cm (3 1/8 in)"),
    ],
)
def test_a_figure_with_a_sign_is_more_or_less_than_now(
    client: TestClient, page: str, fitting: str, typed: str, told: str
) -> None:
    client.post(f"{fitting}/changes/choice", data={**NECK, "value": typed})
    assert sentences_of(client, page) == [f"Front neck depth: 9 cm (3 9/16 in) {told}"]


def test_a_finish_is_changed_with_its_depth_and_how_it_is_neatened(
    client: TestClient, page: str, fitting: str, smock: str, house: House
) -> None:
    sent = {"edge": f"{SMOCK}/Front.hem", "finish": "single fold hem", "allowance": "2",
            "under": "1 cm", "neatened": "overlock"}  # fmt: skip
    assert client.post(f"{fitting}/changes/finish", data=sent).status_code == 303
    finish = Finish(kind="single fold hem", allowance="2 cm")  # what is turned under is of a double
    assert house.store.get(smock).fittings[0].changes == (
        FinishChange(garment=SMOCK, piece="Front", edge="hem", finish=finish, neatened="overlock"),
    )
    assert sentences_of(client, page) == [
        "Front hem: double fold hem of 2.5 cm (1 in) becomes single fold hem of 2 cm (3/4 in), "
        "neatened by overlock"
    ]
    assert "takes more work: overlock Front.hem" in text_of(client, f"{page}?edit=first-try-on")


def test_a_move_is_chosen_and_then_filled_in(
    client: TestClient, page: str, fitting: str, smock: str, house: House
) -> None:
    chosen = f"{page}?edit=first-try-on&piece={SMOCK}/Pocket&kind=taper"
    forms = view_of(client, chosen).forms
    assert forms is not None
    assert forms.adding is not None
    assert "left side" in forms.adding.fields[0].options
    sent = {"piece": f"{SMOCK}/Pocket", "kind": "taper", "edge": "left side", "end": "foot"}
    answer = client.post(f"{fitting}/changes/move", data={**sent, "by": "a little"})
    assert answer.status_code == 422
    assert "add-by-error" in answer.text
    assert 'value="a little"' in answer.text
    sent["by"] = "1 cm"
    assert client.post(f"{fitting}/changes/move", data=sent).status_code == 303
    change = house.store.get(smock).fittings[0].changes[0]
    assert isinstance(change, MoveChange)
    assert change.piece == "Pocket"
    assert sentences_of(client, page) == ["Pocket: taper added"]
    assert view_of(client, page).fittings[0].changes[0].words, "the draft says how it is drawn"


@pytest.mark.parametrize(
    ("kind", "sent", "field", "sentence"),
    [
        ("choice", {"value": "9 cm"}, "choice", "Write something here."),
        ("choice", {"choice": "", "value": "9 cm"}, "choice", "Choose the figure that changes."),
        ("choice", {**NECK, "value": ""}, "value", ""),
        ("choice", {**NECK, "value": "bsut / 8"}, "value", "bsut"),
        ("choice", {**NECK, "value": "9 kg"}, "value", ""),
        (
            "choice",
            {**NECK, "value": "front neck depth + 1 cm"},
            "value",
            "cannot be worked out from itself",
        ),
        ("choice", {**NECK, "measure": "tail"}, "measure", "Choose one of the answers"),
        ("finish", {"edge": "", "finish": "bound"}, "edge", "Choose the edge that changes."),
        ("finish", {"edge": f"{SMOCK}/Front.hem", "finish": "glued"}, "finish", "Choose one"),
        (
            "finish",
            {"edge": f"{SMOCK}/Front.hem", "finish": "seam", "allowance": "wide"},
            "allowance",
            "wide",
        ),
        ("move", {"piece": f"{SMOCK}/Cape", "kind": "taper"}, "", "Choose a piece and a move"),
        ("move", {"piece": f"{SMOCK}/Front", "kind": "fly"}, "", "Choose a piece and a move"),
    ],
)
def test_a_change_that_cannot_be_read_is_told_where_it_was_typed(
    client: TestClient,
    fitting: str,
    smock: str,
    house: House,
    kind: str,
    sent: dict[str, str],
    field: str,
    sentence: str,
) -> None:
    answer = client.post(f"{fitting}/changes/{kind}", data=sent)
    assert answer.status_code == 422
    view: FittingsView = answer.context["view"]  # type: ignore[attr-defined]
    assert sentence in view.answers.errors[field]
    told = html.unescape(answer.text).replace("\u00a0", " ")
    assert html.escape(view.answers.errors[field], quote=False) in told
    if "value" in sent:
        assert f'value="{sent["value"]}"' in answer.text
    assert house.store.get(smock).fittings[0].changes == ()


def test_a_figure_may_go_beyond_the_usual_range_which_is_only_loose(
    client: TestClient, page: str, fitting: str
) -> None:
    sent = {**NECK, "value": "23 cm"}  # the recipe calls 5 cm to 22 cm sensible
    assert client.post(f"{fitting}/changes/choice", data=sent).status_code == 303
    preview = view_of(client, f"{page}?edit=first-try-on").preview
    assert preview is not None
    assert any("front neck depth" in thread.sentence for thread in preview.threads)


def test_a_change_can_be_struck_out(
    client: TestClient, fitting: str, smock: str, house: House
) -> None:
    client.post(f"{fitting}/changes/choice", data=NECK)
    other = {**NECK, "choice": f"{SMOCK}/smock length", "value": "70 cm"}
    client.post(f"{fitting}/changes/choice", data=other)
    client.post(f"{fitting}/changes/0/delete")
    (left,) = house.store.get(smock).fittings[0].changes
    assert isinstance(left, ChoiceChange)
    assert left.value == "70 cm"
    answer = client.post(f"{fitting}/changes/7/delete", headers=IN_PART)
    assert answer.status_code == 422
    assert "That change is not there any more." in answer.text


@pytest.mark.parametrize("typed", HOSTILE, ids=[ascii(text)[:16] for text in HOSTILE])
def test_hostile_text_in_every_field_of_a_change_is_answered(
    client: TestClient, page: str, fitting: str, typed: str
) -> None:
    text = typed.encode("utf-8", "surrogatepass")
    for kind, there in (
        ("choice", NECK),
        ("finish", {"edge": f"{SMOCK}/Front.hem", "finish": "seam"}),
        ("move", {"piece": f"{SMOCK}/Pocket", "kind": "taper", "edge": "left side"}),
    ):
        names = ("choice", "value", "measure", "edge", "finish", "allowance", "under", "neatened",
                 "piece", "kind", "by", "end")  # fmt: skip
        for data in (dict.fromkeys(names, text), {**dict.fromkeys(names, text), **there}):
            answer = client.post(f"{fitting}/changes/{kind}", data=data)
            assert answer.status_code in (303, 422), (kind, answer.status_code)
    assert client.get(f"{page}?edit=first-try-on").status_code == 200
    asked = {"edit": text, "piece": text, "kind": text}
    assert client.get(page, params=asked).status_code == 200  # type: ignore[arg-type]


def test_a_photo_is_sent_and_shown_in_the_open_fitting(client: TestClient, fitting: str) -> None:
    answer = client.post(f"{fitting}/photo", data={"alt": "The neck"}, headers=IN_PART)
    assert answer.status_code == 422
    assert "Choose a picture first." in answer.text
    assert "fitting-form" in answer.text, "the fitting stays open"
    pixels = io.BytesIO()
    Image.new("RGB", (60, 40), "teal").save(pixels, "PNG")
    sent = {"file": ("neck.png", pixels.getvalue(), "image/png")}
    answer = client.post(f"{fitting}/photo", data={"alt": "The neck"}, files=sent, headers=IN_PART)
    assert answer.status_code == 200
    assert 'alt="The neck"' in answer.text
    assert "fitting-form" in answer.text


def test_a_fitting_of_an_episode_without_a_garment_is_a_note(
    client: TestClient, empty: str
) -> None:
    page = f"/episodes/{empty}/fittings"
    client.post(page, data={"title": "Muslin"})
    assert "Changes are made to a draft." in client.get(f"{page}?edit=muslin").text
    for kind in ("choice", "finish", "move"):
        assert client.post(f"{page}/muslin/changes/{kind}").status_code == 422
    answer = client.post(f"{page}/muslin/make", headers=IN_PART)
    assert "This fitting changes nothing in the draft yet" in answer.text
