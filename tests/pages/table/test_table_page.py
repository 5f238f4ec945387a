"""The page at the table: its stops, in every order, and its state."""

import json
import re
from datetime import datetime
from html import unescape

import pytest
from starlette.testclient import TestClient

from tests.pages.table.sending import NOON, STEP, view_of
from webapp.draft.construction import Step
from webapp.pages import table as page
from webapp.pages.house import House
from webapp.plan.edits import changed
from webapp.plan.episode import Episode


def test_steps_stand_in_build_order_with_the_other_shots_between(
    client: TestClient, table: str, house: House, smock: str
) -> None:
    view, plan = view_of(client, table), house.plan(smock)
    steps = [one.stop.step.step.id for one in view.stops if one.stop.step]
    assert steps == [row.step.id for row in plan.steps]
    shots = [shot.shot.id for one in view.stops for shot in one.stop.shots]
    assert sorted(shots) == sorted(shot.id for shot in plan.episode.shots)
    places = [one.place for one in view.stops]
    assert places.index("shot-tools") < places.index("step-chalk")  # filmed just before it


def test_figures_are_those_quoted_sewn_and_cut_in_both_units(
    client: TestClient, table: str
) -> None:
    stops = {one.place: one.stop for one in view_of(client, table).stops}
    sewn = {use: {f.name: f for f in figures} for use, figures in stops["step-shoulders"].figures}
    assert sewn["Sew"]["Shoulder seams"].told("cm") == ("23 cm", "9 in")
    assert sewn["Measure"]["Seam allowance"].told("in") == ("5/8 in", "1.5 cm")
    cut = {use: {f.name: f for f in figures} for use, figures in stops["step-cut-pieces"].figures}
    # The sleeve is 46 cm at its cap, with 1.5 cm of allowance on both sides and the slant of it.
    assert cut["Cut"]["Sleeve, across"].cm == "49.5 cm"
    assert cut["Cut"]["Front, across"].note == "half, from the fold"
    assert cut["Cut"]["Front, along"].note == ""
    assert view_of(client, table).first == "cm"
    client.cookies.set("first_unit", "in")
    assert view_of(client, table).first == "in"


def test_a_shoot_day_is_walked_in_its_own_order(
    client: TestClient, table: str, house: House, smock: str
) -> None:
    day = next(one for one in house.plan(smock).days if one.shots)
    view = view_of(client, f"{table}?order={day.day.day.isoformat()}")
    shown = [one.shot.id for stop in view.stops for one in stop.stop.shots]
    assert shown == [one.plan.shot.id for one in day.shots]
    assert view.stops[0].stop.at == "09:00"
    assert len({one.place for one in view.stops}) == len(view.stops)
    assert view.today == NOON.date() and "In today’s shoot order" in client.get(table).text
    assert view_of(client, f"{table}?order=2001-01-01").order_told == "Build order"
    assert view_of(client, f"{table}?order=tomorrow").order_told == "Build order"


def test_what_cannot_be_taken_back_is_asked_before_the_step(client: TestClient, table: str) -> None:
    text = client.get(table).text
    step = text[text.index('id="step-cut-neck"') : text.index('id="step-staystitch"')]
    assert step.index("Is the camera rolling?") < step.index('class="stop-words"')
    assert "4 hours of rest after “Wash the cloth”" in text


def test_an_episode_without_steps_says_what_to_do(client: TestClient, empty: str) -> None:
    text = client.get(f"/episodes/{empty}/table").text
    assert "Nothing to do at the table yet" in text and "List the steps" in text


def test_the_page_holds_its_state_as_text(client: TestClient, table: str, smock: str) -> None:
    client.post(f"/episodes/{smock}/shots/intro", data={"title": 'It\'s "so" <b>'})
    client.post(f"/episodes/{smock}/times/clock/start", data={"time": f"step:{STEP}"})
    found = re.search(r"data-state='([^']*)'", client.get(table).text)
    assert found is not None
    assert json.loads(unescape(found[1]))["timer"]["item"] == STEP


def test_a_step_and_a_shoot_day_lead_to_themselves_at_the_table(
    client: TestClient, smock: str
) -> None:
    table = f"/episodes/{smock}/table"
    build = client.get(f"/episodes/{smock}/build").text
    assert f'href="{table}#step-hem"' in build
    assert 'id="step-hem"' in client.get(table).text
    days = client.get(f"/episodes/{smock}/days").text
    (first, *_) = client.get(table).context["view"].days
    address = f"{table}?order={first[0].isoformat()}"
    assert f'href="{address}"' in days
    assert client.get(address).context["view"].day == first[0]


def test_a_step_added_elsewhere_while_the_page_is_made_is_on_the_next_one(
    client: TestClient, table: str, house: House, smock: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def slow() -> datetime:
        house.store.change(smock, "a step", _with_one_more_step)
        return NOON

    monkeypatch.setattr(page, "local_now", slow)
    before = view_of(client, table)
    monkeypatch.setattr(page, "local_now", lambda: NOON)
    after = view_of(client, table)
    first = next(one for one in after.stops if one.stop.step)
    assert (before.steps + 1, first.place) == (after.steps, "step-first-of-all")
    assert before.state["print"] != after.state["print"]


def _with_one_more_step(episode: Episode) -> Episode:
    first, *others = episode.garments
    steps = (Step(id="first-of-all", name="First of all"), *first.steps)
    return changed(episode, garments=(changed(first, steps=steps), *others))


def test_with_no_step_the_house_stands_around_the_page(client: TestClient, empty: str) -> None:
    text = client.get(f"/episodes/{empty}/table").text
    assert 'class="tape"' in text and 'id="undo"' in text
