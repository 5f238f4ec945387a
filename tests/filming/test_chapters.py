"""Chapters: where each begins, what sites would not take, and which ones the build suggests."""

import doctest

import pytest

from webapp.filming import publishing
from webapp.filming.chapters import (
    BEGINNING,
    FINISHED,
    chapter_faults,
    chapters,
    suggested,
)
from webapp.filming.shots import Shot

Shots = list[tuple[Shot, float]]


def shot(name: str, step: str = "", chapter: str = "", kind: str = "") -> Shot:
    kinds = {"kind": kind or ("step" if step else "talking")}
    return Shot(id=name, title=name.capitalize(), step=step, chapter=chapter, **kinds)


def test_a_chapter_lasts_until_the_next_name() -> None:
    """20 + 65 s, then 30 s, then 45 + 5 s: 0:00, 1:25 and 1:55."""
    shots: Shots = [
        (shot("hello", chapter="Welcome"), 20),
        (shot("measure", "measure"), 65),
        (shot("cut", "cut", "Cut"), 30),
        (shot("sew", "sew", "Sew"), 45),
        (shot("press", "sew"), 5),
    ]
    found = chapters(shots)
    assert [one.line for one in found] == ["0:00 Welcome", "1:25 Cut", "1:55 Sew"]
    assert [(one.seconds, one.shots) for one in found] == [(85, 2), (30, 1), (50, 2)]
    assert chapter_faults(found) == ()


def test_the_first_chapter_begins_at_nought_though_its_shot_has_no_name() -> None:
    found = chapters([(shot("a"), 12.6), (shot("b", chapter="Cut"), 30), (shot("c"), 1)])
    assert [(one.title, one.starts_s, one.named) for one in found] == [
        (BEGINNING, 0, False), ("Cut", 12.6, True),
    ]  # fmt: skip
    assert [one.line for one in found] == ["0:00 Beginning", "0:13 Cut"]
    assert [one.lasts for one in found] == ["0:13", "0:31"]  # 12.6 and 31.0: ends at 43.6


def test_without_a_name_there_are_no_chapters() -> None:
    assert chapters([]) == chapters([(shot("a"), 20)]) == ()
    assert chapter_faults(()) == ()


def test_what_a_site_would_not_take_is_said() -> None:
    """From three on, the first named, none under ten seconds: common practice, no source."""
    found = chapters([(shot("a"), 9), (shot("b", chapter="Cut"), 30)])
    assert chapter_faults(found) == (
        "Sites commonly show chapters from 3 on; there are 2.",
        "The first shot opens no chapter: give the beginning a name.",
        "“Beginning” lasts 9 s; sites commonly ask for 10 s.",
    )


STEPS = {"cut": "Cut the skirt", "pin": "Pin", "sew": "Sew the sides", "hem": "Hem"}


def test_chapters_are_suggested_where_steps_begin() -> None:
    """A step that is seen for a moment opens none; nor do a cutaway and a step seen before."""
    shots: Shots = [
        (shot("hello"), 40),
        (shot("c1", "cut"), 30), (shot("c2", "cut"), 30),
        (shot("p", "pin"), 9),
        (shot("linen", kind="cutaway"), 35),
        (shot("s", "sew"), 60),
        (shot("c3", "cut"), 35),
        (shot("h", "hem"), 31),
        (shot("look", kind="styling"), 16),
        (shot("bye"), 5),
    ]  # fmt: skip
    assert suggested(shots, STEPS) == {
        "hello": "Hello", "c1": "Cut the skirt", "s": "Sew the sides", "h": "Hem",
        "look": FINISHED,
    }  # fmt: skip


def test_of_two_short_steps_the_longer_opens_the_chapter() -> None:
    """25 s are too short for a chapter of their own, so one of two has to do."""
    shots: Shots = [(shot("hello"), 40), (shot("p", "pin"), 10), (shot("c", "cut"), 25)]
    assert suggested([*shots, (shot("bye"), 10)], STEPS) == {"hello": "Hello", "c": "Cut the skirt"}


@pytest.mark.parametrize("count", [1, 2, 7, 60])
def test_every_suggested_chapter_but_the_last_is_long_enough(count: int) -> None:
    steps = {f"s{number}": f"Step {number}" for number in range(count)}
    shots: Shots = [(shot(f"a{n}", f"s{n}"), 5 + 7 * n % 23) for n in range(count)]
    names = suggested(shots, steps)
    named = [(one.model_copy(update={"chapter": names.get(one.id, "")}), s) for one, s in shots]
    found = chapters(named)
    assert found[0].starts_s == 0
    assert found[0].named
    whole = sum(seconds for _, seconds in shots)
    assert all(one.seconds >= max(30, whole / 16) for one in found) or len(found) == 1
    assert suggested([], steps) == {}


def test_examples_in_docstrings_hold() -> None:
    failed, attempted = doctest.testmod(publishing)
    assert (failed, attempted > 0) == (0, True)
