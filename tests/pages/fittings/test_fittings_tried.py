"""What a fitting would move, and the revisions that are made of fittings."""

import html

import html5lib
import pytest
from starlette.testclient import TestClient

from tests.pages.fittings.reading import (
    IN_PART,
    NECK,
    TOO_WIDE,
    compared_in,
    make,
    sentences_of,
    text_of,
    view_of,
)
from webapp.filming.said import as_filmed
from webapp.pages.house import House
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.units import both_called

# --- What moves ------------------------------------------------------------------------------


def test_what_moves_is_seen_before_anything_is_made(
    client: TestClient, page: str, fitting: str, smock: str, house: House
) -> None:
    before = house.store.get(smock).garments
    client.post(f"{fitting}/changes/choice", data=NECK)
    preview = view_of(client, f"{page}?edit=first-try-on").preview
    assert preview is not None
    rows = {
        (group, name): (old, new)
        for group, figures in preview.compared.groups
        for name, old, new in figures
    }
    old, new = rows["Front", "neck depth"]
    assert old.replace("\u00a0", " ") == both_called("Front.neck depth", 90, "cm")
    assert new.replace("\u00a0", " ") == both_called("Front.neck depth", 110, "cm")
    assert [piece.name for piece in preview.compared.changed] == ["Front", "Neck binding"]
    assert preview.stale == ()
    assert house.store.get(smock).garments == before
    text = client.get(f"{page}?edit=first-try-on").text
    assert "With this fitting" in text
    assert "Make this the draft" in text
    html5lib.HTMLParser(strict=True).parse(text)


def test_what_moves_tells_the_cloth_and_counts_as_the_head_will(
    client: TestClient, page: str, fitting: str, smock: str, house: House
) -> None:
    longer = {"choice": "lighthouse-smock/smock length", "value": "90 cm"}
    client.post(f"{fitting}/changes/choice", data=longer)
    opened = f"{page}?edit=first-try-on"
    assert f'hx-get="{fitting}/cloth"' in client.get(opened).text  # nothing is laid for it
    preview = view_of(client, opened).preview
    assert preview is not None
    count, was = len(preview.moved.figures), house.plan(smock).lays[0].purchase
    told = client.get(f"{fitting}/cloth").text.replace("\u00a0", " ")
    text = text_of(client, opened)
    assert "Laying the pieces" not in text
    assert f"{count} figures of the draft" in text
    assert preview.moved.texts
    assert preview.moved.texts[0].what in text
    assert "The ways of laying Main cloth are of an older draft" in text
    client.post(f"{fitting}/make")
    now = house.plan(smock).lays[0].purchase
    assert was and now
    assert (
        f"To buy of Main cloth: {was.metres} ({was.yards}) → "
        f"<strong>{now.metres} ({now.yards})</strong>"
    ) in told
    assert f"{count} figures moved" in client.get(page).text
    compared = client.get(f"{page}/compare/cloth?one=0&other=1").text.replace("\u00a0", " ")
    assert f"<strong>{now.metres} ({now.yards})</strong>" in compared
    assert f'hx-get="{page}/compare/cloth?one=0&amp;other=1"' in (
        client.get(f"{page}/compare?one=0&other=1").text
    )


def test_a_filmed_shot_that_would_say_an_old_figure_is_named(
    client: TestClient, page: str, fitting: str, smock: str, house: House
) -> None:
    def filmed(e: Episode) -> Episode:
        plan = evaluate(e)
        shot = changed(e.shots[0], narration="Deepen it to {front neck depth}.")
        shot = changed(shot, filmed=as_filmed(shot, plan.figures_mm, "cm"))
        return changed(e, shots=(shot, *e.shots[1:]))

    house.store.change(smock, "filmed", filmed)
    client.post(f"{fitting}/changes/choice", data=NECK)
    preview = view_of(client, f"{page}?edit=first-try-on").preview
    assert preview is not None
    assert [row.number for row in preview.stale] == [1]
    text = text_of(client, f"{page}?edit=first-try-on")
    assert "is filmed and says Front neck depth 9 cm (3 9/16 in), not 11 cm (4 5/16 in)." in text


def test_a_fitting_that_breaks_the_draft_is_kept_and_cannot_be_made(
    client: TestClient, page: str, fitting: str, smock: str, house: House
) -> None:
    assert client.post(f"{fitting}/changes/choice", data=TOO_WIDE).status_code == 303
    before = house.store.get(smock)
    row = view_of(client, page).fittings[0]
    assert row.plan.status == "cannot be cut"
    assert "cannot be cut" in text_of(client, page)
    assert row.plan.why[0] in text_of(client, page)
    opened = client.get(f"{page}?edit=first-try-on").text
    assert "Kept as a note: it cannot be cut." in opened
    assert "Make this the draft" not in opened
    answer = client.post(f"{fitting}/make", headers=IN_PART)
    assert answer.status_code == 422
    assert row.plan.why[0] in html.unescape(answer.text)
    assert house.store.get(smock) == before


