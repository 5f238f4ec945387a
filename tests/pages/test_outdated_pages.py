"""What was changed elsewhere while a page was made is never taken for shown."""

from datetime import date
from typing import Any

import pytest
from httpx import Response
from starlette.testclient import TestClient

from tests.pages.planning.reading import IN_PART
from webapp.filming.shoot_days import ShootDay
from webapp.pages import house as houses
from webapp.pages.forms import Answers
from webapp.pages.house import House
from webapp.plan.edits import as_printed, changed, changed_one
from webapp.plan.episode import Episode
from webapp.plan.results import Plan
from webapp.store.repository import EpisodeStore

pytestmark = pytest.mark.usefixtures("database")


def test_a_page_never_claims_a_newer_edition_than_it_shows(
    client: TestClient, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = house.plan(smock)

    def slow(of: House, episode_id: str, revision: int) -> tuple[Plan, int]:
        # Saved elsewhere meanwhile.
        of.store.change(episode_id, "the number", _numbered_8)
        return shown, revision

    edition = house.store.edition(smock)
    monkeypatch.setattr(House, "_plan_of", slow)
    page = house.shell(smock, "brief")
    monkeypatch.undo()
    assert (page.episode.number, page.edition) == (3, edition)
    late = client.post(f"/episodes/{smock}/brief?edition={edition}", data={"number": "9"})
    assert late.status_code == 422
    assert house.store.get(smock).number == 8


def test_a_plan_is_kept_by_its_own_revision(
    smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else the page would take the rows of the other tab's change for those it shows."""
    first, get = house.store.revision(smock), EpisodeStore.get

    def late(of: EpisodeStore, episode_id: str) -> Episode:
        of.change(episode_id, "the number", _numbered_8)
        return get(of, episode_id)

    monkeypatch.setattr(EpisodeStore, "get", late)
    plan, revision = house.plan_and_revision(smock)
    assert (plan.episode.number, revision) == (8, first + 1)
    assert house.plans.find((smock, first, "")) is None


def test_the_printed_plan_of_before_a_change_is_not_kept_as_that_of_after(
    smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    house.store.change(smock, "inches on the sheets", _printed_in_inches)

    def slow(episode: Episode) -> Episode:
        house.store.change(smock, "the number", _numbered_8)
        return as_printed(episode)

    monkeypatch.setattr(houses, "as_printed", slow)
    assert house.printed_plan(smock).episode.number == 3
    monkeypatch.undo()
    assert house.printed_plan(smock).episode.number == 8


def _numbered_8(episode: Episode) -> Episode:
    return changed(episode, number=8)


def _printed_in_inches(episode: Episode) -> Episode:
    return changed(episode, print_choices=changed(episode.print_choices, first_unit="in"))


def test_rows_are_sent_again_when_a_change_came_between_save_and_answer(
    client: TestClient, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = (shot.id for shot in house.store.get(smock).shots[:2])
    edition, save = house.store.edition(smock), House.save

    def and_another(of: House, *told: Any, **more: Any) -> Answers:
        answers = save(of, *told, **more)
        house.plan(smock)  # as the other tab shows it
        of.store.change(smock, "in another tab", lambda e: _with_title(e, second, "Elsewhere"))
        return answers

    client.get(f"/episodes/{smock}/shots")
    monkeypatch.setattr(House, "save", and_another)
    answer = client.post(
        f"/episodes/{smock}/shots/{first}?edition={edition}",
        data={"title": "Here"},
        headers={"HX-Request": "true"},
    )
    assert answer.status_code == 200
    assert "data-same" not in answer.text
    assert "Elsewhere" in answer.text


def _with_title(episode: Episode, shot_id: str, title: str) -> Episode:
    return changed(
        episode,
        shots=changed_one(episode.shots, "id", shot_id, lambda shot: changed(shot, title=title)),
    )


def test_what_both_typed_alike_is_saved(client: TestClient, smock: str, house: House) -> None:
    edition = house.store.edition(smock)
    client.post(f"/episodes/{smock}/brief?edition={edition}", data={"title": "Same", "number": "8"})
    before = house.store.edition(smock)
    late = client.post(f"/episodes/{smock}/brief?edition={edition}", data={"title": "Same"})
    assert late.status_code == 303
    assert house.store.edition(smock) == before


@pytest.mark.parametrize("script", [True, False])
def test_a_save_that_writes_over_nothing_is_made_and_tells_what_else_was_changed(
    client: TestClient, smock: str, house: House, script: bool
) -> None:
    edition, was = house.store.edition(smock), house.store.get(smock).title
    client.post(f"/episodes/{smock}/brief?edition={edition}", data={"title": "Theirs"})
    late = client.post(
        f"/episodes/{smock}/brief?edition={edition}",
        data={"audience": "Mine"} | ({} if script else {"title": was}),  # all that stands there
        headers={"HX-Request": "true"} if script else {},
    )
    assert late.status_code == (200 if script else 303)
    page = late if script else client.get(late.headers["location"])
    told = page.text.partition('id="elsewhere"')[2].partition("</p>")[0]
    assert "was changed in another tab or window, or by someone else, too: “title”." in told
    assert 'value="Theirs"' in page.text and 'value="Mine"' in page.text
    now = house.store.get(smock)
    assert (now.title, now.brief.audience) == ("Theirs", "Mine")
    again = client.get(f"/episodes/{smock}/brief").text
    assert 'id="elsewhere"' not in again


def test_what_else_was_changed_is_told_too_where_the_answer_was_lost(
    client: TestClient, smock: str, house: House
) -> None:
    edition = house.store.edition(smock)
    client.post(f"/episodes/{smock}/brief?edition={edition}", data={"title": "Theirs"})
    for _ in range(2):
        late = client.post(f"/episodes/{smock}/brief?edition={edition}", data={"audience": "Mine"})
        assert late.status_code == 303
        assert "“title”." in client.get(late.headers["location"]).text
    assert house.store.edition(smock) == edition + 2


def test_a_shot_is_ticked_as_filmed_beside_another(
    client: TestClient, smock: str, house: House
) -> None:
    """Two on one shoot: each ticks her own, on pages that were opened in the morning."""
    edition = house.store.edition(smock)
    left = [one.id for one in house.store.get(smock).shots if one.filmed is None]
    mine, theirs = left[:2]
    for shot in (theirs, mine):
        address = f"/episodes/{smock}/shots/{shot}/filmed?edition={edition}"
        assert client.post(address).status_code == 303
    now = {one.id: one for one in house.store.get(smock).shots}
    assert now[mine].filmed is not None and now[theirs].filmed is not None


@pytest.mark.parametrize("page", ["line", "day"])
def test_what_is_ticked_as_filmed_was_said_as_its_page_showed_it(
    client: TestClient, smock: str, house: House, page: str
) -> None:
    """Not as the plan has it by now: pressed again after a refusal, that would count as said."""
    day, base = date.today(), f"/episodes/{smock}"
    shoot_day = ShootDay(day=day, starts="00:00", ends="23:59", shots=("measures", "intro"))
    house.store.change(smock, "a day", lambda e: changed(e, shoot_days=(shoot_day,)))
    edition = house.store.edition(smock)
    (said,) = (one for one in house.plan(smock).shots if one.shot.id == "measures")
    others = {"title": "Elsewhere", "narration": "Now {bust}"}
    client.post(f"{base}/body?edition={edition}", data={"m bust": "99 cm"})
    client.post(f"{base}/shots/measures?edition={edition + 1}", data=others)
    client.post(f"{base}/days/{day}/shots/intro/filmed?edition={edition + 2}")
    where, sent = {
        "line": ("filmed", {"shots": "measures", "day": str(day), "at": "line"}),
        "day": (f"days/{day}/shots/measures/filmed", {}),
    }[page]
    late = client.post(f"{base}/{where}?edition={edition}", data=sent)
    assert late.status_code == 303
    (row,) = (one for one in house.plan(smock).shots if one.shot.id == "measures")
    assert row.shot.filmed is not None and row.shot.title == "Elsewhere"
    assert row.shot.filmed.narration == said.narration.plain
    assert [one.name for one in row.stale] == ["bust"]
    opened = client.get(f"{base}/shots/measures", headers=IN_PART).text
    assert "Its words were changed after it was filmed." in opened


def test_a_tick_that_is_refused_says_why_where_it_was_pressed(
    client: TestClient, smock: str, house: House
) -> None:
    edition, base = house.store.edition(smock), f"/episodes/{smock}"
    first, second, third = (one.id for one in house.store.get(smock).shots[:3])
    client.post(f"{base}/filmed?edition={edition}", data={"shots": first, "day": "2027-01-04"})
    sent = {"shots": first, "day": "2027-01-05", "at": "line"}
    late = client.post(f"{base}/filmed?edition={edition}", data=sent, headers=IN_PART)
    assert late.status_code == 422
    told = late.text.partition(f' id="shot-{first}"')[2].partition("</li>")[0]
    assert "was ticked already: filmed on 4 January 2027." in told
    assert late.text.count('role="alert">Shot “') == 1
    # Of several, the other tick stays as it is.
    sent = {"shots": [first, second, third], "day": "2027-01-05"}
    assert client.post(f"{base}/filmed?edition={edition}", data=sent).status_code == 303
    days = [str(one.filmed and one.filmed.day) for one in house.store.get(smock).shots[:3]]
    assert days == ["2027-01-04", "2027-01-05", "2027-01-05"]


def test_a_tick_from_before_a_copy_was_put_back_is_told_and_not_guessed(
    client: TestClient, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    """So it is with a page that is older than what is kept of the plan's changes."""
    monkeypatch.setattr(EpisodeStore, "seen_in", lambda *_: None)
    edition, base = house.store.edition(smock), f"/episodes/{smock}"
    client.post(f"{base}/brief?edition={edition}", data={"title": "Theirs"})
    address = f"{base}/shots/measures/filmed?edition={edition}"
    late = client.post(address, headers=IN_PART)
    assert late.status_code == 422
    assert "Not done yet: the plan was changed" in late.text.partition('id="shot-measures"')[2]


def test_what_was_typed_for_a_shot_that_was_taken_out_elsewhere_stays_where_it_was_typed(
    client: TestClient, smock: str, house: House
) -> None:
    """Its page has no field for it any more: it would be gone with nothing said."""
    edition, shot = house.store.edition(smock), house.store.get(smock).shots[0].id
    client.post(f"/episodes/{smock}/shots/{shot}/delete?edition={edition}")
    address = f"/episodes/{smock}/shots/{shot}?edition={edition}"
    said = {"narration": "Words that took an hour"}
    answer = client.post(address, data=said, headers={"HX-Request": "true"})
    assert (answer.status_code, answer.headers["hx-reswap"]) == (409, "none")
    assert "was taken out of the plan meanwhile" in answer.text
    whole = client.post(address, data=said)
    assert whole.status_code == 409
    assert "Words that took an hour" in whole.text
    assert all(one.id != shot for one in house.store.get(smock).shots)


def test_so_it_is_of_a_step_that_is_gone(client: TestClient, smock: str, house: House) -> None:
    edition = house.store.edition(smock)
    gone = f"/episodes/{smock}/build/steps/gone?edition={edition}"
    answer = client.post(gone, data={"title": "Press"}, headers={"HX-Request": "true"})
    assert (answer.status_code, answer.headers.get("hx-reswap")) == (409, "none")


def test_undo_of_what_was_changed_in_another_browser_says_so(
    client: TestClient, smock: str, house: House
) -> None:
    base = f"/episodes/{smock}"
    other = TestClient(client.app, base_url=client.base_url, headers=client.headers)
    for one in (client, other):
        one.get(f"{base}/brief")
    client.post(f"{base}/brief?edition={house.store.edition(smock)}", data={"title": "Mine"})
    assert _undo_on(client.get(f"{base}/brief")) == "Undo: title"
    assert _undo_on(other.get(f"{base}/brief")) == "Undo: title, made elsewhere"
    assert client.get(f"{base}/table").text.count("title, made elsewhere") == 0
    assert "title, made elsewhere" in other.get(f"{base}/table").text
    cookie = other.cookies["browser"]
    other.get(f"{base}/brief")
    assert other.cookies["browser"] == cookie != client.cookies["browser"]
    other.cookies.clear()  # a browser that keeps none
    other.post(f"{base}/brief?edition={house.store.edition(smock)}", data={"title": "Its own"})
    assert _undo_on(other.get(f"{base}/brief")) == "Undo: title"
    # Of what nobody is known by, as of what an earlier version wrote, nothing is said.
    house.store.change(smock, "by a program", _numbered_8)
    assert _undo_on(other.get(f"{base}/brief")) == "Undo: by a program"


def _undo_on(page: Response) -> str:
    button = page.text.partition('id="undo"')[2].partition("</button>")[0]
    return button.rpartition("</svg>")[2].strip()


def test_a_page_can_ask_what_was_changed_since_it_was_shown(
    client: TestClient, smock: str, house: House
) -> None:
    base, edition = f"/episodes/{smock}", house.store.edition(smock)
    address = f"{base}/elsewhere?edition={edition}"
    assert f'data-since="{address}"' in client.get(f"{base}/brief").text
    assert client.get(address).status_code == 204
    client.post(f"{base}/brief?edition={edition}", data={"title": "Theirs"})
    since = "The plan was changed since this page was shown: "
    assert client.get(address).json()["told"] == f"{since}“title”."
    edition += 1
    address = f"{base}/elsewhere?edition={edition}"
    assert client.get(address).status_code == 204
    client.post(f"{base}/undo")
    assert client.get(address).json()["told"] == f"{since}“title” was taken back with Undo."


def test_what_was_made_again_is_not_told_as_taken_back(
    client: TestClient, smock: str, house: House
) -> None:
    base = f"/episodes/{smock}"
    for title in ("One", "Two"):
        client.post(f"{base}/brief", data={"title": title, "number": "8"})
    for _ in range(2):
        client.post(f"{base}/undo")
    edition = house.store.edition(smock)
    client.post(f"{base}/redo")
    told = client.get(f"{base}/elsewhere?edition={edition}").json()["told"]
    assert told == "The plan was changed since this page was shown."
    late = client.post(f"{base}/brief?edition={edition}", data={"title": "Mine"})
    assert late.status_code == 422
    assert "was taken back" not in late.text
    assert f"the last change is “{house.store.standing(smock).undo}”" in late.text


def test_a_deleted_episode_is_told_with_the_way_back(
    client: TestClient, smock: str, house: House
) -> None:
    title, edition = house.store.get(smock).title, house.store.edition(smock)
    house.store.delete(smock)
    page = client.get(f"/episodes/{smock}/brief")
    assert page.status_code == 404
    assert f"The episode “{title}” is deleted. Whoever deleted it can put it back" in page.text
    sent = {"notes": "Words that took an hour"}
    late = client.post(
        f"/episodes/{smock}/brief?edition={edition}", data=sent, headers={"HX-Request": "true"}
    )
    assert (late.status_code, late.headers["hx-reswap"]) == (409, "none")
    assert "is deleted. Copy what you typed." in late.text
    house.store.put_back(smock)
    again = client.post(f"/episodes/{smock}/brief?edition={edition}", data=sent)
    assert again.status_code == 303


def test_what_can_no_longer_be_done_is_told_as_that(
    client: TestClient, smock: str, house: House
) -> None:
    edition, shot = house.store.edition(smock), house.store.get(smock).shots[0].id
    client.post(f"/episodes/{smock}/shots/{shot}/delete?edition={edition}")
    address = f"/episodes/{smock}/shots/{shot}/filmed?edition={edition}"
    answer = client.post(address, headers={"HX-Request": "true"})
    assert answer.status_code == 409
    assert answer.text.startswith("This cannot be done any more: the plan was changed meanwhile")
    assert "typed" not in answer.text


@pytest.mark.parametrize("headers", [{}, IN_PART])
@pytest.mark.parametrize("whole", [True, False])
def test_what_was_typed_for_a_row_that_is_gone_goes_to_no_neighbour(
    client: TestClient, smock: str, house: House, headers: dict[str, str], whole: bool
) -> None:
    """The first size is taken out elsewhere: the second stands in its place."""
    first, second, *_ = house.store.get(smock).sizes
    edition, base = house.store.edition(smock), f"/episodes/{smock}/sizes"
    assert client.post(f"{base}/0/delete?edition={edition}").status_code == 303
    form = {f"m {name}": typed for name, typed in first.measures.items()} if whole else {}
    sent = form | ({"name": first.name} if whole else {}) | {"m height": "171 cm"}
    answer = client.post(f"{base}/0?edition={edition}", data=sent, headers=headers)
    assert answer.status_code == 409
    assert "or moved or given another name" in answer.text
    assert headers or "171 cm" in answer.text  # kept on the page, or where it was typed
    assert house.store.get(smock).sizes[0] == second


def test_without_script_what_was_typed_for_a_step_that_is_gone_is_on_the_page(
    client: TestClient, smock: str, house: House
) -> None:
    edition = house.store.edition(smock)
    gone = f"/episodes/{smock}/build/steps/gone?edition={edition}"
    answer = client.post(gone, data={"title": "Words that took an hour"})
    assert answer.status_code == 409
    assert "Words that took an hour" in answer.text
