"""Episode files: what is written is read back equal; what is broken is refused, naming its place.

Outside: RFC 8259 (JSON) for what no JSON text may hold, JSON Schema draft 2020-12 (checked by the
library jsonschema) for the exported document.
"""

import json
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator, FormatChecker

from webapp.errors import EpisodeFileError
from webapp.filming.shots import Filmed, SaidFigure
from webapp.plan.episode import FILE_VERSION, Episode
from webapp.store.episode_file import LARGEST_BYTES, json_schema, read_episode, write_episode

# --- Out and in again ------------------------------------------------------------------------


def test_an_exported_episode_is_imported_equal(smock: Episode) -> None:
    text = write_episode(smock)
    assert read_episode(text) == smock
    assert read_episode(text.encode()) == smock
    assert (
        read_episode(b"\xef\xbb\xbf" + text.encode()) == smock
    )  # RFC 8259, 8.1: a mark is ignored


def test_the_file_is_stable_and_readable(smock: Episode) -> None:
    text = write_episode(smock)
    assert write_episode(read_episode(text)) == text
    assert text.startswith('{\n  "version": 1,\n  "id": "lighthouse-smock",')
    assert text.endswith("}\n")
    assert "The Lighthouse Smock — “½ a day”" in text


@settings(derandomize=True, max_examples=60, deadline=None)
@given(title=st.text(min_size=1, max_size=80).filter(str.strip), notes=st.text(max_size=200))
def test_any_typed_text_survives(title: str, notes: str) -> None:
    episode = Episode.model_validate({"id": "any", "title": title, "brief": {"notes": notes}})
    assert read_episode(write_episode(episode)) == episode


def test_an_episode_without_anything_in_it_survives() -> None:
    empty = Episode(id="empty", title="Only a brief")
    assert read_episode(write_episode(empty)) == empty


def test_fields_left_out_take_their_usual_values() -> None:
    read = read_episode('{"version": 1, "id": "short", "title": "Short"}')
    assert read == Episode(id="short", title="Short")


def test_a_file_from_before_earlier_takes_were_kept_loads(smock: Episode) -> None:
    document = json.loads(write_episode(smock))
    for shot in document["shots"]:
        del shot["earlier"]
    assert read_episode(json.dumps(document)) == smock


def test_an_earlier_take_is_kept_in_the_file(smock: Episode) -> None:
    take = Filmed(
        narration="It is “31 cm”.",
        said=(SaidFigure(name="Front.hem", cm="31 cm", inch="12 1/4 in"),),
    )
    first, *others = smock.shots
    told = smock.model_copy(update={"shots": (first.model_copy(update={"earlier": take}), *others)})
    document = json.loads(write_episode(told))
    assert read_episode(json.dumps(document)) == told
    checker = Draft202012Validator(json_schema(), format_checker=FormatChecker())
    assert not list(checker.iter_errors(document))
    document["shots"][0]["earlier"]["narration"] = 31
    assert list(checker.iter_errors(document))


# --- The schema ------------------------------------------------------------------------------


def test_the_exported_document_fits_the_schema(smock: Episode) -> None:
    schema = json_schema()
    Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == Draft202012Validator.META_SCHEMA["$id"]
    checker = Draft202012Validator(schema, format_checker=FormatChecker())
    for episode in (smock, Episode(id="empty", title="Empty")):
        checker.validate(json.loads(write_episode(episode)))


Damage = Callable[[dict[str, Any]], object]


def _piece(document: dict[str, Any]) -> dict[str, Any]:
    piece: dict[str, Any] = document["garments"][0]["pieces"][1]
    return piece


