"""The clock in a real browser: it runs, outlives a reload, stands while paused, and is kept."""

import re

from playwright.sync_api import Browser, Page, expect

TIMES = "/episodes/small-wardrobe-3/times"


def test_the_clock_runs_outlives_a_reload_and_is_kept(page: Page, address: str) -> None:
    page.goto(f"{address}{TIMES}?time=step:hem")
    page.get_by_role("button", name="Start", exact=True).first.click()
    clock = page.get_by_role("timer")
    expect(clock).to_have_text(re.compile(r"0:00:0[2-9]"), timeout=8000)
    page.reload()
    expect(clock).to_have_text(re.compile(r"0:00:0[3-9]"), timeout=8000)
    page.get_by_role("button", name="Pause").click()
    expect(page.get_by_text("Paused.")).to_be_visible()
    stood = clock.text_content()
    page.wait_for_timeout(1500)
    assert clock.text_content() == stood
    page.get_by_role("button", name="Go on").click()
    expect(clock).not_to_have_text(stood or "", timeout=8000)
    page.goto(f"{address}/episodes/small-wardrobe-3/shots")
    page.get_by_role("link", name="Being timed: Hem the smock").click()
    page.get_by_label("Note, if anything was unlike other times").fill("with tea")
    page.get_by_role("button", name="Stop and keep the time").click()
    expect(page.get_by_role("row", name=re.compile("Hem the smock with tea"))).to_be_visible()
    expect(clock).to_have_count(0)
    page.get_by_role("button", name="Undo", exact=False).first.click()
    expect(clock).to_be_visible()


def test_one_press_stops_a_step_and_starts_the_next(page: Page, address: str) -> None:
    page.goto(f"{address}{TIMES}?time=step:cut-pieces")
    page.get_by_role("button", name="Start", exact=True).first.click()
    expect(page.get_by_role("timer")).to_have_text(re.compile(r"0:00:0[3-9]"), timeout=8000)
    note = page.get_by_label("Note, if anything was unlike other times")
    note.fill("with tea")
    page.get_by_role("button", name="Stop, and start").click()
    expect(page.get_by_role("row", name=re.compile("Cut the main pieces"))).to_be_visible()
    expect(page.get_by_role("timer")).to_have_text(re.compile(r"0:00:0[0-2]"))  # anew
    expect(page.locator("#clock-title")).not_to_have_text("Cut the main pieces")
    expect(note).to_have_value("")
    page.get_by_text("Throw the time away").click()
    page.get_by_role("button", name="Yes, without keeping it").click()
    expect(page.get_by_role("timer")).to_have_count(0)
    expect(page.locator("#taken tbody tr")).to_have_count(1)


def test_it_works_without_script(browser: Browser, address: str) -> None:
    plain = browser.new_context(java_script_enabled=False).new_page()
    plain.goto(f"{address}{TIMES}?time=step:hem")
    plain.get_by_role("button", name="Start", exact=True).first.click()
    expect(plain.get_by_role("timer")).to_be_visible()
    plain.wait_for_timeout(1200)
    plain.get_by_role("link", name="look again").click()
    expect(plain.get_by_role("timer")).to_have_text(re.compile(r"0:00:0[1-9]"))
    plain.get_by_role("button", name="Stop and keep the time").click()
    expect(plain.get_by_role("row", name=re.compile("Hem the smock"))).to_be_visible()
    plain.get_by_text("Write a time down afterwards").click()
    plain.get_by_label("How long it took").fill("1 h 20")
    plain.get_by_role("button", name="Keep the time", exact=True).click()
    expect(plain.locator("#time-2")).to_contain_text("1 h 20 min")
    plain.context.close()


def test_a_rate_is_changed_in_its_place(page: Page, address: str) -> None:
    page.goto(f"{address}/episodes/small-wardrobe-3/rates")
    page.locator("#pin-rates > summary").click()
    page.get_by_role("link", name=re.compile("Change ?: Set a pin and take it out")).click()
    likely = page.get_by_label("Likely")
    expect(likely).to_be_in_viewport()
    likely.fill("20")
    page.get_by_role("button", name="Use these").click()
    told = page.locator("#rate-pin--one-high-error")
    expect(told).to_contain_text("The largest figure is not smaller than the likely.")
    page.get_by_label("Largest").fill("30")
    page.get_by_role("button", name="Use these").click()
    row = page.locator("#rate-pin--one")
    expect(row.get_by_text("yours")).to_be_visible()
    row.get_by_role("button", name="Put back").click()
    expect(row.get_by_text("yours")).to_have_count(0)
