"""The episode file: the whole plan as one JSON document (RFC 8259). Text in, text out, no disk."""

import json
import math
import re
from collections import Counter
from collections.abc import Iterator
from typing import Any, Final, NoReturn

from pydantic import ValidationError

from webapp.draft.limits import Beyond
from webapp.errors import EpisodeFileError
from webapp.plan.episode import FILE_VERSION, Episode
from webapp.store.faults import Fault, faults, one_sentence, place
from webapp.store.older import from_kept

LARGEST_BYTES: Final = 5_000_000
MOST_VALUES: Final = 150_000  # an episode of 150 shots, every other filmed, holds some 30,000
LONGEST_LIST: Final = 10_000  # entries; the figures of an edition may be as many
DEEPEST: Final = 30  # an episode nests about ten deep
LONGEST_NUMBER: Final = 40  # characters; no figure of a plan needs as many
_MOST_FAULTS: Final = 1000  # to put into words takes long, and nobody mends as many by hand
# A file from before there were limits may go so far beyond them; a stored plan as far as it likes.
TIMES_THE_LIMIT: Final = 4
_HALF: Final = re.compile("[\ud800-\udfff]")
_IN_THE_FILE: Final = "In the file"

# How Python's words for what is wrong with JSON start, and ours; other faults keep Python's.
_JSON_FAULTS: Final = {
    "Expecting value": "a value is missing or misspelt",
    "Expecting ',' delimiter": "a comma is missing, or a bracket is not closed",
    "Expecting ':' delimiter": "a colon is missing after a name",
    "Expecting property name enclosed in double quotes": "a name in quotation marks is expected",
    "Extra data": "the plan has ended, but more text follows",
    "Unterminated string starting at": "a text starts here and is not closed",
    "Invalid control character at": "a text holds a line break or tab that is not written as \\n",
    "Invalid \\escape": "a backslash is followed by what means nothing",
    "Illegal trailing comma": "a comma is followed by nothing",
}


def to_text(episode: Episode) -> str:
    """The one way an episode is written in the database: equal episodes, equal text."""
    return episode.model_dump_json(warnings=False)


def from_text(text: str, beyond: Beyond | None = None) -> Episode:
    """The episode that `to_text` wrote. pydantic's ValidationError if it does not hold together.

    What is `beyond` its limit is noted there and taken; without it, refused.
    """
    return Episode.model_validate_json(text, strict=True, context=beyond)


def write_episode(episode: Episode) -> str:
    """The episode as a file: stable, indented, every field written out."""
    document = json.loads(to_text(episode))
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def read_episode(text: str | bytes) -> Episode:
    """Read an episode file. EpisodeFileError says what is wrong and where in the file."""
    text = _decoded(text)
    try:
        document = _parsed(text)
        _refuse_what_json_forbids(document)
    except RecursionError as error:
        raise EpisodeFileError(_too_deep()) from error
    _check_version(document)
    beyond = Beyond()
    try:
        episode = from_kept(text, Episode, beyond)
        return episode if beyond.times() <= TIMES_THE_LIMIT else from_text(text)  # which tells it
    except ValidationError as error:
        if (many := error.error_count()) > _MOST_FAULTS:
            raise EpisodeFileError(
                f"This is no episode file: {many:,} things in it are not as an episode has them."
            ) from error
        found = faults(error, document)
        raise EpisodeFileError(one_sentence(found, _IN_THE_FILE)) from error


def json_schema() -> dict[str, Any]:
    """The file's JSON Schema, draft 2020-12.

    The version and a move's kind have a default in Python, but a file must state them.
    """
    schema = Episode.model_json_schema()
    schema["required"].insert(0, "version")
    for part in schema["$defs"].values():
        if "const" in part["properties"].get("kind", {}):
            part.setdefault("required", []).insert(0, "kind")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def _decoded(text: str | bytes) -> str:
    raw = text if isinstance(text, bytes) else text.encode(errors="surrogatepass")
    if len(raw) > LARGEST_BYTES:
        size = len(raw) / 1e6
        raise EpisodeFileError(f"The file is {size:.1f} MB; an episode file is 5 MB at most.")
    try:
        plain = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise EpisodeFileError(
            f"The file is not text in UTF-8: line {line} holds other bytes."
        ) from error
    plain = plain.removeprefix("\ufeff")  # RFC 8259, section 8.1: a reader may ignore it
    if not plain.strip():
        raise EpisodeFileError("The file is empty.")
    return plain


