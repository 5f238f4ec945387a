"""The graph of the steps: checked against a published network and against trying every path."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.build.graph import Graph, build_graph, one_by_one
from webapp.draft.construction import Step


def step(step_id: str, *after: str, rest: float = 0) -> Step:
    return Step(id=step_id, name=step_id.capitalize(), after=after, rest_hours=rest)


# Three partners' first project: "Slack = LS - ES", coursehero.com/file/p2vl9tn (read): expected
# times by (a + 4 m + b) / 6, paths A-C-E 20.50, D-F-G 21.50, B-H-I 19.50 days.
PUBLISHED = {
    "a": ((5, 6, 7), ()),
    "b": ((8, 8, 11), ()),
    "c": ((6, 8, 11), ("a",)),
    "d": ((9, 12, 15), ()),
    "e": ((5, 6, 9), ("c",)),
    "f": ((5, 6, 7), ("d",)),
    "g": ((2, 3, 7), ("f",)),
    "h": ((4, 4, 5), ("b",)),
    "i": ((5, 7, 8), ("h",)),
}


def test_a_published_network_has_its_published_critical_path_and_slack() -> None:
    steps = [step(name, *after) for name, (_, after) in PUBLISHED.items()]
    expected = {name: (a + 4 * m + b) / 6 for name, ((a, m, b), _) in PUBLISHED.items()}
    graph = build_graph(steps, expected)
    assert graph.chain == ("d", "f", "g")
    assert graph.end == pytest.approx(21.50, abs=0.005)
    slack = {name: graph.nodes[name].slack for name in "abcdefghi"}
    for name in "ace":
        assert slack[name] == pytest.approx(21.50 - 20.50, abs=0.005)
    for name in "bhi":
        assert slack[name] == pytest.approx(21.50 - 19.50, abs=0.005)
    for name in "dfg":
        assert slack[name] == pytest.approx(0, abs=1e-9)
    # The earliest starts of the published table: C after A, E after A and C, and so on.
    assert graph.nodes["e"].earliest == pytest.approx(6 + 8.17, abs=0.005)
    assert graph.nodes["i"].earliest == pytest.approx(8.5 + 4.17, abs=0.005)


def test_a_rest_is_part_of_the_chain_and_of_the_wait() -> None:
    """60 min of cutting, 10 of hanging, a day's rest, 20 of hemming; 90 min of cuffs meanwhile."""
    steps = [step("cut"), step("hang", "cut", rest=24), step("cuffs", "cut"), step("hem", "hang")]
    minutes = {"cut": 60.0, "hang": 10.0, "cuffs": 90.0, "hem": 20.0}
    graph = build_graph(steps, minutes)
    assert graph.chain == ("cut", "hang", "hem")
    assert (graph.chain_minutes, graph.chain_rest_minutes) == (90, 24 * 60)
    assert graph.end == 90 + 24 * 60
    assert graph.nodes["cuffs"].slack == 10 + 24 * 60 + 20 - 90
    (idle,) = one_by_one(build_graph(steps, minutes)).idle
    assert (idle.step.id, idle.rests.id, idle.minutes) == ("hem", "hang", 24 * 60 - 90)
    late = [steps[0], steps[1], steps[3], steps[2]]
    (idle,) = one_by_one(build_graph(late, minutes)).idle
    assert idle.minutes == 24 * 60
    assert [one.id for one in idle.meanwhile] == ["cuffs"]
    assert one_by_one(build_graph(late, minutes)).minutes == 180


def test_what_rests_at_the_end_holds_nothing_up() -> None:
    steps = [step("dye", rest=10), step("cut")]
    graph = build_graph(steps, {"dye": 5.0, "cut": 30.0})
    assert graph.chain == ("cut",)
    assert graph.end == 30
    assert not one_by_one(graph).idle


def test_a_wait_that_follows_from_another_is_not_told_again() -> None:
    steps = [step("cut"), step("sew", "cut"), step("press", "sew", "cut"), step("wear", "press")]
    graph = build_graph(steps, {})
    assert graph.nodes["press"].waits_on == ("sew",)
    assert graph.nodes["cut"].holds_up == ("sew",)
    assert graph.nodes["cut"].behind == ("sew", "press", "wear")
    assert graph.nodes["wear"].before == ("cut", "sew", "press")


