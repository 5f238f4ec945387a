"""Whatever is planned holds: an onlooker works through the planned days by hand."""

from datetime import timedelta
from random import Random

import pytest

from tests.plan.day_specimens import MACHINE, MONDAY, TABLE, YARD, day, episode, filmed, shot, step
from webapp.filming.shoot_days import Break, Noise, minutes_of
from webapp.plan.day_planning import planned_days, with_planned_days
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan, StepPlan


def _made_up(seed: int) -> Episode:
    """Steps of which some rest and some are off camera, shots, and four days of all sorts."""
    random = Random(seed)
    steps, shots = [], []
    for n in range(10):
        after = random.sample([f"s{k}" for k in range(n)], min(n, random.randrange(3)))
        rests = random.choice((0, 0, 0, 2, 12))
        hidden = random.random() < 0.3
        steps.append(step(f"s{n}", random.randint(5, 60), *after, rest_hours=rests))
        for take in range(0 if hidden else random.randint(1, 2)):
            shots.append(
                shot(
                    f"s{n}-{take}",
                    f"s{n}",
                    random.choice((TABLE, MACHINE, YARD)),
                    light=random.choice(("daylight", "lamps")),
                    quiet=random.random() < 0.2,
                )
            )
    shots.insert(random.randrange(len(shots)), shot("cut-away", kind="cutaway"))
    shots += [shot("hello", place=YARD), shot("look", kind="styling")]
    days = [
        day(
            MONDAY + timedelta(days=n),
            ends=random.choice(("12:30", "15:00", "17:00")),
            dark_from=random.choice((None, "15:30")),
            light_from=random.choice((None, "09:40")),
            breaks=(Break(at="12:00", minutes=30),),
            noise=(Noise(starts="10:00", ends="11:00"),) if n % 2 else (),
        )
        for n in range(4)
    ]
    return episode(steps, shots, *days)


def _look_on(plan: Plan) -> set[str]:  # noqa: PLR0912 - one walk, as the day goes
    """Go through the days with only what each shot says, and refuse what cannot be."""
    steps = {one.step.id: one for one in plan.steps}
    shots_of = {name: [s for s in plan.shots if s.shot.step == name] for name in steps}
    done: dict[str, float] = {}
    for filmed_one in (s.shot.step for s in plan.shots if s.shot.filmed and s.shot.step):
        for name in _worked(steps, filmed_one, {}):
            if name == filmed_one or not shots_of[name]:
                done[name] = 0.0  # what a filmed step waited on off camera is done as well
    seen: set[str] = set()
    for at, each in enumerate(plan.days):
        midnight = at * 24 * 60.0
        for early in each.beforehand:
            name = early.step.step.id
            assert not shots_of[name]  # nothing that shots show is done in the evening
            done[name] = midnight - 3 * 60 if at else -1e9
        time = float(minutes_of(each.day.goes_on_at or each.day.starts))
        for timed in each.shots:
            one = timed.plan.shot
            assert one.id not in seen
            seen.add(one.id)
            if one.filmed:
                continue
            assert timed.begins.likely >= time - 1e-6
            at_work = midnight + time
            begun = _worked(steps, one.step, done)
            assert set(begun) <= set(timed.worked_ids)
            early = [name for name in timed.worked_ids if name not in begun]
            assert not any(shots_of[name] for name in early)  # hung up to rest, off camera
            for name in timed.worked_ids:
                for wait in steps[name].step.after:
                    assert wait in done, f"{name} before {wait}"
                    own = [s.shot for s in shots_of[wait]]
                    assert all(s.filmed or s.id in seen for s in own), f"{name} before all of it"
                    at_work = max(at_work, done[wait] + 60 * steps[wait].step.rest_hours)
                if name != one.step:
                    at_work += steps[name].work.likely
                    done[name] = at_work  # at the earliest: breaks come on top
            assert midnight + timed.starts.likely >= at_work - 1e-6
            own = [s.shot.id for s in shots_of.get(one.step, [])]
            assert [s for s in own if s in seen] == own[: sum(s in seen for s in own)]
            assert timed.starts.likely <= timed.rolls.likely <= timed.ends.likely
            if one.light == "daylight":
                assert timed.rolls.likely >= minutes_of(each.day.light_from or "00:00") - 1e-6
                assert timed.ends.likely <= minutes_of(each.day.dark_from or "23:59") + 1e-6
            for noise in each.day.noise:
                if one.quiet:
                    before = timed.ends.likely <= minutes_of(noise.starts) + 1e-6
                    assert before or timed.rolls.likely >= minutes_of(noise.ends) - 1e-6
            time = timed.free.likely
            if one.step in steps:
                goes_on = steps[one.step].work.likely / len(shots_of[one.step])
                assert time - timed.ends.likely >= 0.9 * goes_on  # likely of a sum is no sum
                done[one.step] = midnight + time
        assert time <= minutes_of(each.day.ends) + 1e-6
    return seen


def _worked(steps: dict[str, StepPlan], name: str, done: dict[str, float]) -> list[str]:
    """The steps not done that a step waits on, and itself, the earliest first."""
    if not name or name in done:
        return []
    found: list[str] = []
    for wait in steps[name].step.after:
        found += [one for one in _worked(steps, wait, done) if one not in found]
    return [*found, name]


@pytest.mark.parametrize("seed", range(10))
def test_planned_days_hold_for_an_onlooker(seed: int) -> None:
    one = _made_up(seed)
    planned = planned_days(evaluate(one), seconds=0.6, seed=seed)
    after = evaluate(with_planned_days(evaluate(one), planned))
    seen = _look_on(after)
    assert seen | {each.shot.shot.id for each in planned.unplaced} == {s.id for s in one.shots}
    assert planned.minutes == pytest.approx(sum(each.changing for each in after.days))
    assert planned.idle == pytest.approx(sum(each.idle for each in after.days))
    assert planned.bound <= planned.minutes + planned.idle + 1e-6


@pytest.mark.parametrize("seed", range(4))
def test_planned_again_at_noon_of_the_first_day_the_rest_holds(seed: int) -> None:
    one = _made_up(seed)
    first = with_planned_days(evaluate(one), planned_days(evaluate(one), seconds=0.6, seed=seed))
    morning = first.shoot_days[0].shots[:2]
    going_on = filmed(first, *morning, on=MONDAY)
    today, *rest = going_on.shoot_days
    going_on = changed(going_on, shoot_days=(changed(today, goes_on_at="12:10"), *rest))
    planned = planned_days(evaluate(going_on), seconds=0.6, seed=seed, first_day=MONDAY)
    after = evaluate(with_planned_days(evaluate(going_on), planned))
    seen = _look_on(after)
    assert seen | {each.shot.shot.id for each in planned.unplaced} == {s.id for s in one.shots}
    assert after.days[0].day.shots[: len(morning)] == morning
