"""A new shot comes where its step is built."""

from webapp.draft.construction import Step, Work
from webapp.draft.recipe import Recipe
from webapp.filming.shots import Shot
from webapp.plan.episode import Episode
from webapp.plan.new_shot import with_new_shot

STEPS = (
    Step(id="cut", name="Cut"),
    Step(id="sew", name="Sew", after=("cut",), work=(Work(kind="machine"),)),
    Step(id="hem", name="Hem", after=("sew",)),
)


def _episode(*shots: tuple[str, str]) -> Episode:
    made = tuple(
        Shot(id=f"{step or 'talk'}-{number}", step=step, title=step or "Talk", place=place)
        for number, (step, place) in enumerate(shots)
    )
    garment = Recipe(id="g", name="G", steps=STEPS)
    return Episode(id="e", title="E", garments=(garment,), shots=made)


def _titles(episode: Episode, step: str) -> list[str]:
    after = with_new_shot(episode, {"title": "NEW", "step": step})
    return [shot.title for shot in after.shots]


def test_after_the_other_shots_of_its_step() -> None:
    episode = _episode(("cut", "Table"), ("sew", "Table"), ("sew", "Table"), ("hem", "Table"))
    assert _titles(episode, "sew") == ["cut", "sew", "sew", "NEW", "hem"]


def test_after_the_nearest_step_before_it_that_has_a_shot() -> None:
    assert _titles(_episode(("cut", "T"), ("hem", "T")), "sew") == ["cut", "NEW", "hem"]


def test_before_the_steps_that_come_later_when_nothing_comes_earlier() -> None:
    assert _titles(_episode(("", "Window"), ("hem", "T")), "cut") == ["Talk", "NEW", "hem"]


def test_at_the_end_without_a_step() -> None:
    after = with_new_shot(_episode(("cut", "T")), {"title": "NEW", "step": ""})
    assert after.shots[-1].title == "NEW"
    assert after.shots[-1].kind == "talking"


def test_lit_and_worn_as_the_last_of_its_kind_from_its_place() -> None:
    shots = (
        Shot(id="a", step="sew", title="A", place="At the machine", light="lamps", look="apron"),
        Shot(id="b", step="cut", title="B", place="Over the table"),
        Shot(id="talk", kind="talking", title="T", place="Over the table", look="smock"),
    )
    garment = Recipe(id="g", name="G", steps=STEPS)
    episode = Episode(id="e", title="E", garments=(garment,), shots=shots)

    def added(step: str, **fields: str) -> Shot:
        after = with_new_shot(episode, {"title": "NEW", "step": step, **fields})
        return next(shot for shot in after.shots if shot.title == "NEW")

    assert (added("sew").light, added("sew").look) == ("lamps", "apron")
    assert (added("hem").light, added("hem").look) == ("daylight", "")  # over the table
    assert (added("").look, added("").kind) == ("smock", "talking")
    assert added("", look="apron").look == "apron"


def test_talking_needs_quiet_and_hands_at_work_do_not() -> None:
    for step, quiet in (("", True), ("cut", False)):
        assert with_new_shot(_episode(), {"title": "NEW", "step": step}).shots[0].quiet is quiet


def test_from_the_place_its_step_was_filmed_from_or_is_usually_filmed_from() -> None:
    filmed = with_new_shot(_episode(("cut", "Harbour wall")), {"title": "NEW", "step": "cut"})
    usual = with_new_shot(_episode(), {"title": "NEW", "step": "sew"})
    assert filmed.shots[-1].place == "Harbour wall"
    assert usual.shots[-1].place == "At the machine"
