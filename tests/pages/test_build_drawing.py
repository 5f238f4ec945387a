"""The drawing of the build order: every wait is one thread, and threads can be told apart."""

import re
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.build.graph import build_graph
from webapp.draft.construction import Step
from webapp.pages.build_drawing import ROW, BuildDrawing, drawing_of
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode

DEMOS = ("episode-3-lighthouse-smock.json", "episode-4-market-day-skirt.json")


@st.composite
def builds(draw: st.DrawFn) -> list[Step]:
    steps: list[Step] = []
    for number in range(draw(st.integers(1, 14))):
        after = draw(st.lists(st.sampled_from([s.id for s in steps]), max_size=3)) if steps else []
        steps.append(Step(id=f"s{number}", name=f"S{number}", after=tuple(dict.fromkeys(after))))
    return steps


def drawn(steps: list[Step]) -> BuildDrawing:
    return drawing_of(build_graph(steps, {step.id: 5.0 + len(step.after) for step in steps}))


def ends_of(path: str) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where the path of a stroke begins and ends."""
    numbers = [float(one) for one in re.findall(r"[\d.]+", path)]
    end = (numbers[0], numbers[-1]) if "V" in path else (numbers[-2], numbers[-1])
    return (numbers[0], numbers[1]), end


@given(builds())
def test_every_wait_is_one_thread_between_its_two_knots(steps: list[Step]) -> None:
    graph = build_graph(steps, {})
    drawing = drawing_of(graph)
    waits = sorted((wait, one.step.id) for one in graph.nodes.values() for wait in one.waits_on)
    assert sorted((thread.begins, thread.ends) for thread in drawing.threads) == waits
    rows = {row.knot.step: number for number, row in enumerate(drawing.rows)}
    for thread in drawing.threads:
        assert (thread.first, thread.last) == (rows[thread.begins], rows[thread.ends])
        assert thread.first < thread.last


@given(builds())
def test_a_thread_can_be_followed_from_its_knot_through_every_row(steps: list[Step]) -> None:
    """Each row begins where the one above it, opened or not, left off."""
    drawing = drawn(steps)
    strokes = [{ends_of(one.path) for one in row.strokes} for row in drawing.rows]
    for thread in drawing.threads:
        for at in range(thread.first, thread.last + 1):
            row = drawing.rows[at]
            begin = (row.knot.x, ROW / 2) if at == thread.first else (thread.x, 0.0)
            end = (row.knot.x, ROW / 2) if at == thread.last else (thread.x, ROW)
            assert (begin, end) in strokes[at]
            on = f"M{thread.x:g} 0V{ROW:g}" in [one.path for one in row.running_on]
            assert on or at == thread.last


@given(builds())
def test_threads_that_lie_on_one_another_begin_or_end_together(steps: list[Step]) -> None:
    """Otherwise a line would seem to tie steps that have nothing to do with each other."""
    drawing = drawn(steps)
    for one, other in combinations(drawing.threads, 2):
        if one.begins == other.begins or one.ends == other.ends or one.x != other.x:
            continue
        assert min(one.last, other.last) <= max(one.first, other.first)


@given(builds())
def test_no_thread_runs_through_a_knot_that_it_does_not_tie(steps: list[Step]) -> None:
    drawing = drawn(steps)
    for thread in drawing.threads:
        for row in drawing.rows[thread.first + 1 : thread.last]:
            assert row.knot.x != thread.x


@pytest.mark.parametrize("demo", DEMOS)
def test_the_longest_chain_is_one_straight_line_on_the_left(demo: str) -> None:
    plan = evaluate(read_episode((files_dir("demo_data") / demo).read_bytes()))
    steps = [row.step for row in plan.steps]
    graph = build_graph(steps, {row.step.id: row.work.likely for row in plan.steps})
    drawing = drawing_of(graph)
    chain = [row.knot for row in drawing.rows if row.knot.longest]
    assert [knot.step for knot in chain] == list(graph.chain)
    assert len({knot.x for knot in chain}) == 1
    assert all(row.knot.x > chain[0].x for row in drawing.rows if not row.knot.longest)
    assert sum(thread.longest for thread in drawing.threads) == len(chain) - 1
    assert len(drawing.rows) == len(steps)
    assert drawing.width < 5 * ROW  # beside it there must be room for names on a phone


def test_a_drawing_of_nothing_is_empty() -> None:
    assert drawing_of(build_graph([], {})).rows == ()


def test_a_step_that_cannot_be_taken_back_looks_different(smock_episode: Episode) -> None:
    plan = evaluate(smock_episode)
    steps = [row.step for row in plan.steps]
    knots = [row.knot for row in drawing_of(build_graph(steps, {})).rows]
    assert {k.step for k in knots if k.one_way} == {s.id for s in steps if s.one_way}
    assert {k.step for k in knots if k.off_camera} == {s.id for s in steps if s.off_camera}


@pytest.fixture
def smock_episode() -> Episode:
    return read_episode((files_dir("demo_data") / DEMOS[0]).read_bytes())
