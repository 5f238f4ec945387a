"""Why a document is not an episode, in plain sentences, each with its place in the document."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from pydantic import ValidationError
from pydantic_core import ErrorDetails

ARROW: Final = " → "
_LONGEST_QUOTE: Final = 40

# By pydantic's error type. {input} is the value found; the other fields are the error's own.
_SENTENCES: Final[Mapping[str, str]] = {
    "missing": "this is missing.",
    "extra_forbidden": "Seamslate does not know this; check the spelling or take it out.",
    "literal_error": "this must be {expected}, not {input}.",
    "string_type": "this must be text in quotation marks, not {input}.",
    "string_too_short": "this must not be empty.",
    "string_too_long": "this is too long; it can be {max_length} characters at most.",
    "too_long": "this is a list of {actual_length}; {max_length} is the most.",
    "int_type": "this must be a whole number, not {input}.",
    "int_parsing": "this must be a whole number, not {input}.",
    "float_type": "this must be a number, not {input}.",
    "float_parsing": "this must be a number, not {input}.",
    "bool_type": "this must be true or false, not {input}.",
    "tuple_type": "this must be a list in [ ], not {input}.",
    "dict_type": "this must be a group of fields in {{ }}, not {input}.",
    "model_type": "this must be a group of fields in {{ }}, not {input}.",
    "date_type": "this must be a date such as 2026-05-01, not {input}.",
    "date_parsing": "this must be a date such as 2026-05-01, not {input}.",
    "greater_than_equal": "this must be at least {ge:g}, not {input}.",
    "greater_than": "this must be more than {gt:g}, not {input}.",
    "less_than_equal": "this must be at most {le:g}, not {input}.",
    "less_than": "this must be less than {lt:g}, not {input}.",
    "union_tag_invalid": "this must be one of {expected_tags}, not {input}.",
    "union_tag_not_found": "this is missing.",
}
# What a text must look like, by the field it is in.
_SHAPES: Final[Mapping[str, str]] = {
    "id": "an id is made of small letters a to z, digits and hyphens, 64 at most",
    "after": "a step's id is made of small letters a to z, digits and hyphens, 64 at most",
    "edge": "an edge is written with its piece, such as Front.hem",
    "name": "a name here is made of words of letters and digits, with single spaces between",
    "key": "a kept lay's key is made of the digits 0 to 9 and a to f",
}


@dataclass(frozen=True)
class Fault:
    """One thing wrong: its place (`garments → 1 “Smock” → name`, empty at the top), why."""

    place: str
    why: str


def faults(error: ValidationError, document: Any) -> tuple[Fault, ...]:
    """Everything pydantic found wrong with `document`, the parsed JSON."""
    return tuple(_fault(details, document) for details in error.errors(include_url=False))


def one_sentence(found: Sequence[Fault], start: str) -> str:
    """The first fault after `start`, and how many there are besides."""
    first = found[0]
    where = f" at {first.place}" if first.place else ""
    more = f" ({len(found) - 1} more after this.)" if len(found) > 1 else ""
    return f"{start}{where}: {first.why}{more}"


def sentence_of_text(error: ValidationError, text: str, start: str) -> str:
    """The first fault of a stored text after `start`; the text may be no JSON at all."""
    try:
        document = json.loads(text)
    except (ValueError, RecursionError):  # only of a database damaged or edited by hand
        document = None
    return one_sentence(faults(error, document), start)


def place(steps: Sequence[int | str], document: Any) -> str:
    """The way into the document, lists counted from 1 and called by their item's name.

    A step that is not in the document is left out (pydantic puts a union's tag there), unless it
    is the last: a missing field.
    """
    words: list[str] = []
    here = document
    for index, step in enumerate(steps, start=1):
        if isinstance(here, list) and isinstance(step, int) and step < len(here):
            here = here[step]
            words.append(f"{step + 1}{_called(here)}")
        elif isinstance(here, dict) and step in here:
            here = here[step]
            words.append(_short(str(step)))
        elif index == len(steps):
            words.append(_short(str(step)))
    return ARROW.join(words)


def _called(item: Any) -> str:
    name = (item.get("name") or item.get("title")) if isinstance(item, dict) else None
    return f" “{_short(name)}”" if isinstance(name, str) else ""


def _fault(details: ErrorDetails, document: Any) -> Fault:
    kind, context, steps = details["type"], details.get("ctx", {}), details["loc"]
    found = details["input"]
    if kind.startswith("union_tag_"):
        steps = (*steps, context["discriminator"].strip("'"))
        found = context.get("tag")
    if kind == "value_error":
        why = str(context["error"])
    elif kind == "string_pattern_mismatch":
        field = next((step for step in reversed(steps) if isinstance(step, str)), "")
        why = f"{_shown(found)} does not fit: {_SHAPES.get(field, context['pattern'])}."
    elif kind in _SENTENCES:
        why = _SENTENCES[kind].format(**context | {"input": _shown(found)})
    else:
        why = f"{details['msg']}."
    return Fault(place(steps, document), why)


def _shown(value: Any) -> str:
    """The value as the file has it, shortened."""
    if isinstance(value, str):
        return f"“{_short(value)}”"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, dict):
        return "a group of fields"
    return json.dumps(value, default=str)


def _short(text: str) -> str:
    start = text[: _LONGEST_QUOTE + 1]
    shown = "".join(char if char.isprintable() else " " for char in start)
    return shown if len(shown) <= _LONGEST_QUOTE else f"{shown[: _LONGEST_QUOTE - 1]}…"
