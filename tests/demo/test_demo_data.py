"""The demo episodes and the starters: whole, fitting every size, filmed, with live figures."""

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import pytest

from tests.specimens import completed
from webapp.build.work_time import step_minutes
from webapp.draft.construction import Step
from webapp.draft.evaluate import Draft, evaluate
from webapp.draft.expressions import Names, read
from webapp.draft.recipe import Body, Recipe
from webapp.filming.figures import single_unit_measurements
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate as evaluate_plan
from webapp.units import both, parse_length

ROOT: Final = Path(__file__).parents[2]
SMOCK, SKIRT, BRIEF = (
    "episode-3-lighthouse-smock.json",
    "episode-4-market-day-skirt.json",
    "episode-5-brief-only.json",
)
EPISODES: Final = {
    path.name: Episode.model_validate_json(path.read_text("utf-8"))
    for path in sorted((ROOT / "demo_data").glob("*.json"))
}
STARTERS: Final = {
    path.stem: Recipe.model_validate_json(path.read_text("utf-8"))
    for path in sorted((ROOT / "webapp" / "draft" / "starters").glob("*.json"))
}
SIZES: Final = {body.name: body for body in EPISODES[SMOCK].sizes}
BODIES: Final = {body.name: completed(body) for body in (EPISODES[SMOCK].body, *SIZES.values())}

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

each_episode = pytest.mark.parametrize("episode", EPISODES.values(), ids=EPISODES)
each_starter = pytest.mark.parametrize("starter", STARTERS.values(), ids=STARTERS)
each_document = pytest.mark.parametrize(
    "model", [*EPISODES.values(), *STARTERS.values()], ids=lambda model: model.id
)
each_body = pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)


# --- Small look-ups --------------------------------------------------------------------------


def drafted(garments: Sequence[Recipe], body: Body) -> list[Draft]:
    """Every garment on the body; a later one may quote an earlier one's figures."""
    drafts: list[Draft] = []
    known: Names = {}
    for garment in garments:
        drafts.append(evaluate(garment, body, known))
        known = drafts[-1].names
    return drafts


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


def steps_of(episode: Episode) -> list[Step]:
    return [step for garment in episode.garments for step in garment.steps]


def circle(waits: Mapping[str, Sequence[str]]) -> list[str]:
    """Steps that wait on each other in a circle, found by walking depth first; else none."""
    cleared: set[str] = set()

    def walk(step: str, path: list[str]) -> list[str]:
        if step in path:
            return path[path.index(step) :]
        if step not in cleared:
            for before in waits.get(step, ()):
                if found := walk(before, [*path, step]):
                    return found
            cleared.add(step)
        return []

    return next((found for step in waits if (found := walk(step, []))), [])


def assert_fits(drafts: Sequence[Draft]) -> None:
    """No problem, every seam agrees, every check on the body holds."""
    assert [problem for draft in drafts for problem in draft.problems] == []
    assert [s.sentence for draft in drafts for s in draft.seams if not s.agrees] == []
    assert [c.sentence for draft in drafts for c in draft.checks if not c.holds] == []


# --- The episodes ----------------------------------------------------------------------------


def test_the_series_is_there() -> None:
    """Two whole episodes and one that is only a brief."""
    assert list(EPISODES) == [SMOCK, SKIRT, BRIEF]
    assert [episode.number for episode in EPISODES.values()] == [3, 4, 5]
    assert EPISODES[BRIEF].brief.promise
    assert not EPISODES[BRIEF].garments
    assert not EPISODES[BRIEF].shots


@each_episode
def test_an_episode_survives_writing_and_reading(episode: Episode) -> None:
    assert Episode.model_validate_json(episode.model_dump_json()) == episode


@each_episode
def test_an_episode_fits_its_body_and_every_size(episode: Episode) -> None:
    for body in (episode.body, *episode.sizes):
        assert_fits(drafted(episode.garments, body))


def test_the_smock_episode_is_full() -> None:
    """At least 18 steps of the smock itself, and 40 shots."""
    assert len(EPISODES[SMOCK].garments[0].steps) >= 18
    assert len(EPISODES[SMOCK].shots) >= 40


@each_episode
def test_every_piece_has_its_cloth(episode: Episode) -> None:
    wanted = {piece.cloth for garment in episode.garments for piece in garment.pieces}
    assert wanted <= {cloth.name for cloth in episode.cloths}


@each_episode
def test_shots_show_steps_that_exist(episode: Episode) -> None:
    known = {step.id for step in steps_of(episode)}
    assert {shot.step for shot in episode.shots if shot.kind == "step"} <= known
    assert {shot.step for shot in episode.shots if shot.kind != "step"} <= {""}


@each_episode
def test_every_step_on_camera_has_a_shot(episode: Episode) -> None:
    filmed = [shot.step for shot in episode.shots]
    for step in steps_of(episode):
        if not step.off_camera:
            assert filmed.count(step.id) >= (2 if step.one_way else 1), step.id


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