# What is done to a good file, and the sentence it gets.
BROKEN: list[tuple[str, Damage, str]] = [
    (
        "an unknown move",
        lambda d: _piece(d)["moves"][0].update(kind="weld"),
        "In the file at garments → 1 “Drop-shoulder smock” → pieces → 2 “Back” → moves → 1 → kind: "
        "this must be one of 'rectangle', 'flared panel',",
    ),
    (
        "a move without its kind",
        lambda d: _piece(d)["moves"][1].pop("kind"),
        "pieces → 2 “Back” → moves → 2 “neck” → kind: this is missing.",
    ),
    (
        "a move's field left out",
        lambda d: _piece(d)["moves"][0].pop("width"),
        "pieces → 2 “Back” → moves → 1 → width: this is missing.",
    ),
    (
        "a number for a figure",
        lambda d: _piece(d)["moves"][0].update(width=140),
        "pieces → 2 “Back” → moves → 1 → width: this must be text in quotation marks, not 140.",
    ),
    (
        "an unknown field",
        lambda d: d["cloths"][1].update(coluor="red"),
        "In the file at cloths → 2 “Binding cloth” → coluor: Seamslate does not know this;",
    ),
    (
        "a word that is none of the choices",
        lambda d: d.update(first_unit="ell"),
        "In the file at first_unit: this must be 'in' or 'cm', not “ell”.",
    ),
    (
        "a number in quotation marks",
        lambda d: d.update(number="3"),
        "In the file at number: this must be a whole number, not “3”.",
    ),
    ("true for a number", lambda d: d.update(number=True), "number, not true."),
    (
        "a number too large",
        lambda d: d.update(number=10_000),
        "In the file at number: this must be at most 9999, not 10000.",
    ),
    (
        "a number too small",
        lambda d: _piece(d).update(cut_count=0),
        "pieces → 2 “Back” → cut_count: this must be at least 1, not 0.",
    ),
    (
        "shrinkage of half the cloth",
        lambda d: d["cloths"][0].update(shrinks_along=50),
        "cloths → 1 “Main cloth” → shrinks_along: this must be less than 50, not 50.",
    ),
    (
        "words for a number",
        lambda d: d["cloths"][0].update(shrinks_along="some"),
        "shrinks_along: this must be a number, not “some”.",
    ),
    (
        "words for yes",
        lambda d: d["cloths"][0].update(one_way="yes"),
        "one_way: this must be true or false, not “yes”.",
    ),
    (
        "a day that is none",
        lambda d: d["brief"].update(publish_date="2026-02-30"),
        "In the file at brief → publish_date: this must be a date such as 2026-05-01, "
        "not “2026-02-30”.",
    ),
    (
        "a list where a group belongs",
        lambda d: d.update(brief=[]),
        "In the file at brief: this must be a group of fields in { }, not a list.",
    ),
    (
        "a group where a list belongs",
        lambda d: d.update(shots={}),
        "In the file at shots: this must be a list in [ ], not a group of fields.",
    ),
    (
        "measures as a list",
        lambda d: d["body"].update(measures=[]),
        "In the file at body → measures: this must be a group of fields in { }",
    ),
    (
        "null for text",
        lambda d: d["notions"][0].update(why=None),
        "notions → 1 “Thread” → why: this must be text in quotation marks, not null.",
    ),
    (
        "an empty title",
        lambda d: d.update(title=""),
        "In the file at title: this must not be empty.",
    ),
    (
        "a title too long",
        lambda d: d.update(title="a" * 81),
        "In the file at title: this is too long; it can be 80 characters at most.",
    ),
    (
        "an id with capitals",
        lambda d: d.update(id="Smock!"),
        "In the file at id: “Smock!” does not fit: an id is made of small letters",
    ),
    (
        "a piece called 2nd",
        lambda d: _piece(d).update(name="2nd"),
        "pieces → 2 “2nd” → name: “2nd” does not fit: a name here is made of words",
    ),
    (
        "two pieces of one name",
        lambda d: _piece(d).update(name="front"),
        "In the file at garments → 1 “Drop-shoulder smock”: Two pieces are called “front”; "
        "give one another name.",
    ),
    (
        "two shots of one id",
        lambda d: d["shots"].append(d["shots"][0]),
        "In the file: Two shots are called “neck-cut”; give one another name.",
    ),
    (
        "two things wrong",
        lambda d: (d.pop("title"), d.update(number=-1)),
        "In the file at title: this is missing. (1 more after this.)",
    ),
    (
        "no version",
        lambda d: d.pop("version"),
        "In the file at version: this is missing, so it is not an episode file.",
    ),
    (
        "a version in words",
        lambda d: d.update(version="one"),
        "In the file at version: this must be 1, not “one”.",
    ),
]


@pytest.mark.parametrize(
    ("damage", "sentence"), [row[1:] for row in BROKEN], ids=[row[0] for row in BROKEN]
)
def test_a_broken_file_is_refused_with_its_place(
    smock: Episode, damage: Damage, sentence: str
) -> None:
    document = json.loads(write_episode(smock))
    damage(document)
    with pytest.raises(EpisodeFileError) as refusal:
        read_episode(json.dumps(document))
    assert sentence in refusal.value.sentence


SCHEMA_KNOWS = [row for row in BROKEN if not row[0].startswith(("two pieces", "two shots"))]


@pytest.mark.parametrize(
    "damage", [row[1] for row in SCHEMA_KNOWS], ids=[r[0] for r in SCHEMA_KNOWS]
)
def test_the_schema_refuses_what_the_reader_refuses(smock: Episode, damage: Damage) -> None:
    """All but what compares two parts of the file, which JSON Schema cannot say."""
    document = json.loads(write_episode(smock))
    damage(document)
    checker = Draft202012Validator(json_schema(), format_checker=FormatChecker())
    assert list(checker.iter_errors(document))


