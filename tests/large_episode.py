"""A large episode, for measuring."""

from typing import Any

from tests.demo_documents import EPISODES, SMOCK
from webapp.filming.said import as_filmed
from webapp.plan.edits import (
    changed,
    with_measure,
)
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

STEPS, SHOTS, SIZES = 60, 150, 12


def large_episode() -> Episode:
    """60 steps, 150 shots of which every other is filmed, and the garments in 12 sizes."""
    demo = EPISODES[SMOCK]
    smock, *extras = demo.garments
    more = STEPS - sum(len(garment.steps) for garment in demo.garments)
    again = [smock.steps[n % len(smock.steps)] for n in range(more)]
    last = smock.steps[-1].id
    steps = tuple(
        changed(
            step,
            id=f"again-{n}",
            name=f"{step.name} {n}",
            one_way=False,
            rest_hours=0,
            after=(last,),
        )
        for n, step in enumerate(again)
    )
    smock = changed(smock, steps=(*smock.steps, *steps))
    own = [shot for shot in demo.shots if shot.step]
    shots = tuple(
        changed(own[n % len(own)], id=f"again-{n}", step=smock.steps[n % len(smock.steps)].id)
        for n in range(SHOTS - len(demo.shots))
    )
    large = changed(
        demo,
        garments=(smock, *extras),
        sizes=tuple(_grown(demo, n) for n in range(1, SIZES)),
        shots=(*demo.shots, *shots),
        kept_ways=(),
    )
    plan = evaluate(large)
    filmed = tuple(
        changed(s, filmed=as_filmed(s, plan.figures_of_step(s.step), "cm")) if n % 2 else s
        for n, s in enumerate(large.shots)
    )
    return changed(large, shots=filmed)


def _grown(demo: Episode, number: int) -> Any:
    """The body on camera, all of it larger or smaller by some per cent."""
    body = changed(demo.body, name=f"Size {number}")
    for name, text in demo.body.measures.items():
        mm = 10 * float(text.removesuffix(" cm")) * (1 + 0.03 * (number - SIZES // 2))
        body = with_measure(body, name, f"{mm:.0f} mm")
    return body
