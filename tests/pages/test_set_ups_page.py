"""Places and looks: minutes between places, names of places, and what is worn."""

import re
from datetime import date

import html5lib
import pytest
from starlette.testclient import TestClient

from webapp.build.rates import Rate
from webapp.build.work_time import minutes
from webapp.draft.construction import Minutes
from webapp.filming.looks import Look
from webapp.filming.shoot_days import ShootDay
from webapp.filming.shots import Shot
from webapp.pages.house import House
from webapp.pages.set_up_fields import minutes_like, minutes_shown
from webapp.pages.set_ups import SetUpsView
from webapp.pages.wording import about
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.looks_used import change_times

IN_PART = {"HX-Request": "true"}
TABLE, MACHINE, YARD = "Over the table", "At the machine", "In the yard"
SHOTS = (("a", TABLE, ""), ("b", MACHINE, "coat"), ("c", TABLE, ""), ("d", YARD, ""))


@pytest.fixture
def here(house: House, empty: str) -> str:
    """The address of the page, in an episode of four shots at three places, with one look."""

    def edit(episode: Episode) -> Episode:
        shots = tuple(
            Shot(id=name, title=f"Shot {name}", kind="talking", place=place, look=look)
            for name, place, look in SHOTS
        )
        coat = Look(id="coat", name="Under a coat", press="The coat", at_hand="Boots")
        return changed(episode, shots=shots, looks=(coat,))

    house.store.change(empty, "shots", edit)
    return f"/episodes/{empty}/set-ups"


def _episode(house: House, here: str) -> Episode:
    return house.store.get(here.split("/")[2])


def _view(answer: object) -> SetUpsView:
    view = answer.context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, SetUpsView)
    return view


def _plain(text: str) -> str:
    return re.sub(r"\s+", " ", text)


# --- Minutes as typed ------------------------------------------------------------------------

USUAL = Rate("other place", "", 3, 6, 15, "min")


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("4", (2, 4, 10)),  # in proportion to 3, 6, 15
        ("2,5", (1.25, 2.5, 6.25)),
        ("4 min", (2, 4, 10)),
        ("0", (0, 0, 0)),
        ("2, 4, 9", (2, 4, 9)),
        ("2 4 9", (2, 4, 9)),
        ("2-4-9 min", (2, 4, 9)),
        ("2,4,9", (2, 4, 9)),
        ("1.5; 2,5; 9", (1.5, 2.5, 9)),
        ("2 – 4 – 9", (2, 4, 9)),
    ],
)
def test_minutes_are_one_figure_or_three(typed: str, expected: tuple[float, ...]) -> None:
    found = minutes_like(USUAL)(typed)
    assert isinstance(found, Minutes)
    assert (found.low, found.likely, found.high) == pytest.approx(expected)


def test_no_minutes_are_none() -> None:
    assert minutes_like(USUAL)("") is None


@pytest.mark.parametrize("typed", ["soon", "2 4", "9 4 2", "-4", "1 2 3 4", "1e9", ",", "99999"])
def test_what_is_no_minutes_is_told(typed: str) -> None:
    with pytest.raises(ValueError, match=r"minutes"):
        minutes_like(USUAL)(typed)


@pytest.mark.parametrize("typed", ["2, 4, 9", "0.5, 1.25, 3"])
def test_minutes_shown_are_minutes_to_type(typed: str) -> None:
    found = minutes_like(USUAL)(typed)
    assert minutes_shown(found) == typed


# --- Places ----------------------------------------------------------------------------------


def test_the_page_lists_places_pairs_and_looks(client: TestClient, here: str) -> None:
    answer = client.get(here)
    html5lib.HTMLParser(strict=True).parse(answer.text)
    view = _view(answer)
    assert [use.name for use in view.places] == [TABLE, MACHINE, YARD]
    assert [(pair.one, pair.other) for pair in view.moved] == [(TABLE, MACHINE), (TABLE, YARD)]
    assert [(pair.one, pair.other) for pair in view.not_moved] == [(MACHINE, YARD)]
    assert (view.ready.moves, view.ready.changes) == (3, 2)
    assert "as the shots are listed" in answer.text
    assert "by its rate" not in answer.text
    assert "20 min" in answer.text


def test_what_a_change_takes_is_told_as_her_times_move_it(
    client: TestClient, house: House, smock: str
) -> None:
    """With the demo's times of filming: no figure of the rates alone beside the days' own."""
    answer = client.get(f"/episodes/{smock}/set-ups")
    plan = house.plan(smock)
    (first,) = change_times(plan, "first place")
    assert first.taken.likely > first.rate.likely == 20
    told = f"{first.taken.likely:.0f} min by its rate 20 min"
    assert told in _plain(re.sub(r"<[^>]*>", "", answer.text))
    moved = next(pair for pair in _view(answer).moved if pair.moves > 1)
    each = f"Moved {moved.moves} times, each likely {moved.taken.likely:.2g} min; "
    assert each + about(moved.all) in answer.text
    ready = _view(answer).ready
    assert f"added up, are {minutes(ready.added)}; the whole lies a little above" in answer.text


def test_shots_on_no_day_are_told_as_not_counted(
    client: TestClient, house: House, here: str
) -> None:
    on = ShootDay(day=date(2027, 5, 1), shots=("a", "b"))
    house.store.change(here.split("/")[2], "a day", lambda e: changed(e, shoot_days=(on,)))
    text = client.get(here).text
    assert "as your 1 shoot day goes; 2 shots on no day are not counted." in text


