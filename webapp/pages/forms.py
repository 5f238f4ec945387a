"""Reading forms: every field is read on its own, every error is told, nothing typed is lost."""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, Final

from starlette.datastructures import FormData

from webapp.draft.expressions import LONGEST_TEXT, Names, read
from webapp.draft.recipe import NAME_PATTERN
from webapp.errors import FigureError, TakenOutError, WaitingError
from webapp.pages.bare_numbers import SentForm, asked, other_unit
from webapp.units import System, both, parse_length

Reader = Callable[[str], Any]
Altered = Mapping[tuple[Any, ...], Any]  # by the way there in the plan

_NOTHING: Final[Altered] = {}

LARGEST_FIGURE_MM: Final = 20_000.0

_TYPED_LATE: Final = (
    "Not saved yet: {why} The page now shows it as it stands, with what you typed here."
)
_PRESSED_LATE: Final = (
    "Not done yet: {why} The page now shows it as it stands: press it again if you still want that."
)


_CHOOSE: Final = "Not saved yet: choose beside each field that was changed elsewhere."


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a form and how what was typed in it is read.

    `read` returns the value or raises ValueError with a sentence.
    """

    name: str
    read: Reader
    needed: bool = False  # told when the form does not send it at all


@dataclass(frozen=True)
class Answers:
    """A form as typed, with the values that could be read and the errors of those that could not.

    `errors[""]` belongs to the form as a whole. The form `is_outdated` when the plan was changed
    since its page was shown: then the page tells both what was typed and what the plan has, but for
    the fields that are known as `hers` alone.
    """

    typed: Mapping[str, str] = field(default_factory=dict)
    values: Mapping[str, Any] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    is_outdated: bool = False
    hers: frozenset[str] = frozenset()

    @property
    def status(self) -> int:
        """The HTTP status: 422 when anything must be typed again."""
        return 422 if self.errors else 200

    def failed(self, sentence: str, name: str = "") -> "Answers":
        """The same answers with one more error."""
        return replace(self, errors={**self.errors, name: sentence})

    def outdated(self, why: str, hers: Altered = _NOTHING, others: Altered = _NOTHING) -> "Answers":
        """The same answers, refused because the plan was changed meanwhile.

        Where it is known what she altered, and what there was of what `others` did: a form without
        script sends all its fields, and what she left as it was shown is not hers.
        """
        told = _TYPED_LATE if self.typed else _PRESSED_LATE
        left, own = set(), set()
        for name, value in self.values.items():
            ways = _ways(name, value, hers)
            if ways and not any(way in others for way in ways):
                own.add(name)
            elif not ways and _ways(name, value, others):
                left.add(name)
        return replace(
            self.failed(told.format(why=why)),
            typed={name: self.typed[name] for name in self.typed if name not in left},
            values={name: self.values[name] for name in self.values if name not in left},
            is_outdated=True,
            hers=frozenset(own),
        )


def _ways(name: str, value: Any, altered: Altered) -> list[tuple[Any, ...]]:
    """The ways to what has that value and is called as the field is, whose name may say of what."""
    called = name.partition(" ")[2] or name
    empty = ("", None)
    return [
        way
        for way, stands in altered.items()
        if called in way and (stands == value or (stands in empty and value in empty))
    ]


def needed(fields: Iterable[Field], *names: str) -> tuple[Field, ...]:
    """The fields, those named told when the form does not send them."""
    return tuple(replace(one, needed=True) if one.name in names else one for one in fields)


UNANSWERED: Final = Answers()


def value_shown(answers: Answers | None, name: str, stored: object) -> object:
    """What a field shows: what was typed, while anything of its form is to be mended; else what is
    stored, nothing for None."""
    if answers is not None and answers.errors and name in answers.typed:
        return answers.typed[name]
    return "" if stored is None else stored


def altered_alone(values: Mapping[str, Any], before: Mapping[str, Any]) -> str:
    """The field that alone was altered: what is wrong then is told beside it.

    Empty where several were, or a tick, which has no place for a message.
    """
    altered = [name for name, value in values.items() if value != before.get(name)]
    one = altered[0] if len(altered) == 1 else ""
    return "" if isinstance(values.get(one), bool) else one


def status_of(view: object) -> int:
    """The HTTP status of a page: 422 when any of its forms must be typed again."""
    forms = (value for value in vars(view).values() if isinstance(value, Answers))
    return max((form.status for form in forms), default=200)


def read_form(form: FormData, fields: Iterable[Field]) -> Answers:
    """Read the fields that were sent; a field that was not sent is left alone.

    A bare number is asked about where she who sent it reads by another unit than the field does.
    Without script, she chooses between what she typed and what the plan has with a button at the
    field, and with nothing else: what she will `keep` of the plan counts as not sent; while any is
    open, nothing is saved.
    """
    preferred = form.preferred if isinstance(form, SentForm) else None
    typed: dict[str, str] = {}
    values: dict[str, Any] = {}
    errors: dict[str, str] = {}
    kept = form.getlist("keep")
    for one in fields:
        if one.name in kept:
            if one.needed:
                errors[one.name] = "This is as the plan has it, as you chose."
            continue
        sent = form.get(one.name)
        if not isinstance(sent, str):
            if one.needed:
                typed[one.name], errors[one.name] = "", "Write something here."
            continue
        typed[one.name] = sent.encode("utf-8", "replace").decode()  # what a page can show again
        plain = sent.replace("\r\n", "\n").strip()
        try:
            found = one.read(plain)
        except ValueError as error:
            errors[one.name] = str(error) + other_unit(one.read, plain)
        except FigureError as error:
            errors[one.name] = error.sentence + other_unit(one.read, plain)
        else:
            if question := asked(one.read, plain, preferred):
                errors[one.name] = question
            else:
                values[one.name] = found
    answers = Answers(typed, values, errors)
    left = [name for name in form.getlist("open") if name in typed and name != form.get("mine")]
    if left:
        return replace(
            answers.failed(_CHOOSE), is_outdated=True, hers=frozenset(typed).difference(left)
        )
    return answers


def refuse_gone(form: FormData, fields: Iterable[Field], *kinds: str) -> None:
    """TakenOutError where something is sent for a thing that has no field any more: it would be
    passed over, and told as saved. The names of such fields begin with one of the `kinds`."""
    known = {one.name for one in fields}
    for name in form:
        kind, _, thing = name.partition(" ")
        if thing and kind in kinds and name not in known:
            raise TakenOutError


def text(most: int, *, required: bool = False) -> Reader:
    """Plain text of at most so many characters."""

    def reader(typed: str) -> str:
        if required and not typed:
            raise ValueError("Write something here.")
        if len(typed) > most:
            raise ValueError(f"This is {len(typed):,} characters long; {most:,} is the most.")
        if any((ord(c) < 32 and c not in "\n\t") or "\ud800" <= c <= "\udfff" for c in typed):
            raise ValueError("This holds a character that cannot be printed.")
        return typed

    return reader


def plain_words(typed: str) -> str:
    """A name used inside figures: words of letters and digits, each starting with a letter."""
    name = text(40, required=True)(typed)
    if not re.fullmatch(NAME_PATTERN, name):
        raise ValueError(
            "Use plain words of letters and digits, each starting with a letter, like Left pocket."
        )
    return str(name)


def edge_name(typed: str) -> str:
    """The name of an edge: plain words that a seam does not read as an edge walked backwards."""
    name = plain_words(typed)
    if name.lower().split()[-1] == "backwards":
        raise ValueError("“backwards” at the end says how a seam walks an edge; leave it out.")
    return name


def quotable(typed: str) -> str:
    """A name that a text can quote between braces and a figure of a piece is not taken for."""
    name = text(80, required=True)(typed)
    if any(c in ".{}" for c in name):
        raise ValueError("This name holds no full stop or brace, so that a text can quote it.")
    return str(name)


def whole_number(least: int, most: int, *, required: bool = False) -> Reader:
    """A whole number in a range; empty gives None unless it is required."""

    def reader(typed: str) -> int | None:
        if not typed and not required:
            return None
        if not (typed.isascii() and typed.isdigit()) or len(typed) > 9:
            raise ValueError(f"Write a whole number from {least} to {most}.")
        if not least <= int(typed) <= most:
            raise ValueError(f"{int(typed)} is out of range: from {least} to {most}.")
        return int(typed)

    return reader


def per_cent(most: float) -> Reader:
    """A share in per cent, from 0 to below `most`; a decimal comma is understood."""

    def reader(typed: str) -> float:
        plain = typed.removesuffix("%").strip().replace(",", ".")
        digits = plain.replace(".", "", 1)
        if not (digits.isascii() and digits.isdigit()) or len(plain) > 8:
            raise ValueError(f"Write a number from 0 to {most:g}, in per cent.")
        if not float(plain) < most:
            raise ValueError(f"{plain} % is too much; it must stay under {most:g}.")
        return float(plain)

    return reader


def degrees(most: float) -> Reader:
    """An angle from 0 to `most` degrees; a decimal comma and a degree sign are understood."""

    def reader(typed: str) -> float:
        plain = typed.removesuffix("°").strip().replace(",", ".")
        digits = plain.replace(".", "", 1)
        if not (digits.isascii() and digits.isdigit()) or len(plain) > 8 or float(plain) > most:
            raise ValueError(f"Write a number of degrees from 0 to {most:g}, like 2.")
        return float(plain)

    return reader


def minutes(typed: str) -> float | None:
    """A number of minutes, up to a week; empty gives None."""
    if not typed:
        return None
    plain = typed.removesuffix("min").strip().replace(",", ".")
    digits = plain.replace(".", "", 1)
    if not (digits.isascii() and digits.isdigit()) or len(plain) > 8 or float(plain) > 6000:
        raise ValueError("Write a number of minutes, like 20.")
    return float(plain)


def day(typed: str) -> date | None:
    """A day as the browser sends it (2027-01-15); empty gives None."""
    if not typed:
        return None
    try:
        found = date.fromisoformat(typed)
    except ValueError:
        raise ValueError("Write the day as year-month-day, like 2027-01-15.") from None
    if not 2000 <= found.year <= 2200:
        raise ValueError(f"{found.year} is not a year to publish in.")
    return found


def seconds(least: int, most: int) -> Reader:
    """A running time as minutes and seconds, `18:00` or `18`; empty gives None. In seconds."""

    def reader(typed: str) -> int | None:
        if not typed:
            return None
        minutes, _, rest = typed.partition(":")
        parts = (minutes, rest or "0")
        if (
            not all(p.isascii() and p.isdigit() and len(p) <= 4 for p in parts)
            or int(parts[1]) > 59
        ):
            raise ValueError("Write minutes and seconds, like 18:00.")
        found = int(minutes) * 60 + int(parts[1])
        if not least <= found <= most:
            raise ValueError(f"{typed} is out of range: from {_clock(least)} to {_clock(most)}.")
        return found

    return reader


def _clock(total: int) -> str:
    return f"{total // 60}:{total % 60:02d}"


def length(unit: System, least_mm: float, most_mm: float, *, required: bool = False) -> Reader:
    """A length as typed, with its unit written out; a bare number takes the episode's unit."""

    def reader(typed: str) -> str:
        if not typed and not required:
            return ""
        found = parse_length(typed, unit).mm
        if not least_mm <= found <= most_mm:
            raise ValueError(
                f"“{typed}” is out of range: from {both(least_mm, unit)} to {both(most_mm, unit)}."
            )
        return _with_unit(typed, unit)

    return reader


