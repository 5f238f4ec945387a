"""Two versions of what was typed: both are shown, and she chooses, with script or without."""

import re

import pytest
from httpx import Response
from starlette.datastructures import FormData
from starlette.testclient import TestClient

from webapp.pages.forms import Answers, Field, read_form, text
from webapp.pages.house import House


@pytest.mark.usefixtures("database")
@pytest.mark.parametrize(
    ("field", "mine", "has"),
    [
        ("title", "Mine", "<q>Theirs</q>"),
        ("audience", "Beginners", "nothing"),
        ("wearer", "3 to 6", "<q>A child of 7 to 13 years</q>"),
        ("notes", "Wash it", "<q>Dry it</q>"),
    ],
)
def test_an_outdated_save_shows_both_versions_and_the_choice(
    client: TestClient, smock: str, house: House, field: str, mine: str, has: str
) -> None:
    edition = house.store.edition(smock)
    theirs = {"title": "Theirs", "audience": "", "notes": "Dry it"}
    theirs |= {"wearer": "7 to 13", "sleepwear": "yes"}
    assert client.post(f"/episodes/{smock}/brief?edition={edition}", data=theirs).status_code == 303
    before = house.store.get(smock)
    late = client.post(f"/episodes/{smock}/brief?edition={edition}", data={field: mine})
    assert late.status_code == 422
    assert house.store.get(smock) == before
    told = late.text.partition(f'id="{field}-other"')[2].partition("</div>")[0]
    assert f"The plan has now: {has}" in told
    assert "Save mine" in told and "Keep the plan’s" in told
    assert "the last change is “title, who the video is for" in late.text
    assert late.text.count('class="other-version"') == 1

    edition = house.store.edition(smock)
    answer = client.post(f"/episodes/{smock}/brief?edition={edition}", data={field: mine})
    assert answer.status_code == 303
    assert house.store.get(smock) != before


@pytest.mark.usefixtures("database")
def test_without_script_only_what_both_altered_is_to_be_chosen_and_the_rest_stays(
    client: TestClient, smock: str, house: House
) -> None:
    """Such a form sends all its fields; a choice at one is none at another."""
    edition, was = house.store.edition(smock), house.store.get(smock)
    address = f"/episodes/{smock}/brief?edition="
    theirs = {"title": "Theirs", "notes": "Dry it", "channel": "Elsewhere"}
    client.post(f"{address}{edition}", data=theirs)
    edition += 1
    mine = {
        "title": "Mine",
        "notes": "Wash it",
        "audience": "Beginners",
        "channel": was.channel,
        "promise": was.brief.promise,
    }
    late = client.post(f"{address}{edition - 1}", data=mine)
    assert late.status_code == 422
    assert late.text.count('class="other-version"') == 2
    assert _open_in(late) == ["notes", "title"]
    assert 'value="Elsewhere"' in late.text and 'value="Beginners"' in late.text
    shown = mine | {"channel": "Elsewhere", "open": _open_in(late)}
    one = client.post(f"{address}{edition}", data=shown | {"keep": "title"})
    assert one.status_code == 422
    assert _open_in(one) == ["notes"]
    assert "choose beside each field" in one.text
    assert 'value="Theirs"' in one.text and 'value="Beginners"' in one.text
    assert house.store.edition(smock) == edition
    shown |= {"title": "Theirs", "open": _open_in(one)}
    assert client.post(f"{address}{edition}", data=shown | {"mine": "notes"}).status_code == 303
    now = house.store.get(smock)
    assert (now.title, now.brief.audience, now.brief.notes, now.channel) == (
        ("Theirs", "Beginners", "Wash it", "Elsewhere")
    )


@pytest.mark.usefixtures("database")
def test_no_other_button_makes_a_choice_nor_does_enter_in_a_field(
    client: TestClient, smock: str, house: House
) -> None:
    """HTML, "implicit submission": Enter presses the first submit button of the field's form."""
    edition, address = house.store.edition(smock), f"/episodes/{smock}/brief?edition="
    client.post(f"{address}{edition}", data={"title": "Theirs"})
    late = client.post(f"{address}{edition}", data={"title": "Mine", "notes": "Dry it"})
    form = late.text.partition('id="brief-form"')[2].partition("</form>")[0]
    assert _open_in(late) == ["title"]
    buttons = [one for one in re.findall(r"<button([^>]*)>", form) if "type=" not in one]
    first, *others = [one for one in buttons if " form=" not in one]
    assert "name=" not in first
    assert sum("name=" in one for one in others) == 2
    shown = {"title": "Mine", "notes": "Dry it", "open": "title"}
    again = client.post(f"{address}{edition + 1}", data=shown)
    assert again.status_code == 422
    assert "choose beside each field" in again.text
    assert _open_in(again) == ["title"] and "Dry it" in again.text
    assert house.store.edition(smock) == edition + 1
    answer = client.post(f"{address}{edition + 1}", data=shown | {"mine": "title"})
    assert answer.status_code == 303
    assert house.store.get(smock).title == "Mine"


def _open_in(page: Response) -> list[str]:
    return sorted(re.findall(r'name="open" value="(\w+)"', page.text))


def test_a_field_left_empty_is_hers_whether_it_reads_as_nothing_or_as_no_words() -> None:
    for name, value, kept in (("number", None, ""), ("notes", "", None)):
        answers = Answers({name: ""}, {name: value})
        late = answers.outdated("why", {("brief", name): kept}, {})
        assert late.hers == {name}


def test_what_both_altered_is_left_to_choose_although_another_thing_had_her_words() -> None:
    hers = {("cloths", "Main", "name"): "Linen"}
    others = {("cloths", "Main", "name"): "Cotton", ("cloths", "Lining", "name"): "Linen"}
    late = Answers({"name": "Linen"}, {"name": "Linen"}).outdated("why", hers, others)
    assert late.typed == {"name": "Linen"}
    assert late.hers == frozenset()


def test_a_field_that_is_needed_and_kept_as_the_plan_has_it_is_told_so() -> None:
    sent = FormData([("name", "Mine"), ("keep", "name")])
    answers = read_form(sent, (Field("name", text(80), needed=True),))
    assert answers.errors == {"name": "This is as the plan has it, as you chose."}
    assert read_form(sent, (Field("name", text(80)),)) == Answers()
