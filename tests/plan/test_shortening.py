"""The video as it is watched, and what makes it shorter."""

import math

import pytest

from webapp.draft.construction import Minutes, Step, Work
from webapp.draft.recipe import Recipe
from webapp.errors import NotThereError
from webapp.filming.shoot_days import ShootDay
from webapp.filming.shots import Filmed, Shot
from webapp.plan.edits import changed
from webapp.plan.episode import Brief, Episode, Fitting
from webapp.plan.evaluate import evaluate
from webapp.plan.mends import mended
from webapp.plan.results import Plan
from webapp.plan.screen_time import extra, video
from webapp.plan.shortening import (
    Shortening,
    enough,
    fewer_words,
    shortened,
    shortenings,
    with_shortened,
)

SEVEN = "one two three four five six seven"  # 3 s at 140 words a minute
FOURTEEN_SECONDS = " ".join([SEVEN] * 14)[: len(SEVEN) * 14 + 13]  # 98 words: 42 s
STEPS = (
    Step(id="cut", name="Cut", one_way=True),
    Step(id="sew", name="Sew"),
    Step(id="hem", name="Hem"),
)


def _shot(name: str, step: str = "", kind: str = "step", **fields: object) -> Shot:
    kind = kind if step or kind != "step" else "talking"
    return Shot(id=name, title=name, step=step, kind=kind, **fields)


SHOTS = (
    _shot("hello", narration=SEVEN),
    _shot("cut", "cut", screen_seconds=30),
    _shot("sew-1", "sew", screen_seconds=40, narration=SEVEN),
    _shot("sew-2", "sew", screen_seconds=20, pace="sped up"),
    _shot("linen", kind="cutaway", narration=" ".join([SEVEN] * 4)),
    _shot("hem", "hem", narration=f"Turn {{hem depth}}. {SEVEN}"),
    _shot("look", kind="styling", screen_seconds=9),
    _shot("bye", narration=SEVEN),
)
EPISODE = Episode(
    id="e", title="E", garments=(Recipe(id="g", name="G", steps=STEPS),), shots=SHOTS,
    brief=Brief(target_seconds=100),
)  # fmt: skip


def _plan(*shots: Shot, **fields: object) -> Plan:
    return evaluate(changed(EPISODE, shots=shots or SHOTS, **fields))


def _of(plan: Plan, shot: str) -> dict[str, Shortening]:
    return {one.act: one for one in shortenings(plan) if one.args == (shot,)}


# --- The video -------------------------------------------------------------------------------


def test_every_shot_begins_where_the_one_before_ends() -> None:
    """4 s at the least, 30, 40, 20, 28 words 12 s, 8 s, 9 and 4: 2:07."""
    shown = video(_plan())
    assert [one.starts_s for one in shown.shots] == [0, 4, 34, 74, 94, 106, 114, 123]
    assert shown.seconds == 127
    assert shown.over_s == 27
    assert [one.length_from for one in shown.shots] == [
        "least", "typed", "typed", "typed", "words", "least", "typed", "least",
    ]  # fmt: skip


def test_seconds_by_pace_and_talking_add_up_to_the_whole(smock: Episode) -> None:
    for plan in (_plan(), evaluate(smock)):
        shown = video(plan)
        paces = sum(shown.seconds_at(pace) for pace in ("real time", "sped up", "talked over"))
        assert paces + shown.talking_s == pytest.approx(plan.running_time_s)


def test_the_extra_is_apart_and_nothing_is_left_out_or_told_twice(smock: Episode) -> None:
    plan = evaluate(smock)
    one, other = video(plan), extra(plan)
    assert other.seconds == pytest.approx(plan.extra_running_time_s)
    assert other.seconds > 0
    numbers = [on.plan.number for on in (*one.shots, *other.shots)]
    assert sorted(numbers) == [shot.number for shot in plan.shots]
    assert other.over_s == 0  # the target is the video's


def test_only_words_over_pictures_that_are_not_in_real_time_are_spoken_afterwards() -> None:
    talked = _shot("sew-3", "sew", pace="talked over", narration=SEVEN)
    shown = video(_plan(*SHOTS, talked, _shot("end", pace="talked over", narration=SEVEN)))
    assert shown.voice_over_s == pytest.approx(3)


