"""What was chosen for printing, and what stands in for what was not."""

import pytest

from webapp.draft.recipe import Body
from webapp.plan.edits import as_printed, with_bodies
from webapp.plan.episode import Episode
from webapp.plan.print_choices import PrintChoices


def episode(**choices: object) -> Episode:
    return Episode(
        id="smock",
        title="Smock",
        body=Body(name="As filmed", measures={"bust": "92 cm"}),
        sizes=(Body(name="Large", measures={"bust": "104 cm"}),),
        print_choices=PrintChoices.model_validate(choices),
    )


def test_nothing_chosen_prints_the_episode_as_it_is() -> None:
    assert as_printed(episode()) == episode()


def test_the_size_and_the_unit_chosen_are_printed() -> None:
    printed = as_printed(episode(drawn_for="large", first_unit="in"))
    assert (printed.body.name, printed.first_unit) == ("Large", "in")
    assert [body.name for body in printed.sizes] == ["As filmed"]


def test_a_size_that_is_gone_is_passed_over() -> None:
    assert as_printed(episode(drawn_for="Small")).body.name == "As filmed"


def test_the_paper_goes_with_the_unit_unless_it_was_chosen() -> None:
    assert PrintChoices().paper_for("cm") == "a4"
    assert PrintChoices().paper_for("in") == "letter"
    assert PrintChoices(paper="a4").paper_for("in") == "a4"


def test_a_sheet_without_a_width_is_as_wide_as_a0() -> None:
    assert PrintChoices().roll_width_mm("cm") == 841  # ISO 216: A0 is 841 × 1189 mm
    assert PrintChoices(roll_width="36").roll_width_mm("in") == pytest.approx(914.4)


@pytest.mark.parametrize("width", ["10 cm", "3 m", "wide"])
def test_a_roll_that_no_printer_takes_is_refused(width: str) -> None:
    with pytest.raises(ValueError, match=r"."):
        PrintChoices(roll_width=width).roll_width_mm("cm")


def test_what_is_printed_follows_a_size_that_is_renamed_and_drops_one_taken_out() -> None:
    chosen = episode(drawn_for="large", sizes=("As filmed", "Large"))
    renamed = with_bodies(chosen, chosen.body, [Body(name="Size 16")])
    assert renamed.print_choices.drawn_for == "Size 16"
    assert renamed.print_choices.sizes == ("As filmed", "Size 16")
    without = with_bodies(renamed, renamed.body, [])
    assert without.print_choices.drawn_for == ""
    assert without.print_choices.sizes == ("As filmed",)
