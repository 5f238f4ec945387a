"""The usual cautions."""

from typing import get_args

from webapp.draft.construction import Caution, Step, Work
from webapp.handouts.cautions import CAUTIONS, cautions_for


def test_every_caution_a_step_can_name_has_its_words_and_their_source() -> None:
    assert set(CAUTIONS) == set(get_args(Caution))
    for text in CAUTIONS.values():
        assert text.words.endswith(".")
        assert text.source


def test_rules_are_named_as_the_place_to_look_and_local_rules_come_first() -> None:
    # Read at tukes.fi, cpsc.gov and ecfr.gov: EN 14682 and 16 CFR 1120 on cords, 16 CFR 1501 on
    # small parts, 16 CFR 1615 and 1616 on sleepwear.
    for caution, rule in (
        ("cords", "EN 14682"),
        ("cords", "16 CFR 1120"),
        ("small parts", "16 CFR 1501"),
        ("flame", "16 CFR 1615"),
    ):
        look_up = CAUTIONS[caution].look_up  # type: ignore[index]
        assert rule in look_up
        assert look_up.startswith("The rules where you live come first.")


def test_work_brings_its_caution_whether_or_not_the_step_names_it() -> None:
    step = Step(id="cut-it", name="Cut it", work=(Work(kind="cut"), Work(kind="press")))
    assert [text.title for text in cautions_for([step])] == ["Blades", "Iron"]


def test_steps_without_danger_have_no_cautions() -> None:
    assert cautions_for([Step(id="look", name="Look", work=(Work(kind="other"),))]) == ()
