"""What mends a loose thread at once does mend it, and nothing else comes loose by it."""

from collections.abc import Callable
from datetime import timedelta

import pytest

from tests.handouts.test_companion_cloth import skirt
from webapp.draft.moves.rectangle import Rectangle
from webapp.draft.recipe import Recipe, SeamNotch
from webapp.errors import NotThereError
from webapp.filming.looks import Look
from webapp.filming.shots import Shot
from webapp.plan.edits import changed, with_choice, with_garment, with_piece, with_step
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.mends import MENDERS, mended, offered
from webapp.plan.results import Mend, Plan
from webapp.plan.said_edits import with_shot_filmed

GARMENT = "lighthouse-smock"
Edit = Callable[[Episode], Episode]


def _mends(plan: Plan, act: str) -> list[Mend]:
    return [mend for thread in plan.loose_threads for mend in thread.mends if mend.act == act]


def _with_words(episode: Episode, words: str) -> Episode:
    step = episode.garments[0].steps[3]
    return with_step(episode, step.id, lambda one: changed(one, words=words))


def _with_a_shot_too_early(episode: Episode) -> Episode:
    """The last shot of a step that waits on others comes first of all."""
    waiting = next(step for step in reversed(episode.garments[0].steps) if step.after)
    shot = next(shot for shot in episode.shots if shot.step == waiting.id)
    return changed(episode, shots=(shot, *(one for one in episode.shots if one != shot)))


def _without_shots_of(episode: Episode, *, one_way: bool) -> Episode:
    steps = episode.garments[0].steps
    step = next(s for s in steps if s.one_way == one_way and not s.off_camera)
    return changed(episode, shots=tuple(shot for shot in episode.shots if shot.step != step.id))


def _with_piece(episode: Episode, name: str, **fields: object) -> Episode:
    return with_piece(episode, GARMENT, name, lambda piece: changed(piece, **fields))


def _with_piece_longer(episode: Episode, name: str) -> Episode:
    """2 cm longer than the piece it is sewn to, from the shoulder down."""
    piece = next(one for one in episode.garments[0].pieces if one.name == name)
    shape = piece.moves[0]
    assert isinstance(shape, Rectangle)
    shape = changed(shape, length=f"({shape.length}) + 2 cm")
    return _with_piece(episode, name, moves=(shape, *piece.moves[1:]))


def _with_deep_hem(episode: Episode) -> Episode:
    piece = next(one for one in episode.garments[0].pieces if one.name == "Front")
    hem = changed(piece.finishes["hem"], allowance="6 cm")
    return _with_piece(episode, "Front", finishes={**piece.finishes, "hem": hem})


def _with_slanting_pocket(episode: Episode) -> Episode:
    slope = {"kind": "slope", "edge": "mouth", "end": "right side", "drop": "4 cm"}
    return with_piece(
        episode, GARMENT, "Pocket", lambda piece: changed(piece, moves=(*piece.moves, slope))
    )


def _folded(episode: Episode) -> Episode:
    cloths = (changed(episode.cloths[0], laid="folded"), *episode.cloths[1:])
    return changed(_with_slanting_pocket(episode), cloths=cloths)


def _first_step(episode: Episode, **fields: object) -> Episode:
    step = next(s for s in episode.garments[0].steps if any(x.step == s.id for x in episode.shots))
    return with_step(episode, step.id, lambda one: changed(one, **fields))


def _without_a_shot_of_a_day(episode: Episode) -> Episode:
    day = changed(episode.shoot_days[0], shots=("gone", *episode.shoot_days[0].shots))
    return changed(episode, shoot_days=(day, *episode.shoot_days[1:]))


def _filmed(episode: Episode) -> Episode:
    """A shot that says how long the front's hem is, filmed."""
    shot = Shot(id="said", title="Said", kind="talking", narration="The hem is {Front.hem}.")
    said = changed(episode, shots=(*episode.shots, shot))
    return with_shot_filmed(evaluate(said), "said", None)


def _filmed_and_changed(episode: Episode) -> Episode:
    return with_choice(_filmed(episode), GARMENT, "body ease", "30 cm")


def _carded_and_changed_back(episode: Episode) -> Episode:
    carded = mended(evaluate(_filmed_and_changed(episode)), "correction card", ("said",))
    ease = next(one.value for one in episode.garments[0].choices if one.name == "body ease")
    return with_choice(carded, GARMENT, "body ease", ease)


def _runs_over(episode: Episode, seconds: int, **fields: object) -> Episode:
    """As many seconds over the target, with these fields of every shot."""
    episode = changed(episode, shots=tuple(changed(shot, **fields) for shot in episode.shots))
    target = int(evaluate(episode).running_time_s) - seconds
    return changed(episode, brief=changed(episode.brief, target_seconds=target))


