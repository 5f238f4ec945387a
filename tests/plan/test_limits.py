"""No plan is so large, or worded so, that its pages are waited for without end."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from pydantic import ValidationError

from webapp.errors import EpisodeFileError
from webapp.plan import day_parts, text_threads
from webapp.plan.evaluate import evaluate
from webapp.settings import files_dir
from webapp.store.documents import settle
from webapp.store.episode_file import TIMES_THE_LIMIT, from_text, read_episode, to_text

Document = dict[str, Any]


def _smock() -> Document:
    file = files_dir("demo_data") / "episode-3-lighthouse-smock.json"
    plan: Document = json.loads(file.read_text("utf-8"))
    return plan | {"sizes": [], "other_cloths": [], "kept_lays": [], "kept_ways": []} | {
        "garments": plan["garments"][:1], "shots": plan["shots"][:2], "shoot_days": [],
    }  # fmt: skip


def _word(number: int) -> str:
    """A name of letters alone."""
    return "q" + "".join(chr(97 + int(digit)) for digit in str(number))


def _many(what: str, *, of: str = "", by: str = "name") -> Callable[[Document, int], None]:
    """Makes so many of something of the episode, or of its garment, each with a name of its own."""

    def made(plan: Document, count: int) -> None:
        holder = plan[of][0] if of else plan
        pattern = holder[what][0] if holder[what] else {"name": "x"}
        if what == "seams":
            pattern = {k: v for k, v in pattern.items() if k != "notches"}
        holder[what] = [pattern | {by: _word(n), "title": "x"} if what == "shots" else
                        pattern | {by: _word(n)} for n in range(count)]  # fmt: skip

    return made


def _sizes(plan: Document, count: int) -> None:
    plan["garments"] = []
    plan["sizes"] = [{"name": _word(n)} for n in range(count)]


def _moves(plan: Document, count: int) -> None:
    piece = plan["garments"][0]["pieces"][0]
    piece["moves"] = [piece["moves"][0]] * count


def _garments(plan: Document, count: int) -> None:
    plan["garments"] = [{"id": f"g{n}", "name": "x"} for n in range(count)]


def _moves_in_all(plan: Document, count: int) -> None:
    move = plan["garments"][0]["pieces"][0]["moves"][0]
    shares = [200] * (count // 200) + [count % 200]
    pieces = [{"name": _word(n), "moves": [move] * share} for n, share in enumerate(shares)]
    plan["garments"] = [{"id": "g", "name": "x", "pieces": pieces}]


def _drafted(plan: Document, count: int) -> None:
    plan["garments"] = [{"id": "g", "name": "x", "pieces": [{"name": _word(n)} for n in range(20)]}]
    plan["sizes"] = [{"name": _word(n)} for n in range(-(-count // 20) - 1)]


def _quoted(plan: Document, count: int) -> None:
    shot = plan["shots"][0]
    plan["garments"] = []
    shares = [1000] * (count // 1000) + [count % 1000]
    plan["shots"] = [shot | {"id": f"s{n}", "narration": "{a}" * s} for n, s in enumerate(shares)]


@pytest.mark.parametrize(
    ("make", "most"),
    [
        (_sizes, 200),
        (_many("cloths"), 30),
        (_many("notions"), 200),
        (_many("shots", by="id"), 500),
        (_many("pieces", of="garments"), 60),
        (_many("choices", of="garments"), 300),
        (_many("seams", of="garments"), 300),
        (_many("steps", of="garments", by="id"), 300),
        (_many("finished", of="garments"), 200),
        (_moves, 200),
        (_garments, 40),
        (_moves_in_all, 2000),
        (_drafted, 1000),
        (_quoted, 10_000),
    ],
    ids=["sizes", "cloths", "notions", "shots", "pieces", "choices", "seams", "steps", "finished",
         "moves", "garments", "moves in all", "drafted", "quoted"],
)  # fmt: skip
def test_a_plan_holds_so_many_and_an_old_file_some_more(
    make: Callable[[Document, int], None], most: int
) -> None:
    plan = _smock()
    make(plan, most)
    from_text(json.dumps(plan))
    plan = _smock()
    make(plan, most + 1)
    old = read_episode(json.dumps(plan))
    with pytest.raises(ValidationError, match=r"is the most|too long"):
        from_text(json.dumps(plan))
    assert to_text(settle(old)[0]) == to_text(old)  # as when it is kept or copied
    plan = _smock()
    make(plan, TIMES_THE_LIMIT * most + 200)
    with pytest.raises(EpisodeFileError, match="is the most"):
        read_episode(json.dumps(plan))


def test_misspelt_figures_are_compared_a_hundred_times_and_no_more(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A text of 4,000 characters holds 600 names that are none; each is compared with them all."""
    compared = []
    near = text_threads.near
    monkeypatch.setattr(
        text_threads, "near", lambda *args, **more: compared.append(args) or near(*args, **more)
    )
    plan = _smock()
    shot = plan["shots"][0]
    plan["shots"] = [
        shot | {"id": f"s{n}", "narration": "".join(f"{{x{n}y{m}}}" for m in range(400))}
        for n in range(24)
    ]
    told = text_threads.missing_figures(evaluate(read_episode(json.dumps(plan))))
    threads = [one for one in told if "{x" in one.sentence]
    assert len(compared) == 100
    assert len(threads) == 24 * 5  # the first of each text; the next once these are mended


def test_a_text_of_braces_is_told_by_its_first() -> None:
    plan = _smock()
    plan["shots"][0]["narration"] = "{" * 4000
    threads = text_threads.stray_braces(evaluate(read_episode(json.dumps(plan))))
    assert len(list(threads)) == 5


def test_what_a_step_waits_on_is_found_through_others_and_in_a_circle() -> None:
    after = {"a": {"b"}, "b": {"c", "d"}, "c": {"a"}, "d": set[str](), "e": {"e", "a"}}
    found = {name: day_parts._all_waits(name, after) for name in after}
    assert found == {
        "a": {"b", "c", "d"}, "b": {"c", "d", "a"}, "c": {"a", "b", "d"}, "d": set(),
        "e": {"a", "b", "c", "d"},
    }  # fmt: skip
