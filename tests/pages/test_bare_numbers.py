"""Numbers without a unit, or with the wrong one: asked about, and what would do is offered."""

import pytest
from starlette.testclient import TestClient

from webapp.draft.measures import doubts
from webapp.draft.names import Figures
from webapp.pages.bare_numbers import SentForm
from webapp.pages.forms import Field, Reader, figure, length, read_form, text
from webapp.pages.house import House
from webapp.pages.seam_fields import seam_notches

WAIST = length("cm", 350, 2000)
FIGURE = figure("cm", Figures())


def _told(read: Reader, typed: str) -> str:
    sent = SentForm([("field", typed)])
    sent.preferred = "in"
    return read_form(sent, [Field("field", read)]).errors.get("field", "")


@pytest.mark.parametrize(
    ("read", "typed", "number"),
    [
        (WAIST, "40", "40"),
        (WAIST, "40 1/2", "40 1/2"),
        (FIGURE, "-4", "-4"),
        (seam_notches("cm", Figures()), "12 cm, 14 double", "14"),
    ],
)
def test_a_number_that_could_be_either_is_asked_about(
    read: Reader, typed: str, number: str
) -> None:
    assert _told(read, typed) == f"{number} cm or {number} in? Write which."


@pytest.mark.parametrize(
    ("read", "typed"),
    [(WAIST, "76 cm"), (WAIST, "30 in"), (WAIST, ""), (FIGURE, "0"), (text(40), "40"),
     (figure("in", Figures()), "4"), (figure("cm", Figures(), share=True), "2"),
     (FIGURE, "4 cm / 2")],
)  # fmt: skip
def test_what_is_certain_is_not_asked_about(read: Reader, typed: str) -> None:
    assert _told(read, typed) == ""


@pytest.mark.parametrize("typed", ["29", "29 cm"])
def test_a_figure_out_of_range_that_would_do_in_the_other_unit_is_offered_in_it(
    typed: str,
) -> None:
    assert _told(WAIST, typed).endswith(" 29 in would do: write 29 in.")
    assert "would do" not in _told(WAIST, "3 cm")


def test_a_hip_smaller_than_the_waist_is_a_doubt_and_no_refusal(
    client: TestClient, house: House, smock: str
) -> None:
    answer = client.post(
        f"/episodes/{smock}/body",
        data={"m waist": "76 cm", "m hip": "40 cm"},
        headers={"hx-request": "true"},
    )
    assert answer.status_code == 200
    told = "Measure again? The hip, 40 cm (15 3/4 in), is less than the waist, 76 cm (29 7/8 in)."
    assert told in answer.text
    assert house.store.get(smock).body.measures["hip"] == "40 cm"
    (thread,) = [one for one in house.plan(smock).loose_threads if one.sentence == told]
    assert (thread.severity, thread.place.item) == ("should", "body-hip")


def test_bodies_that_there_are_raise_no_doubt() -> None:
    """A pair of EN 13402-3 for women, bust 92 (at second hand; see draft.standard_sizes)."""
    assert not list(doubts({"bust": "92 cm", "waist": "76 cm", "hip": "100 cm"}, "cm"))


def test_a_range_is_told_in_her_unit_first(client: TestClient, smock: str) -> None:
    client.cookies.set("first_unit", "in")
    answer = client.post(f"/episodes/{smock}/body", data={"m waist": "29"})
    text = answer.text.replace("\xa0", " ")
    assert "from 13 3/4 in (35 cm) to 78 3/4 in (200 cm). 29 in would do" in text
