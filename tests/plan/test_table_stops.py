"""What is walked through at the cutting table: where each stop stands, and what is read there."""

from datetime import date

from tests.demo_documents import EPISODES, SMOCK
from webapp.filming.shoot_days import ShootDay
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.table_stops import stops_in_build_order, stops_of_day
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode


def test_an_edge_that_goes_on_over_the_fold_is_told_as_its_half() -> None:
    """By the recipe: bands of 39 and 61 cm, and skirts on the fold whose waists are as long."""
    demo = files_dir("demo_data") / "episode-4-market-day-skirt.json"
    stops = stops_in_build_order(evaluate(read_episode(demo.read_bytes())))
    told = next(dict(stop.figures) for stop in stops if stop.title == "Check the curves")
    assert [(one.name, one.cm, one.note) for one in told["Measure"]] == [
        ("Skirt front waist", "19.5 cm", "half, from the fold"),
        ("Skirt back waist", "30.5 cm", "half, from the fold"),
        ("Front band length", "39 cm", ""),
        ("Back band length", "61 cm", ""),
    ]


def test_stops_have_keys_of_their_own_whatever_steps_are_called(smock: Episode) -> None:
    """A second step called Hem has the id hem-2."""
    garment = smock.garments[0]
    hem, second = (changed(garment.steps[0], id=one, work=(), after=()) for one in ("hem", "hem-2"))
    steps = (*(step for step in garment.steps if step.id != "hem"), hem, second)
    shot = changed(smock.shots[0], filmed=None, kind="step")
    shots = tuple(
        changed(shot, id=f"s{at}", step=step)
        for at, step in enumerate(("hem", "", "hem", "hem-2"), start=1)
    )
    day = ShootDay(day=date(2027, 1, 11), shots=tuple(one.id for one in shots))
    plan = evaluate(
        changed(
            smock,
            garments=(changed(garment, steps=steps), *smock.garments[1:]),
            shots=shots,
            shoot_days=(day,),
        )
    )
    stops = [stop for stop in stops_of_day(plan, day.day) if stop.shots]
    assert [stop.step.step.id if stop.step else "" for stop in stops] == ["hem", "", "hem", "hem-2"]
    assert len({stop.key for stop in stops}) == len(stops)


def test_what_opens_the_video_stands_before_all_steps_and_what_closes_it_after_them() -> None:
    """They say what they are, and on which day they are filmed."""
    stops = stops_in_build_order(evaluate(EPISODES[SMOCK]))
    first, last = stops[0], stops[-1]
    assert (first.title, first.kind) == ("Welcome, and what we make today", "Talking to the camera")
    assert (last.title, last.kind) == ("Thank you, and next time", "Talking to the camera")
    assert first.days == last.days == (date(2026, 12, 20),)
    assert [stop.step.number for stop in stops if stop.step] == list(range(1, 31))
    titles = [stop.title for stop in stops]
    assert titles[1] == "Wash the cloth"
    assert titles.index("The four measures") == titles.index("Chalk the pieces") - 2


def test_what_is_done_in_the_evening_is_the_last_stop_of_the_shoot_order() -> None:
    plan = evaluate(EPISODES[SMOCK])
    assert [day.day.day for day in plan.days][1] == date(2026, 12, 19)
    last = stops_of_day(plan, date(2026, 12, 19))[-1]
    assert (last.title, last.at) == ("Hang it overnight", "Evening, by 21:00")
    assert "Hang it overnight" not in [
        stop.title for stop in stops_of_day(plan, date(2026, 12, 20))
    ]