def _published_soon(episode: Episode) -> Episode:
    """Two days after the last shoot day: too few for the editing."""
    day = episode.shoot_days[-1].day + timedelta(days=3)
    return changed(episode, brief=changed(episode.brief, publish_date=day))


def _styled_without_a_look(episode: Episode) -> Episode:
    look = Look(id="smock", name="The smock with boots")
    shots = tuple(
        changed(shot, look="gone" if shot.kind == "talking" else "") for shot in episode.shots
    )
    return changed(episode, looks=(look,), shots=shots)


CASES: dict[str, Edit] = {
    "both units": lambda e: _with_words(e, "Mark 12 1/4 in along the hem."),
    "live figure": lambda e: _with_words(e, "Mark 12 1/4 in along the hem."),
    "other name": lambda e: _with_words(e, "Turn { Frnt.hem } up and press {Frnt.hem}."),
    "shots in order": _with_a_shot_too_early,
    "new shot": lambda e: _without_shots_of(e, one_way=True),
    "off camera": lambda e: _without_shots_of(e, one_way=False),
    "on camera": lambda e: _first_step(e, off_camera=True, one_way=False),
    "wait no more": lambda e: _first_step(e, after=("gone",)),
    "cut count": lambda e: _with_piece(e, "Sleeve", cut_count=1),
    "left and right": _with_slanting_pocket,
    "cut from": lambda e: _with_piece(e, "Pocket", cloth="Velvet"),
    "ease in": lambda e: _with_piece_longer(e, "Front"),
    "hem alike": _with_deep_hem,
    "lay open": _folded,
    "off the day": _without_a_shot_of_a_day,
    "film again": _filmed_and_changed,
    "correction card": _filmed_and_changed,
    "card out": _carded_and_changed_back,
    "speed up": lambda e: _runs_over(e, 12),
    "talk over": lambda e: _runs_over(e, 5),
    "to its words": lambda e: _runs_over(e, 20),
    "leave out": lambda e: _runs_over(e, 10, screen_seconds=None),
    "publish on": _published_soon,
    "wear": _styled_without_a_look,
}


@pytest.mark.parametrize(("act", "edit"), CASES.items(), ids=CASES)
def test_a_mend_takes_its_thread_away(smock: Episode, act: str, edit: Edit) -> None:
    plan = evaluate(edit(smock))
    before = plan.loose_threads
    told = {thread.sentence for thread in before if _offers(thread.mends, act)}
    assert told
    # Some threads are told of several things: each is mended in its turn.
    for _ in range(10):
        found = _mends(plan, act)
        if not found:
            break
        assert offered(plan, found[0].act, found[0].args) == found[0]
        plan = evaluate(mended(plan, found[0].act, found[0].args))
    left = {thread.sentence for thread in plan.loose_threads}
    assert not left & told
    musts = {t.sentence for t in plan.loose_threads if t.severity == "must"}
    assert not musts - {t.sentence for t in before}


def _offers(mends: tuple[Mend, ...], act: str) -> bool:
    return any(mend.act == act for mend in mends)


@pytest.mark.parametrize("longer", ["Front", "Back"])
def test_easing_in_says_which_side_is_longer_and_by_how_much(smock: Episode, longer: str) -> None:
    plan = evaluate(_with_piece_longer(smock, longer))
    (mend,) = _mends(plan, "ease in")
    assert mend.words == "Ease or gather in 2 cm (13/16 in)"
    (seam,) = (s for s in mended(plan, mend.act, mend.args).garments[0].seams if s.eased_in)
    assert (seam.one[0].edge.partition(".")[0], seam.eased_in) == (longer, "2.0 cm")


def test_a_seam_told_by_notches_does_not_change_its_sides(smock: Episode) -> None:
    def notched(recipe: Recipe) -> Recipe:
        notch = SeamNotch(at="10 cm")
        return changed(recipe, seams=tuple(changed(s, notches=(notch,)) for s in recipe.seams))

    episode = with_garment(smock, GARMENT, notched)
    assert _mends(evaluate(_with_piece_longer(episode, "Front")), "ease in")
    assert not _mends(evaluate(_with_piece_longer(episode, "Back")), "ease in")


def test_hems_that_meet_are_finished_alike_by_either(smock: Episode) -> None:
    plan = evaluate(_with_deep_hem(smock))
    mends = _mends(plan, "hem alike")
    assert [mend.words for mend in mends] == ["Finish Back as Front is", "Finish Front as Back is"]
    depths = [
        {p.name: p.finishes["hem"].allowance for p in mended(plan, m.act, m.args).garments[0].pieces
         if p.name in ("Front", "Back")}
        for m in mends
    ]  # fmt: skip
    assert depths[0] == {"Front": "6 cm", "Back": "6 cm"}
    assert depths[1]["Front"] == depths[1]["Back"] != "6 cm"