def test_minutes_between_two_places_are_kept_and_put_back(
    client: TestClient, house: House, here: str
) -> None:
    pair = {"one": MACHINE, "other": TABLE}
    assert client.post(f"{here}/between", data={**pair, "minutes": "1, 2, 4"}).status_code == 303
    (kept,) = _episode(house, here).place_changes
    assert (kept.minutes.low, kept.minutes.likely, kept.minutes.high) == (1, 2, 4)
    answer = client.post(f"{here}/between", data={**pair, "minutes": "3"}, headers=IN_PART)
    first = _view(answer).moved[0]
    assert (first.own, _view(answer).shown(first)) == (True, "1.5, 3, 7.5")
    client.post(f"{here}/between", data={**pair, "minutes": ""})
    assert _episode(house, here).place_changes == ()


def test_minutes_refused_are_told_beside_their_field(
    client: TestClient, house: House, here: str
) -> None:
    data = {"one": TABLE, "other": MACHINE, "minutes": "a while"}
    answer = client.post(f"{here}/between", data=data)
    assert answer.status_code == 422
    assert 'value="a while"' in answer.text
    assert len(re.findall(r'<p class="error"[^>]*>Write the likely minutes', answer.text)) == 1
    same = client.post(f"{here}/between", data={**data, "other": TABLE, "minutes": "4"})
    assert same.status_code == 422
    assert _episode(house, here).place_changes == ()


def test_a_place_gets_another_name_in_every_shot(
    client: TestClient, house: House, here: str
) -> None:
    client.post(f"{here}/places", data={"place": TABLE, "name": "Over the long table"})
    assert [shot.place for shot in _episode(house, here).shots] == [
        "Over the long table", MACHINE, "Over the long table", YARD,
    ]  # fmt: skip
    refused = client.post(f"{here}/places", data={"place": MACHINE, "name": ""})
    assert refused.status_code == 422
    assert "Write something here." in refused.text


# --- Looks -----------------------------------------------------------------------------------


def test_a_look_is_added_and_worn(client: TestClient, house: House, here: str) -> None:
    data = {"name": "With boots", "press": "The smock", "made_up": "yes", "shot d": "yes"}
    assert client.post(f"{here}/looks", data=data).status_code == 303
    episode = _episode(house, here)
    assert episode.looks[-1] == Look(
        id="with-boots", name="With boots", press="The smock", made_up=True
    )
    assert [shot.look for shot in episode.shots] == ["", "coat", "", "with-boots"]


def test_a_look_without_a_name_stays_as_typed(client: TestClient, here: str) -> None:
    answer = client.post(f"{here}/looks", data={"name": "", "press": "The smock", "shot d": "yes"})
    assert answer.status_code == 422
    assert "The smock</textarea>" in answer.text
    assert re.search(r'name="shot d"[^>]* value="yes" checked', answer.text)


def test_a_look_is_edited_in_place(client: TestClient, house: House, here: str) -> None:
    assert 'id="look-form"' in client.get(f"{here}?edit=coat").text
    answer = client.post(f"{here}/looks/coat", data={"at_hand": "Boots\nBelt"}, headers=IN_PART)
    assert _view(answer).looks[0].at_hand == ("Boots", "Belt")
    client.post(f"{here}/looks/coat", data={"shot b": "no"})
    episode = _episode(house, here)
    assert episode.looks[0].press == "The coat"
    assert episode.shots[1].look == ""


def test_a_look_taken_out_is_taken_off_its_shots(
    client: TestClient, house: House, here: str
) -> None:
    client.post(f"{here}/looks/coat/delete")
    episode = _episode(house, here)
    assert episode.looks == ()
    assert {shot.look for shot in episode.shots} == {""}
    gone = client.post(f"{here}/looks/coat/delete")
    assert gone.status_code == 422
    assert "not there any more" in gone.text


def test_what_a_look_needs_stands_with_its_shots(client: TestClient, here: str) -> None:
    text = _plain(client.get(here).text)
    assert "<strong>Press:</strong> The coat" in text
    assert "on no shoot day yet" in text
    assert "In what you sew in: shots" in text


def test_the_rates_of_changing_lead_to_where_they_are_changed(
    client: TestClient, here: str
) -> None:
    text = client.get(here).text
    for link in re.findall(r'href="([^"]+/rates\?rate=[^"]+)"', text):
        address, _, fragment = link.partition("#")
        assert f'id="{fragment}"' in client.get(address).text
    assert text.count("/rates?rate=") == 6


def test_without_shots_the_page_says_what_comes_first(client: TestClient, empty: str) -> None:
    text = _plain(client.get(f"/episodes/{empty}/set-ups").text)
    assert "There is no shot yet." in text
    assert "The first look" in text


# --- The form of a shot ----------------------------------------------------------------------


def test_a_shot_says_its_light_quiet_look_and_chapter(
    client: TestClient, house: House, here: str
) -> None:
    shots = here.replace("set-ups", "shots")
    form = client.get(f"{shots}?edit=a").text
    for name in ("light", "quiet", "look", "chapter"):
        assert f'name="{name}"' in form
    data = {"light": "lamps", "quiet": "yes", "look": "coat", "chapter": "The neck"}
    assert client.post(f"{shots}/a", data=data).status_code == 303
    shot = _episode(house, here).shots[0]
    assert (shot.light, shot.quiet, shot.look, shot.chapter) == ("lamps", True, "coat", "The neck")
    page = _plain(client.get(shots).text)
    for words in ("needs quiet", "by lamps", "Under a coat", "opens the chapter “The neck”"):
        assert words in page


def test_a_shot_wears_no_look_that_is_not_there(
    client: TestClient, house: House, here: str
) -> None:
    answer = client.post(here.replace("set-ups", "shots") + "/a", data={"look": "gone"})
    assert answer.status_code == 422
    assert _episode(house, here).shots[0].look == ""