def test_a_circle_and_a_wait_on_nothing_do_no_harm() -> None:
    steps = [step("bind", "hem"), step("hem", "bind", "steam"), step("itself", "itself")]
    graph = build_graph(steps, {"bind": 1.0, "hem": 2.0})
    assert graph.chain == ("bind", "hem")
    assert graph.nodes["itself"].waits_on == ()
    assert build_graph([], {}).chain == ()
    assert build_graph([], {}).end == 0


@st.composite
def builds(draw: st.DrawFn) -> tuple[list[Step], dict[str, float]]:
    """Up to seven steps in build order, with whole minutes and whole hours of rest."""
    steps: list[Step] = []
    for number in range(draw(st.integers(1, 7))):
        after = draw(st.lists(st.sampled_from([s.id for s in steps]))) if steps else []
        steps.append(step(f"s{number}", *dict.fromkeys(after), rest=draw(st.integers(0, 2))))
    return steps, {one.id: float(draw(st.integers(0, 200))) for one in steps}


def paths(steps: list[Step]) -> list[tuple[Step, ...]]:
    """Every chain of steps, by brute force."""
    by_id = {one.id: one for one in steps}
    found: list[tuple[Step, ...]] = []

    def go_back(path: tuple[Step, ...]) -> None:
        found.append(path)
        for wait in path[0].after:
            go_back((by_id[wait], *path))

    for one in steps:
        go_back((one,))
    return found


def length(path: tuple[Step, ...], minutes: dict[str, float]) -> float:
    return sum(minutes[s.id] for s in path) + sum(60 * s.rest_hours for s in path[:-1])


def end_if_put_off(graph: Graph, minutes: dict[str, float], late: str, by: float) -> float:
    """When the last step is done if one begins so much later than it could."""
    done: dict[str, float] = {}
    last = 0.0
    for node in graph.nodes.values():
        start = max((done[w] for w in node.step.after), default=0.0) + by * (node.step.id == late)
        last = max(last, start + minutes[node.step.id])
        done[node.step.id] = start + minutes[node.step.id] + 60 * node.step.rest_hours
    return last


@given(builds())
def test_no_path_is_longer_than_the_longest_chain(
    build: tuple[list[Step], dict[str, float]],
) -> None:
    steps, minutes = build
    graph = build_graph(steps, minutes)
    assert graph.end == max(length(path, minutes) for path in paths(steps))
    assert graph.chain in {tuple(one.id for one in path) for path in paths(steps)}


@given(builds())
def test_a_step_can_be_put_off_by_its_slack_and_no_longer(
    build: tuple[list[Step], dict[str, float]],
) -> None:
    steps, minutes = build
    graph = build_graph(steps, minutes)
    for node in graph.nodes.values():
        assert end_if_put_off(graph, minutes, node.step.id, node.slack) == graph.end
        assert end_if_put_off(graph, minutes, node.step.id, node.slack + 1) == graph.end + 1


@given(builds())
def test_the_waits_told_say_all_and_none_of_them_twice(
    build: tuple[list[Step], dict[str, float]],
) -> None:
    steps, minutes = build
    graph = build_graph(steps, minutes)
    reached = {
        one.id: {s.id for p in paths(steps) if p[-1] is one for s in p[:-1]} for one in steps
    }
    for node in graph.nodes.values():
        assert set(node.before) == reached[node.step.id]
        told = {node.step.id: set(node.waits_on)}
        through = [reached[wait] | {wait} for wait in node.waits_on]
        assert set().union(*through) == reached[node.step.id]
        for wait in told[node.step.id]:
            others = [reached[w] | {w} for w in node.waits_on if w != wait]
            assert wait not in set().union(*others)


@given(builds())
def test_one_pair_of_hands_waits_as_long_as_a_clock_says(
    build: tuple[list[Step], dict[str, float]],
) -> None:
    """Minute by minute: the next step begins once all it waits on has rested."""
    steps, minutes = build
    done: dict[str, float] = {}
    now = idle = 0
    for one in steps:
        while any(done[wait] > now for wait in one.after):
            now += 1
            idle += 1
        now += int(minutes[one.id])
        done[one.id] = now + 60 * one.rest_hours
    found = one_by_one(build_graph(steps, minutes))
    assert found.idle_minutes == idle
    assert found.minutes == sum(minutes.values())
