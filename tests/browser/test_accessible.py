"""Every page by axe-core's rules (WCAG 2.2 A and AA and its own good habits), in light and dark, at
1280 and 390 px, without scrolling sideways; nor at 320 px, which is a screen of 1280 at 400 %
(WCAG 2.2, 1.4.10 Reflow).

axe-core is vendored from npm (tests/vendor/axe-core). What is folded is unfolded first: axe passes
over what does not show.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, Page

from tests.every_page import ADDRESSES, SMOCK

AXE = (Path(__file__).parents[1] / "vendor" / "axe-core" / "axe.min.js").read_text("utf-8")
# All rules once. Again for what a look can change: the dark changes nothing but colours
# (tokens.css), a narrow screen what shows, how large it is and what scrolls. Names, roles and
# attributes are the same document in every look. Where a look changes colours alone, one of what
# is coloured alike is enough.
OF_COLOURS = ["color-contrast", "link-in-text-block"]
OF_WIDTH = ["target-size", "scrollable-region-focusable", "heading-order", "page-has-heading-one",
            "region", "skip-link", "landmark-one-main", "label-title-only"]  # fmt: skip
LOOKS: tuple[tuple[int, Literal["light", "dark"], list[str]], ...] = (
    (1280, "light", []),
    (1280, "dark", OF_COLOURS),
    (390, "dark", OF_COLOURS),
    (390, "light", [*OF_COLOURS, *OF_WIDTH]),
)
# One of all that have the same colours, letters and ground, and the same around them.
ALIKE = """() => {
  const around = new Map(), alike = new Map();
  const lookOf = (one) => {
    if (!one) return "";
    if (!around.has(one)) {
      const of = getComputedStyle(one), outer = lookOf(one.parentElement);
      const own = [of.color, of.backgroundColor, of.backgroundImage, of.opacity, of.fontSize,
        of.fontWeight, of.textDecorationLine, of.textShadow, of.filter, of.position].join();
      around.set(one, outer.endsWith(`|${own}`) ? outer : `${outer}|${own}`);
    }
    return around.get(one);
  };
  for (const one of document.body.querySelectorAll("*")) {
    const words = [...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim());
    if ((words || one.matches("input, select, textarea")) && one.checkVisibility())
      alike.set(`${one.tagName} ${one.matches(":disabled")} ${lookOf(one)}`, one);
  }
  return [...alike.values()];
}"""
RUN = f"""async ([only, some]) => (await axe.run(some ? {{include: ({ALIKE})()}} : document, {{
    resultTypes: ["violations"],
    ...(only.length ? {{runOnly: only}} : {{rules: {{"target-size": {{enabled: true}}}}}}),
  }})).violations.flatMap(({{id, nodes}}) =>
    nodes.map((one) => `${{id}}: ${{one.target.join(" ")}}: ${{one.failureSummary}}`))"""
# A part that is loaded after its page has come in place of what asked for it.
AT_REST = """!document.querySelector(
    "[hx-trigger=load], .htmx-request, .htmx-swapping, .htmx-settling, .htmx-added")"""
UNFOLD = "document.querySelectorAll('details').forEach((one) => (one.open = true))"
WIDER_BY = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
# WCAG 2.2, 2.3.3: with reduced motion nothing moves.
MOVING = """[...document.querySelectorAll("*")].filter((one) => {
    const of = getComputedStyle(one);
    const seconds = `${of.transitionDuration},${of.animationDuration}`.split(",").map(parseFloat);
    return Math.max(...seconds) > 0.01;
  }).map((one) => one.outerHTML.slice(0, 80))"""


@pytest.fixture(scope="module")
def shown(browser: Browser, demo: str) -> Iterator[Page]:
    """A page at the demo, reading nothing into its content policy: axe comes from outside."""
    context = browser.new_context(base_url=demo, bypass_csp=True, reduced_motion="reduce")
    context.add_init_script(AXE)
    yield context.new_page()
    context.close()


def _against(page: Page) -> dict[str, list[str]]:
    """What is found, and in which looks."""
    page.wait_for_function(AT_REST)
    page.evaluate(UNFOLD)
    found: dict[str, list[str]] = {}
    for width, scheme, only in LOOKS:
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme=scheme)
        for told in page.evaluate(RUN, [only, only == OF_COLOURS]):
            found.setdefault(told, []).append(f"{width} {scheme}")
        _note_width(page, found)
    for moving in page.evaluate(MOVING):
        found.setdefault(f"moves: {moving}", []).append("reduced motion")
    page.set_viewport_size({"width": 320, "height": 900})
    _note_width(page, found)
    return found


def _note_width(page: Page, found: dict[str, list[str]]) -> None:
    if (wider := page.evaluate(WIDER_BY)) > 0:
        assert page.viewport_size
        found.setdefault("scrolls sideways", []).append(
            f"{wider} px too wide at {page.viewport_size['width']}"
        )


@pytest.mark.parametrize("address", ADDRESSES)
def test_a_page_has_nothing_against_it(shown: Page, address: str) -> None:
    shown.goto(address)
    assert _against(shown) == {}


def test_a_refused_form_has_nothing_against_it(shown: Page) -> None:
    shown.set_viewport_size({"width": 1280, "height": 900})
    shown.goto(f"{SMOCK}/draft")
    ease = shown.get_by_label("Body ease")
    ease.fill("9 m")
    ease.blur()
    shown.locator("#choice-body-ease-error").wait_for()
    assert _against(shown) == {}
