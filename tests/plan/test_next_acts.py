"""What to do next: the first act of plans from nothing to done, and where each leads."""

from datetime import date, timedelta

import pytest

from tests.demo_documents import EPISODES, SMOCK
from tests.specimens import WREN, starter
from webapp.filming.shoot_days import ShootDay, told_day
from webapp.filming.shots import Filmed
from webapp.pages.places import address
from webapp.plan.copying import copied
from webapp.plan.editions import with_edition
from webapp.plan.edits import changed
from webapp.plan.episode import Brief, Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.next_acts import next_acts
from webapp.plan.shopping import not_bought, shopping
from webapp.plan.starters import episode_from
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode
from webapp.store.starters import starters

TODAY = date(2027, 3, 1)
NEW = Episode(id="new", title="New")
COWL = changed(episode_from(starter("tube-cowl"), "Cowl", "cowl"), body=WREN)
TOLD = changed(
    COWL,
    shots=tuple(changed(shot, narration="Said.", screen_seconds=20) for shot in COWL.shots),
    brief=Brief(publish_date=TODAY + timedelta(days=90)),
)


def _acts(episode: Episode, today: date = TODAY) -> list[str]:
    return [act.words for act in next_acts(evaluate(episode), today)]


def test_an_empty_episode_begins_with_its_garment_and_nothing_else() -> None:
    assert _acts(NEW) == ["Choose what is to be made"]


def test_a_starter_asks_for_the_measures_it_needs_and_no_others() -> None:
    episode = episode_from(starter("drop-shoulder-smock"), "Smock", "smock")
    first = next_acts(evaluate(episode), TODAY)[0]
    assert first.words == "Measure the body: bust, hip, head and upper arm"
    assert (first.place.page, first.place.item) == ("brief", "bust")


@pytest.mark.parametrize("recipe", starters(), ids=lambda recipe: recipe.id)
def test_every_starter_on_a_body_goes_on_to_the_words_of_its_shots(recipe: object) -> None:
    episode = episode_from(starter(recipe.id), "X", "x")  # type: ignore[attr-defined]
    plan = evaluate(changed(episode, body=WREN))
    first = next_acts(plan, TODAY)[0]
    bare = [shot for shot in episode.shots if not shot.narration and shot.kind != "styling"]
    assert first.words == f"Write what is said in {len(bare)} shots"
    assert address(plan, first.place)[0].endswith(f"#shot-{bare[0].id}")


def test_a_shot_that_is_filmed_needs_no_words_any_more() -> None:
    episode = changed(episode_from(starter("tube-cowl"), "X", "x"), body=WREN)
    one = next(shot for shot in episode.shots if shot.kind == "step")
    shots = tuple(
        changed(shot, filmed=Filmed()) if shot.id == one.id else shot for shot in episode.shots
    )
    count = sum(shot.kind == "step" for shot in episode.shots)
    told = [act.words for act in next_acts(evaluate(changed(episode, shots=shots)), TODAY)]
    assert f"Write what is said in {count - 1} shots" in told


def test_a_fresh_copy_asks_for_its_title_and_whom_it_is_for_first() -> None:
    first = next_acts(evaluate(copied(EPISODES[SMOCK], "Smock (copy)", "c", None)), TODAY)[0]
    assert (first.place.page, first.place.item) == ("brief", "title")
    assert "title" in first.words
    renamed = copied(EPISODES[SMOCK], "Smock for Ann", "c", None)
    assert next_acts(evaluate(renamed), TODAY)[0].words != first.words


@pytest.mark.parametrize("name", ["episode-3-lighthouse-smock", "episode-4-market-day-skirt"])
def test_a_planned_episode_is_bought_for_then_filmed_then_printed(name: str) -> None:
    episode = read_episode((files_dir("demo_data") / f"{name}.json").read_bytes())
    first_day = min(day.day for day in episode.shoot_days)
    plan = evaluate(episode)
    lines = not_bought(plan)
    words = _acts(episode, first_day)[-3:]
    assert words[0] == f"Buy {len(lines)} things on the list"
    assert words[1].startswith("Film on ")
    assert words[2] == "Number the first edition of the companion"
    bought = changed(episode, bought=tuple(line.key for line in lines))
    assert not [one for one in _acts(bought, first_day) if one.startswith("Buy")]


