"""The one Jinja2 environment of the handouts.

Typed text is text: everything is escaped. Lengths come in as mm and are shown in both units, the
episode's first unit in front; a measurement never breaks between its number and its unit.
"""

import re
from functools import cache
from typing import Any, Final, Protocol

from jinja2 import Environment, FileSystemLoader, StrictUndefined, pass_context
from jinja2.runtime import Context
from markupsafe import Markup, escape

from webapp import units
from webapp.build.work_time import Estimate
from webapp.settings import files_dir
from webapp.units import System

# A figure with its unit: 28 1/2 in, 72.5 cm, 1 3/8 yd, 5.5 oz/yd², 2 h 5 min, 4 %; or 1/8 alone.
_NUMBER: Final = r"\d+(?:[.,]\d+)?(?: \d+)?(?:/\d+)?"
_UNIT: Final = r"(?:(?:oz/yd²|g/m²|%|°)|(?:in|yd|mm|cm|m|h(?: \d+ min)?|min)\b)"
_MEASUREMENT: Final = re.compile(
    rf"\(?\b{_NUMBER} {_UNIT}\)?|(?<![\d/.,])[1-9]\d?/[1-9]\d?(?![\d/.,]*\d)"
)
# With the same in the other unit behind it.
_TOGETHER: Final = re.compile(rf"(?:{_MEASUREMENT.pattern})(?: \({_NUMBER} {_UNIT}\))?")
_STEP: Final = re.compile(r"\b[Ss]tep (\d{1,4})\b(?![.,/]\d)")
_FRACTION: Final = re.compile(r"(\d+)/(\d+)")


class Sheet(Protocol):
    """What every handout hands to its template."""

    @property
    def first_unit(self) -> System:
        """The unit that stands first."""


def render(template: str, sheet: Sheet) -> str:
    """The template filled with `sheet`, its only data."""
    return environment().get_template(template).render(sheet=sheet, first_unit=sheet.first_unit)


@cache
def environment() -> Environment:
    """Templates below templates/; a name that does not exist is an error, never a blank."""
    made = Environment(
        loader=FileSystemLoader(files_dir("templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {
        "begun": begun,
        "both": both,
        "both_apart": both_apart,
        "allowance": allowance,
        "to_buy": to_buy,
        "to_buy_apart": to_buy_apart,
        "unbroken": in_order,
        "about": about,
        "between": between,
        "per_cent": per_cent,
        "sentence": sentence,
        "to_steps": to_steps,
        "the": the,
    }
    return made


@pass_context
def both(context: Context, mm: float) -> Markup:
    """A length in both units, as sentences and drawings show it."""
    return unbroken(units.both_as_cut(mm, context["first_unit"]))


@pass_context
def both_apart(context: Context, mm: float) -> Markup:
    """The same for a narrow column, where the second may stand below the first."""
    return _apart(units.both_as_cut(mm, context["first_unit"]))


@pass_context
def allowance(context: Context, mm: float) -> Markup:
    """A seam or hem allowance as the trade's paired figures."""
    return unbroken(units.both(mm, context["first_unit"], allowance=True))


@pass_context
def to_buy(context: Context, purchase: Any) -> Markup:
    """A length of cloth to buy, metres and yards."""
    return unbroken(_bought(context, purchase))


@pass_context
def to_buy_apart(context: Context, purchase: Any) -> Markup:
    """The same for a narrow column, where the second may stand below the first."""
    return _apart(_bought(context, purchase))


def _bought(context: Context, purchase: Any) -> str:
    pair = [purchase.metres, purchase.yards]
    first, second = pair if context["first_unit"] == "cm" else reversed(pair)
    return f"{first} ({second})"


def the(name: str) -> str:
    """A garment as a sentence calls it: `the Lighthouse Smock`, also when that is its name."""
    return f"the {re.sub(r'(?i)^the ', '', name)}"


def begun(text: str) -> str:
    """The text with a capital at its beginning, the rest as it was typed: `Left CB edge`."""
    return f"{text[:1].upper()}{text[1:]}"


@pass_context
def in_order(context: Context, text: str) -> Markup:
    """Typed text, unbroken: `1.3 cm (1/2 in)` is typed with one unit in front for either."""
    return unbroken(units.in_order(text, context["first_unit"]))


def unbroken(text: str) -> Markup:
    """Text whose measurements stay on one line with their pairs, their fractions set as such."""
    return Markup(_TOGETHER.sub(_one, str(escape(text))))


def _apart(text: str) -> Markup:
    """The same, where a pair may be parted."""
    return Markup(_MEASUREMENT.sub(_one, str(escape(text))))


def _one(found: re.Match[str]) -> str:
    set_ = _FRACTION.sub(_fraction, found[0])
    return f'<span class="one">{set_}</span>'


def _fraction(found: re.Match[str]) -> str:
    """Set as a fraction where it is one: 80/12 is the size of a needle."""
    if int(found[1]) < int(found[2]):
        return f'<span class="frac">{found[0]}</span>'
    return found[0]


def to_steps(text: Markup, count: int) -> Markup:
    """“Step 4” in a text leads to it, where there are so many steps."""

    def led(found: re.Match[str]) -> str:
        if not 1 <= int(found[1]) <= count:
            return found[0]
        return f'<a href="#step-{found[1]}">{found[0]}</a>'

    return Markup(_STEP.sub(led, str(text)))


def about(minutes: float) -> str:
    """A time as a viewer plans it: to the minute below ten, to five minutes from there.

    >>> about(23.4), about(127)
    ('about 25 min', 'about 2 h 5 min')
    """
    return f"about {_clock(minutes)}"


def between(minutes: Estimate) -> str:
    """The least and the most that a viewer may take, rounded as `about` does."""
    low, high = _clock(minutes.low), _clock(minutes.high)
    return f"Between {low} and {high}" if low != high else f"Hardly more or less than {low}"


def _clock(minutes: float) -> str:
    whole = max(1, round(minutes)) if minutes < 10 else 5 * round(minutes / 5)
    hours, rest = divmod(whole, 60)
    parts = [f"{hours} h"] * bool(hours) + [f"{rest} min"] * bool(rest)
    return " ".join(parts)


def per_cent(value: float) -> str:
    """A percentage without needless decimals."""
    return f"{value:g} %"


def sentence(text: str) -> str:
    """A text typed as a line, ended as a sentence that others follow.

    >>> sentence("Washed linen"), sentence("Is it linen?")
    ('Washed linen.', 'Is it linen?')
    """
    text = text.rstrip()
    return text if not text or text[-1] in ".!?…:;" else f"{text}."
