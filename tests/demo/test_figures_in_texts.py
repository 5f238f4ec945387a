"""Figures in the texts of the demo and the starters: live where they can be, in both units."""

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

import pytest

from tests.demo_documents import (
    BODIES,
    EPISODES,
    STARTERS,
    drafted,
    each_episode,
    each_starter,
)
from webapp.draft.evaluate import Draft, evaluate
from webapp.draft.recipe import Recipe
from webapp.filming.figures import single_unit_measurements
from webapp.plan.episode import Episode
from webapp.units import both

LIVE_FIELDS: Final = ("words", "narration", "card", "amount", "why")
PLAIN_FIELDS: Final = (
    "name", "summary", "reason", "note", "spare", "title", "description", "audience", "promise",
    "members_extra", "notes", "place", "series", "channel",
)  # fmt: skip
QUOTED: Final = re.compile(r"\{([^{}]+)\}")
TYPED_LENGTH: Final = re.compile(
    r"\d\s?(?:mm|cm|m|in|inch|inches|ft|yd|yards?|metres?|[\"″])(?!\w)"
)
TYPED_PAIR: Final = re.compile(r"([\d.]+) cm \(([\d/ ]+ in)\)")

each_document = pytest.mark.parametrize(
    "model", [*EPISODES.values(), *STARTERS.values()], ids=lambda model: model.id
)


def quotable(drafts: Sequence[Draft]) -> set[str]:
    """Measures, choices, piece figures and finished measures, in lower case."""
    lengths = {name for d in drafts for name, value in d.names.items() if value.dimension == 1}
    return lengths | {name.lower() for draft in drafts for name in draft.finished_mm}


def texts(value: object, fields: Sequence[str]) -> Iterator[str]:
    """Every text of the named fields, at any depth of a document."""
    if isinstance(value, Mapping):
        for key, inner in value.items():
            if isinstance(inner, str):
                if key in fields:
                    yield inner
            else:
                yield from texts(inner, fields)
    elif isinstance(value, Sequence) and not isinstance(value, str):
        for inner in value:
            yield from texts(inner, fields)


def document(model: Episode | Recipe) -> dict[str, Any]:
    return model.model_dump(mode="json")


@each_episode
def test_every_live_figure_exists(episode: Episode) -> None:
    """On the episode's body and on every size, whatever the case it is typed in."""
    quoted = {
        name for text in texts(document(episode), LIVE_FIELDS) for name in QUOTED.findall(text)
    }
    assert bool(quoted) == bool(episode.garments)
    for body in (episode.body, *episode.sizes):
        known = quotable(drafted(episode.garments, body))
        assert {name for name in quoted if name.lower() not in known} == set()


@each_starter
def test_a_starter_quotes_only_figures_it_has(starter: Recipe) -> None:
    """In the words of its steps and in its notions."""
    quoted = {
        name for text in texts(document(starter), LIVE_FIELDS) for name in QUOTED.findall(text)
    }
    known = quotable([evaluate(starter, BODIES["M"])])
    assert {name for name in quoted if name.lower() not in known} == set()


@each_episode
def test_figures_are_quoted_only_where_they_are_filled_in(episode: Episode) -> None:
    assert [text for text in texts(document(episode), PLAIN_FIELDS) if "{" in text] == []


@each_episode
def test_what_is_said_and_shown_types_no_length(episode: Episode) -> None:
    """In narration and on cards every length is live."""
    said = list(texts(document(episode), ("narration", "card")))
    assert [text for text in said if TYPED_LENGTH.search(text)] == []


@each_document
def test_no_text_gives_a_length_in_one_unit_only(model: Episode | Recipe) -> None:
    prose = list(texts(document(model), LIVE_FIELDS + PLAIN_FIELDS))
    assert [text for text in prose if single_unit_measurements(text)] == []


@each_document
def test_typed_allowances_are_the_trades_pairs(model: Episode | Recipe) -> None:
    """“1.5 cm (5/8 in)”, and no other way; the inches are the pair of the centimetres."""
    for text in texts(document(model), LIVE_FIELDS + PLAIN_FIELDS):
        pairs = TYPED_PAIR.findall(text)
        assert len(TYPED_LENGTH.findall(text)) == 2 * len(pairs), text
        for cm, inches in pairs:
            assert both(float(cm) * 10, "cm", allowance=True) == f"{cm} cm ({inches})"
