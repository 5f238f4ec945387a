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
# attributes are the same document in every look. Colours are looked at by themselves: of all that
# is coloured alike, on whatever page, one is enough.
OF_COLOURS = ["color-contrast", "link-in-text-block"]
OF_WIDTH = ["target-size", "scrollable-region-focusable", "heading-order", "page-has-heading-one",
            "region", "skip-link", "landmark-one-main", "label-title-only"]  # fmt: skip
LOOKS: tuple[tuple[int, Literal["light", "dark"], list[str] | None], ...] = (
    (1280, "light", None),  # every rule
    (1280, "dark", []),
    (390, "dark", []),
    (390, "light", OF_WIDTH),
)
# What has the same letters and ground is alike: its name, and one of its kind. The ground is all
# that is painted behind it, up to what lets nothing through; of a link in a sentence its words too.
ALIKE = """() => {
  const grounds = new Map(), alike = window.alike = new Map();
  const hasWords = (one) =>
    [...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim());
  const lettersOf = (one) => {
    const of = getComputedStyle(one);
    return [of.color, of.fontSize, of.fontWeight, of.textDecorationLine, of.textShadow].join();
  };
  const groundOf = (one) => {
    if (!one) return "";
    if (!grounds.has(one)) {
      const of = getComputedStyle(one), colour = of.backgroundColor;
      const painted = [colour, of.backgroundImage, of.opacity, of.filter].join();
      const own = painted === "rgba(0, 0, 0, 0),none,1,none" ? "" : painted;
      const lies = /absolute|fixed|sticky/.test(of.position) ? of.position : "";
      const hides = colour.startsWith("rgb(") && of.opacity === "1";
      grounds.set(one, [hides ? "" : groundOf(one.parentElement), lies, own].join(""));
    }
    return grounds.get(one);
  };
  for (const one of document.body.querySelectorAll("*"))
    if ((hasWords(one) || one.matches("input, select, textarea")) && one.checkVisibility()) {
      const beside = one.matches("a") && hasWords(one.parentElement);
      alike.set([one.tagName, one.matches(":disabled"), lettersOf(one), groundOf(one),
        beside ? lettersOf(one.parentElement) : ""].join(" "), one);
    }
  return [...alike.keys()];
}"""
# Rules of colours look only at what is marked.
CONFIGURED = """axe.configure({rules: [
    {id: "color-contrast", selector: "[data-look-at]"},
    {id: "link-in-text-block", selector: "a[href][data-look-at]"}]});"""
RUN = """async ([kinds, only]) => {
  document.querySelectorAll("[data-look-at]").forEach((one) => one.removeAttribute("data-look-at"));
  for (const kind of kinds) alike.get(kind).setAttribute("data-look-at", "");
  const rules = only ? {runOnly: only} : {rules: {"target-size": {enabled: true}}};
  const {violations} = await axe.run({resultTypes: ["violations"], preload: false, ...rules});
  return violations.flatMap(({id, nodes}) =>
    nodes.map((one) => `${id}: ${one.target.join(" ")}: ${one.failureSummary}`));
}"""
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
    context.add_init_script(AXE + CONFIGURED)
    yield context.new_page()
    context.close()


@pytest.fixture(scope="module")
def sound() -> set[str]:
    """The kinds of colours that nothing was found against."""
    return set()


def _against(page: Page, sound: set[str]) -> dict[str, list[str]]:
    """What is found, and in which looks."""
    page.wait_for_function(AT_REST)
    page.evaluate(UNFOLD)
    found: dict[str, list[str]] = {}
    for width, scheme, only in LOOKS:
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme=scheme)
        kinds = [kind for kind in page.evaluate(ALIKE) if kind not in sound]
        told = _run(page, kinds, only) if kinds or only != [] else []
        for one in told:
            found.setdefault(one, []).append(f"{width} {scheme}")
        sound.update([] if told else kinds)
        _note_width(page, found)
    for moving in page.evaluate(MOVING):
        found.setdefault(f"moves: {moving}", []).append("reduced motion")
    page.set_viewport_size({"width": 320, "height": 900})
    _note_width(page, found)
    return found


def _run(page: Page, kinds: list[str], only: list[str] | None) -> list[str]:
    """What is found by all rules or some of them, and in the colours of some kinds."""
    rules = None if only is None else [*only, *OF_COLOURS]
    found: list[str] = page.evaluate(RUN, [kinds, rules])
    return found


def _note_width(page: Page, found: dict[str, list[str]]) -> None:
    if (wider := page.evaluate(WIDER_BY)) > 0:
        assert page.viewport_size
        found.setdefault("scrolls sideways", []).append(
            f"{wider} px too wide at {page.viewport_size['width']}"
        )


@pytest.mark.parametrize("address", ADDRESSES)
def test_a_page_has_nothing_against_it(shown: Page, sound: set[str], address: str) -> None:
    shown.goto(address)
    assert _against(shown, sound) == {}


@pytest.mark.parametrize("address", [f"{SMOCK}/build", "/start"])
def test_one_of_a_kind_speaks_for_all(shown: Page, address: str) -> None:
    """Nothing is found in all that is coloured that is not found in one of its kind."""
    shown.set_viewport_size({"width": 1280, "height": 900})
    shown.emulate_media(color_scheme="light")
    shown.goto(address)
    shown.evaluate(UNFOLD)
    shown.evaluate("window.alike = new Map([...document.querySelectorAll('*')].entries())")
    every = shown.evaluate("[...alike.keys()]")
    assert len(every) > 100
    assert _run(shown, every, []) == []


def test_a_refused_form_has_nothing_against_it(shown: Page, sound: set[str]) -> None:
    shown.set_viewport_size({"width": 1280, "height": 900})
    shown.goto(f"{SMOCK}/draft")
    ease = shown.get_by_label("Body ease")
    ease.fill("9 m")
    ease.blur()
    shown.locator("#choice-body-ease-error").wait_for()
    assert _against(shown, sound) == {}