@each_episode
def test_an_episode_holds_together_but_for_the_skirts_running_time(episode: Episode) -> None:
    """The skirt is the demo's one thing left to mend: 9:03 of video for a target of 8:30."""
    found = [(t.severity, t.page, t.sentence) for t in evaluate_plan(episode).loose_threads]
    over = ("should", "shots", "The video runs 9:03, 0:33 over its target of 8:30.")
    assert found == ([over] if episode == EPISODES[SKIRT] else [])


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


@each_episode
def test_shots_come_in_an_order_that_can_be_filmed(episode: Episode) -> None:
    """No shot of a step stands before a shot of a step it must come after."""
    order = [shot.step for shot in episode.shots]
    last = {step: place for place, step in enumerate(order)}
    for step in steps_of(episode):
        if step.id in last:
            assert all(last.get(before, -1) < order.index(step.id) for before in step.after)


# --- The starters ----------------------------------------------------------------------------


@each_body
@each_starter
def test_a_starter_fits_every_standard_size(starter: Recipe, body: Body) -> None:
    assert_fits([evaluate(starter, body)])


@each_starter
def test_a_starter_quotes_only_figures_it_has(starter: Recipe) -> None:
    """In the words of its steps and in its notions."""
    quoted = {
        name for text in texts(document(starter), LIVE_FIELDS) for name in QUOTED.findall(text)
    }
    known = quotable([evaluate(starter, BODIES["M"])])
    assert {name for name in quoted if name.lower() not in known} == set()


@each_starter
def test_a_starter_lists_what_it_needs_besides_cloth(starter: Recipe) -> None:
    """Thread and needles always; a hand needle, elastic, bias strips where it has them."""
    names = {notion.name for notion in starter.notions}
    assert names >= {"Sewing thread", "Machine needles", "Pins", "Chalk"}
    by_hand = any(work.kind == "hand" for step in starter.steps for work in step.work)
    assert ("Hand needle" in names) == by_hand
    elastic = any("elastic" in choice.name for choice in starter.choices)
    assert ({"Woven elastic", "Safety pin"} <= names) == elastic
    bound = any(f.kind == "bound" for piece in starter.pieces for f in piece.finishes.values())
    assert any(name.startswith("Bias strip") for name in names) == bound


def test_starters_call_what_they_share_by_one_name() -> None:
    """So that an episode with two garments does not list it twice."""
    names = [notion.name for starter in STARTERS.values() for notion in starter.notions]
    assert len({name.lower() for name in names}) == len(set(names))


def test_only_the_childs_hat_warns_of_small_parts() -> None:
    """The others are for adults; the caution is for what small children can reach or wear."""
    warned = {s.id for s in STARTERS.values() if _warns(s.steps)}
    assert warned == {"ear-flap-hat"}
    assert not any(_warns(steps_of(episode)) for episode in EPISODES.values())


def _warns(steps: Sequence[Step]) -> bool:
    return any("small parts" in step.cautions for step in steps)


@each_starter
def test_a_starters_choices_lie_in_their_ranges(starter: Recipe) -> None:
    names = evaluate(starter, BODIES["M"]).names
    for choice in starter.choices:
        least, value, most = (
            read(text).quantity(names).value for text in (choice.least, choice.value, choice.most)
        )
        assert least <= value <= most, choice.name
        assert choice.reason


@each_starter
def test_steps_wait_on_steps_that_exist_and_never_in_a_circle(starter: Recipe) -> None:
    waits = {step.id: step.after for step in starter.steps}
    assert {before for after in waits.values() for before in after} <= set(waits)
    assert circle(waits) == []


def test_a_circle_would_be_found() -> None:
    """The walk above sees a circle, at the start or further in, and lets two ways meet."""
    assert circle({"hem": ["hang"], "hang": ["hem"]}) == ["hem", "hang"]
    assert circle({"press": ["hem"], "hem": ["hang"], "hang": ["hem"]}) == ["hem", "hang"]
    assert circle({"press": ["hem", "cuffs"], "hem": ["cut"], "cuffs": ["cut"], "cut": []}) == []


@each_starter
def test_a_step_that_cannot_be_taken_back_has_a_spare_and_blades_a_caution(
    starter: Recipe,
) -> None:
    cutting = [s for s in starter.steps if any(work.kind == "cut" for work in s.work)]
    assert cutting
    for step in cutting:
        assert step.one_way
        assert "blades" in step.cautions
    assert [step.id for step in starter.steps if step.one_way and not step.spare] == []


@each_starter
def test_cautions_name_the_iron_and_the_needle(starter: Recipe) -> None:
    """Pressing warns of the iron; pinning, machine and hand sewing of needles."""
    warned = {"press": "iron", "pin": "needles", "machine": "needles", "hand": "needles"}
    for step in starter.steps:
        needed = {warned[work.kind] for work in step.work if work.kind in warned}
        assert needed <= set(step.cautions), step.id