def test_words_that_do_not_fit_the_typed_seconds_are_told() -> None:
    (shown,) = video(
        _plan(_shot("cut", "cut", screen_seconds=5, narration=f"{SEVEN} {SEVEN}"))
    ).shots
    assert shown.too_short_for_words
    assert not any(one.too_short_for_words for one in video(_plan()).shots)


def test_how_fast_a_sped_up_picture_goes_follows_from_the_work() -> None:
    """10 min of sewing less 40 s in real time, in 20 s: 28 times as fast; 30 s of work: not."""
    for minutes, speed in ((10.0, 28), (0.5, 1)):
        time = Minutes(low=minutes, likely=minutes, high=minutes)
        work = (Work(kind="other", minutes=time),)
        steps = tuple(changed(s, work=work) if s.id == "sew" else s for s in STEPS)
        recipe = changed(EPISODE.garments[0], steps=steps)
        shown = video(evaluate(changed(EPISODE, garments=(recipe,))))
        assert [one.speed for one in shown.shots] == [1, 1, 1, speed, 1, 1, 1, 1]


# --- What makes it shorter -------------------------------------------------------------------


def test_speeding_up_halves_and_talking_over_takes_a_quarter_off() -> None:
    """40 s to 20 or 30 s, its 3 s of words left whole."""
    acts = _of(_plan(), "sew-1")
    assert (acts["speed up"].saves_s, acts["talk over"].saves_s) == (20, 10)
    assert acts["to its words"].saves_s == 32  # 8 s are the least of a step
    assert set(_of(_plan(), "sew-2")) == {"to its words", "leave out"}  # sped up already


def test_no_act_makes_a_shot_shorter_than_its_words() -> None:
    """84 words are 36 s."""
    words = " ".join([SEVEN] * 12)
    acts = _of(_plan(*SHOTS, _shot("sew-3", "sew", screen_seconds=40, narration=words)), "sew-3")
    assert {one.saves_s for name, one in acts.items() if name != "leave out"} <= {4.0}
    assert "leave out" not in acts  # it is the last


def test_every_act_saves_what_it_says(smock: Episode) -> None:
    """Done in truth, each of some two hundred acts, the running time falls by just that."""
    for plan in (_plan(), evaluate(smock)):
        for one in shortenings(plan):
            after = evaluate(mended(plan, one.act, one.args))
            saved = plan.running_time_s - after.running_time_s
            assert saved == pytest.approx(one.saves_s), one


def test_what_loses_least_comes_first_and_of_that_what_saves_most() -> None:
    found = [(one.act, one.args[0]) for one in shortenings(_plan())]
    assert found == [
        ("speed up", "sew-1"), ("talk over", "sew-1"),  # no word is lost
        ("speed up", "hem"), ("talk over", "hem"),
        ("to its words", "sew-1"), ("to its words", "sew-2"),
        ("to its words", "look"),
        ("to its words", "cut"), ("speed up", "cut"), ("talk over", "cut"),  # of the one-way step
        ("leave out", "linen"),
        ("leave out", "sew-1"), ("leave out", "sew-2"),
        ("leave out", "hem"),  # a step that is not seen then
    ]  # fmt: skip


def test_what_must_stay_is_never_left_out(smock: Episode) -> None:
    """A one-way step's only shot, the first and last, the only styled one, one of a fitting."""
    fitting = Fitting(id="f", title="F", shot="linen")
    left_out = {o.args[0] for o in shortenings(_plan(fittings=(fitting,))) if o.act == "leave out"}
    assert left_out == {"sew-1", "sew-2", "hem"}
    plan = evaluate(smock)
    for one in shortenings(plan):
        after = evaluate(mended(plan, one.act, one.args))
        seen = {row.shot.step for row in after.shots}
        assert all(row.step.id in seen for row in after.steps if row.step.one_way)


def test_enough_is_done_and_nothing_more() -> None:
    plan = _plan()
    found = shortenings(plan)
    assert [(o.act, o.saves_s) for o in enough(found, 9)] == [("talk over", 10)]
    assert [(o.act, o.saves_s) for o in enough(found, 20)] == [("speed up", 20)]
    for over in range(1, 60):
        picked = enough(found, over)
        saved = sum(one.saves_s for one in picked)
        assert saved >= over
        assert all(saved - one.saves_s < over for one in picked)
        assert len({one.args for one in picked}) == len(picked)