def figure(unit: System, names: Names, *, share: bool = False, required: bool = True) -> Reader:
    """An expression that comes to a length, or to a share if `share`, with the figures there are.

    A bare number, also one with a minus sign, takes the episode's unit, unless a share is asked
    for.
    """

    def reader(typed: str) -> str:
        if not typed and not required:
            return ""
        if len(typed) > LONGEST_TEXT:
            raise ValueError(f"A figure can be {LONGEST_TEXT} characters long at most.")
        written = typed if share else _with_unit(typed, unit)
        found = read(written)
        try:
            value = found.number(names) if share else found.length_mm(names)
        except WaitingError:  # it only waits for a measure that is not in yet
            return written
        if abs(value) > LARGEST_FIGURE_MM:
            raise ValueError(f"“{typed}” comes to more than any garment needs.")
        return written

    return reader


def one_of(options: Iterable[str]) -> Reader:
    """One of a fixed list of answers."""
    allowed = tuple(options)

    def reader(typed: str) -> str:
        if typed not in allowed:
            raise ValueError("Choose one of the answers offered.")
        return typed

    return reader


def ticked(typed: str) -> bool:
    """A tick box. A hidden field of the same name sends `no` when it is not ticked."""
    return typed == "yes"


def _with_unit(typed: str, unit: System) -> str:
    """The text with the unit added when it is nothing but a number, of either sign."""
    for attempt, written in ((None, typed), (unit, f"{typed} {unit}")):
        try:
            parse_length(typed, attempt, may_be_negative=True)
        except ValueError:
            continue
        return written
    return typed
