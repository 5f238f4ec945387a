"""The filters of the handouts' templates."""

import pytest
from jinja2 import UndefinedError

from webapp.handouts.templating import about, environment, per_cent, unbroken


@pytest.mark.parametrize(
    ("minutes", "shown"),
    [
        (0.3, "about 1 min"),
        (7.4, "about 7 min"),
        (9.6, "about 10 min"),
        (12.4, "about 10 min"),
        (23.4, "about 25 min"),
        (58, "about 1 h"),
        (127, "about 2 h 5 min"),
    ],
)
def test_a_time_is_told_as_a_viewer_plans_it(minutes: float, shown: str) -> None:
    assert about(minutes) == shown


def test_a_measurement_does_not_break_between_its_number_and_its_unit() -> None:
    assert unbroken("Mark 72.5 cm (28 1/2 in) down") == (
        'Mark <span class="one">72.5 cm</span> '
        '<span class="one">(28 <span class="frac">1/2</span> in)</span> down'
    )


def test_text_with_markup_is_escaped_before_it_is_kept_together() -> None:
    assert unbroken("<b>3 cm</b> 'x'") == (
        '&lt;b&gt;<span class="one">3 cm</span>&lt;/b&gt; &#39;x&#39;'
    )


def test_per_cent_has_no_needless_decimals() -> None:
    assert [per_cent(4.0), per_cent(2.5)] == ["4 %", "2.5 %"]


def test_lengths_take_the_first_unit_of_their_sheet() -> None:
    template = environment().from_string("{{ 15.0|allowance }}|{{ 723.9|both }}")
    text = environment().from_string("{{ x|striptags }}")
    shown = template.render(first_unit="in")
    assert text.render(x=shown) == "5/8 in (1.5 cm)|28 1/2 in (72.5 cm)"


def test_a_name_that_does_not_exist_is_an_error() -> None:
    with pytest.raises(UndefinedError):
        environment().from_string("{{ sheet.nothing }}").render()