class _Object(dict[str, Any]):
    """A JSON object that knows which name it was given twice."""

    twice: str | None = None


def _object(pairs: list[tuple[str, Any]]) -> _Object:
    made = _Object(pairs)
    if len(made) < len(pairs):
        names = Counter(name for name, _ in pairs)
        made.twice = next(name for name, count in names.items() if count > 1)
    return made


def _number(digits: str) -> float:
    return float(digits) if len(digits) <= LONGEST_NUMBER else math.inf


def _whole_number(digits: str) -> int | float:
    return int(digits) if len(digits) <= LONGEST_NUMBER else math.inf


def _parsed(text: str) -> Any:
    """The document; numbers that are none, or too large for one, become infinite."""
    try:
        return json.loads(
            text,
            object_pairs_hook=_object,
            parse_float=_number,
            parse_int=_whole_number,
            parse_constant=float,
        )
    except json.JSONDecodeError as error:
        ours = (why for start, why in _JSON_FAULTS.items() if error.msg.startswith(start))
        why = next(ours, error.msg)
        raise EpisodeFileError(
            f"This is not an episode file: at line {error.lineno}, column {error.colno}, {why}."
        ) from error


_Path = tuple[int | str, ...]


def _refuse_what_json_forbids(document: Any) -> None:
    """Refuse what Python's reader lets pass (RFC 8259, sections 4, 6 and 8.2)."""
    for count, (path, value) in enumerate(_values(document, ())):
        if count > MOST_VALUES:
            raise EpisodeFileError(
                f"The file holds more than {MOST_VALUES:,} figures and texts; no episode does."
            )
        if isinstance(value, dict | list) and len(value) > LONGEST_LIST:
            _refuse(
                document, path, f"this has {len(value):,} entries; {LONGEST_LIST:,} is the most."
            )
        if len(path) > DEEPEST:
            raise EpisodeFileError(_too_deep())
        if isinstance(value, _Object) and value.twice is not None:
            _refuse(document, (*path, value.twice), "this is given twice.")
        if isinstance(value, float) and not math.isfinite(value):
            _refuse(document, path, "this is not a number an episode can hold.")
        if isinstance(value, str) and not _can_be_written(value):
            _refuse(document, path, "this holds half of a character (a lone surrogate).")


def _values(value: Any, path: _Path) -> Iterator[tuple[_Path, Any]]:
    yield path, value
    if isinstance(value, dict):
        for name, inner in value.items():
            if not _can_be_written(name):
                yield path, name
            yield from _values(inner, (*path, name))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _values(inner, (*path, index))


def _can_be_written(text: str) -> bool:
    return _HALF.search(text) is None


def _refuse(document: Any, path: _Path, why: str) -> NoReturn:
    raise EpisodeFileError(one_sentence([Fault(place(path, document), why)], _IN_THE_FILE))


def _too_deep() -> str:
    return f"The file nests its brackets more than {DEEPEST} deep; no episode does."


def _check_version(document: Any) -> None:
    if not isinstance(document, dict):
        raise EpisodeFileError("This is not an episode file: it should start with {.")
    if "version" not in document:
        raise EpisodeFileError(
            "In the file at version: this is missing, so it is not an episode file."
        )
    version = document["version"]
    if isinstance(version, int) and version > FILE_VERSION:
        raise EpisodeFileError(
            f"This file was written by a newer Seamslate (episode version {version}; "
            f"this one reads up to {FILE_VERSION})."
        )
