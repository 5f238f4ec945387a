"""Every length that is read in a printed sheet is a figure of plan.json.

The PDF is read with pypdf, which shares no code with the library that writes it. What counts as a
length is written here, from how lengths are shown (design §4): inches and centimetres together.
"""

import re
from typing import Any, Final

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.demo_documents import EPISODES, SMOCK, each_episode
from tests.handouts.read_pages import texts_of
from webapp.handouts.companion import companion_html, companion_pdf
from webapp.handouts.shopping import shopping_pdf
from webapp.plan.edits import changed, with_choice, with_measure
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.plan_json import plan_json
from webapp.plan.results import Plan

_IN: Final = r"(-?(?:\d+ \d+/\d+|\d+/\d+|\d+)) in"
_CM: Final = r"(-?\d+(?:\.\d+)?) cm"
_BOTH: Final = re.compile(rf"{_IN} \({_CM}\)|{_CM} \({_IN}\)")
_TAG: Final = re.compile(r"<[^>]+>")

Shown = tuple[str, str]  # centimetres and inches, without the unit


def shown_in(text: str) -> set[Shown]:
    """Every length of a text that is told in both units."""
    plain = " ".join(text.replace("\u00a0", " ").split())
    return {(m[2], m[1]) if m[1] else (m[3], m[4]) for m in _BOTH.finditer(plain)}


def figures_of(value: Any) -> set[Shown]:
    """Every figure in plan.json, wherever it stands."""
    if isinstance(value, dict):
        own = set()
        if {"cm", "inch"} <= value.keys():
            own = {(str(value["cm"]).removesuffix(" cm"), str(value["inch"]).removesuffix(" in"))}
        return own.union(*map(figures_of, value.values()))
    if isinstance(value, list):
        return set().union(*map(figures_of, value))
    return set()


def not_of_the_plan(plan: Plan, text: str) -> set[Shown]:
    """Lengths that are neither figures of the plan nor typed by the maker in both units."""
    told = plan_json(plan)
    typed = shown_in(plan.episode.model_dump_json())
    reasons = [cloth["why"] for cloth in told["other_cloths"]]
    reasons += [notion["worked_out_why"] for notion in told["notions"]]
    advice = shown_in(" ".join(why for some in reasons for why in some))
    return shown_in(text) - figures_of(told) - typed - advice


@each_episode
def test_every_length_in_the_companion_is_a_figure_of_the_plan(episode: Episode) -> None:
    plan = evaluate(episode)
    text = " ".join(texts_of(companion_pdf(plan)))
    assert len(shown_in(text)) > 50 or not episode.garments
    assert not_of_the_plan(plan, text) == set()


@each_episode
def test_every_length_on_the_shopping_list_is_a_figure_of_the_plan(episode: Episode) -> None:
    plan = evaluate(episode)
    assert not_of_the_plan(plan, " ".join(texts_of(shopping_pdf(plan)))) == set()


EDITS: Final = st.lists(
    st.tuples(
        st.sampled_from(["body ease", "smock length", "front neck depth", "sleeve length", "bust"]),
        st.integers(-30, 60),
    ),
    min_size=1,
    max_size=4,
)


@settings(max_examples=6, deadline=None)
@given(EDITS, st.sampled_from(["cm", "in"]))
def test_after_edits_the_companion_shows_the_figures_of_the_plan(
    edits: list[tuple[str, int]], first: str
) -> None:
    episode = changed(EPISODES[SMOCK], first_unit=first, sizes=(), other_cloths=())
    plan = evaluate(episode)
    for name, by_mm in edits:
        mm = plan.figures_mm[name] + by_mm
        if name == "bust":
            episode = changed(episode, body=with_measure(episode.body, name, f"{mm:g} mm"))
        else:
            episode = with_choice(episode, "lighthouse-smock", name, f"{mm:g} mm")
    plan = evaluate(episode)
    text = _TAG.sub(" ", companion_html(plan))
    assert not_of_the_plan(plan, text) == set()


def test_a_length_that_is_no_figure_is_found() -> None:
    """The check itself can fail."""
    plan = evaluate(EPISODES[SMOCK])
    assert not_of_the_plan(plan, "Cut 12.5 cm (5 in).") == {("12.5", "5")}


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("35.5 cm (14 in)", {("35.5", "14")}),
        ("14 1/8\u00a0in\n(36 cm)", {("36", "14 1/8")}),
        ("3/8 in (1 cm) and 5 cm (2 in)", {("1", "3/8"), ("5", "2")}),
    ],
)
def test_lengths_are_read(text: str, found: set[Shown]) -> None:
    assert shown_in(text) == found
