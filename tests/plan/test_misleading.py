"""What would mislead someone with scissors in hand, and what would not."""

from collections.abc import Callable

import pytest

from webapp.draft.construction import EdgeUse, Step, Work
from webapp.draft.recipe import Body, Choice, PieceRecipe, Recipe, Seam
from webapp.filming.said import said
from webapp.filming.shots import Filmed, Shot
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.misleading import MISLEADING, misleading_threads
from webapp.plan.print_choices import PrintChoices

BAG = Recipe(
    id="bag",
    name="Bag",
    choices=(Choice(name="width", value="30 cm"),),
    pieces=(
        PieceRecipe.model_validate(
            {
                "name": "Side",
                "cut_count": 2,
                "moves": [{"kind": "rectangle", "width": "width", "length": "40 cm"}],
            }
        ),
    ),
    steps=(Step(id="sew", name="Sew the sides", words="Sew {Side.length}."),),
)
EPISODE = Episode(id="bag", title="A bag", garments=(BAG,))
Edit = Callable[[Episode], Episode]
LARGE = Body(name="Large", measures={})


def _bag(**fields: object) -> Edit:
    return lambda episode: changed(episode, garments=(changed(BAG, **fields),))


def _seam(one: str, other: str) -> Seam:
    return Seam(name="edge", one=(EdgeUse(edge=one),), other=(EdgeUse(edge=other),))


def _said_shorter(episode: Episode) -> Episode:
    filmed = Filmed(said=(said("Side.length", 360.0),))
    shot = Shot(id="one", title="One", kind="talking", narration="{Side.length}", filmed=filmed)
    return changed(episode, shots=(shot,))


MISLEAD: dict[str, tuple[Edit, str]] = {
    "not drawn": (_bag(choices=()), "width"),
    "edges differ": (_bag(seams=(_seam("Side.left side", "Side.hem"),)), "edge: Side left side is"),
    "missing figure": (
        _bag(steps=(Step(id="sew", name="Sew", words="Sew {Side.lenght}."),)),
        "which does not exist",
    ),
    "waits in a circle": (
        _bag(steps=(Step(id="a", name="A", after=("b",)), Step(id="b", name="B", after=("a",)))),
        "waits on",
    ),
    "stale figure": (_said_shorter, "says Side length is 36 cm"),
}


@pytest.mark.parametrize("case", MISLEAD)
def test_what_is_cut_wrong_by_the_sheet_misleads(case: str) -> None:
    edit, sentence = MISLEAD[case]
    plan = evaluate(edit(EPISODE))
    found = misleading_threads(plan)
    assert any(sentence in one.sentence for one in found), [one.sentence for one in found]
    assert set(found) <= {one for one in plan.loose_threads if one.severity == "must"}


def test_what_holds_together_misleads_nobody() -> None:
    assert misleading_threads(evaluate(EPISODE)) == ()


def test_filming_and_times_are_no_business_of_the_viewer() -> None:
    """A step whose time is unknown, that nothing films: grave, and no cloth is spoilt by it."""
    lost = Work.model_validate({"kind": "cut", "pieces": ("Cape",)})
    step = Step(id="cut", name="Cut", one_way=True, work=(lost,))
    shot = Shot(id="gone", title="Gone", kind="step", step="no-such-step")
    plan = evaluate(changed(_bag(steps=(step,))(EPISODE), shots=(shot,)))
    assert [one.page for one in plan.loose_threads if one.severity == "must"] == [
        "build",
        "shots",
        "shots",
    ]
    assert misleading_threads(plan) == ()


def test_a_size_misleads_where_it_is_printed() -> None:
    """A width that only the body on camera has: the further size cannot be drawn."""
    garment = changed(BAG, choices=(Choice(name="width", value="hip / 3"),), measures=("hip",))
    body = Body(name="Wren", measures={"hip": "90 cm"})
    episode = changed(EPISODE, garments=(garment,), body=body, sizes=(LARGE,))
    for chosen, misleads in (((), True), (("large",), True), (("Wren",), False)):
        printed = changed(episode, print_choices=PrintChoices(sizes=chosen))
        assert bool(misleading_threads(evaluate(printed))) == misleads


def test_each_rule_stands_once() -> None:
    assert len(set(MISLEADING)) == len(MISLEADING)
