"""The drawing of the build order: every wait is one thread, and threads can be told apart."""

import re
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.build.graph import build_graph
from webapp.draft.construction import Step
from webapp.pages.build_drawing import ROW, BuildDrawing, Thread, drawing_of
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


def straight(thread: Thread) -> list[tuple[float, float, float]]:
    """The upright parts of a thread: x, from y, to y."""
    found, x, y = [], 0.0, 0.0
    for command, numbers in re.findall(r"([MCV])([^MCV]+)", thread.path):
        values = [float(one) for one in numbers.split()]
        if command == "V":
            found.append((x, y, values[-1]))
            y = values[-1]
        else:
            x, y = values[-2:]
    return found


@given(builds())
def test_every_wait_is_one_thread_between_its_two_knots(steps: list[Step]) -> None:
    graph = build_graph(steps, {})
    drawing = drawing_of(graph)
    waits = sorted((wait, one.step.id) for one in graph.nodes.values() for wait in one.waits_on)
    assert sorted((thread.begins, thread.ends) for thread in drawing.threads) == waits
    knots = {knot.step: knot for knot in drawing.knots}
    for thread in drawing.threads:
        begin, end = knots[thread.begins], knots[thread.ends]
        assert thread.path.startswith(f"M{begin.x:g} {begin.y:g}")
        assert thread.path.endswith(f"{end.y:g}")
        assert begin.y < end.y


@given(builds())
def test_threads_that_lie_on_one_another_begin_or_end_together(steps: list[Step]) -> None:
    """Otherwise a line would seem to tie steps that have nothing to do with each other."""
    drawing = drawn(steps)
    for one, other in combinations(drawing.threads, 2):
        if one.begins == other.begins or one.ends == other.ends:
            continue
        for x, top, bottom in straight(one):
            for other_x, other_top, other_bottom in straight(other):
                if x == other_x:
                    assert min(bottom, other_bottom) - max(top, other_top) <= 0


@given(builds())
def test_no_thread_runs_through_a_knot_that_it_does_not_tie(steps: list[Step]) -> None:
    drawing = drawn(steps)
    for thread in drawing.threads:
        for knot in drawing.knots:
            if knot.step in (thread.begins, thread.ends):
                continue
            for x, top, bottom in straight(thread):
                assert not (x == knot.x and top < knot.y < bottom)


@pytest.mark.parametrize("demo", DEMOS)
def test_the_longest_chain_is_one_straight_line_on_the_left(demo: str) -> None:
    plan = evaluate(read_episode((files_dir("demo_data") / demo).read_bytes()))
    steps = [row.step for row in plan.steps]
    graph = build_graph(steps, {row.step.id: row.work.likely for row in plan.steps})
    drawing = drawing_of(graph)
    chain = [knot for knot in drawing.knots if knot.longest]
    assert [knot.step for knot in chain] == list(graph.chain)
    assert len({knot.x for knot in chain}) == 1
    assert all(knot.x > chain[0].x for knot in drawing.knots if not knot.longest)
    assert sum(thread.longest for thread in drawing.threads) == len(chain) - 1
    assert drawing.height == ROW * len(steps)
    assert drawing.width < 6 * ROW  # beside it there must be room for names on a phone


def test_a_drawing_of_nothing_is_empty() -> None:
    assert drawing_of(build_graph([], {})).knots == ()


def test_a_step_that_cannot_be_taken_back_looks_different(smock_episode: Episode) -> None:
    plan = evaluate(smock_episode)
    steps = [row.step for row in plan.steps]
    knots = drawing_of(build_graph(steps, {})).knots
    assert {k.step for k in knots if k.one_way} == {s.id for s in steps if s.one_way}
    assert {k.step for k in knots if k.off_camera} == {s.id for s in steps if s.off_camera}


@pytest.fixture
def smock_episode() -> Episode:
    return read_episode((files_dir("demo_data") / DEMOS[0]).read_bytes())
