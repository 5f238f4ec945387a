"""The filters of the handouts' templates."""

import re

import pytest
from jinja2 import UndefinedError

from webapp.build.work_time import Estimate
from webapp.handouts.templating import (
    about,
    begun,
    between,
    environment,
    per_cent,
    to_steps,
    unbroken,
)


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


def test_a_measurement_breaks_neither_inside_nor_before_its_other_unit() -> None:
    assert unbroken("Mark 72.5 cm (28 1/2 in) down") == (
        'Mark <span class="one">72.5 cm (28 <span class="frac">1/2</span> in)</span> down'
    )
    apart = environment().from_string("{{ 723.9|both_apart }}").render(first_unit="cm")
    assert apart == (
        '<span class="one">72.5 cm</span> '
        '<span class="one">(28 <span class="frac">1/2</span> in)</span>'
    )


@pytest.mark.parametrize(
    ("first", "shown"),
    [
        ("cm", "Sew 1.3 cm (1/2 in) in, from 1 m (1 1/8 yd)"),
        ("in", "Sew 1/2 in (1.3 cm) in, from 1 1/8 yd (1 m)"),
    ],
)
def test_typed_lengths_take_the_order_of_their_sheet(first: str, shown: str) -> None:
    told = environment().from_string("{{ text|unbroken|striptags }}")
    for typed in (
        "Sew 1.3 cm (1/2 in) in, from 1 m (1 1/8 yd)",
        "Sew 1/2 in (1.3 cm) in, from 1 1/8 yd (1 m)",
    ):
        assert told.render(text=typed, first_unit=first) == shown


def test_a_capital_begins_a_name_and_changes_nothing_else() -> None:
    assert begun("left CB edge") == "Left CB edge"


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


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("It weighs 5.5 oz/yd² here", ["5.5 oz/yd²"]),
        ("about 2 h 5 min, 4 % more", ["2 h 5 min", "4 %"]),
        ("Keep 1/8 of it, opened out 1/4.", ["1/8", "1/4"]),
        ("12/10/2027 and/or nothing", []),
    ],
)
def test_what_belongs_together_stays_on_a_line(text: str, kept: list[str]) -> None:
    plain = re.sub(r'<span class="frac">([^<]*)</span>', r"\1", unbroken(text))
    assert re.findall(r'<span class="one">([^<]*)</span>', plain) == kept


def test_only_what_is_a_fraction_is_set_as_one() -> None:
    assert "frac" not in unbroken("A needle 80/12, universal")
    assert unbroken("3 1/2 in").count('class="frac"') == 1


def test_a_step_that_is_named_is_led_to_where_there_is_one() -> None:
    linked = to_steps(unbroken("As in step 4, not step 40 or a misstep 2."), 12)
    assert re.findall(r'<a href="([^"]*)">([^<]*)</a>', linked) == [("#step-4", "step 4")]


def test_a_range_of_minutes_is_rounded_at_both_ends() -> None:
    assert between(Estimate(58.0, 71.0, 128.0)) == "Between 1 h and 2 h 10 min"
    assert between(Estimate(20.0, 20.0, 20.0)) == "Hardly more or less than 20 min"