# --- Not even JSON ---------------------------------------------------------------------------

GOOD = '"version": 1, "id": "a", "title": "T"'
NO_JSON = [
    ("", "The file is empty."),
    (" \n", "The file is empty."),
    ("hello", "This is not an episode file: at line 1, column 1, a value is missing or misspelt."),
    ('{"version": 1\n "id": "a"}', "at line 2, column 2, a comma is missing"),
    ('{"version" 1}', "at line 1, column 12, a colon is missing after a name."),
    ("{'version': 1}", "at line 1, column 2, a name in quotation marks is expected."),
    (f"{{{GOOD}}}\n{{}}", "at line 2, column 1, the plan has ended, but more text follows."),
    ('{"version": 1, "id": "a', "at line 1, column 22, a text starts here and is not closed."),
    ('{"title": "a\nb"}', "at line 1, column 13, a text holds a line break or tab"),
    (
        '{"title": "\\q"}',
        "This is not an episode file: at line 1, column 12, a backslash is followed by",
    ),
    ("[]", "This is not an episode file: it should start with {."),
    ("null", "This is not an episode file: it should start with {."),
    (b'{"title":\n"\xff"}', "The file is not text in UTF-8: line 2 holds other bytes."),
    # RFC 8259, section 4: names should be unique; section 6: Infinity and NaN are not permitted,
    # nor is a number beyond what a double holds read alike everywhere; 8.2: lone surrogates.
    (f'{{{GOOD}, "title": "U"}}', "In the file at title: this is given twice."),
    (
        f'{{{GOOD}, "cloths": [{{"name": "Linen", "width": "1 m", "width": "2 m"}}]}}',
        "In the file at cloths → 1 “Linen” → width: this is given twice.",
    ),
    (f'{{{GOOD}, "number": NaN}}', "In the file at number: this is not a number"),
    (
        f'{{{GOOD}, "cloths": [{{"shrinks_along": -Infinity}}]}}',
        "In the file at cloths → 1 → shrinks_along: this is not a number",
    ),
    (f'{{{GOOD}, "number": 1e999}}', "In the file at number: this is not a number"),
    (f'{{{GOOD}, "number": {"9" * 5000}}}', "In the file at number: this is not a number"),
    (f'{{{GOOD}, "channel": "\\ud83e"}}', "In the file at channel: this holds half of a character"),
    (f'{{{GOOD}, "body": {{"name": "b", "measures": {{"\\udc00": "1"}}}}}}', "half of a character"),
    ("[" * 100_000, "nests its brackets more than 30 deep"),
    (f'{{{GOOD}, "notes": {"[" * 40}{"]" * 40}}}', "nests its brackets more than 30 deep"),
]


@pytest.mark.parametrize(("text", "sentence"), NO_JSON, ids=[str(t)[:40] for t, _ in NO_JSON])
def test_what_is_not_json_is_refused_with_line_or_place(text: str | bytes, sentence: str) -> None:
    with pytest.raises(EpisodeFileError) as refusal:
        read_episode(text)
    assert sentence in refusal.value.sentence


def test_a_file_over_5_mb_is_refused_unread() -> None:
    padding = " " * (LARGEST_BYTES - len(GOOD) - 2)
    assert read_episode(f"{{{GOOD}{padding}}}").title == "T"
    with pytest.raises(EpisodeFileError, match=r"The file is 5\.1 MB; an episode file is 5 MB"):
        read_episode("é" * 2_550_000)


def test_a_newer_file_is_refused_saying_so() -> None:
    with pytest.raises(EpisodeFileError) as refusal:
        read_episode('{"version": 7, "plan": {"of": "the future"}}')
    assert refusal.value.sentence == (
        "This file was written by a newer Seamslate (episode version 7; "
        f"this one reads up to {FILE_VERSION})."
    )


@settings(derandomize=True, max_examples=150, deadline=None)
@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
        lambda inner: (
            st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3)
        ),
        max_leaves=8,
    ),
    st.sampled_from(sorted(Episode.model_fields)),
)
def test_any_value_in_any_field_is_read_or_refused_never_worse(value: Any, field: str) -> None:
    document = {"version": 1, "id": "a", "title": "T", field: value}
    try:
        read_episode(json.dumps(document))
    except EpisodeFileError as refusal:
        assert refusal.sentence.endswith((".", ".)"))
        assert field in refusal.sentence