def test_what_is_still_to_buy_is_what_the_list_has_unticked() -> None:
    plan = evaluate(COWL)
    keys = [line.key for line in shopping(plan).to_buy]
    assert [line.key for line in not_bought(plan)] == keys
    assert len(keys) > 1
    ticked = evaluate(changed(plan.episode, bought=(keys[0],)))
    assert [line.key for line in not_bought(ticked)] == keys[1:]
    day = TODAY + timedelta(days=7)
    all_on_one = ShootDay(day=day, shots=tuple(one.id for one in TOLD.shots))
    but_needles = tuple(key for key in keys if not key.endswith("needles"))
    ready = evaluate(changed(TOLD, bought=but_needles, shoot_days=(all_on_one,)))
    (buy,) = (act for act in next_acts(ready, TODAY) if act.words == "Buy 1 thing on the list")
    assert buy.why == "Not ticked yet: Machine needles."


def test_loose_threads_are_counted_and_the_first_is_told_once_and_whole() -> None:
    """By hand: two shots quote a figure that the draft has not."""
    wrong = "Cut it {Nobody.hem} wide, along the chalk line that was drawn in the step before it."
    shots = tuple(
        changed(one, narration=wrong) if place < 2 else one for place, one in enumerate(TOLD.shots)
    )
    plan = evaluate(changed(TOLD, shots=shots))
    first = next(one for one in plan.loose_threads if one.severity == "must")
    mend = next(one for one in next_acts(plan, TODAY) if one.words.startswith("Mend"))
    assert mend.words == "Mend 2 loose threads"
    assert mend.why == f"The first: {first.sentence}"


def test_a_day_gone_by_is_to_be_marked_before_anything_is_planned() -> None:
    yesterday = TODAY - timedelta(days=1)
    ids = tuple(shot.id for shot in TOLD.shots)
    words = _acts(changed(TOLD, shoot_days=(ShootDay(day=yesterday, shots=ids),)))
    grave = [one for one in words if one.startswith("Mend")]
    assert words[len(grave)] == f"Say what was filmed on {told_day(yesterday)}"


def test_filmed_and_edited_leaves_only_the_edition_and_then_nothing() -> None:
    shots = tuple(changed(shot, filmed=Filmed()) for shot in TOLD.shots)
    filmed = changed(TOLD, shots=shots)
    words = _acts(filmed)
    assert "Edit the video" in words
    assert not [one for one in words if one.startswith(("Film", "Buy", "Plan the"))]
    done = changed(filmed, brief=changed(filmed.brief, done=("editing",)))
    (last,) = _acts(done)
    assert last == "Number the first edition of the companion"
    numbered = with_edition(evaluate(done), TODAY)
    assert _acts(numbered) == []


def test_an_edition_that_is_out_of_date_is_to_be_numbered_anew() -> None:
    out = with_edition(evaluate(COWL), TODAY)
    (garment,) = out.garments
    choices = tuple(
        changed(choice, value="60 cm") if choice.name == "cowl ease" else choice
        for choice in garment.choices
    )
    wider = changed(out, garments=(changed(garment, choices=choices),))
    assert "Number edition 2 of the companion" in _acts(wider)
    assert "Number edition 2 of the companion" not in _acts(out)


def test_a_piece_without_a_shape_is_to_be_drawn() -> None:
    cowl = starter("tube-cowl")
    blank = changed(cowl, pieces=(changed(cowl.pieces[0], moves=()),), seams=(), checks=())
    episode = changed(NEW, garments=(blank,), body=WREN)
    first = next_acts(evaluate(episode), TODAY)[0]
    assert first.words == "Draw Cowl"
    assert (first.place.page, first.place.piece) == ("draft", "Cowl")
