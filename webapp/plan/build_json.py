"""The build order as a graph, as plain values of plan.json: the longest chain, rests and waits."""

from typing import Any

from webapp.build.graph import build_graph, one_by_one
from webapp.plan.results import Plan


def build_json(plan: Plan) -> dict[str, Any]:
    """`build`, in minutes by likely times. `spare` is how long each step can be left without
    making the whole longer; `idle`, what one pair of hands waits in this order."""
    steps = [row.step for row in plan.steps]
    graph = build_graph(steps, {row.step.id: row.work.likely for row in plan.steps})
    return {
        "build": {
            "longest_chain": list(graph.chain),
            "longest_chain_work": graph.chain_minutes,
            "longest_chain_rest": graph.chain_rest_minutes,
            "idle": [
                {"before": one.step.id, "rests": one.rests.id, "minutes": one.minutes}
                for one in one_by_one(graph).idle
            ],
            "spare": {name: node.slack for name, node in graph.nodes.items()},
        }
    }
