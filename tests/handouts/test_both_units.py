"""No length in a single unit in any file that leaves the house, and each pair is one length."""

from datetime import date
from fractions import Fraction
from typing import Final

import pytest

from tests.handouts.told_lengths import alone, pairs, text_of
from tests.specimens import WREN, starter, with_choices
from webapp.filming.said import as_filmed
from webapp.handouts.pack import EXPORTS, Plans, exports_of
from webapp.plan.editions import with_edition
from webapp.plan.edits import changed, with_choice
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

# Figures for other programs: each length has its unit in its name, mm, or both units beside it.
DATA: Final = {"plan.json"}
# The pattern's other papers say what A4 says; of an episode of odd texts they are read too
# (test_every_file).
AS_ON_A4: Final = {"pattern-letter.pdf", "pattern-sheet.pdf"}


def skirt() -> Episode:
    """A short gathered skirt with lengths to tell on every sheet: two sizes, stripes, another
    cloth, elastic, an edition whose figures have changed since, and a shot filmed before that."""
    recipe = with_choices(starter("gathered-skirt"), skirt_length="36 cm", gather_ratio="1.4")
    larger = {name: f"{1.1 * float(text[:-3]):.1f} cm" for name, text in WREN.measures.items()}
    cloth = {"weight": "150 g/m2", "repeat_along": "4 cm", "shrinks_along": 4, "price": "12"}
    shots = [
        {"id": f"shot-{n}", "title": step.name, "step": step.id, "chapter": step.name,
         "narration": step.words, "card": "{skirt length} long, for {waist}"}
        for n, step in enumerate(recipe.steps[:4])
    ]  # fmt: skip
    document = {
        "id": "skirt",
        "title": "A skirt",
        "body": WREN,
        "sizes": [{"name": "Swan", "measures": larger}],
        "garments": [recipe],
        "cloths": [cloth],
        "other_cloths": [
            {**cloth, "name": "Lawn", "weight": "70 g/m2", "instead_of": "Main cloth"}
        ],
        "notions": [
            *recipe.notions,
            {"name": "Elastic", "kind": "elastic", "length": "waist", "width": "2 cm"},
        ],
        "shots": shots,
        "shoot_days": [{"day": "2026-06-01", "shots": [shot["id"] for shot in shots]}],
    }
    episode = Episode.model_validate(document)
    plan = evaluate(episode)
    first = episode.shots[0]
    filmed = changed(first, filmed=as_filmed(first, plan.figures_of_step(first.step), "cm"))
    episode = changed(with_edition(plan, date(2026, 5, 1)), shots=(filmed, *episode.shots[1:]))
    return with_choice(episode, recipe.id, "skirt length", "38 cm")


@pytest.fixture(scope="module")
def texts() -> dict[str, str]:
    """What is read in each file of the skirt."""
    plans = Plans.of(skirt())
    made = {
        name: export.make(plans)
        for name, export in exports_of(plans)
        if name not in DATA | AS_ON_A4
    }
    return {name: text_of(name, content) for name, content in made.items() if content is not None}


def test_every_length_stands_beside_itself_in_the_other_unit(texts: dict[str, str]) -> None:
    extras = {name for name in EXPORTS if name.startswith("extra-")}
    assert texts.keys() == EXPORTS.keys() - DATA - AS_ON_A4 - extras
    assert {name: alone(text) for name, text in texts.items() if alone(text)} == {}
    told = {name for name, text in texts.items() if pairs(text)}
    assert told == texts.keys() - {"chapters.vtt", "shoot-days.ics", "pieces.dxf"}
    assert "Changed since edition 1" in texts["companion.pdf"]


def test_both_lengths_of_a_pair_are_the_same_length(texts: dict[str, str]) -> None:
    """Nearest 1/8 in and 0.5 cm part by 1/16 in and 2.5 mm at most; what is bought is rounded up,
    to 1/8 yd and 0.1 m, so that either may be over by its step. A spool is told by its label."""
    apart = {
        (name, words)
        for name, text in texts.items()
        for metric_mm, other_mm, words in pairs(text)
        if abs(metric_mm - other_mm) > (115 if " m" in words else Fraction("4.1"))
    }
    assert {words for _, words in apart} == {"100 m (109 yd"}


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Cut 12 in of tape, 5 cm (2 in) wide.", ["12 in"]),
        ("Cut a hem of 3 cm, or 1 3/16 in.", ["3 cm", "1 3/16 in"]),
        ("28 1/2 in\n(72.5 cm) and 1.5 cm × 2 cm (5/8 in × 3/4 in)", []),
        ("plus 22 cm or 8 5/8 in, in 2 of 3 sizes, 150 g/m², 3 m² of it", []),
        ("½″ more, and 2 yd (1.9 m)", ["½″"]),
        ("115 cm wide cloth (45 in)", ["115 cm", "45 in"]),
    ],
)
def test_a_length_alone_is_found(text: str, found: list[str]) -> None:
    """The check itself can fail."""
    assert len(alone(text)) == len(found)
    assert all(one in words for one, words in zip(found, alone(text), strict=True))