def test_when_all_is_not_enough_all_is_told_and_every_step_keeps_a_shot() -> None:
    plan = _plan()
    picked = enough(shortenings(plan), 1000)
    assert {one.args[0] for one in picked} == {"sew-1", "sew-2", "look", "cut", "linen", "hem"}
    gone = [one.args[0] for one in picked if one.act == "leave out"]
    assert not {"sew-1", "sew-2"} <= set(gone)
    assert enough((), 10) == enough(shortenings(plan), 0) == ()


def test_words_are_cut_by_the_share_that_meets_the_target() -> None:
    """One shot of 98 words, 42 s, and a second of 4 s: to 25 s half of the words must go."""
    shots = (_shot("a", narration=FOURTEEN_SECONDS), _shot("b", kind="cutaway", screen_seconds=4))
    plan = _plan(*shots, brief=Brief(target_seconds=30))
    share = fewer_words(video(plan))
    assert share == pytest.approx(1 - 26 / 42)
    assert fewer_words(video(_plan(*shots, brief=Brief(target_seconds=60)))) is None
    assert fewer_words(video(_plan(*SHOTS))) is None  # its typed seconds alone are too many


# --- What an act changes ---------------------------------------------------------------------


def test_a_shot_left_out_leaves_its_days_and_hands_its_chapter_on() -> None:
    shots = tuple(changed(s, chapter="Sewing") if s.id == "sew-1" else s for s in SHOTS)
    day = ShootDay(day="2027-01-04", shots=("cut", "sew-1", "sew-2"))
    after = shortened(_plan(*shots, shoot_days=(day,)), "leave out", "sew-1")
    assert after.shoot_days[0].shots == ("cut", "sew-2")
    assert [(s.id, s.chapter) for s in after.shots if s.chapter] == [("sew-2", "Sewing")]
    assert not any(step.off_camera for step in after.garments[0].steps)


def test_a_chapter_that_begins_next_keeps_its_own_name() -> None:
    names = {"sew-1": "Sewing", "sew-2": "Neatening"}
    shots = tuple(changed(s, chapter=names.get(s.id, "")) for s in SHOTS)
    after = shortened(_plan(*shots), "leave out", "sew-1")
    assert [s.chapter for s in after.shots if s.chapter] == ["Neatening"]


def test_a_step_without_a_shot_is_done_off_camera_and_nothing_comes_loose() -> None:
    after = shortened(_plan(), "leave out", "hem")
    assert [s.off_camera for s in after.garments[0].steps] == [False, False, True]
    told = {one.sentence for one in evaluate(after).loose_threads}
    assert told <= {one.sentence for one in _plan().loose_threads} | {
        one for one in told if one.startswith("The video runs")
    }


def test_all_that_is_enough_is_done_at_once(smock: Episode) -> None:
    """Ten seconds off, two minutes off, a third off: shots that follow each other go."""
    runs = int(evaluate(smock).running_time_s)
    chapters = tuple(changed(shot, chapter=shot.title) for shot in smock.shots)
    for target in (runs - 10, runs - 120, 2 * runs // 3):
        brief = changed(smock.brief, target_seconds=target)
        plan = evaluate(changed(smock, brief=brief, shots=chapters))
        after = evaluate(with_shortened(plan))
        assert after.running_time_s <= target
        assert not [t for t in after.loose_threads if (t.severity, t.page) == ("must", "shots")]
    assert with_shortened(evaluate(smock)) == smock  # it is not over its target


def test_that_a_shot_is_filmed_already_is_told() -> None:
    shots = tuple(changed(s, filmed=Filmed()) if s.id == "linen" else s for s in SHOTS)
    (one,) = _of(_plan(*shots), "linen").values()
    assert one.loses == "a cutaway and its words, and it is filmed already"


def test_a_shot_that_is_gone_is_said_so() -> None:
    with pytest.raises(NotThereError):
        shortened(_plan(), "leave out", "gone")


def test_an_empty_plan_has_nothing_to_shorten() -> None:
    plan = evaluate(Episode(id="e", title="E", brief=Brief(target_seconds=60)))
    assert shortenings(plan) == ()
    assert video(plan).chapters == ()
    assert math.isclose(video(plan).over_s, -60)
