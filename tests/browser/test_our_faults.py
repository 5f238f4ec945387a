"""A fault of ours while a form is saved by script: told with its name, nothing typed lost."""

from playwright.sync_api import Browser, Route, expect

TOLD = "Something in Seamslate went wrong. Your plan is as it was. Look for bcdfghjk in the log."


def test_what_was_typed_stays_and_is_sent_with_the_next_save_alone(
    browser: Browser, address: str
) -> None:
    page = browser.new_page()  # the console tells of a fault, which fails the usual one
    sent: list[str] = []

    def fault(route: Route) -> None:
        if route.request.method != "POST":
            route.continue_()
            return
        sent.append(route.request.post_data or "")
        headers = {"content-type": "text/plain", "hx-reswap": "none", "x-request-id": "bcdfghjk"}
        route.fulfill(status=500, headers=headers, body=TOLD)

    page.goto(f"{address}/episodes/small-wardrobe-3/brief")
    page.route("**/brief?*", fault)
    promise, audience = page.locator("[name=promise]"), page.locator("[name=audience]")
    promise.fill("A smock for the wind")
    promise.blur()
    expect(page.locator("#saving")).to_have_text(TOLD)
    expect(promise).to_have_value("A smock for the wind")
    # An answer that is well does not send it again by itself, as it does what found no connection.
    page.evaluate("fetch('/static/mark.svg')")
    page.evaluate("dispatchEvent(new Event('online'))")
    page.wait_for_timeout(200)
    assert len(sent) == 1 and "A+smock+for+the+wind" in sent[0]
    page.unroute("**/brief?*")
    audience.fill("Whoever sews by the sea")
    audience.blur()
    expect(page.locator("#saving")).to_have_text("Saved")
    page.reload()
    expect(promise).to_have_value("A smock for the wind")
    expect(audience).to_have_value("Whoever sews by the sea")
    page.close()