# --- Revisions -------------------------------------------------------------------------------


def test_a_fitting_is_made_the_draft_and_says_which_revision_it_became(
    client: TestClient, page: str, fitting: str, smock: str, house: House
) -> None:
    make(client, fitting)
    choice = {one.name: one.value for one in house.store.get(smock).garments[0].choices}
    assert choice["front neck depth"] == "11 cm"
    text = text_of(client, f"{page}?edit=first-try-on&made=first-try-on")
    assert "“First try-on” is the draft now: revision 1." in text
    opened = client.get(f"{page}?edit=first-try-on").text
    assert f"{page}/compare?one=0&amp;other=1" in opened
    assert "Add this change" not in opened
    assert sentences_of(client, page) == [
        "Front neck depth: 9 cm (3 9/16 in) becomes 11 cm (4 5/16 in)"
    ]
    answer = client.post(f"{fitting}/changes/choice", data=NECK, headers=IN_PART)
    assert answer.status_code == 422
    assert "A revision was made of this fitting" in answer.text


def test_going_back_is_a_new_revision_and_loses_none(
    client: TestClient, page: str, fitting: str, smock: str, house: House
) -> None:
    make(client, fitting)
    answer = client.post(f"{page}/revisions/0/back")
    assert answer.headers["location"] == f"{page}#revisions"
    choice = {one.name: one.value for one in house.store.get(smock).garments[0].choices}
    assert choice["front neck depth"] == "9 cm"
    view = view_of(client, page)
    assert [(row.called, row.is_now) for row in view.revisions] == [
        ("2: Back to First draft", True),
        ("1: First try-on", False),
        ("First draft", False),
    ]
    assert view.revisions[1].day == "20 November 2026"
    answer = client.post(f"{page}/revisions/9/back", headers=IN_PART)
    assert answer.status_code == 422
    assert "There is no revision 9." in answer.text


def test_two_revisions_are_compared_by_their_names(
    client: TestClient, page: str, fitting: str
) -> None:
    make(client, fitting)
    address = f"{page}/compare?one=0&other=1"
    compared = compared_in(client, address).compared
    assert compared is not None
    assert (compared.old, compared.new, compared.newer) == (
        "First draft", "1: First try-on", "1: First try-on",
    )  # fmt: skip
    text = text_of(client, address)
    assert "Cut as before: Back, Sleeve, Pocket, Cowl." in text
    assert "on camera" not in text, "an outline is of a revision here, not of a size"
    html5lib.HTMLParser(strict=True).parse(client.get(address).text)
    turned = compared_in(client, f"{page}/compare?one=1&other=0").compared
    assert turned is not None
    assert turned.newer == "1: First try-on"


def test_the_last_two_are_compared_when_none_is_named(
    client: TestClient, page: str, fitting: str
) -> None:
    make(client, fitting)
    client.post(f"{page}/revisions/0/back")
    view = compared_in(client, f"{page}/compare")
    assert (view.one, view.other) == ("1", "2")


@pytest.mark.parametrize(
    ("query", "sentence"),
    [
        ("one=0&other=7", "There is no revision “7”"),
        ("one=x&other=1", "There is no revision “x”"),
        ("one=-1", "There is no revision “-1”"),
        ("one=1&other=1", "That is one revision twice"),
    ],
)
def test_a_bad_number_in_the_address_is_a_sentence(
    client: TestClient, page: str, fitting: str, query: str, sentence: str
) -> None:
    make(client, fitting)
    answer = client.get(f"{page}/compare?{query}")
    assert answer.status_code == 404
    assert sentence in answer.text
    assert "<select" in answer.text, "two others can be chosen at once"


def test_one_revision_alone_is_not_compared(client: TestClient, page: str, empty: str) -> None:
    assert "There is only one revision so far" in text_of(client, f"{page}/compare")
    assert client.get(f"/episodes/{empty}/fittings/compare").status_code == 404


def test_a_fitting_struck_out_in_another_tab_is_told(
    client: TestClient, page: str, fitting: str
) -> None:
    client.post(f"{fitting}/delete")
    answer = client.post(fitting, data={"found": "Tight."}, headers=IN_PART)
    assert answer.status_code == 422
    assert "is not there any more" in answer.text
    assert client.post(f"{fitting}/make").status_code == 404
    assert client.get(f"{page}?edit=first-try-on").status_code == 200


def test_undo_leads_back_to_the_page(client: TestClient, page: str, fitting: str) -> None:
    make(client, fitting)
    answer = client.post(f"{page.removesuffix('/fittings')}/undo", data={"page": "fittings"})
    assert answer.headers["location"] == page
    assert view_of(client, page).revisions == ()