@each_starter
def test_the_time_of_every_step_can_be_computed(starter: Recipe) -> None:
    """Its pieces, seams and edges are drafted: `step_minutes` refuses any that are not."""
    draft = evaluate(starter, BODIES["M"])
    assert all(step_minutes(step, [draft]).likely > 0 for step in starter.steps)


@each_starter
def test_steps_are_told_in_two_to_four_sentences(starter: Recipe) -> None:
    for step in starter.steps:
        assert 2 <= len(re.findall(r"[.!?](?=\s|$)", step.words)) <= 4, step.id


def test_all_starters_fit_in_one_episode() -> None:
    """No two of them share a piece's name or a step's id: `Episode` refuses twins."""
    episode = Episode(id="all", title="All", garments=tuple(STARTERS.values()))
    assert len(episode.garments) == len(STARTERS) >= 11


# --- Checks against published values ---------------------------------------------------------


def with_choices(recipe: Recipe, **values: str) -> Recipe:
    """The recipe with other values; `waist_ease` names the choice “waist ease”."""
    new = {name.replace("_", " "): value for name, value in values.items()}
    choices = tuple(
        choice.model_copy(update={"value": new.get(choice.name, choice.value)})
        for choice in recipe.choices
    )
    return recipe.model_copy(update={"choices": choices})


@pytest.mark.parametrize(
    ("letter", "least", "most"),
    [("XS", 74, 82), ("S", 82, 90), ("M", 90, 98), ("L", 98, 107), ("XL", 107, 119)],
)
def test_size_letters_follow_the_standard(letter: str, least: float, most: float) -> None:
    """Bust girth, cm: EN 13402-3, women (read at second hand)."""
    bust = parse_length(SIZES[letter].measures["bust"]).mm
    assert least * 10 <= bust < most * 10


def test_heads_are_those_of_the_standard() -> None:
    """Head girth of misses 00 to 20: 21 1/4 to 22 1/2 in, ASTM D5585-11e1."""
    heads = [parse_length(body.measures["head"]).mm for body in SIZES.values()]
    assert heads == sorted(heads)
    assert heads[0] == pytest.approx(21.25 * 25.4)
    assert heads[-1] == pytest.approx(22.5 * 25.4)


def test_the_skirt_front_is_half_of_a_half_circle_skirt() -> None:
    """A waist of 26 in has the radius W / pi = 8.276 in: prettyquirkypants.com gives 8.2."""
    skirt = with_choices(STARTERS["half-circle-skirt"], waist_ease="0 cm")
    front = evaluate(skirt, Body(name="26", measures={"waist": "26 in", "hip": "36 in"})).pieces[0]
    assert front.figures_mm["radius"] / 25.4 == pytest.approx(26 / math.pi)
    assert front.figures_mm["radius"] / 25.4 == pytest.approx(8.2, abs=0.1)
    assert 2 * front.figures_mm["waist"] == pytest.approx(13 * 25.4, abs=0.01)


def test_the_skirt_hangs_for_a_day_before_its_hem() -> None:
    """24 hours, above all on the bias: New Mexico State University Guide C-314."""
    steps = {step.id: step for step in STARTERS["half-circle-skirt"].steps}
    assert "24 hours" in steps["skirt-hang"].words
    assert steps["skirt-level"].after == ("skirt-hang",)
    assert steps["skirt-hem"].after == ("skirt-level",)


def test_the_skirts_hem_is_a_narrow_hem() -> None:
    """1/4 in folded twice: Oregon State University 4-H Club Series 1-87."""
    skirt = evaluate(STARTERS["half-circle-skirt"], BODIES["M"])
    for name in ("Skirt front", "Skirt back"):
        allowance = skirt.piece(name).allowances["hem"]
        assert allowance.width_mm == pytest.approx(6.35, abs=0.5)
        assert allowance.turn_under_mm == pytest.approx(6.35, abs=0.5)


def test_the_band_is_wide_enough_for_its_elastic() -> None:
    """The elastic's width and 1/4 to 1/2 in: a how-to read in a copy (lightsalmonsweet)."""
    names = evaluate(STARTERS["half-circle-skirt"], BODIES["M"]).names
    room = names["band width"].value - names["elastic width"].value
    assert 6.35 - 0.5 <= room <= 12.7


def test_a_cowl_comes_out_as_a_scarf_of_its_cut_size_does() -> None:
    """Cut 70 × 20 in at 1/2 in seams: a 69 in loop, 9 1/2 in wide (L - 2s and W/2 - s).

    The cut size is published at simply-crafting.co.uk; the result is its geometry.
    """
    cowl = with_choices(STARTERS["tube-cowl"], cowl_ease="47 in", cowl_height="9 1/2 in")
    cowl = cowl.model_copy(update={"seam_allowance": "1/2 in"})
    draft = evaluate(cowl, Body(name="22", measures={"head": "22 in"}))
    assert draft.piece("Cowl").cut_size_mm == pytest.approx((70 * 25.4, 20 * 25.4))
    assert [mm / 25.4 for mm in draft.finished_mm.values()] == pytest.approx([69, 9.5])
