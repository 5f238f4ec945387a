"""What the starters and the demo say of cutting holds however the cloth is laid, and bought."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pytest

from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

ROOT: Final = Path(__file__).parents[2]
FILES: Final = [
    *sorted((ROOT / "webapp" / "draft" / "starters").glob("*.json")),
    *sorted((ROOT / "demo_data").glob("*.json")),
]
CLOTH: Final = r"(?:cloth|linen|cotton|chambray|lawn|fabric|length)"
ON_FOLDED_CLOTH: Final = re.compile(
    rf"\bfold(?:s|ed|ing)? (?:the|your|this) (?:\w+ )?{CLOTH}\b|\bfolded {CLOTH}\b"
    rf"|\b(?:still|{CLOTH}) folded\b|\b(?:on|from|to) the (?:line of the )?fold\b|\bcentre fold\b",
    re.IGNORECASE,
)
CLOTH_OVER: Final = re.compile(
    rf"\b{CLOTH} bought over\b|\bcloth over\b|\bspare (?:\w+ )?{CLOTH}\b"
    r"|\bone more (?:front|back|length)\b",
    re.IGNORECASE,
)
IN_ONE_LAYER: Final = re.compile(r"\b(?:one|single) layer\b", re.IGNORECASE)
SIDES: Final = re.compile(r"\bone side\b|\bturn the half over\b")
TYPED_ANGLE: Final = re.compile(r"right angle|degrees?\b|\d ?°", re.IGNORECASE)


def texts(value: Any) -> Iterator[str]:
    """Every text of a document."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        yield from (text for inner in value.values() for text in texts(inner))
    elif isinstance(value, list):
        yield from (text for inner in value for text in texts(inner))


@pytest.fixture(params=FILES, ids=lambda path: path.stem)
def document(request: pytest.FixtureRequest) -> Any:
    """As its maker wrote it: a kept table tells of ways of laying that are not its lay's."""
    document = json.loads(request.param.read_text("utf-8"))
    document.pop("kept_ways", None)
    return document


@pytest.mark.parametrize(
    "phrase",
    [
        "Fold the cloth along the grain.",
        "With the pieces still folded, cut the neck.",
        "Cut it on the folded cloth.",
        "Mark 12 cm from the fold.",
        "Hold the tape on the line of the fold.",
    ],
)
def test_words_that_cut_on_folded_cloth_would_be_found(phrase: str) -> None:
    assert ON_FOLDED_CLOTH.search(phrase)


def test_words_of_one_layer_would_be_found() -> None:
    assert IN_ONE_LAYER.search("Lay the cloth in one layer, right side up.")


def test_folding_what_is_sewn_is_another_matter() -> None:
    words = "Fold the Cowl lengthwise, fold the band to the inside, sew close to the inner fold."
    assert not ON_FOLDED_CLOTH.search(words)


def test_no_words_bind_how_the_cloth_lies(document: Any) -> None:
    """The lay says it, folded or opened out; only what is said on camera is of one cloth."""
    assert [text for text in texts(document) if ON_FOLDED_CLOTH.search(text)] == []
    garments = document.get("garments", [document])
    words = [step["words"] for garment in garments for step in garment.get("steps", [])]
    assert [text for text in words if IN_ONE_LAYER.search(text)] == []


def test_no_cloth_is_promised_beyond_the_length_to_buy(document: Any) -> None:
    assert [text for text in texts(document) if CLOTH_OVER.search(text)] == []


def test_no_angle_is_typed_that_the_recipe_decides(document: Any) -> None:
    assert [text for text in texts(document) if TYPED_ANGLE.search(text)] == []


def test_where_a_piece_is_drawn_on_the_fold_the_chalking_serves_both_ways(document: Any) -> None:
    """Opened out the other half is drawn as well; on a fold it is there."""
    for garment in document.get("garments", [document]):
        if any(piece.get("on_fold") for piece in garment.get("pieces", [])):
            drawing = [
                step["words"]
                for step in garment["steps"]
                if any(work["kind"] == "draw" for work in step["work"])
            ]
            assert any(
                "as its lay shows" in words and "a fold" in words and SIDES.search(words)
                for words in drawing
            )


def test_no_second_piece_is_denied_that_may_have_been_bought(document: Any) -> None:
    """A cloth may be bought with a spare of every piece."""
    assert [text for text in texts(document) if re.search(r"\bholds? no\b", text)] == []


def test_the_sides_of_the_skirt_are_ruled_by_figures_that_follow_its_share() -> None:
    """A smaller share of the circle: wider arcs for the same waist, all in the chalking's words."""
    path = ROOT / "demo_data" / "episode-4-market-day-skirt.json"
    text = path.read_text("utf-8")
    before, after = (
        next(
            step.words.plain
            for step in evaluate(Episode.model_validate_json(skirt)).steps
            if step.step.id == "skirt-chalk"
        )
        for skirt in (text, text.replace('"share": "1/4"', '"share": "1/5"'))
    )
    assert text.count('"share": "1/4"') == 1
    assert before != after