def test_a_caution_is_added_once(smock: Episode) -> None:
    step = smock.garments[0].steps[0]
    once = mended(evaluate(smock), "caution", (step.id, "flame"))
    twice = mended(evaluate(once), "caution", (step.id, "flame"))
    assert once == twice
    assert once.garments[0].steps[0].cautions.count("flame") == 1


def test_another_name_is_written_wherever_the_text_quotes_the_old_one(smock: Episode) -> None:
    plan = evaluate(CASES["other name"](smock))
    (mend,) = set(_mends(plan, "other name"))
    after = mended(plan, mend.act, mend.args)
    assert after.garments[0].steps[3].words == "Turn {Front.hem} up and press {Front.hem}."
    assert mend.words == "Write {Front.hem}"


def test_figures_in_the_texts_of_other_cloths_are_told_and_mended(smock: Episode) -> None:
    episode = changed(
        smock,
        other_cloths=(
            {"name": "Wool", "instead_of": smock.cloths[0].name, "effect": "{Frnt.hem} of it."},
        ),
    )
    plan = evaluate(episode)
    (thread,) = [one for one in plan.loose_threads if one.page == "other-cloths"]
    assert thread.sentence.startswith("Wool, what changes, quotes {Frnt.hem}")
    (mend,) = thread.mends
    after = mended(plan, mend.act, mend.args)
    assert after.other_cloths[0].effect == "{Front.hem} of it."


def test_shots_that_come_too_early_keep_their_order_and_all_others_theirs(smock: Episode) -> None:
    """By hand: b waits on a; both shots of b go behind a's last, the cutaway stays in its place."""
    steps = ({"id": "a", "name": "A"}, {"id": "b", "name": "B", "after": ("a",)})
    episode = with_garment(smock, GARMENT, lambda recipe: changed(recipe, steps=steps))
    made = [("b1", "b"), ("c", ""), ("b2", "b"), ("a1", "a"), ("b3", "b")]
    shots = [Shot(id=i, title=i, step=step, kind="step" if step else "cutaway") for i, step in made]
    plan = evaluate(changed(episode, shots=tuple(shots)))
    (mend,) = _mends(plan, "shots in order")
    assert mend.words == "Move 2 shots behind shot 4"
    after = mended(plan, mend.act, mend.args)
    assert [shot.id for shot in after.shots] == ["c", "a1", "b1", "b2", "b3"]


def test_opening_the_cloth_out_mends_the_size_it_does_not_hold() -> None:
    episode = skirt()
    without_xl = changed(episode, sizes=tuple(b for b in episode.sizes if b.name != "XL"))
    plan = evaluate(without_xl)
    (mend,) = _mends(plan, "lay open")
    after = evaluate(mended(plan, mend.act, mend.args))
    assert not [t for t in after.loose_threads if "cannot be cut from" in t.sentence]


def test_a_thread_that_is_gone_is_not_mended(smock: Episode) -> None:
    plan = evaluate(CASES["shots in order"](smock))
    (mend, *_) = _mends(plan, "shots in order")
    with pytest.raises(NotThereError, match="not there any more, so nothing was changed"):
        offered(evaluate(smock), mend.act, mend.args)
    gone = {
        "both units": ("shot", smock.shots[0].id, "narration", "12 in"),
        "live figure": ("shot", smock.shots[0].id, "narration", "12 in", "Front.hem"),
        "other name": ("shot", smock.shots[0].id, "narration", "Frnt.hem", "Front.hem"),
        "shots in order": ("gone", smock.shots[0].step),
        "new shot": ("gone",),
        "off camera": ("gone",),
        "on camera": ("gone",),
        "wait no more": ("gone", "x"),
        "caution": ("gone", "flame"),
        "cut count": (GARMENT, "Gone", "2"),
        "left and right": (GARMENT, "Gone"),
        "cut from": (GARMENT, "Gone", "Main cloth"),
        "ease in": (GARMENT, "Gone"),
        "hem alike": (GARMENT, "Gone", "Back", "hem"),
        "lay open": ("Gone",),
        "film again": ("gone",),
        "correction card": (smock.shots[0].id,),
        "card out": (smock.shots[0].id,),
        "off the day": ("2020-02-29", smock.shots[0].id),
        "speed up": ("gone",),
        "talk over": ("gone",),
        "to its words": ("gone",),
        "leave out": ("gone",),
        "wear": ("gone", ""),
    }
    for act, args in gone.items():
        with pytest.raises(NotThereError):
            mended(evaluate(smock), act, args)


def test_every_act_there_is_was_tried() -> None:
    assert {*CASES, "caution"} == set(MENDERS)
