"""At the table with a phone: what is pressed without a connection arrives, once."""

import json
import re
from datetime import UTC, date, datetime
from typing import Any
from urllib.request import Request, urlopen

from playwright.sync_api import Browser, Route, expect

from webapp.plan.evaluate import evaluate
from webapp.plan.said_edits import with_shots_filmed
from webapp.store.episode_file import read_episode

EPISODE = "/episodes/small-wardrobe-3"
# The screen's lock as W3C's Screen Wake Lock gives it: not every headless Chromium has one.
WAKE_LOCK = """
  globalThis.locks = [];
  const request = async () => {
    const lock = new EventTarget();
    lock.release = async () => lock.dispatchEvent(new Event("release"));
    locks.push(lock);
    return lock;
  };
  Object.defineProperty(navigator, "wakeLock", { value: { request } });
"""


def _stored(address: str) -> Any:
    with urlopen(f"{address}{EPISODE}/episode.json") as answer:
        return json.load(answer)


def _filmed(episode: Any) -> dict[str, Any]:
    return {one["id"]: one["filmed"] for one in episode["shots"] if one["filmed"]}


def test_without_a_connection_nothing_is_lost(browser: Browser, address: str) -> None:
    with urlopen(f"{address}{EPISODE}/episode.json") as answer:
        plan = evaluate(read_episode(answer.read()))
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    context.add_init_script(WAKE_LOCK)
    phone = context.new_page()
    problems: list[str] = []
    phone.on("pageerror", lambda error: problems.append(str(error)))
    phone.goto(f"{address}{EPISODE}/table#step-hem")
    expect(phone.get_by_role("heading", name="Hem the smock")).to_be_visible()
    awake = phone.get_by_role("switch", name="Screen stays on")
    expect(awake).to_have_attribute("aria-checked", "true")
    phone.evaluate("locks[0].release()")  # as the browser does when the page is out of sight
    expect(awake).to_have_attribute("aria-checked", "false")
    phone.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(awake).to_have_attribute("aria-checked", "true")
    awake.tap()
    expect(awake).to_have_attribute("aria-checked", "false")
    context.set_offline(True)
    shots = [one.shot.id for one in plan.shots if one.shot.step == "hem"]
    for _ in shots:
        phone.get_by_role("button", name="Filmed", exact=True).first.tap()
    expect(phone.get_by_text("Filmed, kept here")).to_have_count(2)
    phone.get_by_role("button", name="Next").tap()
    expect(phone.get_by_role("heading", name="Press it one last time")).to_be_focused()
    phone.get_by_role("button", name="Start the clock").tap()
    pressed = datetime.now(UTC)
    kept = "2 ticks and 1 press of the clock kept here, sent when the connection is back."
    expect(phone.get_by_text(kept)).to_be_visible()
    assert _filmed(_stored(address)) == {}
    phone.keyboard.press("ArrowLeft")
    expect(phone.get_by_role("heading", name="Hem the smock")).to_be_visible()

    def lose_the_answer(route: Route) -> None:
        route.fetch()
        route.abort()

    phone.route("**/table/entries", lose_the_answer, times=1)
    context.set_offline(False)
    expect(phone.get_by_text("All is saved.")).to_be_visible(timeout=15_000)
    expect(phone.get_by_text(re.compile(r"^Filmed \d+ \w+ \d{4}$"))).to_have_count(2)
    stored = _stored(address)
    expected = with_shots_filmed(plan, shots, date.today())
    assert _filmed(stored) == _filmed(expected.model_dump(mode="json"))
    assert stored["timer"]["item"] == "last-press"
    began = datetime.fromisoformat(stored["timer"]["started"])
    assert abs((began - pressed).total_seconds()) < 3
    for _ in shots:  # each was recorded once, so two undos take both back
        urlopen(Request(f"{address}{EPISODE}/undo", method="POST", data=b"")).close()
    assert _filmed(_stored(address)) == {}
    context.close()
    assert problems == []


def test_the_bar_of_a_phone_is_as_wide_as_its_buttons_and_the_list_opens_at_the_orders(
    browser: Browser, address: str
) -> None:
    phone = browser.new_context(viewport={"width": 390, "height": 844}).new_page()
    phone.goto(f"{address}{EPISODE}/table#step-wash")

    def sides(name: str) -> tuple[float, float]:
        box = phone.get_by_role("button", name=name, exact=True).bounding_box()
        assert box is not None and box["height"] < 50  # a line of words
        return box["x"], box["x"] + box["width"]

    whole = (sides("Back")[0], sides("Next")[1])
    assert sides("Start the clock") == whole
    phone.get_by_role("button", name="Start the clock").click()
    phone.get_by_role("button", name="Next", exact=True).click()
    assert (sides("Pause")[0], sides("Stop, start this")[1]) == whole
    phone.get_by_role("button", name="All steps").click()
    order = phone.get_by_role("link", name="Build order", exact=True).bounding_box()
    head = phone.locator(".list-head").bounding_box()
    assert order and head and order["y"] >= head["y"] + head["height"]


def test_what_is_kept_is_sent_from_any_other_page_and_told_there(
    browser: Browser, address: str
) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    phone = context.new_page()
    phone.goto(f"{address}{EPISODE}/table#step-hem")
    expect(phone.get_by_role("heading", name="Hem the smock")).to_be_visible()
    context.set_offline(True)
    phone.get_by_role("button", name="Filmed", exact=True).first.tap()
    phone.get_by_role("button", name="Start the clock").tap()
    expect(phone.get_by_text("1 tick and 1 press of the clock kept here")).to_be_visible()
    phone.close()
    context.set_offline(False)

    later = context.new_page()
    later.route("**/table/entries", lambda route: route.abort(), times=1)
    sent: list[str] = []
    later.on("request", lambda one: sent.append(one.url) if one.method == "POST" else None)
    later.goto(f"{address}{EPISODE}/shopping")
    strip = later.locator("#kept-at-table")
    expect(strip).to_contain_text("1 tick and 1 press of the clock kept from the table.")
    expect(strip).to_contain_text("Saved from the table: 1 tick and 1 press", timeout=15_000)
    assert len(_filmed(_stored(address))) == 1
    assert _stored(address)["timer"]["item"] == "hem"
    with later.expect_request("**/table/entries"):
        later.evaluate("dispatchEvent(new Event('online'))")
    assert {url.removeprefix(f"{address}{EPISODE}") for url in sent} == {"/table/entries"}
    later.get_by_role("link", name="Show this page with them").tap()
    expect(later.get_by_text("Being timed: Hem the smock")).to_be_visible()
    expect(strip).to_be_hidden()
    context.close()
